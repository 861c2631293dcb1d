"""Cases of a library: open, change under a lock, list, take back."""

import os
import re
import secrets
from collections.abc import Callable, Collection, Sequence
from pathlib import Path

import msgspec
from msgspec import Struct

from atlas.casework.clock import Clock, day_of, stamp, utc_now
from atlas.casework.index import Row, every_case, rows_of
from atlas.casework.model import (
    Calculation,
    Case,
    Change,
    Edit,
    Evidence,
    EvidenceKind,
    Head,
    How,
    Question,
    Suspicion,
    Verdict,
    plain,
)
from atlas.casework.photos import photo_noted
from atlas.casework.storage import Tables, case_of, next_key, read_tables
from atlas.casework.undoing import last_done, taken_back, unchanged_since
from atlas.catalogue.library import Library
from atlas.catalogue.nearest import suggestion
from atlas.catalogue.visible import accepted, storable, texts
from atlas.catalogue.writing import clear_left, locked
from atlas.errors import AtlasError, BadInput, Conflict, NotThere
from atlas.identify.chances import told

Changes = Sequence[tuple[str, int | None, Struct | None]]  # table, key (None: a new one), record
_ID = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")


class Cases:
    """The cases of one library, as one person works on them.

    Args:
        library: where they lie.
        who: initials that go with each change.
        clock: tells the time; tests hand in their own.
    """

    def __init__(self, library: Library, who: str = "", clock: Clock = utc_now) -> None:
        self.library = library
        self.who = accepted(who, "--by", most=40, empty=True)
        self._clock = clock

    # -------------------------------------------------------------------------------- reading
    def path(self, name: str) -> Path:
        """File of a case.

        Raises:
            BadInput: the id holds anything but small letters, digits and single hyphens.
        """
        if not _ID.fullmatch(name) or len(name) > 80:
            raise BadInput(f"{name[:60]!r} is no case id", remedy="'atlas case list' shows them")
        return self.library.cases / f"{name}.json"

    def id_of(self, part: str) -> str:
        """The one case whose id holds ``part``: ids are long to type.

        Raises:
            NotThere: there is none; the message offers the nearest.
            BadInput: several hold it, or it could be part of none.
        """
        self.path(part)
        known = sorted(file.stem for file in self.library.cases.glob("*.json"))
        if part in known:
            return part
        found = [name for name in known if part in name]
        if len(found) > 1:
            some = ", ".join(found[:3]) + (" and more" if len(found) > 3 else "")
            raise BadInput(f"{part[:60]!r} stands in {len(found)} case ids", remedy=f"say {some}")
        if not found:
            raise self._no_case(part, known)
        return found[0]

    def get(self, name: str) -> Case:
        """Read a case.

        Raises:
            NotThere: there is none of that id; the message offers the nearest.
            Damaged: its file cannot be read; nothing is changed.
        """
        path = self.file(name)
        return case_of(read_tables(path), path)

    def file(self, name: str) -> Path:
        """Where a case is, if it is there.

        Raises:
            NotThere: no such case; the message offers the nearest id.
        """
        path = self.path(name)
        if not os.path.lexists(path):  # what is there and no file is named as what it is
            raise self._no_case(name, [file.stem for file in self.library.cases.glob("*.json")])
        return path

    def _no_case(self, name: str, known: list[str]) -> NotThere:
        remedy = suggestion(name[:100], known, "'atlas case list' shows them")
        return NotThere(f"no case {name[:60]!r}", str(self.library.cases), remedy)

    def rows(self, *, cached: bool = True) -> tuple[tuple[Row, ...], tuple[AtlasError, ...]]:
        """All cases, newest first, and why any file was set aside."""
        return rows_of(self.library.cases, cached=cached)

    def every(self, *, cached: bool = True) -> tuple[tuple[Case, ...], tuple[AtlasError, ...]]:
        """All cases, newest first, without history and results; and why any was set aside.

        For what looks through all of them: it takes a tenth of the time of reading each.
        """
        return every_case(self.library.cases, cached=cached)

    # ------------------------------------------------------------------------------- changing
    def new(
        self,
        title: str,
        *,
        vehicle: str = "",
        place: str = "",
        date: str = "",
        people: tuple[str, ...] = (),
    ) -> Case:
        """Open a case; its id is made from the day and the title."""
        title = accepted(title, "title", most=200)
        clear_left(self.library.cases)  # of a case that was never opened no next write would
        now = self._clock()
        people = tuple(dict.fromkeys(p for p in (*people, self.who) if p))
        for _ in range(50):
            name = self.new_id(title)
            head = Head(
                id=name,
                title=title,
                opened=stamp(now),
                vehicle=accepted(vehicle, "--vehicle", most=200, empty=True),
                place=accepted(place, "--place", most=200, empty=True),
                date=day_of(date) or f"{now:%Y-%m-%d}",
                people=tuple(accepted(p, "--people", most=40) for p in people),
            )
            path = self.path(name)
            with locked(path):
                if path.exists():
                    continue
                return self._apply(path, {}, "opened the case", [("head", None, head)])
        raise Conflict("no free case id was found", str(self.library.cases), "try again")

    def note(
        self,
        name: str,
        text: str,
        *,
        about: str = "",
        kind: EvidenceKind = "text",
        photo: str = "",
        value: float | None = None,
        unit: str = "",
        observable: str = "",
        state: str = "",
    ) -> Case:
        """Add a piece of evidence; a photo is kept by path and hash, its content stays put."""
        digest = ""
        if photo:
            kind = "photo"
            photo, digest = photo_noted(photo)
        record = Evidence(
            kind=kind,
            text=accepted(text, "note", empty=bool(photo)),
            at=self.now(),
            by=self.who,
            about=_about(about, empty=True),
            path=photo,
            sha256=digest,
            value=value,
            unit=unit,
            observable=observable,
            state=state,
        )
        return self._add(name, f"noted {kind}", "evidence", record)

    def suspect(
        self, name: str, pattern: str, probability: float, *, about: str, why: str = ""
    ) -> Case:
        """State how likely it is that a structure is an example of a pattern."""
        if not 0 <= probability <= 1:
            raise BadInput(f"{probability:g} is no probability", remedy="give 0 to 1, or 60%")
        record = Suspicion(
            about=_about(about),
            pattern=pattern,
            probability=probability,
            at=self.now(),
            by=self.who,
            why=accepted(why, "--why", empty=True),
        )
        what = f"suspected {pattern} at {told(probability)} for {record.about}"
        return self._add(name, what, "suspicion", record)

    def calculate(self, name: str, record: Calculation) -> Case:
        """Attach a calculation that was run."""
        stamped = msgspec.structs.replace(record, at=self.now(), by=self.who)
        return self._add(name, f"calculated {record.calculator}", "calculation", stamped)

    def ask(self, name: str, text: str, look: str, *, about: str = "") -> Case:
        """Note an open question and the look that would settle it."""
        record = Question(
            text=accepted(text, "question"),
            look=accepted(look, "look", empty=True),
            at=self.now(),
            by=self.who,
            about=_about(about, empty=True),
        )
        return self._add(name, "asked", "question", record)

    def settle(
        self,
        name: str,
        pattern: str,
        *,
        about: str,
        found: str,
        how: How,
        known: Collection[int] | None = None,
    ) -> Case:
        """Record what the teardown showed; an empty pattern says none of the catalogue's.

        It corrects the verdicts on the structure that it knew: ``known`` by key, else all that the
        file holds. One that was written meanwhile stays beside it until somebody chooses.
        """
        record = Verdict(
            about=_about(about),
            pattern=pattern,
            found=accepted(found, "--found"),
            how=how,
            at=self.now(),
            by=self.who,
        )
        what = f"settled {record.about} as {pattern or 'none of the catalogue'}"

        def given(case: Case) -> tuple[str, Changes]:
            there = case.verdicts(record.about).given
            seen = tuple(key for key in there if known is None or key in known)
            return what, [("verdict", None, msgspec.structs.replace(record, corrects=seen))]

        return self.amend(name, given)

    def amend(self, name: str, draft: Callable[[Case], tuple[str, Changes]]) -> Case:
        """Make one change that depends on what the case holds: drafted while its lock is held.

        ``draft`` says what is done, in words, and gives its records by table and key; or refuses.
        """
        path = self.file(name)
        with locked(path):
            tables = read_tables(path)
            return self._apply(path, tables, *draft(case_of(tables, path)))

    def add_together(
        self, name: str, what: str, records: list[tuple[str, int | None, Struct]]
    ) -> Case:
        """Add several records, or correct those whose key is given, as one change."""
        path, now = self.file(name), self.now()
        changes: Changes = [
            (table, key, msgspec.structs.replace(record, at=now, by=self.who))
            for table, key, record in records
        ]
        with locked(path):
            return self._apply(path, read_tables(path), what, changes)

    def new_id(self, title: str) -> str:
        """An id for a case that is to be opened, from the day and the title."""
        words = "-".join(re.findall(r"[a-z0-9]+", title.lower())[:6])[:40].strip("-") or "case"
        return f"{self._clock():%Y-%m-%d}-{words}-{secrets.token_hex(2)}"

    def now(self) -> str:
        """The time as records keep it."""
        return stamp(self._clock())

    def take_in(self, head: Head, records: Sequence[tuple[str, Struct]]) -> Case:
        """Open a case that was written elsewhere, with all its records in one change.

        Raises:
            Conflict: there is a case of that id.
        """
        path = self.path(head.id)
        with locked(path):
            if path.exists():
                raise Conflict("somebody opened it meanwhile", head.id, "look at it, then repeat")
            made = [(table, None, one) for table, one in (("head", head), *records)]
            return self._apply(path, {}, "took in the case", made)

    def add_readings(self, name: str, readings: Sequence[tuple[int, Evidence]]) -> Case:
        """Add evidence that was written down elsewhere, in one change; key 0 draws a new one.

        Raises:
            Conflict: there is evidence of that key.
        """

        def added(case: Case) -> tuple[str, Changes]:
            for key, _ in readings:
                if key in case.evidence:
                    raise Conflict("somebody added this reading meanwhile", f"{name}: {key}",
                                   "look at it, then repeat")  # fmt: skip
            made = [("evidence", key or None, one) for key, one in readings]
            return f"took in {len(made)} readings", made

        return self.amend(name, added)

    def replace(
        self, name: str, table: str, key: int, record: Struct | None, *, revision: int
    ) -> Case:
        """Correct a record, or remove it with None, if nobody changed the case since ``revision``.

        Raises:
            Conflict: somebody did; nothing was written.
            NotThere: no such record.
        """

        def corrected(case: Case) -> tuple[str, Changes]:
            unchanged_since(case, revision)
            if key not in ({1} if table == "head" else getattr(case, table)):
                raise NotThere(f"no record {key} in {table}", name)
            verb = "removed a record of" if record is None else "corrected"
            return f"{verb} {table}", [(table, key, record)]

        return self.amend(name, corrected)

    def undo(self, name: str, revision: int | None = None) -> Case:
        """Take back the latest change that was not taken back yet, whoever made it.

        Only what that change did goes: what others did to the same record meanwhile stays.

        Raises:
            NotThere: only the opening of the case is left.
            Conflict: somebody changed it since ``revision``: another change would go.
        """
        path = self.file(name)
        with locked(path):
            tables = read_tables(path)
            case = case_of(tables, path)
            if revision is not None:
                unchanged_since(case, revision)
            key = last_done(case)
            change = case.history[key]
            edits = [taken_back(e, tables) for e in reversed(change.edits)]
            return self._write(path, tables, f"took back: {change.what}", edits, undoes=key)

    # ---------------------------------------------------------------------------------- inner
    def _add(self, name: str, what: str, table: str, record: Struct) -> Case:
        path = self.file(name)
        with locked(path):
            return self._apply(path, read_tables(path), what, [(table, None, record)])

    def _apply(
        self,
        path: Path,
        tables: Tables,
        what: str,
        changes: Changes,
    ) -> Case:
        edits: list[Edit] = []
        fresh = next_key(tables)
        for table, key, record in changes:
            number = 1 if table == "head" else key or fresh
            fresh = max(fresh, number + 1)
            before = tables.get(table, {}).get(str(number))
            edits.append(Edit(table, number, before, None if record is None else plain(record)))
        return self._write(path, tables, what, edits)

    def _write(
        self, path: Path, tables: Tables, what: str, edits: list[Edit], undoes: int = 0
    ) -> Case:
        from tinydb import TinyDB
        from tinydb.table import Document

        from atlas.casework.storage import DurableStorage

        for edit in edits:
            for text in texts(edit.after):
                storable(text, f"{edit.table} of {path.stem}")
        change = Change(what, self.now(), self.who, tuple(edits), undoes)
        draft = {table: dict(rows) for table, rows in tables.items()}
        for edit in (*edits, Edit("history", next_key(draft), None, plain(change))):
            rows = draft.setdefault(edit.table, {})
            if edit.after is None:
                rows.pop(str(edit.key), None)
            else:
                rows[str(edit.key)] = dict(Document(edit.after, edit.key))
        case = case_of(draft, path)  # refuses before anything is written
        with TinyDB(path, storage=DurableStorage) as base:
            base.storage.write(draft)
        return case


def _about(about: str, *, empty: bool = False) -> str:
    return " ".join(accepted(about, "--about", most=80, empty=empty).split())
