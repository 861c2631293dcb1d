"""What a pattern buys: mass, ratio, lost paths, mechanisms; and the spread of gauges and joints."""

import numpy as np
import pytest
from msgspec.structs import replace as altered

from atlas.errors import BadInput
from atlas.vehicles.carrying import carry, loose
from atlas.vehicles.figures import bought, results_of
from atlas.vehicles.framing import frame_of, patterns_of
from atlas.vehicles.loading import load_vehicle
from atlas.vehicles.loads import load_case, load_cases
from atlas.vehicles.model import Tie
from atlas.vehicles.spreads import drawn
from atlas.vehicles.worth import LOST, worths

CASES = list(load_cases().values())


@pytest.fixture(scope="module")
def pickup():
    return load_vehicle("demo-pickup")


@pytest.fixture(scope="module")
def rows(pickup):
    return {row.pattern: row for row in worths(pickup, CASES)}


def test_a_pattern_alone_costs_its_members_mass(pickup, rows):
    framed = frame_of(pickup)
    for row in rows.values():
        own = sum(framed.mass[framed.member(m)] for m in row.members if m in framed.member_names)
        assert row.mass[0] == pytest.approx(own, abs=1e-9), row.pattern


def test_with_and_without_by_hand(pickup, rows):
    case = load_case("cornering")
    whole = carry(frame_of(pickup), [case])[0]
    bare = carry(frame_of(pickup, ["rear-x-plate"]), [case])[0]
    gain = rows["rear-x-plate"].gains["cornering"]
    assert gain.ratio[0] == pytest.approx(float(bare.movement[0] / whole.movement[0]))
    bought = (gain.stiffness - gain.stiffness_without) / rows["rear-x-plate"].mass
    assert rows["rear-x-plate"].per_kilogram("cornering") == pytest.approx(bought)


def test_a_tie_taken_away_weighs_nothing_and_softens(rows):
    row = rows["cradle-solid-mounted"]
    assert row.mass[0] == 0 and {"mount-f-l", "mount-f-r"} == set(row.members)
    assert row.otherwise == row.members  # rubber stands there instead
    assert row.gains["braking"].ratio[0] > 1.1


def test_a_kind_of_joint_is_weighed_against_the_other_kind_and_not_against_none(rows):
    """Common practice, no source: rubber gives away stiffness and solid mounts buy it."""
    solid = bought(rows["cradle-solid-mounted"], "racking")
    assert solid.state == "kept" and float(solid.ratio.value) > 1.2
    soft = worths(load_vehicle("demo-crossover"), [load_case("racking"), load_case("braking")])
    row = next(row for row in soft if row.pattern == "cradle-isolated")
    for case in ("racking", "braking"):
        costs = bought(row, case)
        assert costs.state == "kept" and float(costs.ratio.value) < 0.8
        assert "rubber for bolts or bolts for rubber" in costs.notes[0]


def test_a_bulkhead_is_weighed_against_a_bare_wall_and_not_against_rubber():
    """Both say something of one and the same joint, and each something else."""
    van = worths(load_vehicle("demo-van"), [load_case("racking")])
    found = {row.pattern: bought(row, "racking") for row in van}
    bulkhead, solid = (found[name] for name in ("rail-mount-bulkhead", "cradle-solid-mounted"))
    assert 1.0 < float(bulkhead.ratio.value) < float(solid.ratio.value)
    assert "a bare wall for a braced one" in bulkhead.notes[0]
    assert bulkhead.along == ("cradle-solid-mounted",)
    van = load_vehicle("demo-van")
    rubber = {
        name: tie.instead["cradle-solid-mounted"] for name, tie in van.ties.items() if tie.instead
    }
    both = frame_of(van, ("rail-mount-bulkhead", "cradle-solid-mounted"))
    for name, other in rubber.items():  # the softest, where both are gone
        held = both.frame.link_stiffness[both.ties.index(name), :3]
        assert held.tolist() == [1e6 * one for one in other.stiffness]


@pytest.mark.parametrize(
    ("name", "pattern", "goes", "stays"),
    [
        ("demo-crossover", "torque-box", "root-sill-l", "root-tunnel-l"),
        ("demo-van", "rail-initiators", "rail-1-l", "rail-2-l"),
        ("demo-pickup", "bumper-beam-wide", "beam-end-l", "beam"),
        ("demo-saloon", "upper-tie-bar", "ring-top", "ring-post-l"),
    ],
)
def test_a_pattern_that_only_shares_takes_what_it_names_and_no_more(name, pattern, goes, stays):
    left = frame_of(load_vehicle(name), (pattern,)).member_names
    assert goes not in left and stays in left


