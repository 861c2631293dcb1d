"""Clones of one library, through a bare repository on disk: nothing is lost, all end up alike."""

import json
import random
import subprocess
import sys
from pathlib import Path

import pytest
from casework_load import clones_of, grown_apart, killed, left_over, records

from atlas.casework.cases import Cases
from atlas.casework.conflicts import choose, open_conflicts
from atlas.casework.syncing import Syncing
from atlas.catalogue.appending import as_toml, change_pattern
from atlas.catalogue.library import Library
from atlas.catalogue.load import load
from atlas.errors import BadInput, NotThere, Refused


@pytest.fixture
def remote(tmp_path):
    path = tmp_path / "remote.git"
    subprocess.run(["git", "init", "-q", "--bare", "-b", "main", str(path)], check=True)
    return str(path)


@pytest.fixture
def clones(tmp_path, remote):
    made = []
    for name in ("AB", "CD", "EF"):
        root = tmp_path / name
        root.mkdir()
        made.append((Library(root), name))
        Syncing(*made[-1]).sync(remote)
    return made


def settle(clones, rounds=2):
    for _ in range(rounds):
        for clone in clones:
            assert Syncing(*clone).sync().reached


def notes(library, case):
    return {one.text for one in Cases(library).get(case).evidence.values()}


@pytest.mark.parametrize(("seed", "offline"), [(1, 0.9), (2, 0.97)])
def test_three_clones_with_random_edits_converge_to_the_same_bytes(tmp_path, seed, offline):
    grown_apart(clones_of(tmp_path), seed, 30, offline)


def test_a_true_conflict_keeps_both_until_one_is_chosen(clones):
    (one, _), (two, _), _ = clones
    case = Cases(one, "AB").new("x", place="bay 1")
    settle(clones)
    from msgspec.structs import replace

    for library, who, place in ((one, "AB", "bay 2"), (two, "CD", "bay 3")):
        seen = Cases(library).get(case.id)
        head = replace(seen.head, place=place)
        Cases(library, who).replace(case.id, "head", 1, head, revision=seen.revision)
    settle(clones)
    for library, _ in clones:
        (waiting,), _ = open_conflicts(library)
        assert set(waiting.values) == {"bay 2", "bay 3"}
        assert dict(zip(waiting.values, waiting.names, strict=True)) == {
            "bay 2": "AB",
            "bay 3": "CD",
        }
        assert Cases(library).get(case.id).head.place == waiting.values[waiting.kept]
    loser = 1 - waiting.kept
    choose(two, waiting.id, loser + 1, "CD")
    settle(clones)
    for library, _ in clones:
        assert Cases(library).get(case.id).head.place == waiting.values[loser]
        assert open_conflicts(library) == ((), ())
    assert Cases(one).get(case.id).latest.by == "CD"
    with pytest.raises(NotThere):
        choose(one, waiting.id, 1, "AB")


def test_a_pattern_changed_on_both_sides_stays_a_pattern(clones):
    from msgspec.structs import replace

    (one, _), (two, _), _ = clones
    plate = load(cached=False).pattern("rear-x-plate")
    change_pattern(one, plate, plate)
    settle(clones)
    change_pattern(one, plate, replace(plate, title="Crossed plate", does="Ties both rails."))
    change_pattern(two, plate, replace(plate, title="Saltire", rationale="Shear at the mounts."))
    settle(clones)
    found = load(one).pattern("rear-x-plate")
    assert found.does == "Ties both rails." and found.rationale == "Shear at the mounts."
    (waiting,), _ = open_conflicts(one)
    choose(one, waiting.id, 1, "AB")
    assert load(one).pattern("rear-x-plate").title == waiting.values[0]
    path = one.patterns / "rear-mount" / "rear-x-plate.toml"
    assert path.read_text(encoding="utf-8") == as_toml(load(one).pattern("rear-x-plate"))


