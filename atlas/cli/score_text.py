"""Stated probabilities held against what was right, as text for people."""

from atlas.casework.calibration import Score
from atlas.cli.common import heading, table


def print_bins(found: Score) -> None:
    """One line for each tenth in which something was stated."""
    heading("Stated against right")
    table(
        ((f"{b.low:.0%} to {b.low + 0.1:.0%}", str(b.count), f"{b.stated:.0%}", f"{b.right:.0%}",
          "#" * round(20 * b.right)) for b in found.bins),
        ("stated", "number", "mean stated", "right", ""),
    )  # fmt: skip
