"""What a pattern, an observable and a glossary term hold.

Frozen structs, validated on reading: an unknown key, a missing field or a wrong type is refused
with the field's path. Rules that span fields or files live in ``checking``.
"""

from datetime import date
from typing import Annotated, Literal

import msgspec
from msgspec import Meta, Struct

Id = Annotated[str, Meta(pattern=r"^[a-z0-9]+(-[a-z0-9]+)*$", max_length=60)]
Text = Annotated[str, Meta(min_length=1, max_length=20_000)]
Line = Annotated[str, Meta(min_length=1, max_length=400)]
Point = tuple[float, float]
Probability = Annotated[float, Meta(ge=0.0, le=1.0)]

Viewpoint = Literal[
    "below", "above", "front", "side", "wheel-off", "fascia-off", "section-cut", "bench", "touch"
]
Telling = Literal["settles", "strong", "supports", "weak"]
Axis = Literal["mass", "cost", "stiffness", "crash", "noise", "repair", "packaging"]
Effect = Literal["better", "worse", "depends"]
SettleBy = Literal["look", "measure", "weigh", "test", "cut", "unbolt"]
# What settled a structure, as it is said: "settled by taking it apart".
SETTLED_BY = {
    "look": "by looking",
    "measure": "by measuring",
    "weigh": "by weighing",
    "test": "by a test",
    "cut": "by cutting",
    "unbolt": "by taking it apart",
    "document": "from a document",
}
SourceKind = Literal["published", "common-practice", "memory"]
Status = Literal["draft", "reviewed", "settled"]
View = Literal["plan", "front", "side", "section", "detail"]
Role = Literal["context", "own", "hidden", "centre", "load"]


class Cue(Struct, frozen=True, forbid_unknown_fields=True):
    """One thing that is seen, felt or heard; where from; how telling it is."""

    see: Text
    look: Viewpoint
    telling: Telling
    mark: str = ""  # name of the sketch shapes that show it


class LookAlike(Struct, frozen=True, forbid_unknown_fields=True):
    """A pattern that this one is mistaken for, and the one observation that separates."""

    id: Id
    separates: Text


class LoadCase(Struct, frozen=True, forbid_unknown_fields=True):
    """A load that the structure meets and the path that it takes."""

    case: Line
    force: Text  # which force, which direction, what order of magnitude
    path: Text


class TradeOff(Struct, frozen=True, forbid_unknown_fields=True):
    """What the pattern does to one property, against its usual alternative."""

    axis: Axis
    effect: Effect
    why: Text


class Build(Struct, frozen=True, forbid_unknown_fields=True):
    """A usual make: material, process and joint, with the gauge where one is usual."""

    material: Line
    process: Line
    joint: Line
    gauge_mm: tuple[float, float] | None = None


class Expectation(Struct, frozen=True, forbid_unknown_fields=True):
    """What the preset's result must show for the pattern's own text to hold."""

    result: str
    above: float | None = None
    below: float | None = None


class Calculation(Struct, frozen=True, forbid_unknown_fields=True):
    """A calculator, the question that it answers here, and inputs that answer it."""

    calculator: Id
    question: Text
    inputs: dict[str, str | int | float] = {}
    expect: tuple[Expectation, ...] = ()


class Settle(Struct, frozen=True, forbid_unknown_fields=True):
    """What to look at, measure, weigh or cut at teardown, and what it decides."""

    by: SettleBy
    do: Text
    decides: Text


class Source(Struct, frozen=True, forbid_unknown_fields=True):
    """Where a claim comes from."""

    kind: SourceKind
    text: Line
    address: str = ""


class Provenance(Struct, frozen=True, forbid_unknown_fields=True):
    """How far the pattern is trusted and where it was seen."""

    status: Status
    written: date
    reviewed: date | None = None
    reviewer: str = ""
    author: str = ""
    seen_in: tuple[str, ...] = ()
    counted: tuple[str, ...] = ()  # looks that its likelihoods have counted, as case/look
    variant_of: str = ""
    supersedes: tuple[Id, ...] = ()
    superseded_by: str = ""


class Shape(Struct, frozen=True, forbid_unknown_fields=True):
    """One primitive of a sketch, in the view's own millimetres, x to the right and y up.

    ``kind`` decides which of the other fields count:

    * ``line``: ``points`` (two or more, joined straight); ``curve``: the same, drawn smooth.
    * ``polygon``: ``points``, closed; ``fill`` shades it.
    * ``circle``: ``at``, ``radius``; ``arc``: also ``start`` and ``end`` in degrees, anticlockwise.
    * ``bolt``: ``at``; ``angle`` absent when seen end-on, else the direction from the head to the
      tip in degrees; ``length`` of the shank.
    * ``rivet``, ``spot-weld``: ``at``. ``weld``: ``points`` along the seam.
    * ``arrow``: ``points``, from tail to head (loads and motions).
    * ``dimension``: ``points`` (two), ``text``.
    * ``label``: ``text`` at ``at``; ``to`` is what it points at.
    """

    kind: Literal[
        "line",
        "curve",
        "polygon",
        "circle",
        "arc",
        "bolt",
        "rivet",
        "spot-weld",
        "weld",
        "arrow",
        "dimension",
        "label",
    ]
    role: Role = "own"
    points: tuple[Point, ...] = ()
    at: Point | None = None
    to: Point | None = None
    radius: Annotated[float, Meta(gt=0)] | None = None
    start: float = 0.0
    end: float = 360.0
    angle: float | None = None
    length: Annotated[float, Meta(gt=0)] | None = None
    text: Annotated[str, Meta(max_length=60)] = ""
    fill: bool = False
    mark: str = ""  # ties the shape to the cue of the same mark


