"""Sketches and plots as vector data, drawn in terminal cells and as SVG."""

from atlas.drawing.grid import Grid
from atlas.drawing.picture import Picture
from atlas.drawing.plot import overlay, plot
from atlas.drawing.sketch import picture_of
from atlas.drawing.svg import to_svg
from atlas.drawing.terminal import draw

__all__ = ["Grid", "Picture", "draw", "overlay", "picture_of", "plot", "to_svg"]
