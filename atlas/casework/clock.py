"""The time as records keep it."""

from collections.abc import Callable
from datetime import UTC, datetime

from atlas.errors import BadInput

Clock = Callable[[], datetime]


def utc_now() -> datetime:
    """The time of this machine."""
    return datetime.now(UTC)


def stamp(moment: datetime) -> str:
    """A moment in ISO 8601, UTC, to the second.

    >>> stamp(datetime.fromisoformat("2026-03-02T09:30:00+01:00"))
    '2026-03-02T08:30:00Z'
    """
    return moment.astimezone(UTC).isoformat(timespec="seconds").replace("+00:00", "Z")


def day_of(text: str) -> str:
    """A day as typed, as it is kept; nothing for nothing.

    Raises:
        BadInput: it is none.
    """
    if not text.strip():
        return ""
    try:
        return datetime.strptime(text.strip(), "%Y-%m-%d").strftime("%Y-%m-%d")
    except ValueError:
        raise BadInput(f"{text[:40]!r} is no date", "--date", "write it as 2026-11-25") from None
