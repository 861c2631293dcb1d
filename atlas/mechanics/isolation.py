"""What soft mounts keep out: one and two stages with damping."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .ranges import within

Floats = NDArray[np.float64]
DAMPING = ("loss-factor", "viscous")


def natural_frequency(stiffness: ArrayLike, mass: ArrayLike) -> Floats:
    """Undamped natural frequency of a mass on a spring.

    Args:
        stiffness: of all mounts together [N/m].
        mass: that they carry [kg].

    Returns:
        Frequency [Hz].

    Raises:
        ValueError: an entry is NaN or outside its range; the message names the argument.

    Leaves out: what stands under the mount; five other freedoms.
    Source: W. T. Thomson, Theory of Vibration with Applications, ch. 2.

    >>> round(float(natural_frequency(350e3, 90)), 3)
    9.925
    """
    k = within("stiffness", stiffness, 0, 1e13, above=True)
    m = within("mass", mass, 0, 1e7, above=True)
    return np.asarray(np.sqrt(k / m) / (2 * np.pi))


def transmissibility(
    frequency: ArrayLike,
    mass: ArrayLike,
    stiffness: ArrayLike,
    loss: ArrayLike,
    below: ArrayLike | None = None,
    below_stiffness: ArrayLike = np.inf,
    below_loss: ArrayLike = 0.0,
    damping: str = "loss-factor",
) -> Floats:
    """Force passed on over force put in; with ``below`` through a second mass and mount.

    Args:
        frequency: of the excitation [Hz].
        mass: excited, on the first mount [kg].
        stiffness: of the first mount [N/m].
        loss: loss factor, or twice the damping ratio where viscous [-].
        below: mass between the stages (a cradle) [kg]; None for one stage.
        below_stiffness: of the second mount [N/m].
        below_loss: its loss factor [-].
        damping: ``loss-factor`` (rubber: the same at every frequency) or ``viscous`` (grows with
            frequency; at the stage's own natural frequency it equals ``loss``).

    Returns:
        Transmissibility [-].

    Raises:
        ValueError: an entry is NaN or outside its range, or there is no such damping.

    Leaves out: standing waves in the rubber, a yielding base, stiffening with frequency.
    Source: W. T. Thomson, Theory of Vibration with Applications, 3.6 (one stage); C. M. Harris,
    Shock and Vibration Handbook, ch. on isolation (two stages).

    >>> round(float(transmissibility(2.0, 1.0, (2 * np.pi) ** 2, 0.1, damping="viscous")), 4)
    0.3392
    """
    if damping not in DAMPING:
        raise ValueError(f"damping must be one of {', '.join(DAMPING)}, got {damping!r}")
    f = within("frequency", frequency, 0, 1e6)
    m = within("mass", mass, 0, 1e7, above=True)
    k = within("stiffness", stiffness, 0, 1e13, above=True)
    eta = within("loss", loss, 0, 3)
    w2 = (2 * np.pi * f) ** 2
    first = k * (1 + 1j * eta * _growth(f, k, m, damping))
    if below is None:
        return np.asarray(np.abs(first / (first - m * w2)))
    m2 = within("below", below, 0, 1e7, above=True)
    k2 = within("below_stiffness", below_stiffness, 0, 1e13, above=True)
    eta2 = within("below_loss", below_loss, 0, 3)
    second = k2 * (1 + 1j * eta2 * _growth(f, k2, m + m2, damping))
    under = (first - m * w2) * (first + second - m2 * w2) - first**2
    return np.asarray(np.abs(first * second / under))


def _growth(f: Floats, k: Floats, m: Floats, damping: str) -> Floats | float:
    return 1.0 if damping == "loss-factor" else f / (np.sqrt(k / m) / (2 * np.pi))


def two_stage_frequencies(
    mass: ArrayLike, stiffness: ArrayLike, below: ArrayLike, below_stiffness: ArrayLike
) -> tuple[Floats, Floats]:
    """Both undamped natural frequencies of two masses in series.

    Args:
        mass: on top [kg].
        stiffness: between the masses [N/m].
        below: mass between the stages [kg].
        below_stiffness: to the ground [N/m].

    Returns:
        The lower and the upper one [Hz].

    Raises:
        ValueError: an entry is NaN or outside its range; the message names the argument.

    Leaves out: damping.
    Source: W. T. Thomson, Theory of Vibration with Applications, ch. 5.

    >>> low, high = two_stage_frequencies(1.0, 1.0, 1.0, 1.0)  # golden section
    >>> round(float(high / low), 3)
    2.618
    """
    m1 = within("mass", mass, 0, 1e7, above=True)
    k1 = within("stiffness", stiffness, 0, 1e13, above=True)
    m2 = within("below", below, 0, 1e7, above=True)
    k2 = within("below_stiffness", below_stiffness, 0, 1e13, above=True)
    half = (k1 / m1 + (k1 + k2) / m2) / 2
    root = np.sqrt(np.maximum(half**2 - k1 * k2 / (m1 * m2), 0))
    # The lower root by the product of both, where subtracting would lose digits.
    high = half + root
    low = k1 * k2 / (m1 * m2) / high
    return np.sqrt(low) / (2 * np.pi), np.sqrt(high) / (2 * np.pi)


def crossover(
    mass: ArrayLike,
    stiffness: ArrayLike,
    below: ArrayLike | None = None,
    below_stiffness: ArrayLike = np.inf,
) -> Floats:
    """Frequency above which the mounts pass on less than they are given, for good.

    Args:
        mass: excited [kg].
        stiffness: of its mounts [N/m].
        below: mass between two stages [kg]; None for one stage.
        below_stiffness: of the second stage [N/m].

    Returns:
        Frequency [Hz].

    Raises:
        ValueError: an entry is NaN or outside its range; the message names the argument.

    Leaves out: damping, which does not move the point for one stage.
    Source: W. T. Thomson, Theory of Vibration with Applications, 3.6: root two times the natural
    frequency; two stages by setting the undamped transmissibility to one.

    >>> round(float(crossover(90, 350e3) / natural_frequency(350e3, 90)), 4)
    1.4142
    """
    k1, m1 = np.asarray(stiffness, float), np.asarray(mass, float)
    if below is None:
        return np.asarray(np.sqrt(2) * natural_frequency(k1, m1))
    m2, k2 = np.asarray(below, float), np.asarray(below_stiffness, float)
    # Undamped, T = k1 k2 / D(w2); above the upper resonance D > 0, so T = 1 where D = k1 k2.
    a, b = m1 * m2, m1 * (k1 + k2) + m2 * k1
    return np.asarray(np.sqrt(b / a) / (2 * np.pi))
