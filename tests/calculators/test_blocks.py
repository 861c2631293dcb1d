import numpy as np
import pytest

from atlas.calculators.blocks import in_blocks


def work(a, b, name):
    return {"ratio": a / b, "flat": np.ones(1), "seen": np.full(len(a), len(a))}


@pytest.mark.parametrize("size", [1, 3, 7, 10, 99])
def test_blocks_give_what_one_run_gives(size):
    given = {"a": np.arange(10.0), "b": np.arange(1.0, 11.0), "name": "words go through"}
    found = in_blocks(work, given, size)
    assert found["ratio"] == pytest.approx(given["a"] / given["b"], rel=0)
    assert found["flat"].tolist() == [1.0] * 10
    assert found["seen"].max() == min(size, 10)


def test_the_error_state_holds_on_both_threads():
    """Warnings are errors here: a thread without the caller's error state would raise."""
    with np.errstate(divide="ignore"):
        found = in_blocks(work, {"a": np.ones(9), "b": np.zeros(9), "name": ""}, 2)
    assert np.isinf(found["ratio"]).all()


def test_the_first_block_that_refuses_is_heard():
    def fussy(a):
        if a.max() > 5:
            raise ValueError(f"a must be at most 5, got {a.min():g}")
        return {"a": a}

    with pytest.raises(ValueError, match="got 6"):
        in_blocks(fussy, {"a": np.arange(12.0)}, 2)
