"""Where loads stand: on bars by overlap, between nodes, on the next place when one goes."""

from dataclasses import replace

import numpy as np
import pytest
from msgspec.structs import replace as altered

from atlas.errors import BadInput, NotThere
from atlas.mechanics.frames import Loads, PointLoad, cantilever, solve
from atlas.vehicles.carrying import carry, sweep, used
from atlas.vehicles.framing import frame_of
from atlas.vehicles.fronts import Front, front, meet
from atlas.vehicles.loading import load_vehicle, vehicle_files
from atlas.vehicles.loads import Size, Watch, load_case, load_cases, place, size_of
from atlas.vehicles.model import Dimensions
from atlas.vehicles.spans import between

CORNER = load_case("corner")


@pytest.fixture(scope="module")
def pickup():
    return load_vehicle("demo-pickup")


def split(vehicle, member, at):
    """The vehicle with a node put into a member: what stands between nodes then stands on one."""
    one = vehicle.members[member]
    ends = np.array([vehicle.nodes[one.start], vehicle.nodes[one.end]])
    members = {name: m for name, m in vehicle.members.items() if name != member}
    members[member] = altered(one, end="put-in")
    members[f"{member}-2"] = altered(one, start="put-in")
    nodes = {**vehicle.nodes, "put-in": tuple(ends[0] + at * (ends[1] - ends[0]))}
    return altered(vehicle, members=members, nodes=nodes)


@pytest.mark.parametrize("at", [0.2, 0.5, 0.9])
def test_a_load_inside_a_cantilever_is_what_the_handbook_says(at):
    """P a^3 / 3EI under the load, P a at the root (beam tables; from memory)."""
    beam = cantilever(2.0, 1e9, 1e3)
    force = np.array([7.0, 3.0, -5.0])
    load = PointLoad(0, at, force)
    found = between(beam, solve(beam, Loads(points=(load,))), load, force)
    a = 2.0 * at
    expected = [7 * a / 1e9, 3 * a**3 / 3e3, -5 * a**3 / 3e3]
    assert found.moved[0] == pytest.approx(expected, rel=1e-9)
    assert found.about_y[0] == pytest.approx(0, abs=1e-9)
    assert found.about_z[0] == pytest.approx(0, abs=1e-9)


@pytest.mark.parametrize(
    ("spring", "deflection"),
    [
        # A load in the middle of a beam: P L^3 / 48 EI on supports, / 192 EI built in (beam
        # tables; from memory).
        (0.0, 1 / 48),
        (1e14, 1 / 192),
    ],
)
def test_a_load_in_the_middle_of_a_beam(spring, deflection):
    beam = cantilever(2.0, 1e9, 1e3)
    supports = np.array([[True] * 6, [True] * 6])
    supports[:, 4:] = False
    springs = np.zeros((2, 6))
    springs[:, 4:] = spring
    beam = replace(beam, supports=supports, springs=springs)
    load = PointLoad(0, 0.5, np.array([0, 0, -10.0]))
    found = between(beam, solve(beam, Loads(points=(load,))), load, load.force)
    assert found.moved[0, 2] == pytest.approx(-10 * 8 / 1e3 * deflection, rel=1e-9)
    moment = 10 * 2 / (4 if spring == 0 else 8)
    assert abs(found.about_y[0]) == pytest.approx(moment, rel=1e-9)


@pytest.mark.parametrize("name", vehicle_files())
def test_between_nodes_is_as_on_a_node_put_there(name):
    vehicle = load_vehicle(name)
    whole = carry(frame_of(vehicle), [CORNER])[0]
    (spot,) = whole.placed.stands
    if not spot.member:
        pytest.skip("the load stands on a node")
    parted = split(vehicle, spot.member, spot.at)
    on_node = carry(frame_of(parted), [CORNER])[0]
    assert on_node.placed.stands[0].node == "put-in"
    assert whole.movement == pytest.approx(on_node.movement, rel=1e-7)
    place_of = on_node.framed.member_names.index
    pieces = [on_node.use[0, place_of(f"{spot.member}{tail}")] for tail in ("", "-2")]
    bent = vehicle.members[spot.member]
    if bent.ends == "rigid":
        # The halves are shorter, so that they buckle later: equal only where nothing is pushed.
        assert whole.use[0, whole.framed.member(spot.member)] >= max(pieces) * (1 - 1e-6)


