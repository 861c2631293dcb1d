"""Clones at odds: one field in all three, settled here and undone there, clocks that are wrong."""

import json
import os
import subprocess
import time
from datetime import date

import pytest
from casework_load import clones_of, exchanged, pattern, records
from msgspec.structs import replace

from atlas.casework.cases import Cases
from atlas.casework.conflicts import choose, open_conflicts
from atlas.casework.reviews import Reviews
from atlas.casework.storage import next_key
from atlas.casework.syncing import Syncing
from atlas.catalogue.appending import change_pattern, reviewed, superseded
from atlas.catalogue.load import load


@pytest.fixture
def clones(tmp_path):
    return clones_of(tmp_path)


def alike(clones):
    first, *rest = [records(library) for library, _ in clones]
    assert all(one == first for one in rest)
    for library, _ in clones:
        rows, problems = Cases(library).rows()
        assert not problems and len(rows) == len([*library.cases.glob("*.json")])
        assert not load(library).problems and not open_conflicts(library)[1]


def test_one_field_in_all_three_keeps_all_three_until_one_is_chosen(clones):
    one = clones[0][0]
    case = Cases(one, "AA").new("x", place="bay 0")
    exchanged(clones)
    for place, (library, who) in enumerate(clones, 1):
        seen = Cases(library).get(case.id)
        head = replace(seen.head, place=f"bay {place}")
        Cases(library, who).replace(case.id, "head", 1, head, revision=seen.revision)
    exchanged(clones, 4)
    alike(clones)
    told = {open_conflicts(library) for library, _ in clones}
    assert len(told) == 1
    (((conflict,), _),) = told  # one with three versions, not a chain of pairs
    assert dict(zip(conflict.values, conflict.names, strict=True)) == {
        "bay 1": "AA", "bay 2": "BB", "bay 3": "CC",
    }  # fmt: skip
    assert Cases(one).get(case.id).head.place == conflict.values[conflict.kept]
    choose(one, conflict.id, conflict.values.index("bay 2") + 1, "AA")
    exchanged(clones)
    alike(clones)
    assert open_conflicts(clones[2][0]) == ((), ())


def test_a_version_names_who_wrote_it_and_not_who_handed_it_on(clones):
    (one, first), (two, second), *_ = clones
    case, other = Cases(one, first).new("x", place="bay 0"), Cases(one, first).new("other")
    exchanged(clones)
    for place, (library, who) in enumerate([(one, first), (two, second)], 1):
        seen = Cases(library).get(case.id)
        head = replace(seen.head, place=f"bay {place}")
        Cases(library, who).replace(case.id, "head", 1, head, revision=seen.revision)
    Syncing(two, second).sync()
    Cases(two, "YY").note(other.id, "later, on another record", about="bar")
    Syncing(two, "YY").sync()
    Syncing(one, first).sync()
    ((conflict,), _) = open_conflicts(one)
    authors = dict(zip(conflict.values, conflict.names, strict=True))
    assert authors == {"bay 1": first, "bay 2": second}, "who recorded it, not who came last"


def test_a_conflict_says_what_the_record_holds_now(clones):
    one, two = clones[0][0], clones[1][0]
    case = Cases(one, "AA").new("x")
    exchanged(clones)
    for library, who in clones[:2]:
        seen = Cases(library).get(case.id)
        head = replace(seen.head, place=f"bay of {who}")
        Cases(library, who).replace(case.id, "head", 1, head, revision=seen.revision)
    exchanged(clones)
    seen = Cases(two).get(case.id)
    head = replace(seen.head, place="somewhere else")
    Cases(two, "BB").replace(case.id, "head", 1, head, revision=seen.revision)
    ((conflict,), _) = open_conflicts(two)
    assert conflict.kept == -1, "neither: it was written anew since"


def test_alike_conflicts_of_two_records_are_told_apart(clones):
    one, two = clones[0][0], clones[1][0]
    cases = [Cases(one, "AA").new(title) for title in ("x", "y")]
    exchanged(clones)
    for case in cases:
        for library, place in ((one, "bay 1"), (two, "bay 2")):
            seen = Cases(library).get(case.id)
            head = replace(seen.head, place=place)
            Cases(library, "AA").replace(case.id, "head", 1, head, revision=seen.revision)
    exchanged(clones)
    waiting, _ = open_conflicts(one)
    assert len({conflict.id for conflict in waiting}) == 2
    for conflict in waiting:
        wanted = "bay 1" if cases[0].id in conflict.record else "bay 2"
        choose(one, conflict.id, conflict.values.index(wanted) + 1, "AA")
    assert [Cases(one).get(case.id).head.place for case in cases] == ["bay 1", "bay 2"]


