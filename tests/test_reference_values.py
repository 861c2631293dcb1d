"""Reference values that no other module compares, and a proof that none is passed over."""

import numpy as np
import pytest
from reference import band, every_row, source
from reference_models import (
    alloy_row,
    bolt_group,
    bolt_load,
    by_curve,
    clamped_beam,
    closed_hat,
    couple,
    cross_ratio,
    crossing_of_modes,
    edge_of,
    euler_diameter,
    first_order_cantilever,
    h_column,
    halfway_slenderness,
    information_gain,
    kinetic,
    least_edge,
    naive_bayes,
    plain_moment,
    possible,
    ringed,
    root_law,
    set_up,
    simple_beam,
    square,
    ten_bars,
    three_bars,
    three_segments,
    tube,
    two_bars,
    yes_no,
)
from validation import Check, checks

from atlas.mechanics.columns import CURVES
from atlas.mechanics.corrosion import _DISSOLVING
from atlas.mechanics.crushing import (
    RATE,
    round_mean_force,
    round_stroke_share,
)
from atlas.mechanics.evidence import entropy, posterior
from atlas.mechanics.joints import (
    oversize_factors,
    shear_capacity,
    tension_capacity,
)
from atlas.mechanics.materials import DENSITY, ELASTIC_MODULUS, GRADES, shear_modulus
from atlas.mechanics.threads import class_strength
from atlas.mechanics.walls import _THINNED
from atlas.mechanics.welds import softened_width

GAMMA = 1.25  # partial factor of the standards' tables, which the formulas here leave at 1


