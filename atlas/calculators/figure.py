"""A plot as data: what to draw, on which axes; ``atlas.drawing`` draws it."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Axis:
    """An axis: what is on it and in which unit; ``log`` for decades; limits where fixed."""

    title: str
    unit: str = ""
    log: bool = False
    low: float | None = None
    high: float | None = None


@dataclass(frozen=True)
class Curve:
    """A line through ``x``, ``y``; with ``low`` and ``high`` also its 5-95 % band."""

    name: str
    x: Floats
    y: Floats
    low: Floats | None = None
    high: Floats | None = None
    style: str = "main"  # main | other | limit | path


@dataclass(frozen=True)
class Points:
    """Marked points, e.g. the setting itself or test results."""

    name: str
    x: Floats
    y: Floats


@dataclass(frozen=True)
class Bar:
    """A horizontal bar with its range and, where there is one, the limit it is held against."""

    name: str
    value: float
    low: float
    high: float
    limit: float | None = None


@dataclass(frozen=True)
class SignMap:
    """A field over two axes of which the sign matters: ``z`` has shape (len(y), len(x))."""

    x: Floats
    y: Floats
    z: Floats
    positive: str  # what z > 0 means
    negative: str


@dataclass(frozen=True)
class Figure:
    """One plot with a sentence that says what to read off it."""

    title: str
    x: Axis
    y: Axis
    curves: tuple[Curve, ...] = ()
    points: tuple[Points, ...] = ()
    bars: tuple[Bar, ...] = ()
    sign_map: SignMap | None = None
    note: str = ""
    equal: bool = False  # same scale on both axes (plans and motions)
