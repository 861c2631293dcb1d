"""How cells of a photo and what lies over it look; kept, since a picture has thousands."""

from functools import lru_cache

from rich.color import Color
from rich.style import Style

REVERSE = Style(reverse=True)
_DARK, _LIGHT = (16, 18, 22), (250, 250, 244)


@lru_cache(maxsize=65536)
def halves(r: int, g: int, b: int, r2: int, g2: int, b2: int) -> Style:
    """The upper half of a cell in one colour, the lower in another."""
    return Style(color=Color.from_rgb(r, g, b), bgcolor=Color.from_rgb(r2, g2, b2))


@lru_cache(maxsize=4096)
def stroke(on_dark: bool, r: int, g: int, b: int, bold: bool) -> Style:
    """A line over the picture: light on dark, dark on light."""
    colour = Color.from_rgb(*(_LIGHT if on_dark else _DARK))
    return Style(color=colour, bgcolor=Color.from_rgb(r, g, b), bold=bold)


@lru_cache(maxsize=4)
def label(on_dark: bool, bold: bool) -> Style:
    """A label with a ground of its own, the opposite of what it lies on."""
    front, back = (_DARK, _LIGHT) if on_dark else (_LIGHT, _DARK)
    return Style(color=Color.from_rgb(*front), bgcolor=Color.from_rgb(*back), bold=bold,
                 underline=bold)  # fmt: skip


@lru_cache(maxsize=16)
def plain(base: Style, bold: bool) -> Style:
    """Without colours: by weight alone."""
    return base + Style(bold=True, underline=bold)
