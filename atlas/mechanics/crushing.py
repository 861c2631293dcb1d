"""Axial crushing of tubes: mean force, fold length, rate, usable stroke."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .ranges import within

Floats = NDArray[np.float64]

# Cowper-Symonds coefficients D [1/s] and q [-] at large strain. N. Jones, Structural Impact,
# Table 8.1 and 8.3 (from memory).
RATE: dict[str, tuple[float, float]] = {
    "steel": (6844.0, 3.91),
    "aluminium": (6500.0, 4.0),
    "stainless": (100.0, 10.0),
}


def square_mean_force(side: ArrayLike, gauge: ArrayLike, flow: ArrayLike) -> Floats:
    """Mean force of a square tube that folds progressively, quasi-static.

    Args:
        side: side of the middle line [m]; the mean of both sides of a rectangle.
        gauge: wall thickness [m].
        flow: flow stress [Pa].

    Returns:
        Mean force [N]; of the symmetric, the mixed and the extensional mode the least.

    Raises:
        ValueError: an entry is NaN or outside its range, or side over gauge outside 4 to 150.

    Leaves out: welds, fracture, triggers.
    Source: W. Abramowicz and N. Jones, Int. J. Impact Engng 2 (1984) 179-208 and 4 (1986) 243-270:
    P/M0 = 52.22 x^(1/3), 45.90 x^(1/3) + 1.75 x^(2/3) + 1.02, 32.64 x^(1/2) + 8.16 with
    M0 = flow gauge^2 / 4 (from memory).

    >>> round(float(square_mean_force(80e-3, 1.8e-3, 300e6)) / 1e3, 1)
    44.9
    """
    x, plastic = _slim("side", side, gauge, flow, 4, 150)
    symmetric = 52.22 * np.cbrt(x)
    mixed = 45.90 * np.cbrt(x) + 1.75 * np.cbrt(x) ** 2 + 1.02
    extended = 32.64 * np.sqrt(x) + 8.16
    return np.asarray(plastic * np.minimum(np.minimum(symmetric, mixed), extended))


def round_mean_force(diameter: ArrayLike, gauge: ArrayLike, flow: ArrayLike) -> Floats:
    """Mean force of a round tube that folds in rings, quasi-static.

    Args:
        diameter: diameter of the middle line [m].
        gauge: wall thickness [m].
        flow: flow stress [Pa].

    Returns:
        Mean force [N].

    Raises:
        ValueError: an entry is NaN or outside its range, or diameter over gauge outside 10 to 150.

    Leaves out: diamond folds of thinner tubes, fracture, triggers.
    Source: W. Abramowicz and N. Jones, Int. J. Impact Engng 4 (1986) 243-270: P/M0 =
    (20.79 (D/h)^(1/2) + 11.90) / (0.86 - 0.568 (h/D)^(1/2)), M0 = (2/sqrt 3) flow h^2 / 4
    (from memory).

    >>> round(float(round_mean_force(56e-3, 1.2e-3, 280e6)) / 1e3, 2)
    23.06
    """
    x, plastic = _slim("diameter", diameter, gauge, flow, 10, 150)
    ringed = 2 / np.sqrt(3) * plastic * (20.79 * np.sqrt(x) + 11.90)
    return np.asarray(ringed / round_stroke_share(x))


def round_stroke_share(slimness: ArrayLike) -> Floats:
    """Share of a round tube's length that its folds give up.

    Args:
        slimness: diameter over gauge [-].

    Returns:
        Effective crushing distance over length [-].

    Leaves out: bending as a whole.
    Source: W. Abramowicz and N. Jones, Int. J. Impact Engng 4 (1986): 0.86 - 0.568 (h/D)^(1/2)
    (from memory).

    >>> round(float(round_stroke_share(27.0)), 2)
    0.75
    """
    return np.asarray(0.86 - 0.568 / np.sqrt(within("slimness", slimness, 4, 500)))


def cells_mean_force(
    walls: ArrayLike, corners: ArrayLike, gauge: ArrayLike, flow: ArrayLike, share: ArrayLike = 0.75
) -> Floats:
    """Mean force of a tube of one or more cells by the simplified super-folding element.

    Args:
        walls: length of all walls in the section together [m].
        corners: number of right-angle corners; a T-joint counts as 2, a crossing as 4 [-].
        gauge: wall thickness [m].
        flow: flow stress [Pa].
        share: share of a fold's length that is crushed [-].

    Returns:
        Mean force [N].

    Raises:
        ValueError: an entry is NaN or outside its range; the message names the argument.

    Leaves out: unequal gauges, fracture, triggers.
    Source: W. Chen and T. Wierzbicki, Thin-Walled Structures 39 (2001) 287-306; X. Zhang,
    G. Cheng and H. Zhang, Thin-Walled Structures 44 (2006) 1185-1191 (from memory): bending of
    all walls through 2 pi, membrane work 4 M0 H^2 / t a corner, least force over H.

    >>> round(float(cells_mean_force(0.32, 4, 2e-3, 250e6)) / 1e3, 2)
    42.28
    """
    run = within("walls", walls, 0, 10, above=True)
    count = within("corners", corners, 1, 200)
    wall = within("gauge", gauge, 0, 0.05, above=True)
    plastic = within("flow", flow, 1e6, 3e9) * wall**2 / 4
    kept = within("share", share, 0.4, 1)
    return np.asarray(2 * plastic / kept * np.sqrt(2 * np.pi * count * run / wall))


def fold_length(walls: ArrayLike, corners: ArrayLike, gauge: ArrayLike) -> Floats:
    """Length of one complete fold, 2 H, of a tube with one or more cells.

    Args:
        walls: length of all walls in the section together [m].
        corners: number of right-angle corners; a T-joint counts as 2, a crossing as 4 [-].
        gauge: wall thickness [m].

    Returns:
        Fold length [m].

    Leaves out: triggers.
    Source: as for ``cells_mean_force``; H = (pi L t / (2 N))^(1/2).

    >>> round(float(fold_length(0.32, 4, 2e-3)) * 1e3, 1)
    31.7
    """
    run = within("walls", walls, 0, 10, above=True) * within("gauge", gauge, 0, 0.05, above=True)
    return np.asarray(2 * np.sqrt(np.pi * run / (2 * within("corners", corners, 1, 200))))


def rate_factor(rate: ArrayLike, coefficient: float, exponent: float) -> Floats:
    """Dynamic over static flow stress.

    Args:
        rate: strain rate [1/s].
        coefficient: D of Cowper and Symonds [1/s].
        exponent: q of Cowper and Symonds [-].

    Returns:
        Factor on the flow stress [-].

    Leaves out: inertia of the walls, heating.
    Source: G. R. Cowper and P. S. Symonds (1957), as in N. Jones, Structural Impact.

    >>> round(float(rate_factor(50, 6844, 3.91)), 3)
    1.284
    """
    return np.asarray(1 + (within("rate", rate, 0, 1e5) / coefficient) ** (1 / exponent))


def bending_length(side: ArrayLike, gauge: ArrayLike) -> Floats:
    """Length above which a square tube bends as a whole instead of folding.

    Args:
        side: side of the middle line [m].
        gauge: wall thickness [m].

    Returns:
        Critical length [m], dynamic loading.

    Leaves out: oblique load, which makes it shorter; triggers, which make it longer.
    Source: W. Abramowicz and N. Jones, Int. J. Impact Engng 19 (1997) 415-437, mild steel, dynamic:
    L/c = 2.482 exp(0.0409 c/h) (from memory).

    >>> round(float(bending_length(0.06, 2e-3)), 3)
    0.508
    """
    c = within("side", side, 0, 1, above=True)
    slim = np.minimum(c / within("gauge", gauge, 0, 0.05, above=True), 60.0)
    return np.asarray(c * 2.482 * np.exp(0.0409 * slim))


def _slim(
    name: str, across: ArrayLike, gauge: ArrayLike, flow: ArrayLike, low: float, high: float
) -> tuple[Floats, Floats]:
    width = within(name, across, 0, 2, above=True)
    wall = within("gauge", gauge, 0, 0.1, above=True)
    slim = within(f"{name} over gauge", width / wall, low, high)
    return slim, np.asarray(within("flow", flow, 1e6, 3e9) * wall**2 / 4)
