"""Whether a number bears out what a structure was first taken for."""

from dataclasses import dataclass
from typing import Any

from atlas.calculators.registry import calculator
from atlas.calculators.running import Outcome, run
from atlas.catalogue.library import Library
from atlas.vehicles.model import Look
from atlas.vehicles.readings import resolve


@dataclass(frozen=True)
class Borne:
    """A run, the inputs as typed, the share of samples that bear the guess out, and the words."""

    outcome: Outcome
    typed: dict[str, Any]
    share: float
    says: str


def bear_out(look: Look, vehicle_id: str, library: Library | None) -> Borne:
    """Run a structure's calculation with the vehicle's readings.

    Raises:
        BadInput: the vehicle has nothing for it, or a reading lies outside its range.
        NotThere: there is no such calculator or vehicle.
    """
    chosen = calculator(look.calculator)
    typed = {"vehicle": vehicle_id, **look.inputs}
    given, subject = resolve(chosen, typed, library)
    outcome = run(chosen, given, subject=subject)
    share = share_of(outcome, look)
    return Borne(outcome, typed, share, look.supports if share > 0.5 else look.refutes)


def share_of(outcome: Outcome, look: Look) -> float:
    """Share of samples in which the result lies where the text needs it, 0 to 1."""
    values = outcome.sampled[look.result]
    held = values == values
    if look.above is not None:
        held &= values > look.above
    if look.below is not None:
        held &= values < look.below
    return float(held.mean())
