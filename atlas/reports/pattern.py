"""A pattern as a page that can be handed over."""

from atlas import __version__
from atlas.calculators.presets import preset
from atlas.catalogue.load import Catalogue
from atlas.catalogue.model import Pattern
from atlas.reports.parts import block_of, sketches
from atlas.reports.rendering import render


def pattern_report(pattern: Pattern, catalogue: Catalogue, form: str) -> bytes:
    """Write a pattern in one of the forms of ``rendering.FORMS``, its calculations run.

    Raises:
        BadInput: an unknown form, PDF without its library, or a preset that does not run.
    """
    titles = catalogue.patterns
    return render(
        "pattern",
        form,
        pattern=pattern,
        zone=catalogue.zones[pattern.zone].title if pattern.zone in catalogue.zones else "",
        drawings=sketches(pattern),
        others=tuple(
            (titles.title(one.id) if one.id in titles else one.id, one)
            for one in pattern.look_alikes
        ),
        blocks=tuple(block_of(preset(one), one.question) for one in pattern.calculations),
        version=__version__,
    )
