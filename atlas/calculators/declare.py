"""What a calculator declares; forms, command line, help and reports are rendered from it."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from atlas.calculators.figure import Figure

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Number:
    """A reading with a unit, in words for the person who takes it.

    ``low`` and ``high`` bound the formula's validity in the declared unit, ends included.
    """

    name: str
    unit: str
    default: str  # as a person would type it: "2.5", "2.2..2.8", "40+-2"
    low: float
    high: float
    help: str
    whole: bool = False  # counts: rounded after sampling


@dataclass(frozen=True)
class Choice:
    """One of a few named options."""

    name: str
    default: str
    options: Mapping[str, str]  # option -> what it means
    help: str


@dataclass(frozen=True)
class Words:
    """Free text that the calculator reads itself (points, laps, polygons)."""

    name: str
    default: str
    help: str
    example: str = ""


Input = Number | Choice | Words


@dataclass(frozen=True)
class Output:
    """A result. With ``labels`` it is one of several named outcomes, given as an index.

    An ``optional`` one may be left out by ``evaluate`` where it was not asked for.
    """

    name: str
    unit: str
    help: str
    labels: tuple[str, ...] = ()
    optional: bool = False


@dataclass(frozen=True)
class Sampled:
    """Inputs and results of one run, every array of the same length, in declared units."""

    inputs: Mapping[str, Any]
    results: Mapping[str, Floats]
    varies: bool

    def __getitem__(self, name: str) -> Floats:
        return self.results[name]

    def median(self, name: str) -> float:
        """Median of a result, own unit."""
        return float(np.median(self.results[name]))

    def share(self, mask: NDArray[np.bool_]) -> float:
        """Share of samples in which the mask holds, 0..1."""
        return float(np.mean(mask))

    def span(self, name: str, digits: int = 3) -> str:
        """A result in words: '41.2' or '41.2 (38.0 to 44.9)'."""
        values = self.results[name]
        low, middle, high = np.percentile(values, (5, 50, 95))
        if not self.varies or np.isclose(low, high, rtol=1e-9):
            return figures(middle, digits)
        return f"{figures(middle, digits)} ({figures(low, digits)} to {figures(high, digits)})"


Evaluate = Callable[..., dict[str, Any]]


@dataclass(frozen=True)
class Calculator:
    """One question, answered.

    ``evaluate`` takes every input by name (numbers as SI arrays of one length, choices and words
    as strings) and returns every output by name as SI arrays; it raises ``ValueError`` with a
    message that names the input. Where ``subject`` is set it also accepts ``subject=`` an object
    of that kind, or None. Where ``causes`` is set, it names further causes of variation that follow
    from the words typed (the scatter of each marked point); ``evaluate`` then accepts ``causes=`` a
    mapping from each name to standard normal samples.
    """

    id: str
    title: str
    question: str
    inputs: tuple[Input, ...]
    outputs: tuple[Output, ...]
    evaluate: Evaluate
    findings: Callable[[Sampled], list[str]]
    figure: Callable[[Sampled], Figure]
    leaves_out: str
    cautions: tuple[str, ...]
    sources: tuple[str, ...]
    leading: str = ""  # the input against which the response is best drawn
    subject: str = ""
    causes: Callable[[Mapping[str, str]], tuple[str, ...]] | None = None
    also: Mapping[str, str] = field(default_factory=dict)  # other names of inputs -> name

    def input(self, name: str) -> Input | None:
        """The input of that name, or None."""
        wanted = self.also.get(name, name)
        return next((one for one in self.inputs if one.name == wanted), None)

    def output(self, name: str) -> Output | None:
        """The output of that name, or None."""
        return next((one for one in self.outputs if one.name == name), None)


def figures(value: float, digits: int = 3) -> str:
    """A number with so many significant figures and no exponent below a million.

    >>> figures(41234.5), figures(0.012345), figures(-3.0), figures(1e7, 6)
    ('41,200', '0.0123', '-3', '1e+07')
    """
    if value == 0 or not np.isfinite(value):
        return "0" if value == 0 else str(value)
    places = digits - 1 - int(np.floor(np.log10(abs(value))))
    rounded = round(value, places)
    if abs(rounded) >= 1e6 or abs(rounded) < 1e-4:
        mantissa, exponent = f"{rounded:.{digits - 1}e}".split("e")
        return f"{mantissa.rstrip('0').rstrip('.')}e{exponent}"
    text = f"{rounded:,.{max(places, 0)}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
