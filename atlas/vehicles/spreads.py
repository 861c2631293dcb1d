"""What is uncertain in a vehicle, drawn: gauges, half-stiff member ends, mounts and joints."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from atlas.calculators.sampling import unit_sample
from atlas.calculators.values import Spread
from atlas.vehicles.model import Vehicle

Floats = NDArray[np.float64]
# Turning stiffness of a semi-rigid end beside the member's own 4 EI / L, and how far either way
# it may lie, as a logarithm: common practice, no source.
SEMI, _SEMI_SPAN = 0.5, 0.8
_BOUND = 3.5  # standard deviations at which every draw is cut off


@dataclass(frozen=True)
class Drawn:
    """Factors by name, each (samples,); without samples every factor is 1 and ends are nominal."""

    gauges: dict[str, Floats]  # of sections
    ends: dict[str, Floats]  # of semi-rigid members, in place of SEMI
    joints: dict[str, Floats]  # of mounts and ties


def stem(name: str) -> str:
    """The name without its side: what is not known of a joint is the same left and right.

    >>> stem("mount-f-r"), stem("bar")
    ('mount-f', 'bar')
    """
    return name[:-2] if name.endswith(("-l", "-r")) else name


def drawn(vehicle: Vehicle, samples: int, seed: int) -> Drawn:
    """Draw everything that is uncertain, in one Latin hypercube over the whole vehicle.

    The draw does not depend on what is taken away, so that with and without differ by that alone.
    """
    if not samples:
        return Drawn({}, {}, {})
    ends = dict.fromkeys(stem(n) for n, m in vehicle.members.items() if m.ends == "semi")
    spreads = {stem(name): part.spread for name, part in vehicle.mounts.items()}
    ties = {stem(name): part.spread for name, part in vehicle.ties.items()}
    width = len(vehicle.sections) + len(ends) + len(spreads) + len(ties)
    unit = iter(unit_sample(samples, width, np.random.default_rng(seed)).T)
    gauges = {
        label: np.clip(1 + section.gauge_spread * _normal(next(unit)), 0.6, 1.6)
        for label, section in vehicle.sections.items()
    }
    semi = {name: SEMI * np.exp(_SEMI_SPAN * (2 * next(unit) - 1)) for name in ends}
    # A stiffness is never negative and errs by factors: log-normal.
    joints = {
        f"{kind}.{name}": np.exp(np.log1p(spread) * _normal(next(unit)))
        for kind, parts in (("mounts", spreads), ("ties", ties))
        for name, spread in parts.items()
    }
    return Drawn(gauges, semi, joints)


def _normal(unit: Floats) -> Floats:
    return np.asarray(Spread("normal", 0.0, -_BOUND, _BOUND, 1.0).at(unit))
