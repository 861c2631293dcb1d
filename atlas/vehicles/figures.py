"""What a solved vehicle says, as figures with units and ranges: for screens and reports alike."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal, get_args

import numpy as np
from numpy.typing import ArrayLike

from atlas.calculators.declare import figures
from atlas.calculators.running import Result
from atlas.vehicles.carrying import Carried
from atlas.vehicles.model import Profile
from atlas.vehicles.worth import LOST, Worth

_STIFFENS = 1.005  # with over without; two decimals are shown
_ROUNDING = 1e-9  # in the unit shown; a solved frame's forces and movements err by about as much
State = Literal["kept", "moved", "lost", "mechanism", "no foothold"]
_LOST = (
    f"load path lost: at the same movement the rest takes less than a {LOST:.0f}th of it, so that "
    "a factor would say nothing"
)
_SHAPES = {
    "round-tube": "round tube", "multi-cell": "extrusion with inner webs", "hat": "open hat",
    "closed-hat": "closed hat", "i-section": "I", "flat": "solid rectangle", "rod": "solid round",
}  # fmt: skip


def quantity(values: ArrayLike, factor: float, unit: str) -> Result:
    """Median and 5 to 95 % of samples; no range where there is one sample only.

    >>> quantity([0.001, 0.002, 0.003], 1e3, "mm").value
    2.0
    """
    flat = np.ravel(np.asarray(values, dtype=np.float64)) * factor
    flat = np.where(np.abs(flat) < _ROUNDING, 0.0, flat)
    low, middle, high = (float(v) for v in np.percentile(flat, (5, 50, 95)))
    if flat.size == 1:
        return Result(middle, unit, None, None)
    return Result(middle, unit, low, high)


def stiffness_of(carried: Carried) -> Result:
    """Size of the load over the movement of the place that is watched."""
    unit = "kN m/mm" if carried.case.size.by == "torque" else "kN/mm"
    return quantity(carried.stiffness, 1e-6, unit)


def results_of(carried: Carried) -> dict[str, Result]:
    """A load case's figures by name: the load, what it moves, how stiff and how far used."""
    spacing, shift = carried.rails()
    torque = carried.case.size.by == "torque"
    found = {
        "load": Result(carried.placed.size / 1e3, "kN m" if torque else "kN", None, None),
        "movement": quantity(carried.movement, 1e3, "mm"),
        "stiffness": stiffness_of(carried),
        "peak use": quantity(carried.peak, 1.0, ""),
    }
    if np.all(np.isfinite(spacing)):  # else a rail's tip is gone
        found["rails apart"] = quantity(spacing, 1e3, "mm")
        found["left rail back"] = quantity(shift, 1e3, "mm")
    bar = carried.bar()
    if bar is not None:
        found["front bar"] = quantity(bar, 1e-3, "kN")
    return found


def mount_forces(carried: Carried) -> dict[str, Result]:
    """Size of the force through each mount and tie, largest first."""
    found = {
        name: quantity(np.linalg.norm(force, axis=-1), 1e-3, "kN")
        for name, force in carried.mounts().items()
    }
    return dict(sorted(found.items(), key=lambda pair: -float(pair[1].value)))


def member_results(carried: Carried, name: str) -> dict[str, Result]:
    """A member's force along it (pull positive), its largest end moment, and its use."""
    index = carried.framed.member(name)
    response = carried.response
    return {
        "axial force": quantity(response.axial[..., index], 1e-3, "kN"),
        "end moment": quantity(response.bending()[..., index], 1e-3, "kN m"),
        "use": quantity(carried.use[..., index], 1.0, ""),
    }


def profile_words(profile: Profile) -> str:
    """A section in words.

    >>> profile_words(Profile("box", 80, 70, 5.5)), profile_words(Profile("flat", 40, 25))
    ('box 80 x 70 mm, gauge 5.5 mm', 'solid rectangle 40 x 25 mm')
    """
    size = f"{profile.width:g}" + (f" x {profile.height:g}" if profile.height else "")
    words = f"{_SHAPES.get(profile.shape, profile.shape)} {size} mm"
    if profile.gauge and profile.shape not in ("rod", "flat"):
        words += f", gauge {profile.gauge:g} mm"
    if profile.second_gauge:
        words += f", webs {profile.second_gauge:g} mm"
    return words


@dataclass(frozen=True)
class Bought:
    """What a pattern buys in one load case.

    Attributes:
        state: how the load fares without it: its path is kept, has moved to another place, is
            lost, it has nothing to stand on, or what is left is a mechanism. Only where the path
            is kept is there a ratio.
    """

    pattern: str
    along: tuple[str, ...]
    mass: Result  # [kg]
    state: State
    ratio: Result | None = None  # stiffness with over without
    per_kilogram: Result | None = None
    peak: Result | None = None
    peak_without: Result | None = None
    notes: tuple[str, ...] = ()


def bought(row: Worth, case: str) -> Bought:
    """A pattern's row for one load case."""
    mass = quantity(row.mass, 1.0, "kg")
    gain = row.gains.get(case)
    if gain is None:
        none: State = "no foothold" if row.stands else "mechanism"
        notes = (row.fault or "the load has nothing to stand on without it",)
        return Bought(row.pattern, row.along, mass, none, notes=notes)
    state: State = "moved" if not gain.comparable else "lost" if gain.lost else "kept"
    ratio = per = None
    if state == "kept":
        ratio = quantity(gain.ratio, 1.0, "")
        if float(np.median(row.mass)) > 1e-6:
            unit = "kN m/mm/kg" if gain.torque else "kN/mm/kg"
            per = quantity(row.per_kilogram(case), 1e-6, unit)
    return Bought(
        row.pattern, row.along, mass, state, ratio, per, quantity(gain.peak, 1.0, ""),
        quantity(gain.peak_without, 1.0, ""), (*gain.notes, *_otherwise(row), *_lost(row, state)),
    )  # fmt: skip


def _otherwise(row: Worth) -> list[str]:
    if not row.otherwise:
        return []
    return [
        f"{', '.join(row.otherwise)} hold without it as on vehicles that lack it, rubber for "
        "bolts or bolts for rubber, a bare wall for a braced one: below 1 is what the softer joint "
        "costs"
    ]


def _lost(row: Worth, state: State) -> list[str]:
    if state != "lost":
        return []
    return [
        _LOST + (f"; nothing is held any more by {', '.join(row.unheld)}" if row.unheld else "")
    ]


def rank(one: Bought) -> tuple[int, float]:
    """Sorts rows: most gain in stiffness first, then those without a ratio, by what befell them."""
    ratio = float(one.ratio.value) if one.ratio is not None else 0.0
    return get_args(State).index(one.state), -ratio


def stiffening(rows: Iterable[Bought]) -> list[Bought]:
    """Those that stiffen by more than a rounding in the last digit shown, most first."""
    kept = [one for one in rows if one.ratio is not None and float(one.ratio.value) > _STIFFENS]
    return sorted(kept, key=rank)


def state_words(one: Bought) -> str:
    """The stiffness ratio, or why there is none.

    >>> one = Bought("x", (), Result(1.0, "kg", None, None), "mechanism")
    >>> state_words(one)
    'a mechanism without it'
    """
    if one.ratio is not None:
        return f"×{figures(float(one.ratio.value))}"
    return {
        "moved": "the load stands elsewhere without it",
        "lost": "load path lost without it",
        "mechanism": "a mechanism without it",
        "no foothold": "the load has no foothold without it",
        "kept": "",
    }[one.state]
