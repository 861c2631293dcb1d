"""Braced bays against general frame libraries, standards and limits."""

from functools import lru_cache

import numpy as np
import pytest
from anastruct import SystemElements
from hypothesis import given
from hypothesis import strategies as st
from Pynite import FEModel3D
from reference import band, rows, source
from validation import Check

from atlas.mechanics.braces import (
    bay,
    diagonals,
    end_spring,
    panel,
    panel_buckling,
    rack,
)

STIFF = 1e14


def by_pynite(w, h, ea, ei, ratio, mount, arm, form):
    """Sideways give of the bay with arms as pin-ended members, in PyNiteFEA."""
    model = FEModel3D()
    model.add_material("m", 1.0, 1.0, 0.3, 0.0)
    for name, x, y in (("BL", 0, w / 2), ("TL", h, w / 2), ("TR", h, -w / 2), ("BR", 0, -w / 2),
                       ("GL", 0, w / 2), ("GR", 0, -w / 2), ("GM", 0, 0)):  # fmt: skip
        model.add_node(name, x, y, 0)
        free = name[0] != "G"
        model.def_support(name, not free, not free, True, True, True, not free)
        if name[0] == "B":
            model.def_support_spring(name, "DX", mount)
            model.def_support_spring(name, "DY", mount)
    model.add_section("leg", ea, ei, ei, ei)
    model.add_section("cross", ea * ratio, ei * ratio, ei * ratio, ei)
    model.add_section("arm", arm, 1e-3, 1e-3, 1e-3)
    model.add_member("l", "BL", "TL", "m", "leg")
    model.add_member("r", "BR", "TR", "m", "leg")
    model.add_member("c", "TL", "TR", "m", "cross")
    if form != "open":
        feet = ("GR", "GL") if form == "x" else ("GM", "GM")
        for name, foot, top in (("d1", feet[0], "TL"), ("d2", feet[1], "TR")):
            model.add_member(name, foot, top, "m", "arm")
            model.def_releases(name, Ryi=True, Rzi=True, Ryj=True, Rzj=True)
    model.add_node_load("TL", "FY", 0.5)
    model.add_node_load("TR", "FY", 0.5)
    model.analyze_linear(check_stability=False)
    return (model.nodes["TL"].DY["Combo 1"] + model.nodes["TR"].DY["Combo 1"]) / 2


def by_anastruct(w, h, ea, ei):
    """Sideways give of the open bay on pinned feet, in anastruct."""
    model = SystemElements(EA=ea, EI=ei)
    for start, end in (((0, 0), (0, h)), ((0, h), (w, h)), ((w, 0), (w, h))):
        model.add_element([list(start), list(end)], EA=ea, EI=ei)
    model.add_support_hinged(model.find_node_id([0, 0]))
    model.add_support_hinged(model.find_node_id([w, 0]))
    for x in (0, w):
        model.point_load(model.find_node_id([x, h]), Fx=0.5)
    model.solve()
    return sum(
        abs(model.get_node_displacements(model.find_node_id([x, h]))["ux"]) for x in (0, w)
    ) / 2  # fmt: skip


@lru_cache
def trial(seed):
    rng = np.random.default_rng(seed)
    w, h = rng.uniform(0.5, 1.2, 2)
    ea, ei = rng.uniform(5e7, 3e8), rng.uniform(2e4, 3e5)
    return (w, h, ea, ei, rng.uniform(0.5, 3), rng.uniform(2e6, 1e8)), rng.uniform(1e7, 6e7)


def ours(seed, form):
    (w, h, ea, ei, ratio, mount), arm = trial(seed)
    frame = bay(w, h, ea, ei, ratio, 1.0, 0.0, mount)
    bare, (braced,) = rack(frame, diagonals(frame, arm, STIFF, form == "v"))
    return float(bare[0] if form == "open" else braced.give[0])


def theirs(seed, form):
    numbers, arm = trial(seed)
    return by_pynite(*numbers, arm, form)


def reference_checks():
    for row in rows("braces", "brace."):
        given_, expected = row["inputs"], row["expected"]
        # The frame around diagonal or panel is stiff, not rigid.
        relative = max(band(row)[0], 1e-3)
        common = {"calculator": "brace", "source": source(row), "tolerance": relative}
        if row["id"] == "brace.diagonal_stiffness":
            yield Check(
                "brace.diagonal", expected=expected["k_N_mm"], compute=one_diagonal, **common
            )
        elif row["id"] == "brace.shear_panel":
            yield Check("brace.panel", expected=expected["k_N_mm"], compute=one_panel, **common)
        elif "shear_buckling_k" in row["id"]:
            a, b = given_["a_mm"] / 1e3, given_["b_mm"] / 1e3
            yield Check(
                row["id"], expected=expected["k"], compute=lambda a=a, b=b: factor(a, b), **common
            )
        elif row["id"] == "brace.shear_buckling_stress":
            yield Check(
                row["id"],
                expected=expected["tau_cr_MPa"],
                compute=lambda: float(panel_buckling(0.8, 0.5, 1.5e-3, 210e9)) / 1e6,
                **common,
            )


