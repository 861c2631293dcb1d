"""What settled cases teach the catalogue: likelihoods by counting, and words that were said."""

from dataclasses import dataclass

from atlas.casework.cases import Cases
from atlas.casework.lessons import said_in, seen_in
from atlas.casework.model import Case
from atlas.catalogue.appending import (
    Lesson,
    change_pattern,
    learned,
    lessons,
    not_on_record,
    put_on_record,
)
from atlas.catalogue.library import Library
from atlas.catalogue.load import Catalogue
from atlas.errors import AtlasError


@dataclass(frozen=True)
class Taught:
    """What was not counted yet.

    Args:
        lessons: moved likelihoods.
        said: descriptions noted of structures, by what each turned out to be.
        cases: where it comes from; structures in dispute in them teach nothing.
        problems: cases that cannot be read.
    """

    lessons: tuple[Lesson, ...]
    said: dict[str, tuple[str, ...]]
    cases: tuple[Case, ...] = ()
    problems: tuple[AtlasError, ...] = ()

    @property
    def patterns(self) -> tuple[str, ...]:
        """Ids of the patterns that it is about."""
        return tuple(dict.fromkeys([*(one.pattern for one in self.lessons), *self.said]))

    def about(self, pattern_id: str) -> "Taught":
        """What it teaches of one pattern."""
        return Taught(
            tuple(one for one in self.lessons if one.pattern == pattern_id),
            {name: texts for name, texts in self.said.items() if name == pattern_id},
            self.cases, self.problems,
        )  # fmt: skip


def taught(library: Library, catalogue: Catalogue) -> Taught:
    """Everything that the library's settled cases teach; nothing is written."""
    cases, problems = Cases(library).every()
    today = catalogue.patterns.current  # a verdict may name what was replaced since
    seen = ((today(name), asked, state, look) for name, asked, state, look in seen_in(cases))
    said: dict[str, tuple[str, ...]] = {}
    for name, texts in not_on_record(library, said_in(cases)).items():
        if name in catalogue.patterns:
            said[today(name)] = (*said.get(today(name), ()), *texts)
    known = not_on_record(library, said)
    return Taught(tuple(lessons(seen, catalogue)), known, tuple(cases), tuple(problems))


def learn(library: Library, catalogue: Catalogue, what: Taught) -> None:
    """Write it into the library.

    Raises:
        Conflict: somebody changed one of the patterns; those before it are written.
    """
    if what.said:
        put_on_record(library, what.said)
    for name in dict.fromkeys(one.pattern for one in what.lessons):
        before = catalogue.pattern(name)
        change_pattern(library, before, learned(before, what.lessons))
