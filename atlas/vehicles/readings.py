"""What a calculator can take from a vehicle: readings of its inputs, and its frame model."""

from typing import Any

from atlas.calculators.declare import Calculator
from atlas.catalogue.library import Library
from atlas.errors import BadInput
from atlas.mechanics.front_frames import Structure, without
from atlas.vehicles.framing import frame_of
from atlas.vehicles.loading import load_vehicle
from atlas.vehicles.model import Vehicle
from atlas.vehicles.structure import structure_of

Given = dict[str, Any]


def resolve(one: Calculator, given: Given, library: Library | None) -> tuple[Given, object]:
    """What a calculator takes: where ``vehicle=ID`` is given, that one's readings and model.

    Values that are given stand before the vehicle's.

    Raises:
        BadInput: the vehicle has nothing for this calculator.
        NotThere: there is no such vehicle.
    """
    if "vehicle" not in given or one.input("vehicle") is not None:
        return dict(given), None
    rest = {name: value for name, value in given.items() if name != "vehicle"}
    vehicle = load_vehicle(str(given["vehicle"]), library)
    readings = dict(vehicle.readings.get(one.id, {}))
    subject: Structure | None = None
    if one.subject:
        subject = structure_of(frame_of(vehicle))
        if one.input("part") is not None and not rest.keys() & {"part", "pattern"}:
            readings = {"part": _front_part(vehicle, subject), **readings}
    if not readings and subject is None:
        known = ", ".join(vehicle.readings) or "none"
        raise BadInput(
            f"{vehicle.id} has no readings for {one.id}", "vehicle", f"it has them for {known}"
        )
    return {**readings, **rest}, subject


def _front_part(vehicle: Vehicle, subject: Structure) -> str:
    """The part to take away first: what the front bar belongs to, else any that leaves a corner."""
    bar = vehicle.members.get(vehicle.front_bar)
    named = [name for name in (bar.patterns if bar else ()) if name in subject.patterns]
    for name in (*named, *subject.patterns):
        try:
            without(subject, name, "corner")
        except ValueError:  # the corner's load stands on it alone
            continue
        return name
    return ""
