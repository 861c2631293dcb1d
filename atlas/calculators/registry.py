"""Finds calculators: each is one module of ``atlas.calculators.models`` with a ``CALCULATOR``."""

from importlib import import_module
from pkgutil import iter_modules

from atlas.calculators import models
from atlas.calculators.declare import Calculator
from atlas.catalogue.nearest import suggestion
from atlas.errors import NotThere


def calculator_ids() -> tuple[str, ...]:
    """Ids of all calculators, in alphabetical order; imports none of them.

    >>> "mass-estimate" in calculator_ids()
    True
    """
    return tuple(
        sorted(m.name.replace("_", "-") for m in iter_modules(models.__path__) if m.name[0] != "_")
    )


def calculator(name: str) -> Calculator:
    """The calculator of that id.

    Raises:
        NotThere: there is none; the message offers the nearest.
    """
    if name not in calculator_ids():
        remedy = suggestion(name[:100], calculator_ids(), "'atlas calc' lists them")
        raise NotThere(f"no calculator {name[:60]!r}", remedy=remedy)
    module = import_module(f"{models.__name__}.{name.replace('-', '_')}")
    declared: Calculator = module.CALCULATOR
    return declared
