"""Who holds a structure to be what, how surely, and how that moved."""

from dataclasses import dataclass

from atlas.casework.model import Case, Suspicion
from atlas.identify.chances import told

_SHOWN = 4  # statements of one person in a line


@dataclass(frozen=True)
class Belief:
    """What everybody stated of one pattern for one structure.

    >>> early = Suspicion("plate", "rear-x-plate", 0.4, "2026-03-01T10:00:00Z", "AB")
    >>> late = Suspicion("plate", "rear-x-plate", 0.7, "2026-03-02T10:00:00Z", "AB")
    >>> other = Suspicion("plate", "rear-x-plate", 0.2, "2026-03-02T11:00:00Z", "CD")
    >>> one = Belief("rear-x-plate", {"AB": (early, late), "CD": (other,)})
    >>> one.course("AB"), round(one.mean, 2)
    ('40% -> 70%', 0.45)
    """

    pattern: str
    by: dict[str, tuple[Suspicion, ...]]  # each person's statements, oldest first

    @property
    def newest(self) -> dict[str, Suspicion]:
        """What each person stated last."""
        return {name: said[-1] for name, said in self.by.items()}

    @property
    def mean(self) -> float:
        """Mean of each person's newest probability, all with the same weight [-], 0 to 1.

        Source: the linear opinion pool with equal weights (M. Stone, The opinion pool, Annals of
        Mathematical Statistics 32 (1961), 1339-1342; from memory).
        """
        newest = self.newest.values()
        return sum(one.probability for one in newest) / len(newest)

    def course(self, name: str, arrow: str = "->") -> str:
        """A person's probabilities over time, the newest last."""
        said = [told(one.probability) for one in self.by[name]]
        shown = ["…", *said[-_SHOWN:]] if len(said) > _SHOWN else said
        return f" {arrow} ".join(shown)


def beliefs(case: Case, about: str) -> tuple[Belief, ...]:
    """What was stated of a structure, by pattern; the likeliest by the mean of all first."""
    found: dict[str, dict[str, list[Suspicion]]] = {}
    for one in case.suspicion.values():
        if one.about == about:
            found.setdefault(one.pattern, {}).setdefault(one.by, []).append(one)
    listed = [
        Belief(pattern, {name: tuple(said) for name, said in people.items()})
        for pattern, people in found.items()
    ]
    return tuple(sorted(listed, key=lambda one: -one.mean))
