"""A rigid body on mounts: where a torque goes, how far the body moves, how it rings.

Axes: x forward, y to the left, z up, origin in the body's centre of mass. Six freedoms: three
movements, three rotations.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .ranges import within

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Rest:
    """The body's new place, and what each mount does about it.

    Attributes:
        moved: movements and rotations, (samples, 6) [m, rad].
        forces: of each mount on the body, (samples, mounts, 3) [N].
    """

    moved: Floats
    forces: Floats


def mount_matrix(places: ArrayLike, stiffness: ArrayLike) -> Floats:
    """Stiffness of all mounts against the body's six freedoms.

    Args:
        places: of the mounts, (mounts, 3) or (samples, mounts, 3) [m].
        stiffness: along x, y and z, same shape [N/m].

    Returns:
        (samples, 6, 6) [N/m, N, N m/rad].

    Raises:
        ValueError: an entry is NaN, infinite or outside its range.

    Leaves out: the mounts' own rotational stiffness, inclined mounts.
    Source: rigid body statics: a mount's movement is u + theta x r.

    >>> k = mount_matrix([[0, 0.4, 0], [0, -0.4, 0]], [[0, 0, 2e5]] * 2)
    >>> k[0, [2, 3], [2, 3]]  # heave, roll about x
    array([400000.,  64000.])
    """
    r = np.asarray(within("places", places, -10, 10))
    k = np.asarray(within("stiffness", stiffness, 0, 1e13))
    r, k = np.broadcast_arrays(r, k)
    r, k = (a if a.ndim == 3 else a[None] for a in (r, k))
    follow = _follow(r)
    return np.asarray(np.einsum("smia,smi,smib->sab", follow, k, follow, optimize=True))


def _follow(r: Floats) -> Floats:
    """(samples, mounts, 3, 6): a mount's movement by the body's freedoms."""
    out = np.zeros((*r.shape[:2], 3, 6))
    out[..., [0, 1, 2], [0, 1, 2]] = 1
    x, y, z = r[..., 0], r[..., 1], r[..., 2]
    out[..., 0, 4], out[..., 0, 5] = z, -y
    out[..., 1, 3], out[..., 1, 5] = -z, x
    out[..., 2, 3], out[..., 2, 4] = y, -x
    return out


def rest(places: ArrayLike, stiffness: ArrayLike, load: ArrayLike) -> Rest:
    """Where the body comes to rest under a load on its centre of mass.

    Args:
        places: of the mounts, (mounts, 3) or (samples, mounts, 3) [m].
        stiffness: along x, y and z, same shape [N/m].
        load: forces and torques, (6,) or (samples, 6) [N, N m].

    Returns:
        Movement and mount forces [SI].

    Raises:
        ValueError: the mounts leave the body free to move; the message names the direction.

    Leaves out: end stops, hardening rubber, large rotations.
    Source: rigid body statics.

    >>> four = [[0.3, 0.4, 0], [0.3, -0.4, 0], [-0.3, 0.4, 0], [-0.3, -0.4, 0]]
    >>> found = rest(four, [[1e5, 1e5, 2e5]] * 4, [0, 0, -800.0, 0, 0, 0])
    >>> found.forces[0, :, 2]
    array([200., 200., 200., 200.])
    """
    whole = mount_matrix(places, stiffness)
    _check_free(whole)
    force = np.broadcast_to(within("load", load, -1e9, 1e9), (len(whole), 6))
    moved = np.linalg.solve(whole, force[:, :, None])[:, :, 0]
    r, k = np.broadcast_arrays(np.asarray(places, float), np.asarray(stiffness, float))
    r, k = (a if a.ndim == 3 else a[None] for a in (r, k))
    forces = -k * np.einsum("smia,sa->smi", _follow(r), moved)
    return Rest(np.asarray(moved), np.asarray(forces))


_FREEDOMS = ("move along x", "move along y", "move along z", "turn about x", "turn about y",
             "turn about z")  # fmt: skip


def _check_free(whole: Floats) -> None:
    diagonal = np.einsum("saa->sa", whole)
    scale = np.sqrt(np.maximum(diagonal, 1e-9))
    scaled = whole / scale[:, :, None] / scale[:, None, :]
    # A coarse look at every sample costs little: the determinant of the scaled matrix.
    weak = np.linalg.det(scaled) < 1e-12
    if np.any(weak) or np.any(diagonal <= 1e-6):
        sample = int(np.argmax(weak | np.any(diagonal <= 1e-6, axis=1)))
        vector = np.linalg.eigh(scaled[sample])[1][:, 0] / scale[sample]
        way = _FREEDOMS[int(np.argmax(np.abs(vector)))]
        raise ValueError(f"the mounts leave the body free to {way}: a mechanism")


def frequencies(whole: ArrayLike, mass: ArrayLike, inertia: ArrayLike) -> Floats:
    """Natural frequencies of the body on its mounts, undamped, lowest first.

    Args:
        whole: as ``mount_matrix`` makes it [SI].
        mass: of the body, (samples,) [kg].
        inertia: about x, y and z through the centre of mass, (samples, 3) [kg m2].

    Returns:
        (samples, 6) [Hz].

    Raises:
        ValueError: an entry is NaN or outside its range.

    Leaves out: damping, products of inertia, the give of what carries the mounts.
    Source: W. T. Thomson, Theory of Vibration with Applications, ch. on multi-freedom systems.

    >>> one = np.diag([350e3] * 3 + [1e9] * 3)[None]
    >>> round(float(frequencies(one, [90.0], [[1.0, 1.0, 1.0]])[0, 0]), 3)
    9.925
    """
    m = within("mass", mass, 0, 1e6, above=True)
    i = within("inertia", inertia, 0, 1e6, above=True)
    k = np.asarray(whole, dtype=np.float64)
    weight = np.concatenate(
        [np.repeat(np.atleast_1d(m)[:, None], 3, axis=1), np.atleast_2d(i)], axis=1
    )
    root = 1 / np.sqrt(weight)
    values = np.linalg.eigvalsh(k * root[:, :, None] * root[:, None, :])
    return np.asarray(np.sqrt(np.maximum(values, 0)) / (2 * np.pi))
