"""Mounts that are meant to let go: release loads and the weakest and strongest of several."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .ranges import within

Floats = NDArray[np.float64]


def normal_cdf(value: ArrayLike) -> Floats:
    """Cumulative standard normal distribution.

    Args:
        value: standard deviations from the mean [-].

    Returns:
        Probability of a lesser value [-].

    Leaves out: the far tails: the error of about 1e-7 swamps probabilities below 1e-6.
    Source: M. Abramowitz and I. A. Stegun, Handbook of Mathematical Functions, 7.1.26.

    >>> round(float(normal_cdf(1.6449)), 3)
    0.95
    """
    z = np.clip(np.asarray(value, dtype=np.float64), -40, 40)
    x = np.abs(z) / np.sqrt(2)
    t = 1 / (1 + 0.3275911 * x)
    series = t * (
        0.254829592 + t * (-0.284496736 + t * (1.421413741 + t * (-1.453152027 + t * 1.061405429)))
    )
    tail = 0.5 * series * np.exp(-(x**2))
    return np.asarray(np.where(z > 0, 1 - tail, tail))


def largest_normal(count: ArrayLike) -> Floats:
    """Mean of the largest of several standard normal values; the least has its negative.

    Args:
        count: how many values [-], 1 to 100.

    Returns:
        Mean of the largest, in standard deviations [-].

    Leaves out: dependence between the values.
    Source: order statistics, integral of z n phi(z) Phi(z)^(n-1); H. A. David, Order Statistics,
    tables of normal scores.

    >>> round(float(largest_normal(4)), 4)
    1.0294
    """
    counts = within("count", count, 1, 100)
    n, back = np.unique(counts, return_inverse=True)  # samples mostly share one count
    n = n[:, None]
    z = np.linspace(-9, 9, 1441)
    density = np.exp(-(z**2) / 2) / np.sqrt(2 * np.pi)
    scores = np.sum(z * n * density * normal_cdf(z) ** (n - 1), axis=-1) * (z[1] - z[0])
    return np.asarray(scores[back].reshape(counts.shape))


def released_below(
    load: ArrayLike, median: ArrayLike, scatter: ArrayLike, count: ArrayLike, every: bool
) -> Floats:
    """Probability that mounts have let go at a load, their release loads log-normal.

    Args:
        load: load on each mount [N].
        median: median release load of one mount [N].
        scatter: standard deviation of the logarithm of the release load [-].
        count: number of mounts [-].
        every: true for all of them, false for at least one [-].

    Returns:
        Probability [-].

    Raises:
        ValueError: an entry is NaN or outside its range; the message names the argument.

    Leaves out: load that shifts to the rest when one lets go.
    Source: order statistics of independent values: F^n for all, 1 - (1 - F)^n for the first.

    >>> round(float(released_below(10e3, 10e3, 0.1, 2, every=False)), 2)
    0.75
    """
    push = within("load", load, 0, 1e9, above=True)
    middle = within("median", median, 0, 1e9, above=True)
    spread = within("scatter", scatter, 1e-3, 2)
    n = within("count", count, 1, 100)
    one = normal_cdf(np.log(push / middle) / spread)
    return np.asarray(one**n if every else 1 - (1 - one) ** n)


def friction_and_metal(
    friction: ArrayLike, metal: ArrayLike, clamp_kept: ArrayLike = 1.0
) -> Floats:
    """Load at which a clamped mount lets go that also has metal to tear or cut.

    A bolt that tears out of its plate's edge stays whole, so that its clamp goes on rubbing: the
    two add. A bolt that is cut yields, and its clamp is lost before it parts: then they do not,
    and ``clamp_kept`` is 0.

    Args:
        friction: slip load of the fresh joint [N].
        metal: force that tears or cuts the metal [N].
        clamp_kept: share of that friction left when the metal gives way [-], 0 to 1.

    Returns:
        Release load, never below the slip load [N].

    Raises:
        ValueError: an entry is NaN or outside its range; the message names the argument.

    Leaves out: play, which lets the joint slide a little before the metal is met.
    Source: forces in parallel; that a bolt's shear strength does not depend on its preload: G. L.
    Kulak, J. W. Fisher, J. H. A. Struik, Guide to Design Criteria for Bolted and Riveted Joints
    (from memory). The share is common practice, no source.

    >>> friction_and_metal(10e3, [0.0, 4e3, 15e3], [1.0, 1.0, 0.0])
    array([10000., 14000., 15000.])
    """
    slip = within("friction", friction, 0, 1e9)
    kept = within("clamp_kept", clamp_kept, 0, 1)
    return np.asarray(np.maximum(slip, kept * slip + within("metal", metal, 0, 1e9)))


def tear_out(edge: ArrayLike, gauge: ArrayLike, strength: ArrayLike) -> Floats:
    """Force that shears a bolt out through the edge of its plate along two planes.

    Args:
        edge: hole's edge to the plate's edge, along the force [m].
        gauge: plate thickness [m].
        strength: tensile strength of the plate [Pa].

    Returns:
        Force [N].

    Raises:
        ValueError: an entry is NaN or outside its range; the message names the argument.

    Leaves out: friction, bending of the tongue.
    Source: two shear planes at 0.6 of the tensile strength, as AISC 360-10, J3.10 (1.2 l_c t F_u).

    >>> round(float(tear_out(10e-3, 3e-3, 400e6)))
    14400
    """
    reach = within("edge", edge, 0, 0.5, above=True)
    wall = within("gauge", gauge, 0, 0.1, above=True)
    return np.asarray(1.2 * reach * wall * within("strength", strength, 1e6, 3e9))


def pin_shear(diameter: ArrayLike, strength: ArrayLike, planes: ArrayLike) -> Floats:
    """Force that cuts a shear pin or the rim of a shear washer.

    Args:
        diameter: diameter of the pin [m].
        strength: shear strength of its material [Pa].
        planes: cuts [-], 1 or 2.

    Returns:
        Force [N].

    Raises:
        ValueError: an entry is NaN or outside its range; the message names the argument.

    Leaves out: bending of a pin with play.
    Source: area times shear strength.

    >>> round(float(pin_shear(6e-3, 60e6, 1)))
    1696
    """
    d = within("diameter", diameter, 0, 0.1, above=True)
    cut = within("strength", strength, 1e5, 3e9) * within("planes", planes, 1, 2)
    return np.asarray(np.pi / 4 * d**2 * cut)
