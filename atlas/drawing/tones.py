"""A picture in terminal cells: two pixels a cell in colour, dots or letters without."""

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from atlas.drawing.canvas import BRAILLE
from atlas.drawing.photo import Bytes, Photo
from atlas.drawing.viewport import Viewport

Mode = Literal["colour", "dots", "letters"]
# Dots across and down a cell, and a dot's height over its width where a cell is twice as tall as
# it is wide, as nearly everywhere.
DOTS: dict[Mode, tuple[int, int, float]] = {
    "colour": (1, 2, 1.0),
    "dots": (2, 4, 1.0),
    "letters": (1, 1, 2.0),
}
_RAMP = np.array(list(" .:-=+*#%@"))
# Ordered dither of 4 x 4: B. E. Bayer, IEEE Int. Conf. Communications 1973, 26-11 (from memory).
_BAYER = (np.array([[0, 8, 2, 10], [12, 4, 14, 6], [3, 11, 1, 9], [15, 7, 13, 5]]) + 0.5) / 16


@dataclass(frozen=True)
class Cells:
    """A window as cells: signs, and in colour the upper and lower half of each.

    ``bright`` (rows, columns) is how light each cell is, 0 to 1, for what is drawn over it;
    ``beside`` is true of the cells that no part of the picture lies in.
    """

    signs: tuple[str, ...]
    upper: Bytes | None
    lower: Bytes | None
    bright: NDArray[np.float64]
    beside: NDArray[np.bool_]


def dots_of(columns: int, rows: int, mode: Mode) -> tuple[int, int, float]:
    """Dots across and down in so many cells, and how tall a dot is.

    >>> dots_of(40, 10, "dots")
    (80, 40, 1.0)
    """
    across, down, tall = DOTS[mode]
    return columns * across, rows * down, tall


def cells_of(
    photo: Photo, view: Viewport, mode: Mode, gamma: float = 1.0, light_ground: bool = False
) -> Cells:
    """Draw what is in sight.

    Args:
        photo: the picture.
        view: the part of it, in dots of ``mode``.
        mode: colour, dots (Braille) or letters (ASCII).
        gamma: above 1 the dark parts come out lighter.
        light_ground: the terminal writes dark on light, so dots and letters stand for shade.
    """
    across, down, _ = DOTS[mode]
    rgb, inside = shown(photo, view, gamma)
    grey = rgb @ np.array([0.2126, 0.7152, 0.0722]) / 255  # luma weights of ITU-R BT.709
    rows, columns = view.rows // down, view.columns // across
    bright = grey.reshape(rows, down, columns, across).mean(axis=(1, 3))
    beside = np.asarray(~inside.reshape(rows, down, columns, across).any(axis=(1, 3)))
    if mode == "colour":
        signs = ("▀" * columns,) * rows
        return Cells(signs, rgb[0::2], rgb[1::2], bright, beside)
    shade = _stretched(grey, inside)
    if light_ground:
        shade = 1 - shade
    shade = np.where(inside, shade, 0.0)
    codes = _letters(shade) if mode == "letters" else _dotted(shade, rows, columns)
    return Cells(tuple("".join(row) for row in codes), None, None, bright, beside)


def shown(
    photo: Photo, view: Viewport, gamma: float = 1.0, fine: bool = False
) -> tuple[Bytes, NDArray[np.bool_]]:
    """Colours of the window's dots, black beside the picture, and which dots lie in it.

    Args:
        photo: the picture.
        view: the part of it.
        gamma: above 1 the dark parts come out lighter.
        fine: dots are the screen's pixels.
    """
    rgb = np.zeros((view.rows, view.columns, 3), dtype=np.uint8)
    inside = np.zeros((view.rows, view.columns), dtype=bool)
    first, top = (np.ceil(v - 1e-6) for v in view.dot(0, 0))
    last, bottom = (np.floor(v + 1e-6) for v in view.dot(view.width, view.height))
    c0, r0 = int(max(first, 0)), int(max(top, 0))
    c1, r1 = int(min(last, view.columns)), int(min(bottom, view.rows))
    if c1 <= c0 or r1 <= r0:
        return rgb, inside
    left, upper = view.point(c0, r0)
    right, lower = view.point(c1, r1)
    part = photo.window(left, upper, right, lower, c1 - c0, r1 - r0, fine)
    if gamma != 1:
        part = (255 * (np.arange(256) / 255) ** (1 / gamma)).astype(np.uint8)[part]
    rgb[r0:r1, c0:c1] = part
    inside[r0:r1, c0:c1] = True
    return rgb, inside


def _stretched(grey: NDArray[np.float64], inside: NDArray[np.bool_]) -> NDArray[np.float64]:
    """Black and white where the window's own darkest and lightest parts are."""
    if not inside.any():
        return grey
    low, high = np.percentile(grey[inside], (1, 99))
    return np.asarray(np.clip((grey - low) / max(high - low, 1 / 255), 0, 1))


def _letters(shade: NDArray[np.float64]) -> NDArray[np.str_]:
    return np.asarray(_RAMP[np.rint(shade * (len(_RAMP) - 1)).astype(int)])


def _dotted(shade: NDArray[np.float64], rows: int, columns: int) -> NDArray[np.str_]:
    tiles = np.tile(_BAYER, (rows, -(-columns // 2)))[:, : 2 * columns]
    lit = (shade > tiles).reshape(rows, 4, columns, 2)
    codes = 0x2800 + np.einsum("rdca,da->rc", lit, BRAILLE)
    return np.array([[chr(code) for code in row] for row in codes])
