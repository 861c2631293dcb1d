"""Opposite verdicts of two who did not know of each other: both kept until one is chosen."""

import itertools
import json
import random

import pytest
from casework_load import clones_of, exchanged, records
from hypothesis import given
from hypothesis import strategies as st

from atlas.casework.calibration import statements
from atlas.casework.cases import Cases
from atlas.casework.conflicts import choose, open_conflicts
from atlas.casework.lessons import said_in, seen_in
from atlas.casework.model import Choice, Verdict
from atlas.casework.packing import pack, unpack
from atlas.casework.settled import settled
from atlas.casework.storage import read_tables
from atlas.casework.taking_in import put_case
from atlas.casework.teardown import teardown_list
from atlas.casework.verdicts import Verdicts
from atlas.catalogue.library import Library
from atlas.catalogue.load import load
from atlas.errors import BadInput, Conflict
from atlas.identify.narrowing import Narrowing

X, V = "rear-x-plate", "rear-v-brace"


@pytest.fixture
def clones(tmp_path):
    """Three libraries that exchange by ``met``: the merge of a sync without its transport."""
    folders = [tmp_path / name for name in ("A", "B", "C")]
    for folder in folders:
        folder.mkdir()
    return [(Library(folder), folder.name * 2) for folder in folders]


def met(clones, rounds=2):
    """Bring every case of each library to every other."""
    for _ in range(rounds):
        for (mine, _), (other, _) in itertools.permutations(clones, 2):
            for path in mine.cases.glob("*.json"):
                put_case(other, other.cases / path.name, read_tables(path))


def opposed(clones, exchanged):
    """Id of a case that two settled differently, each on his own, and then exchanged."""
    (one, _), (two, _), _ = clones
    case = Cases(one, "AA").new("x")
    Cases(one, "AA").suspect(case.id, X, 0.8, about="plate")
    Cases(one, "AA").note(case.id, "thin plate with four feet", about="plate")
    Cases(one, "AA").note(case.id, "magnet", about="plate", kind="look", observable="magnet",
                          state="sticks")  # fmt: skip
    exchanged(clones)
    Cases(one, "AA").settle(case.id, X, about="plate", found="four feet", how="unbolt")
    Cases(two, "BB").suspect(case.id, V, 0.9, about="plate")
    Cases(two, "BB").settle(case.id, V, about="plate", found="one foot in front", how="cut")
    exchanged(clones)
    return case.id


@pytest.fixture
def disputed(clones):
    return opposed(clones, met)


def patterns(conflict):
    return [verdict.pattern for _, verdict in conflict.verdicts]


def chosen(library, who, pattern):
    (waiting,), _ = open_conflicts(library)
    choose(library, waiting.id, patterns(waiting).index(pattern) + 1, who)


def alike(clones):
    first, *rest = [records(library) for library, _ in clones]
    assert all(one == first for one in rest)


def test_it_waits_for_a_choice_in_every_clone_and_says_who_when_what_and_how(tmp_path):
    clones = clones_of(tmp_path)
    disputed = opposed(clones, exchanged)
    alike(clones)
    told = {open_conflicts(library) for library, _ in clones}
    assert len(told) == 1, "the same conflict under the same number"
    ((waiting,), faults) = told.pop()
    assert not faults and waiting.kept == -1
    assert waiting.field == "verdict on plate" and waiting.record == f"cases/{disputed}.json"
    assert (patterns(waiting), waiting.names) == ([X, V], ("AA", "BB"))
    day = Cases(clones[0][0]).get(disputed).head.opened[:10]
    assert waiting.shown(0).startswith(f"{X}: four feet (by taking it apart, {day} ")
    assert waiting.shown(1).startswith(f"{V}: one foot in front (by cutting, {day} ")
    chosen(clones[2][0], "CC", V)
    exchanged(clones)
    alike(clones)
    assert not any(open_conflicts(library)[0] for library, _ in clones)


