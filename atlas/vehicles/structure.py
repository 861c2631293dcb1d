"""A vehicle's frame as the front-frame calculator takes it: strengths, parts and load cases."""

import numpy as np

from atlas.mechanics.frames import Loads, node_loads
from atlas.mechanics.front_frames import KINDS, Structure
from atlas.vehicles.framing import Framed
from atlas.vehicles.model import Member

# Words in a member's name, patterns or section -> index into KINDS; the first that fits counts.
_WORDS = (
    (3, ("front-bar", "beam", "bumper")),
    (4, ("brace", "plate", "strap", "tie")),
    (2, ("cradle", "leg", "cross", "horn", "stand-off", "corner")),
    (5, ("torque-box", "dash")),
    (1, ("upper", "tower", "post", "cowl")),
    (0, ("rail", "can", "root", "kick")),
)
# Load case -> points that share the force, the first of several places that is there, each with
# its direction.
_BACK, _IN = np.cos(np.pi / 6), np.sin(np.pi / 6)
_CASES: dict[str, tuple[tuple[tuple[str, ...], tuple[float, float, float]], ...]] = {
    "one-sided": ((("rail-tip-l",), (-1.0, 0.0, 0.0)),),
    # On the leg, where the bar ends: with the bar away the barrier meets the leg itself. Where no
    # leg runs forward, it meets the beam's end.
    "corner": ((("leg-tip-l", "beam-l", "rail-tip-l"), (-_BACK, -_IN, 0.0)),),
    "cornering": ((("pivot-front-l",), (0.0, 0.5, 0.0)), (("pivot-front-r",), (0.0, 0.5, 0.0))),
    "tower": ((("tower-l",), (0.0, 0.0, 1.0)), (("tower-r",), (0.0, 0.0, -1.0))),
    "racking": (
        (("cradle-front-l",), (0.0, 0.0, 1.0)),
        (("cradle-front-r",), (0.0, 0.0, -1.0)),
        (("cradle-rear-l",), (0.0, 0.0, -1.0)),
        (("cradle-rear-r",), (0.0, 0.0, 1.0)),
    ),
}


def structure_of(framed: Framed) -> Structure:
    """The structure, with the load cases for which the vehicle names the points.

    A member of several patterns counts with the first of them.
    """
    vehicle, frame = framed.vehicle, framed.frame
    rows = [vehicle.members[name] for name in framed.member_names]
    points = {
        role: framed.node_names.index(node)
        for role, node in vehicle.points.items()
        if node in framed.node_names
    }
    cases, watch = {}, {}
    for case, loads in _CASES.items():
        spots = [next((points[r] for r in roles if r in points), None) for roles, _ in loads]
        if None not in spots:
            where = [(spot, force) for spot, (_, force) in zip(spots, loads, strict=True)]
            cases[case] = Loads(node_loads(frame, {s: list(f) for s, f in where if s is not None}))
            first, force = where[0]
            assert first is not None
            size = float(np.linalg.norm(force))
            if case != "racking":  # measured at all four mounts
                watch[case] = (first, (force[0] / size, force[1] / size, force[2] / size))
    return Structure(
        frame=frame,
        strength=framed.limits,
        mass=framed.mass,
        kinds=tuple(
            _kind(f"{name} {row.section} {' '.join(row.patterns)}")
            for name, row in zip(framed.member_names, rows, strict=True)
        ),
        parts=tuple(_first(row) for row in rows),
        ends=(points.get("rail-tip-l", 0), points.get("rail-tip-r", 0)),
        cases=cases,
        watch=watch,
        bar=_first(vehicle.members[vehicle.front_bar]) if vehicle.front_bar else "",
    )


def _first(member: Member) -> str:
    return member.patterns[0] if member.patterns else ""


def _kind(words: str) -> int:
    for index, known in _WORDS:
        if any(word in words for word in known):
            return index
    return len(KINDS) - 1
