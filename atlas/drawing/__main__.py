"""Print the sketches of a pattern file: ``python -m atlas.drawing FILE.toml [options]``."""

import argparse
import sys
from pathlib import Path

import msgspec

from atlas.catalogue.model import Sketch
from atlas.catalogue.reading import read_table
from atlas.catalogue.streams import complain, drained, interrupted, lead_nowhere, open_streams
from atlas.catalogue.visible import visible
from atlas.catalogue.writing import write_durably
from atlas.drawing.sketch import picture_of
from atlas.drawing.svg import to_svg
from atlas.drawing.terminal import draw
from atlas.errors import AtlasError, BadInput, NotThere

# How styles look on a terminal that takes sixteen colours; the application has themes instead.
_SGR = {
    "context": "2",
    "leader": "2",
    "fill": "36",
    "own": "1",
    "hidden": "35",
    "centre": "34",
    "bolt": "1;33",
    "weld": "1;33",
    "load": "1;35",
    "lit": "1;7",
    "label": "",
    "scale": "2",
}


def main() -> int:
    """Draw each view in turn, or one of them to an SVG file."""
    parser = argparse.ArgumentParser(prog="python -m atlas.drawing", description=__doc__)
    parser.add_argument("file", type=Path)
    parser.add_argument("--view", type=int, help="only this view, counted from 1")
    parser.add_argument("--cells", default="60x20", help="columns x rows (60x20)")
    parser.add_argument("--ascii", action="store_true")
    parser.add_argument("--colour", action="store_true")
    parser.add_argument("--lit", action="append", default=[], help="mark to highlight")
    parser.add_argument("--svg", type=Path)
    options = parser.parse_args()
    try:
        columns, rows = _cells(options.cells)
        sketches = msgspec.convert(read_table(options.file).get("sketches", []), tuple[Sketch, ...])
        if options.view is not None:
            sketches = sketches[options.view - 1 : options.view] if options.view > 0 else ()
        if not sketches:
            raise NotThere("no such view", str(options.file))
        if options.svg:
            if not options.svg.parent.is_dir():
                raise BadInput(f"no folder {options.svg.parent}", "--svg", "make it first")
            picture = to_svg(picture_of(sketches[0]), lit=options.lit, title=True)
            write_durably(options.svg, picture.encode())
            return 0
    except (AtlasError, msgspec.ValidationError) as error:
        what = error if isinstance(error, AtlasError) else f"{options.file}: {error}"
        complain(visible(str(what), lines=False))
        return 1 if isinstance(error, NotThere) else 2
    for sketch in sketches:
        grid = draw(picture_of(sketch), columns, rows, ascii_only=options.ascii, lit=options.lit)
        print(f"{sketch.view}: {sketch.title}")
        for row in range(grid.height):
            pieces = [
                f"\x1b[{_SGR.get(style, '')}m{text}\x1b[0m" if options.colour else text
                for text, style in grid.runs(row)
            ]
            print("".join(pieces).rstrip())
        print("\n".join(grid.key))
    return 0


def _cells(text: str) -> tuple[int, int]:
    """Columns and rows as typed, 60x20.

    Raises:
        BadInput: not two numbers, or a size that no terminal has.
    """
    columns, _, rows = text.lower().partition("x")
    if not (columns.isdecimal() and rows.isdecimal() and len(text) < 10):
        raise BadInput(f"cannot read {text[:40]!r}", "--cells", "write 60x20")
    if not (4 <= int(columns) <= 1000 and 2 <= int(rows) <= 1000):
        raise BadInput(f"{text} is no size to draw in", "--cells", "4x2 to 1000x1000")
    return int(columns), int(rows)


def _run() -> int:
    """Draw, whatever becomes of the reader."""
    open_streams()
    try:
        return drained(main())
    except KeyboardInterrupt:
        return interrupted()
    except BrokenPipeError:  # the reader has gone (head, a pager)
        lead_nowhere(1)
        return 0
    except OSError as error:
        lead_nowhere(1)
        complain(f"output: {error.strerror or error}")
        return 2


if __name__ == "__main__":
    sys.exit(_run())
