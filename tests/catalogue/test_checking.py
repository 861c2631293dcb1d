from datetime import date

import pytest
from msgspec.structs import replace

from atlas.catalogue.checking import check_pattern, check_together, text_of
from atlas.catalogue.load import Catalogue, load
from atlas.catalogue.model import Cue, LookAlike, Provenance

DAY = date(2026, 3, 1)


@pytest.fixture(scope="module")
def catalogue():
    return load(cached=False)


@pytest.fixture(scope="module")
def pattern(catalogue):
    return catalogue.pattern("rear-x-plate")


def faults(pattern, catalogue):
    return {fault.field: fault.what for fault in check_pattern(pattern, catalogue)}


@pytest.mark.parametrize(
    ("change", "field"),
    [
        (
            lambda p: {"look_alikes": (LookAlike("no-such", "x"),)},
            "look_alikes[0].id",
        ),
        (lambda p: {"look_alikes": (LookAlike(p.id, "x"),)}, "look_alikes[0].id"),
        (lambda p: {"zone": "nowhere"}, "zone"),
        (lambda p: {"likelihoods": {"no-such": {"a": 1.0}}}, "likelihoods.no-such"),
        (lambda p: {"likelihoods": {"magnet": {"sticks": 0.4}}}, "likelihoods.magnet"),
        (lambda p: {"cues": (Cue("x", "below", "weak", "no-mark"), *p.cues)}, "cues[0].mark"),
        (lambda p: {"sources": ()}, "sources"),
        (lambda p: {"rationale": "It is stiff."}, "rationale"),
        (
            lambda p: {
                "provenance": Provenance("draft", p.provenance.written, superseded_by="gone")
            },
            "provenance.superseded_by",
        ),
    ],
)
def test_each_fault_is_found_and_named(pattern, catalogue, change, field):
    assert field not in faults(pattern, catalogue)
    assert field in faults(replace(pattern, **change(pattern)), catalogue)


def test_a_shape_off_the_sheet_is_found(pattern, catalogue):
    sketch = replace(pattern.sketches[0], width=10.0)
    found = faults(replace(pattern, sketches=(sketch,)), catalogue)
    assert any("off the sheet" in what for what in found.values())


def together(*patterns):
    real = load(cached=False)
    return list(check_together(Catalogue({p.id: p for p in patterns}, real.folders, ())))


def test_one_sided_look_alikes_are_found(catalogue, pattern):
    other = catalogue.pattern("rear-v-brace")
    silent = replace(other, look_alikes=())
    assert any(
        fault.record == other.id and "it does not name" in fault.what
        for fault in together(pattern, silent)
    )


def test_copied_texts_and_likelihoods_are_found(pattern):
    copy = replace(pattern, id="copy")
    found = [fault for fault in together(pattern, copy) if fault.severe]
    assert any("wording" in fault.what for fault in found)
    if pattern.likelihoods:
        assert any("the same as those of" in fault.what for fault in found)


def test_every_text_field_is_read(pattern):
    named = dict(text_of(pattern))
    assert {"summary", "does", "rationale"} <= named.keys()
    assert len(named) >= 10
