"""``atlas find``: words in, patterns out."""

import click

from atlas.catalogue.library import Library
from atlas.cli.common import print_json, say, shared, warn
from atlas.cli.completion import Known
from atlas.errors import BadInput
from atlas.identify.chances import told


@click.command(epilog="Example: atlas find two flat straps from the subframe out to the sill")
@click.argument("text", nargs=-1, required=True)
@click.option("--zone", type=Known("zone"), help="Look in one zone only.")
@click.option("--limit", default=8, show_default=True, type=click.IntRange(1, 1000))
@shared
def find(
    text: tuple[str, ...], zone: str | None, limit: int, as_json: bool, library: Library
) -> int:
    """Match a description of what is seen to likely patterns, with reasons."""
    from atlas.catalogue.load import load
    from atlas.identify.text import Finder

    words = " ".join(text)
    if not words.strip():
        raise BadInput("no description", "TEXT", "say what you see, in any words")
    catalogue = load(library)
    warn(catalogue.problems)
    if zone is not None:
        catalogue.in_zone(zone)
    found = Finder(catalogue).find(words, zone=zone, limit=limit)
    if as_json:
        document = {
            "query": words,
            "matches": [
                {
                    "id": match.pattern_id,
                    "title": match.title,
                    "zone": match.zone,
                    "score": round(match.score, 4),
                    "because": list(match.because),
                }
                for match in found.matches
            ],
        }
        if not found.matches:
            document["nearest"] = list(found.nearest)
        print_json(document)
    elif not found.matches:
        nearest = ", ".join(found.nearest)
        say(
            "Nothing here matches."
            + (f" Nearest words of the trade: {nearest}." if nearest else "")
        )
    else:
        for place, match in enumerate(found.matches, 1):
            where = f"[{match.pattern_id}, {match.zone}]"
            say(f"{place:2}  {told(match.score):>4}  {match.title}  {where}")
            for reason in match.because:
                say(reason, indent=10, hang=2)
    return 0 if found.matches else 1
