"""Every shipped vehicle under every load case against PyNiteFEA, a general-purpose library."""

import numpy as np
import pytest

from atlas.mechanics.frames_members import local_axes
from atlas.vehicles.carrying import carry
from atlas.vehicles.framing import frame_of
from atlas.vehicles.loading import load_vehicle, vehicle_files
from atlas.vehicles.loads import load_cases

from .library_vehicle import Built


def in_global_axes(framed, end_forces):
    """Our end forces, (members, 12), turned from the members' own axes."""
    frame = framed.frame
    first, second = np.asarray(frame.members).T
    nodes = np.asarray(frame.nodes)[..., None]
    _, axes = local_axes(nodes, first, second, frame.up, frame.member_name)
    parts = end_forces.reshape(len(first), 4, 3)
    return np.einsum("mpi,mij->mpj", parts, axes[..., 0]).reshape(len(first), 12)


@pytest.mark.parametrize("name", vehicle_files())
def test_every_load_case_agrees_with_pynite(name):
    vehicle = load_vehicle(name)
    framed = frame_of(vehicle)
    found = carry(framed, list(load_cases().values()))
    built = Built(vehicle, framed.node_names, [one.placed for one in found])
    assert tuple(built.parts) == framed.member_names
    for one in found:
        moved, forces = built.moved(one.case.id), built.forces(one.case.id)
        ours = in_global_axes(framed, one.response.end_forces[0])
        scale = np.abs(moved[:, :3]).max()
        assert np.abs(one.moved[0, :, :3] - moved[:, :3]).max() < 1e-6 * scale, one.case.id
        turned = np.abs(moved[:, 3:]).max()
        assert np.abs(one.moved[0, :, 3:] - moved[:, 3:]).max() < 1e-6 * turned, one.case.id
        for part in (slice(0, 3), slice(3, 6), slice(6, 9), slice(9, 12)):
            largest = np.abs(forces[:, part]).max()
            assert np.abs(ours[:, part] - forces[:, part]).max() < 1e-6 * largest, one.case.id


@pytest.mark.parametrize("name", ["demo-pickup", "demo-off-road"])
def test_forces_balance_at_both_ends_of_every_tie(name):
    """Statics: what ties, members and loads put on a node adds up to nothing."""
    vehicle = load_vehicle(name)
    framed = frame_of(vehicle)
    ends = np.asarray(framed.frame.members)
    held = {mount.node for mount in vehicle.mounts.values()}
    seats = {node for tie in vehicle.ties.values() for node in (tie.first, tie.second)} - held
    assert len(seats) >= 8
    for one in carry(framed, [load_cases()[case] for case in ("cornering", "braking", "corner")]):
        forces = in_global_axes(framed, one.response.end_forces[0])
        ties = one.mounts()
        for seat in seats:
            node = framed.node(seat)
            left = np.asarray(one.placed.loads.nodal)[node, :3].copy()
            left -= forces[ends[:, 0] == node, :3].sum(axis=0)
            left -= forces[ends[:, 1] == node, 6:9].sum(axis=0)
            for label, tie in vehicle.ties.items():
                left += ties[label][0] * ((tie.first == seat) - (tie.second == seat))
            assert np.abs(left).max() < 1e-6 * np.abs(forces).max(), (one.case.id, seat)
