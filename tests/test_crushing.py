"""Tube crushing against published formulas and the fit of a published test series."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from reference import band, rows, source
from validation import Check

from atlas.calculators.registry import calculator
from atlas.calculators.running import run
from atlas.mechanics.crushing import (
    RATE,
    bending_length,
    cells_mean_force,
    fold_length,
    rate_factor,
    round_mean_force,
    round_stroke_share,
    square_mean_force,
)

GUILLOW = (
    "S. R. Guillow et al., Int. J. Mech. Sci. 43 (2001) 2103-2123: fit of 70 tests of 6060-T5 tubes"
)


def _row(name, compute, key="mean_load_kN", unit="kN"):
    row = next(r for r in rows("crushing") if r["id"] == name)
    rel, absolute = band(row)
    return Check(
        name,
        "crush-can",
        source(row),
        row["expected"][key],
        rel,
        lambda: compute(row["inputs"]),
        unit,
        absolute,
    )


def _square(i):
    return square_mean_force(i["c_mm"] / 1e3, i["h_mm"] / 1e3, i["sigma0_MPa"] * 1e6) / 1e3


def _guillow(ratio, flow=150e6, gauge=2e-3):
    """Mean force of the fitted tests, F = 72.3 (D/t)^0.32 sigma t^2 / 4."""
    return 72.3 * ratio**0.32 * flow * gauge**2 / 4 / 1e3


def _fold(row):
    i = next(r for r in rows("crushing") if r["id"] == row)["inputs"]
    return fold_length(i["Lc_mm"] / 1e3, i["n_corner"], i["t_mm"] / 1e3) / 2 * 1e3


CHECKS = [
    _row("crush.square.aj1986_mixB.c60_h2", _square),
    _row(
        "crush.square.aj1986_boundary_mixB_sym",
        lambda i: _boundary(i["sym"]),
        "c_over_h",
        "",
    ),
    _row(
        "crush.circular.aj1984_eff.D56_h1.2",
        lambda i: round_mean_force(i["D_mm"] / 1e3, i["h_mm"] / 1e3, i["sigma0_MPa"] * 1e6) / 1e3,
    ),
    _row(
        "crush.ssfe.single_cell",
        lambda i: (
            cells_mean_force(
                i["Lc_mm"] / 1e3, i["n_corner"], i["t_mm"] / 1e3, i["sigma0_MPa"] * 1e6, i["k"]
            )
            / 1e3
        ),
    ),
    Check(
        "crush.ssfe.fold",
        "crush-can",
        "W. Chen and T. Wierzbicki (2001) (from memory)",
        15.8533,
        1e-4,
        lambda: _fold("crush.ssfe.single_cell"),
        "mm",
    ),
    *(
        _row(
            f"crush.cowper_symonds.DIF.{row}",
            lambda i: rate_factor(i["rate_per_s"], i["D_per_s"], i["q"]),
            "DIF",
            "",
        )
        for row in ("mild_steel_large_strain", "aluminium", "stainless_304")
    ),
    # Tests are not formulas: the fit itself scatters by about a fifth, so a quarter is allowed.
    *(
        Check(
            f"crush.tests.round.{ratio}",
            "crush-can",
            GUILLOW,
            _guillow(ratio),
            0.25,
            lambda r=ratio: round_mean_force(2e-3 * r, 2e-3, 150e6) / 1e3,
            "kN",
        )
        for ratio in (15, 25, 40, 60)
    ),
    # Finite elements of whole tubes, crushed no further than their folds reach. Their metal has no
    # rate, so they are held against the slow force.
    *(
        _row(f"crush.fem.square.{model}", lambda i: _can(i)["static_force"].value)
        for model in ("2", "3", "5", "96", "98")
    ),
]


def _can(inputs):
    """The calculator's results for one of the simulated tubes."""
    outer = str(80 + inputs["t_mm"])  # their 80 mm lie between middle surfaces
    readings = {
        "shape": "box", "material": "aluminium", "width": outer, "height": outer, "length": "250",
        "gauge": str(inputs["t_mm"]), "yield_strength": "80", "tensile_strength": "147.5",
        "trigger": "1", "speed": str(3.6 * inputs["speed_m_s"]), "mass": "300",
    }  # fmt: skip
    return run(calculator("crush-can"), readings, samples=10, seed=1).results


