"""Text in the editor that the user has chosen for the terminal."""

import contextlib
import os
import shlex
import subprocess
import tempfile
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from textual.app import App, SuspendNotSupported

from atlas.catalogue.reading import read_bytes
from atlas.errors import AtlasError


@dataclass(frozen=True)
class Edited:
    """What became of a text.

    Args:
        text: as the editor left it; as it was, where it left none.
        whole: whether the editor ended well and left UTF-8; else the text wants a look.
    """

    text: str
    whole: bool = True


def edited(app: App[Any], name: str, text: str) -> Edited | None:
    """Open a copy of the text in ``$VISUAL`` or ``$EDITOR`` and wait; None where none opens.

    The application stands aside meanwhile. A copy, so that whatever the editor does to its file,
    the record is only ever written through its lock and its checks. In a browser, and where no
    editor is named or the named one does not start, nothing happens.
    """
    try:
        command = shlex.split(os.environ.get("VISUAL") or os.environ.get("EDITOR") or "")
    except ValueError:  # a quote that is never closed
        return None
    if not command:
        return None
    try:
        with tempfile.TemporaryDirectory(prefix="atlas-") as folder:
            path = Path(folder, name)
            path.write_text(text, encoding="utf-8")
            with app.suspend():
                status = subprocess.run([*command, str(path)], check=False).returncode
            with contextlib.suppress(AtlasError):
                left = read_bytes(path)
                now = left.decode(errors="replace").replace("\r\n", "\n")
                return Edited(now, status == 0 and now.encode() == left.replace(b"\r\n", b"\n"))
            return Edited(text, False)
    except (SuspendNotSupported, OSError):
        return None
