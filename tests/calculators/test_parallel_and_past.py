"""Front bar and glance-off together: the same bar keeps the rails true and the vehicle sliding.

Common practice, no source: a front that keeps its rails parallel stays stiff, and a vehicle that
moves away from the barrier spares its occupants.
"""

import numpy as np
import pytest

from atlas.calculators.registry import calculator
from atlas.calculators.running import run

GAUGES = (0.8, 1.4, 2.2, 3.5, 5.5)


@pytest.fixture(scope="module")
def sweep():
    rows = []
    for gauge in GAUGES:
        bar = run(
            calculator("front-bar"),
            {"bar_gauge": gauge, "joint": "welded", "weld_throat": 5, "cross_ratio": 0,
             "load_angle": 25, "load": 25, "bar_width": 50},
            samples=200,
        )  # fmt: skip
        strength = float(np.clip(bar.results["load_at_limit"].value, 5, 5000))
        past = run(calculator("glance-off"), {"strength": strength, "face_angle": 60}, samples=200)
        rows.append(
            (abs(bar.results["spread"].value), abs(bar.results["shift"].value), strength,
             past.results["sideways"].value, past.results["intrusion"].value)
        )  # fmt: skip
    return np.array(rows).T


def test_a_stiffer_bar_keeps_spacing_and_relative_position_and_carries_more(sweep):
    spread, shift, strength, _, _ = sweep
    assert (np.diff(spread) < 0).all()
    # Fore and aft the bar holds by its bending stiffness, across by its axial one.
    assert (np.diff(shift) < 0).all() and shift[-1] < 0.8 * shift[0]
    assert (np.diff(strength) > 0).all()


def test_truer_rails_more_movement_away_and_less_intrusion_go_together(sweep):
    spread, shift, _, sideways, intrusion = sweep
    assert (np.diff(sideways) > 0).all() and sideways[0] < 0 < sideways[-1]
    assert (np.diff(intrusion) < 0).all()
    assert np.corrcoef(-np.log(spread), sideways)[0, 1] > 0.95
    assert np.corrcoef(-shift, sideways)[0, 1] > 0.9
