"""A case as a report: page one says what it is, how sure, why, and what next."""

from dataclasses import dataclass

from atlas import __version__
from atlas.casework.model import Case, Suspicion, Verdict
from atlas.catalogue.library import Library
from atlas.catalogue.load import Catalogue
from atlas.catalogue.model import Pattern
from atlas.reports.parts import Drawing, block_again, sketches
from atlas.reports.photos import marked_photos
from atlas.reports.rendering import render


@dataclass(frozen=True)
class Structure:
    """One structure of the case: what it is thought or known to be, and why."""

    about: str
    beliefs: tuple[tuple[Suspicion, str], ...]  # with the pattern's title
    course: tuple[Suspicion, ...]  # every statement, oldest first
    verdict: Verdict | None
    disputes: tuple[tuple[Verdict, str], ...]
    pattern: Pattern | None  # the verdict's, else the likeliest
    drawings: tuple[Drawing, ...]
    seen: tuple[str, ...]

    @property
    def stated(self) -> float | None:
        """Probability last stated for what it turned out to be."""
        if self.verdict is None:
            return None
        for belief, _ in self.beliefs:
            if belief.pattern == self.verdict.pattern:
                return belief.probability
        return 0.0 if self.beliefs else None


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
        pictures=marked_photos(found, library),
        blocks=tuple(block_again(one, library) for one in found.calculation.values()),
        version=__version__,
    )


def _structure(found: Case, about: str, catalogue: Catalogue) -> Structure:
    beliefs = found.beliefs(about)
    verdict = found.verdict_on(about)
    best = verdict.pattern if verdict else next(iter(beliefs), "")
    pattern = catalogue.patterns.get(best)
    titles = catalogue.patterns
    return Structure(
        about=about,
        beliefs=tuple((one, titles.called(name)) for name, one in beliefs.items()),
        course=tuple(one for one in found.suspicion.values() if one.about == about),
        verdict=verdict,
        disputes=tuple((one, titles.called(one.pattern)) for one in found.disputes(about)),
        pattern=pattern,
        drawings=sketches(pattern) if pattern else (),
        seen=tuple(one.text for one in found.evidence.values() if one.about == about and one.text),
    )
