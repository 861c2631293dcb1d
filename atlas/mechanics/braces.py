"""An open bay in plan, and what diagonals or a sheet add to it against racking.

Plan axes: x fore and aft, y across. Two legs stand on the body at x = 0 and are joined by a cross
member at x = ``length``; the side force acts on that cross member. Braces enter as redundant
forces, so that one elimination serves the bay with any of them.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .frames import RIGID, Frame, Loads, solve_cases
from .ranges import within

Floats = NDArray[np.float64]

_BASE_LEFT, _TOP_LEFT, _TOP_RIGHT, _BASE_RIGHT = range(4)


@dataclass(frozen=True)
class Brace:
    """Redundant forces of a brace, each with what a unit of it puts on the bay."""

    pattern: Floats  # (samples, braces, 4 nodes, 2) [-]
    give: Floats  # own flexibility, (samples, braces, braces) [m/N]


@dataclass(frozen=True)
class Racked:
    """What a unit side force on the cross member does."""

    give: Floats  # sideways movement of the cross member, (samples,) [m/N]
    forces: Floats  # in each redundant, (samples, braces) [-]; pull positive


def end_spring(fixity: ArrayLike, bending: ArrayLike, length: ArrayLike) -> Floats:
    """Rotational spring at a member's end from its fixity factor.

    Args:
        fixity: 0 hinged, 1 rigid; the far end's rotation under an end moment there decides [-].
        bending: EI of the member [N m2].
        length: of the member [m].

    Returns:
        Spring stiffness [N m/rad], infinite for 1.

    Raises:
        ValueError: an entry is NaN or outside its range; the message names the argument.

    Leaves out: moment-rotation curves that bend over.
    Source: G. R. Monforton and T. S. Wu, J. Struct. Div. ASCE 89 (1963), fixity factor
    1 / (1 + 3EI/kL) (from memory).

    >>> end_spring([0.0, 0.5, 1.0], 1e4, 1.0)
    array([    0., 30000.,    inf])
    """
    r = within("fixity", fixity, 0, 1)
    with np.errstate(divide="ignore"):
        return np.asarray(3 * np.asarray(bending) / np.asarray(length) * r / (1 - r))


def bay(
    width: ArrayLike,
    length: ArrayLike,
    axial: ArrayLike,
    bending: ArrayLike,
    cross_ratio: ArrayLike,
    corner_fixity: ArrayLike,
    mount_fixity: ArrayLike,
    mount: ArrayLike,
) -> Frame:
    """The open bay as a frame that works in plan.

    Args:
        width: between the legs [m].
        length: from mounts to cross member [m].
        axial: EA of a leg [N].
        bending: EI of a leg in plan [N m2].
        cross_ratio: cross member's EA and EI over the leg's [-].
        corner_fixity: of the cross member's ends, 0 hinged to 1 rigid [-].
        mount_fixity: of the legs' ends on the body, 0 turns freely to 1 clamped [-].
        mount: stiffness of each mount along x and along y [N/m].

    Returns:
        A frame of four nodes, legs first, all arrays with samples ahead [SI].

    Raises:
        ValueError: an entry is NaN or outside its range; the message names the argument.

    Leaves out: anything out of plan; offset of the brace's plane below the legs.
    Source: common practice in frame models; see ``atlas.mechanics.frames``.

    >>> bay(0.8, 0.5, 1e8, 8e4, 1, 1, 0, 1e9).node_count
    4
    """
    values = np.broadcast_arrays(
        within("width", width, 0, 10, above=True),
        within("length", length, 0, 10, above=True),
        within("axial", axial, 0, 1e12, above=True),
        within("bending", bending, 0, 1e12, above=True),
        within("cross_ratio", cross_ratio, 0, 1e3, above=True),
        within("corner_fixity", corner_fixity, 0, 1),
        within("mount_fixity", mount_fixity, 0, 1),
        within("mount", mount, 0, 1e14, above=True),
    )
    w, h, ea, ei, ratio, corner, foot, spring = (np.atleast_1d(v) for v in values)
    if np.any((corner == 0) & (foot == 0)):
        raise ValueError("corner_fixity and mount_fixity are both 0: the open bay is a mechanism")
    count = len(w)
    nodes = np.zeros((count, 4, 3))
    nodes[:, [_TOP_LEFT, _TOP_RIGHT], 0] = h[:, None]
    nodes[:, [_TOP_LEFT, _BASE_LEFT], 1] = w[:, None] / 2
    nodes[:, [_TOP_RIGHT, _BASE_RIGHT], 1] = -w[:, None] / 2
    supports = np.zeros((4, 6), bool)
    supports[:, 2:5] = True
    springs = np.zeros((count, 4, 6))
    springs[:, [_BASE_LEFT, _BASE_RIGHT], :2] = spring[:, None, None]
    turning = np.minimum(end_spring(foot, ei, h), 1e12)
    springs[:, [_BASE_LEFT, _BASE_RIGHT], 5] = turning[:, None]
    ends = np.full((count, 3, 2, 4), RIGID)
    ends[:, 2, :, 3] = end_spring(corner, ei * ratio, w)[:, None]
    stiff = np.stack([ei, ei, ei * ratio], axis=1)
    return Frame(
        nodes=nodes,
        members=np.array(
            [[_BASE_LEFT, _TOP_LEFT], [_BASE_RIGHT, _TOP_RIGHT], [_TOP_LEFT, _TOP_RIGHT]]
        ),
        EA=np.stack([ea, ea, ea * ratio], axis=1),
        EIy=stiff,
        EIz=stiff,
        GJ=stiff,
        supports=supports,
        ends=ends,
        springs=springs,
        node_names=("left mount", "left corner", "right corner", "right mount"),
    )


def diagonals(frame: Frame, axial: ArrayLike, foot: ArrayLike, shared: bool = False) -> Brace:
    """Two straight arms from the cross member's corners to the body.

    Args:
        frame: as ``bay`` makes it [SI].
        axial: EA of one arm [N].
        foot: stiffness of the fastening at each end, along the arm; of a shared foot on the body
            along x and along y [N/m].
        shared: both arms end on one foot midway between the mounts (a V); else they cross [-].

    Returns:
        First the arm at the left corner, then the one at the right [SI].

    Raises:
        ValueError: an entry is NaN or outside its range; the message names the argument.

    Leaves out: bending of the arms; feet stand on the body beside the mounts, not on them.
    Source: force method, any text on statically indeterminate structures.

    >>> open_bay = bay(0.8, 0.6, 1e8, 8e4, 1, 1, 0, 1e9)
    >>> diagonals(open_bay, 2e7, 1e8).pattern[0, 0, 1]  # pulls the left corner back and inwards
    array([-0.6, -0.8])
    """
    ea = within("axial", axial, 0, 1e12, above=True)
    k = within("foot", foot, 0, 1e14, above=True)
    nodes = np.asarray(frame.nodes)
    pattern = np.zeros((len(nodes), 2, 4, 2))
    lengths = []
    for index, top in enumerate((_TOP_LEFT, _TOP_RIGHT)):
        base = nodes[:, _BASE_RIGHT if top == _TOP_LEFT else _BASE_LEFT, :2]
        if shared:
            base = base * np.array([1.0, 0.0])
        along = base - nodes[:, top, :2]
        lengths.append(np.hypot(along[:, 0], along[:, 1]))
        pattern[:, index, top] = along / lengths[index][:, None]
    give = np.zeros((len(nodes), 2, 2))
    for index, length in enumerate(lengths):
        give[:, index, index] = length / ea + (2 if not shared else 1) / k
    if shared:
        reach = np.sum(pattern, axis=2)
        give += np.einsum("sia,sja->sij", reach, reach) / np.reshape(k, (-1, 1, 1))
    return Brace(pattern, give)


def panel(
    frame: Frame, shear: ArrayLike, gauge: ArrayLike, pitch: ArrayLike, fastener: ArrayLike
) -> Brace:
    """A sheet fastened all round: to the legs, the cross member and the body.

    Args:
        frame: as ``bay`` makes it [SI].
        shear: shear modulus [Pa].
        gauge: of the sheet [m].
        pitch: of its fasteners along the edges [m].
        fastener: stiffness of one in shear, sheet included [N/m].

    Returns:
        One redundant: the sheet's side force on the cross member [SI].

    Raises:
        ValueError: an entry is NaN or outside its range; the message names the argument.

    Leaves out: direct stress in the sheet, swages, holes, the state after buckling.
    Source: constant shear flow panel, D. J. Peery, Aircraft Structures, ch. on shear webs (from
    memory): give h / (G t w), and the edges' slip by the unit load theorem.

    >>> sheet = panel(bay(0.8, 0.5, 1e8, 8e4, 1, 1, 0, 1e9), 81e9, 1.5e-3, 0.05, 1e15)
    >>> round(float(1 / sheet.give[0, 0, 0] / 1e6), 1)
    194.4
    """
    g = within("shear", shear, 0, 1e12, above=True)
    t = within("gauge", gauge, 0, 0.1, above=True)
    p = within("pitch", pitch, 0, 5, above=True)
    k = within("fastener", fastener, 0, 1e16, above=True)
    nodes = np.asarray(frame.nodes)
    w = nodes[:, _TOP_LEFT, 1] - nodes[:, _TOP_RIGHT, 1]
    h = nodes[:, _TOP_LEFT, 0] - nodes[:, _BASE_LEFT, 0]
    pattern = np.zeros((len(nodes), 1, 4, 2))
    pattern[:, 0, [_TOP_LEFT, _TOP_RIGHT], 1] = -0.5
    # The flow along each leg, lumped on its two ends; the body takes the fourth edge.
    for node, sign in ((_TOP_LEFT, 1), (_BASE_LEFT, 1), (_TOP_RIGHT, -1), (_BASE_RIGHT, -1)):
        pattern[:, 0, node, 0] = sign * h / w / 2
    give = h / (g * t * w) + 2 * (w + h) * p / (k * w**2)
    return Brace(pattern, np.broadcast_to(give, len(nodes))[:, None, None])


def rack(
    frame: Frame, brace: Brace, groups: Sequence[Sequence[bool]] = ((True, True),)
) -> tuple[Floats, list[Racked]]:
    """The bay under a unit side force to the left, open and with each group of braces at work.

    Args:
        frame: as ``bay`` makes it [SI].
        brace: as ``diagonals`` or ``panel`` makes it [SI].
        groups: which redundants act, one after the other [-].

    Returns:
        The open bay's movement (samples,) [m/N], and what each group makes of it [SI].

    Raises:
        ValueError: the open bay is a mechanism.

    Leaves out: second-order effects.
    Source: force method, any text on statically indeterminate structures.

    >>> open_bay = bay(0.8, 0.5, 1e10, 1e3, 1, 1, 0, 1e13)
    >>> bare, (braced,) = rack(open_bay, diagonals(open_bay, 210e9 * 120e-6, 1e14))
    >>> round(float(1 / braced.give[0] - 1 / bare[0]) / 1e6, 1)  # two of 19.2 kN/mm
    38.4
    """
    count, braces = brace.pattern.shape[:2]
    side = np.zeros((4, 6))
    side[[_TOP_LEFT, _TOP_RIGHT], 1] = 0.5
    cases = [Loads(side)]
    for index in range(braces):
        nodal = np.zeros((count, 4, 6))
        nodal[:, :, :2] = brace.pattern[:, index]
        cases.append(Loads(nodal))
    moved = [one.displacements[..., :2] for one in solve_cases(frame, cases, count)]
    bare = moved[0][:, [_TOP_LEFT, _TOP_RIGHT], 1].mean(axis=1)
    opened = np.empty((count, braces))
    flexible = np.array(brace.give)
    for i in range(braces):
        opened[:, i] = np.sum(brace.pattern[:, i] * moved[0], axis=(1, 2))
        for j in range(braces):
            flexible[:, i, j] += np.sum(brace.pattern[:, i] * moved[1 + j], axis=(1, 2))
    found = []
    for group in groups:
        at_work = np.flatnonzero(group[:braces])
        part = flexible[:, at_work[:, None], at_work]
        forces = np.zeros((count, braces))
        forces[:, at_work] = -np.linalg.solve(part, opened[:, at_work, None])[:, :, 0]
        given = np.asarray(bare + np.sum(forces * opened, axis=1), dtype=np.float64)
        found.append(Racked(given, forces))
    return bare, found


def panel_buckling(
    width: ArrayLike, length: ArrayLike, gauge: ArrayLike, modulus: ArrayLike, poisson: float = 0.3
) -> Floats:
    """Shear stress at which a sheet held at its edges buckles.

    Args:
        width: one side [m].
        length: the other side [m].
        gauge: thickness [m].
        modulus: elastic modulus [Pa].
        poisson: Poisson's ratio [-].

    Returns:
        Critical shear stress [Pa].

    Raises:
        ValueError: an entry is NaN or outside its range; the message names the argument.

    Leaves out: swages, curvature, holes, edges that are clamped (which raise it).
    Source: EN 1993-1-5:2006, Annex A.1 and A.3, plate without stiffeners.

    >>> round(float(panel_buckling(0.8, 0.5, 1.5e-3, 210e9)) / 1e6, 2)
    11.79
    """
    a = within("width", width, 0, 10, above=True)
    b = within("length", length, 0, 10, above=True)
    t = within("gauge", gauge, 0, 0.1, above=True)
    long, short = np.maximum(a, b), np.minimum(a, b)
    factor = 5.34 + 4 * (short / long) ** 2
    e = within("modulus", modulus, 0, 1e12, above=True)
    return np.asarray(factor * np.pi**2 * e / (12 * (1 - poisson**2)) * (t / short) ** 2)
