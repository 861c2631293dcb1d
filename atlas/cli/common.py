"""What every command shares: its options, and how results reach stdout."""

import functools
import json
import sys
import textwrap
import unicodedata
from collections.abc import Callable, Iterable
from contextvars import ContextVar
from pathlib import Path
from shutil import get_terminal_size
from typing import TYPE_CHECKING, Any, TypeVar

import click

from atlas.catalogue.library import open_library
from atlas.catalogue.visible import HARMLESS, visible
from atlas.errors import AtlasError, BadInput

if TYPE_CHECKING:
    from atlas.calculators.running import Reading, Result

Command = TypeVar("Command", bound=Callable[..., Any])
_PLAIN: ContextVar[bool] = ContextVar("plain", default=False)


def is_plain() -> bool:
    """Whether this command writes for a screen reader."""
    return _PLAIN.get()


def write_plain(plain: bool) -> None:
    """Say for the rest of this command whether it writes for a screen reader."""
    _PLAIN.set(plain)


def shared(command: Command) -> Command:
    """Give a command ``--json`` and ``--library``; it receives ``as_json`` and ``library``."""

    @click.option("--json", "as_json", is_flag=True, help="Print one JSON document.")
    @click.option("--plain", is_flag=True, help="For a screen reader: no drawings, no columns.")
    @click.option("--library", "folder", metavar="DIR", help="The team's library folder.")
    @click.pass_context
    @functools.wraps(command)
    def wrapped(
        ctx: click.Context, /, *args: Any, folder: str | None, plain: bool, **kwargs: Any
    ) -> Any:
        write_plain(plain)
        root = ctx.find_root().obj
        return command(*args, library=open_library(folder or root), **kwargs)

    return wrapped  # type: ignore[return-value]


def print_json(document: Any) -> None:
    """One JSON document on stdout; every character that a terminal could obey is escaped."""
    print(json.dumps(document, indent=2, ensure_ascii=not is_utf8()).translate(_ESCAPED))


class _Escapes(dict[int, str]):
    """What JSON leaves as it is, though a terminal or a bidirectional display would act on it."""

    def __missing__(self, code: int) -> str:
        sign = chr(code)
        steers = code >= 0x7F and unicodedata.category(sign) in {"Cc", "Cf", "Co", "Cs", "Zl", "Zp"}
        # In ASCII, those beyond the first plane become a pair of surrogates, as RFC 8259 wants it.
        self[code] = json.dumps(sign)[1:-1] if steers and sign not in HARMLESS else sign
        return self[code]


_ESCAPED = _Escapes()


def quantity(one: "Result | Reading") -> dict[str, Any]:
    """A figure as a document, with its unit and range."""
    return {"value": one.value, "unit": one.unit, "low": one.low, "high": one.high}


def say_file(path: Path) -> None:
    """Where something was written, on a line of its own; a folder's name may hold anything."""
    print(visible(str(path), lines=False))


def write_bytes(content: bytes) -> None:
    """A file's content on stdout as it is: a page says UTF-8 of itself, whatever the terminal."""
    sys.stdout.flush()
    sys.stdout.buffer.write(content)
    sys.stdout.flush()


def is_utf8() -> bool:
    """Whether stdout takes every sign; else drawings keep to ASCII."""
    return (sys.stdout.encoding or "").lower().replace("-", "") == "utf8"


def width() -> int:
    """Columns to write in: the terminal's, between 60 and 100."""
    return max(60, min(100, get_terminal_size((88, 24)).columns))


def say(text: str = "", indent: int = 0, hang: int = 0) -> None:
    """A paragraph on stdout, wrapped, with control characters made visible."""
    lines = textwrap.wrap(
        visible(text, lines=False),
        width(),
        initial_indent=" " * indent,
        subsequent_indent=" " * (indent + hang),
        break_long_words=False,
        break_on_hyphens=False,
    )
    line = "\n".join(lines)
    encoding = sys.stdout.encoding or "utf-8"
    print(line.encode(encoding, "replace").decode(encoding))


def heading(text: str) -> None:
    """A heading, set off by a line of its own; capitals would be spelled out by some readers."""
    print()
    say(f"{text}:" if is_plain() else text.upper())


def table(rows: Iterable[tuple[str, ...]], head: tuple[str, ...] = ()) -> None:
    """Columns on stdout, as wide as their content."""
    cells = [
        tuple(
            # A call for each of fifty thousand cells takes its time; most need none.
            cell if cell.isascii() and cell.isprintable() else visible(cell, lines=False)
            for cell in row
        )
        for row in rows
    ]
    if is_plain():
        for row in cells:
            named = zip(head, row, strict=True) if head else (("", cell) for cell in row)
            print("; ".join(f"{name} {cell}".strip() for name, cell in named if cell) + ".")
        return
    if head:
        cells = [head, *cells]
    if not cells:
        return
    widths = [max(map(len, column)) for column in zip(*cells, strict=True)]
    form = "  ".join(f"{{:{size}}}" for size in widths).format
    print("\n".join([form(*row).rstrip() for row in cells]))


def report_to_write(name: str, option: str) -> tuple[Path, str]:
    """The file that an option names for a report, and the form that its ending stands for.

    Raises:
        BadInput: nothing can be written there, or the ending is none of a report's.
    """
    from atlas.reports.rendering import FORMS

    path = file_to_write(name, option)
    form = path.suffix.lower().lstrip(".")
    if form not in FORMS:
        endings = ", ".join(f".{known}" for known in FORMS)
        raise BadInput(f"{path.name} has no known ending", option, f"end it in {endings}")
    return path, form


def file_to_write(name: str, option: str) -> Path:
    """The file that an option names, if something can be written there.

    Raises:
        BadInput: it is a folder, or its folder is missing.
    """
    if "\0" in name:
        raise BadInput("a file name cannot hold NUL", option)
    try:
        path = Path(name).expanduser()
        is_folder, has_folder = path.is_dir(), path.parent.is_dir()
    except (OSError, RuntimeError) as error:  # a name too long, ~nobody
        raise BadInput(f"cannot be written ({error})", option, "name another file") from None
    if is_folder:
        raise BadInput("is a folder", str(path), "name the file to write")
    if not has_folder:
        raise BadInput(f"no folder {path.parent}", option, "make it first")
    return path


def warn(problems: Iterable[AtlasError]) -> None:
    """Name on stderr the files that were set aside."""
    for problem in problems:
        print(f"atlas: set aside: {visible(str(problem), lines=False)}", file=sys.stderr)
