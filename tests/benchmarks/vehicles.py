"""Vehicles against a PyNiteFEA loop: ``python tests/benchmarks/vehicles.py``.

The largest shipped vehicle: its whole table with and without every pattern for all load cases, and
a study of 1,000 draws of gauges, mounts and joints. The other library solves the same models, built
through its own interface; its times for table and study are scaled from some of them, measured in
the same run.
"""

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import sys
import time
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "vehicles"))

from library_vehicle import Built

from atlas.vehicles.carrying import carry, sweep
from atlas.vehicles.framing import frame_of, patterns_of
from atlas.vehicles.loading import load_vehicle, vehicle_files
from atlas.vehicles.loads import load_cases
from atlas.vehicles.model import Vehicle
from atlas.vehicles.worth import worths

SAMPLES = 1000
CASES = list(load_cases().values())


def spent(work, times: int = 3) -> float:
    """Seconds, the best of some."""
    best = np.inf
    for _ in range(times):
        start = time.perf_counter()
        work()
        best = min(best, time.perf_counter() - start)
    return best


def table(vehicle: Vehicle) -> None:
    """Every load case with and without every pattern, nominal."""
    for row in worths(vehicle, CASES):
        for gain in row.gains.values():
            assert np.isfinite(gain.stiffness).all()


def study(vehicle: Vehicle) -> None:
    """The same for a thousand draws."""
    for row in worths(vehicle, CASES, SAMPLES):
        for gain in row.gains.values():
            assert gain.stiffness.shape == (SAMPLES,)


def variants(vehicle: Vehicle) -> int:
    """Structures that the table solves: the whole, and one for each different loss."""
    losses = {frozenset(row.members) for row in worths(vehicle, [])}
    return 1 + len(losses)


def main() -> None:
    """Measure and print."""
    sizes = {name: load_vehicle(name) for name in vehicle_files()}
    costs = {name: spent(lambda v=v: table(v), 1) for name, v in sizes.items()}
    for name, cost in costs.items():
        v = sizes[name]
        print(f"{name}: {len(v.nodes)} nodes, {len(v.members)} members, "
              f"{len(patterns_of(v))} patterns, table {cost:.2f} s")  # fmt: skip
    largest = max(costs, key=lambda name: (len(sizes[name].nodes), name))
    slowest = max(costs, key=lambda name: costs[name])
    for name in dict.fromkeys((largest, slowest)):
        vehicle = sizes[name]
        framed = frame_of(vehicle)
        placed = [one.placed for one in carry(framed, CASES)]
        theirs = spent(lambda v=vehicle, f=framed, p=placed: Built(v, f.node_names, p))
        count = variants(vehicle)
        mine = spent(lambda v=vehicle: table(v))
        print(f"\n{name}: table of {len(CASES)} load cases by {count} structures")
        print(f"  ours {mine:.2f} s (must be under 1 s)")
        print(f"  PyNiteFEA loop {theirs * count:.1f} s, {theirs * count / mine:.0f} times as long")
        busy = time.process_time()
        drawn = spent(lambda v=vehicle: study(v), 1)
        busy = time.process_time() - busy
        print(
            f"study of {SAMPLES} draws: ours {drawn:.1f} s (must be under 10 s on a machine with "
            f"nothing else to do), {busy:.1f} s of processors on two threads"
        )
        loop = theirs * count * SAMPLES
        print(f"  PyNiteFEA loop {loop / 3600:.1f} h, {loop / drawn:.0f} times as long")
        swept = spent(lambda f=framed: sweep(f, CASES[0]))
        print(f"  sweep of the corner: {swept * 1e3:.0f} ms")


if __name__ == "__main__":
    main()
