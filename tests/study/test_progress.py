"""Progress in the library: kept, shared, merged; damage is named and nothing is written over it."""

import json
import subprocess
import sys
from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from atlas.casework.merging import merged
from atlas.casework.syncing import Syncing
from atlas.catalogue.library import Library
from atlas.errors import BadInput, Damaged
from atlas.study.progress import Learner

DAY = date(2026, 3, 2)


def say(learner, item="i1", said="a", sure=0.7, day=DAY, pattern="a"):
    return learner.answer(item, "rails", pattern, said, sure, cues=1, of=3, day=day)


def test_answers_come_back_as_they_were_given(learner):
    say(learner)
    say(learner, "i2", "b", 0.9)
    say(learner, "i2", "", None, DAY + timedelta(days=1))
    learner.step("a", "a", True, day=DAY)
    found = learner.get()
    assert [(one.item, one.right, one.sure) for one in found.answers] == [
        ("i1", True, 0.7), ("i2", False, 0.9), ("i2", False, None),
    ]  # fmt: skip
    assert found.read == {"a"}
    assert found.standing("i1").box == 2
    assert found.standing("i2").wrong == 2
    assert found.standing("never").box == 0


def test_what_was_uncovered_is_there_when_one_comes_back(learner):
    learner.uncover("i1", 2)
    learner.uncover("i2", 1)
    learner.uncover("i1", 1)  # less than is uncovered already changes nothing
    found = learner.get()
    assert (found.shown("i1"), found.shown("i2"), found.shown("i3")) == (2, 1, 0)
    assert found.open == ("i2", "i1")
    learner.uncover("i1", 3)
    assert learner.get().open == ("i1", "i2")
    say(learner, "i1")
    assert learner.get().open == ("i2",)
    assert len(json.loads(learner.path.read_text())["look"]) == 1


@pytest.mark.parametrize(
    ("who", "name"),
    [("AB", "ab"), ("ab", "ab"), ("j-doe", "j-doe"), ("J. Doe", None), ("Å", None), ("../x", None),
     ("终端", None), ("a/b", None), ("\u202eab", None), (".", None)],
)  # fmt: skip
def test_initials_name_a_file_in_the_folder_whatever_they_are(library, who, name):
    learner = Learner(library, who)
    say(learner)
    assert learner.path.parent == library.root / "study"
    assert learner.path.resolve().parent == (library.root / "study").resolve()
    assert [path.name for path in learner.path.parent.glob("*.json")] == [learner.path.name]
    if name:
        assert learner.path.stem == name
    assert len(Learner(library, who).get().answers) == 1


def test_people_do_not_share_a_file_unless_they_share_initials(library):
    names = ["AB", "A.B.", "A B", "Å", "Ä", "ab2", "CD"]
    paths = {Learner(library, who).path for who in names}
    assert len(paths) == len(names)


@pytest.mark.parametrize("who", ["", "  ", "a\0b", "x" * 41])
def test_initials_that_are_none_are_refused(library, who):
    with pytest.raises(BadInput, match="--by"):
        Learner(library, who)


@pytest.mark.parametrize("sure", [-0.1, 1.1, float("nan")])
def test_a_probability_outside_its_range_is_refused_and_nothing_written(learner, sure):
    with pytest.raises(BadInput, match="sure"):
        say(learner, sure=sure)
    assert not learner.path.exists()


@pytest.mark.parametrize(
    ("content", "named"),
    [
        (b"{", "not JSON"),
        (b"[]", "tables"),
        (b'{"answer": 3}', "tables"),
        (b'{"answer": {"x": {}}}', "answer x"),
        (b'{"answer": {"5": {"item": "i", "zone": "z"}}}', "answer 5"),
        (b'{"look": {"5": {"item": "i", "shown": "two", "at": ""}}}', "look 5 shown"),
        (b'{"step": {"5": 7}}', "step 5"),
        (b'{"head": {"1": {"who": "somebody"}}}', "somebody"),
        (b"\xff\xfe\x00", "not JSON"),
        (b"", "not JSON"),
    ],
)
def test_a_damaged_file_is_named_and_left_as_it_is(learner, content, named):
    learner.path.parent.mkdir()
    learner.path.write_bytes(content)
    for act in (learner.get, lambda: say(learner), lambda: learner.uncover("i1", 1)):
        with pytest.raises(Damaged, match=named) as caught:
            act()
        assert str(learner.path) in str(caught.value)
    assert learner.path.read_bytes() == content
    assert Learner(learner.library, "CD").get().answers == ()