def test_until_then_it_counts_as_open_everywhere(disputed, clones):
    library = clones[1][0]
    catalogue = load(library)
    case = Cases(library).get(disputed)
    assert (case.status, case.in_dispute) == ("open", ("plate",))
    assert case.verdict_on("plate") is None and case.verdict_key("plate") == 0
    cases, _ = Cases(library).every()
    assert not statements(cases), "calibration"
    assert not [*seen_in(cases)] and not said_in(cases), "likelihoods and words to learn"
    assert settled(library) == ((), ()), "study"
    (row,), _ = Cases(library).rows()
    assert (row.status, row.in_dispute, row.verdicts) == ("open", ("plate",), 2)
    steps = teardown_list(cases, catalogue, Narrowing(catalogue))
    assert steps and all(step.in_dispute for step in steps)
    # What tells the two apart, and each one's own way of being settled.
    done = {step.do.partition(": ")[2] for step in steps}
    assert all(done & {way.do for way in catalogue.patterns[name].settle} for name in (X, V))
    assert any(catalogue.patterns.title(X) in step.decides for step in steps)


@pytest.mark.parametrize(("pattern", "other"), [(X, V), (V, X)])
def test_one_choice_settles_it_for_all_and_the_other_stays_on_record(
    disputed, clones, pattern, other
):
    chosen(clones[2][0], "CC", pattern)
    met(clones)
    alike(clones)
    for library, _ in clones:
        assert open_conflicts(library) == ((), ())
        case = Cases(library).get(disputed)
        assert (case.status, case.verdict_on("plate").pattern) == ("settled", pattern)
        (lost,) = case.verdicts("plate").overruled
        assert (lost.verdict.pattern, lost.choice.by) == (other, "CC")
        assert f"not {other} (" in case.latest.what and case.latest.by == "CC"
        assert len(case.verdict) == 2
    cases, _ = Cases(library).every()
    # What BB stated he stated after AA had settled it, though in a clone that did not know: a key
    # that was drawn later counts as later, whichever of the two verdicts was chosen.
    assert [(s.by, s.pattern, s.right) for s in statements(cases)] == [("AA", X, pattern == X)]
    assert [name for name, *_ in seen_in(cases)] == [pattern]
    assert [one.pattern for one in settled(library)[0]] == [pattern]


def test_a_choice_can_be_taken_back(disputed, clones):
    chosen(clones[0][0], "AA", X)
    met(clones)
    assert Cases(clones[1][0], "BB").undo(disputed).in_dispute == ("plate",)
    met(clones)
    alike(clones)
    assert all(len(open_conflicts(library)[0]) == 1 for library, _ in clones)


def test_opposite_choices_are_a_dispute_again(disputed, clones):
    chosen(clones[0][0], "AA", X)
    chosen(clones[1][0], "BB", V)
    met(clones)
    alike(clones)
    assert Cases(clones[2][0]).get(disputed).in_dispute == ("plate",)
    chosen(clones[2][0], "CC", V)
    met(clones)
    alike(clones)
    case = Cases(clones[0][0]).get(disputed)
    assert case.verdict_on("plate").pattern == V and len(case.choice) == 1


def test_the_same_choice_twice_is_one(disputed, clones):
    for library, who in clones:
        chosen(library, who, V)
    met(clones, 3)
    alike(clones)
    assert Cases(clones[0][0]).get(disputed).verdict_on("plate").pattern == V


def test_a_third_verdict_that_knew_of_neither_is_in_dispute_with_what_was_chosen(clones, disputed):
    one, three = clones[0][0], clones[2][0]
    late = Cases(three, "CC")
    late.settle(disputed, "", about="plate", found="a stay", how="cut", known=())
    chosen(one, "AA", X)
    met(clones)
    alike(clones)
    (waiting,), _ = open_conflicts(one)
    assert sorted(patterns(waiting)) == ["", X]
    chosen(one, "AA", "")
    assert Cases(one).get(disputed).verdict_on("plate").found == "a stay"


