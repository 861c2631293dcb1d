"""Which input causes how much of a result's variance."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
METHOD = (
    "first-order share by correlation ratio over the sample (Plischke 2010), "
    "total share by Jansen's estimator (Jansen 1999)"
)


@dataclass(frozen=True)
class Driver:
    """A cause of variation with its shares of the leading result's variance, 0..1."""

    input: str
    share: float  # alone
    total: float  # with its interactions


def first_order(unit: Floats, result: Floats) -> Floats:
    """First-order variance shares of each column of ``unit``, by correlation ratio.

    Args:
        unit: sample points in (0, 1), shape (count, factors) [-].
        result: the result at each, shape (count,) [any].

    Source: E. Plischke, Reliability Engineering & System Safety 95 (2010), 354-360 (the idea of
    estimating from the given sample; here by equal-count classes with the bias taken off).

    >>> u = np.random.default_rng(1).random((20000, 2))
    >>> first_order(u, 3 * u[:, 0] + 4 * u[:, 1]).round(1)
    array([0.4, 0.6])
    """
    count, dimensions = unit.shape
    variance = float(np.var(result))
    if variance <= 0 or count < 8:
        return np.zeros(dimensions)
    classes = int(np.clip(np.sqrt(count) / 2, 2, 50))
    shares = np.empty(dimensions)
    for i in range(dimensions):
        index = np.minimum((unit[:, i] * classes).astype(int), classes - 1)
        sizes = np.bincount(index, minlength=classes)
        means = np.bincount(index, result, classes) / np.maximum(sizes, 1)
        raw = float(np.sum(sizes * (means - result.mean()) ** 2)) / count / variance
        # Pure noise would show (classes - 1) / (count - 1).
        noise = (classes - 1) / (count - 1)
        shares[i] = (raw - noise) / (1 - noise)
    return np.clip(shares, 0.0, 1.0)


def total_order(
    evaluate: Callable[[Floats], Floats], dimensions: int, base: int, rng: np.random.Generator
) -> Floats:
    """Total variance shares by Jansen's estimator.

    Args:
        evaluate: result at sample points of shape (n, dimensions) [any].
        dimensions: number of factors [-].
        base: size of the two base samples [-].
        rng: source of randomness.

    Source: M. J. W. Jansen, Computer Physics Communications 117 (1999), 35-43.
    """
    a, b = rng.random((2, base, dimensions))
    stacked = [a]
    for i in range(dimensions):
        mixed = a.copy()
        mixed[:, i] = b[:, i]
        stacked.append(mixed)
    results = evaluate(np.concatenate(stacked)).reshape(dimensions + 1, base)
    variance = float(np.var(results))
    if variance <= 0:
        return np.zeros(dimensions)
    return np.asarray(
        np.clip(np.mean((results[0] - results[1:]) ** 2, axis=1) / (2 * variance), 0.0, 1.0)
    )
