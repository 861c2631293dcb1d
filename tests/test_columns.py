"""Struts and thin walls against the standards' tables, textbooks and worked examples."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from reference import band, rows, source
from validation import Check

from atlas.mechanics.columns import CURVES, euler_load, johnson_stress, reduction, weld_reduction
from atlas.mechanics.sections import round_tube
from atlas.mechanics.walls import effective_share, wall_class

E_STEEL = 210e9


def _chi():
    for row in (*rows("columns", "buckling.chi."), *rows("columns", "ec9.chi.")):
        curve = row["id"].split(".")[2].removeprefix("class")
        yield Check(
            row["id"],
            "column",
            source(row),
            row["expected"]["chi"],
            0.0,
            lambda c=curve, v=row["inputs"]["slenderness"]: float(reduction(v, c)),
            absolute=band(row)[1],
        )


def _johnson():
    for row in rows("columns", "buckling.johnson."):
        i = row["inputs"]
        yield Check(
            row["id"],
            "column",
            source(row),
            row["expected"]["critical_stress_MPa"],
            band(row)[0],
            lambda i=i: johnson_stress(i["E_MPa"] * 1e6, i["Sy_MPa"] * 1e6, i["slenderness"]) / 1e6,
            "MPa",
        )


def _chs_example():
    tube = round_tube(0.2445, 0.01)
    squash = tube.area * 355e6
    return tube, squash, np.sqrt(squash / euler_load(E_STEEL, tube.iy, 4.0))


def _thinned(row):
    i = row["inputs"]
    return effective_share(
        i["b_mm"] / i["t_mm"], i["fo_MPa"] * 1e6, "internal", "aluminium", i["C1"] == 29.0
    )


DESIGNERS = "L. Gardner and D. A. Nethercot, Designers' Guide to EN 1993-1-1, CHS column example"
HEB = "Steel Buildings in Europe, Multi-storey Part 4, worked example A.5 (HEB 300)"
SHIGLEY = "Shigley's Mechanical Engineering Design, 8th ed., example 4-16 (from memory)"

CHECKS = [
    *_chi(),
    *_johnson(),
    Check(
        "column.heb300.ncr",
        "column",
        HEB,
        5657.4,
        0.001,
        lambda: euler_load(E_STEEL, 8560e-8, 5.6) / 1e3,
        "kN",
    ),
    Check(
        "column.heb300.slenderness",
        "column",
        HEB,
        0.787,
        0.001,
        lambda: np.sqrt(14900e-6 * 235e6 / euler_load(E_STEEL, 8560e-8, 5.6)),
    ),
    Check(
        "column.chs.area",
        "column",
        DESIGNERS,
        7367.03,
        0.001,
        lambda: _chs_example()[0].area * 1e6,
        "mm2",
    ),
    Check(
        "column.chs.chi",
        "column",
        DESIGNERS,
        0.87791,
        0.001,
        lambda: reduction(_chs_example()[2], "a"),
    ),
    Check(
        "column.chs.resistance",
        "column",
        DESIGNERS,
        2296.0,
        0.001,
        lambda: reduction(_chs_example()[2], "a") * _chs_example()[1] / 1e3,
        "kN",
    ),
    Check(
        "column.shigley.round",
        "column",
        SHIGLEY,
        88e3,
        0.002,
        lambda: euler_load(207e9, np.pi / 64 * 37.48e-3**4, 1.5),
        "N",
    ),
    *(
        Check(
            row["id"],
            "column",
            source(row),
            row["expected"]["rho_c"],
            band(row)[0],
            lambda r=row: _thinned(r),
        )
        for row in rows("columns", "ec9.rho_c.")
    ),
    *(
        Check(
            f"column.imperfection.{curve}",
            "column",
            "EN 1993-1-1:2005, Table 6.1",
            value,
            0.0,
            lambda c=curve: CURVES[c][0],
        )
        for curve, value in rows("columns", "buckling.imperfection")[0]["expected"].items()
    ),
]


@given(st.floats(0, 5), st.floats(0, 5), st.sampled_from(list(CURVES)))
def test_longer_is_never_stronger(a, b, curve):
    short, long = sorted((a, b))
    assert reduction(long, curve) <= reduction(short, curve) + 1e-12


@given(st.floats(0.3, 5), st.sampled_from(list(CURVES)))
def test_design_curves_stay_below_euler_and_squash(slenderness, curve):
    assert reduction(slenderness, curve) <= min(1.0, 1 / slenderness**2) + 1e-12


@given(st.floats(0.1, 4), st.floats(0, 3))
def test_a_bow_only_weakens(slenderness, bow):
    assert reduction(slenderness, "a", bow) <= reduction(slenderness, "a") + 1e-12


@given(st.floats(0.05, 3), st.floats(0.001, 2))
def test_known_bow_is_first_yield_by_magnification(slenderness, bow):
    """Source: Timoshenko and Gere, 1.11: an initial bow grows by 1 / (1 - P/P_E)."""
    chi = float(reduction(slenderness, "B", 0.0) * 0 + reduction(min(slenderness, 3), "a0", bow))
    alpha, plateau = CURVES["a0"]
    eta = alpha * max(slenderness - plateau, 0) + bow
    assert chi + chi * eta / (1 - chi * slenderness**2) == pytest.approx(1.0, rel=1e-9)


def test_euler_load_agrees_with_a_numerical_beam():
    """Source: scipy.linalg.eigh on a finite-difference beam, pinned ends."""
    from scipy.linalg import eigh

    n, length, ei = 400, 0.8, 1234.0
    h = length / n
    size = n - 1
    second = (np.diag(-2 * np.ones(size)) + np.diag(np.ones(size - 1), 1)) / h**2
    second += np.triu(second, 1).T
    loads = eigh(second @ second * ei, -second, eigvals_only=True, subset_by_index=[0, 0])
    assert euler_load(1e9, ei / 1e9, length) == pytest.approx(loads[0], rel=1e-4)


@pytest.mark.parametrize("factor, ratio", [(0.5, 4.0), (2.0, 0.25)])
def test_end_fixity_changes_the_load_by_its_square(factor, ratio):
    """Source: Timoshenko and Gere, Theory of Elastic Stability (fixed-fixed, fixed-free)."""
    assert euler_load(1e9, 1e-6, 1, factor) / euler_load(1e9, 1e-6, 1) == pytest.approx(ratio)


def test_johnson_and_euler_touch_at_half_the_yield_strength():
    turn = np.sqrt(2 * np.pi**2 * E_STEEL / 350e6)
    assert johnson_stress(E_STEEL, 350e6, turn) == pytest.approx(175e6)
    assert johnson_stress(E_STEEL, 350e6, turn * 1.000001) == pytest.approx(175e6, rel=1e-4)


@pytest.mark.parametrize(
    ("ratio", "part", "expected"),
    [
        (33, "internal", 1),
        (38, "internal", 2),
        (42, "internal", 3),
        (42.1, "internal", 4),
        (9, "outstand", 1),
        (14, "outstand", 3),
        (14.1, "outstand", 4),
        (50, "tube", 1),
        (90, "tube", 3),
    ],
)
def test_wall_classes_of_steel(ratio, part, expected):
    """Source: EN 1993-1-1:2005, Table 5.2, pure compression, f_y = 235 MPa."""
    assert wall_class(ratio, 235e6, part) == expected


@pytest.mark.parametrize("welded", [False, True])
@pytest.mark.parametrize("part", ["internal", "outstand"])
def test_aluminium_walls_thin_from_their_class_limit_without_a_step(part, welded):
    """Source: EN 1999-1-1:2007, Tables 6.2 and 6.3 meet at the class 3 limit."""
    limit = {"internal": (22, 18), "outstand": (6, 5)}[part][welded]
    just = effective_share(limit * 1.0001, 250e6, part, "aluminium", welded)
    assert just == pytest.approx(1.0, abs=2e-3)


@given(st.floats(5, 200))
def test_slack_wall_never_carries_more_when_thinner(ratio):
    thick, thin = effective_share([ratio, ratio * 1.1], 355e6, "internal")
    assert thin <= thick + 1e-12


def test_weld_reduction_is_mildest_where_stiffness_decides():
    stocky, slender = weld_reduction([0.3, 1.5], 0.4, 0.5)
    assert 0.6 < stocky < slender <= 1.0


@pytest.mark.parametrize(
    ("call", "word"),
    [
        (lambda: euler_load(210e9, 1e-6, -1), "length"),
        (lambda: euler_load(210e9, float("nan"), 1), "inertia"),
        (lambda: euler_load(210e9, 1e-6, 1, 0.3), "factor"),
        (lambda: reduction(1.0, "e"), "curve"),
        (lambda: reduction(float("inf")), "slenderness"),
        (lambda: reduction([]), "slenderness"),
        (lambda: wall_class(30, 235e6, "edge"), "part"),
        (lambda: effective_share(120, 355e6, "tube"), "diameter over gauge"),
        (lambda: effective_share(600, 355e6, "internal"), "ratio"),
        (lambda: weld_reduction(1, 1.2, 0.5), "softened"),
    ],
)
def test_refuses_by_name(call, word):
    with pytest.raises(ValueError, match=word):
        call()