def test_a_nested_field_is_told_where_it_differs(clones):
    one, two = clones[0][0], clones[1][0]
    for library, title in ((one, "From above"), (two, "From below")):
        plate = pattern(library, "rear-x-plate")
        first = replace(plate.sketches[0], title=title)
        change_pattern(library, plate, replace(plate, sketches=(first, *plate.sketches[1:])))
    exchanged(clones)
    (waiting,) = (c for c in open_conflicts(one)[0] if c.field == "sketches")
    said = sorted(waiting.told(i) for i in (0, 1))
    assert said == ["1.title: From above", "1.title: From below"]
    assert len(waiting.shown(0)) > 500, "the whole is there for who wants it"


def test_settled_here_and_undone_there(clones):
    (one, _), (two, _), _ = clones
    case = Cases(one, "AA").new("x")
    Cases(one, "AA").suspect(case.id, "rear-x-plate", 0.6, about="plate")
    Cases(one, "AA").settle(case.id, "rear-x-plate", about="plate", found="four feet", how="cut")
    exchanged(clones)
    Cases(two, "BB").undo(case.id)
    Cases(one, "AA").settle(case.id, "", about="plate", found="three feet after all", how="cut")
    exchanged(clones)
    alike(clones)
    found = Cases(two).get(case.id)
    assert [v.found for v in found.verdict.values()] == ["three feet after all"]
    # Each in turn takes back what stands last, also what the other did.
    assert Cases(two, "BB").undo(case.id).status == "open"
    assert not Cases(two, "BB").undo(case.id).suspicion


def test_undone_by_two_at_once_is_undone_once(clones):
    (one, _), (two, _), _ = clones
    case = Cases(one, "AA").new("x")
    for i in range(3):
        Cases(one, "AA").note(case.id, f"note {i}")
    exchanged(clones)
    Cases(one, "AA").undo(case.id)
    Cases(two, "BB").undo(case.id)
    exchanged(clones)
    alike(clones)
    left = Cases(one).get(case.id)
    assert [e.text for e in left.evidence.values()] == ["note 0", "note 1"]
    assert [e.text for e in Cases(one, "AA").undo(case.id).evidence.values()] == ["note 0"]


def test_undo_leaves_what_others_did_to_the_same_record(clones):
    (one, _), (two, _), _ = clones
    case = Cases(one, "AA").new("x", place="bay 1", vehicle="van")
    exchanged(clones)
    for library, who, change in ((two, "BB", {"vehicle": "estate"}), (one, "AA", {"place": "2"})):
        seen = Cases(library).get(case.id)
        head = replace(seen.head, **change)
        Cases(library, who).replace(case.id, "head", 1, head, revision=seen.revision)
    exchanged(clones)
    head = Cases(one, "AA").undo(case.id).head
    assert (head.place, head.vehicle) == ("bay 1", "estate")
    head = Cases(one, "AA").undo(case.id).head
    assert (head.place, head.vehicle) == ("bay 1", "van")


def test_a_change_that_a_sync_brought_counts_as_a_change(clones):
    (one, _), (two, _), _ = clones
    case = Cases(one, "AA").new("x", place="bay 1")
    exchanged(clones)
    Cases(two, "BB").note(case.id, "earlier")
    seen = Cases(one, "AA").note(case.id, "later")
    exchanged(clones)
    from atlas.errors import Conflict

    with pytest.raises(Conflict):
        Cases(one, "AA").replace(case.id, "head", 1, seen.head, revision=seen.revision)


def test_superseded_here_and_reviewed_there(clones):
    (one, _), (two, _), _ = clones
    plate = pattern(one, "rear-x-plate")
    draft = replace(plate, provenance=replace(plate.provenance, status="draft", author="CC"))
    change_pattern(one, plate, draft)
    exchanged(clones)
    old, new = superseded(draft, pattern(one, "rail-extruded"))
    change_pattern(one, pattern(one, "rail-extruded"), new)
    change_pattern(one, draft, old)
    change_pattern(two, draft, reviewed(draft, "BB", date(2026, 3, 1)))
    Reviews(two).comment("rear-x-plate", "BB", "agreed")
    exchanged(clones)
    alike(clones)
    found = load(clones[2][0])
    provenance = found.pattern("rear-x-plate").provenance
    assert provenance.superseded_by == "rail-extruded" and provenance.status == "reviewed"
    assert "rear-x-plate" in found.pattern("rail-extruded").provenance.supersedes
    assert not open_conflicts(one)[0]


@pytest.mark.parametrize("year", [1970, 2100])
def test_a_clock_that_is_wrong_by_decades(clones, monkeypatch, year):
    (one, _), (two, _), _ = clones
    case = Cases(one, "AA").new("x")
    exchanged(clones)
    now = time.time
    monkeypatch.setattr("time.time", lambda: now() + (year - 2026) * 365.25 * 86400)
    Cases(one, "AA").note(case.id, "by a wrong clock")
    monkeypatch.setattr("time.time", now)
    exchanged(clones)
    for i in range(20):
        Cases(one, "AA").note(case.id, f"AA {i}")
        Cases(two, "BB").note(case.id, f"BB {i}")
    exchanged(clones)
    alike(clones)
    texts = [e.text for e in Cases(one).get(case.id).evidence.values()]
    assert len(texts) == 41 and not open_conflicts(one)[0]
    for who in ("AA", "BB"):
        assert [t for t in texts if t.startswith(who)] == [f"{who} {i}" for i in range(20)]
    assert texts[0] == "by a wrong clock", "what came after it stands after it"
    assert max(map(int, json.loads(Cases(one).path(case.id).read_bytes())["evidence"])) < 1 << 53


