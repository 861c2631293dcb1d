"""Writing a file on the user's word: where it went, or why it did not."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

from textual.app import App
from textual.widget import Widget

from atlas.catalogue.visible import visible
from atlas.errors import AtlasError
from atlas.ui import strings
from atlas.ui.desk import Desk


def say_written(where: App[Any] | Widget, desk: Desk, write: Callable[[], Path]) -> None:
    """Write, and say the path or the refusal; from a thread as well."""
    try:
        path = write()
    except AtlasError as error:
        where.notify(desk.told(error), severity="error", markup=False, timeout=10)
    else:
        where.notify(
            f"{strings.WRITTEN}{visible(str(path), lines=False)}", markup=False, timeout=10
        )
