"""What is typed into the forms of a draft, and what becomes of it."""

import msgspec
import pytest

from atlas.catalogue.draft_faults import faults_of
from atlas.catalogue.drafts import filled
from atlas.catalogue.load import load
from atlas.catalogue.model import Pattern
from atlas.errors import AtlasError
from atlas.ui.append_draft import draft_blocks, entry_at
from atlas.ui.append_forms import ENTRIES, FIELDS, form, without
from atlas.ui.desk import Desk

DESK = Desk(None)
PLATE = DESK.catalogue.pattern("rear-x-plate")
WHOLE = msgspec.to_builtins(PLATE)


def written(field, at="", content=None, **values):
    """The draft after a form was filled in; what is not named stays as the form offers it."""
    content = {} if content is None else content
    _, fields, apply = form(field, at, content, DESK)
    offered = {one.name: one.value or next(iter(one.options or {"": ""})) for one in fields}
    assert values.keys() <= offered.keys()
    return apply(offered | values)


@pytest.mark.parametrize("field", [one for one in FIELDS if one != "sketches"])
def test_a_form_that_is_left_as_it_is_changes_nothing(field):
    """Every field of a shipped pattern goes through its form and back."""
    value = WHOLE[field]
    places = range(len(value)) if field in ENTRIES else value if field == "likelihoods" else [""]
    for at in places:
        after = written(field, str(at), WHOLE)
        read = msgspec.convert(after, Pattern)
        if field == "calculations":  # numbers come back as the text that was typed
            assert [{k: str(v) for k, v in one.inputs.items()} for one in read.calculations] == [
                {k: str(v) for k, v in one.inputs.items()} for one in PLATE.calculations
            ]
            assert [one.expect for one in read.calculations] == [
                one.expect for one in PLATE.calculations
            ]
        else:
            assert read == PLATE


@pytest.mark.parametrize(
    ("field", "typed", "kept"),
    [
        ("summary", {"summary": "  Two lines\n of it. "}, "Two lines\n of it."),
        ("other_names", {"other_names": "one\n\n  two "}, ["one", "two"]),
        ("builds", {"material": "S355", "process": "bent", "joint": "M8", "gauge_mm": "2,5"},
         [{"material": "S355", "process": "bent", "joint": "M8", "gauge_mm": [2.5, 2.5]}]),
        ("builds", {"material": "S355", "process": "bent", "joint": "M8", "gauge_mm": "1.8..3"},
         [{"material": "S355", "process": "bent", "joint": "M8", "gauge_mm": [1.8, 3.0]}]),
        ("look_alikes", {"id": PLATE.title, "separates": "the twist"},
         [{"id": "rear-x-plate", "separates": "the twist"}]),
        ("calculations", {"calculator": "mass-estimate", "question": "Heavy?",
                          "inputs": "form = plate\nwidth = 300+-10",
                          "expect": "mass > 1\nmass < 4"},
         [{"calculator": "mass-estimate", "question": "Heavy?",
           "inputs": {"form": "plate", "width": "300+-10"},
           "expect": [{"result": "mass", "above": 1.0}, {"result": "mass", "below": 4.0}]}]),
        ("signature", {"part": "brace, plate!", "shape": ""}, {"part": ["brace", "plate!"]}),
    ],
)  # fmt: skip
def test_what_is_typed_is_what_is_kept(field, typed, kept):
    after = written(field, content={"title": "x"}, **typed)
    assert filled(after[field]) == kept