def test_keys_drawn_apart_after_a_clock_that_was_ahead_do_not_meet():
    highest = (1 << 53) - (1 << 40)
    drawn = {next_key({"evidence": {str(highest): {}}}) for _ in range(200)}
    assert len(drawn) > 195 and highest < min(drawn) and max(drawn) < 1 << 53


def test_line_ends_of_another_system_are_no_change_to_any_field(clones):
    (one, _), (two, _), _ = clones
    (one.root / ".gitattributes").write_text("* text=auto eol=crlf\n")
    case = Cases(one, "AA").new("x")
    change_pattern(one, pattern(one, "rear-x-plate"), pattern(one, "rear-x-plate"))
    (one.root / "list.txt").write_bytes(b"a\r\nb\r\n")
    exchanged(clones)
    assert (two.root / "list.txt").read_bytes() == b"a\r\nb\r\n", "handed on to the byte"
    for path in (*one.cases.glob("*.json"), *one.patterns.rglob("*.toml")):
        path.write_bytes(path.read_bytes().replace(b"\n", b"\r\n"))
    plate = pattern(two, "rear-x-plate")
    change_pattern(two, plate, replace(plate, does="Ties both rails."))
    Cases(two, "BB").note(case.id, "größer")
    exchanged(clones)
    (one.root / ".gitattributes").unlink()  # one's own matter: such names are not handed on
    alike(clones)
    assert pattern(one, "rear-x-plate") == pattern(two, "rear-x-plate")
    assert pattern(one, "rear-x-plate").does == "Ties both rails."
    assert pattern(one, "rear-x-plate").rationale == plate.rationale
    assert not open_conflicts(one)[0]


def test_names_that_other_systems_do_not_like(clones):
    (one, _), (two, _), _ = clones
    Cases(one, "AA").new("x")
    for library, names in ((one, ["Notes.txt", "CON.txt"]), (two, ["a" * 200])):
        for name in names:
            (library.root / name).write_text(f"{name}\n")
    exchanged(clones)
    alike(clones)


def test_offline_for_long_and_then_everything_at_once(clones, tmp_path):
    one, three = clones[0][0], clones[2][0]
    case = Cases(one, "AA").new("x")
    exchanged(clones)
    remote, away = tmp_path / "remote.git", tmp_path / "away.git"
    remote.rename(away)
    for i in range(12):
        for library, who in clones:
            Cases(library, who).note(case.id, f"{who} {i}")
            if i % 4 == 0:
                assert not Syncing(library, who).sync().reached
    away.rename(remote)
    exchanged(clones)
    alike(clones)
    assert len(Cases(three).get(case.id).evidence) == 36


def test_a_push_that_was_killed_blocks_nobody(clones, tmp_path, monkeypatch):
    import atlas.casework.repository as repository

    (one, who), _, _ = clones
    Cases(one, who).new("x")
    lock = tmp_path / "remote.git" / "refs" / "heads" / "main.lock"
    lock.write_text("")
    own = one.root / ".git" / "refs" / "heads" / "main.lock"
    own.write_text("")
    monkeypatch.setattr(repository, "STALE_SECONDS", 0.3)
    assert Syncing(one, who).sync().reached
    assert not lock.exists() and not own.exists()


def test_a_git_that_outlived_its_sync_is_waited_for(clones):
    (one, who), _, _ = clones
    Cases(one, who).new("x")
    guard = one.root / ".git" / "atlas-guard"
    with guard.open() as file:
        import fcntl

        fcntl.flock(file, fcntl.LOCK_EX)
        orphan = subprocess.Popen(["sleep", "0.5"], pass_fds=(file.fileno(),))
    begun = time.monotonic()
    assert Syncing(one, who).sync().reached
    assert time.monotonic() - begun > 0.4
    assert orphan.wait() == 0


def test_locks_of_a_packing_that_was_killed_are_cleared(clones):
    one, who = clones[0]
    folder = one.root / ".git"
    # What a git gc 2.39 leaves, killed at random moments.
    names = ["HEAD.lock", "packed-refs.lock", "logs/HEAD.lock", "logs/refs/heads/main.lock",
             "refs/heads/main.lock"]  # fmt: skip
    for name in names:
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).touch()
        os.utime(folder / name, (time.time() - 10,) * 2)
    (folder / "index.lock").touch()  # of an editor that somebody may have open
    Cases(one, who).new("x")
    assert Syncing(one, who).sync().reached
    assert [path.name for path in folder.rglob("*.lock")] == ["index.lock"]
