"""A value as people give it: a number, a range, a tolerance, with or without a unit."""

import math
import re
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from atlas.calculators.units import convert
from atlas.errors import BadInput

Floats = NDArray[np.float64]

_NUMBER = r"[+-]?(?:\d+(?:[.,]\d+)?|\.\d+)(?:[eE][+-]?\d+)?"
_PLAIN_UNIT = r"[A-Za-z°][A-Za-z°²³/]*"
# How ranges are written elsewhere; a dash could as well be a sign or a tolerance.
_OTHER_RANGE = re.compile(rf"^\s*(?P<low>{_NUMBER})\s*(?:-|to)\s*(?P<high>{_NUMBER})")
_VALUE = re.compile(
    rf"""^\s*(?P<first>{_NUMBER})\s*
    (?:
        (?P<own>{_PLAIN_UNIT})?\s*\.\.\s*(?P<second>{_NUMBER})\s*
        (?:(?P<between>{_PLAIN_UNIT})?\s*\.\.\s*(?P<third>{_NUMBER})\s*)?
      | (?P<centre>{_PLAIN_UNIT})?\s*(?:\+-|\+/-|±)\s*(?P<sd>{_NUMBER})\s*(?P<percent>%)?\s*
    )?
    (?P<unit>[A-Za-z%°²³·/*^()\s\d.-]*?)\s*
    (?:@\s*(?P<tie>[A-Za-z][\w-]*)(?::(?P<follows>[+-]?(?:\d+(?:\.\d+)?|\.\d+)))?)?\s*$""",
    re.VERBOSE,
)
_LONGEST = 500  # characters: a reading takes fewer, and the patterns slow down on endless ones
FORMS = "2.5, 0.1in, 2.2..2.8, 2.2..2.5..2.8 or 2.5+-0.2"


@dataclass(frozen=True)
class Spread:
    """A reading in the input's own unit, as a distribution.

    ``kind`` is ``fixed``, ``uniform``, ``triangular`` or ``normal`` (one standard deviation).
    Readings with the same ``tie`` come off one scale: they move up and down together. How closely
    each ``follows`` that scale lies in -1..1; two readings correlate by the product of theirs.
    """

    kind: str
    centre: float
    low: float
    high: float
    sd: float = 0.0
    tie: str = ""
    follows: float = 1.0

    @property
    def varies(self) -> bool:
        """Whether the reading is anything but one number."""
        return self.kind != "fixed"

    def at(self, quantile: Floats) -> Floats:
        """Values at the quantiles (0..1, any shape), own unit.

        >>> Spread("uniform", 2.5, 2.0, 3.0).at(np.array([0.0, 0.5, 1.0]))
        array([2. , 2.5, 3. ])
        """
        if self.kind == "uniform":
            return self.low + (self.high - self.low) * quantile
        if self.kind == "triangular":
            width = self.high - self.low
            turn = (self.centre - self.low) / width
            left = self.low + np.sqrt(quantile * width * (self.centre - self.low))
            right = self.high - np.sqrt((1 - quantile) * width * (self.high - self.centre))
            return np.where(quantile < turn, left, right)
        if self.kind == "normal":
            return self.centre + self.sd * normal_quantile(quantile)
        return np.full_like(quantile, self.centre)

    @property
    def interval(self) -> tuple[float, float]:
        """Bounds of a range; 5th and 95th percentile of a tolerance."""
        if self.kind == "normal":
            return self.centre - 1.6448536269514722 * self.sd, (
                self.centre + 1.6448536269514722 * self.sd
            )
        return self.low, self.high


