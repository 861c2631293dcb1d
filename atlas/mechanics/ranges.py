"""Refusal of values outside a formula's range, and of walls too thick, by name."""

import numpy as np
from numpy.typing import ArrayLike, NDArray


def within(
    name: str,
    value: ArrayLike,
    low: float,
    high: float,
    *,
    above: bool = False,
) -> NDArray[np.float64]:
    """Return ``value`` as a float array, or refuse it by name.

    Args:
        name: the argument's name, as the message gives it.
        value: any shape [unit of the argument].
        low: least value allowed [unit of the argument].
        high: greatest value allowed [unit of the argument].
        above: true where ``low`` itself is refused as well.

    Returns:
        The value as float64, same shape [unit of the argument].

    Raises:
        ValueError: an entry is NaN, infinite or outside; the message names the argument.

    Leaves out: any judgement whether a value inside the range is plausible.
    Source: arithmetic.

    >>> within("gauge", [0.001, 0.002], 0, 0.1)
    array([0.001, 0.002])
    """
    array = np.asarray(value, dtype=np.float64)
    # Asked for as "not inside", so that NaN counts as outside.
    inside = (array > low if above else array >= low) & (array <= high)
    if not bool(np.all(inside)) or array.size == 0:
        worst = "nothing" if array.size == 0 else f"{float(array[~inside].flat[0]):g}"
        bound = f"more than {low:g}" if above else f"at least {low:g}"
        raise ValueError(f"{name} must be {bound} and at most {high:g}, got {worst}")
    return array


def hollow(name: str, wall: ArrayLike, across: ArrayLike) -> None:
    """Refuse a wall that is thicker than half of what it walls.

    Args:
        name: the wall's name, as the message gives it.
        wall: its thickness [m].
        across: outer size that it stands at both ends of [m].

    Raises:
        ValueError: the wall is too thick; the message names it.

    Leaves out: any judgement whether such a wall could be made.
    Source: arithmetic.

    >>> hollow("gauge", 0.002, 0.08)
    """
    if np.any(2 * np.asarray(wall) > np.asarray(across) * (1 + 1e-12)):
        raise ValueError(f"{name} must be at most half the side that it walls (inner beyond outer)")
