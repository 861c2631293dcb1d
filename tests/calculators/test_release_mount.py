"""The mount that lets go, as a person uses it."""

import pytest

from atlas.calculators.models.release_mount import KINDS
from atlas.calculators.registry import calculator
from atlas.calculators.running import run
from atlas.errors import BadInput

MOUNT = calculator("release-mount")


def ask(**given):
    return run(MOUNT, given, samples=500)


def value(found, name):
    return found.results[name].value


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_orders_first_median_and_last(kind):
    found = ask(kind=kind)
    assert value(found, "first_to_go") < value(found, "release") < value(found, "last_to_go")
    assert found.findings
    assert len(found.figure.curves) == 4


def test_slot_is_friction_alone():
    """Source: EN 1993-1-8:2005, 3.9.1: planes x slip factor x preload."""
    found = ask(kind="slot", preload="40", slip_factor="0.2", planes="2")
    assert value(found, "release") == pytest.approx(16.0)
    assert value(found, "friction_part") == pytest.approx(1.0)


def test_more_mounts_let_go_less_surely_and_earlier():
    two, eight = ask(mounts="2"), ask(mounts="8")
    assert value(eight, "first_to_go") < value(two, "first_to_go")
    assert value(eight, "failed") >= value(two, "failed")


def test_a_good_window_is_said_and_a_bad_one_too():
    good = ask(service="2..3", crash="60..80")
    weak = ask(service="9..12", crash="60..80")
    shut = ask(service="2..3", crash="6..9")
    both = ask(service="11", crash="14", mount_scatter="0.4")
    assert value(good, "state") == "lets go in the crash only"
    assert any("window holds" in line for line in good.findings)
    assert value(weak, "state") == "may let go in daily use"
    assert value(shut, "state") == "may not let go in the crash"
    assert value(both, "state") == "both are in doubt"


def test_cut_pins_scatter_less_than_friction():
    pins = ask(kind="shear-pin", preload="2", pin_diameter="12")
    assert value(pins, "friction_part") < 0.1
    assert any("steadier" in line for line in pins.findings)


@pytest.mark.parametrize(
    ("given", "word"),
    [
        ({"kind": "magic"}, "kind"),
        ({"mount_scatter": "0"}, "mount_scatter"),
        ({"mounts": "0"}, "mounts"),
        ({"service": "nan"}, "service"),
        ({"preload": "1e9"}, "preload"),
    ],
)
def test_refusals_name_the_input(given, word):
    with pytest.raises(BadInput, match=word):
        ask(**given)


def test_tearing_adds_to_friction_and_cutting_does_not():
    """Forces in parallel: the tearing bolt stays clamped. Common practice, no source."""
    joint = {"preload": "40", "slip_factor": "0.2", "planes": "2"}
    rubs = value(ask(kind="slot", **joint), "release")
    tears = {"kind": "tear-out", "edge": "10", "gauge": "3", "plate_strength": "400"}
    alone = value(ask(**tears, **joint, clamp_kept="0"), "release")
    both = value(ask(**tears, **joint, clamp_kept="1"), "release")
    assert alone == pytest.approx(max(rubs, 14.4))
    assert both == pytest.approx(rubs + 14.4)
    tight, loose = (
        value(ask(kind="weak-bolt", size="M12", slip_factor="0.2", preload=f), "release")
        for f in ("40", "20")
    )
    assert tight == pytest.approx(loose)
    assert value(ask(kind="weak-bolt", size="M12"), "friction_part") == 0  # its clamp is lost
    # By hand: 16 kN of friction outlast a plate edge that would tear at 4.8 kN without it.
    slips = ask(**{**tears, "gauge": "1"}, **joint, clamp_kept="0")
    assert value(slips, "friction_part") == pytest.approx(1)


def test_a_weak_bolt_of_class_8_8_is_stronger_above_m16():
    """Source: ISO 898-1: 830 MPa and 245 mm2 at M20; EN 1993-1-8, Table 3.4: 0.6 in shear."""
    found = ask(kind="weak-bolt", size="M20", bolt_class="8.8", preload="20", planes="1")
    assert value(found, "release") == pytest.approx(0.6 * 830 * 245e-3, rel=2e-3)
