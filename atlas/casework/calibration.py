"""How good stated probabilities were, once the vehicle was apart."""

from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass

from atlas.casework.model import Case

FEW = 10  # below this many settled statements a score says little
_BINS = 10


@dataclass(frozen=True)
class Statement:
    """The last probability that somebody stated for a pattern before the verdict."""

    case: str
    about: str
    pattern: str
    by: str
    probability: float
    right: bool
    verdict: str


@dataclass(frozen=True)
class Bin:
    """Statements of about the same probability: how many, their mean, how often they were right."""

    low: float
    count: int
    stated: float
    right: float


@dataclass(frozen=True)
class Score:
    """Brier score of statements with its parts.

    ``brier`` = ``reliability`` - ``resolution`` + ``uncertainty`` + ``within``; the last is what is
    lost by putting statements into bins of a tenth.
    """

    count: int
    brier: float
    reliability: float
    resolution: float
    uncertainty: float
    within: float
    bins: tuple[Bin, ...]

    @property
    def few(self) -> bool:
        """Whether there are too few statements to judge by."""
        return self.count < FEW


def statements(
    cases: Iterable[Case], today: Callable[[str], str] = lambda pattern: pattern
) -> list[Statement]:
    """Every last statement before a verdict, by person, structure and pattern.

    Args:
        cases: what was suspected and settled.
        today: what stands for a pattern since it was replaced; whoever named the old one of two
            that are one now was as right.
    """
    found = []
    for case in cases:
        for about in case.structures:
            verdict = case.verdict_on(about)
            if verdict is None:
                continue
            settled = case.verdict_key(about)
            latest: dict[tuple[str, str], float] = {}
            for key, belief in case.suspicion.items():
                if belief.about == about and key < settled:
                    latest[belief.by, today(belief.pattern)] = belief.probability
            found_to_be = today(verdict.pattern)
            for (by, pattern), probability in latest.items():
                right = pattern == found_to_be
                found.append(
                    Statement(case.id, about, pattern, by, probability, right, found_to_be)
                )
    return found


def score(said: Iterable[Statement]) -> Score | None:
    """Brier score and its parts; None where nothing was settled.

    Source: G. W. Brier, Monthly Weather Review 78 (1950), 1-3 (from memory); A. H. Murphy,
    Journal of Applied Meteorology 12 (1973), 595-600 (the parts).
    """
    rows = list(said)
    if not rows:
        return None
    count = len(rows)
    base = sum(row.right for row in rows) / count
    brier = sum((row.probability - row.right) ** 2 for row in rows) / count
    groups: dict[int, list[Statement]] = defaultdict(list)
    for row in rows:
        groups[min(int(row.probability * _BINS + 1e-9), _BINS - 1)].append(row)
    bins = []
    reliability = resolution = 0.0
    for place, group in sorted(groups.items()):
        stated = sum(row.probability for row in group) / len(group)
        right = sum(row.right for row in group) / len(group)
        bins.append(Bin(place / _BINS, len(group), stated, right))
        reliability += len(group) * (stated - right) ** 2 / count
        resolution += len(group) * (right - base) ** 2 / count
    uncertainty = base * (1 - base)
    within = brier - (reliability - resolution + uncertainty)
    return Score(count, brier, reliability, resolution, uncertainty, within, tuple(bins))


def by(
    said: Iterable[Statement], key: Callable[[Statement], str]
) -> dict[str, tuple[Score, list[Statement]]]:
    """Scores of groups of statements, the largest group first."""
    groups: dict[str, list[Statement]] = defaultdict(list)
    for row in said:
        groups[key(row)].append(row)
    scored = {}
    for name, rows in sorted(groups.items(), key=lambda pair: (-len(pair[1]), pair[0])):
        found = score(rows)
        if found is not None:
            scored[name] = (found, rows)
    return scored


def verdict_in_words(found: Score) -> str:
    """What a score says to the person whose statements they are."""
    if found.few:
        what = "statement is" if found.count == 1 else "statements are"
        return f"{found.count} settled {what} too few to judge by; {FEW} are needed."
    stated = sum(one.stated * one.count for one in found.bins) / found.count
    right = sum(one.right * one.count for one in found.bins) / found.count
    gap = stated - right
    if abs(gap) < 0.05:
        lean = "neither too sure nor too doubtful on the whole"
    elif gap > 0:
        lean = f"too sure: stated {stated:.0%} on average, right in {right:.0%}"
    else:
        lean = f"too doubtful: stated {stated:.0%} on average, right in {right:.0%}"
    skill = 1 - found.brier / found.uncertainty if found.uncertainty > 0 else 0.0
    worth = (
        f"better than always stating the base rate by {skill:.0%}"
        if skill > 0
        else "no better than always stating the base rate"
    )
    return f"Brier score {found.brier:.3f} over {found.count} statements; {lean}; {worth}."


def misleading(
    said: Iterable[Statement],
    cases: dict[str, Case],
    explain: Callable[[str, str], tuple[str, ...]],
) -> list[tuple[str, str, int]]:
    """Reasons that spoke for a pattern that it was not: pattern, reason, how often.

    Args:
        said: settled statements; the wrong ones at 50 % and above count.
        cases: by id, for their evidence.
        explain: why a text speaks for a pattern, in words.
    """
    counts: dict[tuple[str, str], int] = defaultdict(int)
    for row in said:
        if row.right or row.probability < 0.5:
            continue
        texts = [e.text for e in cases[row.case].evidence.values() if e.about == row.about]
        for text in texts:
            for reason in explain(text, row.pattern):
                counts[row.pattern, reason] += 1
    found = [(pattern, reason, count) for (pattern, reason), count in counts.items()]
    return sorted(found, key=lambda one: (-one[2], one[0], one[1]))
