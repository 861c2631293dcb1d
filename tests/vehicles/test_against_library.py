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
