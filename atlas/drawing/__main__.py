"""Print the sketches of a pattern file: ``python -m atlas.drawing FILE.toml [options]``."""

import argparse
import os
import sys
from pathlib import Path

import msgspec

from atlas.catalogue.model import Sketch
from atlas.catalogue.reading import read_table
from atlas.drawing.sketch import picture_of
from atlas.drawing.svg import to_svg
from atlas.drawing.terminal import draw
from atlas.errors import AtlasError

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
        columns, rows = (int(n) for n in options.cells.lower().split("x"))
        sketches = msgspec.convert(read_table(options.file).get("sketches", []), tuple[Sketch, ...])
    except (AtlasError, msgspec.ValidationError, ValueError) as error:
        print(f"{options.file}: {error}", file=sys.stderr)
        return 2
    if options.view is not None:
        sketches = sketches[options.view - 1 : options.view]
    if not sketches:
        print(f"{options.file}: no such view", file=sys.stderr)
        return 1
    if options.svg:
        options.svg.write_text(to_svg(picture_of(sketches[0]), lit=options.lit, title=True))
        return 0
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


if __name__ == "__main__":
    try:
        status = main()
        sys.stdout.flush()
    except BrokenPipeError:  # the reader has gone (head, a pager)
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        status = 0
    sys.exit(status)
