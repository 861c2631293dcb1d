"""What a vehicle file holds: dimensions, a front structure of nodes and members, and the truth.

Axes after ISO 8855: x forward, y to the left, z up, in millimetres; x = 0 at the front wheel
centre, z = 0 at the ground. Names that end in ``-l`` stand for a left part; with ``mirror`` its
twin ``-r`` is made from it.
"""

from typing import Annotated, Literal

from msgspec import Meta, Struct

from atlas.catalogue.model import Id, Line, Text

Point3 = tuple[float, float, float]
Positive = Annotated[float, Meta(gt=0)]
# One standard deviation of a stiffness as a share of it. A quarter where nothing is known of a
# joint or mount: common practice, no source.
Share = Annotated[float, Meta(ge=0, le=1)]
Joint = Literal["welded", "bolted", "pinned", "bonded", "cast"]
EndKind = Literal["rigid", "semi", "pinned"]
Metal = Literal["steel", "aluminium", "magnesium", "cast iron", "CFRP"]
Kind = Literal["hatchback", "saloon", "pick-up", "off-road", "sports", "van", "crossover", "city"]
Cradle = Literal["perimeter", "x-plan", "h-plan", "short", "horned", "none"]


class Dimensions(Struct, frozen=True, forbid_unknown_fields=True):
    """Overall dimensions [mm] and masses [kg]."""

    length: Positive
    width: Positive
    height: Positive
    wheelbase: Positive
    track: Positive
    mass: Positive
    front_share: Annotated[float, Meta(gt=0.2, lt=0.8)] = 0.55
    drive_unit_mass: float = 0.0
    tyre_diameter: Positive = 680.0
    tyre_width: Positive = 225.0


class Profile(Struct, frozen=True, forbid_unknown_fields=True):
    """A cross-section, in millimetres; shapes as the section calculator knows them."""

    shape: str
    width: Positive
    height: float = 0.0
    gauge: float = 0.0
    flange: float = 0.0
    second_gauge: float = 0.0
    cells_wide: int = 1
    cells_high: int = 1
    gauge_spread: Annotated[float, Meta(ge=0, le=0.5)] = 0.06  # one standard deviation, as a share


class Member(Struct, frozen=True, forbid_unknown_fields=True):
    """A straight piece between two nodes."""

    start: str
    end: str
    section: str
    material: Metal
    process: Line
    joint: Joint
    ends: EndKind = "rigid"
    patterns: tuple[Id, ...] = ()
    strength: Positive = 300.0  # yield strength [MPa]
    note: str = ""


class Mount(Struct, frozen=True, forbid_unknown_fields=True):
    """A node that the body or ground holds, stiff or through rubber [kN/mm] along x, y, z."""

    node: str
    stiffness: Point3
    turning: float = 0.0  # [kN m/rad] about each axis
    kind: Literal["solid", "rubber", "body"] = "body"
    patterns: tuple[Id, ...] = ()
    spread: Share = 0.25


class Instead(Struct, frozen=True, forbid_unknown_fields=True):
    """How a joint is held where its pattern is not used [kN/mm, kN m/rad]."""

    stiffness: Point3
    turning: float = 0.0


class Tie(Struct, frozen=True, forbid_unknown_fields=True):
    """A bolted or rubber joint between two nodes that lie at one place [kN/mm, kN m/rad].

    A pattern may be a kind of joint: a cradle on no rubber stands on some without it, it does not
    hang loose. ``instead`` is then, by pattern, what holds once that one is taken away; the softest
    where several are.
    """

    first: str
    second: str
    stiffness: Point3
    turning: float = 0.0
    patterns: tuple[Id, ...] = ()
    spread: Share = 0.25
    instead: dict[Id, Instead] = {}


class Look(Struct, frozen=True, forbid_unknown_fields=True):
    """A calculation that answers a question about a structure, and how to read it.

    Where most samples of the result lie within ``above`` and ``below``, it says ``supports``, else
    ``refutes``; ``says`` is which of the two the vehicle's author holds to be so.
    """

    calculator: Id
    question: Line
    inputs: dict[str, str | int | float] = {}
    result: str = ""
    supports: str = ""
    refutes: str = ""
    says: Literal["supports", "refutes"] = "supports"
    above: float | None = None
    below: float | None = None


class Structure(Struct, frozen=True, forbid_unknown_fields=True):
    """A structure as somebody describes it, what a beginner takes it for, and what it is."""

    about: Line
    described: Text
    first_guess: Id
    pattern: Id
    found: Text
    how: Literal["look", "measure", "weigh", "test", "cut", "unbolt", "document"]
    looks: dict[str, str] = {}
    calculation: Look | None = None


class Vehicle(Struct, frozen=True, forbid_unknown_fields=True):
    """A vehicle's front structure; those that come with the program are invented."""

    id: Id
    title: Line
    kind: Kind
    cradle: Cradle
    about: Text
    described: Text  # the underside as a person gives it from a blurred photo
    dimensions: Dimensions
    sections: dict[str, Profile]
    nodes: dict[str, Point3]
    members: dict[str, Member]
    mounts: dict[str, Mount]
    points: dict[str, str]  # role of a load or reading point -> node
    structures: tuple[Structure, ...] = ()
    ties: dict[str, Tie] = {}
    front_bar: str = ""  # member whose pull or push in a corner hit is asked for
    mirror: bool = True
    readings: dict[str, dict[str, str | int | float]] = {}  # calculator -> inputs it gives
