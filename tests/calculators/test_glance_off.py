import os

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from atlas.calculators.registry import calculator
from atlas.calculators.running import run
from atlas.errors import BadInput
from atlas.mechanics.glance import Car, glance
from tests.validation import Check

GLANCE = calculator("glance-off")
BASE = {
    "mass": 1800.0, "yaw_inertia": 3000.0, "nose": 2.1, "flat": 0.5, "slope": 0.6,
    "half_width": 0.9, "stiffness": 1e7, "strength": 2.5e5, "wheel_at": 0.45, "wheel_strength": 2e5,
}  # fmt: skip

# The same examples each time; ATLAS_RANDOM=1 looks for new ones.
SEED = None if os.environ.get("ATLAS_RANDOM") else 1


def car(**changed):
    return Car(*(np.atleast_1d(np.asarray(v, float)) for v in {**BASE, **changed}.values()))


def short_impact(offset: float, gyration2: float, speed: float):
    """A hard, frictionless, elastic blow at an offset: the limit of rigid-body impact."""
    k = 1e9
    period = np.sqrt(1800 / k)
    blunt = car(yaw_inertia=1800 * gyration2, slope=np.pi / 2, flat=0.89, stiffness=k, strength=1e9)
    return glance(blunt, speed, offset - 0.15, 0.15, 0.0, until=6 * period, step=1e-3 * period)


def square_on(strength: float) -> float:
    """Crush of a blunt corner that the barrier meets in line with the centre of mass."""
    middle = car(slope=np.pi / 2, flat=0.89, stiffness=1e9, strength=strength, wheel_strength=0)
    return float(glance(middle, 10.0, -0.15, 0.15, 0.0, until=0.4).depth[0])


def by_integrator(slope: float, k: float) -> np.ndarray:
    """Sideways speed and yaw rate off an elastic slope, by scipy on the same statement in words.

    Written anew from the free-body diagram, without the stepping or the account of the code tested.
    """
    m, inertia, nose, flat, radius, edge = 1800.0, 3000.0, 2.1, 0.5, 0.15, 0.46
    centre = np.array([radius, edge + radius])

    def rate(_, q):
        x, y, yaw, vx, vy, w = q
        turn = np.array([[np.cos(yaw), -np.sin(yaw)], [np.sin(yaw), np.cos(yaw)]])
        local = turn.T @ (centre - [x, y])
        faces = [
            (np.array([1.0, 0.0]), nose),
            (np.array([np.sin(slope), np.cos(slope)]), np.sin(slope) * nose + np.cos(slope) * flat),
        ]
        n, d = max(faces, key=lambda face: face[0] @ local - face[1])
        gap = n @ local - d
        force = -max(k * (radius - gap), 0.0) * (turn @ n)
        lever = turn @ (local - gap * n)
        return [vx, vy, w, *(force / m), (lever[0] * force[1] - lever[1] * force[0]) / inertia]

    out = solve_ivp(
        rate, (0, 0.12), [-nose, 0, 0, 15.0, 0, 0], rtol=1e-9, atol=1e-10, max_step=1e-3
    )
    return out.y[:, -1]


def elastic(slope: float, k: float):
    return glance(
        car(slope=slope, stiffness=k, strength=1e9, half_width=9.0), 15.0, 0.46, 0.15, 0.0,
        until=0.12, step=2e-5, records=2,
    )  # fmt: skip


BRACH = "Brach, Mechanical Impact Dynamics 1991: offset blow on a rigid barrier, e = 1"
SCIPY = "scipy.integrate.solve_ivp on a free-body diagram written anew"
CHECKS = [
    # k2/(k2 + h2) of twice the speed for h = 0.6 m, k2 = 2.25 m2 at 17.89 m/s (e = 0: 15.4224 m/s).
    Check("glance.offset-blow", "glance-off", BRACH, 2 * 15.4224, 0.01,
          lambda: -float(short_impact(0.6, 2.25, 17.89).impulse_along[0]) / 1800, "m/s"),
    Check("glance.mass-factor", "glance-off", BRACH, 2 * 0.862069, 0.01,
          lambda: -float(short_impact(0.6, 2.25, 12.0).impulse_along[0]) / 1800 / 12),
    Check("glance.square-on", "glance-off", "m v2 / 2F of a plastic blow in line, by hand", 0.45,
          0.01, lambda: square_on(2e5), "m"),
    *(
        Check(f"glance.slope-{slope}", "glance-off", SCIPY, by_integrator(slope, 2e6)[3], 2e-3,
              lambda slope=slope: float(elastic(slope, 2e6).speed[0]), "m/s")
        for slope in (0.4, 0.7)
    ),
]  # fmt: skip


def test_the_account_of_energy_closes_to_a_tenth_of_a_percent():
    rng = np.random.default_rng(SEED)
    slope, strength, k, mu, speed = (
        rng.uniform(low, high, 400)
        for low, high in ((0.25, 1.5), (5e4, 8e5), (2e6, 2e7), (0, 0.6), (5, 25))
    )
    struck = car(slope=slope, strength=strength, stiffness=k)
    # Half the usual step: soft corners and slow cars lie outside the calculator's usual readings.
    done = glance(struck, speed, 0.46, 0.15, mu, step=5e-5)
    assert float(np.max(done.unbalanced)) < 1e-3
    assert float(np.min(done.crushed)) >= -1e-6
    assert float(np.min(done.rubbed)) >= -1e-6


def test_default_samples_close_as_well():
    assert float(np.max(run(GLANCE, {}, 2000).sampled["unbalanced"])) < 0.1


def test_what_is_gained_sideways_comes_from_the_barrier():
    done = glance(car(), 17.9, 0.46, 0.15, 0.2)
    assert float(done.impulse_across[0]) < 0
    assert float(done.sideways[0]) < 0


def test_a_mirrored_centre_blow_does_not_turn():
    done = glance(car(slope=np.pi / 2, flat=0.89), 10.0, -0.15, 0.15, 0.0)
    assert float(done.yaw[0]) == pytest.approx(0, abs=1e-12)


def test_a_slanted_face_passes_where_a_blunt_one_stops():
    # Common practice, no source: a deflector turns a narrow offset hit into a sideways push.
    assert run(GLANCE, {"face_angle": "25..30", "strength": "350..400"}).results[
        "outcome"
    ].value == ("slides past")
    assert run(GLANCE, {"face_angle": "85..89"}).results["outcome"].value == "stops on it"


def test_a_stronger_corner_moves_the_car_further_aside():
    # Common practice, no source: a front that keeps its shape lets the car move off the barrier.
    aside = [
        run(GLANCE, {"strength": kn, "face_angle": 40, "mass": 1800}, 300).results["sideways"].value
        for kn in (100, 200, 400)
    ]
    assert aside == sorted(aside)


@pytest.mark.parametrize(
    ("given", "names"),
    [({"flat": 1000}, "flat"), ({"face_angle": 0}, "face_angle"), ({"overlap": 0.9}, "overlap")],
)
def test_refusals_name_the_input(given, names):
    with pytest.raises(BadInput, match=names):
        run(GLANCE, given)
