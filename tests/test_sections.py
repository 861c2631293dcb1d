"""Sections against tables, worked examples and a finite-element section library."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from reference import band, rows, source
from validation import Check

from atlas.mechanics.outlines import outline_product, outline_section
from atlas.mechanics.sections import (
    box,
    from_rectangles,
    multi_cell,
    round_tube,
    solid_rectangle,
    strip_torsion,
)
from atlas.mechanics.sheet_sections import channel, hat, i_section

_FIELDS = {
    "area_cm2": ("area", 1e-4),
    "I_cm4": ("iy", 1e-8),
    "Iy_cm4": ("iy", 1e-8),
    "Iz_cm4": ("iz", 1e-8),
    "Wel_cm3": ("wel_y", 1e-6),
    "Wel_y_cm3": ("wel_y", 1e-6),
    "Wel_z_cm3": ("wel_z", 1e-6),
    "Wpl_cm3": ("wpl_y", 1e-6),
    "Wpl_y_cm3": ("wpl_y", 1e-6),
    "Wpl_z_cm3": ("wpl_z", 1e-6),
    "It_cm4": ("j", 1e-8),
}


def _hollow(inputs):
    mm = {k: v / 1e3 for k, v in inputs.items()}
    if "d_mm" in mm:
        return round_tube(mm["d_mm"], mm["t_mm"])
    return box(mm["b_mm"], mm["h_mm"], mm["t_mm"], mm["ro_mm"], mm["ri_mm"])


def _tables():
    for kind in ("section.HF", "section.CF"):
        for row in rows("sections", kind):
            for key, expected in row["expected"].items():
                if key not in _FIELDS:
                    continue
                name, unit = _FIELDS[key]
                yield Check(
                    f"{row['id']}.{key}", "section", source(row), expected, band(row)[0],
                    lambda r=row, n=name, u=unit: float(getattr(_hollow(r["inputs"]), n)) / u,
                    key.rsplit("_", 1)[1],
                )  # fmt: skip


def _angle():
    """Legs 2a and a on the middle line, a = 1, t = 0.1, as two strips that meet at the corner."""
    corners = [(-0.05, -2.0), (-0.05, 0.05), (1.0, 0.05), (1.0, -0.05), (0.05, -0.05), (0.05, -2.0)]
    return outline_section(corners), outline_product(corners)


def _z_section():
    corners = [(-5, 6), (-5, 4), (-1, 4), (-1, -6), (5, -6), (5, -4), (1, -4), (1, 6)]
    return outline_section(corners), outline_product(corners)


PEERY = "D. J. Peery, Aircraft Structures, section 7.2, example 1"
PILKEY = "W. D. Pilkey, Analysis and Design of Elastic Beams (2002), example 1.1; thin legs"
BARS = "S. Timoshenko and J. N. Goodier, Theory of Elasticity, k1 of rectangular bars (from memory)"
SERIES = "Saint-Venant's series, as in the validation set of the library sectionproperties"
NEAL = "B. G. Neal, The Plastic Methods of Structural Analysis (from memory)"


def _row(name, source, expected, tolerance, compute, unit=""):
    return Check(f"section.{name}", "section", source, expected, tolerance, compute, unit)


CHECKS = [
    *_tables(),
    _row("torsion.2to1", SERIES, 2858521.0, 0.002, lambda: strip_torsion(0.1, 0.05) * 1e12, "mm4"),
    _row("torsion.square", BARS, 0.1406, 0.005, lambda: strip_torsion(1.0, 1.0)),
    _row("torsion.10to1", BARS, 0.312, 0.005, lambda: strip_torsion(1.0, 0.1) / 0.001),
    _row("peery.ix", PEERY, 693.3, 0.002, lambda: _z_section()[0].iy, "in4"),
    _row("peery.iy", PEERY, 173.3, 0.002, lambda: _z_section()[0].iz, "in4"),
    _row("peery.ixy", PEERY, -240.0, 0.002, lambda: _z_section()[1], "in4"),
    _row("pilkey.angle.ixx", PILKEY, 0.1336, 0.02, lambda: _angle()[0].iy),
    _row("pilkey.angle.iyy", PILKEY, 0.0252, 0.02, lambda: _angle()[0].iz),
    _row("shape.rectangle", NEAL, 1.5, 0.001, lambda: _shape_factor(solid_rectangle(0.03, 0.05))),
    _row("shape.round-bar", NEAL, 1.698, 0.001, lambda: _shape_factor(round_tube(0.05, 0.025))),
    _row("shape.thin-tube", NEAL, 1.273, 0.001, lambda: _shape_factor(round_tube(0.5, 1e-4))),
]


def _shape_factor(section):
    return section.wpl_y / section.wel_y


# Finite-element section analysis of the same shapes, sharp corners, 15 models.
_rng = np.random.default_rng(20)
_MODELS = [
    *(
        ("box", _rng.uniform(40, 120), _rng.uniform(40, 120), _rng.uniform(1.5, 5))
        for _ in range(4)
    ),
    *(("tube", _rng.uniform(25, 90), 0.0, _rng.uniform(1.5, 4)) for _ in range(3)),
    *(("i", _rng.uniform(40, 100), _rng.uniform(60, 140), _rng.uniform(3, 8)) for _ in range(3)),
    *(
        ("channel", _rng.uniform(30, 70), _rng.uniform(60, 140), _rng.uniform(2, 5))
        for _ in range(3)
    ),
    *(("cells", _rng.uniform(80, 140), _rng.uniform(40, 70), _rng.uniform(2, 4)) for _ in range(2)),
]


def _ours(kind, b, h, t):
    b, h, t = b / 1e3, h / 1e3, t / 1e3
    return {
        "box": lambda: box(b, h, t),
        "tube": lambda: round_tube(b, t),
        "i": lambda: i_section(b, h, t, 0.8 * t),
        "channel": lambda: channel(b, h, t),
        "cells": lambda: multi_cell(b, h, t, 0.9 * t, 2, 1),
    }[kind]()


def _theirs(kind, b, h, t):
    from sectionproperties.analysis import Section
    from sectionproperties.pre import Geometry
    from sectionproperties.pre.library import (
        channel_section,
        circular_hollow_section,
        i_section,
        rectangular_hollow_section,
    )
    from shapely import Polygon

    if kind == "box":
        shape = rectangular_hollow_section(d=h, b=b, t=t, r_out=0, n_r=1)
    elif kind == "tube":
        shape = circular_hollow_section(d=b, t=t, n=128)
    elif kind == "i":
        shape = i_section(d=h, b=b, t_f=t, t_w=0.8 * t, r=0, n_r=1)
    elif kind == "channel":
        shape = channel_section(d=h, b=b, t_f=t, t_w=t, r=0, n_r=1)
    else:
        w = 0.9 * t
        c = (b - 2 * t - w) / 2
        holes = [
            [(x, t), (x + c, t), (x + c, h - t), (x, h - t)] for x in (t, t + c + w)
        ]  # fmt: skip
        shape = Geometry(Polygon([(0, 0), (b, 0), (b, h), (0, h)], holes))
    section = Section(shape.create_mesh(mesh_sizes=[t * t / 4]))
    section.calculate_geometric_properties()
    section.calculate_warping_properties()
    section.calculate_plastic_properties()
    return section


@pytest.mark.parametrize("model", _MODELS, ids=[f"{m[0]}-{i}" for i, m in enumerate(_MODELS)])
def test_agrees_with_finite_elements(model):
    """Source: sectionproperties, general-purpose finite-element section analysis."""
    ours, theirs = _ours(*model), _theirs(*model)
    ixx, iyy, _ = theirs.get_ic()
    plastic = theirs.get_s()
    round_off = 2e-3 if model[0] == "tube" else 1e-6  # theirs is a 128-cornered polygon
    assert ours.area * 1e6 == pytest.approx(theirs.get_area(), rel=round_off)
    assert ours.iy * 1e12 == pytest.approx(ixx, rel=round_off)
    assert ours.iz * 1e12 == pytest.approx(iyy, rel=round_off)
    assert ours.wpl_y * 1e9 == pytest.approx(plastic[0], rel=max(round_off, 1e-4))
    assert ours.wpl_z * 1e9 == pytest.approx(plastic[1], rel=max(round_off, 1e-4))
    # Thin-wall torsion: closed profiles within 2.5 %, open ones within 7 % (no junction term).
    closed = model[0] in ("box", "tube", "cells")
    assert ours.j * 1e12 == pytest.approx(theirs.get_j(), rel=0.025 if closed else 0.07)


@pytest.mark.parametrize("row", rows("sections", "section.closed_hat"), ids=lambda r: r["id"])
def test_closed_hat_agrees_with_middle_line_model(row):
    """Source: thin-wall composite section and Bredt's formula on the middle line."""
    i, want = row["inputs"], row["expected"]
    t = i["t_mm"] / 1e3
    w, h, f = i["w_mm"] / 1e3 + t, i["h_mm"] / 1e3, i["f_mm"] / 1e3
    got = hat(w, h, f - t / 2, t, t)
    assert got.area * 1e6 == pytest.approx(want["area_mm2"], rel=0.03)
    assert (got.centre_z - t / 2) * 1e3 == pytest.approx(want["y_bar_mm"], abs=0.7)
    assert got.iy * 1e12 == pytest.approx(want["I_mm4"], rel=0.04)
    assert got.j * 1e12 == pytest.approx(want["J_mm4"], rel=0.02)


