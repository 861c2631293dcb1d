"""A case as a report: page one says what it is, how sure, why, and what next."""

from dataclasses import dataclass

from atlas import __version__
from atlas.casework.beliefs import Belief, beliefs
from atlas.casework.model import Case, Suspicion, Verdict
from atlas.casework.verdicts import Overruled
from atlas.catalogue.library import Library
from atlas.catalogue.load import Catalogue
from atlas.catalogue.model import Pattern
from atlas.reports.parts import Drawing, block_again, sketches
from atlas.reports.photos import marked_photos, named_photos
from atlas.reports.rendering import render


@dataclass(frozen=True)
class Structure:
    """One structure of the case: what it is thought or known to be, and why."""

    about: str
    beliefs: tuple[tuple[Belief, str], ...]  # with the pattern's title
    course: tuple[tuple[Suspicion, str], ...]  # every statement, oldest first
    verdict: Verdict | None
    disputed: tuple[tuple[Verdict, str], ...]  # those that wait for a choice, with titles
    overruled: tuple[tuple[Overruled, str], ...]
    pattern: Pattern | None  # the verdict's, else the likeliest
    drawings: tuple[Drawing, ...]
    seen: tuple[str, ...]

    @property
    def foreseen(self) -> Belief | None:
        """What was stated of what it turned out to be; None where nobody suspected that."""
        if self.verdict is None:
            return None
        right = self.verdict.pattern
        return next((belief for belief, _ in self.beliefs if belief.pattern == right), None)

    @property
    def why(self) -> str:
        """The newest reason given for what is held likeliest; empty where none was."""
        said = self.beliefs[0][0].newest.values() if self.beliefs else ()
        return next((one.why for one in sorted(said, key=lambda s: s.at)[::-1] if one.why), "")


def case_report(
    found: Case, catalogue: Catalogue, form: str, library: Library | None = None
) -> bytes:
    """Write a case in one of the forms of ``rendering.FORMS``.

    Raises:
        BadInput: an unknown form, or PDF without the library that writes it.
    """
    structures = tuple(_structure(found, about, catalogue) for about in found.structures)
    cautions = dict.fromkeys(
        caution for one in structures if one.pattern for caution in one.pattern.cautions
    )
    return render(
        "case",
        form,
        case=found,
        structures=structures,
        cautions=tuple(cautions),
        pictures=(named_photos if form == "md" else marked_photos)(found, library),
        blocks=tuple(block_again(one, library) for one in found.calculation.values()),
        version=__version__,
    )


def _structure(found: Case, about: str, catalogue: Catalogue) -> Structure:
    held = beliefs(found, about)
    verdict, verdicts = found.verdict_on(about), found.verdicts(about)
    best = verdict.pattern if verdict else held[0].pattern if held else ""
    pattern = catalogue.patterns.get(best)
    titles = catalogue.patterns
    return Structure(
        about=about,
        beliefs=tuple((one, titles.called(one.pattern)) for one in held),
        course=tuple(
            (one, titles.called(one.pattern))
            for one in found.suspicion.values()
            if one.about == about
        ),
        verdict=verdict,
        disputed=tuple((one, titles.called(one.pattern)) for one in verdicts.disputed.values()),
        overruled=tuple((one, titles.called(one.verdict.pattern)) for one in verdicts.overruled),
        pattern=pattern,
        drawings=sketches(pattern) if pattern else (),
        seen=tuple(one.text for one in found.evidence.values() if one.about == about and one.text),
    )
