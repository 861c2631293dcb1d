"""The start of the application on a terminal."""

import gc
import os
import sys

from atlas.catalogue.library import Library
from atlas.ui.app import AtlasApp
from atlas.ui.desk import Desk
from atlas.ui.memory import own_memory
from atlas.ui.places import Place
from atlas.ui.terminal_graphics import Asking


def run_app(library: Library, start: Place | None, asking: Asking) -> None:
    """Open the application on a library, at a place; returns when it is closed."""
    from atlas.cli.case import initials

    encoding = (sys.stdout.encoding or "").lower().replace("-", "")
    plain = encoding != "utf8" or os.environ.get("TERM") == "dumb"
    desk = Desk(library, initials(None))
    _ = desk.catalogue  # takes a while, in which the terminal can answer
    app = AtlasApp(desk, own_memory(), plain, start, asking.answer())
    # Modules and catalogue live as long as the application: the collector need not walk them,
    # which takes longer than laying out the first screen.
    gc.freeze()
    app.run()
    if app._exception is not None:
        raise app._exception
