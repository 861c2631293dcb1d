"""``--photos``: how the application draws photos, for the commands that open it."""

import click

photos_option = click.option(
    "--photos",
    metavar="WAY",
    help="How the application draws photos: auto (in pixels where the terminal can), cells, "
    "sixel or placeholders (ATLAS_PHOTOS).",
)