@pytest.mark.parametrize("name", ["demo-van", "demo-crossover", "demo-pickup"])
def test_to_take_a_pattern_away_always_takes_something(name):
    vehicle = load_vehicle(name)
    whole = frame_of(vehicle)
    for pattern in patterns_of(vehicle):
        rest = frame_of(vehicle, (pattern,))
        same = (rest.member_names, rest.ties, rest.mounts) == (
            whole.member_names, whole.ties, whole.mounts,
        ) and np.array_equal(rest.frame.link_stiffness, whole.frame.link_stiffness)  # fmt: skip
        assert not same, pattern


def test_what_passes_its_limit_is_said():
    saloon = frame_of(load_vehicle("demo-saloon"))
    strike, corner = carry(saloon, [load_case("ground-strike"), load_case("corner")])
    assert float(strike.peak[0]) > 1 > float(corner.peak[0])
    assert strike.notes[-1].startswith("past the elastic limit: panel-")
    assert f"{float(strike.peak[0]):.2f} of it" in strike.notes[-1]
    assert not any("past the elastic limit" in note for note in corner.notes)


def test_a_cradle_hung_at_its_rear_has_lost_its_path_under_drive_torque(rows):
    gain = rows["cradle-stand-off"].gains["drive-torque"]
    assert gain.lost and float(gain.ratio[0]) > LOST
    assert not rows["cradle-stand-off"].gains["moderate"].lost
    assert rows["cradle-stand-off"].unheld == ("mount-f-l", "mount-f-r")
    note = bought(rows["cradle-stand-off"], "drive-torque").notes[0]
    assert "nothing is held any more by mount-f-l, mount-f-r" in note


def test_a_factor_beyond_the_threshold_has_no_sure_digit(pickup):
    """Why the threshold lies where it does: joints known to a quarter or a half leave a factor of
    a stiffener within some percent, but that of a lost path anywhere."""
    case = [load_case("drive-torque")]
    found = {row.pattern: row.gains["drive-torque"].ratio
             for row in worths(pickup, case, samples=60) if row.gains}  # fmt: skip

    def spread(ratio):
        low, middle, high = np.percentile(ratio, (5, 50, 95))
        return (high - low) / middle

    assert spread(found["cradle-stand-off"]) > 3 * spread(found["front-ring"])


def test_a_mechanism_names_what_hangs_on_nothing(pickup, rows):
    fault = rows["crush-can-extruded"].fault
    assert "mechanism" in fault and "beam-end-l" in fault and "hang on nothing" in fault
    assert bought(rows["crush-can-extruded"], "corner").state == "mechanism"
    with pytest.raises(BadInput, match="hang on nothing"):
        carry(frame_of(pickup, ["crush-can-extruded", "crush-can-bolted-flange"]), CASES[:1])
    assert loose(frame_of(pickup)) == ()


def test_cases_that_keep_a_foothold_keep_their_rows():
    rows = {row.pattern: row for row in worths(load_vehicle("demo-sports"), CASES)}
    row = rows["cradle-cast-extruded"]  # the arms' pivots go with it
    assert "moderate" in row.gains and "cornering" not in row.gains and not row.fault
    assert bought(row, "cornering").state == "no foothold"


def test_a_sample_is_the_same_with_and_without(pickup):
    whole = frame_of(pickup, (), 30, 7)
    bare = frame_of(pickup, ["rear-x-plate"], 30, 7)
    kept = [whole.member(name) for name in bare.member_names]
    assert np.array_equal(whole.frame.EA[:, kept], bare.frame.EA)
    assert np.array_equal(whole.frame.ends[:, kept], bare.frame.ends)
    assert np.array_equal(whole.frame.link_stiffness, bare.frame.link_stiffness)


def test_gauges_and_joints_both_spread_the_result(pickup):
    """Each alone widens the range; without either every sample is the nominal structure."""
    case = [load_case("braking")]

    def width(gauges, joints, ends):
        sections = pickup.sections
        ties, mounts, members = pickup.ties, pickup.mounts, pickup.members
        if not gauges:
            sections = {k: altered(s, gauge_spread=0.0) for k, s in sections.items()}
        if not joints:
            ties = {k: altered(t, spread=0.0) for k, t in ties.items()}
            mounts = {k: altered(m, spread=0.0) for k, m in mounts.items()}
        if not ends:
            members = {k: altered(m, ends="rigid") for k, m in members.items()}
        one = altered(pickup, sections=sections, ties=ties, mounts=mounts, members=members)
        found = carry(frame_of(one, (), 200), case, 200)[0].movement
        return float(np.ptp(np.percentile(found, (5, 95))) / np.median(found))

    none, gauges, joints = width(0, 0, 0), width(1, 0, 0), width(0, 1, 0)
    ends, every = width(0, 0, 1), width(1, 1, 1)
    assert none < 1e-9 < 0.005 < min(gauges, joints, ends)
    assert every > max(gauges, joints, ends)


