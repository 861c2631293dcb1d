"""Many samples worked through block by block, two blocks beside each other."""

from collections.abc import Callable, Mapping
from concurrent.futures import ThreadPoolExecutor
from contextvars import copy_context
from functools import partial
from typing import Any

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

_THREADS = 2


def in_blocks(
    work: Callable[..., Mapping[str, Any]], values: Mapping[str, Any], size: int
) -> dict[str, Floats]:
    """Results of ``work`` on some samples at a time, so that its arrays stay near the processor.

    Args:
        work: takes ``values`` by name, gives one entry or one a sample for each result.
        values: arrays of one length, which are cut, and anything else, which is handed on.
        size: samples at a time [-].

    >>> in_blocks(lambda a, b: {"sum": a + b, "one": np.ones(1)}, {"a": np.arange(3.0), "b": 1}, 2)
    {'sum': array([1., 2., 3.]), 'one': array([1., 1., 1.])}
    """
    count = max(len(one) for one in values.values() if isinstance(one, np.ndarray))

    def block(start: int) -> dict[str, Floats]:
        part = slice(start, min(start + size, count))
        cut = {k: one[part] if isinstance(one, np.ndarray) else one for k, one in values.items()}
        shape = (part.stop - start,)
        return {name: np.broadcast_to(one, shape) for name, one in work(**cut).items()}

    starts = range(0, count, size)
    if len(starts) == 1:
        return block(0)
    # numpy lets go of the interpreter's lock; its error state goes with the context.
    with ThreadPoolExecutor(_THREADS) as pool:
        found = list(pool.map(lambda one: one(), [
            partial(copy_context().run, block, start) for start in starts
        ]))  # fmt: skip
    return {name: np.concatenate([one[name] for one in found]) for name in found[0]}
