"""Seams: fillet throats, butt seams, and the softened zone beside them."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .ranges import within

Floats = NDArray[np.float64]


def throat(leg: ArrayLike) -> Floats:
    """Throat of a fillet with equal legs.

    Args:
        leg: leg length [m].

    Returns:
        Throat [m].

    Leaves out: penetration, convexity; tables round to 0.7 of the leg.
    Source: geometry, leg / sqrt 2; EN 1993-1-8:2005, 4.5.2.

    >>> round(float(throat(5e-3)) * 1e3, 2)
    3.54
    """
    return np.asarray(within("leg", leg, 0, 0.05, above=True) / np.sqrt(2))


def effective_length(length: ArrayLike, size: ArrayLike) -> Floats:
    """Length of a fillet that counts where its ends are not full size.

    Args:
        length: length of the seam [m].
        size: throat [m].

    Returns:
        Effective length [m]; not below 0.

    Leaves out: least length of 6 throats or 30 mm for a load-bearing seam.
    Source: EN 1993-1-8:2005, 4.5.1 (1), length less two throats.

    >>> float(effective_length(0.2, 6e-3))
    0.188
    """
    run = within("length", length, 0, 100, above=True)
    return np.asarray(np.maximum(run - 2 * within("size", size, 0, 0.05), 0.0))


def fillet_per_length(
    size: ArrayLike, strength: ArrayLike, correlation: ArrayLike, angle: ArrayLike = 0.0
) -> Floats:
    """Force that each length of a fillet stands.

    Args:
        size: throat [m].
        strength: tensile strength of the weaker part joined [Pa].
        correlation: correlation factor beta_w: 0.8 (S235) to 1.0 (S420 and above) [-].
        angle: between the force and the seam: 0 along it, 90 degrees across it [rad].

    Returns:
        Capacity [N/m].

    Raises:
        ValueError: an entry is NaN or outside its range; the message names the argument.

    Leaves out: partial factors, long joints, fatigue.
    Source: EN 1993-1-8:2005, 4.5.3.2, eq. (4.1) (directional method) for equal legs, which gives
    sqrt(3 / (2 + cos^2 angle)) times 4.5.3.3, eq. (4.4); gamma_M2 set to 1.

    >>> round(float(fillet_per_length(3.5e-3, 470e6, 0.9)) / 1.25 / 1e6, 2)
    0.84
    """
    a = within("size", size, 0, 0.05, above=True)
    fu = within("strength", strength, 10e6, 3e9)
    beta = within("correlation", correlation, 0.5, 2)
    turn = within("angle", angle, 0, np.pi / 2 + 1e-9)
    # A force across the seam lies at 45 degrees to the throat: half of it normal, half shear.
    directional = np.sqrt(3 / (2 + np.cos(turn) ** 2))
    return np.asarray(a * fu / (np.sqrt(3) * beta) * directional)


def von_mises_on_throat(normal: ArrayLike, across: ArrayLike, along: ArrayLike) -> Floats:
    """Equivalent stress on a throat.

    Args:
        normal: stress normal to the throat [Pa].
        across: shear in the throat, across the seam [Pa].
        along: shear in the throat, along the seam [Pa].

    Returns:
        Equivalent stress [Pa].

    Leaves out: partial factors.
    Source: EN 1993-1-8:2005, eq. (4.1).

    >>> round(float(von_mises_on_throat(14.1421, 14.1421, 0.0)), 2)
    28.28
    """
    return np.asarray(
        np.sqrt(np.asarray(normal) ** 2 + 3 * (np.asarray(across) ** 2 + np.asarray(along) ** 2))
    )


def softened_width(gauge: ArrayLike, process: str = "mig") -> Floats:
    """How far the softened zone reaches from a seam in aluminium.

    Args:
        gauge: mean thickness of the parts joined [m].
        process: mig or tig [-].

    Returns:
        Extent of the zone, each way from the seam [m].

    Raises:
        ValueError: an unknown process or an entry outside its range.

    Leaves out: interpass heat above 60 C, edges and neighbouring seams.
    Source: EN 1999-1-1:2007, 6.1.6.3: MIG 20, 30, 35, 40 mm up to 6, 12, 25 mm and above; TIG
    30 mm up to 6 mm (from memory).

    >>> softened_width([3e-3, 8e-3]) * 1e3
    array([20., 30.])
    """
    t = within("gauge", gauge, 0, 0.1, above=True)
    mig = np.select([t <= 6e-3, t <= 12e-3, t <= 25e-3], [0.020, 0.030, 0.035], 0.040)
    if process not in ("mig", "tig"):
        raise ValueError(f"process must be mig or tig, got {process!r}")
    return np.asarray(mig if process == "mig" else np.where(t <= 6e-3, 0.030, mig + 0.010))


def long_joint(length: ArrayLike, size: ArrayLike) -> Floats:
    """Factor on a long lap joint's fillets.

    Args:
        length: length of the joint along the force [m].
        size: throat [m].

    Returns:
        Reduction factor [-], at most 1.

    Leaves out: transverse stiffeners.
    Source: EN 1993-1-8:2005, 4.11, eq. (4.9): 1.2 - 0.2 L / (150 a).

    >>> round(float(long_joint(1.0, 5e-3)), 4)
    0.9333
    """
    run = within("length", length, 0, 100) / (150 * within("size", size, 0, 0.05, above=True))
    return np.asarray(np.clip(1.2 - 0.2 * run, 0.0, 1.0))
