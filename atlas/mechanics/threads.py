"""Metric threads: areas, preload from torque, preload lost by settling."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .ranges import within

Floats = NDArray[np.float64]

# Nominal diameter and pitch [m]: ISO 262 selection (coarse where no pitch is in the name).
THREADS: dict[str, tuple[float, float]] = {
    "M4": (4e-3, 0.7e-3),
    "M5": (5e-3, 0.8e-3),
    "M6": (6e-3, 1e-3),
    "M8": (8e-3, 1.25e-3),
    "M8x1": (8e-3, 1e-3),
    "M10": (10e-3, 1.5e-3),
    "M10x1.25": (10e-3, 1.25e-3),
    "M12": (12e-3, 1.75e-3),
    "M12x1.5": (12e-3, 1.5e-3),
    "M12x1.25": (12e-3, 1.25e-3),
    "M14": (14e-3, 2e-3),
    "M14x1.5": (14e-3, 1.5e-3),
    "M16": (16e-3, 2e-3),
    "M16x1.5": (16e-3, 1.5e-3),
    "M18": (18e-3, 2.5e-3),
    "M20": (20e-3, 2.5e-3),
    "M20x1.5": (20e-3, 1.5e-3),
    "M24": (24e-3, 3e-3),
}
# Hexagon head: bearing diameter (ISO 4014/4017, about 0.95 of the width across flats) and clearance
# hole (ISO 273, medium) [m]; as used in the tables of VDI 2230 (M4 and M5 from memory).
HEADS: dict[float, tuple[float, float]] = {
    4e-3: (5.88e-3, 4.5e-3),
    5e-3: (6.88e-3, 5.5e-3),
    6e-3: (8.88e-3, 6.6e-3),
    8e-3: (11.63e-3, 9e-3),
    10e-3: (14.63e-3, 11e-3),
    12e-3: (16.63e-3, 13.5e-3),
    14e-3: (19.64e-3, 15.5e-3),
    16e-3: (22.49e-3, 17.5e-3),
    18e-3: (25.34e-3, 20e-3),
    20e-3: (28.19e-3, 22e-3),
    24e-3: (33.61e-3, 26e-3),
}
# Clearance holes of the fine and the coarse series [m]: ISO 273, as tabulated at
# engineeringhardware.com/?p=50 up to M16; above that from memory.
HOLES: dict[float, tuple[float, float]] = {
    4e-3: (4.3e-3, 4.8e-3),
    5e-3: (5.3e-3, 5.8e-3),
    6e-3: (6.4e-3, 7e-3),
    8e-3: (8.4e-3, 10e-3),
    10e-3: (10.5e-3, 12e-3),
    12e-3: (13e-3, 14.5e-3),
    14e-3: (15e-3, 16.5e-3),
    16e-3: (17e-3, 18.5e-3),
    18e-3: (19e-3, 21e-3),
    20e-3: (21e-3, 24e-3),
    24e-3: (25e-3, 28e-3),
}
# Tensile strength, 0.2 % proof strength and proof stress [Pa], least values: ISO 898-1.
CLASSES: dict[str, tuple[float, float, float]] = {
    "8.8": (800e6, 640e6, 580e6),
    "9.8": (900e6, 720e6, 650e6),
    "10.9": (1040e6, 940e6, 830e6),
    "12.9": (1220e6, 1100e6, 970e6),
}
_ABOVE_16 = (830e6, 660e6, 600e6)  # class 8.8 over M16, which the standard lists apart
_H = np.sqrt(3) / 2


def class_strength(name: str, diameter: float) -> tuple[float, float, float]:
    """Least tensile strength, 0.2 % proof strength and proof stress of a bolt [Pa].

    Args:
        name: property class, a key of ``CLASSES`` [-].
        diameter: nominal diameter [m].

    Returns:
        Tensile strength, proof strength, proof stress [Pa].

    Raises:
        ValueError: no such class.

    Leaves out: stainless bolts, which ISO 3506-1 covers.
    Source: ISO 898-1, which gives class 8.8 above M16 higher values.

    >>> class_strength("8.8", 18e-3)[0] / 1e6
    830.0
    """
    if name not in CLASSES:
        raise ValueError(f"bolt class must be one of {', '.join(CLASSES)}, got {name!r}")
    return _ABOVE_16 if name == "8.8" and diameter > 16.5e-3 else CLASSES[name]


def pitch_diameter(diameter: ArrayLike, pitch: ArrayLike) -> Floats:
    """Basic pitch diameter of an ISO metric thread.

    Args:
        diameter: nominal diameter [m].
        pitch: thread pitch [m].

    Returns:
        Pitch diameter d2 [m].

    Leaves out: tolerances, coating.
    Source: ISO 724, d2 = d - 0.75 H with H = 0.866 P.

    >>> round(float(pitch_diameter(10e-3, 1.5e-3)) * 1e3, 3)
    9.026
    """
    d = within("diameter", diameter, 1e-3, 0.1)
    return np.asarray(d - 0.75 * _H * within("pitch", pitch, 1e-4, 0.01))


def core_diameter(diameter: ArrayLike, pitch: ArrayLike) -> Floats:
    """Core diameter of an ISO metric thread.

    Args:
        diameter: nominal diameter [m].
        pitch: thread pitch [m].

    Returns:
        Core diameter d3 [m].

    Leaves out: tolerances, coating.
    Source: ISO 724 and ISO 68-1, d3 = d - 17/12 H with H = 0.866 P.

    >>> round(float(core_diameter(10e-3, 1.5e-3)) * 1e3, 2)
    8.16
    """
    d = within("diameter", diameter, 1e-3, 0.1)
    return np.asarray(d - 17 / 12 * _H * within("pitch", pitch, 1e-4, 0.01))


def stress_area(diameter: ArrayLike, pitch: ArrayLike) -> Floats:
    """Tensile stress area of an ISO metric thread.

    Args:
        diameter: nominal diameter [m].
        pitch: thread pitch [m].

    Returns:
        Stress area A_s [m2].

    Leaves out: reduced shanks.
    Source: ISO 898-1, A_s = pi/4 ((d2 + d3) / 2)^2.

    >>> round(float(stress_area(12e-3, 1.75e-3)) * 1e6, 1)
    84.3
    """
    mean = (pitch_diameter(diameter, pitch) + core_diameter(diameter, pitch)) / 2
    return np.asarray(np.pi / 4 * mean**2)


def preload_at(
    share: ArrayLike, diameter: ArrayLike, pitch: ArrayLike, proof: ArrayLike, friction: ArrayLike
) -> Floats:
    """Preload at which tightening stresses the thread to a share of its 0.2 % proof strength.

    Args:
        share: utilisation of the proof strength by tension and twist together [-].
        diameter: nominal diameter [m].
        pitch: thread pitch [m].
        proof: 0.2 % proof strength [Pa].
        friction: friction coefficient in the thread [-].

    Returns:
        Assembly preload [N].

    Leaves out: reduced shanks, relaxation of the twist after tightening.
    Source: VDI 2230 Part 1:2003, 5.4.3, assembly preload with the twist taken as fully plastic.

    >>> round(float(preload_at(0.9, 12e-3, 1.75e-3, 940e6, 0.12)) / 1e3)
    63
    """
    d2 = pitch_diameter(diameter, pitch)
    d0 = (d2 + core_diameter(diameter, pitch)) / 2
    mu = within("friction", friction, 0, 1)
    twist = 1.5 * d2 / d0 * (np.asarray(pitch) / (np.pi * d2) + 1.155 * mu)
    stress = within("share", share, 0, 1.5) * within("proof", proof, 0, 5e9)
    return np.asarray(np.pi / 4 * d0**2 * stress / np.sqrt(1 + 3 * twist**2))


def torque_per_preload(
    diameter: ArrayLike,
    pitch: ArrayLike,
    head: ArrayLike,
    hole: ArrayLike,
    thread_friction: ArrayLike,
    head_friction: ArrayLike,
) -> Floats:
    """Tightening torque for each newton of preload.

    Args:
        diameter: nominal diameter [m].
        pitch: thread pitch [m].
        head: outer diameter of the head's bearing face [m].
        hole: hole diameter [m].
        thread_friction: friction coefficient in the thread [-].
        head_friction: friction coefficient under the head [-].

    Returns:
        Torque over preload [N m/N], which is a lever [m].

    Leaves out: prevailing torque of locking nuts, a dragging thread.
    Source: VDI 2230 Part 1:2003, 5.4.3 (after Kellermann and Klein).

    >>> round(float(torque_per_preload(12e-3, 1.75e-3, 16.63e-3, 13.5e-3, 0.12, 0.12)) * 63.2e3)
    122
    """
    d2 = pitch_diameter(diameter, pitch)
    outer = within("head", head, 0, 0.2, above=True)
    inner = within("hole", hole, 0, 0.2, above=True)
    if np.any(inner >= outer):
        raise ValueError("hole must be smaller than the head's bearing face")
    thread = within("thread_friction", thread_friction, 0, 1)
    face = within("head_friction", head_friction, 0, 1)
    return np.asarray(
        np.asarray(pitch) / (2 * np.pi) + 0.577 * d2 * thread + (outer + inner) / 4 * face
    )


def settling_loss(
    embedding: ArrayLike,
    grip: ArrayLike,
    diameter: ArrayLike,
    area: ArrayLike,
    head: ArrayLike,
    hole: ArrayLike,
    bolt_modulus: float = 205e9,
    ply_modulus: float = 205e9,
) -> Floats:
    """Preload that a bolt loses when its faces settle; a long grip loses little.

    Args:
        embedding: settling of threads and faces together [m].
        grip: clamped length [m].
        diameter: nominal diameter [m].
        area: stress area of the bolt [m2].
        head: outer diameter of the head's bearing face [m].
        hole: hole diameter [m].
        bolt_modulus: elastic modulus of the bolt [Pa].
        ply_modulus: elastic modulus of the plies [Pa].

    Returns:
        Loss of preload [N].

    Leaves out: creep of paint and polymers, relaxation by heat.
    Source: VDI 2230 Part 1, F_Z = f_Z / (delta_S + delta_P), with 0.4 d for head and engaged thread
    each and the older edition's replacement cylinder for the plies (from memory).

    >>> short, long = settling_loss(10e-6, [10e-3, 100e-3], 12e-3, 84e-6, 17e-3, 13.5e-3)
    >>> bool(long < short / 3)
    True
    """
    settle = within("embedding", embedding, 0, 1e-3)
    run = within("grip", grip, 0, 1, above=True)
    d = within("diameter", diameter, 1e-3, 0.1)
    core = within("area", area, 0, 0.01, above=True)
    bolt = (run + 0.8 * d) / (bolt_modulus * core)
    spread = (
        np.pi / 4 * ((np.asarray(head) + np.minimum(run, 0.1) / 10) ** 2 - np.asarray(hole) ** 2)
    )
    return np.asarray(settle / (bolt + run / (ply_modulus * spread)))