def factor(a, b):
    stress = panel_buckling(a, b, 1.5e-3, 210e9)
    return float(stress / (np.pi**2 * 210e9 / 12 / 0.91 * (1.5e-3 / b) ** 2))


def one_diagonal():
    frame = bay(0.8, 0.5, 1e10, 1.0, 1, 1, 0, 1e13)
    bare, (braced,) = rack(frame, diagonals(frame, 210e9 * 120e-6, STIFF), ((True, False),))
    return float(1 / braced.give[0] - 1 / bare[0]) / 1e3


def one_panel():
    frame = bay(0.8, 0.5, 1e11, 1.0, 1, 1, 0, 1e13)
    bare, (braced,) = rack(frame, panel(frame, 81e9, 1.5e-3, 0.1, 1e16))
    return float(1 / braced.give[0] - 1 / bare[0]) / 1e3


def open_give(axial):
    frame = bay(0.8, 0.5, axial, 8e4, 1, 1, 0, 1e13)
    return float(rack(frame, diagonals(frame, 1e7, 1e9))[0][0])


LIBRARY = "PyNiteFEA 3.2 (library), same frame with pin-ended arms, random sizes"
CHECKS = [
    *(
        Check(f"brace.pynite.{form}.{seed}", "brace", LIBRARY, theirs(seed, form), 1e-6,
              lambda seed=seed, form=form: ours(seed, form), "m/N")
        for seed in range(4) for form in ("open", "x", "v")
    ),
    Check("brace.anastruct.open", "brace", "anastruct 1.7 (library), portal on pinned feet",
          by_anastruct(0.8, 0.5, 1e8, 8e4), 1e-4,
          lambda: open_give(1e8), "m/N"),
    Check("brace.portal.sway", "brace",
          "by hand, slope-deflection: pinned portal, give h^3/6EI (1 + w/2h), axially rigid",
          0.5**3 / (6 * 8e4) * (1 + 0.8 / (2 * 0.5)), 1e-3,
          lambda: open_give(1e12), "m/N"),
    *reference_checks(),
]  # fmt: skip

sizes = st.floats(0.3, 1.5)


@given(sizes, sizes, st.floats(1e6, 1e8))
def test_no_brace_is_the_bare_frame_and_a_rigid_one_stops_it(w, h, arm):
    frame = bay(w, h, 1e9, 8e4, 1, 0.9, 0.3, 1e10)
    bare, (none,) = rack(frame, diagonals(frame, 1e-3, 1e3))
    assert none.give[0] == pytest.approx(bare[0], rel=1e-5)
    stiffer = [
        rack(frame, diagonals(frame, a, STIFF))[1][0].give[0] for a in (arm, 2 * arm, 1e3 * arm)
    ]
    assert bare[0] > stiffer[0] > stiffer[1] > stiffer[2] > 0


@given(sizes, sizes, st.floats(1e6, 1e8))
def test_one_pulls_as_the_other_is_pushed(w, h, arm):
    frame = bay(w, h, 1e8, 8e4, 1, 0.9, 0.3, 1e8)
    _, (both,) = rack(frame, diagonals(frame, arm, 1e8))
    assert both.forces[0, 0] > 0 > both.forces[0, 1]
    assert both.forces[0, 0] == pytest.approx(-both.forces[0, 1], rel=1e-6)


def test_a_soft_shared_foot_spoils_a_v():
    frame = bay(0.8, 0.5, 1e8, 8e4, 1, 0.9, 0.3, 1e8)
    stiff, soft = (rack(frame, diagonals(frame, 2e7, k, True))[1][0].give[0] for k in (1e9, 5e6))
    assert soft > 2 * stiff


def test_a_hinged_bay_is_refused_by_name():
    with pytest.raises(ValueError, match="corner_fixity and mount_fixity are both 0"):
        bay(0.8, 0.5, 1e8, 8e4, 1, 0.0, 0.0, 1e8)


@pytest.mark.parametrize(
    ("change", "name"),
    [
        ({"width": 0}, "width"), ({"length": -1}, "length"), ({"axial": np.nan}, "axial"),
        ({"bending": np.inf}, "bending"), ({"corner_fixity": 1.1}, "corner_fixity"),
        ({"mount": 1e20}, "mount"),
    ],
)  # fmt: skip
def test_refusals_name_the_argument(change, name):
    good = {
        "width": 0.8, "length": 0.5, "axial": 1e8, "bending": 8e4, "cross_ratio": 1,
        "corner_fixity": 1, "mount_fixity": 0, "mount": 1e8,
    }  # fmt: skip
    with pytest.raises(ValueError, match=name):
        bay(**{**good, **change})


def test_fixity_half_is_three_ei_over_l():
    assert end_spring(0.5, 2.0, 3.0) == pytest.approx(2.0)
