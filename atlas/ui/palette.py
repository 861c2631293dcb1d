"""Anything by name: patterns, calculators, cases, words, places."""

from collections.abc import Iterator
from functools import partial
from typing import Any

from textual.command import DiscoveryHit, Hit, Hits, Provider

from atlas.catalogue.visible import visible
from atlas.errors import AtlasError
from atlas.ui import strings
from atlas.ui.desk import Desk
from atlas.ui.places import Go, Place
from atlas.vehicles.loading import vehicle_files

_MOST = 30


class Anything(Provider):
    """Finds by title; what begins with the words comes first."""

    @property
    def _desk(self) -> Desk:
        desk: Desk = self.app.desk  # type: ignore[attr-defined]
        return desk

    async def startup(self) -> None:
        """Collect the names once, while the palette opens."""
        self._names = list(self._collect())

    def _collect(self) -> Iterator[tuple[str, str, Place]]:
        catalogue = self._desk.catalogue
        for kind, title, tip in (
            ("find", strings.FIND, strings.FIND_TIP),
            ("cases", strings.CASES, strings.CASES_TIP),
            ("calculators", strings.CALCULATORS, strings.CALCULATORS_TIP),
            ("vehicles", strings.VEHICLES, strings.VEHICLES_TIP),
            ("glossary", strings.GLOSSARY, strings.GLOSSARY_TIP),
            ("study", strings.STUDY, strings.STUDY_TIP),
            ("append", strings.APPEND, strings.APPEND_TIP),
        ):
            yield title, tip, Place(kind)
        for name in catalogue.patterns:
            yield catalogue.patterns.title(name), strings.PAGE, Place("find", name)
        for name in sorted(self._desk.calculators):
            yield name, strings.CALCULATOR, Place("calculator", name)
        # By file name: reading each vehicle would make the palette wait.
        for name in vehicle_files(self._desk.library):
            yield name, strings.VEHICLE, Place("vehicle", name)
        try:
            if self._desk.cases is not None:
                for row in self._desk.cases.rows()[0]:
                    yield row.title, strings.CASE, Place("cases", row.id)
            for term in catalogue.terms.values():
                yield term.term, strings.TERM, Place("glossary", term.id)
        except AtlasError:
            return  # what cannot be read is named where it is shown; the rest can still be found

    async def discover(self) -> Hits:
        """Offer places before anything is typed."""
        for title, tip, place in self._names[:7]:
            yield DiscoveryHit(title, self._go(place), help=tip)

    async def search(self, query: str) -> Hits:
        """Match the names."""
        from rapidfuzz import fuzz, process

        wanted = query.casefold()
        texts = [title.casefold() for title, _, _ in self._names]
        found = process.extract(wanted, texts, scorer=fuzz.WRatio, limit=_MOST, score_cutoff=55)
        for text, score, index in found:
            title, tip, place = self._names[index]
            begins = 0.2 * text.startswith(wanted) + 0.1 * (wanted in text)
            from textual.content import Content

            shown = Content(visible(title, lines=False))
            yield Hit(min(1.0, score / 130 + begins), shown, self._go(place), title, tip)

    def _go(self, place: Place) -> Any:
        return partial(self.screen.post_message, Go(place))
