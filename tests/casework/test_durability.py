"""Writers that are killed, writers that race, media that refuse: nothing acknowledged is lost.

The thousand kills, the eight writers and ten thousand cases: ``tests/benchmarks/casework.py``.
"""

import os
import random
import tempfile
import time
from pathlib import Path

import pytest
from casework_load import (
    appending,
    as_anybody,
    ended,
    forked,
    killed,
    left_over,
    pattern,
    replayed,
    writing,
)

from atlas.casework.cases import Cases
from atlas.casework.reviews import Reviews
from atlas.casework.storage import read_tables
from atlas.catalogue.appending import as_toml, change_pattern
from atlas.catalogue.library import Library
from atlas.catalogue.load import load
from atlas.catalogue.visible import texts
from atlas.catalogue.writing import locked, write_durably
from atlas.errors import Conflict, Refused


def test_kill_9_while_writing_loses_nothing_acknowledged(library):
    cases, dice = Cases(library, "AB"), random.Random(20261125)
    case = cases.new("killed")
    kills = opened = 0
    while kills < 12:
        work = writing(Cases(library, "CD"), case.id, random.Random(dice.getrandbits(64)), 400)
        was, lines = killed(work, dice.uniform(0, 0.05), group=False)
        kills += was
        stored = set(texts(read_tables(cases.path(case.id))))
        undone = {change.undoes for change in cases.get(case.id).history.values()}
        for line in lines:
            if line.startswith("case "):
                opened += 1
                assert cases.get(line.removeprefix("case ")).head.title
            else:
                assert line in stored or int(line) in undone
        cases.note(case.id, "next start")
        assert replayed(cases.path(case.id)), "the history gives the case as it stands"
    rows, problems = cases.rows()
    assert len(rows) >= 1 + opened and not problems
    for row in rows:
        cases.note(row.id, "last")
    cases.new("last")
    assert not left_over(library)


def test_kill_9_while_appending_leaves_whole_patterns(library):
    dice, kills, changed = random.Random(2), 0, 0
    before = pattern(library, "rear-x-plate").does
    while kills < 6 or changed < 2:
        work = appending(library, random.Random(dice.getrandbits(64)))
        was, lines = killed(work, dice.uniform(0, 0.1), group=False)
        kills += was
        assert not load(library).problems
        said = {one.text for one in Reviews(library).comments("rear-x-plate")}
        assert {one.split()[1] for one in lines if one.startswith("comment")} <= said
        tokens = [one.split()[1] for one in lines if one.startswith("does")]
        does = pattern(library, "rear-x-plate").does
        # What stands is the last that was acknowledged, or the one that the kill came upon.
        assert not any(token in does for token in tokens[:-1])
        if tokens:
            changed += 1
            assert does != before
        before = does
    for name in ("rear-x-plate", "rail-extruded"):
        one = pattern(library, name)
        change_pattern(library, one, one)
    Reviews(library).comment("rear-x-plate", "CD", "last")
    assert not left_over(library)


@pytest.mark.parametrize("spread", [1, 10], ids=["one-case", "ten-cases"])
def test_four_processes_writing_at_once_lose_nothing(library, spread):
    names = [Cases(library, "AB").new("the same title").id for _ in range(spread)]

    def busy(who):
        def work(acknowledge):
            cases = Cases(library, f"w{who}")
            for i in range(40):
                cases.note(names[(i + who) % spread], f"{who} {i}")

        return work

    running = [forked(busy(who)) for who in range(4)]
    assert [ended(*one)[0] for one in running] == [0, 0, 0, 0]
    found = [Cases(library).get(name) for name in names]
    stored = {one.text for case in found for one in case.evidence.values()}
    assert stored == {f"{who} {i}" for who in range(4) for i in range(40)}
    assert sum(len(case.history) for case in found) == 160 + spread


def test_equal_titles_opened_at_once_become_as_many_cases(library):
    def work(acknowledge):
        for _ in range(5):
            acknowledge(Cases(library, "AB").new("the same title").id)

    running = [forked(work) for _ in range(8)]
    names = [name for one in running for name in ended(*one)[1]]
    assert len(set(names)) == 40
    assert {row.id for row in Cases(library).rows()[0]} == set(names)


