"""How study goes: seen, boxes, due, hits, and whether the stated probabilities were any good."""

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from atlas.casework.calibration import Score, Statement, score
from atlas.study.boxes import WAITS, Standing
from atlas.study.practice import Study
from atlas.study.progress import Answer, Progress
from atlas.study.reasons import between


@dataclass(frozen=True)
class Row:
    """One zone, or all of them."""

    zone: str  # empty for all
    title: str
    path: int  # patterns on its path
    read: int
    items: int
    seen: int
    boxes: tuple[int, ...]  # how many items lie in each, the first first
    due: int
    answers: int
    right: int
    cues: float  # mean number of cues taken, of those there were, 0 to 1
    score: Score | None  # of the stated probabilities

    @property
    def hits(self) -> float | None:
        """Share of answers that were right, 0 to 1."""
        return self.right / self.answers if self.answers else None


@dataclass(frozen=True)
class Confusion:
    """A pattern that was taken for another one."""

    pattern: str
    title: str
    said: str
    said_title: str
    count: int
    last: date
    separates: str


@dataclass(frozen=True)
class Overview:
    """Where a learner stands on a day."""

    who: str
    day: date
    whole: Row
    zones: tuple[Row, ...]
    confusions: tuple[Confusion, ...]
    next: tuple[str, ...]  # what to do, in words, most useful first


def said_to_be(answers: Iterable[Answer]) -> list[Statement]:
    """Answers as statements that calibration scores; passing states nothing."""
    return [
        Statement(one.item, "", one.said, "", one.sure, one.right, one.pattern)
        for one in answers
        if one.said and one.sure is not None
    ]


def overview(study: Study, progress: Progress, day: date) -> Overview:
    """Where the learner stands, zone by zone."""
    answers: dict[str, list[Answer]] = defaultdict(list)
    for one in progress.answers:
        answers[one.zone].append(one)
    standings: dict[str, list[Standing]] = defaultdict(list)
    for item in study.items.values():
        standings[item.zone].append(progress.standing(item.id))
    zones = tuple(
        _row(zone, known.title, study.paths[zone], standings[zone], answers[zone], progress, day)
        for zone, known in study.catalogue.zones.items()
    )
    every = [name for path in study.paths.values() for name in path]
    all_standings = [one for group in standings.values() for one in group]
    whole = _row("", "All zones", every, all_standings, progress.answers, progress, day)
    confusions = _confusions(study, progress)
    return Overview(
        progress.who, day, whole, zones, confusions, _next(study, progress, zones, confusions)
    )


def _row(
    zone: str, title: str, path: Sequence[str], standings: Sequence[Standing],
    answers: Sequence[Answer], progress: Progress, day: date,
) -> Row:  # fmt: skip
    boxes = Counter(one.box for one in standings)
    taken = [one.cues / one.of for one in answers if one.of]
    return Row(
        zone=zone,
        title=title,
        path=len(path),
        read=len(progress.read.intersection(path)),
        items=len(standings),
        seen=len(standings) - boxes[0],
        boxes=tuple(boxes[box] for box in range(1, len(WAITS) + 1)),
        due=sum(one.is_due(day) for one in standings),
        answers=len(answers),
        right=sum(one.right for one in answers),
        cues=sum(taken) / len(taken) if taken else 0.0,
        score=score(said_to_be(answers)),
    )


def _confusions(study: Study, progress: Progress) -> tuple[Confusion, ...]:
    """What was taken for what, most often and latest first; what was learnt since is left out."""
    catalogue = study.catalogue
    counts: Counter[tuple[str, str]] = Counter()
    last: dict[tuple[str, str], date] = {}
    for one in progress.answers:
        pair = (one.pattern, one.said)
        if one.right:
            for known in [known for known in counts if known[0] == one.pattern]:
                del counts[known]
        elif one.said:
            counts[pair] += 1
            last[pair] = max(one.day, last.get(pair, one.day))
    ordered = sorted(counts, key=lambda pair: (-counts[pair], -last[pair].toordinal(), pair))
    return tuple(
        Confusion(
            pattern, catalogue.patterns.called(pattern), said, catalogue.patterns.called(said),
            counts[pattern, said], last[pattern, said],
            between(catalogue.patterns[pattern], said, catalogue)
            if pattern in catalogue.patterns and said in catalogue.patterns else "",
        )
        for pattern, said in ordered
    )  # fmt: skip


def _next(
    study: Study, progress: Progress, zones: tuple[Row, ...], confusions: tuple[Confusion, ...]
) -> tuple[str, ...]:
    words = []
    due = [row for row in zones if row.due]
    if due:
        most = max(due, key=lambda row: row.due)
        count = sum(row.due for row in due)
        more = f", {most.due} of them in {most.title}" if len(due) > 1 else f" in {most.title}"
        words.append(f"{count} {'is' if count == 1 else 'are'} due today{more}: practise.")
    for one in confusions[:2]:
        tells = f" {one.separates}" if one.separates else ""
        words.append(f"{one.title} was taken for {one.said_title}.{tells}")
    begun = [row for row in zones if row.read < row.path]
    if begun:
        row = max(begun, key=lambda each: (each.read > 0, each.read / each.path))
        step = study.next_step(progress, row.zone)
        title = study.catalogue.patterns.called(step)
        words.append(f"Next on the path through {row.title}: {title}.")
    return tuple(words)
