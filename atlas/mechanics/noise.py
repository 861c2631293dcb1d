"""Rounding left over where two equal numbers were taken from each other."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

# Elimination of some hundreds of unknowns leaves about 1e-12 of the largest number.
_SHARE = 1e-9


def settled(difference: ArrayLike, beside: ArrayLike) -> NDArray[np.float64]:
    """A difference, with zero where it is no more than the rounding of what it was taken from.

    A symmetric load moves both sides alike: what is left between them is no movement.

    Args:
        difference: what is left [any unit].
        beside: size of the numbers that were taken from each other [the same unit].

    Returns:
        The difference, in their common shape [the same unit].

    Raises:
        ValueError: the shapes do not go together.

    Leaves out: loads so ill-conditioned that rounding grows past a billionth.
    Source: IEEE 754 double precision, 1.1e-16 a step, with room for some hundreds of unknowns.

    >>> settled([3e-19, 2e-6], 1e-3) == 0
    array([ True, False])
    """
    left = np.asarray(difference, dtype=np.float64)
    return np.where(np.abs(left) > _SHARE * np.abs(np.asarray(beside)), left, 0.0)
