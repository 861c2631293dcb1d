"""Structures drawn for a report: the same scale and factor where several stand side by side."""

from collections.abc import Sequence

from atlas.calculators.declare import figures
from atlas.calculators.running import Result
from atlas.drawing.structure import structure_picture
from atlas.drawing.structure_key import key_lines, key_picture
from atlas.drawing.structure_shape import Shown
from atlas.drawing.structure_views import WORDS, View
from atlas.drawing.svg import to_svg
from atlas.drawing.terminal import draw
from atlas.reports.parts import Drawing

CELLS = (72, 24)


def drawings(shown: Sequence[Shown], view: View, room: tuple[float, float]) -> tuple[Drawing, ...]:
    """One view of each, to one scale on paper, each within ``room`` (width, height) [mm]."""
    pictures = [structure_picture(one, view) for one in shown]
    scale = min(min(room[0] / p.width, room[1] / p.height) for p in pictures)
    found = []
    for one, picture in zip(shown, pictures, strict=True):
        fitted = (picture.width * scale, picture.height * scale)
        title = f"{one.framed.vehicle.title}, {WORDS[view]}"
        if one.carried is not None:
            title += f"; {one.carried.case.title.lower()}, largest movement {one.largest:.2g} mm"
        svg = to_svg(picture, lit=one.chosen, room=fitted)
        found.append(Drawing(title, svg, draw(picture, *CELLS, lit=one.chosen).text()))
    return tuple(found)


def key(shown: Shown) -> Drawing:
    """What lines and signs mean."""
    lines = ["".join(text for text, _ in line) for line in key_lines(shown, CELLS[0])]
    return Drawing("Key", to_svg(key_picture(shown)), "\n".join(lines))


def words(result: Result | None) -> str:
    """A figure with unit and range, in one cell of a table.

    >>> words(Result(2.0, "mm", 1.5, 2.5)), words(Result(3.0, "kg", None, None)), words(None)
    ('2 mm (1.5 to 2.5)', '3 kg', '')
    """
    if result is None:
        return ""
    text = figures(float(result.value)) + (f" {result.unit}" if result.unit else "")
    if result.low is not None and result.high is not None:
        low, high = figures(result.low), figures(result.high)
        if low != high:
            text += f" ({low} to {high})"
    return text
