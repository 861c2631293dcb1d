"""A vehicle solved step by step for the screen; run in a thread, given up when overtaken."""

from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass

from textual.message import Message

from atlas.errors import AtlasError
from atlas.vehicles.carrying import Carried, carry
from atlas.vehicles.figures import Bought, bought
from atlas.vehicles.framing import Framed, frame_of, patterns_of
from atlas.vehicles.loads import LoadCase
from atlas.vehicles.model import Vehicle
from atlas.vehicles.worth import worths

SAMPLES = 100  # draws for ranges: they settle to a few per cent of their width


@dataclass(frozen=True)
class Setting:
    """What a place keeps of the screen besides the vehicle."""

    load: str
    without: tuple[str, ...] = ()
    member: str = ""
    view: str = "plan"
    moved: bool = True

    @classmethod
    def of(cls, given: Mapping[str, str], vehicle: Vehicle, loads: Collection[str]) -> "Setting":
        """Read it back; what is not there any more is left out."""
        load, member = given.get("load", "corner"), given.get("member", "")
        known = patterns_of(vehicle)
        return cls(
            load if load in loads else next(iter(loads)),
            tuple(name for name in given.get("without", "").split() if name in known),
            member if member in vehicle.members else "",
            given.get("view", "plan"),
            given.get("moved", "yes") != "no",
        )

    @property
    def inputs(self) -> tuple[tuple[str, str], ...]:
        """As a place keeps it."""
        return (
            ("load", self.load), ("without", " ".join(self.without)), ("member", self.member),
            ("view", self.view), ("moved", "yes" if self.moved else "no"),
        )  # fmt: skip


@dataclass(frozen=True)
class Asked:
    """What was asked: answers to it are shown only while it still stands."""

    load: str
    without: tuple[str, ...] = ()


@dataclass
class Solved(Message):
    """The structure under the load; with ranges once ``samples`` is more than none.

    Where it cannot be solved, ``error`` says why and ``framed`` is still there to be drawn.
    """

    asked: Asked
    framed: Framed
    carried: Carried | None
    whole: Carried
    error: AtlasError | None = None
    samples: int = 0


@dataclass
class Priced(Message):
    """What one more pattern buys in the load case."""

    load: str
    row: Bought


@dataclass
class Failed(Message):
    """The vehicle itself cannot be solved."""

    asked: Asked
    error: AtlasError


def study(
    vehicle: Vehicle, case: LoadCase, asked: Asked, price: bool, overtaken: Callable[[], bool]
) -> Iterator[Message]:
    """Yield the nominal answer at once, then its ranges, then what each pattern buys.

    Args:
        vehicle: as loaded.
        case: the load case asked for.
        asked: load and patterns taken away.
        price: whether the patterns' table is wanted too.
        overtaken: whether something else was asked meanwhile.
    """
    try:
        for samples in (0, SAMPLES):
            yield _solved(vehicle, case, asked, samples)
            if overtaken():
                return
        if not price:
            return
        for row in worths(vehicle, [case], SAMPLES):
            if overtaken():
                return
            yield Priced(case.id, bought(row, case.id))
    except AtlasError as error:
        yield Failed(asked, error)


def _solved(vehicle: Vehicle, case: LoadCase, asked: Asked, samples: int) -> Solved:
    (whole,) = carry(frame_of(vehicle, (), samples), [case], samples)
    if not asked.without:
        return Solved(asked, whole.framed, whole, whole, samples=samples)
    framed = frame_of(vehicle, asked.without, samples)
    try:
        (carried,) = carry(framed, [case], samples)
    except AtlasError as error:  # what is left is a mechanism, or the load has nowhere to stand
        return Solved(asked, framed, None, whole, error, samples)
    return Solved(asked, framed, carried, whole, samples=samples)