@pytest.mark.parametrize(
    ("field", "typed", "said"),
    [
        ("builds", {"gauge_mm": "3..2"}, "1.8..2.5"),
        ("builds", {"gauge_mm": "thick"}, "cannot read 'thick'"),
        ("builds", {"gauge_mm": "nan"}, "cannot read 'nan'"),
        ("builds", {"gauge_mm": "1..inf"}, "cannot read 'inf'"),
        ("look_alikes", {"id": ""}, "no pattern was named"),
        ("look_alikes", {"id": "nonesuch of all"}, "no pattern"),
        ("calculations", {"calculator": "mass-estimat"}, "did you mean 'mass-estimate'"),
        ("calculations", {"calculator": "brace", "inputs": "width 3"}, "name = value"),
        ("calculations", {"calculator": "brace", "expect": "mass = 3"}, "result > number"),
        ("signature", {"part": "brase"}, "no term 'brase'"),
        ("likelihoods", {"observable": "no such"}, "no question"),
        ("likelihoods", {"observable": "the"}, "type more of one"),
    ],
)
def test_what_cannot_be_read_is_refused_with_what_would_be_right(field, typed, said):
    with pytest.raises(AtlasError, match=said.replace("?", "[?]")):
        written(field, content={"title": "x"}, **typed)


def test_shares_left_blank_share_the_rest_and_wrong_sums_are_refused():
    magnet = DESK.catalogue.observables["magnet"]
    states = [one.id for one in magnet.states]
    content = written("likelihoods", observable=magnet.question)
    assert sum(content["likelihoods"]["magnet"].values()) == pytest.approx(1)
    blank = dict.fromkeys(states, "")
    after = written("likelihoods", "magnet", content, **{**blank, states[0]: "70%"})
    shares = after["likelihoods"]["magnet"]
    assert shares[states[0]] == 0.7
    assert sum(shares.values()) == pytest.approx(1, abs=2e-4)
    for wrong in ({states[0]: "120%"}, dict.fromkeys(states, "10%"), dict.fromkeys(states, "0.9")):
        with pytest.raises(AtlasError):
            written("likelihoods", "magnet", content, **{**blank, **wrong})


def test_a_signature_is_offered_from_the_words_that_are_there():
    cue = {"see": "a pressed sheet of steel", "look": "below", "telling": "weak"}
    draft = {"title": "Bolted brace plate", "cues": [cue]}
    after = written("signature", content=draft)
    assert "plate" in {one.rstrip("!") for named in after["signature"].values() for one in named}


def test_sketches_are_taken_over_from_another_pattern():
    after = written("sketches", pattern="rear-x-plate")
    assert msgspec.convert({**WHOLE, **after}, Pattern).sketches == PLATE.sketches


@pytest.mark.parametrize("field", [*ENTRIES, "likelihoods", "sketches"])
def test_an_entry_taken_out_leaves_the_others(field):
    value = WHOLE[field]
    at = next(iter(value)) if isinstance(value, dict) else 0
    after = without(field, str(at), WHOLE)[field]
    assert len(after) == len(value) - 1
    assert list(after) == list(value)[1:]


def test_each_fault_stands_at_what_is_to_be_mended():
    """Choosing a fault opens the form of its own entry."""
    content = {**WHOLE, "cues": [{"see": "x", "look": "below", "telling": "weak"}, {"see": ""}],
               "builds": "odd", "zone": "nowhere"}  # fmt: skip
    faults = faults_of(content, DESK.catalogue)
    keys = [block.key for block in draft_blocks(content, faults, False, DESK)]
    for fault in faults:
        where = keys.index(f"{'wrong' if fault.severe else 'thin'}:{entry_at(fault.field)}")
        field = entry_at(fault.field).partition(":")[0]
        if f"edit:{entry_at(fault.field)}" in keys:
            assert keys.index(f"edit:{entry_at(fault.field)}") < where
        assert keys.index(field) < where, "under its own heading"


@pytest.mark.parametrize("name", ["rear-x-plate", *list(load(cached=False).patterns)[::12]])
def test_every_pattern_can_be_shown_as_a_draft(name):
    content = msgspec.to_builtins(DESK.catalogue.pattern(name))
    blocks = draft_blocks(content, faults_of(content, DESK.catalogue), True, DESK)
    assert sum(block.key.startswith("edit:cues:") for block in blocks) == len(content["cues"])
    assert not any(block.key.startswith("wrong:") for block in blocks)
