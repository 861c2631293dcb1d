"""What commands that learn from verdicts say of those that contradict each other."""

from collections.abc import Iterable
from typing import Any

from atlas.casework.model import Case
from atlas.cli.common import say


def dispute_rows(cases: Iterable[Case]) -> list[dict[str, Any]]:
    """Structures whose verdicts contradict each other, for ``--json``."""
    return [{"case": case.id, "about": about} for case in cases for about in case.in_dispute]


def say_disputes(cases: Iterable[Case]) -> None:
    """Name the structures that do not count until one of their verdicts is chosen."""
    rows = dispute_rows(cases)
    if rows:
        some = ", ".join(f"{row['about']} ({row['case']})" for row in rows[:3])
        more = f" and {len(rows) - 3} more" if len(rows) > 3 else ""
        say(f"In dispute, so not counted: {some}{more}. Choose: atlas sync --conflicts", hang=2)
