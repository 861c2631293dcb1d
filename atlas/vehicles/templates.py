"""A rough front structure from ten tape-measure readings, one template a cradle type.

Left halves only: names that end in ``-l`` get their twin when the vehicle is read. Proportions
that no reading gives are common practice, no source.
"""

from dataclasses import dataclass, field, fields, replace

from atlas.errors import BadInput, OutOfRange
from atlas.vehicles.model import Cradle, Point3

CRADLES: dict[str, str] = {
    "perimeter": "legs to the front, a bar across their ends, two cross members",
    "horned": "short box with horns up and forward to the rails",
    "h-plan": "two legs and one cross member in the middle",
    "x-plan": "four arms that meet in a hub",
    "short": "box behind the axle, its front mounts near the wheel centre",
    "none": "no cradle: pivots on brackets below the rails",
}


@dataclass(frozen=True)
class Tape:
    """Ten readings [mm]; x counts from the front wheel's centre."""

    width: float = field(default=1800.0, metadata={"help": "overall width, without mirrors"})
    wheelbase: float = field(default=2650.0, metadata={"help": "wheelbase"})
    nose: float = field(default=700.0, metadata={"help": "bumper beam ahead of the wheel centre"})
    rail_spacing: float = field(default=900.0, metadata={"help": "between the rails' centres"})
    rail_height: float = field(default=520.0, metadata={"help": "rails' centre above the ground"})
    beam_width: float = field(default=1150.0, metadata={"help": "bumper beam, end to end"})
    cradle_spacing: float = field(
        default=780.0, metadata={"help": "between the cradle's legs or the arms' pivots"}
    )
    cradle_front: float = field(
        default=380.0, metadata={"help": "cradle's front mounts ahead of the wheel centre"}
    )
    cradle_rear: float = field(
        default=420.0, metadata={"help": "cradle's rear mounts behind the wheel centre"}
    )
    cradle_height: float = field(default=280.0, metadata={"help": "cradle's legs above the ground"})


_BOUNDS: dict[str, tuple[float, float]] = {
    "width": (1300, 2600), "wheelbase": (1600, 4500), "nose": (350, 1300),
    "rail_spacing": (500, 1400), "rail_height": (250, 900), "beam_width": (600, 2400),
    "cradle_spacing": (400, 1400), "cradle_front": (-40, 900), "cradle_rear": (180, 900),
    "cradle_height": (120, 700),
}  # fmt: skip


@dataclass(frozen=True)
class Piece:
    """A member of a template."""

    start: str
    end: str
    section: str
    patterns: tuple[str, ...] = ()
    ends: str = "rigid"


@dataclass(frozen=True)
class Template:
    """Nodes, members, mounts and ties of a front structure's left half."""

    nodes: dict[str, Point3]
    members: dict[str, Piece]
    mounts: dict[str, str]
    ties: dict[str, tuple[str, str]]
    points: dict[str, str]
    front_bar: str = ""


def checked(tape: Tape) -> Tape:
    """The readings, refused by name where they cannot be.

    Raises:
        OutOfRange: a reading lies outside what the template can build.
        BadInput: two readings contradict each other.
    """
    for one in fields(tape):
        value, (low, high) = getattr(tape, one.name), _BOUNDS[one.name]
        if not low <= value <= high:
            raise OutOfRange(f"{value:g} mm", one.name, f"give {low:g} to {high:g} mm")
    for inner, outer in (("rail_spacing", "beam_width"), ("beam_width", "width")):
        if getattr(tape, inner) > getattr(tape, outer):
            raise BadInput(f"larger than {outer}", inner, "measure both again")
    if tape.cradle_front > tape.nose - 220:
        raise BadInput(
            f"reaches within 220 mm of the beam at {tape.nose:g} mm", "cradle_front",
            "the crush can needs that room: measure to the mount's bolt",
        )  # fmt: skip
    if tape.cradle_height > tape.rail_height - 60:
        raise BadInput("less than 60 mm below the rails", "cradle_height", "measure both again")
    return tape


def template(tape: Tape, cradle: Cradle) -> Template:
    """Lay out the front structure.

    Raises:
        OutOfRange, BadInput: as ``checked``.
    """
    body = _body(checked(tape))
    return {
        "perimeter": _perimeter,
        "horned": _horned,
        "h-plan": _h_plan,
        "x-plan": _x_plan,
        "short": _short,
        "none": _none,
    }[cradle](tape, body)