# Row -> calculator, what is compared (one function for the only figure, or several by key), and a
# tolerance where the row's own would ask for a refinement that ours leaves out by its docstring.
COMPARED = {
    "bolt.proof_load.8.8.M18": ("bolted-joint", bolt_load(2)),
    "bolt.ultimate_load.8.8.M18": ("bolted-joint", bolt_load(0)),
    "bolt.proof_load.8.8.M20": ("bolted-joint", bolt_load(2)),
    "bolt.ultimate_load.8.8.M20": ("bolted-joint", bolt_load(0)),
    "bolt.class_strength.10.9": ("bolted-joint", lambda i: dict(zip(
        ("Rm_min_MPa", "Rp02_min_MPa", "Sp_MPa"),
        (s / 1e6 for s in class_strength("10.9", 12e-3)), strict=True))),
    **{f"ec3bolt.grade46.{size}": ("bolted-joint", lambda i: {
        "tension_resistance_kN": tension_capacity(i["stress_area_mm2"] * 1e-6, 4e8) / GAMMA / 1e3,
        "shear_resistance_kN": shear_capacity(i["stress_area_mm2"] * 1e-6, 4e8) / GAMMA / 1e3})
       for size in ("M12", "M16", "M20")},
    "ec3bolt.shear.gross.M20.double": ("bolted-joint", lambda i: shear_capacity(
        np.pi / 4 * (i["d_mm"] / 1e3) ** 2, i["fub_MPa"] * 1e6, 2) / GAMMA / 1e3),
    "ec3bolt.min_distances.M20": ("bolted-joint", lambda i: {"e_min_mm": least_edge(i)}),
    "ec3bolt.ks_factors": ("bolted-joint", lambda i: dict(zip(
        ("normal", "oversize_or_short_slot_perp"),
        oversize_factors(12e-3, np.array([13.5e-3, 15.5e-3]))[0], strict=True))),
    "ec3bolt.combined_shear_tension.M12": ("bolted-joint", lambda i: GAMMA * (
        i["shear_kN"] * 1e3 / shear_capacity(i["stress_area_mm2"] * 1e-6, 1e9, 1, 0.5)
        + i["tension_kN"] * 1e3 / (1.4 * tension_capacity(i["stress_area_mm2"] * 1e-6, 1e9)))),
    "brace.bolt_group.4": ("two-plane-mount", bolt_group),
    "brace.two_plane_couple": ("two-plane-mount", couple),
    "buckling.imperfection_factors": ("column", lambda i: {
        key: CURVES[key][0] for key in ("a0", "a", "b", "c", "d")}),
    "buckling.example.heb300_z": ("column", lambda i: h_column(i, i["A_mm2"], i["I_mm4"])),
    "buckling.example.heb340": ("column", lambda i: {
        key: value for key, value in by_curve(i, i["A_mm2"], i["I_mm4"], "c").items()
        if key != "A_mm2"}),
    "buckling.example.chs244_5x10": ("column", tube),
    "buckling.shigley.round_1_5m": ("column", lambda i: {
        "diameter_mm": euler_diameter(i), "transition_slenderness": halfway_slenderness(i)}),
    "haz.6060.T5_tle5": ("weld", lambda i: alloy_row("6060-t5")),
    "haz.6060.T6_tle15": ("weld", lambda i: alloy_row("6060-t6")),
    "haz.6063.T6_tle25": ("weld", lambda i: alloy_row("6063-t6")),
    "haz.6005A.T6_open_tle5": ("weld", lambda i: alloy_row("6005a-t6-open")),
    "haz.6005A.T6_hollow_5lttle10": ("weld", lambda i: alloy_row("6005a-t6-thick")),
    "haz.6082.T5_tle5": ("weld", lambda i: alloy_row("6082-t5")),
    "ec9.local_buckling_C1C2": ("section", lambda i: {
        f"A_{welds}_{part}": list(_THINNED[part, welds == "welds"])
        for welds in ("nowelds", "welds") for part in ("internal", "outstand")}),
    "ec9.haz_width": ("weld", lambda i: {
        key: float(softened_width(gauge)) * 1e3 for key, gauge in
        (("t_0_6", 4e-3), ("t_6_12", 10e-3), ("t_12_25", 20e-3), ("t_25_up", 30e-3))}),
    "crush.guillow.D97.9_t1.9": ("crush-can", lambda i: float(round_mean_force(
        i["D_mm"] / 1e3, i["t_mm"] / 1e3, i["sigma0_MPa"] * 1e6)) / 1e3, 0.25),
    "crush.M0.plain": ("crush-can", plain_moment),
    # The mixed mode takes over below a slimness of 40.8 and is a little lower.
    "crush.square.aj1984_symmetric.c60_h1.5": ("crush-can", square, 2e-3),
    "crush.square.aj1984_symmetric.c80_h2": ("crush-can", square, 2e-3),
    "crush.square.aj1984_symmetric.c49.31_h1.63": ("crush-can", square, 0.02),
    "crush.square.aj1986_extensional.c60_h6": ("crush-can", square, 0.04),
    "crush.square.aj1986_boundary_ext_mixB": ("crush-can", crossing_of_modes),
    "crush.circular.aj1984.D56_h1.2": ("crush-can", ringed),
    "crush.circular.constant_identity": ("crush-can", root_law),
    **{f"crush.cowper_symonds.constants.{row}": ("crush-can", lambda i, name=name: dict(zip(
        ("D_per_s", "q"), RATE[name], strict=True)))
       for row, name in (("mild_steel_large_strain", "steel"), ("aluminium", "aluminium"),
                         ("stainless_304", "stainless"))},
    "crush.crippling.gerard_note": ("crush-can", lambda i: {
        "circular_at_Dh27": float(round_stroke_share(i["D_over_h"]))}),
    "frame.mcguire.3_2.truss": ("front-frame", lambda i: {
        "Rc_kN": list(three_bars(i)[0]), "Rb_y_kN": three_bars(i)[2, 1]}),
    "frame.beam.fixed_fixed_center": ("front-frame", clamped_beam),
    "frame.truss.two_bar": ("front-frame", two_bars),
    "frame.bar.three_segments": ("front-frame", three_segments),
    "frame.truss.10bar_optimum": ("front-frame", lambda i: {"max_abs_disp_in": ten_bars(i)}),
    "beam.ssll02.bending_part": ("front-frame", simple_beam),
    "pdelta.aisc_case2.P0": ("front-frame", first_order_cantilever),
    "material.HC420LA": ("material-swap", lambda i: {
        "Re_MPa": [GRADES["hsla-steel"].strength / 1e6]}),
    "material.DP800_class": ("material-swap", lambda i: {
        "Rp_MPa": [GRADES["dual-phase-steel"].strength / 1e6]}),
    "material.AlSi10MnMg.T7": ("material-swap", lambda i: {
        "Rp_MPa": [GRADES["aluminium-casting"].strength / 1e6]}),
    # Hot-rolled handbook steel against the standard's round figures: 210 GPa and 7850 kg/m3.
    "material.mild_steel_hr": ("material-swap", lambda i: {
        "density_kg_m3": DENSITY["steel"], "E_GPa": ELASTIC_MODULUS["steel"] / 1e9,
        "G_GPa": shear_modulus("steel") / 1e9}, 0.06),
    "matid.density.copper": ("galvanic", lambda i: _DISSOLVING["copper"][1] / 1e3),
    "section.closed_hat.w60_h50": ("section", closed_hat, 0.04),
    "section.closed_hat.w80_h70": ("section", closed_hat, 0.04),
    "crash.moderate_overlap.setup": ("overlap-geometry", lambda i: {
        "speed_km_h": set_up("moderate")["speed_km_h"],
        "overlap": set_up("moderate")["overlap"],
        "edge_offset_of_width": edge_of(i)}),
    "crash.small_overlap.barrier_geometry": ("overlap-geometry", lambda i: {
        key: set_up("narrow")[key] for key in ("height_mm", "radius_mm")}),
    "crash.full_width.setup": ("overlap-geometry", lambda i: {
        key: set_up("full")[key] for key in ("speed_km_h", "overlap")}),
    "crash.low_speed.structural": ("overlap-geometry", lambda i: {
        "speed_km_h": set_up("low-speed")["speed_km_h"],
        "overlap": set_up("low-speed")["overlap"],
        "edge_radius_mm": set_up("low-speed")["radius_mm"]}),
    "crash.low_speed.bumper": ("overlap-geometry", lambda i: {
        "corner_km_h": set_up("bumper-corner")["speed_km_h"],
        "corner_overlap": set_up("bumper-corner")["overlap"]}),
    **{f"crash.energy.{row}": ("overlap-geometry", kinetic)
       for row in ("small_overlap", "fullwidth", "oblique_barrier", "r137")},
    "metrology.cross_ratio.equispaced": ("photo-scale", cross_ratio),
    **{f"infer.info_gain.{name}": ("material-id", information_gain)
       for name in ("outlook", "temperature", "humidity")},
    "infer.naive_bayes.playtennis": ("material-id", lambda i: {"p_no": naive_bayes(i)}),
    "infer.twenty_questions": ("material-id", lambda i: 2 ** float(
        entropy(np.full(2**20, 2.0**-20)))),
    "infer.expected_gain.2": ("material-id", lambda i: {
        "expected_information_gain_bits": yes_no(i)}),
    "infer.expected_gain.3": ("material-id", lambda i: {
        "expected_information_gain_bits": yes_no(i)}),
    "infer.bayes_update": ("material-id", lambda i: {
        "posterior": list(posterior(i["prior"], i["likelihood"]))}),
    "order.linear_extensions.chain3_plus_1": ("lap-order", possible),
}  # fmt: skip

