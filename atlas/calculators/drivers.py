"""Which input causes how much of a result's variance."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
METHOD = (
    "shares from a quadratic polynomial chaos expansion over the sample where it holds on points "
    "that it was not fitted to (Le Gratiet, Marelli, Sudret 2016); else first-order share by "
    "correlation ratio (Plischke 2010) and total share by Jansen's estimator (Jansen 1999)"
)
# Variance that the expansion may leave unexplained on points it was not fitted to.
_UNEXPLAINED = 0.01


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


def by_expansion(unit: Floats, result: Floats) -> tuple[Floats, Floats] | None:
    """First-order and total variance shares from an expansion in orthogonal polynomials.

    Costs no further runs of the model. Linear, quadratic and paired terms in each factor's rank;
    None where the sample is too small for it or the result bends more than it can follow, which
    is judged on points that were kept out of the fit.

    Args:
        unit: sample points in (0, 1), shape (count, factors) [-].
        result: the result at each, shape (count,) [any].

    Source: L. Le Gratiet, S. Marelli, B. Sudret, Metamodel-based sensitivity analysis: polynomial
    chaos expansions and Gaussian processes, arXiv:1606.04273 (2016).

    >>> u = np.random.default_rng(1).random((5000, 2))
    >>> alone, total = by_expansion(u, (u[:, 0] - 0.5) * (u[:, 1] - 0.5) + u[:, 0] / np.sqrt(12))
    >>> alone.round(2) + 0.0, total.round(2)  # half by the first alone, half by both together
    (array([0.5, 0. ]), array([1. , 0.5]))
    """
    count, factors = unit.shape
    pairs = np.stack(np.triu_indices(factors, 1))
    terms = 1 + 2 * factors + pairs.shape[1]
    fitted = max(8 * terms, 400)
    kept_out = fitted // 4
    if fitted + kept_out > count:
        return None
    x = 2 * unit[: fitted + kept_out] - 1
    linear = np.sqrt(3.0) * x
    basis = np.concatenate(
        [np.ones((len(x), 1)), linear, np.sqrt(5.0) * (1.5 * x**2 - 0.5),
         linear[:, pairs[0]] * linear[:, pairs[1]]], axis=1,
    )  # fmt: skip
    target = result[: len(x)]
    inner = basis[:fitted]
    weights = np.linalg.solve(inner.T @ inner, inner.T @ target[:fitted])
    miss = float(np.mean((target[fitted:] - basis[fitted:] @ weights) ** 2))
    parts = weights[1:] ** 2
    whole = float(parts.sum())
    if not whole or miss > _UNEXPLAINED * whole:
        return None
    alone = parts[:factors] + parts[factors : 2 * factors]
    paired = parts[2 * factors :]
    total = alone + np.bincount(pairs[0], paired, factors) + np.bincount(pairs[1], paired, factors)
    return alone / whole, total / whole
