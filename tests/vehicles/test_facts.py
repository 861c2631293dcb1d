"""Facts of the trade that the vehicles must show. Common practice, no source, throughout."""

import numpy as np
import pytest
from msgspec.structs import replace as altered

from atlas.errors import AtlasError
from atlas.vehicles.carrying import carry, sweep
from atlas.vehicles.framing import frame_of, patterns_of
from atlas.vehicles.loading import load_vehicle, vehicle_files
from atlas.vehicles.loads import load_case, load_cases

CORNER = load_case("corner")


@pytest.fixture(scope="module", params=vehicle_files())
def vehicle(request):
    return load_vehicle(request.param)


def ratios(vehicle, pattern, *cases):
    """Stiffness with over without the pattern, one a load case."""
    wanted = [load_case(case) for case in cases]
    whole, bare = (carry(frame_of(vehicle, without), wanted) for without in ((), (pattern,)))
    return [float(w.stiffness[0] / b.stiffness[0]) for w, b in zip(whole, bare, strict=True)]


def test_a_wide_bar_is_pulled_straight_on_and_pushed_from_the_side():
    """A bar past both rails: pushed straight back at its end it bows and pulls, pushed inboard it
    is a strut. The turn lies between, and moves inboard as the load does."""
    vehicle = load_vehicle("demo-pickup")
    found = sweep(frame_of(vehicle), CORNER)
    outer = [row for row, stands in enumerate(found.stands) if stands == "bar-end-l"]
    bar = found.bar[outer]
    assert (bar[:, 0] > 0).all() and (bar[:, -1] < 0).all()
    assert (np.diff(bar, axis=1) < 0).all()
    turn = [np.interp(0, -row, found.angles) for row in bar]
    assert min(turn) > 5 and max(turn) < 45
    assert turn[-1] > turn[0], "further out it takes a more slanted push to turn the sign"


def test_a_full_width_hit_does_nothing_to_the_rails_parallelism(vehicle):
    moderate, full = carry(frame_of(vehicle), [load_case("moderate"), load_case("full-width")])
    assert abs(float(full.rails()[1][0])) < 1e-9
    assert abs(float(moderate.rails()[1][0])) > 1e-5


@pytest.mark.parametrize(
    ("name", "pattern"),
    [
        ("demo-van", "bumper-beam-roll-formed"),
        ("demo-crossover", "bumper-beam-hot-stamped"),
        ("demo-saloon", "bumper-beam-extruded"),
        ("demo-pickup", "bumper-beam-extruded"),
        ("demo-city", "bumper-beam-hot-stamped"),
        ("demo-hatchback", "upper-tie-bar"),
        ("demo-sports", "rail-tie-bar"),
    ],
)
def test_what_ties_the_rails_keeps_them_parallel(name, pattern):
    """One rail alone is pushed; a beam or bar between them makes the other follow."""
    vehicle, moderate = load_vehicle(name), load_case("moderate")
    case = altered(moderate, pushes=(altered(moderate.pushes[0], force=(-1, 0, 0)),))
    tied, loose = (carry(frame_of(vehicle, without), [case])[0] for without in ((), (pattern,)))
    assert not loose.placed.moved
    (spacing, shift), (spacing_loose, shift_loose) = tied.rails(), loose.rails()
    assert abs(spacing_loose[0]) > abs(spacing[0]) and shift_loose[0] > shift[0] > 0


@pytest.mark.parametrize(
    ("name", "pattern"),
    [
        ("demo-pickup", "rear-x-plate"),
        ("demo-saloon", "rear-shear-panel"),
        ("demo-van", "rear-diagonal-straps"),
        ("demo-crossover", "rear-v-brace"),
        ("demo-off-road", "rear-brace-skid"),
        ("demo-sports", "rear-shear-panel"),
    ],
)
def test_a_rear_brace_works_in_cornering_and_not_in_a_full_width_hit(name, pattern):
    cornering, full_width = ratios(load_vehicle(name), pattern, "cornering", "full-width")
    assert cornering > 1.1 and full_width < 1.05