# Row -> check of another module that compares it under its own name.
ELSEWHERE = {
    "brace.diagonal_stiffness": "brace.diagonal",
    "brace.shear_panel": "brace.panel",
    "cost.": "cost.",
    "crush.fem.square.": "crush.fem.square.2",
    "crush.guillow.D50_t2": "crush.tests.round.25",
    "crush.guillow.formula_constants": "crush.tests.round.15",
    "curved.quarter_cantilever.in_plane": "curved.quarter.radial",
    "impact.offset_rigid_barrier": "glance.offset-blow",
    "matid.bayes.example": "matid.bayes.1",
    "metrology.cross_ratio.unknown_length": "photo.cross-ratio",
    "metrology.homography.2": "photo.dlt-0-x",
    "metrology.homography.3": "photo.dlt-1-x",
    "metrology.rectify_distance": "photo.rectified",
    "mount.torque_roll_two_mounts": "mount.couple",
    "order.linear_extensions.N_poset": "order.n-shaped",
    "order.linear_extensions.boolean_lattice_3": "order.cube",
    "order.linear_extensions.diamond": "order.diamond",
    "plate.skid.example": "plate.skid.stress",
    "section.peery.7_2_1.A": "section.peery.ix",
    "section.peery.7_2_1.C": "section.peery.ixy",
    "section.pilkey.ex1_1": "section.pilkey.angle.ixx",
    "section.rect_torsion.100x50": "section.torsion.2to1",
    "section.shape_factors": "section.shape.rectangle",
    "steer.kpi_caster_vector": "steer.vector.kingpin",
    "steer.virtual_pivot.2": "steer.virtual.x",
    "weld.directional.a5_L100_F10": "weld.equivalent_stress",
    "weld.long_lap.beta_Lw1": "weld.long_joint",
}

