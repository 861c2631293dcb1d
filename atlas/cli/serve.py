"""``atlas serve``: the application in a browser."""

import sys

import click

from atlas.catalogue.library import Library
from atlas.cli.common import print_json, say, shared
from atlas.errors import BadInput


@click.command(epilog="Example: atlas serve --port 8080")
@click.option("--host", default="127.0.0.1", show_default=True, help="Address to listen on.")
@click.option("--port", type=click.IntRange(0, 65535), default=8000, show_default=True,
              help="Port to listen on; 0 takes a free one.")  # fmt: skip
@click.option("--write", is_flag=True, help="Let the browser change the library.")
@click.option("--by", metavar="INITIALS", envvar="ATLAS_INITIALS", help="Who works in the browser.")
@shared
def serve(
    host: str, port: int, write: bool, by: str | None, as_json: bool, library: Library
) -> None:
    """Open the application in a browser, read-only unless --write is given; ctrl+c ends it.

    Only this computer can reach it. With --host others can as well: there is no password and no
    encryption, so that belongs into a network that you trust, or behind a gateway that has both.
    """
    try:
        from atlas.cli.web.server import Gate, listening
    except ImportError as error:
        raise BadInput(
            f"needs a library that is not here ({error.name})",
            "serve",
            "pip install 'atlas-teardown[web]'",
        ) from None
    socket, url, is_local = listening(host, port)
    if not is_local:
        does = "read and change" if write else "read"
        click.echo(
            f"atlas: caution: whoever reaches {url} can {does} this library; there is no password "
            "and no encryption",
            err=True,
        )

    def started() -> None:
        if as_json:
            print_json({"url": url, "read_only": not write, "library": str(library.root)})
        else:
            say(f"{url}: {'the library can be changed' if write else 'read-only'}; ctrl+c ends it")
        sys.stdout.flush()  # whoever started it reads the address from a pipe

    Gate(library.root, write=write, who=by or "", local=is_local).run(socket, started)