def test_offline_is_normal_and_nothing_is_lost(clones, remote, tmp_path):
    (one, who), (two, _), _ = clones
    moved = tmp_path / "elsewhere.git"
    Path(remote).rename(moved)
    case = Cases(one, who).new("written on a train")
    report = Syncing(one, who).sync()
    assert not report.reached and report.why_not and report.recorded
    moved.rename(remote)
    assert Syncing(one, who).sync().pushed == 2  # the clone's own first commit and the case
    Syncing(two).sync()
    assert Cases(two).get(case.id).head.title == "written on a train"


def test_a_remote_that_was_never_there_is_an_error_and_not_remembered(library):
    Cases(library, "AB").new("x")
    with pytest.raises(NotThere, match="cannot be reached"):
        Syncing(library).sync("/nonexistent/team.git")
    assert Syncing(library).sync().remote == ""
    with pytest.raises(BadInput):
        Syncing(library).sync("--upload-pack=touch x")


def test_a_damaged_record_is_named_and_stays_at_home(clones):
    (one, who), (two, _), _ = clones
    case, other = Cases(one, who).new("good"), Cases(one, who).new("other")
    settle(clones)
    (one.cases / f"{case.id}.json").write_text("{half")
    (one.cases / "new.json").write_text("[]")
    Cases(one, who).note(other.id, "more")
    report = Syncing(one, who).sync()
    assert {line.split(":")[0] for line in report.set_aside} == {
        f"cases/{case.id}.json",
        "cases/new.json",
    }
    Syncing(two).sync()
    assert Cases(two).get(case.id).head.title == "good"
    assert notes(two, other.id) == {"more"}
    assert (one.cases / f"{case.id}.json").read_text() == "{half", "it is left as it is"


def test_links_and_odd_names_from_others_are_refused_by_name(clones, remote, tmp_path):
    (one, _), (two, _), _ = clones
    case = Cases(one, "AB").new("x")
    Syncing(one).sync()
    bad = tmp_path / "bad"
    run = ["git", "-C", str(bad), "-c", "user.name=x", "-c", "user.email=x"]
    subprocess.run(["git", "clone", "-q", remote, str(bad)], check=True)
    (bad / "cases" / "evil.json").symlink_to("/etc/passwd")
    (bad / "patterns").symlink_to("/tmp")
    (bad / ".bashrc").write_text("x")
    (bad / "fine.txt").write_text("x")
    subprocess.run([*run, "add", "-A"], check=True)
    subprocess.run([*run, "commit", "-qm", "bad"], check=True)
    subprocess.run([*run, "push", "-q"], check=True)
    report = Syncing(two).sync()
    assert {line.split(":")[0] for line in report.set_aside} == {
        "cases/evil.json",
        "patterns",
        ".bashrc",
    }
    assert set(records(two)) == {".gitignore", f"cases/{case.id}.json", "fine.txt"}
    Cases(two, "CD").note(case.id, "goes on")
    assert Syncing(two).sync().pushed == 1
    Syncing(one).sync()
    assert notes(one, case.id) == {"goes on"}


def test_a_folder_that_is_a_link_and_a_folder_that_was_emptied_are_refused(clones, tmp_path):
    (one, who), (two, _), _ = clones
    for i in range(12):
        Cases(one, who).new(f"case {i}")
    settle(clones)
    for path in two.cases.glob("*.json"):
        path.unlink()
    with pytest.raises(Refused, match="are gone"):
        Syncing(two).sync()
    (one.root / "patterns").symlink_to(tmp_path)
    with pytest.raises(BadInput, match="is a link"):
        Syncing(one).sync()