def test_a_strap_is_held_to_its_squash_load_pulled_and_to_its_buckling_load_pushed():
    """EN 1993-1-1:2005, 6.3.1.2, curve c (alpha 0.49), partial factors 1; tube 26 x 2 by hand."""
    vehicle = load_vehicle("demo-hatchback")
    strap = vehicle.members["strap-l"]
    size = vehicle.sections[strap.section]
    assert (size.shape, size.width, size.gauge, strap.strength) == ("round-tube", 26, 2, 355)
    length = np.linalg.norm(np.subtract(vehicle.nodes[strap.start], vehicle.nodes[strap.end]))
    area, inertia = np.pi * 24 * 2, np.pi / 64 * (26**4 - 22**4)  # mm2, mm4
    slender = length / np.pi * np.sqrt(area * 355 / (210e3 * inertia))
    phi = 0.5 * (1 + 0.49 * (slender - 0.2) + slender**2)
    chi = 1 / (phi + np.sqrt(phi**2 - slender**2))
    framed = frame_of(vehicle)
    one = carry(framed, [load_case("cornering")])[0]
    left, right = (framed.member(name) for name in ("strap-l", "strap-r"))
    pull, push = one.response.axial[0, left], -one.response.axial[0, right]
    assert pull > 0 and push > 0 and chi < 0.9
    assert one.use[0, left] == pytest.approx(pull / (area * 355), rel=1e-6)
    assert one.use[0, right] == pytest.approx(push / (chi * area * 355), rel=1e-6)


def test_use_between_nodes_counts_the_moment_under_the_load(pickup):
    """The bar pushed in its middle is bent most there, which neither end shows."""
    case = altered(
        CORNER, pushes=(altered(CORNER.pushes[0], at=("leg-tip-l",), overlap=0.47),), positions=()
    )
    framed = frame_of(pickup)
    one = carry(framed, [case])[0]
    (spot,) = one.placed.stands
    index = framed.member(spot.member)
    at_ends = used(framed, one.response)[0, index]
    point = one.placed.points[0]
    force = np.asarray(point.force) * one.placed.size
    (moment,) = np.abs(between(framed.frame, one.response, point, force).about_z)
    ends = np.abs(one.response.end_forces[0, index, [5, 11]]).max()
    assert moment > 1.05 * ends
    more = (moment - ends) / framed.limits.about_z[index]
    assert one.use[0, index] - at_ends == pytest.approx(more, rel=0.2)


def test_the_load_stands_in_the_middle_of_what_the_barrier_covers(pickup):
    framed = frame_of(pickup)
    (spot,) = place(CORNER, framed).stands
    edge = 0.25 * pickup.dimensions.width
    assert spot.member == "bar-end-l"
    assert spot.out == pytest.approx((edge + 700) / 2)


def test_a_front_follows_bar_and_beam_and_no_post_or_rail(pickup):
    assert set(front(pickup, pickup.members, "corner-l").members) == {
        "bar-end-l", "bar", "bar-end-r",
    }  # fmt: skip
    assert set(front(pickup, pickup.members, "beam-r").members) == {
        "beam-end-l", "beam", "beam-end-r",
    }  # fmt: skip
    for name in vehicle_files():
        vehicle = load_vehicle(name)
        for role in ("corner-l", "leg-tip-l", "beam-l", "rail-tip-l"):
            if role not in vehicle.points:
                continue
            at = vehicle.points[role]
            line = front(vehicle, vehicle.members, at)
            x, _, z = vehicle.nodes[at]
            for member in line.members:
                for end in (vehicle.members[member].start, vehicle.members[member].end):
                    assert abs(vehicle.nodes[end][0] - x) < 300
                    assert abs(vehicle.nodes[end][2] - z) < 150, (name, role, member)


@pytest.mark.parametrize("members", [("bar", "beam"), ("beam", "bar")])
def test_of_two_that_lie_across_the_foremost_is_met(pickup, members):
    """The beam stands 340 mm ahead of the bar below it; beyond its end only the bar's is there."""
    ahead = {name: pickup.nodes[pickup.members[name].start][0] for name in members}
    assert ahead["beam"] - ahead["bar"] == 340
    line = Front(pickup, "beam-l", (*members, "bar-end-l"), 700.0)
    assert line.spot(100.0).member == "beam"
    assert line.spot(660.0).member == "bar-end-l"
    assert line.spot(720.0) is None


def test_left_and_right_are_met_alike(pickup):
    left = meet(pickup, pickup.members, "corner-l", 520.0)
    right = meet(pickup, pickup.members, "corner-r", 520.0)
    assert (left.out, left.member) == (right.out, right.member.replace("-r", "-l"))


def test_what_is_gone_is_said_and_the_next_place_takes_the_load(pickup):
    bare = place(CORNER, frame_of(pickup, ["overlap-wide-front-bar"]))
    assert bare.stands[0].member == "beam-end-l"
    assert bare.moved[0].startswith("bar-end-l, 606 mm out, is gone: the load stands on beam-end-l")
    less = frame_of(pickup, ["overlap-wide-front-bar", "front-bar-bolted", "front-bar-mixed-metal"])
    assert "leg-a-l" in place(CORNER, less).moved[0]
    assert place(CORNER, frame_of(pickup, ["torque-box"])).moved == ()


def test_a_place_further_down_the_list_that_goes_is_said_too(pickup):
    """The first place of the list is one that this vehicle never had."""
    case = altered(
        load_case("jacking"),
        pushes=(altered(load_case("jacking").pushes[0], at=("nowhere", "brace", "jack-l")),),
    )
    placed = place(case, frame_of(pickup, ["rear-x-plate"]))
    assert (
        placed.moved[0].startswith("plate-mid") and placed.stands[0].node == pickup.points["jack-l"]
    )


