"""What to look at, unbolt, weigh and cut, in which order, to settle the open suspicions."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from itertools import pairwise

from atlas.casework.model import Case
from atlas.catalogue.load import Catalogue
from atlas.catalogue.model import Settle
from atlas.identify.narrowing import Narrowing, State
from atlas.mechanics.orders import one_order

SURE = 0.9  # a suspicion this likely needs confirming at teardown, not deciding
_LOOKS = 4
# Order of work: what disturbs nothing first, what destroys last.
STAGES = (
    ("as it stands on the lift", ("below", "touch", "above", "front", "side")),
    ("with wheel or fascia off", ("wheel-off", "fascia-off")),
    ("unbolted, on the bench", ("bench",)),
    ("cut", ("section-cut",)),
)
_BY = {"look": 0, "measure": 0, "test": 0, "unbolt": 2, "weigh": 2, "cut": 3}


@dataclass(frozen=True)
class Step:
    """One thing to do, for which structure of which case, and what it decides."""

    case: str
    about: str
    stage: int
    do: str
    decides: str
    gain_bits: float
    in_dispute: bool = False  # it was settled, differently by several


# Of what stated probabilities leave to 1: the look-alikes' share. Our own judgement, no source.
ALIKE_SHARE = 0.8
Look = tuple[int, str, str, float]  # the rest of a step: stage, do, decides, gain_bits


def teardown_list(
    cases: Iterable[Case], catalogue: Catalogue, narrowing: Narrowing
) -> tuple[Step, ...]:
    """The fewest looks that are expected to settle each open structure, then what confirms it.

    Where verdicts contradict each other, the looks tell their patterns apart, each with an equal
    chance, and each pattern's own way of being settled follows.

    Steps come by stage (nothing undone, wheel off, unbolted, cut); within a stage, a structure that
    lies over another comes off first, as far as a lap order was attached to the case.
    """
    steps: list[tuple[tuple[int, str, int, int], Step]] = []
    known: dict[tuple[tuple[str, float], ...], list[Look]] = {}
    for case in cases:
        coming_off = _coming_off(case)
        for about in case.structures:
            rivals = {one.pattern for one in case.disputed(about).values()}
            stated = {name: one.probability for name, one in case.beliefs(about).items()}
            if rivals:
                stated = {name: 1 / len(rivals) for name in sorted(rivals) if name}
            elif not stated or case.verdict_on(about) is not None:
                continue
            rank = coming_off.get(about.lower(), 99)
            prior = _prior(stated, catalogue)
            key = tuple(prior.items())
            if key not in known:  # the same beliefs ask for the same looks, in whichever case
                known[key] = list(_looks(narrowing, prior))
            rows = [Step(case.id, about, *look) for look in known[key]]
            for name in stated if rivals else [next(iter(stated))]:
                rows += _confirming(case, about, catalogue, name)
            if rivals:
                rows = [replace(row, in_dispute=True) for row in rows]
            steps += [((row.stage, case.id, rank, place), row) for place, row in enumerate(rows)]
    return tuple(row for _, row in sorted(steps, key=lambda pair: pair[0]))


def _prior(stated: dict[str, float], catalogue: Catalogue) -> dict[str, float]:
    """What was stated; most of what is left to 1 is the look-alikes', not the whole catalogue's."""
    total = sum(stated.values())
    if total >= 1:
        return {name: share / total for name, share in stated.items()}
    alike = {
        other.id
        for name in stated
        if name in catalogue.patterns
        for other in catalogue.patterns[name].look_alikes
        if other.id not in stated and other.id in catalogue.patterns
    }
    share = ALIKE_SHARE * (1 - total) / max(len(alike), 1)
    return {**stated, **dict.fromkeys(sorted(alike), share)}


def _looks(narrowing: Narrowing, prior: dict[str, float]) -> Iterable[Look]:
    """Looks until the best candidate is expected to be sure, at the most a few."""
    skipped: dict[str, str] = {}
    best = 0.0
    for _ in range(_LOOKS):
        state: State = narrowing.given(prior, skipped)
        lead = next(iter(state.candidates.values()))
        questions = narrowing.next_questions(state, 1)
        if lead >= SURE or best >= SURE or not questions or questions[0].gain_bits < 0.02:
            return
        question = questions[0]
        best = narrowing.expected_best(state, question.observable.id)
        skipped[question.observable.id] = "unknown"
        stage = next(
            (i for i, (_, looks) in enumerate(STAGES) if question.observable.look in looks), 0
        )
        yield stage, question.observable.question, question.why, question.gain_bits


def _confirming(case: Case, about: str, catalogue: Catalogue, pattern: str) -> list[Step]:
    """The likeliest pattern's own way of being settled, the least destructive that decides."""
    if pattern not in catalogue.patterns:
        return []
    ways: list[Settle] = sorted(catalogue.patterns[pattern].settle, key=lambda one: _BY[one.by])
    return [
        Step(case.id, about, _BY[one.by], f"{one.by.capitalize()}: {one.do}", one.decides, 0.0)
        for one in ways[:1]
    ]


def _coming_off(case: Case) -> dict[str, int]:
    """Place of each part in the order of taking apart: the reverse of how it went together."""
    for one in reversed(case.calculation.values()):
        if one.calculator != "lap-order":
            continue
        pairs = []
        for kind in ("laps", "bolts", "hides", "paint"):
            for item in str(one.inputs.get(kind, "")).split(";"):
                chain = [part.strip().lower() for part in item.split(">") if part.strip()]
                pairs += [(earlier, later) for later, earlier in pairwise(chain)]
        parts = list(dict.fromkeys(part for pair in pairs for part in pair))
        steps = one_order(parts, pairs)
        return {part: len(steps) - i for i, step in enumerate(steps) for part in step}
    return {}
