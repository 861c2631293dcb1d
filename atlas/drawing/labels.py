"""Free places for labels: near where they were drawn, on as little ink as can be."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Cell = tuple[float, float]  # column, row

_TOO_MUCH = 1e6


@dataclass(frozen=True, slots=True)
class Wish:
    """A text, the cell that its middle would like, and the cell that it speaks of."""

    text: str
    at: Cell
    to: Cell | None = None


@dataclass(frozen=True, slots=True)
class Placed:
    """Where a text went: its first cell, or ``None`` where no place was free enough."""

    column: int
    row: int
    text: str


def place(wishes: Sequence[Wish], ink: NDArray[np.float64]) -> list[Placed | None]:
    """Find a place for each text, longest first, none over another.

    Args:
        wishes: texts with the places that they would like.
        ink: for each cell (rows by columns) what covering it costs.

    Returns:
        Places in the order of the wishes.
    """
    rows, columns = ink.shape
    taken = np.zeros_like(ink)
    # What a label points at must stay in sight.
    for wish in wishes:
        if wish.to is not None:
            column, row = (int(np.floor(v)) for v in wish.to)
            if 0 <= row < rows and 0 <= column < columns:
                taken[row, column] += 12
    places: list[Placed | None] = [None] * len(wishes)
    leaders: list[tuple[Cell, Cell]] = []
    order = sorted(range(len(wishes)), key=lambda i: -len(wishes[i].text))
    for index in order:
        wish = wishes[index]
        length = len(wish.text)
        if length > columns or not length:
            continue
        cost = _windows(ink + taken, length) + 0.25 * _windows(_beside(ink), length)
        cost = cost + 0.4 * _windows(np.pad(ink, ((0, 0), (1, 1))), length + 2)
        row_numbers, starts = np.mgrid[0:rows, 0 : columns - length + 1]
        middle = starts + (length - 1) / 2
        away = np.hypot((middle - wish.at[0]), 2.0 * (row_numbers - wish.at[1]))
        cost = cost + 1.1 * away
        if wish.to is not None:
            near = np.clip(wish.to[0], starts, starts + length - 1)
            reach = np.hypot(near - wish.to[0], 2.0 * (row_numbers - wish.to[1]))
            cost = cost + 0.5 * reach
        for row, column in _best(cost, 24):
            crossing = sum(_crosses((column, row, length), leader) for leader in leaders)
            cost[row, column] += 25.0 * crossing
        row, column = (int(v) for v in np.unravel_index(int(cost.argmin()), cost.shape))
        if cost[row, column] >= 90 + 6 * length:
            continue
        places[index] = Placed(column, row, wish.text)
        taken[row, max(0, column - 1) : column + length + 1] = _TOO_MUCH
        if wish.to is not None:
            leaders.append((leader_start(places[index], wish.to), wish.to))
    return places


def leader_start(placed: Placed | None, to: Cell) -> Cell:
    """Return the cell beside a placed text from which a line to ``to`` sets out."""
    assert placed is not None
    first, last = placed.column, placed.column + len(placed.text) - 1
    if to[0] < first - 0.5:
        return (first - 1.0, placed.row)
    if to[0] > last + 0.5:
        return (last + 1.0, placed.row)
    return (min(max(to[0], first), last), placed.row + (0.6 if to[1] > placed.row else -0.6))


def _windows(cells: NDArray[np.float64], length: int) -> NDArray[np.float64]:
    """Sum of each run of ``length`` cells in each row."""
    summed = np.pad(np.cumsum(cells, axis=1), ((0, 0), (1, 0)))
    return np.asarray(summed[:, length:] - summed[:, :-length], dtype=np.float64)


def _beside(ink: NDArray[np.float64]) -> NDArray[np.float64]:
    """Ink just above and below, which makes a text harder to read though not covered."""
    padded = np.pad(ink, ((1, 1), (0, 0)))
    return np.minimum(padded[:-2], 4) + np.minimum(padded[2:], 4)


def _best(cost: NDArray[np.float64], count: int) -> list[tuple[int, int]]:
    flat = np.argpartition(cost, min(count, cost.size - 1), axis=None)[:count]
    return [(int(i) // cost.shape[1], int(i) % cost.shape[1]) for i in flat]


def _crosses(box: tuple[int, int, int], leader: tuple[Cell, Cell]) -> bool:
    column, row, length = box
    (x0, y0), (x1, y1) = leader
    t = np.linspace(0.0, 1.0, 40)
    x, y = x0 + (x1 - x0) * t, y0 + (y1 - y0) * t
    return bool(np.any((np.abs(y - row) < 0.75) & (x > column - 0.7) & (x < column + length - 0.3)))
