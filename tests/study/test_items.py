"""What is practised shows nothing of its answer, and everything needed to find it."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from atlas.casework.cases import Cases
from atlas.casework.settled import settled
from atlas.study.concealing import HIDDEN, hidden, names_of
from atlas.study.items import item_id, items_of, pieces
from atlas.vehicles.loading import all_vehicles


def folded(text):
    return re.sub(r"[\W_]+", " ", text.casefold()).strip()


@pytest.fixture
def told(library, catalogue):
    """A settled case whose every field gives the answer away, and one that is still open."""
    cases = Cases(library, "AB")
    case = cases.new("Van with a Rear X-Plate [b]")
    title = catalogue.patterns.title("rear-x-plate")
    for text in (
        f"I say {title}!", "REAR_X_PLATE all over", "rear x plates, two of them",
        "a \u202ebutterfly  plate", "four feet",
    ):  # fmt: skip
        cases.note(case.id, text, about="X brace")
    cases.note(case.id, "gauge at the waist", about="X brace", value=2.5, unit="mm", kind="point")
    cases.note(case.id, "feet", about="X brace", observable="feet", state="four", kind="look")
    cases.suspect(case.id, "rear-v-brace", 0.6, about="X brace")
    cases.settle(case.id, "rear-x-plate", about="X brace", found=f"{title}, M12", how="unbolt")
    cases.settle(case.id, "", about="cover", found="none of the catalogue", how="look")
    cases.suspect(cases.new("open").id, "rear-v-brace", 0.6, about="brace")
    return case


def test_nothing_that_is_shown_names_the_answer(told, library, catalogue):
    vehicles, _ = all_vehicles()
    found = items_of(catalogue, vehicles.values(), settled(library)[0])
    kinds = {item.kind for item in found.values()}
    assert kinds == {"vehicle", "case", "pattern"}
    for item in found.values():
        pattern = catalogue.patterns[item.pattern]
        shown = [item.about, item.where, *(cue.text for cue in item.cues)]
        for name in names_of(pattern):
            bare = folded(re.sub(r"\([^)]*\)", "", name))
            assert not any(f" {bare} " in f" {folded(text)} " for text in shown), (item.id, name)
        assert item.pattern not in item.id
        assert item.zone == pattern.zone


def test_a_settled_structure_becomes_an_item_and_an_open_one_does_not(told, library, catalogue):
    found = items_of(catalogue, (), settled(library)[0])
    cases = [item for item in found.values() if item.kind == "case"]
    assert [item.pattern for item in cases] == ["rear-x-plate"]
    (item,) = cases
    assert item.id == item_id("case", told.id, "X brace")
    assert item.where == f"Van with a {HIDDEN} [b]"
    assert item.first_guess == "rear-v-brace"
    texts = [cue.text for cue in item.cues]
    assert "four feet" in texts
    assert "gauge at the waist 2.5 mm" in texts
    assert any(cue.observable == "feet" and cue.text.endswith("Four.") for cue in item.cues)
    assert "\u202e" not in "".join(texts)


def test_what_was_noted_after_the_verdict_is_no_cue(library, catalogue):
    from datetime import UTC, datetime, timedelta

    now = [datetime(2026, 3, 1, tzinfo=UTC)]
    cases = Cases(library, "AB", clock=lambda: now[0])
    case = cases.new("one")
    cases.note(case.id, "a plate with four feet", about="brace")
    cases.settle(case.id, "rear-x-plate", about="brace", found="x", how="cut")
    now[0] += timedelta(hours=1)
    cases.note(case.id, "so it was the cross after all", about="brace")
    now[0] -= timedelta(days=1)  # by somebody whose clock is behind
    cases.note(case.id, "a cross, as was found", about="brace")
    cases.suspect(case.id, "rear-v-brace", 0.9, about="brace")
    (one,), problems = settled(library)
    assert [note.text for note in one.seen] == ["a plate with four feet"]
    assert one.believed == ""
    assert not problems


def test_a_damaged_case_is_named_and_the_others_are_practised(told, library):
    (library.cases / "broken.json").write_text("{")
    for _ in range(2):  # from the files, then from the cache
        found, problems = settled(library)
        assert [one.case for one in found] == [told.id]
        assert "broken" in str(problems[0])


def test_an_undone_verdict_takes_the_item_away(told, library):
    cases = Cases(library, "AB")
    cases.undo(told.id)
    cases.undo(told.id)
    assert settled(library)[0] == ()


def test_ids_are_the_same_everywhere_and_differ_from_each_other(catalogue):
    vehicles, _ = all_vehicles()
    once = items_of(catalogue, vehicles.values(), ())
    again = items_of(catalogue, reversed(vehicles.values()), ())
    assert once.keys() == again.keys()
    assert len(once) == len(catalogue.patterns) + sum(len(v.structures) for v in vehicles.values())


def test_cues_of_a_pattern_come_the_least_telling_first(catalogue):
    found = items_of(catalogue, (), ())
    item = found[item_id("pattern", "rear-x-plate")]
    telling = {cue.see: cue.telling for cue in catalogue.pattern("rear-x-plate").cues}
    assert telling[item.cues[-1].text] == "settles"
    assert telling[item.cues[0].text] == "supports"


@given(st.text(max_size=200))
def test_any_text_is_cut_without_loss(text):
    joined = "".join(pieces(text))
    assert re.sub(r"\W", "", joined) == re.sub(r"\W", "", "".join(_visible(text)))


def _visible(text):
    from atlas.catalogue.visible import visible

    return visible(text, lines=False)


@given(st.text(max_size=60), st.lists(st.text(max_size=12), max_size=4))
def test_any_name_can_be_hidden_in_any_text(text, names):
    shown = hidden(text, names)
    for name in names:
        bare = re.findall(r"[^\W_]+", re.sub(r"\s*\([^)]*\)", "", name))
        if bare and not HIDDEN.count("".join(bare)):
            joined = r"[\W_]*".join(map(re.escape, bare))
            assert not re.search(rf"(?<![^\W_]){joined}(?![^\W_])",
                                 shown.replace(HIDDEN, "|"), re.IGNORECASE)  # fmt: skip


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("the X brace here", f"the {HIDDEN} here"),
        ("x-braces", HIDDEN),
        ("X  BRACE.", f"{HIDDEN}."),
        ("xbrace", HIDDEN),
        ("relax braces", "relax braces"),
        ("a bracer", "a bracer"),
        ("a box brace", "a box brace"),
    ],
)
def test_names_are_hidden_however_they_are_written(text, expected):
    assert hidden(text, ["X brace (lay)"]) == expected