class Sketch(Struct, frozen=True, forbid_unknown_fields=True):
    """One view of the structure: a sheet of ``width`` by ``height`` mm, origin lower left."""

    view: View
    title: Line
    width: Annotated[float, Meta(gt=0)]
    height: Annotated[float, Meta(gt=0)]
    shapes: Annotated[tuple[Shape, ...], Meta(min_length=1)]
    scale_bar: float = 0.0  # length shown [mm], 0 for none (not to scale)


class Signature(Struct, frozen=True, forbid_unknown_fields=True):
    """The pattern in vocabulary terms, by the part that each term plays in a description.

    Terms are ids of the vocabulary. A trailing ``!`` marks a term without which one would hardly
    describe the pattern; ``absent`` lists terms that speak against it.
    """

    part: tuple[str, ...] = ()
    place: tuple[str, ...] = ()
    shape: tuple[str, ...] = ()
    joint: tuple[str, ...] = ()
    material: tuple[str, ...] = ()
    process: tuple[str, ...] = ()
    ties: tuple[str, ...] = ()
    serves: tuple[str, ...] = ()
    count: tuple[str, ...] = ()
    absent: tuple[str, ...] = ()


class Pattern(Struct, frozen=True, forbid_unknown_fields=True):
    """One way of building a piece of front structure, and everything known of it."""

    id: Id
    title: Line
    zone: Id
    summary: Text
    cues: Annotated[tuple[Cue, ...], Meta(min_length=1)]
    look_alikes: tuple[LookAlike, ...]
    does: Text
    load_cases: tuple[LoadCase, ...]
    rationale: Text
    trade_offs: tuple[TradeOff, ...]
    builds: tuple[Build, ...]
    settle: tuple[Settle, ...]
    sources: tuple[Source, ...]
    provenance: Provenance
    other_names: tuple[Line, ...] = ()
    calculations: tuple[Calculation, ...] = ()
    cautions: tuple[Text, ...] = ()
    likelihoods: dict[str, dict[str, Probability]] = {}
    signature: Signature = Signature()
    sketches: tuple[Sketch, ...] = ()


class Zone(Struct, frozen=True, forbid_unknown_fields=True):
    """A region of the front structure, by which the catalogue is browsed."""

    id: Id
    title: Line
    about: Text


class State(Struct, frozen=True, forbid_unknown_fields=True):
    """One answer to an observable's question."""

    id: Id
    text: Line


class Observable(Struct, frozen=True, forbid_unknown_fields=True):
    """A question that one look, touch or simple test can answer."""

    id: Id
    question: Line
    look: Viewpoint
    states: Annotated[tuple[State, ...], Meta(min_length=2)]
    why: Text  # what the answer tells, for "why this question"


class Term(Struct, frozen=True, forbid_unknown_fields=True):
    """A word of the trade, what it means, and what else it is called."""

    id: Id
    term: Line
    kind: Literal[
        "part", "place", "shape", "joint", "material", "process", "ties", "serves", "count",
        "measure", "test", "load",
    ]  # fmt: skip
    definition: Line
    also: tuple[str, ...] = ()  # other words and spellings, any region or age
    see: tuple[str, ...] = ()  # ids of patterns or of other terms


def path_of(error: msgspec.ValidationError) -> tuple[str, str]:
    """Split a validation message into what is wrong and the field's path.

    >>> path_of(msgspec.ValidationError("Expected `str`, got `int` - at `$.cues[0].see`"))
    ('expected str, got int', 'cues[0].see')
    >>> path_of(msgspec.ValidationError("Object missing required field `see` - at `$.cues[0]`"))
    ('is missing', 'cues[0].see')
    >>> path_of(msgspec.ValidationError("Expected `str` of length >= 1 - at `$.title`"))
    ('is empty', 'title')
    """
    what, _, path = str(error).partition(" - at `$")
    what, path = what.replace("`", ""), path.rstrip("`")
    what = what[:1].lower() + what[1:]
    if what.startswith("expected str matching regex '^[a-z0-9]"):
        what = "no id: small letters and digits, with single hyphens between"
    elif what.startswith(_LACKS):
        what, path = "is missing", f"{path}.{what.removeprefix(_LACKS)}"
    elif what == "expected str of length >= 1":
        what = "is empty"
    return what, path.lstrip(".")


_LACKS = "object missing required field "
