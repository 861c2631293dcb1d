"""What a sync did, to be told."""

from dataclasses import dataclass, field


@dataclass
class Report:
    """What a sync did."""

    remote: str = ""
    reached: bool = False
    why_not: str = ""
    recorded: list[str] = field(default_factory=list)  # own records that went into the history
    pulled: list[str] = field(default_factory=list)  # records that others changed
    merged: list[str] = field(default_factory=list)  # records that both changed
    pushed: int = 0  # commits handed on
    conflicts: list[str] = field(default_factory=list)  # record: field
    set_aside: list[str] = field(default_factory=list)  # damaged or refused, by name
