"""Frame engine against PyNiteFEA and a bare dense solve: ``python tests/benchmarks/frames.py``.

Prints agreement on 200 random space frames and the time of 10,000 variants of a front structure
with 40 nodes and 80 members; the other two are measured on a part and scaled, in the same run.
"""

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import resource
import sys
import time
from dataclasses import replace
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from frame_library import MODULUS, SHEAR, by_library, library_model, library_results, random_frame

from atlas.mechanics.frames import Frame, Loads, solve

VARIANTS = 10_000


def front_frame() -> tuple[Frame, Loads]:
    """Four longitudinals at ten stations with rings and braces: 40 nodes, 80 members."""
    rng = np.random.default_rng(3)
    corners = np.array([[-0.45, 0.0], [0.45, 0.0], [0.6, 0.35], [-0.6, 0.35]])
    places = [(0.12 * station, y, z) for station in range(10) for y, z in corners]
    members = [(4 * s + c, 4 * s + 4 + c) for s in range(9) for c in range(4)]
    members += [(4 * s + c, 4 * s + (c + 1) % 4) for s in range(10) for c in range(4)]
    members += [(4 * s, 4 * s + 5) for s in (0, 2, 4, 6)]
    supports = np.zeros((40, 6), bool)
    supports[36:] = True
    supports[36:, 4] = False
    area, inertia = rng.uniform(4e-4, 2e-3, 80), rng.uniform(1e-7, 2e-6, (3, 80))
    frame = Frame(
        nodes=np.array(places) + rng.normal(0, 0.01, (40, 3)),
        members=np.array(members),
        EA=MODULUS * area,
        EIy=MODULUS * inertia[0],
        EIz=MODULUS * inertia[1],
        GJ=SHEAR * inertia[2],
        supports=supports,
        up=np.array([0.0, 1.0, 0.0]),
    )
    nodal = np.zeros((40, 6))
    nodal[0, :3] = 40e3, 10e3, -5e3
    nodal[18, 2] = -8e3
    return frame, Loads(nodal)


def variants(frame: Frame, count: int) -> Frame:
    """The frame with every section and every node of every sample its own."""
    rng = np.random.default_rng(5)

    def spread(values: np.ndarray) -> np.ndarray:
        return values * rng.uniform(0.6, 1.6, (count, len(values)))

    return replace(
        frame,
        nodes=frame.nodes + rng.normal(0, 0.01, (count, *frame.nodes.shape)),
        EA=spread(frame.EA),
        EIy=spread(frame.EIy),
        EIz=spread(frame.EIz),
        GJ=spread(frame.GJ),
    )


def one(frame: Frame, sample: int) -> Frame:
    """One sample on its own."""
    return replace(
        frame, nodes=frame.nodes[sample], EA=frame.EA[sample], EIy=frame.EIy[sample],
        EIz=frame.EIz[sample], GJ=frame.GJ[sample],
    )  # fmt: skip


def agreement() -> float:
    """Largest relative difference over 200 random frames."""
    worst = 0.0
    for seed in range(200):
        frame, loads = random_frame(np.random.default_rng(seed))
        ours = solve(frame, loads)
        for mine, theirs in zip(
            (ours.displacements[0], ours.end_forces[0]), by_library(frame, loads), strict=True
        ):
            worst = max(worst, float(np.abs(mine - theirs).max() / np.abs(theirs).max()))
    return worst


def main() -> None:
    """Measure and print."""
    print(f"agreement with PyNiteFEA on 200 random frames: {agreement():.1e}")
    frame, loads = front_frame()
    some = variants(frame, VARIANTS)
    solve(variants(frame, 64), loads)
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    spent = []
    for _ in range(3):
        start = time.perf_counter()
        result = solve(some, loads)
        spent.append(time.perf_counter() - start)
    mine = min(spent)
    more = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - memory

    free = int(np.sum(~frame.supports))
    rng = np.random.default_rng(1)
    half = rng.normal(size=(500, free, free))
    dense = half @ half.swapaxes(1, 2) + free * np.eye(free)
    side = rng.normal(size=(500, free, 1))
    np.linalg.solve(dense[:10], side[:10])
    spent = []
    for _ in range(3):
        start = time.perf_counter()
        np.linalg.solve(dense, side)
        spent.append((time.perf_counter() - start) * VARIANTS / 500)
    bare = min(spent)

    start = time.perf_counter()
    for sample in range(25):
        model = library_model(one(some, sample), loads)
        model.analyze_linear(check_stability=False)
        moved, forces = library_results(model, 40, 80)
        scale = np.abs(moved).max()
        assert np.abs(result.displacements[sample] - moved).max() < 1e-6 * scale
        assert np.abs(result.end_forces[sample] - forces).max() < 1e-6 * np.abs(forces).max()
    library = (time.perf_counter() - start) * VARIANTS / 25
    print(f"{VARIANTS} variants of 40 nodes, 80 members: {mine:.2f} s, {more / 1024:.0f} MB more")
    print(f"bare dense solve, {free} unknowns: {bare:.2f} s; ours takes {mine / bare:.2f} of it")
    print(f"PyNiteFEA loop: {library:.0f} s; ours is {library / mine:.0f} times faster")


if __name__ == "__main__":
    main()
