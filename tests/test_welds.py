"""Seams against tabulated capacities and worked examples."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from reference import band, rows, source
from validation import Check

from atlas.calculators.models.weld import ALLOYS
from atlas.mechanics.welds import (
    effective_length,
    fillet_per_length,
    long_joint,
    softened_width,
    throat,
    von_mises_on_throat,
)


def _line(row, across):
    i = row["inputs"]
    turn = np.pi / 2 if across else 0.0
    force = fillet_per_length(i["throat_mm"] / 1e3, i["fu_MPa"] * 1e6, i["beta_w"], turn)
    return force / i["gamma_M2"] / 1e6


def _tables():
    for row in (*rows("welds", "weld.fillet."), *rows("welds", "weld.fvwd.")):
        rel, absolute = band(row)
        for key, across in (("longitudinal", False), ("transverse", True)):
            yield Check(
                f"{row['id']}.{key}",
                "weld",
                source(row),
                row["expected"][f"{key}_kN_per_mm"],
                rel,
                lambda r=row, a=across: _line(r, a),
                "kN/mm",
                absolute,
            )


def _zones():
    names = {
        "6060-t66": "haz.6060.T66_tle3",
        "6061-t6": "haz.6061.T6_tle20",
        "6063-t66": "haz.6063.T66",
        "6005a-t6": "haz.6005A.T6_hollow_tle5",
        "6106-t6": "haz.6106.T6",
        "6082-t6": "haz.6082.T6_5",
        "5083-h12": "haz.5083.DT_H12",
        "5083-o": "haz.5083.ET_EP_O",
    }
    for alloy, prefix in names.items():
        (row,) = rows("columns", prefix)
        for k, key in enumerate(("fo_MPa", "fu_MPa", "fo_haz_MPa", "fu_haz_MPa")):
            yield Check(
                f"{row['id']}.{key}",
                "weld",
                source(row),
                row["expected"][key],
                1e-6,
                lambda a=alloy, k=k: ALLOYS[a][k] / 1e6,
                "MPa",
            )


CHECKS = [
    *_tables(),
    *_zones(),
    Check(
        "weld.effective_length",
        "weld",
        "EN 1993-1-8:2005, 4.5.1 (1)",
        188.0,
        1e-6,
        lambda: effective_length(0.2, 6e-3) * 1e3,
        "mm",
    ),
    Check(
        "weld.long_joint",
        "weld",
        "EN 1993-1-8:2005, 4.11, eq. (4.9) (from memory)",
        0.933333,
        1e-5,
        lambda: long_joint(1.0, 5e-3),
    ),
    Check(
        "weld.equivalent_stress",
        "weld",
        "EN 1993-1-8:2005, eq. (4.1); 10 kN across a fillet of a = 5 mm, 100 mm",
        28.2843,
        1e-5,
        lambda: von_mises_on_throat(*[10e3 / 5e-3 / 0.1 / np.sqrt(2) / 1e6] * 2, 0.0),
        "MPa",
    ),
]


@given(st.floats(0, np.pi / 2))
def test_capacity_under_any_angle_meets_the_equivalent_stress(angle):
    """Source: EN 1993-1-8:2005, eq. (4.1) solved for the force."""
    line = float(fillet_per_length(1e-3, 400e6, 1.0, angle))
    skew = line * np.sin(angle) / 1e-3 / np.sqrt(2)
    assert von_mises_on_throat(skew, skew, line * np.cos(angle) / 1e-3) == pytest.approx(400e6)


@given(st.floats(1e-3, 1e-2))
def test_throat_and_zone(leg):
    assert throat(leg) * np.sqrt(2) == pytest.approx(leg)
    assert softened_width(leg, "tig") >= softened_width(leg, "mig")


@pytest.mark.parametrize(
    ("call", "word"),
    [
        (lambda: throat(-1e-3), "leg"),
        (lambda: fillet_per_length(1e-3, float("nan"), 0.9), "strength"),
        (lambda: fillet_per_length(1e-3, 4e8, 0.9, 3.0), "angle"),
        (lambda: softened_width(3e-3, "glue"), "process"),
        (lambda: effective_length(0.0, 1e-3), "length"),
    ],
)
def test_refuses_by_name(call, word):
    with pytest.raises(ValueError, match=word):
        call()