def test_a_case_taken_away_stays_away_unless_somebody_worked_on_it(clones):
    (one, who), (two, _), _ = clones
    gone, kept = Cases(one, who).new("gone"), Cases(one, who).new("kept")
    settle(clones)
    for case in (gone, kept):
        (one.cases / f"{case.id}.json").unlink()
    Cases(two, "CD").note(kept.id, "still of use")
    settle(clones)
    for library, _ in clones:
        assert [row.id for row in Cases(library).rows()[0]] == [kept.id]
        ((waiting,), _) = open_conflicts(library)
        assert waiting.names == (who, "CD") and waiting.shown(0) == "(taken out)"
        assert (waiting.record, waiting.kept) == (f"cases/{kept.id}.json", 1)
    # Kept: nothing of it changes. Taken out: it goes, for all.
    Cases(two, "CD").note(kept.id, "and more")
    choose(two, waiting.id, 2, "CD")
    settle(clones)
    assert notes(one, kept.id) == {"still of use", "and more"}
    assert not any(open_conflicts(library)[0] for library, _ in clones)
    (one.cases / f"{kept.id}.json").unlink()
    Cases(two, "CD").note(kept.id, "again")
    settle(clones)
    choose(one, open_conflicts(one)[0][0].id, 1, who)
    settle(clones)
    for library, _ in clones:
        assert not Cases(library).rows()[0] and open_conflicts(library) == ((), ())


def test_two_libraries_that_grew_apart_can_be_joined(tmp_path, remote):
    made = []
    for who in ("AB", "CD"):
        root = tmp_path / who
        root.mkdir()
        made.append((Library(root), who))
        Cases(Library(root), who).new(f"by {who}")
        Syncing(Library(root), who).sync()
    for library, who in made:
        Syncing(library, who).sync(remote)
    settle(made, 2)
    assert records(made[0][0]) == records(made[1][0])
    assert len(Cases(made[0][0]).rows()[0]) == 2


def test_kill_9_while_syncing_loses_nothing_and_the_next_sync_is_clean(clones, monkeypatch):
    import atlas.casework.repository as repository

    monkeypatch.setattr(repository, "STALE_SECONDS", 0.0)  # so that the test need not wait
    dice = random.Random(7)
    (one, who), (two, other), _ = clones
    case = Cases(one, who).new("killed")
    settle(clones)
    written, kills = set(), 0
    while kills < 7:
        text = f"{other} {kills}"
        Cases(two, other).note(case.id, text)
        written.add(text)
        Syncing(two, other).sync()

        def work(acknowledge, kills=kills):
            for i in range(50):
                Cases(one, who).note(case.id, f"{who} {kills} {i}")
                acknowledge(f"{who} {kills} {i}")
                Syncing(one, who).sync()

        # Alone, so that its git lives on, or with all that it had started.
        was, lines = killed(work, dice.uniform(0, 0.4), group=kills % 2 == 0)
        kills += was
        written |= set(lines)
        json.loads(Cases(one).path(case.id).read_bytes())
        assert set(lines) <= notes(one, case.id)
    settle(clones)
    for library, _ in clones:
        assert written <= notes(library, case.id)
        assert not open_conflicts(library)[0]
        assert not left_over(library)
    assert records(one) == records(two) == records(clones[2][0])


def test_writers_go_on_while_a_sync_runs(clones):
    (one, who), (two, other), _ = clones
    case = Cases(one, who).new("busy")
    settle(clones)
    script = (
        "import sys; from pathlib import Path;from atlas.casework.cases import Cases;"
        "from atlas.catalogue.library import Library;c = Cases(Library(Path(sys.argv[1])), 'w');"
        "[c.note(sys.argv[2], f'w {i}') for i in range(60)]"
    )
    writer = subprocess.Popen([sys.executable, "-c", script, str(one.root), case.id])
    rounds = 0
    while writer.poll() is None:
        Cases(two, other).note(case.id, f"{other} {rounds}")
        Syncing(two, other).sync()
        Syncing(one, who).sync()
        rounds += 1
    assert writer.returncode == 0
    settle(clones)
    expected = {f"w {i}" for i in range(60)} | {f"{other} {i}" for i in range(rounds)}
    assert notes(one, case.id) == notes(two, case.id) == expected


def test_a_sync_clears_what_killed_writers_left(clones):
    (one, who), _, _ = clones
    case = Cases(one, who).new("left behind")
    left = Cases(one).path(case.id).with_name(f".{case.id}.json.part")
    left.write_bytes(b"{")
    Syncing(one, who).sync()
    assert not left.exists()
    assert notes(one, case.id) == set()