def test_two_who_change_one_pattern_do_not_overwrite_each_other(library):
    from msgspec.structs import replace

    seen = pattern(library, "rear-x-plate")
    change_pattern(library, seen, replace(seen, does="First."))
    with pytest.raises(Conflict, match="somebody changed it"):
        change_pattern(library, seen, replace(seen, does="Second."))
    assert pattern(library, "rear-x-plate").does == "First."
    with pytest.raises(Conflict):  # two who add one of the same name
        change_pattern(library, None, replace(seen, does="Third."))
    with pytest.raises(Conflict):  # the same, in another zone
        change_pattern(library, None, replace(seen, zone="rails", does="Third."))


def test_a_pattern_that_moves_to_another_zone_leaves_no_file_behind(library):
    from msgspec.structs import replace

    seen = pattern(library, "rear-x-plate")
    first, moved = replace(seen, does="First."), replace(seen, zone="rails", does="Moved.")
    change_pattern(library, seen, first)
    change_pattern(library, first, moved)
    (left,) = library.patterns.glob("*/rear-x-plate.toml")
    assert left.parent.name == "rails" and load(library).pattern("rear-x-plate") == moved
    old = library.patterns / "rear-mount" / left.name  # killed between the two steps
    write_durably(old, as_toml(first).encode())
    (told,) = load(library).problems
    assert "rear-x-plate stands in two files" in str(told)
    change_pattern(library, first, moved)
    assert not old.exists() and not load(library).problems


def test_a_refused_write_leaves_the_old_state(tmp_path, monkeypatch):
    path = tmp_path / "record"
    write_durably(path, b"old")

    def full(fd):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(Refused, match="disk is full"):
        write_durably(path, b"new")
    assert path.read_bytes() == b"old"
    assert [p.name for p in tmp_path.iterdir()] == ["record"]


def test_a_folder_that_one_may_not_write_is_one_clear_line():
    def work(acknowledge):
        try:
            Cases(Library(Path(name))).new("x")
        except Refused as error:
            acknowledge(str(error))

    with tempfile.TemporaryDirectory(prefix="atlas-test-") as name:
        with locked(Path(name, "warm")):
            pass  # what is loaded late is loaded: nobody may read the programs, either
        Path(name).chmod(0o555)
        status, (line,) = as_anybody(work)
        assert status == 0 and "no permission" in line and line.startswith(name)
        assert not Path(name, "cases").exists()


def test_a_file_in_the_way_is_one_clear_line(tmp_path):
    (tmp_path / "cases").write_text("")
    with pytest.raises(Refused, match="file stands where a folder"):
        Cases(Library(tmp_path)).new("x")


def test_what_a_killed_writer_left_goes_with_the_next_write(library):
    cases = Cases(library, "AB")
    case, other = cases.new("one"), cases.new("two")
    left = [cases.path(one.id).with_name(f".{one.id}.json.part") for one in (case, other)]
    for one in left:
        one.write_bytes(b"{")
    cases.note(case.id, "next")
    assert [one.exists() for one in left] == [False, True]  # the other's writer may be at work


def test_who_writes_without_pause_lets_others_have_their_turn(tmp_path):
    """Two who both want it all the time have it about equally often."""
    path, end = tmp_path / "one.json", time.monotonic() + 0.8

    def greedy(acknowledge):
        while time.monotonic() < end:
            with locked(path):
                acknowledge("held")
                time.sleep(0.01)

    child, said = forked(greedy)
    mine, longest = 0, 0.0
    while time.monotonic() < end - 0.1:
        begun = time.monotonic()
        with locked(path):
            longest = max(longest, time.monotonic() - begun)
            mine += 1
            time.sleep(0.01)
    status, lines = ended(child, said)
    assert status == 0 and 0 < longest < 0.4
    assert 1 / 3 < mine / len(lines) < 3


def test_a_record_that_others_keep_says_so_and_is_free_afterwards(tmp_path):
    path = tmp_path / "one.json"
    said = "others have been writing this record for 0.2 s"
    with locked(path), pytest.raises(Refused, match=said), locked(path, seconds=0.2):
        pass
    with locked(path, seconds=0):
        pass