def test_joint_spread_is_a_factor_with_the_stated_deviation(pickup):
    factors = drawn(pickup, 4000, 3).joints["ties.mount-f"]
    assert np.median(factors) == pytest.approx(1, abs=0.01)
    assert np.std(np.log(factors)) == pytest.approx(np.log(1.25), rel=0.03)


def test_left_and_right_of_one_joint_err_alike(pickup):
    framed = frame_of(pickup, (), 20)
    left, right = (framed.ties.index(f"mount-f-{side}") for side in "lr")
    stiffness = framed.frame.link_stiffness
    assert np.array_equal(stiffness[:, left], stiffness[:, right])
    assert np.ptp(stiffness[:, left, 0]) > 0


def test_a_spread_beyond_reason_is_refused():
    import msgspec

    with pytest.raises(msgspec.ValidationError, match="spread"):
        msgspec.convert(
            {"first": "a", "second": "b", "stiffness": [1, 1, 1], "spread": 3}, type=Tie
        )


def test_threads_give_the_same_rows_in_the_same_order(pickup, monkeypatch):
    case = [load_case("corner")]
    alone = list(worths(pickup, case, samples=20))
    monkeypatch.setattr("atlas.vehicles.worth._WORTH_A_THREAD", 1)
    several = list(worths(pickup, case, samples=20))
    assert [row.pattern for row in several] == [row.pattern for row in alone]
    for one, other in zip(alone, several, strict=True):
        assert one.members == other.members and one.fault == other.fault
        for name, gain in one.gains.items():
            assert np.array_equal(gain.ratio, other.gains[name].ratio)


def test_some_samples_at_a_time_are_all_of_them(pickup, monkeypatch):
    case = [load_case("corner"), load_case("pothole")]
    whole = list(worths(pickup, case, samples=25))
    monkeypatch.setattr("atlas.vehicles.worth._AT_ONCE", 10)
    for one, other in zip(whole, worths(pickup, case, samples=25), strict=True):
        for name, gain in one.gains.items():
            assert gain.ratio == pytest.approx(other.gains[name].ratio, rel=1e-9)
            assert gain.peak_without == pytest.approx(other.gains[name].peak_without, rel=1e-9)


def test_a_study_that_nobody_reads_on_stops(pickup, monkeypatch):
    made = []
    monkeypatch.setattr("atlas.vehicles.worth._WORTH_A_THREAD", 1)
    monkeypatch.setattr("atlas.vehicles.worth.frame_of", lambda *a: made.append(a) or frame_of(*a))
    rows = worths(pickup, [load_case("corner")], samples=10)
    next(rows)
    rows.close()
    assert len(made) <= 6, "the whole, and a few that were begun"


def test_a_fault_in_a_thread_reaches_the_reader(pickup, monkeypatch):
    monkeypatch.setattr("atlas.vehicles.worth._WORTH_A_THREAD", 1)
    cases = [load_case("corner")]
    bare = altered(pickup, mounts={})
    with pytest.raises(BadInput, match="mechanism"):
        list(worths(bare, cases, samples=5))


def test_figures_have_the_units_of_their_load(pickup):
    full, racking = carry(frame_of(pickup), [load_case("full-width"), load_case("racking")])
    weight = pickup.dimensions.mass * 9.81e-3  # three times of it, and 5 kN at each mount
    assert results_of(full)["load"].value == pytest.approx(3 * weight)
    assert results_of(racking)["load"].value == pytest.approx(5)
    assert results_of(racking)["peak use"].value == pytest.approx(float(racking.peak[0]))
    for one in carry(frame_of(pickup), CASES):
        torque = one.case.id == "drive-torque"
        found = {name: result.unit for name, result in results_of(one).items()}
        assert found["load"] == ("kN m" if torque else "kN"), one.case.id
        assert found["stiffness"] == ("kN m/mm" if torque else "kN/mm"), one.case.id
        assert found["movement"] == found["rails apart"] == "mm" and found["front bar"] == "kN"


def test_what_each_kilogram_buys_by_hand(rows):
    for case, unit in (("racking", "kN/mm/kg"), ("drive-torque", "kN m/mm/kg")):
        row = rows["rear-x-plate"]
        gain, each = row.gains[case], bought(row, case).per_kilogram
        more = float(gain.stiffness[0] - gain.stiffness_without[0]) * 1e-6
        assert each.unit == unit
        assert each.value == pytest.approx(more / float(row.mass[0]))


def test_a_lost_path_names_joints_only_where_some_are_left_over():
    drive = [load_case("drive-torque")]
    rows = {row.pattern: row for row in worths(load_vehicle("demo-crossover"), drive)}
    notes = {
        name: bought(rows[name], "drive-torque").notes[-1]
        for name in ("cradle-stand-off", "cradle-perimeter")
    }
    assert all(note.startswith("load path lost") for note in notes.values())
    assert "held any more by mount-f-l, mount-f-r" in notes["cradle-stand-off"]
    assert "held any more" not in notes["cradle-perimeter"]
