"""The pixels of a photo and of what lies on it, and which of them the terminal has by now."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from textual.geometry import Region

from atlas.drawing import placeholders
from atlas.drawing.photo import Bytes, Photo
from atlas.drawing.sixel import sixels
from atlas.drawing.tones import shown
from atlas.drawing.viewport import Viewport
from atlas.ui.photo_ink import COLOURS, DARK, LIGHT
from atlas.ui.terminal_graphics import Graphics

Colour = tuple[int, int, int]
Mask = NDArray[np.bool_]
# Cells to a tile, across and down: what is told from the rest as lying on the screen or not.
_TILES = {"sixel": (4, 2), "placeholders": (16, 4)}
_PIECE = 250_000  # pixels sent at once: some tens of milliseconds of work
_OWN = 3  # colours of our own before those of the photo: dark, light, the ground beside it
_GAP = 4  # tiles; what lies farther apart is sent apart


@dataclass(frozen=True)
class Aim:
    """What is to be seen: a part of a photo, in so many cells."""

    photo: Photo
    view: Viewport  # in pixels of the screen
    gamma: float
    ground: Colour
    columns: int
    rows: int


Piece = Region  # of the window [cells]


class Pixels:
    """What the window holds in pixels; knows which tiles of it are still to be sent.

    Args:
        graphics: how pixels get on the terminal.
        first: number of the first picture, where pictures have numbers.
    """

    def __init__(self, graphics: Graphics, first: int) -> None:
        self.graphics = graphics
        self.aim: Aim | None = None
        self.patched = False  # whether parts were sent since the whole was begun
        self._first = first
        self._drawn: Aim | None = None  # what ``_base`` shows
        self._base: Bytes = np.zeros((0, 0), dtype=np.uint8)
        self._palette: Bytes = np.zeros((0, 3), dtype=np.uint8)
        self._ink: Bytes = np.zeros((0, 0), dtype=np.uint8)
        self._stale: Mask = np.zeros((0, 0), dtype=bool)
        self._here: Mask = np.zeros((0, 0), dtype=bool)  # of numbered ones: the terminal has it

    @property
    def tile(self) -> tuple[int, int]:
        """Cells to a tile, across and down."""
        return _TILES[self.graphics.way]

    @property
    def composed(self) -> bool:
        """Whether what is aimed at has been worked out."""
        return self._drawn is self.aim

    def look(self, aim: Aim, ink: Bytes) -> bool:
        """Aim at something, with this over it; whether it is another part or size."""
        changed = self.aim != aim
        if changed:
            self.aim = aim
            across, down = self.tile
            self._stale = np.ones((-(-aim.rows // down), -(-aim.columns // across)), dtype=bool)
            self._here = np.zeros_like(self._stale)
        elif self._ink is not ink:
            self._stale |= self._tiles(self._ink != ink)
            self.patched = True
        self._ink = ink
        return changed

    def _tiles(self, differs: Mask) -> Mask:
        """The tiles in which any pixel is set."""
        wide, tall = (a * b for a, b in zip(self.tile, self.graphics.cell, strict=True))
        rows, columns = self._stale.shape
        room = np.zeros((rows * tall, columns * wide), dtype=bool)
        room[: differs.shape[0], : differs.shape[1]] = differs
        return np.asarray(room.reshape(rows, tall, columns, wide).any(axis=(1, 3)))

    @property
    def settled(self) -> bool:
        """Whether the terminal has all of it."""
        return self.composed and not self._stale.any()

    def _under(self, region: Region) -> tuple[slice, slice]:
        """Rows and columns of the tiles that a region meets."""
        across, down = self.tile
        return (slice(region.y // down, -(-region.bottom // down)),
                slice(region.x // across, -(-region.right // across)))  # fmt: skip

    def lost(self, region: Region) -> None:
        """Cells of the window were written over."""
        self._stale[self._under(region)] = True
        self.patched = True

    def standing(self, covered: Mask | None) -> list[list[tuple[int, int]]]:
        """Where pixels lie on the terminal: by row of tiles, first cell and the one after the last.

        What is covered counts as lost.
        """
        if covered is not None:
            self._stale |= covered
        across = self.tile[0]
        edges = np.diff(np.pad(~self._stale, ((0, 0), (1, 1))).astype(np.int8), axis=1)
        return [
            [(int(first) * across, int(last) * across)
             for first, last in zip(np.flatnonzero(row > 0), np.flatnonzero(row < 0), strict=True)]
            for row in edges
        ]  # fmt: skip

    def under(self, regions: list[Region]) -> Mask | None:
        """The tiles that regions of the window meet; None for none."""
        if not regions:
            return None
        mask = np.zeros_like(self._stale)
        for region in regions:
            mask[self._under(region)] = True
        return mask

    def is_here(self, column: int, row: int) -> bool:
        """Whether the terminal has the numbered picture of a cell."""
        across, down = self.tile
        return bool(self._here[row // down, column // across])

    def compose(self, aim: Aim) -> None:
        """Work out the pixels of an aim: once for each, all that is drawn over it comes later."""
        rgb, inside = shown(aim.photo, aim.view, aim.gamma, fine=True)
        if self.graphics.way == "placeholders":
            base = np.where(inside[..., None], rgb, np.array(aim.ground, dtype=np.uint8))
        else:
            base = np.where(inside, self._quantised(rgb) + _OWN, 2).astype(np.uint8)
            own = np.array([*COLOURS, aim.ground], dtype=np.uint8)
            self._palette = np.concatenate([own, self._palette])
        if aim is self.aim:
            self._base, self._drawn = base, aim

    def _quantised(self, rgb: Bytes) -> Bytes:
        """Index of each pixel's colour, among as many as the terminal has left for the photo."""
        from PIL import Image

        picture = Image.fromarray(rgb)
        count = self.graphics.colours - _OWN
        few = picture.reduce(4) if min(picture.size) > 200 else picture
        chosen = few.quantize(count, Image.Quantize.MEDIANCUT)
        # With many colours the error is too small to be spread, and noise makes the bytes more.
        spread = Image.Dither.FLOYDSTEINBERG if count < 100 else Image.Dither.NONE
        indices = np.asarray(picture.quantize(palette=chosen, dither=spread))
        colours = chosen.getpalette() or [0, 0, 0]
        self._palette = np.array(colours, dtype=np.uint8).reshape(-1, 3)
        return indices

    # ---------------------------------------------------------------------------------- sending
    def next(self, covered: Mask | None) -> Piece | None:
        """A piece that is to be sent, taken as sent; None where there is nothing.

        Args:
            covered: tiles over which something else lies, or None.
        """
        due = self._stale if covered is None else self._stale & ~covered
        if not due.any():
            return None
        if due.all():
            self.patched = False
        if self.graphics.way == "placeholders":
            top, left = (int(at) for at in np.argwhere(due)[0])
            rows, columns = slice(top, top + 1), slice(left, left + 1)
        else:
            rows, columns = self._rectangle(due, covered)
        self._stale[rows, columns] = False
        across, down = self.tile
        assert self.aim is not None
        whole = Region(0, 0, self.aim.columns, self.aim.rows)
        return Region.from_corners(columns.start * across, rows.start * down,
                                   columns.stop * across, rows.stop * down
                                   ).intersection(whole)  # fmt: skip

    def _rectangle(self, due: Mask, covered: Mask | None) -> tuple[slice, slice]:
        """Rows and columns of tiles about the first that is due, no more than a piece may hold."""
        wide, tall = (a * b for a, b in zip(self.tile, self.graphics.cell, strict=True))
        widest, tallest = self.graphics.largest
        # Its window uncovered, such a terminal draws the last 16 pictures again; a new one drives
        # out the one that begins highest (XTerm 379, tried). So the whole has to be one.
        area = due.size * wide * tall if self.graphics.few else _PIECE
        most_across = max(widest // wide, 1) if widest else due.shape[1]
        first = int(np.flatnonzero(due.any(axis=1))[0])
        columns = _run(due[first], _GAP if covered is None else 0, most_across)
        most_down = max(area // (wide * tall * (columns.stop - columns.start)), 1)
        if tallest:
            most_down = min(most_down, max(tallest // tall, 1))
        if covered is not None:
            return slice(first, first + 1), columns
        downwards = np.asarray(due[first:, columns].any(axis=1))
        rows = _run(downwards, 0, most_down)
        # Rows below may reach farther to the sides; what they have more is a piece of its own.
        return slice(first + rows.start, first + rows.stop), columns

    def encoded(self, piece: Piece, left: int, top: int) -> str:
        """What draws a piece.

        Args:
            piece: of the window.
            left, top: the screen's cell in which the window begins.
        """
        wide, tall = self.graphics.cell
        part = np.s_[piece.y * tall : piece.bottom * tall, piece.x * wide : piece.right * wide]
        base, ink = self._base[part], self._ink[part]
        if self.graphics.way == "sixel":
            drawn = np.where(ink, ink - 1, base).astype(np.uint8)
            there = f"\x1b[{top + piece.y + 1};{left + piece.x + 1}H"
            return f"\x1b7{there}{sixels(drawn, self._palette)}\x1b8"
        drawn = base.copy()
        for code, colour in zip((DARK, LIGHT), COLOURS, strict=True):
            drawn[ink == code] = colour
        return placeholders.sent(drawn, self.number(piece.x, piece.y), *piece.size)

    def arrived(self, piece: Piece) -> bool:
        """Note that the terminal has a piece; whether its cells are to be written now."""
        rows, columns = self._under(piece)
        fresh = self.graphics.way == "placeholders" and not self._here[rows, columns].all()
        self._here[rows, columns] = True
        return fresh

    def number(self, column: int, row: int) -> int:
        """Of the picture that a cell belongs to."""
        across, down = self.tile
        return self._first + row // down * 64 + column // across

    def forgotten(self) -> str:
        """What takes all numbered pictures away."""
        if self.graphics.way == "sixel":
            return ""
        rows, columns = self._here.shape
        across, down = self.tile
        return "".join(placeholders.forgotten(self.number(c * across, r * down))
                       for r in range(rows) for c in range(columns))  # fmt: skip


def _run(wanted: Mask, gap: int, most: int) -> slice:
    """From the first that is wanted to the last with no gap wider than allowed before it."""
    places = np.flatnonzero(wanted)
    breaks = np.flatnonzero(np.diff(places) > gap + 1)
    last = places[breaks[0]] if len(breaks) else places[-1]
    first = int(places[0])
    return slice(first, min(int(last) + 1, first + most))