def read_value(text: str | float | int, unit: str, name: str) -> Spread:
    """Read what somebody typed for the input ``name`` with own unit ``unit``.

    Raises:
        BadInput: not a number in any of the forms, not finite, or of another dimension.

    >>> read_value("2.2..2.8", "mm", "gauge").kind
    'uniform'
    >>> read_value("0.1in", "mm", "gauge").centre
    2.54
    >>> read_value("9cm..110mm", "mm", "depth").interval
    (90.0, 110.0)
    >>> read_value("900+-3@photo:0.6", "mm", "length").follows
    0.6
    >>> read_value("about two", "mm", "gauge").centre
    Traceback (most recent call last):
    atlas.errors.BadInput: gauge: cannot read 'about two'; write a value as ... (mm), unit last
    """
    if isinstance(text, bool):
        raise _unreadable(str(text), unit, name)
    if isinstance(text, int | float):
        text = repr(float(text))
    if len(text) > _LONGEST:
        raise _unreadable(text, unit, name)
    text = text.replace("−", "-").replace("–", "-").replace("…", "..")
    if other := _OTHER_RANGE.match(text):
        low, high = other["low"], other["high"]
        raise BadInput(
            f"cannot read {text.strip()[:60]!r}", name, f"write a range as {low}..{high}"
        )
    found = _VALUE.match(text)
    if found is None:
        raise _unreadable(text, unit, name)
    given = found["unit"].strip().replace("°", "deg")
    early = [found[part] for part in ("own", "between", "centre") if found[part]]
    if early and not given:
        raise BadInput(f"{text.strip()[:60]!r} ends without a unit", name, f"end it in {early[0]}")
    units = {"first": found["own"] or found["centre"], "second": found["between"]}
    numbers = [
        convert(
            float(found[part].replace(",", ".")),
            (units.get(part) or given).replace("°", "deg"), unit, name,
        )
        for part in ("first", "second", "third")
        if found[part]
    ]  # fmt: skip
    if not all(math.isfinite(number) for number in numbers):
        raise BadInput(f"{text.strip()[:60]!r} is not a finite number", name)
    tie = found["tie"] or ""
    follows = float(found["follows"] or 1.0)
    if not -1 <= follows <= 1:
        raise BadInput(
            f"'@{tie}:{found['follows'][:20]}' follows by more than wholly", name,
            "give -1 to 1 after the colon",
        )  # fmt: skip
    return replace(_spread(found, numbers, given, unit, name, text), tie=tie, follows=follows)


def _spread(
    found: re.Match[str], numbers: list[float], given: str, unit: str, name: str, text: str
) -> Spread:
    if found["sd"]:
        return _tolerance(found, numbers[0], given, unit, name)
    if len(numbers) == 1:
        return Spread("fixed", numbers[0], numbers[0], numbers[0])
    if any(b <= a for a, b in pairwise(numbers)):
        if len(numbers) == 3 and numbers[0] <= numbers[1] <= numbers[2] > numbers[0]:
            return Spread("triangular", numbers[1], numbers[0], numbers[2])
        raise BadInput(
            f"the range {text.strip()[:60]!r} does not rise", name, "give the lower end first"
        )
    if len(numbers) == 2:
        return Spread("uniform", sum(numbers) / 2, numbers[0], numbers[1])
    return Spread("triangular", numbers[1], numbers[0], numbers[2])


def _tolerance(found: re.Match[str], centre: float, given: str, unit: str, name: str) -> Spread:
    sd = float(found["sd"].replace(",", "."))
    # Converted as a difference, so that units with an offset would not shift it.
    sd = abs(centre) * sd / 100 if found["percent"] else convert(sd, given, unit, name)
    if sd < 0 or not math.isfinite(sd):
        raise BadInput(f"the tolerance {found['sd'][:60]} is negative", name, "give it as 2.5+-0.2")
    if sd == 0:
        return Spread("fixed", centre, centre, centre)
    return Spread("normal", centre, centre - 3.5 * sd, centre + 3.5 * sd, sd)


def _unreadable(text: str, unit: str, name: str) -> BadInput:
    where = f" ({unit})" if unit else ""
    return BadInput(
        f"cannot read {text[:60]!r}", name, f"write a value as {FORMS}{where}, unit last"
    )


def normal_quantile(quantile: Floats) -> Floats:
    """Inverse of the standard normal distribution, of probabilities of any shape [-].

    Source: P. J. Acklam's rational approximation, relative error below 1.2e-9 (from memory); a
    test holds it against ``scipy.special.ndtri``, which would cost 0.2 s to import here.
    """
    p = np.clip(quantile, 1e-12, 1 - 1e-12)
    a = (-3.969683028665376e1, 2.209460984245205e2, -2.759285104469687e2,
         1.383577518672690e2, -3.066479806614716e1, 2.506628277459239)  # fmt: skip
    b = (-5.447609879822406e1, 1.615858368580409e2, -1.556989798598866e2,
         6.680131188771972e1, -1.328068155288572e1, 1.0)  # fmt: skip
    c = (-7.784894002430293e-3, -3.223964580411365e-1, -2.400758277161838,
         -2.549732539343734, 4.374664141464968, 2.938163982698783)  # fmt: skip
    d = (7.784695709041462e-3, 3.224671290700398e-1, 2.445134137142996, 3.754408661907416, 1.0)
    q = p - 0.5
    middle = np.polyval(a, q * q) * q / np.polyval(b, q * q)
    r = np.sqrt(-2 * np.log(np.minimum(p, 1 - p)))
    tail = np.polyval(c, r) / np.polyval(d, r)
    return np.where(np.abs(q) <= 0.47575, middle, np.where(q < 0, tail, -tail))