def test_three_at_once_are_three_versions(clones):
    case = Cases(clones[0][0], "AA").new("x")
    met(clones)
    for (library, who), pattern in zip(clones, (X, V, ""), strict=True):
        Cases(library, who).settle(case.id, pattern, about="plate", found=who, how="cut")
    met(clones, 3)
    alike(clones)
    (waiting,), _ = open_conflicts(clones[0][0])
    assert sorted(patterns(waiting)) == ["", V, X]
    with pytest.raises(BadInput, match="say 1 or 2 or 3"):
        choose(clones[0][0], waiting.id, 4, "AA")
    chosen(clones[0][0], "AA", "")
    found = Cases(clones[0][0]).get(case.id)
    assert found.status == "settled" and len(found.verdicts("plate").overruled) == 2


def test_a_verdict_that_knew_both_ends_it(disputed, clones):
    Cases(clones[2][0], "CC").settle(disputed, V, about="plate", found="cut it again", how="cut")
    met(clones)
    assert open_conflicts(clones[0][0]) == ((), ())
    assert Cases(clones[0][0]).get(disputed).verdict_on("plate").found == "cut it again"


def test_what_agrees_and_what_merges_is_no_conflict(clones):
    (one, _), (two, _), _ = clones
    case = Cases(one, "AA").new("x")
    met(clones)
    for library, who, share in ((one, "AA", 0.2), (two, "BB", 0.9)):
        mine = Cases(library, who)
        mine.suspect(case.id, X, share, about="plate")
        mine.ask(case.id, f"how thick, asks {who}?", "gauge", about="plate")
        mine.settle(case.id, X, about="plate", found=f"four feet, says {who}", how="cut")
    met(clones)
    alike(clones)
    found = Cases(one).get(case.id)
    assert open_conflicts(one) == ((), ()) and found.status == "settled"
    assert (len(found.suspicion), len(found.question), len(found.verdict)) == (2, 2, 2)
    assert not found.verdicts("plate").overruled, "two that agree are not told as opposed"


def test_on_a_shared_folder_one_who_had_not_seen_the_other_does_not_overrule_him(library):
    case = Cases(library, "AA").new("x")
    open_form = Cases(library).get(case.id)
    Cases(library, "AA").settle(case.id, X, about="plate", found="four", how="cut")
    mine = Cases(library, "BB")
    mine.settle(case.id, V, about="plate", found="one", how="cut", known=open_form.verdict)
    assert Cases(library).get(case.id).in_dispute == ("plate",)
    assert [patterns(one) for one in open_conflicts(library)[0]] == [[X, V]]


def test_one_who_is_overtaken_while_choosing_is_told(disputed, clones):
    library = clones[0][0]
    (waiting,), _ = open_conflicts(library)
    key = waiting.verdicts[0][0]
    Cases(library, "AA").settle(disputed, X, about="plate", found="looked again", how="look")
    from atlas.casework.disputes import choose_verdict

    with pytest.raises(Conflict, match="does not wait for a choice"):
        choose_verdict(Cases(library, "BB"), disputed, "plate", key)


def test_an_archive_that_brings_the_other_verdict_names_it(tmp_path):
    stores = []
    for name in ("here", "there"):
        (tmp_path / name).mkdir()
        stores.append(Cases(Library(tmp_path / name), name))
    here, there = stores
    case = here.new("x")
    pack(here, case.id, tmp_path / "a.zip")
    unpack(there.library, tmp_path / "a.zip")
    here.settle(case.id, X, about="plate", found="four", how="cut")
    there.settle(case.id, V, about="plate", found="one", how="cut")
    pack(there, case.id, tmp_path / "b.zip")
    assert unpack(here.library, tmp_path / "b.zip", merge=True).conflicts == ("verdict on plate",)
    assert len(open_conflicts(here.library)[0]) == 1


def test_verdicts_of_before_knowledge_was_recorded_are_corrections():
    def old(pattern):
        return Verdict("plate", pattern, "", "cut", "", "")

    told = Verdicts({1: old(X), 2: old(V)}, {})
    assert (told.key, told.disputed) == (2, {})
    assert [one.verdict.pattern for one in told.overruled] == [X]


