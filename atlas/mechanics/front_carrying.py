"""What a load does to a front structure, with one of its parts and without it."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .frames import solve
from .frames_mirrored import Sides, solve_mirrored
from .front_frames import Structure, without
from .noise import settled

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]


@dataclass(frozen=True)
class Carried:
    """What a load does to a structure, each (samples,)."""

    movement: Floats  # of the watched node along its direction, or of all loaded nodes [m]
    spread: Floats  # growth of the spacing between the rails' front ends [m]
    shift: Floats  # left rail end's movement rearward against the right one's [m]
    use: Floats  # of each member, (samples, members) [-]
    axial: Floats  # of each member, pull positive [N]


def carry(structure: Structure, case: str, force: Floats) -> Carried:
    """A load case at some size.

    Args:
        structure: the structure [SI].
        case: name of one of its load cases [-].
        force: size of the load, (samples,) [N].

    Returns:
        What it does [SI].

    Raises:
        ValueError: no such load case, or the frame is a mechanism.

    Leaves out: second-order effects, plastic redistribution, local and joint strength.
    Source: use is N/N_R + M_y/M_yR + M_z/M_zR, EN 1993-1-1:2005, 6.2.1 (7), eq. (6.2), with the
    buckling load in place of the squash load where a member is pushed.

    >>> from .front_frames import simple_structure
    >>> beam = simple_structure()
    >>> round(float(carry(beam, "tip", np.array([10.0])).movement[0]), 6)
    0.003333
    """
    _known(structure, case)
    if _mirrored(structure, case):
        none = np.zeros(len(structure.parts), dtype=bool)
        return _carried(structure, case, force, _by_halves(structure, case, none)[0])
    found = solve(structure.frame, structure.cases[case])
    forces = found.end_forces
    about = [np.maximum(np.abs(forces[..., k]), np.abs(forces[..., k + 6])) for k in (4, 5)]
    moved = np.moveaxis(found.displacements, 0, -1)
    return _carried(structure, case, force, Sides(moved, forces[..., 6].T, about[0].T, about[1].T))


def carry_both(
    structure: Structure, case: str, force: Floats, part: str
) -> tuple[Carried, Carried]:
    """A load case with and without a part.

    Where the structure is its own mirror image this is one elimination of half the unknowns for
    both (``frames_mirrored``), exact to rounding; else two solutions.

    Args:
        structure: the structure [SI].
        case: name of one of its load cases [-].
        force: size of the load, (samples,) [N].
        part: name of the part [-].

    Returns:
        What the load does with the part and without it [SI].

    Raises:
        ValueError: no such load case or part, or a frame is a mechanism.

    Leaves out: as ``carry``.
    Source: as ``carry``.

    >>> from .front_frames import simple_structure
    >>> there, bare = carry_both(simple_structure(), "tip", np.array([10.0]), "stay")
    >>> round(float(bare.movement[0] / there.movement[0]), 6)
    2.0
    """
    _known(structure, case)
    gone = structure.members_of(part)
    if _mirrored(structure, case):
        halves = _by_halves(structure, case, gone)
        there, bare = (_carried(structure, case, force, one) for one in halves)
        return there, bare
    there, rest = carry(structure, case, force), without(structure, part, case)
    try:
        return there, carry(rest, case, force)
    except ValueError as error:
        raise ValueError(f"without {part} the rest does not stand: {error}") from None


def _known(structure: Structure, case: str) -> None:
    if case not in structure.cases:
        raise ValueError(f"load case must be one of {', '.join(structure.cases)}, got {case!r}")


def _mirrored(structure: Structure, case: str) -> bool:
    nodal = structure.cases[case].nodal
    return bool(structure.mirror) and nodal is not None and np.ndim(nodal) == 2


def _by_halves(structure: Structure, case: str, gone: Bools) -> tuple[Sides, Sides]:
    """The whole and the rest under a unit load."""
    nodal = np.asarray(structure.cases[case].nodal)
    return solve_mirrored(
        structure.frame, nodal, structure.mirror, gone, seen=_seen(structure, case)
    )


def _carried(structure: Structure, case: str, force: Floats, unit: Sides) -> Carried:
    """Read the answer under a unit load, at the size of the force."""
    size = np.atleast_1d(np.asarray(force, dtype=np.float64))
    moved, axial = unit.moved, unit.axial
    left, right = structure.ends
    limits = structure.strength
    squash, buckling, plastic_y, plastic_z = (
        np.atleast_2d(one).T
        for one in (limits.squash, limits.buckling, limits.about_y, limits.about_z)
    )
    # A force the other way turns pull into push.
    pulled = (axial if size.min(initial=0.0) >= 0 else axial * np.sign(size)) > 0
    use = np.abs(axial) / np.where(pulled, squash, buckling)
    use += unit.about_y / plastic_y
    use += unit.about_z / plastic_z
    use = use * np.abs(size)
    tips = np.abs(moved[[left, right], :3]).max(axis=(0, 1))
    return Carried(
        movement=_movement(structure, case, moved) * size,
        spread=settled(moved[left, 1] - moved[right, 1], tips) * size,
        shift=settled(moved[right, 0] - moved[left, 0], tips) * size,
        use=use.T,
        axial=(axial * size).T,
    )


def _seen(structure: Structure, case: str) -> list[int]:
    """Nodes whose movement is read off: the rails' ends, and what is watched or loaded."""
    if case in structure.watch:
        return [*structure.ends, structure.watch[case][0]]
    return [*structure.ends, *np.flatnonzero(np.any(structure.cases[case].nodal, axis=1))]


def _movement(structure: Structure, case: str, moved: Floats) -> Floats:
    if case in structure.watch:
        node, direction = structure.watch[case]
        return np.asarray(np.array(direction) @ moved[node, :3])
    nodal = np.asarray(structure.cases[case].nodal)[:, :3]
    return np.asarray(np.einsum("ni,nis->s", nodal, moved[:, :3]) / np.abs(nodal).sum())