side = st.floats(0.02, 0.3)
wall = st.floats(0.0005, 0.008)


@given(side, side, wall, st.floats(0.1, 5))
def test_scaling_lengths_scales_each_property_by_its_power(b, h, t, k):
    one, many = box(b, h, t, t), box(k * b, k * h, k * t, k * t)
    assert many.area == pytest.approx(one.area * k**2)
    assert many.iy == pytest.approx(one.iy * k**4)
    assert many.j == pytest.approx(one.j * k**4)
    assert many.wpl_z == pytest.approx(one.wpl_z * k**3)


@given(side, side, wall)
def test_turning_a_box_swaps_its_axes(b, h, t):
    one, turned = box(b, h, t), box(h, b, t)
    assert one.iy == pytest.approx(turned.iz)
    assert one.j == pytest.approx(turned.j)
    assert one.wpl_y >= one.wel_y


@given(side, side, wall)
def test_box_by_outline_by_rectangles_and_by_formula_agree(b, h, t):
    formula = box(b, h, t)
    outer = [(0, 0), (b, 0), (b, h), (0, h)]
    inner = [(t, t), (b - t, t), (b - t, h - t), (t, h - t)]
    traced = outline_section(outer, inner)
    cells = multi_cell(b, h, t, t, 1, 1)
    for name in ("area", "iy", "iz", "wel_y", "wpl_y", "wpl_z"):
        assert getattr(traced, name) == pytest.approx(getattr(formula, name), rel=1e-6), name
        assert getattr(cells, name) == pytest.approx(getattr(formula, name), rel=1e-6), name
    assert cells.j == pytest.approx(formula.j, rel=0.05)


