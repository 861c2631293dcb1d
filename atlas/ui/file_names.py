"""Completion of file names."""

from pathlib import Path

from textual.suggester import Suggester

from atlas.catalogue.writing import read_only


class Files(Suggester):
    """Completes the path of a file, a folder at a time."""

    def __init__(self) -> None:
        super().__init__(use_cache=False, case_sensitive=True)

    async def get_suggestion(self, value: str) -> str | None:
        """The first name in the folder that goes on from what is typed."""
        if not value or "\0" in value or read_only():
            return None
        folder, _, part = value.rpartition("/")
        root = Path(folder + "/" if folder or value.startswith("/") else ".").expanduser()
        try:
            names = sorted(
                one.name + ("/" if one.is_dir() else "")
                for one in root.iterdir()
                if one.name.startswith(part) and (part or not one.name.startswith("."))
            )
        except (OSError, RuntimeError):
            return None
        return value[: len(value) - len(part)] + names[0] if names else None