# Row -> why nothing here answers it. A prefix that ends in a dot stands for all its rows.
NO_ANSWER = {
    "cost.process_planning.": "sums of a worked example, no formula",
    "cost.swift_booker.example": "another cost model",
    "buckling.K.": "the length factor is an input",
    "buckling.aisc.E1A": "another column curve",
    "ec3bolt.example.finplate_group": "capacity of a plate's bolt group, not asked for",
    "ec3bolt.mu_classes": "friction is an input",
    "weld.beta_w": "the correlation factor is held by the fillet table's rows",
    "ec3bolt.gammas": "partial factors stand at 1",
    "ec3bolt.long_joint": "joints over 15 diameters long do not occur",
    "ec9.gammas": "partial factors stand at 1",
    "torque.KDF.": "short form of a torque rule; the long form is used",
    "curved.bathe_bolourchi.": "large displacements",
    **dict.fromkeys(
        (
            "pdelta.aisc_case1.",
            "pdelta.aisc_case2.P100",
            "pdelta.aisc_case2.P200",
            "pdelta.denavit_hajjar.",
        ),
        "second-order effects are left out, and said so",
    ),
    "frame.chopra.18_4": "no vibration of frames",
    "crush.square.wa1983.": "the older estimate, before the effective crushing distance",
    "crush.square.constant_consistency": "arithmetic between two sources",
    "crush.circular.alexander.D75_h2": "the oldest estimate, superseded by the one used",
    "crush.half_wavelength.square": "another folding element; ours is held at crush.ssfe.fold",
    "crush.foam_filled.": "no foam",
    "crush.energy.can": "arithmetic",
    "galvanic.index.rhodium_plate": "rhodium is not on the list",
    **dict.fromkeys(
        (
            "material.HC260LA",
            "material.HC300LA",
            "material.HC380LA",
            "material.HC220P",
            "material.HC300P",
            "material.DC04.EN10130",
            "material.HCT980X",
            "material.AlSi10MnMg.F",
        ),
        "grade not on the list of the swap",
    ),
    "material.hollomon": "hardening of sheet is not asked for",
    "mount.cantilever.": "no vibration of beams",
    "mount.bushing_shear": "bush stiffness is an input",
    "plate.circular.": "rectangular plates only",
    "section.pilkey.ex5_7.slit": "slit tubes are not offered",
    "section.pilkey.ex6_2.channel": "shear centre is not asked for",
    "section.bredt.box_girder": "trapezoidal boxes go through the polygon",
    "section.ring_roark": "rings are not offered",
    "susp.ackermann.": "turning circles are not asked for",
    "susp.wheel_rate": "springs are not asked for",
    "susp.antidive": "pitch geometry is not asked for",
    "susp.lateral_weight_transfer": "wheel loads are inputs",
    "susp.chassis_engineering.E3_4": "velocities are not asked for",
    "weld.aisc_directional": "another standard's rule",
    **dict.fromkeys(
        (
            "crash.moderate_overlap.barrier_base",
            "crash.small_overlap.demerits",
            "crash.oblique.setup",
            "crash.research_overlap.setup",
        ),
        "figures of test set-ups and ratings that no result uses",
    ),
    **dict.fromkeys(
        ("crash.moving_barrier.", "impact.collinear.", "impact.planar."),
        "blows between two free bodies",
    ),
    "crash.linear_stiffness": "arithmetic",
    "crash.half_sine_pulse": "pulses are worked out in time, not assumed",
    "impact.yaw_inertia.burg": "yaw inertia is an input",
    "plastic.mcguire.10_5.Mp": "arithmetic; the limit load has its own worked examples",
    "ec9.haz_tension_6082T6": "arithmetic; the strengths in it are held by the alloy's row",
    "metrology.pinhole_scale": "the scale comes from known points, not from the lens",
    "infer.brier.": "held by the tests of calibration",
    "infer.bm25.": "matching is not by this score",
}


def _listed():
    for row_id, (calculator, compute, *wider) in COMPARED.items():
        row = every_row()[row_id]
        expected = row["expected"]
        got = compute(row.get("inputs") or {})
        if not isinstance(got, dict):
            got = {next(iter(expected)): got}
        relative, absolute = band(row)
        relative, absolute = (wider[0], 0.0) if wider else (relative, absolute)
        for key, value in got.items():
            wanted = expected[key]
            values = value if isinstance(value, list) else [value]
            several = wanted if isinstance(wanted, list) else [wanted]
            for index, (one, goal) in enumerate(zip(values, several, strict=len(values) > 1)):
                name = f"{row_id}.{key}" + (f".{index}" if len(values) > 1 else "")
                yield Check(name, calculator, source(row), float(goal), max(relative, 1e-9),
                            lambda one=one: float(one), "", absolute)  # fmt: skip


CHECKS = list(_listed())


def _within(row_id, table):
    return any(row_id == key or (key.endswith(".") and row_id.startswith(key)) for key in table)


def _held(row_id, named):
    return any(name == row_id or name.startswith(f"{row_id}.") for name in named)


def test_every_reference_value_is_compared_or_has_a_reason():
    named = [check.id for check in checks()]
    open_ = [
        row_id
        for row_id in every_row()
        if not _held(row_id, named)
        and not _within(row_id, ELSEWHERE)
        and not _within(row_id, NO_ANSWER)
    ]
    assert not open_


def test_no_excuse_covers_a_row_that_is_compared():
    """Else dropping the comparison would pass unseen."""
    named = [check.id for check in checks()]
    assert not [r for r in every_row() if _held(r, named) and _within(r, NO_ANSWER)]


def test_rows_held_elsewhere_are_held_there():
    named = [check.id for check in checks()]
    for row_id, other in ELSEWHERE.items():
        assert any(name.startswith(other) for name in named), row_id


@pytest.mark.parametrize("table", [ELSEWHERE, NO_ANSWER], ids=["elsewhere", "no-answer"])
def test_no_entry_outlives_its_row(table):
    for key in table:
        assert any(row_id.startswith(key) for row_id in every_row()), key
