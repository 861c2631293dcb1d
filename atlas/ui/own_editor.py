"""A file in the editor that the user has chosen for the terminal."""

import os
import shlex
import subprocess
from pathlib import Path
from typing import Any

from textual.app import App, SuspendNotSupported


def edited(app: App[Any], path: Path) -> bool:
    """Open the file in ``$VISUAL`` or ``$EDITOR`` and wait; whether one could be opened.

    The application stands aside meanwhile. In a browser, and where no editor is named or the named
    one does not start, nothing happens.
    """
    command = shlex.split(os.environ.get("VISUAL") or os.environ.get("EDITOR") or "")
    if not command:
        return False
    try:
        with app.suspend():
            return subprocess.run([*command, str(path)], check=False).returncode == 0
    except (SuspendNotSupported, OSError):
        return False
