"""What each pattern of a vehicle buys: every load case with and without it, and its mass."""

from collections import deque
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from atlas.errors import BadInput, NotThere
from atlas.vehicles.carrying import carry
from atlas.vehicles.framing import Framed, Part, frame_of, patterns_of, taken_away
from atlas.vehicles.loads import LoadCase, place
from atlas.vehicles.model import Instead, Vehicle

Floats = NDArray[np.float64]
# With over without, beyond which a pattern was the load path and no stiffener. Below it the rest
# carries at least a tenth at the same movement and the factor compares two structures that work.
# Beyond it what is left holds the load by bending and twisting parts and joints that were never
# meant for it; their turning stiffness is known to a factor of two at best, so that the factor
# has not one sure digit, and the movement leaves the small ones for which the model holds.
# Common practice, no source.
LOST = 10.0
_Left = tuple[tuple[str, ...], tuple[Instead | None, ...]]
_THREADS = 2
_AT_ONCE = 1000  # samples
_WORTH_A_THREAD = 200  # samples; a smaller study is done before a thread has started


@dataclass(frozen=True)
class Gain:
    """One load case with and without a pattern; arrays are (samples,)."""

    case: str
    stiffness: Floats  # with [N/m]
    stiffness_without: Floats
    peak: Floats
    peak_without: Floats
    rails: Floats  # change of spacing and fore-aft shift of the rail tips together [m]
    rails_without: Floats
    notes: tuple[str, ...] = ()
    torque: bool = False  # stiffness is in N m/m

    @property
    def comparable(self) -> bool:
        """Whether the load stands at one and the same place with and without."""
        return not self.notes

    @property
    def lost(self) -> bool:
        """Whether the load has lost its path: the rest takes less than one part in ``LOST``."""
        return self.comparable and float(np.median(self.ratio)) > LOST

    @property
    def ratio(self) -> Floats:
        """Stiffness with over without [-]; says nothing where ``lost`` or not ``comparable``."""
        return self.stiffness / self.stiffness_without


@dataclass(frozen=True)
class Worth:
    """A pattern's row: what goes with it, what it weighs and what it buys."""

    pattern: str
    along: tuple[str, ...]  # patterns to which what goes belongs as well
    members: tuple[str, ...]
    mass: Floats  # [kg], (samples,)
    gains: dict[str, Gain]  # by load case; those that have nothing to stand on are missing
    fault: str = ""  # why the structure cannot stand without it, or no load has a foothold
    stands: bool = True  # what is left is no mechanism
    unheld: tuple[str, ...] = ()  # ties and mounts that hold nothing any more
    otherwise: tuple[str, ...] = ()  # ties that hold on in the way of vehicles that lack it

    def per_kilogram(self, case: str) -> Floats:
        """Stiffness bought for each kilogram [N/m/kg]."""
        gain = self.gains[case]
        return (gain.stiffness - gain.stiffness_without) / np.maximum(self.mass, 1e-9)


def _gone(vehicle: Vehicle, pattern: str) -> dict[str, tuple[str, ...]]:
    """Parts that go with a pattern, each with its patterns."""
    goes = taken_away(vehicle, (pattern,))
    named: list[tuple[str, Part]] = [*vehicle.members.items(), *vehicle.ties.items()]
    named += vehicle.mounts.items()
    return {name: part.patterns for name, part in named if goes(part)}


