"""Readings to samples: stratified, seeded, with readings off one scale moving together."""

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from atlas.calculators.values import Spread, normal_quantile
from atlas.mechanics.release import normal_cdf

Floats = NDArray[np.float64]


def factors(spreads: Mapping[str, Spread]) -> dict[str, tuple[str, ...]]:
    """Independent causes of variation: each varying input, or each scale with all tied to it.

    A reading that follows its scale in part has a cause of its own besides.

    >>> s = Spread("uniform", 2, 1, 3, tie="photo")
    >>> factors({"a": s, "b": s, "c": Spread("fixed", 1, 1, 1)})
    {'@photo': ('a', 'b')}
    >>> factors({"a": s, "b": Spread("uniform", 2, 1, 3, tie="photo", follows=0.6)})
    {'@photo': ('a', 'b'), 'b': ('b',)}
    """
    groups: dict[str, list[str]] = {}
    for name, spread in spreads.items():
        if spread.varies:
            groups.setdefault(f"@{spread.tie}" if spread.tie else name, []).append(name)
            if spread.tie and abs(spread.follows) < 1:
                groups.setdefault(name, []).append(name)
    return {cause: tuple(names) for cause, names in groups.items()}


def unit_sample(count: int, dimensions: int, rng: np.random.Generator) -> Floats:
    """Latin hypercube in (0, 1), shape (count, dimensions).

    Source: M. D. McKay, R. J. Beckman, W. J. Conover, Technometrics 21 (1979), 239-245
    (from memory).

    >>> unit_sample(4, 2, np.random.default_rng(0)).shape
    (4, 2)
    """
    cells = np.argsort(rng.random((dimensions, count)), axis=1).T
    return np.asarray((cells + rng.random((count, dimensions))) / count, dtype=np.float64)


def draw(
    spreads: Mapping[str, Spread], bounds: Mapping[str, tuple[float, float]], unit: Floats
) -> dict[str, Floats]:
    """Values of every input at the points ``unit`` (count, factors), in own units.

    A tolerance whose tail leaves the input's bounds is cut off there (truncated, not clipped).
    """
    column = {cause: i for i, cause in enumerate(factors(spreads))}
    values: dict[str, Floats] = {}
    for name, spread in spreads.items():
        if not spread.varies:
            values[name] = np.full(len(unit), spread.centre)
            continue
        quantile = unit[:, column[f"@{spread.tie}" if spread.tie else name]]
        if spread.tie and spread.follows != 1:
            quantile = _followed(spread.follows, quantile, unit, column.get(name))
        if spread.kind == "normal":
            quantile = _inside(spread, bounds[name], quantile)
        values[name] = spread.at(quantile)
    return values


def _followed(follows: float, scale: Floats, unit: Floats, own: int | None) -> Floats:
    """Quantiles of a reading that follows its scale in part: a Gaussian copula of one factor."""
    if own is None:
        return 1 - scale  # against the scale, wholly
    mixed = follows * normal_quantile(scale) + np.sqrt(1 - follows**2) * normal_quantile(
        unit[:, own]
    )
    return normal_cdf(mixed)


def _inside(spread: Spread, bounds: tuple[float, float], quantile: Floats) -> Floats:
    from math import erf, sqrt

    low, high = (0.5 * (1 + erf((b - spread.centre) / spread.sd / sqrt(2))) for b in bounds)
    return low + (high - low) * quantile