def test_a_reading_that_has_to_move_is_said(pickup):
    case = altered(
        load_case("jacking"),
        watch=(Watch(("brace", "jack-l"), (0, 0, 1)),),
    )
    placed = place(case, frame_of(pickup, ["rear-x-plate"]))
    assert placed.moved == ("brace is gone: the movement is read at jack-l",)


def test_a_barrier_that_passes_by_is_said(pickup):
    case = altered(CORNER, pushes=(altered(CORNER.pushes[0], overlap=0.1),))
    placed = place(case, frame_of(pickup))
    assert "it would pass by" in placed.passed[0]
    assert placed.stands[0].out == pytest.approx(700)


def test_nothing_to_stand_on_names_the_places(pickup):
    bare = altered(pickup, points={k: v for k, v in pickup.points.items() if "pivot" not in k})
    with pytest.raises(NotThere, match="pivot-front-l"):
        place(load_case("cornering"), frame_of(bare))


def test_an_unknown_load_case_is_bad_input():
    with pytest.raises(BadInput, match="banana"):
        load_case("banana")


@pytest.mark.parametrize("name", vehicle_files())
def test_a_sweep_is_linear_and_meets_the_case_itself(name):
    vehicle = load_vehicle(name)
    framed = frame_of(vehicle)
    found = sweep(framed, CORNER)
    assert found.bar.shape == (len(CORNER.positions), len(CORNER.angles))
    there = [bool(stands) for stands in found.stands]
    assert any(there) and not all(there), "a barrier at the flank passes every vehicle by"
    assert np.isnan(found.bar[~np.array(there)]).all()
    assert np.isfinite(found.bar[there]).all() and np.isfinite(found.aside[there]).all()
    # The case's own place and angle, put into the sweep, give the case's own bar force.
    one = carry(framed, [CORNER])[0]
    share = one.placed.stands[0].out / vehicle.dimensions.width
    again = sweep(framed, altered(CORNER, positions=(share,), angles=(0.0, 15.0, 90.0)))
    bar = one.bar()
    if bar is not None:
        assert again.bar[0, 1] == pytest.approx(bar[0], rel=2e-3, abs=1.0)  # 0.966 is rounded
    turned = np.cos(np.pi / 12) * again.bar[0, 0] + np.sin(np.pi / 12) * again.bar[0, 2]
    assert again.bar[0, 1] == pytest.approx(turned, rel=1e-9, abs=1e-9)


def test_a_case_without_a_sweep_has_none(pickup):
    assert sweep(frame_of(pickup), load_case("jacking")) is None


@pytest.mark.parametrize("case", load_cases())
def test_each_case_gives_its_reason_and_what_it_leaves_out(case):
    one = load_case(case)
    assert len(one.why) > 80 and len(one.leaves_out) > 10


def test_the_largest_torque_is_the_axle_s_load_on_the_tyre_s_radius():
    """By hand: 600 of 1,000 kg on the axle, 5,886 N, turn 2,001 N m about a radius of 0.34 m."""
    car = Dimensions(4000, 1750, 1500, 2500, 1500, 1000, front_share=0.6, tyre_diameter=680)
    assert size_of(Size("torque", 1.0), car) == pytest.approx(600 * 9.81 * 0.34)


def test_beside_an_end_a_load_stands_on_the_member_and_at_the_end_on_the_node():
    vehicle = load_vehicle("demo-pickup")
    node = vehicle.points["beam-l"]
    end = vehicle.nodes[node][1]
    beam = front(vehicle, vehicle.members, node)
    assert beam.spot(end).node == node
    beside = beam.spot(end - 5)
    assert not beside.node and node in (
        vehicle.members[beside.member].start, vehicle.members[beside.member].end,
    )  # fmt: skip
    assert beside.out == pytest.approx(end - 5)
    assert beam.spot(end + 1) is None


def test_a_sweep_s_spread_is_that_of_its_load_alone():
    """Each angle solved on its own: growth of the spacing and shift of the rails' tips."""
    vehicle, corner = load_vehicle("demo-pickup"), load_case("corner")
    framed, node = frame_of(vehicle), vehicle.points["corner-l"]
    share = vehicle.nodes[node][1] / vehicle.dimensions.width
    found = sweep(framed, altered(corner, positions=(share,)))
    assert found.stands == (node,)
    left, right = (framed.node(vehicle.points[f"rail-tip-{side}"]) for side in "lr")
    size = place(corner, framed).size
    for column, angle in enumerate(np.radians(found.angles)):
        nodal = np.zeros((len(framed.node_names), 6))
        nodal[framed.node(node), :2] = size * np.array([-np.cos(angle), -np.sin(angle)])
        moved = solve(framed.frame, Loads(nodal)).displacements[0]
        apart = moved[left, :2] - moved[right, :2]
        assert found.spread[0, column] == pytest.approx(np.hypot(*apart), rel=1e-6)
