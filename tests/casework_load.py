"""Writers that are killed, raced and set apart, for the tests and the benchmark of casework."""

import contextlib
import json
import os
import random
import signal
import subprocess
import time
import warnings
from collections.abc import Callable
from datetime import date
from pathlib import Path

from msgspec.structs import replace

from atlas.casework.cases import Cases
from atlas.casework.conflicts import choose, open_conflicts
from atlas.casework.model import Calculation
from atlas.casework.reviews import Reviews
from atlas.casework.syncing import Syncing
from atlas.catalogue.appending import change_pattern, drafted, reviewed, superseded
from atlas.catalogue.library import Library
from atlas.catalogue.load import load
from atlas.catalogue.model import Pattern
from atlas.catalogue.reading import read_record
from atlas.errors import AtlasError, Conflict, NotThere

Acknowledge = Callable[[str], None]


# ------------------------------------------------------------------------------------- processes
def forked(work: Callable[[Acknowledge], None]) -> tuple[int, int]:
    """Start ``work`` in a process of its own, in a group of its own; its id and what it says.

    A fork of a process that has everything loaded: no start of Python stands between two kills.
    """
    said, says = os.pipe()
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", DeprecationWarning)  # the child uses none of our threads
        child = os.fork()
    if child:
        os.close(says)
        return child, said
    status = 1
    try:
        os.close(said)
        os.setpgid(0, 0)
        work(lambda text: os.write(says, f"{text}\n".encode()) and None)
        status = 0
    except AtlasError as error:
        os.write(2, f"{error}\n".encode())
    finally:
        os._exit(status)


def as_anybody(work: Callable[[Acknowledge], None]) -> tuple[int, list[str]]:
    """Run ``work`` in a process without the powers of root: its exit status and what it said."""

    def humble(acknowledge: Acknowledge) -> None:
        if os.geteuid() == 0:
            os.setgroups([])
            os.setgid(65534)
            os.setuid(65534)
        work(acknowledge)

    return ended(*forked(humble))


def ended(child: int, said: int) -> tuple[int, list[str]]:
    """Wait for it: its exit status and every whole line that it said."""
    with os.fdopen(said, "rb") as pipe:
        lines = pipe.read().decode().splitlines(keepends=True)
    _, status = os.waitpid(child, 0)
    return os.waitstatus_to_exitcode(status), [one[:-1] for one in lines if one.endswith("\n")]


def killed(
    work: Callable[[Acknowledge], None], seconds: float, *, group: bool
) -> tuple[bool, list[str]]:
    """Kill ``work`` after so long, alone or with all that it started; whether it was still at work,
    and what it had acknowledged."""
    child, said = forked(work)
    time.sleep(seconds)
    with_all = group and os.getpgid(child) == child
    (os.killpg if with_all else os.kill)(child, signal.SIGKILL)
    status, lines = ended(child, said)
    assert status in (0, -signal.SIGKILL), status
    return status != 0, lines


# ------------------------------------------------------------------------------------- the state
def records(library: Library) -> dict[str, bytes]:
    """Everything in a library that is a record, by path."""
    return {
        str(path.relative_to(library.root)): path.read_bytes()
        for path in sorted(library.root.rglob("*"))
        if path.is_file() and not {".git", ".locks"} & set(path.parts)
    }


def left_over(library: Library) -> list[str]:
    """Temporary files of writers, and locks of git, that stand in a library."""
    parts = [str(path) for path in library.root.rglob(".*.part")]
    return parts + [str(path) for path in (library.root / ".git").rglob("*.lock")]


def replayed(path: Path) -> bool:
    """Whether the history of a case, done again from nothing, gives the case as it stands."""
    tables = json.loads(path.read_bytes())
    now: dict[str, dict] = {}
    for key, change in sorted(tables["history"].items(), key=lambda pair: int(pair[0])):
        for edit in change["edits"]:
            rows = now.setdefault(edit["table"], {})
            assert rows.get(str(edit["key"])) == edit["before"], (key, edit)
            rows.pop(str(edit["key"]), None)
            if edit["after"] is not None:
                rows[str(edit["key"])] = edit["after"]
    stands = {name: rows for name, rows in tables.items() if rows and name != "history"}
    return stands == {name: rows for name, rows in now.items() if rows}