def _body(t: Tape) -> Template:
    """Rails, beam, sills, pillars and upper rails."""
    side, rail, half = t.width / 2, t.rail_spacing / 2, t.beam_width / 2
    low, front = t.rail_height - 140, t.cradle_front
    can = t.nose - 170
    ahead, tower = (can + front) / 2, min(-20.0, front - 110)
    kick = (tower - t.cradle_rear) / 2
    low, back = max(low, 180.0), -t.cradle_rear
    nodes: dict[str, Point3] = {
        "beam-l": (t.nose, half, t.rail_height),
        "beam-can-l": (t.nose, rail, t.rail_height),
        "can-l": (can, rail, t.rail_height),
        "rail-a-l": (ahead, rail, t.rail_height),
        "rail-b-l": (front, rail, t.rail_height),
        "rail-c-l": (tower, rail, t.rail_height),
        "kick-l": (kick, rail, t.rail_height - 40),
        "root-l": (back, rail, low),
        "sill-l": (back, side - 170, low - 20),
        "sill-b-l": (back - 800, side - 170, low - 20),
        "floor-b-l": (back - 800, rail, low - 20),
        "dash-l": (back - 40, side - 190, t.rail_height + 120),
        "upper-a-l": (ahead, side * 0.68, t.rail_height + 260),
        "upper-b-l": (0.0, side * 0.68, t.rail_height + 360),
        "upper-c-l": (back - 40, side * 0.76, t.rail_height + 400),
    }
    members = {
        "beam-end-l": Piece("beam-l", "beam-can-l", "beam", ("bumper-beam-wide",)),
        "beam": Piece("beam-can-l", "beam-can-r", "beam"),
        "can-l": Piece("beam-can-l", "can-l", "can"),
        "rail-1-l": Piece("can-l", "rail-a-l", "rail"),
        "rail-2-l": Piece("rail-a-l", "rail-b-l", "rail"),
        "rail-3-l": Piece("rail-b-l", "rail-c-l", "rail"),
        "rail-4-l": Piece("rail-c-l", "kick-l", "rail"),
        "rail-5-l": Piece("kick-l", "root-l", "torque-box", ("rail-kick-down",)),
        "torque-box-l": Piece("root-l", "sill-l", "torque-box", ("torque-box",)),
        "floor-l": Piece("root-l", "floor-b-l", "rail"),
        "sill-l": Piece("sill-l", "sill-b-l", "sill"),
        "pillar-l": Piece("sill-l", "dash-l", "post", ("overlap-hinge-pillar",)),
        "pillar-top-l": Piece("dash-l", "upper-c-l", "post", ("overlap-hinge-pillar",)),
        "upper-2-l": Piece("upper-c-l", "upper-b-l", "upper", ("upper-rail",)),
        "upper-1-l": Piece("upper-b-l", "upper-a-l", "upper", ("upper-rail",)),
        "upper-tie-l": Piece("upper-a-l", "rail-a-l", "post", ("front-ring",), "semi"),
        "tower-l": Piece("upper-b-l", "rail-c-l", "torque-box", ("tower-stamped",)),
        "dash": Piece("root-l", "root-r", "dash", ("dash-cross-member",)),
        "dash-out-l": Piece("root-l", "dash-l", "dash", ("dash-cross-member",)),
        "floor-cross": Piece("floor-b-l", "floor-b-r", "dash"),
        "floor-out-l": Piece("floor-b-l", "sill-b-l", "dash"),
    }
    mounts = {"sill-b-l": "sill-b-l", "floor-b-l": "floor-b-l", "upper-c-l": "upper-c-l"}
    points = {
        "beam-l": "beam-l", "can-l": "can-l", "rail-tip-l": "can-l", "rail-root-l": "root-l",
        "tower-l": "upper-b-l", "jack-l": "sill-l",
        "pivot-front-l": "pivot-f-l", "pivot-rear-l": "pivot-r-l",
    }  # fmt: skip
    return Template(nodes, members, mounts, {}, points)


def _cradled(t: Tape, body: Template, front_foot: str, front_at: float) -> Template:
    """Body, pivots, rear corners and the four mounts; ``front_foot`` stands below the front one."""
    y, z, rail = t.cradle_spacing / 2, t.cradle_height, t.rail_spacing / 2
    ahead = min(130.0, front_at - 70) if front_foot != "pivot-f-l" else front_at
    nodes = {
        **body.nodes,
        "pivot-f-l": (ahead, y - 20, z),
        "pivot-r-l": (max(-170.0, 90 - t.cradle_rear), y - 20, z),
        "leg-c-l": (30 - t.cradle_rear, y + 10, z),
        "mount-f-l": (t.cradle_front, rail, t.rail_height),
        "mount-r-l": body.nodes["root-l"],
    }
    members = {
        **body.members,
        "leg-3-l": Piece("pivot-r-l", "leg-c-l", "leg"),
        "post-f-l": Piece(front_foot, "mount-f-l", "stand-off", ("cradle-stand-off",)),
        "post-r-l": Piece("leg-c-l", "mount-r-l", "stand-off"),
    }
    ties = {"mount-f-l": ("mount-f-l", "rail-b-l"), "mount-r-l": ("mount-r-l", "root-l")}
    points = {**body.points, "cradle-front-l": front_foot, "cradle-rear-l": "leg-c-l"}
    return Template(nodes, members, body.mounts, ties, points)


