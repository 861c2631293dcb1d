"""A structure's view with its key as one sheet of SVG, to be handed over."""

from atlas.drawing.structure import structure_picture
from atlas.drawing.structure_key import with_key
from atlas.drawing.structure_shape import Shown
from atlas.drawing.structure_views import View
from atlas.drawing.svg import to_svg


def sheet(shown: Shown, view: View) -> str:
    """The view, its title and its key; what is brought out is drawn extra wide."""
    return to_svg(with_key(structure_picture(shown, view), shown), lit=shown.chosen, title=True)
