import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from atlas.calculators.registry import calculator
from atlas.calculators.running import run
from atlas.errors import BadInput
from atlas.mechanics.frontal import arrest, in_series
from tests.validation import Check

FRONTAL = calculator("frontal-energy")
# Three layers, one beside the others, and a drive unit.
LAYERS = ([0.0, 0.2, 0.1], [0.2, 5.0, 0.35], [120e3, 300e3, 60e3])


def by_integrator(mass, speed, unit_mass=0.0, unit_at=20.0) -> tuple[float, float]:
    """Stroke and duration by scipy's adaptive Runge-Kutta, stepping over the same force law."""

    def rate(_, state):
        x, v = state
        force = sum(f for s, e, f in zip(*LAYERS, strict=True) if s <= x < e)
        return [v, -force / (mass - (unit_mass if x > unit_at else 0.0))]

    def stopped(_, state):
        return state[1]

    stopped.terminal = True
    out = solve_ivp(
        rate, (0, 1), [0.0, speed], events=stopped, rtol=1e-9, atol=1e-12, max_step=1e-4
    )
    return float(out.y[0, -1]), float(out.t[-1])


def ours(mass, speed, **unit):
    start, end, force = (np.array(column)[:, None] for column in LAYERS)
    return arrest(mass, speed, start, end, force, **unit)


SCIPY = "scipy.integrate.solve_ivp on the same force law"
CHECKS = [
    Check("frontal.stroke", "frontal-energy", SCIPY, by_integrator(1500, 12)[0], 1e-4,
          lambda: float(ours(1500, 12).stroke[0]), "m"),
    Check("frontal.duration", "frontal-energy", SCIPY, by_integrator(1500, 12)[1], 1e-4,
          lambda: float(ours(1500, 12).duration[0]), "s"),
    Check("frontal.stroke-unit", "frontal-energy", SCIPY,
          by_integrator(1500, 14, 200, 0.3)[0], 1e-4,
          lambda: float(ours(1500, 14, unit_mass=200.0, unit_at=0.3).stroke[0]), "m"),
    Check("frontal.constant-force", "frontal-energy",
          "closed form x = m v2 / 2F: 1000 kg at 10 m/s against 100 kN, by hand", 0.5, 1e-12,
          lambda: float(arrest(1000.0, 10.0, [[0.0]], [[5.0]], [[1e5]]).stroke[0]), "m"),
    Check("frontal.energy", "frontal-energy", "1500 kg at 56.3 km/h, worked by hand", 183.431, 1e-4,
          lambda: float(run(FRONTAL, {"mass": 1500, "speed": 56.3}).results["energy"].value), "kJ"),
]  # fmt: skip

force = st.floats(2e4, 5e5)


@settings(max_examples=80, deadline=None)
@given(st.lists(force, min_size=3, max_size=3), st.floats(500, 3000), st.floats(2, 25),
       st.floats(0, 0.4), st.floats(0.05, 1.5))  # fmt: skip
def test_energy_and_momentum_balance(forces, mass, speed, unit_share, unit_at):
    start, end = in_series(np.array(forces)[:, None], np.full((3, 1), 0.15))
    start = np.concatenate([start, [[0.45]]])
    end = np.concatenate([end, [[20.0]]])
    strength = np.concatenate([np.array(forces)[:, None], [[6e5]]])
    unit = unit_share * mass
    done = arrest(mass, speed, start, end, strength, unit, unit_at)
    kinetic = mass * speed**2 / 2
    assert done.layer_energy.sum() + done.unit_energy[0] == pytest.approx(kinetic, rel=1e-9)
    # Impulse on the body equals the momentum it lost; the unit hands its own to the wall.
    step = np.diff(done.time[:, 0], prepend=0)
    met = np.append(0, done.crush[:-1, 0]) >= unit_at - 1e-12
    moving = mass - unit * met
    lost = np.sum(moving * -np.diff(done.speed[:, 0], prepend=speed))
    assert np.sum(done.deceleration[:, 0] * moving * step) == pytest.approx(lost, rel=1e-9)


def test_the_weakest_layer_goes_first_wherever_it_lies():
    start, end = in_series([[300.0], [100.0], [200.0]], [[0.3], [0.1], [0.2]])
    assert start[:, 0] == pytest.approx([0.3, 0.0, 0.1])
    assert end[:, 0] == pytest.approx([0.6, 0.1, 0.3])


def test_a_weak_rail_behind_a_strong_can_is_found():
    weak = run(FRONTAL, {"rail_front_force": "90..110", "can_force": "140..160"})
    assert weak.results["order"].value == "a rail before the cans"
    assert any("before the cans" in line for line in weak.findings)


def test_a_stronger_lower_path_takes_more_and_shortens_the_stroke():
    light, strong = (run(FRONTAL, {"mass": 1800, "lower_force": kn}).results for kn in (20, 120))
    assert strong["lower_share"].value > light["lower_share"].value
    assert strong["stroke"].value < light["stroke"].value


def test_what_the_layers_cannot_take_pushes_the_root():
    gentle = run(FRONTAL, {"speed": 15})
    assert gentle.results["intrusion"].value == 0
    hard = run(FRONTAL, {"speed": 100, "mass": 3000})
    assert hard.results["intrusion"].low > 0
    assert "pushed back" in hard.findings[0]


@pytest.mark.parametrize(
    ("given", "names"), [({"mass": 300, "unit_mass": 400}, "unit_mass"), ({"speed": 0}, "speed")]
)
def test_refusals_name_the_input(given, names):
    with pytest.raises(BadInput, match=names):
        run(FRONTAL, given)


def test_layers_that_run_out_are_refused():
    with pytest.raises(ValueError, match="used up"):
        arrest(1000.0, 20.0, [[0.0]], [[0.1]], [[1e4]])