def test_an_upper_rail_works_where_the_tower_is_pushed_up(vehicle):
    # An off-road vehicle's frame carries the tower.
    if "upper-rail" in patterns_of(vehicle) and vehicle.kind != "off-road":
        assert ratios(vehicle, "upper-rail", "pothole")[0] > 2


def test_what_reaches_outboard_slides_the_vehicle_past():
    """Taken away, the barrier meets less width or something further inboard, or passes by."""
    cases = [
        ("demo-pickup", "overlap-wide-front-bar"),
        ("demo-saloon", "overlap-cradle-wing"),
        ("demo-crossover", "overlap-deflector"),
        ("demo-off-road", "overlap-deflector"),
    ]
    for name, pattern in cases:
        vehicle = load_vehicle(name)
        whole = carry(frame_of(vehicle), [CORNER])[0]
        bare = carry(frame_of(vehicle, [pattern]), [CORNER])[0]
        (before,), (after,) = whole.placed.stands, bare.placed.stands
        assert before != after, name
        assert bare.placed.moved, name


def test_a_slanted_push_moves_the_struck_corner_away_from_the_barrier(vehicle):
    """The more of the force points inboard, the further the struck place goes inboard."""
    found = sweep(frame_of(vehicle), CORNER)
    outer = max(row for row, stands in enumerate(found.stands) if stands)
    assert (np.diff(found.aside[outer]) > 0).all()
    assert found.aside[outer, -1] > 0


def test_rubber_mounts_give_and_solid_mounts_brace():
    """Sideways the arms' pivots move further where the cradle stands on rubber."""
    cornering = [load_case("cornering")]
    soft = load_vehicle("demo-crossover")
    stiff = altered(
        soft,
        ties={
            name: altered(tie, stiffness=(110, 110, 260), turning=60)
            for name, tie in soft.ties.items()
        },
    )
    moved = [float(carry(frame_of(one), cornering)[0].movement[0]) for one in (soft, stiff)]
    assert moved[0] > 1.5 * moved[1]


def test_taking_away_never_stiffens_against_the_load_itself(vehicle):
    """Clapeyron: with the same loads, less structure takes in more work."""
    cases = list(load_cases().values())
    whole = {one.case.id: one for one in carry(frame_of(vehicle), cases)}

    def work(one):
        loads = one.placed.loads
        done = float(np.sum(np.asarray(loads.nodal) * one.moved[0]))
        return done, not loads.points

    for pattern in patterns_of(vehicle):
        if pattern == "cradle-isolated":  # without it bolts stand there: an exchange, nothing less
            continue
        try:
            found = carry(frame_of(vehicle, (pattern,)), cases)
        except AtlasError:  # a mechanism, or a load has no foothold
            continue
        for one in found:
            (bare, plain), (full, _) = work(one), work(whole[one.case.id])
            if plain and not one.placed.moved:
                assert bare >= full * (1 - 1e-9), (pattern, one.case.id)


@pytest.mark.parametrize(
    ("name", "pattern", "node", "more"),
    [
        ("demo-pickup", "rear-x-plate", "leg-c-l", 2.2),
        ("demo-saloon", "rear-shear-panel", "leg-c-l", 1.33),
        ("demo-van", "rear-diagonal-straps", "leg-c-l", 1.17),
        ("demo-off-road", "rear-brace-skid", "pivot-f-l", 1.5),
        ("demo-sports", "rear-shear-panel", "pivot-f-l", 1.6),
    ],
)
def test_what_a_teardown_says_of_a_brace_is_what_the_model_shows(name, pattern, node, more):
    """The vehicle's own ``found`` says in words how much further its cradle moves sideways."""
    vehicle, case = load_vehicle(name), [load_case("cornering")]
    braced, bare = (carry(frame_of(vehicle, without), case)[0] for without in ((), (pattern,)))
    sideways = [float(one.moved[0, one.framed.node(node), 1]) for one in (braced, bare)]
    assert sideways[1] / sideways[0] == pytest.approx(more, abs=0.1)
