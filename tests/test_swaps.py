"""Material indices and equal-job gauges."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from reference import band, rows, source
from validation import Check

from atlas.mechanics.materials import GRADES
from atlas.mechanics.sections import box
from atlas.mechanics.swaps import CASES, boxed_gauge, mass_ratio, size_ratio


def _index(case, row):
    """Merit index from our mass ratio against a metal with E = 1 GPa and 1 Mg/m3."""
    i = row["inputs"]
    return 1 / float(mass_ratio(case, "stiffness", 1e9, i["E_GPa"] * 1e9, 1000, i["density_kg_m3"]))


CHECKS = [
    *(
        Check(
            f"{row['id']}.{case}",
            "material-swap",
            source(row),
            row["expected"][case],
            band(row)[0],
            lambda c=case, r=row: _index(c, r),
        )
        for row in rows("material_id", "material.ashby.")
        for case in ("tie", "beam", "panel")
    ),
    *(
        Check(
            f"grade.{name}.{key}",
            "material-swap",
            "EN 1999-1-1:2007, Table 3.2b",
            expected,
            0.013,
            lambda n=name, k=key: getattr(GRADES[n], k) / (1e6 if k == "strength" else 1),
        )
        for name, key, expected in (
            ("aluminium-6060-t66", "strength", 160.0),
            ("aluminium-6060-t66", "retained", 0.41),
            ("aluminium-6082-t6", "strength", 250.0),
            ("aluminium-6082-t6", "retained", 0.50),
        )
    ),
]

modulus = st.floats(1e9, 4e11)


@given(modulus, modulus, st.sampled_from(list(CASES)), st.sampled_from(["stiffness", "strength"]))
def test_swapping_there_and_back_changes_nothing(one, other, case, demand):
    there = mass_ratio(case, demand, one, other, 7850, 2700)
    back = mass_ratio(case, demand, other, one, 2700, 7850)
    assert there * back == pytest.approx(1.0)


@given(st.floats(0.03, 0.2), st.floats(0.03, 0.2), st.floats(0.02, 0.48))
def test_boxed_gauge_is_the_inverse_of_the_section(width, height, share):
    gauge = share * min(width, height)
    assert boxed_gauge(width, height, box(width, height, gauge).iy) == pytest.approx(
        gauge, rel=1e-3
    )


def test_thin_walls_of_equal_stiffness_weigh_alike_in_all_three_metals():
    """Common practice, no source: E over density is near the same for the structural metals."""
    steel = mass_ratio("thin-wall", "stiffness", 210e9, 70e9, 7850, 2700)
    assert steel == pytest.approx(1.0, abs=0.05)


@pytest.mark.parametrize(
    ("call", "word"),
    [
        (lambda: size_ratio("shell", "stiffness", 1e9, 1e9), "case"),
        (lambda: size_ratio("tie", "hardness", 1e9, 1e9), "demand"),
        (lambda: size_ratio("tie", "stiffness", 0, 1e9), "property_from"),
        (lambda: mass_ratio("tie", "stiffness", 1e9, 1e9, float("nan"), 1), "density_from"),
        (lambda: boxed_gauge(-1, 1, 1e-6), "width"),
    ],
)
def test_refuses_by_name(call, word):
    with pytest.raises(ValueError, match=word):
        call()
