"""Units: the table against a general-purpose units library, and what is refused."""

import subprocess
import sys

import pytest
from hypothesis import given
from hypothesis import strategies as st

from atlas.calculators.units import IMPERIAL, SI, _kind, _registry, _spelled, convert, factor
from atlas.errors import BadInput


@pytest.mark.parametrize("unit", SI)
def test_table_agrees_with_pint(unit):
    """Source: pint, general-purpose units library."""
    if not unit:
        assert factor(unit) == 1.0
        return
    registry = _registry()
    found = (1.0 * registry.parse_units(_spelled(unit))).to_base_units()
    assert found.magnitude == pytest.approx(factor(unit), rel=1e-12)


_IMPERIAL_NAMES = {
    "lbf in": "lbf*inch",
    "lbf ft": "lbf*foot",
    "kip ft": "kip*foot",
    "kip in": "kip*inch",
    "kip ft2": "kip*foot**2",
    "lbf/in": "lbf/inch",
    "kip/in": "kip/inch",
    "Mpsi": "megapsi",
}


@pytest.mark.parametrize("unit", IMPERIAL)
def test_imperial_figures_agree_with_pint(unit):
    """Source: pint, general-purpose units library."""
    name, times = IMPERIAL[unit]
    registry = _registry()
    spelled = _IMPERIAL_NAMES.get(name, _spelled(name)).replace("in**", "inch**")
    if spelled == "in":
        spelled = "inch"
    there = (1.0 * registry.parse_units(_spelled(unit))).to(registry.parse_units(spelled))
    assert there.magnitude == pytest.approx(times, rel=1e-9)


@pytest.mark.parametrize(
    ("number", "unit", "own", "expected"),
    [
        (0.1, "in", "mm", 2.54),
        (1, "ft", "mm", 304.8),
        (10, "cm", "mm", 100),
        (2, "kN", "N", 2000),
        (1, "lbf", "N", 4.4482216152605),
        (1, "ksi", "MPa", 6.894757293168),
        (1, "lb", "kg", 0.45359237),
        (30, "mph", "km/h", 48.28032),
        (1, "N m", "N mm", 1000),
        (1, "kgf", "N", 9.80665),
        (50, "%", "", 0.5),
        (0.5, "", "%", 0.5),
        (3.141592653589793, "rad", "deg", 180),
        (5, "mm²", "mm2", 5),
        (1, "in^2", "mm2", 645.16),
        (1, "N/mm2", "MPa", 1),
    ],
)
def test_conversions(number, unit, own, expected):
    """Source: international yard and pound agreement of 1959; ISO 80000 (exact factors)."""
    assert convert(number, unit, own, "x") == pytest.approx(expected, rel=1e-9)


@given(st.floats(-1e6, 1e6), st.sampled_from(list(SI)), st.sampled_from(list(SI)))
def test_there_and_back(number, unit, own):
    if _kind(unit) != _kind(own) or not unit or not own:
        return
    there = convert(number, unit, own, "x")
    assert convert(there, own, unit, "x") == pytest.approx(number, rel=1e-9, abs=1e-12)


@pytest.mark.parametrize(
    ("unit", "own"),
    [
        ("kN", "mm"),
        ("kg", "kN"),
        ("s", "m/s"),
        ("mm", ""),
        ("degC", "deg"),
        ("banana", "mm"),
        ("mm**99**99", "mm"),
        ("__import__('os')", "mm"),
        ("1/0", "mm"),
        ("m" * 400, "mm"),
    ],
)
def test_refused_by_name_without_a_traceback(unit, own):
    with pytest.raises(BadInput, match="gauge") as caught:
        convert(1.0, unit, own, "gauge")
    assert "\n" not in str(caught.value)


def test_pint_is_loaded_only_for_a_foreign_unit():
    code = (
        "import sys; from atlas.calculators.units import convert;"
        "convert(1, 'kN', 'N', 'x'); assert 'pint' not in sys.modules;"
        "convert(1, 'ft', 'mm', 'x'); assert 'pint' in sys.modules"
    )
    subprocess.run([sys.executable, "-c", code], check=True)