def _legged(t: Tape, body: Template) -> Template:
    """With legs as far as the front mounts."""
    made = _cradled(t, body, "leg-a-l", t.cradle_front)
    made.nodes["leg-a-l"] = (t.cradle_front, t.cradle_spacing / 2 + 20, t.cradle_height)
    made.points["leg-tip-l"] = "leg-a-l"
    return made


def _perimeter(t: Tape, body: Template) -> Template:
    made = _legged(t, body)
    made.members.update(
        {
            "leg-1-l": Piece("leg-a-l", "pivot-f-l", "leg"),
            "leg-2-l": Piece("pivot-f-l", "pivot-r-l", "leg"),
            "bar": Piece("leg-a-l", "leg-a-r", "front-bar", (), "semi"),
            "cross-front": Piece("pivot-f-l", "pivot-f-r", "cross", ("cross-member-pivot-tie",)),
            "cross-rear": Piece("pivot-r-l", "pivot-r-r", "cross", ("cross-member-box",)),
        }
    )
    return replace(made, front_bar="bar")


def _horned(t: Tape, body: Template) -> Template:
    made = _cradled(t, body, "horn-l", t.cradle_front)
    middle = (t.cradle_height + t.rail_height) / 2
    made.nodes["horn-l"] = (t.cradle_front - 40, t.cradle_spacing / 2 + 40, middle)
    made.members.update(
        {
            "horn-l": Piece("pivot-f-l", "horn-l", "leg", ("cradle-horned",)),
            "leg-2-l": Piece("pivot-f-l", "pivot-r-l", "leg"),
            "cross-front": Piece("pivot-f-l", "pivot-f-r", "cross", ("cross-member-pivot-tie",)),
            "cross-rear": Piece("pivot-r-l", "pivot-r-r", "cross", ("cross-member-box",)),
        }
    )
    return made


def _h_plan(t: Tape, body: Template) -> Template:
    made = _legged(t, body)
    made.nodes["mid-l"] = (-20.0, t.cradle_spacing / 2 - 20, t.cradle_height)
    made.members.update(
        {
            "leg-1-l": Piece("leg-a-l", "pivot-f-l", "leg"),
            "leg-2-l": Piece("pivot-f-l", "mid-l", "leg"),
            "leg-2b-l": Piece("mid-l", "pivot-r-l", "leg"),
            "cross": Piece("mid-l", "mid-r", "cross", ("cross-member-box",)),
        }
    )
    return made


def _x_plan(t: Tape, body: Template) -> Template:
    made = _legged(t, body)
    made.nodes["hub"] = (-20.0, 0.0, t.cradle_height)
    made.members.update(
        {
            "arm-1-l": Piece("leg-a-l", "pivot-f-l", "leg"),
            "arm-2-l": Piece("pivot-f-l", "hub", "leg", ("cradle-x",)),
            "arm-3-l": Piece("hub", "pivot-r-l", "leg", ("cradle-x",)),
            "pivot-tie-l": Piece("pivot-f-l", "pivot-r-l", "leg", ("cradle-arm-pocket",)),
        }
    )
    return made


def _short(t: Tape, body: Template) -> Template:
    made = _cradled(t, body, "pivot-f-l", t.cradle_front)
    made.members.update(
        {
            "leg-2-l": Piece("pivot-f-l", "pivot-r-l", "leg"),
            "cross-front": Piece("pivot-f-l", "pivot-f-r", "cross", ("cross-member-pivot-tie",)),
            "cross-rear": Piece("leg-c-l", "leg-c-r", "cross", ("cross-member-box",)),
        }
    )
    return made


def _none(t: Tape, body: Template) -> Template:
    y, z = t.cradle_spacing / 2, t.cradle_height
    tower = body.nodes["rail-c-l"][0]
    nodes = {
        **body.nodes,
        "pivot-f-l": (max(t.cradle_front, tower + 60), y, z),
        "pivot-r-l": (body.nodes["kick-l"][0], y, z),
    }
    members = {
        **body.members,
        "bracket-f-l": Piece("pivot-f-l", "rail-b-l", "stand-off", ("cradle-on-frame",)),
        "bracket-r-l": Piece("pivot-r-l", "kick-l", "stand-off", ("cradle-on-frame",)),
        "pivot-tie-l": Piece("pivot-f-l", "pivot-r-l", "leg", ("cradle-on-frame",)),
        "cross-front": Piece("pivot-f-l", "pivot-f-r", "cross", ("cross-member-removable",)),
        "cross-rear": Piece("pivot-r-l", "pivot-r-r", "cross", ("cross-member-box",)),
    }
    points = {**body.points, "cradle-front-l": "pivot-f-l", "cradle-rear-l": "pivot-r-l"}
    return Template(nodes, members, body.mounts, {}, points)
