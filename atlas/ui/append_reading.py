"""How the library's own patterns stand: which there are, and what each changes."""

from dataclasses import dataclass

from atlas.casework.reviews import Comment, Reviews
from atlas.catalogue.appending import compared_with, differences
from atlas.catalogue.checking import Fault, check_pattern
from atlas.catalogue.library import Library
from atlas.catalogue.load import load
from atlas.catalogue.model import Pattern
from atlas.ui import append_strings as words


@dataclass(frozen=True)
class Standing:
    """A pattern of the library, and everything that its review asks for.

    Args:
        pattern: as the library has it now.
        against: what the differences are taken from.
        changes: path, text before and after, field by field.
        faults: what a check finds.
        comments: what was said of it, oldest first.
    """

    pattern: Pattern
    against: str
    changes: list[tuple[str, str, str]]
    faults: list[Fault]
    comments: tuple[Comment, ...]


def own_patterns(library: Library) -> list[tuple[str, str, str]]:
    """Id, title and status of the patterns that the library itself holds, by title."""
    if not library.patterns.is_dir():
        return []
    patterns = load(library).patterns
    rows = [
        (name, pattern.title, pattern.provenance.status)
        for name, pattern in patterns.passing()
        if patterns.path(name).is_relative_to(library.patterns)
    ]
    return sorted(rows, key=lambda row: row[1].casefold())


def standing_of(library: Library, name: str) -> Standing:
    """How a pattern stands.

    Raises:
        NotThere: the catalogue has none of that id.
        Damaged: its comments cannot be read.
    """
    catalogue = load(library)
    pattern = catalogue.pattern(name)
    before = compared_with(pattern, catalogue, load(None))
    if before is None:
        against = words.AGAINST_NEW
    elif before.id == name:
        against = words.AGAINST_SHIPPED
    else:
        against = words.AGAINST_ORIGIN.format(title=before.title)
    return Standing(
        pattern, against, differences(before, pattern), list(check_pattern(pattern, catalogue)),
        Reviews(library).comments(name),
    )  # fmt: skip