@given(side, side, st.floats(0.001, 0.004), st.integers(1, 4), st.integers(1, 3))
def test_webs_never_take_torsion_or_bending_away(b, h, t, across, up):
    bare, webbed = multi_cell(b, h, t, t, 1, 1), multi_cell(b, h, t, t / 2, across, up)
    assert webbed.iy >= bare.iy * (1 - 1e-9)
    assert webbed.j >= bare.j * (1 - 1e-9)


def test_symmetric_web_carries_no_torsion_flow():
    """Source: Bredt; in a doubly symmetric two-cell tube the flow in the middle web cancels."""
    assert multi_cell(0.1, 0.05, 2e-3, 5e-3, 2, 1).j == pytest.approx(
        multi_cell(0.1, 0.05, 2e-3, 1e-3, 2, 1).j
    )


def test_samples_are_one_call_and_agree_with_single_designs():
    t = np.linspace(1e-3, 4e-3, 50)
    many = hat(0.08, 0.06, 0.02, t, t)
    one = hat(0.08, 0.06, 0.02, t[7], t[7])
    assert many.iy.shape == (50,)
    assert many.wpl_y[7] == pytest.approx(float(one.wpl_y))


def test_lipped_channel_counts_its_lips():
    bare, lipped = channel(0.05, 0.1, 2e-3), channel(0.05, 0.1, 2e-3, 0.015)
    assert lipped.area - bare.area == pytest.approx(2 * 0.013 * 2e-3)
    assert lipped.iz > bare.iz


@pytest.mark.parametrize(
    ("call", "word"),
    [
        (lambda: box(0.06, 0.04, -0.002), "gauge"),
        (lambda: box(0.06, 0.04, 0.03), "gauge.*inner beyond outer"),
        (lambda: box(0.06, 0.04, 0.002, 0.03), "outer_radius"),
        (lambda: box(0.06, 0.04, 0.002, 0.004, 0.019), "inner_radius"),
        (lambda: box(float("nan"), 0.04, 0.002), "width"),
        (lambda: round_tube(float("inf"), 0.002), "diameter"),
        (lambda: round_tube(0.02, [0.002, 0.011]), "gauge"),
        (lambda: multi_cell(0.03, 0.05, 0.002, 0.014, 3, 1), "web_gauge"),
        (lambda: multi_cell(0.03, 0.05, 0.002, 0.002, 9, 1), "cells_wide"),
        (lambda: channel(0.03, 0.05, 0.002, 0.03), "lip"),
        (lambda: i_section(0.03, 0.05, 0.002, 0.04), "web_gauge"),
        (lambda: solid_rectangle(1e9, 1), "width"),
        (lambda: outline_section([(0, 0), (1, 1)]), "outline"),
        (lambda: outline_section([(0, 0), (1, 1), (1, 0), (0, 1)]), "outline"),
        (lambda: outline_section([(0, 0), (2, 0), (2, 1), (1, -1), (0, 1.5)]), "crosses"),
        (lambda: outline_section([(0, 0), (1, 0), (1, 1)], [(2, 2), (3, 2), (3, 3)]), "hole"),
        (lambda: from_rectangles([tuple(np.zeros(4))], 0.0), "area"),
    ],
)  # fmt: skip
def test_refuses_by_name(call, word):
    with pytest.raises(ValueError, match=word):
        call()