# ------------------------------------------------------------------------------------- the edits
def one_change(dice: random.Random, cases: Cases, name: str, token: str) -> str:
    """Make one change of any kind in a case; what it leaves for good: a text in its history."""
    what = dice.randrange(8)
    about = dice.choice(["bar", "brace", "cradle"])
    if what <= 1:
        cases.note(name, token, about=about)
    elif what == 2:
        cases.suspect(name, "rear-x-plate", dice.random(), about=about, why=token)
    elif what == 3:
        cases.ask(name, token, "tap it", about=about)
    elif what == 4:
        cases.settle(name, "rear-x-plate", about=about, found=token, how="unbolt")
    elif what == 5:
        record = Calculation("section", {"t": "2"}, 10, 1, {}, (), "", "", about, "1", token)
        cases.calculate(name, record)
    elif what == 6:
        case = cases.get(name)
        field = dice.choice(["place", "vehicle", "title"])
        cases.replace(name, "head", 1, replace(case.head, **{field: token}), revision=case.revision)
    else:
        try:
            return str(cases.undo(name).latest.undoes)
        except NotThere:
            cases.note(name, token)
    return token


def writing(
    cases: Cases, name: str, dice: random.Random, most: int = 40
) -> Callable[[Acknowledge], None]:
    """Changes of all kinds, each acknowledged once it has returned."""

    def work(acknowledge: Acknowledge) -> None:
        for i in range(most):
            acknowledge(one_change(dice, cases, name, f"{dice.getrandbits(48):x}-{i}"))
            if i % 10 == 9:
                acknowledge("case " + cases.new(f"opened {i}").id)

    return work


def appending(library: Library, dice: random.Random) -> Callable[[Acknowledge], None]:
    """A pattern changed, reviewed and commented on, and another superseded by it, over and over."""

    def work(acknowledge: Acknowledge) -> None:
        while True:
            token = f"{dice.getrandbits(48):x}"
            plate, other = pattern(library, "rear-x-plate"), pattern(library, "rail-extruded")
            changed = drafted(replace(plate, does=f"Ties. {token}"), "AB", date(2026, 3, 1))
            change_pattern(library, plate, changed)
            acknowledge(f"does {token}")
            change_pattern(library, changed, reviewed(changed, "CD", date(2026, 3, 2)))
            Reviews(library).comment("rear-x-plate", "CD", token)
            acknowledge(f"comment {token}")
            if dice.random() < 0.3 and other != pattern(library, "rear-x-plate"):
                old, new = superseded(other, pattern(library, "rear-x-plate"))
                change_pattern(library, pattern(library, "rear-x-plate"), new)
                change_pattern(library, other, old)

    return work


def pattern(library: Library, name: str) -> Pattern:
    """A pattern as the library has it, else as it was shipped."""
    shipped = load(cached=True).pattern(name)
    try:
        return read_record(library.patterns / shipped.zone / f"{name}.toml", Pattern)
    except NotThere:
        return shipped


