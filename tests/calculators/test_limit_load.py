"""The limit-load calculator, as a person uses it."""

import pytest

from atlas.calculators.registry import calculator
from atlas.calculators.running import run
from atlas.errors import BadInput

LIMIT = calculator("limit-load")


def ask(**given):
    return run(LIMIT, given, samples=200)


def value(found, name):
    return found.results[name].value


def test_a_clamped_beam_collapses_at_eight_mp_over_l():
    """Source: Neal, fixed beam, central load: 8 Mp/L; box 60x90x3: Wpl by flanges and webs."""
    found = ask(form="beam", surface="bending-only", bar_gauge="3.5", bar_strength="380",
                joint_strength="1", span="900", load_at="0.5", push="20")  # fmt: skip
    plastic = (90 * 60**2 - 83 * 53**2) / 4 * 380 / 1e6  # kN m
    assert value(found, "push_at_collapse") == pytest.approx(8 * plastic / 0.9, rel=0.03)
    assert value(found, "mode") == "beam"
    assert value(found, "hinges") == 3


def test_weak_joints_bring_the_collapse_forward():
    """Source: virtual work, 4 (1 + joint share) Mp/L."""
    common = {"form": "beam", "surface": "bending-only", "load_at": "0.5", "span": "900"}
    common |= {"bar_gauge": "3.5", "bar_strength": "380", "push": "20"}
    full, half = ask(**common, joint_strength="1"), ask(**common, joint_strength="0.5")
    assert value(half, "factor") == pytest.approx(0.75 * value(full, "factor"), rel=1e-6)
    assert any("hinges form in the joints" in line for line in half.findings)


def test_side_force_alone_makes_it_sway():
    found = ask(push="0", side="20")
    assert value(found, "mode") == "sway"
    assert value(found, "factor") > value(found, "first_yield") > 0


def test_thin_walls_are_called_out():
    found = ask(bar_gauge="1.2")
    assert value(found, "wall_class") == 4
    assert any("crumple first" in line for line in found.findings)


def test_axial_force_never_helps():
    with_, without = ask(), ask(surface="bending-only")
    assert (with_.sampled["factor"] <= without.sampled["factor"] * (1 + 1e-9)).all()


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"push": "0", "side": "0"}, "give a load"),
        ({"bar_gauge": "29", "bar_width": "40"}, "gauge"),
        ({"span": "nan"}, "span"), ({"joint_strength": "0"}, "joint_strength"),
        ({"push": "1e9"}, "push"), ({"form": "roof"}, "form"),
    ],
)  # fmt: skip
def test_refusals_are_named(given, words):
    with pytest.raises(BadInput, match=words):
        ask(**given)