@pytest.mark.parametrize("row", rows("crushing", "crush.fem.square"), ids=lambda row: row["id"])
def test_simulated_tubes_turn_stiff_where_our_stroke_ends(row):
    """Up to 0.76 of the length the mean force is ours; from 0.8 the tube has bottomed out."""
    can, found = _can(row["inputs"]), row["expected"]
    ratio = found["mean_load_kN"] / can["static_force"].value
    share = found["crushed_mm"] / 250
    assert can["stroke_share"].value == pytest.approx(0.73, abs=0.01)
    if share < 0.77:
        assert 0.9 < ratio < 1.1
    else:
        assert share > 0.8 and ratio > 1.15


def test_simulated_plain_tubes_peak_below_their_squash_load_and_the_thinner_the_further():
    """The trigger's meaning: 1 for a plain stocky tube; thin walls buckle before they yield."""
    shares = {}
    for row in rows("crushing", "crush.fem.square"):
        can = _can(row["inputs"])
        squash = can["peak_force"].value / can["rate_factor"].value
        gauge = row["inputs"]["t_mm"]
        shares.setdefault(gauge, []).append(row["expected"]["peak_load_kN"] / squash)
    means = [np.mean(shares[gauge]) for gauge in sorted(shares)]
    assert 0.75 < means[0] < means[-1] < 1


def _boundary(symmetric):
    """Slimness at which our force starts to follow the symmetric mode."""
    x = np.linspace(10, 80, 70001)
    force = square_mean_force(x * 1e-3, 1e-3, 4e6)
    return float(x[np.argmax(np.isclose(force, symmetric * np.cbrt(x), rtol=1e-9))])


def test_rate_constants_are_the_published_ones():
    """Source: N. Jones, Structural Impact, Table 8.1 (from memory)."""
    for row in rows("crushing", "crush.cowper_symonds.constants"):
        name = row["id"].rsplit(".", 1)[1]
        key = {"mild_steel_large_strain": "steel", "stainless_304": "stainless"}.get(name, name)
        assert RATE[key] == (row["expected"]["D_per_s"], row["expected"]["q"])


@given(st.floats(0.04, 0.12), st.floats(0.001, 0.004), st.floats(0.3, 3))
def test_force_scales_with_area_and_strength(side, gauge, k):
    if not 4 <= side / gauge <= 150:
        return
    one = square_mean_force(side, gauge, 200e6)
    assert square_mean_force(side * k, gauge * k, 200e6) == pytest.approx(one * k**2)
    assert square_mean_force(side, gauge, 400e6) == pytest.approx(2 * one)


@given(st.integers(4, 40), st.integers(1, 20))
def test_more_corners_are_worth_more_and_fold_shorter(corners, extra):
    few, many = cells_mean_force(0.4, [corners, corners + extra], 2e-3, 2e8)
    assert many > few
    assert fold_length(0.4, corners + extra, 2e-3) < fold_length(0.4, corners, 2e-3)


def test_one_cell_by_two_theories():
    """Both theories describe the same square tube; they differ by less than a fifth."""
    square = square_mean_force(0.08, 2e-3, 250e6)
    assert cells_mean_force(0.32, 4, 2e-3, 250e6, 0.73) == pytest.approx(square, rel=0.2)


def test_round_share_is_near_three_quarters():
    """Source: W. Abramowicz, Int. J. Impact Engng 1 (1983): about 0.75 (from memory)."""
    assert round_stroke_share(27) == pytest.approx(0.75, abs=0.006)


def test_stouter_tubes_may_be_longer():
    assert bending_length(0.08, 2e-3) > bending_length(0.04, 1.5e-3)


@pytest.mark.parametrize(
    ("call", "word"),
    [
        (lambda: square_mean_force(0.2, 1e-3, 2e8), "side over gauge"),
        (lambda: square_mean_force(0.06, -1e-3, 2e8), "gauge"),
        (lambda: round_mean_force(0.01, 2e-3, 2e8), "diameter over gauge"),
        (lambda: round_mean_force(0.05, 2e-3, float("nan")), "flow"),
        (lambda: cells_mean_force(0.3, 0, 2e-3, 2e8), "corners"),
        (lambda: rate_factor(-1, 6844, 3.91), "rate"),
    ],
)
def test_refuses_by_name(call, word):
    with pytest.raises(ValueError, match=word):
        call()