WRITER = """
import sys
from datetime import date
from pathlib import Path
from atlas.catalogue.library import Library
from atlas.study.progress import Learner
learner = Learner(Library(Path(sys.argv[1])), "AB")
for number in range(25):
    learner.answer(f"{sys.argv[2]}-{number}", "rails", "a", "a", 0.5, cues=1, of=2,
                   day=date(2026, 3, 2))
    learner.uncover(f"{sys.argv[2]}-open-{number}", 1)
"""


def test_two_writers_lose_nothing(library):
    running = [subprocess.Popen([sys.executable, "-c", WRITER, str(library.root), name])
               for name in ("x", "y")]  # fmt: skip
    assert [one.wait(60) for one in running] == [0, 0]
    found = Learner(library, "AB").get()
    expected = {f"{name}-{number}" for name in "xy" for number in range(25)}
    assert {one.item for one in found.answers} == expected
    assert len(found.open) == 50


# ------------------------------------------------------------------------------------ two machines
acts = st.lists(
    st.tuples(
        st.sampled_from(["answer", "look", "step"]),
        st.sampled_from(["i1", "i2", "i3"]),
        st.booleans(),
        st.integers(0, 30),
    ),
    max_size=6,
)


def do(learner, given_acts):
    for what, item, right, shift in given_acts:
        if what == "answer":
            say(learner, item, "a" if right else "b", 0.6, DAY + timedelta(days=shift))
        elif what == "look":
            learner.uncover(item, 1 + shift % 3)
        else:
            learner.step(item, "a" if right else "b", right, day=DAY)


@settings(max_examples=25, deadline=None)
@given(acts, acts, acts)
def test_work_done_on_two_machines_merges_into_the_work_of_both(tmp_path_factory, first, one, two):
    path = tmp_path_factory.mktemp("merge")
    learners = []
    for name in ("a", "b"):
        (path / name).mkdir()
        learners.append(Learner(Library(path / name), "AB"))
    here, there = learners
    do(here, first)
    base = here.path.read_bytes() if here.path.exists() else None
    if base is not None:
        there.path.parent.mkdir()
        there.path.write_bytes(base)
    do(here, one)
    do(there, two)
    if not (here.path.exists() and there.path.exists()):
        return
    mine, theirs = here.path.read_bytes(), there.path.read_bytes()
    joined = merged("study/ab.json", base, mine, theirs)
    assert not joined.clashes
    assert joined.content == merged("study/ab.json", base, theirs, mine).content
    before = len(here.get().answers), len(there.get().answers)
    answered = sum(act[0] == "answer" for act in (*first, *one, *two))
    here.path.write_bytes(joined.content)
    found = here.get()
    assert len(found.answers) == answered >= max(before)
    assert len(found.steps) == sum(act[0] == "step" for act in (*first, *one, *two))
    for item in ("i1", "i2", "i3"):
        assert 0 <= found.standing(item).box <= 5
        assert found.shown(item) in (0, 1, 2, 3)


def test_an_item_that_was_answered_elsewhere_is_not_open_any_more(library):
    early = datetime(2026, 3, 2, 9, tzinfo=UTC)
    Learner(library, "AB", clock=lambda: early).uncover("i1", 2)
    learner = Learner(library, "AB", clock=lambda: early + timedelta(hours=1))
    look = json.loads(learner.path.read_text())["look"]
    say(learner, "i1")
    tables = json.loads(learner.path.read_text())
    tables["look"] = look  # as a merge leaves it, when the other machine looked on
    learner.path.write_text(json.dumps(tables))
    assert learner.get().open == ()
    assert learner.get().shown("i1") == 0


def test_sync_carries_progress_between_machines(tmp_path):
    remote = tmp_path / "remote.git"
    subprocess.run(["git", "init", "-q", "--bare", "-b", "main", str(remote)], check=True)
    machines = []
    for name in ("lift", "desk"):
        (tmp_path / name).mkdir()
        machines.append(Library(tmp_path / name))
        Syncing(machines[-1], "AB").sync(str(remote))
    for number, machine in enumerate(machines):
        say(Learner(machine, "AB"), f"i{number}")
        Learner(machine, "AB").step("a", "a", True, day=DAY)
    say(Learner(machines[1], "CD"), "theirs")
    for machine in (*machines, *machines):
        report = Syncing(machine, "AB").sync()
        assert report.reached
        assert not report.conflicts
        assert not report.set_aside
    files = [(machine.root / "study" / "ab.json").read_bytes() for machine in machines]
    assert files[0] == files[1]
    for machine in machines:
        found = Learner(machine, "AB").get()
        assert {one.item for one in found.answers} == {"i0", "i1"}
        assert len(found.steps) == 2
        assert [one.item for one in Learner(machine, "CD").get().answers] == ["theirs"]
