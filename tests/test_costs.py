"""The cost model against worked examples."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from reference import band, rows, source
from validation import Check

from atlas.mechanics.costs import PROCESSES, crossover, unit_cost

LEMBKE = "R. Lembke, Operations Management, slides on break-even analysis (slidegur.com/doc/169865)"
MOULD = (
    "S. K. Gupta, multi-material molding cost (terpconnect.umd.edu/~skgupta/M3T/Form.html): a "
    "$500,000 mold over 5 million products adds $0.10 to each"
)


def _ashby(i):
    hourly = i["Cc"] / (i["load_factor"] * i["two_h"]) + i["Coh"]
    return unit_cost(
        i["m_kg"], i["Cm"], i["scrap"], i["Ct"], i["n"], i["nt"], i["rate_per_h"], hourly
    )


CHECKS = [
    *(
        Check(
            row["id"],
            "process-cost",
            source(row),
            row["expected"]["cost_per_part"],
            max(band(row)[0], 2e-6),  # printed to six figures
            lambda r=row: _ashby(r["inputs"]),
            "EUR",
        )
        for row in rows("costs", "cost.ashby.")
    ),
    Check(
        "cost.small_batch",
        "process-cost",
        "M. F. Ashby, batch model: a small batch still pays for one tool; by hand 1000/100 + 2 + 3",
        15.0,
        1e-9,
        lambda: unit_cost(1.0, 2.0, 0.0, 1000.0, 100, 1e6, 10.0, 30.0),
        "EUR",
    ),
    # Bought at 200 each; lathe 80,000 + 75 each; machining centre 200,000 + 15 each.
    Check("cost.lembke.lathe_over_buying", "process-cost", LEMBKE, 640.0, 1e-9,
          lambda: crossover(80e3, 75.0, 0.0, 200.0), ""),
    Check("cost.lembke.centre_over_lathe", "process-cost", LEMBKE, 2000.0, 1e-9,
          lambda: crossover(200e3, 15.0, 80e3, 75.0), ""),
    Check("cost.lembke.thousand_on_the_lathe", "process-cost", LEMBKE, 155e3, 1e-9,
          lambda: 1000 * unit_cost(1.0, 75.0, 0.0, 80e3, 1000, 1e9, 1.0, 0.0), "USD"),
    Check("cost.mould_over_its_life", "process-cost", MOULD, 0.10, 1e-9,
          lambda: unit_cost(0.0, 0.0, 0.0, 500e3, 5e6, 1e9, 1.0, 0.0), "USD"),
]  # fmt: skip

money = st.floats(1, 1e6)


@given(money, st.floats(0.1, 100), money, st.floats(0.1, 100))
def test_costs_are_equal_at_the_crossover(tools, running, other_tools, other_running):
    even = float(crossover(tools, running, other_tools, other_running))
    if np.isfinite(even) and 1e-3 < even < 1e9:
        one = tools / even + running
        assert one == pytest.approx(other_tools / even + other_running, rel=1e-6)


@given(st.floats(1e3, 1e6))
def test_more_parts_never_cost_more_while_tools_last(volume):
    few, many = unit_cost(5, 1, 0.3, 1e5, [volume, 2 * volume], 1e9, 60, 100)
    assert many < few


def test_every_process_is_plausible():
    for name, one in PROCESSES.items():
        assert 0 <= one.scrap < 0.95, name
        assert one.family in ("steel", "aluminium"), name


@pytest.mark.parametrize(
    ("change", "word"),
    [
        ({"scrap": 0.99}, "scrap"),
        ({"volume": 0}, "volume"),
        ({"rate": 0}, "rate"),
        ({"mass": float("nan")}, "mass"),
    ],
)
def test_refuses_by_name(change, word):
    usual = {
        "mass": 1,
        "price": 1,
        "scrap": 0,
        "tool_cost": 1,
        "volume": 10,
        "tool_life": 10,
        "rate": 1,
        "hourly": 1,
    }
    with pytest.raises(ValueError, match=word):
        unit_cost(**{**usual, **change})
