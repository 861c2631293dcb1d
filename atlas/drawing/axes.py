"""Scales of a plot: limits, ticks at round numbers, and what is written at them."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from atlas.calculators.figure import Axis

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Scale:
    """Maps values to a stretch of cells, straight or by decades."""

    low: float
    high: float
    log: bool = False

    def share(self, values: Floats) -> Floats:
        """Where values lie between the limits, 0 to 1 inside; NaN where log has no answer."""
        v = np.asarray(values, dtype=np.float64)
        if self.log:
            with np.errstate(divide="ignore", invalid="ignore"):
                v = np.where(v > 0, np.log10(np.where(v > 0, v, 1.0)), np.nan)
            low, high = math.log10(self.low), math.log10(self.high)
        else:
            low, high = self.low, self.high
        return np.asarray((v - low) / (high - low), dtype=np.float64)

    def ticks(self, count: int) -> list[float]:
        """At most about ``count`` round values inside the limits."""
        if self.log:
            decades = self._decades()
            step = max(1, math.ceil(len(decades) / max(count, 1)))
            if len(decades) > 1:
                return decades[::step]
        return _round_ticks(self.low, self.high, count)

    def _decades(self) -> list[float]:
        first = math.ceil(math.log10(self.low) - 1e-9)
        last = math.floor(math.log10(self.high) + 1e-9)
        return [10.0**n for n in range(first, last + 1)]


def scale(axis: Axis, values: list[Floats], zero: bool = False) -> Scale:
    """Limits that hold all finite values, rounded outward; the axis's own limits win."""
    flat = np.concatenate([np.ravel(v) for v in values]) if values else np.zeros(0)
    flat = flat[np.isfinite(flat)]
    if axis.log:
        flat = flat[flat > 0]
    low = float(flat.min()) if flat.size else (0.1 if axis.log else 0.0)
    high = float(flat.max()) if flat.size else 1.0
    if axis.log:
        low, high = (axis.low or low), (axis.high or high)
        return Scale(low, high if high > low else low * 10, log=True)
    if zero or 0 < low < 0.35 * high:
        low = min(low, 0.0)
    if zero or 0.35 * low < high < 0:
        high = max(high, 0.0)
    if high - low < 1e-12 * max(abs(low), abs(high), 1e-300):
        pad = 0.1 * abs(high) or 1.0
        low, high = low - pad, high + pad
    else:
        margin = 0.04 * (high - low)
        low = low if low == 0 else low - margin
        high = high if high == 0 else high + margin
    low = axis.low if axis.low is not None else low
    high = axis.high if axis.high is not None else high
    return Scale(low, high) if high > low else Scale(low, low + 1.0)


def tick_text(value: float, step: float) -> str:
    """Write a tick with as many places as its step needs.

    >>> tick_text(0.30000000000000004, 0.1), tick_text(12000.0, 2000.0), tick_text(1e-6, 1e-6)
    ('0.3', '12000', '1e-06')
    """
    if value == 0:
        return "0"
    if abs(value) >= 1e6 or abs(value) < 1e-4:
        return f"{value:.3g}"
    places = max(0, -math.floor(math.log10(step) + 1e-9)) if step > 0 else 0
    return f"{value:.{min(places, 8)}f}"


def _round_ticks(low: float, high: float, count: int) -> list[float]:
    raw = (high - low) / max(count, 1)
    power = 10.0 ** math.floor(math.log10(raw))
    step = next(power * m for m in (1, 2, 5, 10) if power * m >= raw * 0.999)
    first = math.ceil(low / step - 1e-9)
    last = math.floor(high / step + 1e-9)
    return [n * step for n in range(first, last + 1)]