def worths(
    vehicle: Vehicle, cases: Sequence[LoadCase], samples: int = 0, seed: int = 1
) -> Iterator[Worth]:
    """One row a pattern, as each is done: stop asking, and the study stops.

    The same draw of gauges and joints serves with and without, so that differences are true.

    Raises:
        BadInput: the whole vehicle is a mechanism.
        NotThere: a case has nothing to stand on.
    """
    whole = frame_of(vehicle, (), samples, seed)
    base = _solved(whole, cases, samples)
    mass = whole.mass.sum(axis=-1)
    parts = {pattern: _gone(vehicle, pattern) for pattern in patterns_of(vehicle)}
    gone = {pattern: tuple(names) for pattern, names in parts.items()}
    along = {
        pattern: tuple(dict.fromkeys(n for named in of.values() for n in named if n != pattern))
        for pattern, of in parts.items()
    }

    def loss(pattern: str) -> Worth:
        rest = frame_of(vehicle, (pattern,), samples, seed)
        saved = np.atleast_1d(mass - rest.mass.sum(axis=-1))
        fault, stands, gains = "", True, {}
        stand = [case for case in cases if not no_foothold(case, rest)]
        try:
            gains = {
                name: _gain(base[name], bare)
                for name, bare in _solved(rest, stand, samples).items()
            }
        except BadInput as error:
            fault, stands = error.what, False
        if cases and not stand:
            fault = "no load has anything to stand on without it"
        held = (*rest.ties, *rest.mounts)
        unheld = tuple(name for name in (*whole.ties, *whole.mounts) if name not in held)
        otherwise = tuple(name for name in gone[pattern] if name in rest.ties)
        return Worth(
            pattern, along[pattern], gone[pattern], saved, gains, fault, stands, unheld, otherwise
        )  # fmt: skip

    # What is left where the same parts go and the same hold instead was solved once for all.
    left = {
        pattern: (names, tuple(tie.instead.get(pattern) for tie in vehicle.ties.values()))
        for pattern, names in gone.items()
    }
    firsts: dict[_Left, str] = {}
    for pattern, same in left.items():
        firsts.setdefault(same, pattern)
    rows = _in_turn(loss, list(firsts.values()), samples)
    done: dict[_Left, Worth] = {}
    for pattern, same in left.items():
        if same not in done:
            done[same] = next(rows)
        yield replace(done[same], pattern=pattern, along=along[pattern])


def _in_turn(
    work: Callable[[str], Worth], patterns: Sequence[str], samples: int
) -> Iterator[Worth]:
    """Rows in order; of a large study a few ahead on other processors.

    Threads will do: numpy lets go of the interpreter's lock in the elimination.
    """
    if samples < _WORTH_A_THREAD:
        yield from map(work, patterns)
        return
    pool = ThreadPoolExecutor(_THREADS)
    try:
        waiting = deque(pool.submit(work, pattern) for pattern in patterns[:_THREADS])
        for pattern in (*patterns[_THREADS:], *(_THREADS * [""])):
            if not waiting:
                return
            row = waiting.popleft().result()
            if pattern:
                waiting.append(pool.submit(work, pattern))
            yield row
    finally:  # also where nobody asks on: what has not begun never will
        pool.shutdown(wait=False, cancel_futures=True)


def no_foothold(case: LoadCase, framed: Framed) -> str:
    """Why a load case cannot stand on a frame; empty where it can."""
    try:
        place(case, framed)
    except NotThere as error:
        return str(error)
    return ""


@dataclass(frozen=True)
class _Said:
    """What is kept of a solved case; the movements and forces of all members may go."""

    case: LoadCase
    stiffness: Floats
    peak: Floats
    rails: Floats
    moved: tuple[str, ...]


def _solved(framed: Framed, cases: Sequence[LoadCase], samples: int) -> dict[str, _Said]:
    """Every case, some samples at a time: all forces of all at once would fill the memory."""
    kept: dict[str, list[_Said]] = {case.id: [] for case in cases}
    for start in range(0, max(samples, 1), _AT_ONCE):
        count = min(_AT_ONCE, samples - start) if samples else 0
        some = framed.part(slice(start, start + count)) if samples else framed
        for one in carry(some, cases, count):
            rails = np.hypot(*one.rails())
            said = _Said(one.case, one.stiffness, one.peak, rails, one.placed.moved)
            kept[one.case.id].append(said)
    return {name: _together(parts) for name, parts in kept.items() if parts}


def _together(parts: Sequence[_Said]) -> _Said:
    return _Said(
        parts[0].case,
        np.concatenate([one.stiffness for one in parts]),
        np.concatenate([one.peak for one in parts]),
        np.concatenate([one.rails for one in parts]),
        parts[0].moved,
    )


def _gain(whole: _Said, bare: _Said) -> Gain:
    return Gain(
        bare.case.id,
        whole.stiffness,
        bare.stiffness,
        whole.peak,
        bare.peak,
        whole.rails,
        bare.rails,
        bare.moved,
        bare.case.size.by == "torque",
    )
