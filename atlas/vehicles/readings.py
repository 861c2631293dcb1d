"""What a calculator can take from a vehicle."""

from typing import Any

from atlas.calculators.declare import Calculator
from atlas.catalogue.library import Library
from atlas.errors import BadInput

Given = dict[str, Any]


def resolve(one: Calculator, given: Given, library: Library | None) -> tuple[Given, object]:
    """What a calculator takes: where ``vehicle=ID`` is given, that one's readings and model.

    Values that are given stand before the vehicle's.

    Raises:
        BadInput: the calculator takes no vehicle.
        NotThere: there is no such vehicle.
    """
    if "vehicle" not in given or one.input("vehicle") is not None:
        return dict(given), None
    raise BadInput("takes no vehicle", one.id, "give its inputs by hand")
