"""Anodic indices and Faraday's law against published figures."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from reference import rows, source
from validation import Check

from atlas.calculators.models.galvanic import LIMITS
from atlas.mechanics.corrosion import INDEX, fed_current, index_difference, penetration

_YEAR = 365.25 * 24 * 3600
_OURS = {
    "gold": "gold",
    "silver_monel": "silver",
    "nickel_titanium": "titanium",
    "high_brass": "brass",
    "stainless_18Cr": "stainless-steel",
    "chromium_tin_plate_12Cr": "chromium-steel",
    "tin_plate_solder": "tin",
    "carbon_steel_iron": "steel",
    "aluminium_wrought_other": "aluminium",
    "aluminium_cast_nonSi_cadmium": "aluminium-casting",
    "magnesium": "magnesium",
}
_COUPLES = {
    "zinc_plate": "zinc-plate",
    "aluminium_6xxx": "aluminium",
    "stainless_18Cr": "stainless-steel",
    "zinc_hot_dip": "zinc-dip",
    "carbon_steel": "steel",
    "magnesium": "magnesium",
    "copper": "copper",
}
ASTM = "ASTM G102 / D. A. Jones, Principles and Prevention of Corrosion: mm a year for 1 A/m2"


def _tables():
    for row in rows("galvanic", "galvanic.index."):
        name = row["id"].rsplit(".", 1)[1]
        if name in _OURS:
            yield Check(
                row["id"],
                "galvanic",
                source(row),
                row["expected"]["index_V"],
                0.0,
                lambda n=_OURS[name]: INDEX[n],
                "V",
                1e-9,
            )
    for row in rows("galvanic", "galvanic.couple."):
        one, other = row["id"].split(".")[2:]
        yield Check(
            row["id"],
            "galvanic",
            source(row),
            row["expected"]["difference_V"],
            0.0,
            lambda a=_COUPLES[one], b=_COUPLES[other]: index_difference(a, b),
            "V",
            1e-9,
        )


CHECKS = [
    *_tables(),
    *(
        Check(
            f"galvanic.faraday.{metal}",
            "galvanic",
            f"{ASTM} (from memory)",
            expected,
            0.01,
            lambda m=metal: penetration(m, 1.0) * 1e3 * _YEAR,
            "mm",
        )
        for metal, expected in (
            ("steel", 1.16),
            ("aluminium", 1.09),
            ("zinc-dip", 1.50),
            ("magnesium", 2.28),
            ("copper", 1.16),
        )
    ),
]


@pytest.mark.parametrize("row", rows("galvanic", "galvanic.couple."), ids=lambda r: r["id"])
def test_verdicts_of_published_couples(row):
    """Source: 0.15, 0.25 and 0.50 V for harsh, normal and controlled places (from memory)."""
    one, other = (_COUPLES[name] for name in row["id"].split(".")[2:])
    for place, limit in LIMITS.items():
        allowed = index_difference(one, other) <= limit + 1e-9
        assert allowed == row["expected"][f"{place}_ok"]


@given(st.sampled_from(list(INDEX)), st.sampled_from(list(INDEX)))
def test_pairs_are_symmetric_and_alike_metals_agree(one, other):
    assert index_difference(one, other) == index_difference(other, one)
    assert index_difference(one, one) == 0


@given(st.floats(0.01, 100), st.floats(0, 1), st.floats(0, 1))
def test_attack_is_fed_in_proportion_to_the_nobler_area(ratio, bare, wet):
    one = fed_current(0.2, ratio, bare, wet)
    assert fed_current(0.2, 2 * ratio, bare, wet) == pytest.approx(2 * one)
    assert np.all(penetration("steel", one) >= 0)


@pytest.mark.parametrize(
    ("call", "word"),
    [
        (lambda: index_difference("steel", "butter"), "butter"),
        (lambda: penetration("butter", 1.0), "butter"),
        (lambda: penetration("steel", float("nan")), "current"),
        (lambda: fed_current(0.1, 1.0, 1.2, 0.1), "open_share"),
    ],
)
def test_refuses_by_name(call, word):
    with pytest.raises(ValueError, match=word):
        call()
