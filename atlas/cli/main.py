"""The ``atlas`` command: finds the subcommand, turns errors into one line and an exit status."""

import sys
from importlib import import_module
from typing import TYPE_CHECKING

import click

from atlas.catalogue.streams import complain, drained, interrupted, lead_nowhere, open_streams
from atlas.cli.groups import Group
from atlas.cli.photos_option import photos_option
from atlas.errors import AtlasError, BadInput, NotThere

if TYPE_CHECKING:
    from atlas.catalogue.library import Library

# Command -> module of atlas.cli and attribute; imported only when called, since a start should
# cost no more than the command needs.
COMMANDS: dict[str, tuple[str, str]] = {
    "find": ("find", "find"),
    "narrow": ("narrow", "narrow"),
    "list": ("browse", "list_patterns"),
    "show": ("browse", "show"),
    "glossary": ("browse", "glossary"),
    "calc": ("calc", "calc"),
    "vehicle": ("vehicle", "vehicle"),
    "compare": ("compare", "compare"),
    "case": ("case", "case"),
    "photo": ("photo", "photo"),
    "teardown": ("casework", "teardown"),
    "calibration": ("casework", "calibration"),
    "study": ("study", "study"),
    "add": ("append", "add"),
    "check": ("checking", "check"),
    "review": ("append", "review"),
    "supersede": ("append", "supersede"),
    "learn": ("append", "learn"),
    "export": ("exchange", "export"),
    "import": ("exchange", "import_"),
    "sync": ("sync", "sync"),
    "serve": ("serve", "serve"),
    "demo": ("demo", "demo"),
    "completion": ("completion", "completion"),
}


class Lazy(Group):
    """A group that imports a command when it is called for."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Names in the order of the loop."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The command, imported now; None where there is none of that name."""
        if cmd_name not in COMMANDS:
            return None
        module, attribute = COMMANDS[cmd_name]
        command: click.Command = getattr(import_module(f"atlas.cli.{module}"), attribute)
        return command


@click.group(
    cls=Lazy,
    invoke_without_command=True,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
)
@click.option("--library", metavar="DIR", help="The team's library folder.")
@photos_option
@click.version_option(package_name="atlas-teardown", prog_name="atlas")
@click.pass_context
def atlas(ctx: click.Context, library: str | None, photos: str | None) -> None:
    """Identify a front structure, ask why it was built so, and put a number on it.

    Without a command the terminal application opens.

    \b
    Examples:
      atlas find thick bar across the front of the subframe, past both rails
      atlas show rear-x-plate
      atlas calc bolted-joint
      atlas demo
    """
    ctx.obj = library
    if ctx.invoked_subcommand is None:
        from atlas.catalogue.library import open_library

        open_application(open_library(library), photos=photos)


def open_application(
    library: "Library", photo: str = "", case_id: str = "", photos: str | None = None
) -> None:
    """Open the terminal application, on a photo where one is named; returns when it is closed."""
    if not _has_terminal():
        raise BadInput("the application needs a terminal", "", "or a command: atlas --help")
    from atlas.ui.terminal_graphics import Asking, asked_for

    with Asking(asked_for(photos)) as asking:  # the terminal answers while all this loads
        from atlas.ui.places import Place
        from atlas.ui.starting import run_app

        start = Place("photo", photo, inputs=(("case", case_id),)) if photo else None
        run_app(library, start, asking)


def _has_terminal() -> bool:
    """Whether keys can be read and a screen be drawn; a web server's driver brings its own."""
    import os

    return bool(os.environ.get("TEXTUAL_DRIVER")) or (sys.stdin.isatty() and sys.stderr.isatty())


def main() -> None:
    """Entry point: runs the command and exits 0 done, 1 not there or check failed, 2 bad input."""
    open_streams()
    sys.exit(status())


def status(arguments: list[str] | None = None) -> int:
    """Run the command line and return its exit status; errors go to stderr as one line."""
    try:
        return drained(_answered(arguments))
    except (click.Abort, KeyboardInterrupt):
        return interrupted()


def _answered(arguments: list[str] | None) -> int:
    try:
        result = atlas.main(args=arguments, prog_name="atlas", standalone_mode=False)
        return result if isinstance(result, int) else 0
    except AtlasError as error:
        _complain(str(error))
        return 1 if isinstance(error, NotThere) else 2
    except click.Abort:  # what click makes of ctrl+c
        raise
    except click.exceptions.Exit as error:
        return error.exit_code
    except click.ClickException as error:
        _complain(error.format_message())
        return 2
    except (BrokenPipeError, SystemExit):
        # The reader has gone (a pager, head); nothing is left to say to it. click leaves by
        # SystemExit then, and in no other case.
        lead_nowhere(1)
        return 0
    except UnicodeEncodeError:  # a name on the command line that is not in UTF-8
        _complain("what was typed holds bytes that are no text; type it as UTF-8")
        return 2
    except RecursionError:
        _complain("the input is nested too deeply")
        return 2
    except MemoryError:
        _complain("there is not enough memory for this")
        return 2
    except OSError as error:
        _complain(f"{error.filename or 'output'}: {error.strerror or error}")
        return 2
    except Exception as error:  # a fault of ours: ends here, but nobody is shown a traceback
        _complain(f"internal fault ({type(error).__name__}: {error}); {_kept(error)}")
        return 2


def _kept(error: Exception) -> str:
    """Where the details of a fault of ours were written, for a report."""
    import tempfile
    import traceback

    try:
        with tempfile.NamedTemporaryFile(
            "w", prefix="atlas-fault-", suffix=".txt", delete=False, encoding="utf-8"
        ) as file:
            file.write("".join(traceback.format_exception(error)))
    except OSError:
        return "please report it"
    return f"please report it with {file.name}"


def _complain(line: str) -> None:
    from atlas.catalogue.visible import visible

    complain(f"atlas: {visible(' '.join(line.split()), lines=False)}")


if __name__ == "__main__":
    main()
