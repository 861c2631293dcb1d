"""Curved legs against handbook cases, published tests and many short straight members."""

import numpy as np
import pytest
from frame_library import FREEDOMS
from hypothesis import given, settings
from hypothesis import strategies as st
from Pynite import FEModel3D
from validation import Check

from atlas.mechanics.curved import LOADS, UnitLoad, arc, best_tie, flexibility, tied

CROWN = np.array([0.5])  # half of a semicircle is a quarter circle, clamped at its foot


def quarter(radius, in_plane, out, torsion, force, axial=1e12):
    leg = arc(2 * radius, radius, axial, in_plane, out, torsion)
    return float(flexibility(leg, [UnitLoad(CROWN, force=np.array(force))])[0, 0, 0])


def by_pynite(load, fixity, segments=60):
    """The same leg as a polygon of short straight members in PyNiteFEA, without a tie."""
    chord, rise, ea, ei, eo, gj = 0.9, 0.15, 1e8, 8e4, 5e4, 6e4
    leg = arc(chord, rise, ea, ei, eo, gj)
    model = FEModel3D()
    model.add_material("m", 1.0, 1.0, 0.3, 0.0)
    model.add_section("s", ea, eo, ei, gj)  # their local y is up in the plane of global X and Y
    xs, ys = leg.place(np.linspace(0, 1, segments + 1)[None])
    for index, (x, y) in enumerate(zip(xs[0], ys[0], strict=True)):
        model.add_node(f"N{index}", x, y, 0)
        if index:
            model.add_member(f"M{index}", f"N{index - 1}", f"N{index}", "m", "s")
    length = float(2 * leg.half_angle[0] * leg.radius[0])
    for node in ("N0", f"N{segments}"):
        slides = load == "chord" and node != "N0"
        clamped = fixity == 1
        model.def_support(node, not slides, True, True, True, clamped, clamped)
        if not clamped:
            ratio = 3 * fixity / (1 - fixity) / length
            model.def_support_spring(node, "RZ", ratio * ei)
            model.def_support_spring(node, "RY", ratio * eo)
    freedom = LOADS.index(load)
    where = f"N{segments}" if load == "chord" else f"N{segments // 2}"
    model.add_node_load(where, ("FX", "FY", "FZ")[freedom], 1.0)
    model.analyze_linear(check_stability=False)
    return getattr(model.nodes[where], FREEDOMS[freedom])["Combo 1"]


def ours(load, fixity):
    leg = arc(0.9, 0.15, 1e8, 8e4, 5e4, 6e4)
    return float(tied(leg, load, 0.5, 0.5, [[0, 1.0, 0]], 1e9, fixity).give[0])


E, G, INCH = 30e6, 30e6 / 2.6, 1.0  # psi, inch: the arithmetic keeps any consistent units
ROUND = np.pi / 64 * 2**4
RING = (4.22e-2, 666.67, 166.67, 4e6 * 0.229 * 0.2 * 0.1**3)  # scaled by 100 to fit the bounds
CHECKS = [
    Check("curved.timoshenko.out-of-plane", "curved-run",
          "Timoshenko, Strength of Materials Part I, curved bar of circular axis, as quoted in a "
          "frame program's verification manual: 2.648 in for r = 100 in, 2 in round, 50 lb",
          2.648, 1e-3, lambda: 50 * 1e6 * quarter(1.0, E * ROUND, E * ROUND, G * 2 * ROUND,
                                                  [0, 0, 1.0]), "in"),
    Check("curved.macneal.in-plane", "curved-run",
          "R. H. MacNeal, R. L. Harder, Finite Elements in Analysis and Design 1 (1985) 3-20, "
          "curved beam, in-plane shear: 0.08734 (thick-bar theory)",
          0.08734, 0.02, lambda: 1e6 * quarter(RING[0], *RING[1:], [0, 1.0, 0]), "in"),
    Check("curved.macneal.out-of-plane", "curved-run",
          "R. H. MacNeal, R. L. Harder, Finite Elements in Analysis and Design 1 (1985) 3-20, "
          "curved beam, out-of-plane shear: 0.5022",
          0.5022, 0.01, lambda: 1e6 * quarter(RING[0], *RING[1:], [0, 0, 1.0]), "in"),
    Check("curved.quarter.radial", "curved-run", "Timoshenko, Castigliano's theorem: pi/4 PR3/EI "
          "(from memory)", np.pi / 4, 1e-8, lambda: quarter(1.0, 1.0, 1.0, 1.0, [0, 1.0, 0])),
    Check("curved.quarter.tangential", "curved-run", "Timoshenko, Castigliano's theorem: "
          "(3 pi/4 - 2) PR3/EI (from memory)", 0.75 * np.pi - 2, 1e-8,
          lambda: quarter(1.0, 1.0, 1.0, 1.0, [1.0, 0, 0])),
    *(
        Check(f"curved.pynite.{load}.{fixity}", "curved-run",
              "PyNiteFEA 3.2 (library), 60 straight members round the arc",
              by_pynite(load, fixity), 5e-4, lambda load=load, fixity=fixity: ours(load, fixity),
              "m/N")
        for load in LOADS for fixity in (0.3, 1.0)
    ),
]  # fmt: skip


