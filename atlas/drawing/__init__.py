"""Sketches and plots as vector data, drawn in terminal cells and as SVG.

The public names are imported when they are first asked for: the application's first screen shows
no drawing, and should not wait for numpy.
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from atlas.drawing.grid import Grid
    from atlas.drawing.picture import Picture
    from atlas.drawing.plot import overlay, plot
    from atlas.drawing.sketch import picture_of
    from atlas.drawing.svg import to_svg
    from atlas.drawing.terminal import draw

__all__ = ["Grid", "Picture", "draw", "overlay", "picture_of", "plot", "to_svg"]

_HOMES = {
    "Grid": "grid",
    "Picture": "picture",
    "draw": "terminal",
    "overlay": "plot",
    "picture_of": "sketch",
    "plot": "plot",
    "to_svg": "svg",
}


def __getattr__(name: str) -> Any:
    home = _HOMES.get(name)
    if home is None:
        raise AttributeError(name)
    return getattr(import_module(f"atlas.drawing.{home}"), name)