def free_edit(dice: random.Random, library: Library, who: str, known: dict[str, set]) -> None:
    """One random change in a clone: a case, a pattern, a verdict, an undo, a deletion, a choice."""
    cases = Cases(library, who)
    mine = [path.stem for path in sorted(library.cases.glob("*.json"))]
    what = dice.random()
    if what < 0.06 or not mine:
        known["cases"].add(cases.new(f"case by {who}").id)
        return
    name = dice.choice(mine)
    if what < 0.35:
        words = dice.choice(["größer", "[b]", "\u202ex", "thin", "=1+1"])
        text = f"{who} {len(known['notes'])} {words}"
        cases.note(name, text, about=dice.choice(["bar", "brace"]))
        known["notes"].add((name, text))
    elif what < 0.5:
        cases.suspect(name, "rear-x-plate", dice.random(), about=dice.choice(["bar", "brace"]))
    elif what < 0.58:
        found = dice.choice(["rear-x-plate", "rail-extruded", ""])
        cases.settle(name, found, about="bar", found=who, how="cut")
    elif what < 0.64:
        _take_back(cases, name, known)
    elif what < 0.76:
        case = cases.get(name)
        head = replace(case.head, place=f"bay {dice.randrange(4)}")
        cases.replace(name, "head", 1, head, revision=case.revision)
    elif what < 0.9:
        plate = pattern(library, dice.choice(["rear-x-plate", "rail-extruded"]))
        field = dice.choice(["does", "rationale", "title"])
        change_pattern(library, plate, replace(plate, **{field: f"{field} {dice.randrange(5)}."}))
    elif what < 0.94:
        Reviews(library).comment("rear-x-plate", who, f"{who} {len(known['comments'])}")
        known["comments"].add(f"{who} {len(known['comments'])}")
    elif what < 0.98:
        waiting, _ = open_conflicts(library)
        if waiting:
            with contextlib.suppress(Conflict):  # the record is gone since
                one = dice.choice(waiting)
                if one.record.startswith("cases/") and not one.path:  # it may be taken out
                    _lose(cases, Path(one.record).stem, known)
                choose(library, one.id, dice.randint(1, len(one.values)), who)
    elif len(mine) > 3:
        _lose(cases, name, known)
        (library.cases / f"{name}.json").unlink()
        known["deleted"].add(name)


def _lose(cases: Cases, name: str, known: dict[str, set]) -> None:
    """What only this clone has goes with a case, even if another's work brings the case back."""
    known["undone"] |= {(name, one.text) for one in cases.get(name).evidence.values()}


def _take_back(cases: Cases, name: str, known: dict[str, set]) -> None:
    try:
        undone = cases.undo(name)
    except NotThere:
        return
    change = undone.history[undone.latest.undoes]
    for edit in change.edits:
        if edit.table == "evidence" and edit.after:
            known["undone"].add((name, edit.after["text"]))


def clones_of(folder: Path, names: str = "ABC") -> list[tuple[Library, str]]:
    """Libraries that share one bare repository on disk."""
    remote = folder / "remote.git"
    subprocess.run(["git", "init", "-q", "--bare", "-b", "main", str(remote)], check=True)
    made = []
    for name in names:
        root = folder / name
        root.mkdir()
        made.append((Library(root), name * 2))
        Syncing(*made[-1]).sync(str(remote))
    return made


def exchanged(clones: list[tuple[Library, str]], rounds: int = 2) -> None:
    """Sync all clones until everything has reached everybody."""
    for _ in range(rounds):
        for clone in clones:
            report = Syncing(*clone).sync()
            assert report.reached, report.why_not


def grown_apart(clones: list[tuple[Library, str]], seed: int, edits: int, offline: float) -> None:
    """Random edits in all clones with a sync now and then; then all meet, and nothing is lost.

    Args:
        clones: as ``clones_of`` gives them.
        seed: of the dice.
        edits: how many for each clone.
        offline: how likely an edit is not followed by a sync.
    """
    dice = random.Random(seed)
    known: dict[str, set] = {
        kind: set() for kind in ("cases", "notes", "undone", "comments", "deleted")
    }
    for _ in range(edits * len(clones)):
        library, who = dice.choice(clones)
        free_edit(dice, library, who, known)
        if dice.random() > offline:
            report = Syncing(library, who).sync()
            assert report.reached, report.why_not
    exchanged(clones)
    first, *rest = [records(library) for library, _ in clones]
    for other in rest:
        assert other.keys() == first.keys(), set(other) ^ set(first)
        assert not [name for name in first if first[name] != other[name]]
    library = clones[0][0]
    rows, problems = Cases(library).rows(cached=False)
    assert not problems, problems
    found = {row.id for row in rows}
    assert known["cases"] - known["deleted"] <= found <= known["cases"]
    for name, text in known["notes"] - known["undone"]:
        if name in found:
            case = Cases(library).get(name)
            assert text in {one.text for one in case.evidence.values()}, (name, text)
    said = {one.text for one in Reviews(library).comments("rear-x-plate")}
    assert said == known["comments"]
    for name in ("rear-x-plate", "rail-extruded"):
        assert pattern(library, name).title
    assert not open_conflicts(library)[1]