@settings(max_examples=25, deadline=None)
@given(st.sampled_from(LOADS), st.floats(0.05, 0.5), st.floats(0.1, 0.9), st.floats(0, 1),
       st.floats(1e-12, 1e-5))  # fmt: skip
def test_a_tie_never_softens_and_a_soft_one_does_nothing(load, rise, at, fixity, give):
    leg = arc(0.9, 0.9 * rise, 1e8, 8e4, 5e4, 6e4)
    found = tied(leg, load, 0.5, at, [[0.6, 0.7, 0.39]], give, fixity)
    assert 0 < found.give_tied[0] <= found.give[0] * (1 + 1e-12)
    idle = tied(leg, load, 0.5, at, [[0.6, 0.7, 0.39]], 1e6, fixity)
    assert idle.give_tied == pytest.approx(idle.give, rel=1e-6)


def test_a_flat_arc_is_a_straight_beam():
    """Source: Timoshenko, beam clamped at both ends, PL^3/192EI."""
    leg = arc(1.0, 0.006, 1e5, 8e4, 5e4, 6e4)
    assert ours_vertical(leg) == pytest.approx(1 / (192 * 5e4), rel=2e-3)


def ours_vertical(leg):
    return float(tied(leg, "vertical", 0.5, 0.5, [[0, 0, 1.0]], 1e9, 1.0).give[0])


def test_flexibility_is_symmetric():
    """Source: Maxwell's reciprocal theorem."""
    leg = arc(0.9, 0.2, 1e8, 8e4, 5e4, 6e4)
    rng = np.random.default_rng(2)
    loads = [UnitLoad(np.array([s]), force=rng.normal(size=3)) for s in (0.2, 0.55, 0.9)]
    whole = flexibility(leg, [*loads, UnitLoad(np.array([0.7]), moment=rng.normal(size=3))])[0]
    assert whole == pytest.approx(whole.T, rel=1e-12)
    assert np.linalg.eigvalsh(whole).min() > 0


def test_the_crown_is_best_for_a_symmetric_leg():
    """Common practice, no source: a tie at the crown stabilises the whole leg."""
    leg = arc(0.9, 0.13, 1e8, 8e4, 5e4, 6e4)
    assert best_tie(leg, "chord", 0.5, [[0, 1.0, 0]], 1e-9, 0.3)[0] == pytest.approx(0.5, abs=0.01)


@pytest.mark.parametrize(
    ("change", "name"),
    [
        ({"rise": 0}, "rise"), ({"rise": 2.0}, "rise over chord"), ({"chord": np.nan}, "chord"),
        ({"torsion": -1}, "torsion"), ({"axial": np.inf}, "axial"),
    ],
)  # fmt: skip
def test_refusals_name_the_argument(change, name):
    good = {"chord": 0.9, "rise": 0.1, "axial": 1e8, "in_plane": 1e4, "out_of_plane": 1e4}
    with pytest.raises(ValueError, match=name):
        arc(**{**good, "torsion": 1e4, **change})


def test_an_unknown_load_is_refused():
    with pytest.raises(ValueError, match="load must be one of chord, sideways, vertical"):
        tied(arc(1, 0.1, 1, 1, 1, 1), "twist", 0.5, 0.5, [[1.0, 0, 0]], 1, 0.5)
