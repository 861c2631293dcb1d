"""Bodies on mounts against statics, closed forms and general libraries."""

import numpy as np
import pytest
import scipy.linalg
from hypothesis import given
from hypothesis import strategies as st
from Pynite import FEModel3D
from reference import rows, source
from validation import Check

from atlas.mechanics.suspended import frequencies, mount_matrix, rest

ROW = {row["id"]: row for row in rows("mounts", "mount.")}


def three_in_line():
    """Three upright mounts along x; sideways and turning freedoms held by stiff guides."""
    given_ = ROW["mount.three_in_line"]["inputs"]
    arms = np.array(given_["x_m"]) - given_["x_cg_m"]
    places = [[x, 0, 0] for x in arms] + [[0, 5, 0], [0, -5, 0]]
    up = np.array(given_["k_N_mm"]) * 1e3
    stiff = [[1.0, 1.0, k] for k in up] + [[1e9, 1e9, 1e-3]] * 2
    # A turn that presses the +x side down is positive about y here.
    return rest(places, stiff, [0, 0, -given_["weight_N"], 1e-9, given_["torque_Nm"], 0])


def heave_at_origin():
    """The row measures heave at x = 0, 50 mm behind the centre of mass."""
    moved = three_in_line().moved[0]
    return -(moved[2] * 1e3 + moved[4] * 50)


def couple():
    given_ = ROW["mount.torque_roll_two_mounts"]["inputs"]
    half = given_["span_m"] / 2
    places = [[half, 0, 0], [-half, 0, 0], [0, 1, 0]]
    stiff = [[1e5, 1e5, 1e6]] * 2 + [[1e5, 1e5, 1e3]]
    return abs(rest(places, stiff, [0, 0, 0, 0, given_["torque_Nm"], 0]).forces[0, 0, 2])


def statics_checks():
    row = ROW["mount.three_in_line"]
    for index, expected in enumerate(row["expected"]["forces_N"]):
        yield Check(f"mount.three_in_line.{index}", "torque-reaction", source(row), expected, 1e-4,
                    lambda index=index: three_in_line().forces[0, index, 2], "N")  # fmt: skip
    yield Check("mount.three_in_line.heave", "torque-reaction", source(row),
                row["expected"]["heave_mm"], 1e-4,
                lambda: heave_at_origin(), "mm")  # fmt: skip
    row = ROW["mount.torque_roll_two_mounts"]
    yield Check("mount.couple", "torque-reaction", source(row), row["expected"]["force_N"], 1e-5,
                couple, "N")  # fmt: skip
    for key in ("mount.sdof.k350_m90", "mount.sdof.k1200_m75"):
        row = ROW[key]
        k, m = row["inputs"]["k_N_mm"] * 1e3, row["inputs"]["mass_kg"]
        yield Check(key, "torque-reaction", source(row), row["expected"]["freq_Hz"], 1e-5,
                    lambda k=k, m=m: frequencies(np.diag([k] * 3 + [1e9] * 3)[None], [m],
                                                 [[1.0] * 3])[0, 0], "Hz")  # fmt: skip


def trial(seed):
    rng = np.random.default_rng(seed)
    count = int(rng.integers(3, 6))
    return rng.uniform(-0.5, 0.5, (count, 3)), rng.uniform(5e4, 2e6, (count, 3)), rng.uniform(
        -2e3, 2e3, 6
    )  # fmt: skip


def by_pynite(seed):
    """Movement of a body on springs: stiff arms from its centre to sprung nodes."""
    places, stiff, load = trial(seed)
    model = FEModel3D()
    model.add_material("m", 1.0, 1.0, 0.3, 0.0)
    model.add_section("s", 1e13, 1e12, 1e12, 1e12)
    model.add_node("C", 0, 0, 0)
    for index, (place, k) in enumerate(zip(places, stiff, strict=True)):
        model.add_node(f"N{index}", *map(float, place))
        model.add_member(f"M{index}", "C", f"N{index}", "m", "s")
        for direction, value in zip(("DX", "DY", "DZ"), k, strict=True):
            model.def_support_spring(f"N{index}", direction, float(value))
    for direction, value in zip(("FX", "FY", "FZ", "MX", "MY", "MZ"), load, strict=True):
        model.add_node_load("C", direction, float(value))
    model.analyze_linear(check_stability=False)
    return max(abs(getattr(model.nodes["C"], d)["Combo 1"]) for d in ("DX", "DY", "DZ"))


CHECKS = [
    *statics_checks(),
    *(
        Check(f"torque-reaction.pynite.{seed}", "torque-reaction",
              "PyNiteFEA 3.2 (library), stiff arms on sprung nodes", by_pynite(seed), 1e-4,
              lambda seed=seed: np.abs(rest(*trial(seed)).moved[0, :3]).max(), "m")
        for seed in range(3)
    ),
]  # fmt: skip


@given(st.integers(0, 10_000))
def test_mount_forces_balance_force_and_torque(seed):
    places, stiff, load = trial(seed)
    found = rest(places, stiff, load)
    assert found.forces[0].sum(axis=0) == pytest.approx(-load[:3], abs=1e-5)
    assert np.cross(places, found.forces[0]).sum(axis=0) == pytest.approx(-load[3:], abs=1e-5)


@given(st.integers(0, 10_000))
def test_frequencies_agree_with_scipy(seed):
    places, stiff, _ = trial(seed)
    whole = mount_matrix(places, stiff)
    inertia = np.array([1.5, 2.0, 2.5])
    values = scipy.linalg.eigh(whole[0], np.diag([80.0] * 3 + inertia.tolist()), eigvals_only=True)
    expected = np.sqrt(values) / (2 * np.pi)
    assert frequencies(whole, [80.0], [inertia])[0] == pytest.approx(expected, rel=1e-6, abs=1e-4)


@pytest.mark.parametrize(
    ("places", "stiff", "words"),
    [
        ([[0, 0.4, 0], [0, -0.4, 0]], [[1e5, 1e5, 1e5]] * 2, "free to turn about y"),
        ([[0, 0, 0.0]], [[1e5, 1e5, 0.0]], "free to"),
        ([[0, 0, np.nan]], [[1e5] * 3], "places"), ([[0, 0, 0.0]], [[-1.0] * 3], "stiffness"),
    ],
)  # fmt: skip
def test_a_free_body_is_named(places, stiff, words):
    with pytest.raises(ValueError, match=words):
        rest(places, stiff, [0, 0, 0, 0, 1.0, 0])
