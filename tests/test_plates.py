"""Plates against Roark's tables, finite-element benchmarks and a series solution."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from reference import band, rows, source
from validation import Check

from atlas.mechanics.plates import (
    EDGES,
    coefficient,
    dished,
    hinge_load,
    pressed_plate,
    punch_load,
    struck_plate,
    tear_travel,
)


def _benchmark(i):
    a, b, t, e = i["a_over_b"] * i["b"], i["b"], i["t"], i["E"]
    edges = "supported" if i["case"].startswith("ss") else "clamped"
    if i["case"].endswith("u"):
        return pressed_plate(a, b, t, e, 1e-4, edges)[1]
    return struck_plate(a, b, t, e, 4e-4, 0.01, edges)[1]


def _navier(ratio):
    """Deflection coefficient of case 1a by Navier's double series, nu = 0.3."""
    m, n = np.meshgrid(np.arange(1, 80, 2), np.arange(1, 80, 2))
    sign = (-1.0) ** ((m - 1) // 2 + (n - 1) // 2)
    w = 16 / np.pi**6 * np.sum(sign / (m * n * ((m / ratio) ** 2 + n**2) ** 2))
    return w * 12 * (1 - 0.09)


TIMOSHENKO = "S. Timoshenko and S. Woinowsky-Krieger, Theory of Plates and Shells, Navier's series"
SKID = "Roark's Formulas, Table 11.4, case 8a at a/b = 1.5: 600 x 400 x 2 mm steel, 10 kPa"


def _skid():
    return pressed_plate(0.6, 0.4, 2e-3, 210e9, 10e3, "clamped")


CHECKS = [
    *(
        Check(
            f"{row['id']}.{key}",
            "skid-plate",
            source(row),
            row["expected"][key],
            band(row)[0],
            lambda c=case, r=row: coefficient(c, r["inputs"]["a_over_b"]),
        )
        for prefix, key, case in (
            ("plate.roark_1a.", "beta", "1a stress"),
            ("plate.roark_1a.", "alpha", "1a travel"),
            ("plate.roark_1b.", "beta", "1b stress"),
            ("plate.roark_1b.", "alpha", "1b travel"),
            ("plate.roark_8a.", "beta1", "8a stress"),
            ("plate.roark_8a.", "alpha", "8a travel"),
        )
        for row in rows("plates", prefix)
    ),
    *(
        Check(
            row["id"],
            "skid-plate",
            source(row),
            row["expected"]["defl"],
            band(row)[0],
            lambda r=row: _benchmark(r["inputs"]),
        )
        for row in rows("plates", "plate.macneal_harder.")
    ),
    *(
        Check(
            f"plate.navier.{ratio}",
            "skid-plate",
            TIMOSHENKO,
            _navier(ratio),
            0.01,
            lambda r=ratio: coefficient("1a travel", r),
        )
        for ratio in (1.0, 1.4, 1.8, 3.0)
    ),
    Check("plate.skid.stress", "skid-plate", SKID, 180.72, 0.001, lambda: _skid()[0] / 1e6, "MPa"),
    Check("plate.skid.travel", "skid-plate", SKID, 3.63429, 0.001, lambda: _skid()[1] * 1e3, "mm"),
]


@given(st.floats(1e-5, 0.5), st.sampled_from(EDGES))
def test_dishing_only_stiffens_and_vanishes_for_small_loads(linear, edges):
    found = dished(linear, 2e-3, edges)
    a = 0.443 if edges == "clamped" else 1.430
    assert found <= linear * (1 + 1e-9)
    assert found / 2e-3 + a * (found / 2e-3) ** 3 == pytest.approx(linear / 2e-3, rel=1e-6)


@given(st.floats(0.2, 1.0), st.floats(1, 3), st.floats(1e-3, 5e-3))
def test_clamping_stiffens_and_long_plates_are_softer(short, ratio, gauge):
    force, e = 1e3, 210e9
    held = struck_plate(short * ratio, short, gauge, e, force, 0.02, "clamped")
    free = struck_plate(short * ratio, short, gauge, e, force, 0.02, "supported")
    assert held[1] < free[1]
    square = struck_plate(short, short, gauge, e, force, 0.02, "supported")
    assert free[1] >= square[1] * (1 - 1e-9)


@given(st.floats(0.1, 1), st.floats(0.01, 0.5))
def test_flank_of_a_torn_plate_is_longer_by_its_elongation(short, elongation):
    travel = tear_travel(short, 0.02, elongation)
    assert np.hypot(travel, short / 2 - 0.02) == pytest.approx(
        (short / 2 - 0.02) * (1 + elongation)
    )


def test_clamped_edges_double_the_hinge_load():
    assert hinge_load(2e-3, 3e8, "clamped") == pytest.approx(2 * hinge_load(2e-3, 3e8, "supported"))


@pytest.mark.parametrize(
    ("call", "word"),
    [
        (lambda: coefficient("9z stress", 1), "table"),
        (lambda: coefficient("1a stress", 0.5), "ratio"),
        (lambda: pressed_plate(0.3, 0.4, 2e-3, 2e11, 1e3, "clamped"), "long"),
        (lambda: pressed_plate(0.4, 0.4, 0.08, 2e11, 1e3, "clamped"), "gauge"),
        (lambda: struck_plate(0.4, 0.4, 2e-3, 2e11, 1e3, 0.3, "clamped"), "radius"),
        (lambda: struck_plate(0.4, 0.4, 2e-3, 2e11, float("nan"), 0.02, "clamped"), "force"),
        (lambda: dished(1e-3, 2e-3, "glued"), "edges"),
        (lambda: punch_load(0, 2e-3, 4e8), "radius"),
    ],
)
def test_refuses_by_name(call, word):
    with pytest.raises(ValueError, match=word):
        call()
