"""A refusal of a combination names the reading that brings it about."""

import pytest

from atlas.calculators.registry import calculator
from atlas.calculators.running import run
from atlas.errors import BadInput


def refusal(name, samples=60, **given):
    with pytest.raises(BadInput) as caught:
        run(calculator(name), given, samples=samples)
    assert "\n" not in str(caught.value)
    return caught.value


@pytest.mark.parametrize(
    ("name", "given", "where", "words"),
    [
        ("skid-plate", {"long_side": "50..2500"}, "long_side", "it runs from 5"),
        ("skid-plate", {"long_side": "100"}, "long_side", "its default, 580..620 mm, goes with"),
        ("brace", {"gauge": "2+-5"}, "gauge", "2+-5 mm reaches below 0.4 mm, the least"),
        ("two-plane-mount", {"boss": "120+-40"}, "boss", "its default, 26..30 mm, goes with"),
        ("toe-compliance", {"rear_bush_at": "-1"}, "rear_bush_at", "its default"),
        ("front-bar", {"overhang": "0"}, "overhang", "past the bar's outer end; its default"),
        # Two typed readings that only together go wrong: either default would mend it.
        ("skid-plate", {"long_side": "450", "short_side": "500"}, "skid-plate", "at least the"),
        # Words and choices are named without a word on their default.
        ("front-frame", {"part": "roof"}, "part", "got 'roof'"),
    ],
)  # fmt: skip
def test_the_reading_behind_it_is_named(name, given, where, words):
    found = refusal(name, **given)
    assert found.where == where
    assert words in str(found)


def test_the_middle_of_a_range_that_holds_is_told():
    found = refusal("weld", gauge="0.5..20")
    low, high = (
        float(part) for part in str(found).split("it runs from ")[1].split(" mm")[0].split(" to ")
    )
    assert 0.5 <= low < high <= 20
    assert "of which 10.25 mm holds" in str(found)


def test_what_ranges_do_together_is_blamed_on_the_calculator():
    found = refusal("rail-fold", yield_strength="300..480", ultimate="400..520")
    assert found.where in {"rail-fold", "yield_strength", "ultimate"}
    assert "ultimate must be at least yield_strength" in str(found)


def test_a_tolerance_cut_off_is_told_with_its_share():
    found = run(calculator("mass-estimate"), {"gauge": "2+-1.5"}, samples=50)
    (warning,) = found.warnings
    assert warning.startswith("gauge: ")
    assert "% of the tolerance lies outside the valid range, most of it below" in warning


@pytest.mark.parametrize("text", ["9" * 10_000_000, "1e" * 5_000_000, "5 " + "m" * 10_000_000])
def test_endless_numbers_are_refused_at_once_and_in_short(text):
    found = refusal("mass-estimate", samples=1, gauge=text)
    assert len(str(found)) < 300


def test_endless_words_are_refused_in_short():
    assert "give at most 20,000" in str(refusal("lap-order", laps="a>b;" * 1_000_000))
    assert len(str(refusal("mass-estimate", form="x" * 1_000_000))) < 300
