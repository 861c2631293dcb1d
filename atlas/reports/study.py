"""A learner's progress as a page: page one says what, how sure, why, and what next."""

from dataclasses import dataclass
from datetime import date

import numpy as np

from atlas import __version__
from atlas.calculators.figure import Axis, Curve, Figure, Points
from atlas.casework.calibration import Score, verdict_in_words
from atlas.catalogue.model import Pattern
from atlas.drawing.plot import plot
from atlas.drawing.svg import to_svg
from atlas.drawing.terminal import draw
from atlas.reports.parts import PLOT, Drawing, sketches
from atlas.reports.rendering import known, render
from atlas.study.boxes import WAITS
from atlas.study.overview import Confusion, overview
from atlas.study.path import most_telling
from atlas.study.practice import Study
from atlas.study.progress import Progress

_PAIRS = 4  # confusions that are drawn
_LATEST = 20  # answers that are listed


@dataclass(frozen=True)
class Side:
    """One of two patterns that were confused: how it looks and its most telling cue."""

    title: str
    cue: str
    drawing: Drawing | None


@dataclass(frozen=True)
class Pair:
    """A confusion with both sides of it."""

    confusion: Confusion
    sides: tuple[Side, ...]


@dataclass(frozen=True)
class Entry:
    """One answer as the list shows it."""

    day: str
    what: str
    said: str
    was: str
    right: bool
    sure: float | None
    cues: str


def study_report(study: Study, progress: Progress, day: date, form: str) -> bytes:
    """Write a learner's progress on a day in one of the forms of ``rendering.FORMS``.

    Raises:
        BadInput: an unknown form, or PDF without the library that writes it.
    """
    known(form)
    found = overview(study, progress, day)
    patterns = study.catalogue.patterns
    drawn = [one for one in found.confusions if one.pattern in patterns and one.said in patterns]
    pairs = tuple(
        Pair(one, (_side(patterns[one.pattern]), _side(patterns[one.said])))
        for one in drawn[:_PAIRS]
    )
    cautions = dict.fromkeys(
        caution for pair in drawn[:_PAIRS] for caution in patterns[pair.pattern].cautions
    )
    score = found.whole.score
    return render(
        "study",
        form,
        found=found,
        sure=verdict_in_words(score) if score else "nothing was answered with a probability yet",
        plot=_reliability(score) if score else None,
        pairs=pairs,
        cautions=tuple(cautions),
        entries=_entries(study, progress),
        waits=WAITS,
        version=__version__,
    )


def _side(pattern: Pattern) -> Side:
    views = sketches(pattern)
    return Side(pattern.title, most_telling(pattern.cues).see, views[0] if views else None)


def _reliability(score: Score) -> Drawing:
    """Stated against right, with the line on which both are the same."""
    percent = np.array([[100 * b.stated, 100 * b.right] for b in score.bins])
    line = np.array([0.0, 100.0])
    figure = Figure(
        "Stated against right",
        Axis("stated", "%", low=0.0, high=100.0),
        Axis("right", "%", low=0.0, high=100.0),
        curves=(Curve("as often right as stated", line, line, style="other"),),
        points=(Points("answers by tenth", percent[:, 0], percent[:, 1]),),
    )
    picture = plot(figure, *PLOT)
    return Drawing(
        "Points below the line: stated too surely. Above it: too doubtfully.",
        to_svg(picture), draw(picture, *PLOT).text(),
    )  # fmt: skip


def _entries(study: Study, progress: Progress) -> tuple[Entry, ...]:
    called = study.catalogue.patterns.called
    found = []
    for one in reversed(progress.answers[-_LATEST:]):
        item = study.items.get(one.item)
        parts = (item.where, item.about) if item else ("not there any more",)
        found.append(
            Entry(
                one.day.isoformat(),
                ": ".join(part for part in parts if part) or "from the catalogue",
                called(one.said) if one.said else "passed",
                called(one.pattern),
                one.right,
                one.sure,
                f"{one.cues} of {one.of}",
            )
        )
    return tuple(found)