@given(st.randoms(use_true_random=False))
def test_something_always_stands_and_every_dispute_ends_with_one_choice(dice: random.Random):
    given_, choices = {}, {}
    for key in range(1, dice.randint(2, 7)):
        known = tuple(other for other in given_ if dice.random() < 0.3)
        given_[key] = Verdict("p", dice.choice("xyz"), "", "cut", "", "", known)
    for key in range(dice.randint(0, 4)):
        one, *over = dice.sample([*given_, 99], min(len(given_), dice.randint(1, 4)))
        choices[key] = Choice("p", one, tuple(over), "", "")
    told = Verdicts(given_, choices)
    assert told.standing
    turned = Verdicts(given_, dict(sorted(choices.items(), reverse=True)))
    assert turned.standing == told.standing, "whatever order the records came in"
    assert bool(told.disputed) == (told.key == 0)
    for key in told.disputed:
        replaced, over = told.settling(key)
        left = {name: one for name, one in choices.items() if name not in replaced}
        ended = Verdicts(given_, {**left, 100: Choice("p", key, over, "", "")})
        assert ended.key == key and ended.since <= key


# ------------------------------------------------------------------------------------- commands
def test_the_commands_list_choose_and_tell(atlas, disputed, clones):
    folder = ["--library", str(clones[0][0].root)]
    code, out, _ = atlas("sync", "--conflicts", "--json", *folder)
    (row,) = json.loads(out)["conflicts"]
    assert (code, row["kept"], row["field"]) == (0, 0, "verdict on plate")
    assert [(v["by"], v["pattern"], v["how"]) for v in row["versions"]] == [
        ("AA", X, "unbolt"), ("BB", V, "cut"),
    ]  # fmt: skip
    out = atlas("sync", "--conflicts", *folder)[1]
    assert f"1  (by AA) {X}: four feet" in out and f"--choose {row['id']}=1  or  =2" in out
    out = atlas("case", "show", disputed, *folder)[1]
    assert "In dispute" in out and "BB settled it as" in out
    assert json.loads(atlas("case", "show", disputed, "--json", *folder)[1])["in_dispute"] == [
        "plate"
    ]
    assert "in dispute" in atlas("case", "list", *folder)[1]
    assert "not counted: plate" in atlas("calibration", *folder)[1]
    assert ", in dispute" in atlas("teardown", *folder)[1]
    assert json.loads(atlas("calibration", "--json", *folder)[1])["in_dispute"] == [
        {"case": disputed, "about": "plate"}
    ]
    code, _, err = atlas("sync", "--choose", f"{row['id']}=3", *folder)
    assert code == 2 and "say 1 or 2" in err
    for bad in ("=", "x", f"{row['id']}=", f"{row['id']}=-1", f"{row['id']}=1.5", "7=1"):
        code, _, err = atlas("sync", "--choose", bad, *folder)
        assert code in (1, 2) and err.count("\n") == 1
    code, out, _ = atlas("sync", "--choose", f"{row['id']}=2", "--by", "CC", *folder)
    assert code == 0 and "verdict on plate is now" in out
    out = atlas("case", "show", disputed, *folder)[1]
    assert "not chosen (by CC" in out and f"settled: {V}" in out
    assert atlas("sync", "--conflicts", *folder)[1] == "Nothing waits for a choice.\n"
    for form in ("md", "html"):
        path = clones[0][0].root.parent / f"r.{form}"
        assert atlas("case", "report", disputed, "--format", form, "--output", str(path), *folder)
        text = path.read_text(encoding="utf-8")
        assert "Not chosen" in text and "four feet" in text and "CC chose the other" in text


def test_one_who_corrects_anothers_verdict_is_told_so(atlas, library):
    case = Cases(library, "AA").new("x")
    Cases(library, "AA").settle(case.id, X, about="plate", found="four", how="cut")
    settle = ["case", "settle", case.id, V, "--about", "plate", "--found", "one", "--by", "BB"]
    out = " ".join(atlas(*settle)[1].split())
    assert f"which corrects {X} (AA 20" in out and "undo" in out
    assert "corrects" not in atlas(*settle)[1], "his own, of the same pattern"
