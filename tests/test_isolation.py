"""Isolation against textbook values and a state-space model."""

import numpy as np
import pytest
import scipy.linalg
from hypothesis import given
from hypothesis import strategies as st
from reference import rows, source
from validation import Check

from atlas.mechanics.isolation import (
    crossover,
    natural_frequency,
    transmissibility,
    two_stage_frequencies,
)


def reference_checks():
    for row in rows("mounts", "mount."):
        given_ = row["inputs"]
        if row["id"].startswith("mount.transmissibility"):
            yield Check(
                row["id"], "isolator", source(row), row["expected"]["T"], 1e-5,
                lambda r=given_["r"], z=given_["zeta"]: transmissibility(
                    r, 1.0, (2 * np.pi) ** 2, 2 * z, damping="viscous"),
            )  # fmt: skip
        elif row["id"].startswith("mount.sdof"):
            yield Check(
                f"isolator.{row['id']}", "isolator", source(row), row["expected"]["freq_Hz"], 1e-5,
                lambda k=given_["k_N_mm"], m=given_["mass_kg"]: natural_frequency(k * 1e3, m), "Hz",
            )  # fmt: skip


def by_scipy(index):
    """Natural frequencies of 90 kg on 0.9 kN/mm on 30 kg on 5 kN/mm, generalised eigenproblem."""
    k = np.array([[0.9e6, -0.9e6], [-0.9e6, 5.9e6]])
    values = scipy.linalg.eigh(k, np.diag([90.0, 30.0]), eigvals_only=True)
    return float(np.sqrt(values[index]) / (2 * np.pi))


def passed_on(hertz):
    """Force on the ground over force on top, 90 kg over 30 kg on lossy mounts, by a solver."""
    top, low = 0.9e6 * (1 + 0.12j), 5e6 * (1 + 0.08j)
    w2 = (2 * np.pi * hertz) ** 2
    dynamic = np.array([[top - 90 * w2, -top], [-top, top + low - 30 * w2]])
    return float(abs(low * scipy.linalg.solve(dynamic, [1.0, 0.0])[1]))


CHECKS = [
    *reference_checks(),
    *(
        Check(f"isolator.forced.{hertz}", "isolator", "scipy.linalg.solve (library), 2 freedoms",
              passed_on(hertz), 1e-9,
              lambda hertz=hertz: transmissibility(hertz, 90.0, 0.9e6, 0.12, 30.0, 5e6, 0.08))
        for hertz in (8, 40, 150)
    ),
    *(
        Check(f"isolator.two-stage.{index}", "isolator", "scipy.linalg.eigh (library)",
              by_scipy(index), 1e-9,
              lambda index=index: two_stage_frequencies(90.0, 0.9e6, 30.0, 5e6)[index], "Hz")
        for index in (0, 1)
    ),
    Check("isolator.equal-chain", "isolator", "Thomson, two equal masses and springs: "
          "w^2 = 0.382 and 2.618 k/m (from memory)", np.sqrt(2.618034 / 0.381966), 1e-6,
          lambda: np.divide(*two_stage_frequencies(1.0, 1.0, 1.0, 1.0)[::-1])),
    Check("isolator.resonance", "isolator", "Harris: at resonance a loss factor of 0.1 passes on "
          "root(1 + 0.01)/0.1 (from memory)", np.sqrt(1.01) / 0.1, 1e-9,
          lambda: transmissibility(1.0, 1.0, (2 * np.pi) ** 2, 0.1)),
]  # fmt: skip


@given(st.floats(1, 1000), st.floats(1e4, 1e7), st.floats(0, 1))
def test_nothing_is_isolated_below_the_crossover(mass, stiffness, loss):
    at = float(crossover(mass, stiffness))
    assert transmissibility(at, mass, stiffness, loss) == pytest.approx(1.0, rel=1e-6)
    assert transmissibility(0.5 * at, mass, stiffness, loss) > 1
    assert transmissibility(2 * at, mass, stiffness, loss) < 1


@given(st.floats(10, 200), st.floats(1e5, 3e6), st.floats(5, 60), st.floats(5e5, 1e7))
def test_a_rigid_second_stage_is_one_stage(mass, stiffness, below, second):
    one = transmissibility(70.0, mass, stiffness, 0.1)
    both = transmissibility(70.0, mass, stiffness, 0.1, below, 1e13, 0.0)
    assert both == pytest.approx(float(one), rel=1e-4)
    low, high = two_stage_frequencies(mass, stiffness, below, second)
    assert low < natural_frequency(stiffness, mass) < high
    cross = crossover(mass, stiffness, below, second)
    assert cross > high
    assert transmissibility(cross, mass, stiffness, 0, below, second) == pytest.approx(1, rel=1e-6)


@pytest.mark.parametrize(
    ("given_", "words"),
    [
        ({"mass": 0}, "mass"), ({"stiffness": -1}, "stiffness"), ({"loss": np.nan}, "loss"),
        ({"frequency": np.inf}, "frequency"), ({"damping": "magic"}, "damping"),
        ({"below": -3}, "below"),
    ],
)  # fmt: skip
def test_refusals_name_the_argument(given_, words):
    good = {"frequency": 10, "mass": 10, "stiffness": 1e5, "loss": 0.1, "below_stiffness": 1e5}
    with pytest.raises(ValueError, match=words):
        transmissibility(**{**good, **given_})
