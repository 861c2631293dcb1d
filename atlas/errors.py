"""What went wrong, where, and what would be right.

Only ``atlas.cli`` turns these into an exit status and only ``atlas.ui`` into a notice;
``atlas.mechanics`` knows nothing of them and raises ``ValueError``.
"""


class AtlasError(Exception):
    """Root of everything that atlas refuses in words.

    Args:
        what: what is wrong, as a clause ("unknown zone 'crsh'").
        where: file, field, option or record that it concerns; empty where ``what`` says it.
        remedy: what would be right; empty where nothing useful can be said.

    >>> print(BadInput("unknown zone 'crsh'", "--zone", "did you mean 'crush'?"))
    --zone: unknown zone 'crsh'; did you mean 'crush'?
    """

    def __init__(self, what: str, where: str = "", remedy: str = "") -> None:
        super().__init__(what, where, remedy)
        self.what = what
        self.where = where
        self.remedy = remedy

    def __reduce__(self) -> tuple[type["AtlasError"], tuple[str, str, str]]:
        """Lets a fault travel between processes."""
        return type(self), (self.what, self.where, self.remedy)

    def __str__(self) -> str:
        head = f"{self.where}: {self.what}" if self.where else self.what
        line = f"{head}; {self.remedy}" if self.remedy else head
        return " ".join(line.split())


class NotThere(AtlasError):
    """The thing asked for does not exist, or a check failed (exit status 1)."""


class BadInput(AtlasError):
    """What was typed or written cannot be used (exit status 2)."""


class OutOfRange(BadInput):
    """A value lies outside the range for which a formula holds."""


class Damaged(BadInput):
    """A stored record cannot be read; it is set aside, the rest still opens."""


class Conflict(AtlasError):
    """Somebody else changed the record since it was read; nothing was written."""


class Refused(BadInput):
    """The file system said no (read-only, full, missing); the old state is intact."""
