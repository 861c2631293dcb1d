"""What a part costs at a volume: metal, tools, machine time, seams."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .ranges import within

Floats = NDArray[np.float64]


def unit_cost(
    mass: ArrayLike,
    price: ArrayLike,
    scrap: ArrayLike,
    tool_cost: ArrayLike,
    volume: ArrayLike,
    tool_life: ArrayLike,
    rate: ArrayLike,
    hourly: ArrayLike,
) -> Floats:
    """Cost of one part in a batch.

    Args:
        mass: mass of the part [kg].
        price: price of the metal [EUR/kg].
        scrap: share of the metal bought that does not stay in the part [-].
        tool_cost: cost of one set of tools [EUR].
        volume: parts made in all [-].
        tool_life: parts that a set of tools makes [-].
        rate: parts made in an hour [1/h].
        hourly: machine, labour and overhead in an hour [EUR/h].

    Returns:
        Unit cost [EUR].

    Raises:
        ValueError: an entry is NaN or outside its range; the message names the argument.

    Leaves out: price of scrap sold, learning, logistics, margin.
    Source: M. F. Ashby, Materials Selection in Mechanical Design, process cost model:
    C = m C_m / (1 - f) + (C_t / n) Int(n / n_t + 0.51) + C_h / rate, Int to the nearest
    integer (from memory).

    >>> round(float(unit_cost(2.5, 3.2, 0.1, 250e3, 1e4, 8e4, 60, 215)), 2)
    37.47
    """
    metal = within("mass", mass, 0, 1e4) * within("price", price, 0, 1e4)
    number = within("volume", volume, 1, 1e9)
    sets = np.maximum(np.rint(number / within("tool_life", tool_life, 1, 1e9) + 0.51), 1.0)
    tools = within("tool_cost", tool_cost, 0, 1e9) * sets / number
    hours = within("hourly", hourly, 0, 1e5) / within("rate", rate, 0, 1e5, above=True)
    return np.asarray(metal / (1 - within("scrap", scrap, 0, 0.95)) + tools + hours)


def crossover(
    tools_one: ArrayLike, running_one: ArrayLike, tools_other: ArrayLike, running_other: ArrayLike
) -> Floats:
    """Number of parts at which two ways of making them cost the same.

    Args:
        tools_one: cost of tools of the first [EUR].
        running_one: cost of one further part of the first [EUR].
        tools_other: cost of tools of the second [EUR].
        running_other: cost of one further part of the second [EUR].

    Returns:
        Parts [-]; infinite where one way is cheaper at every number.

    Leaves out: wear of tools.
    Source: break-even of two straight lines, arithmetic.

    >>> float(crossover(1000.0, 1.0, 0.0, 3.0))
    500.0
    """
    gap = np.asarray(tools_one, dtype=np.float64) - np.asarray(tools_other, dtype=np.float64)
    slope = np.asarray(running_other, dtype=np.float64) - np.asarray(running_one, dtype=np.float64)
    number = np.divide(
        gap, slope, out=np.full(np.broadcast(gap, slope).shape, np.inf), where=slope != 0
    )
    return np.asarray(np.where(number > 0, number, np.inf))


@dataclass(frozen=True)
class Process:
    """A way of making a structural part; figures are typical, common practice, no source."""

    title: str
    family: str
    tools: float  # [EUR] for a part of about 5 kg
    life: float  # [-] parts a set of tools makes
    cycle: float  # [s] a part
    hourly: float  # [EUR/h] line, labour, overhead
    scrap: float  # [-] of the metal bought
    premium: float  # [-] price of the form over the family's base price


PROCESSES: dict[str, Process] = {
    "stamped-steel": Process("pressed sheet steel", "steel", 900e3, 800e3, 8, 420, 0.40, 1.0),
    "hot-stamped-steel": Process(
        "press-hardened sheet steel", "steel", 1.1e6, 300e3, 20, 900, 0.42, 1.25
    ),
    "hydroformed-steel": Process(
        "hydroformed steel tube", "steel", 500e3, 500e3, 30, 350, 0.15, 1.3
    ),
    "stamped-aluminium": Process(
        "pressed sheet aluminium", "aluminium", 950e3, 600e3, 10, 450, 0.42, 1.1
    ),
    "extruded-aluminium": Process(
        "sawn and machined extrusion", "aluminium", 60e3, 200e3, 90, 160, 0.20, 1.0
    ),
    "die-cast-aluminium": Process(
        "high-pressure die casting", "aluminium", 750e3, 120e3, 75, 380, 0.12, 0.75
    ),
    "forged-aluminium": Process("forging, machined", "aluminium", 250e3, 60e3, 40, 400, 0.35, 1.0),
    "machined-plate": Process("machined from plate", "aluminium", 8e3, 500e3, 1500, 110, 0.70, 1.1),
}
