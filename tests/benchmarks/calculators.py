"""Every calculator with 10,000 samples: ``python tests/benchmarks/calculators.py``.

Drivers are included. The peer is numpy drawing and sorting 10,000 by 12 normal samples in the same
run. Goals: 150 ms warm, 3 s for ``glance-off`` and ``limit-load``.
"""

import time
from collections.abc import Callable

import numpy as np

from atlas.calculators.registry import calculator, calculator_ids
from atlas.calculators.running import run
from atlas.vehicles.readings import resolve


def best(work: Callable[[], object], times: int = 3) -> float:
    spent = []
    for _ in range(times):
        start = time.perf_counter()
        work()
        spent.append(time.perf_counter() - start)
    return min(spent)


def main() -> None:
    rng = np.random.default_rng(1)
    peer = best(lambda: np.sort(rng.standard_normal((10_000, 12)), axis=0))
    print(f"{'numpy draw and sort':22}{peer * 1e3:9.1f} ms")
    for name in calculator_ids():
        one = calculator(name)
        run(one, {}, samples=50)
        spent = best(lambda one=one: run(one, {}))  # type: ignore[misc]
        goal = 3.0 if name in {"glance-off", "limit-load"} else 0.15
        mark = "" if spent <= goal else "   over its goal"
        print(f"{name:22}{spent * 1e3:9.1f} ms{spent / peer:9.1f} of the peer{mark}")
    frame = calculator("front-frame")
    _, pickup = resolve(frame, {"vehicle": "demo-pickup"}, None)
    spent = best(lambda: run(frame, {}, subject=pickup))
    print(f"{'  of a demo vehicle':22}{spent * 1e3:9.1f} ms{spent / peer:9.1f} of the peer")


if __name__ == "__main__":
    main()
