"""The application: themes, places, and the way between them."""

from pathlib import Path
from typing import ClassVar

from textual.app import App
from textual.binding import Binding
from textual.screen import Screen

from atlas.catalogue.library import Library
from atlas.ui import strings
from atlas.ui.desk import Desk
from atlas.ui.find_screen import FindScreen
from atlas.ui.places import Place, Trail
from atlas.ui.themes import THEMES


class AtlasApp(App[None]):
    """Wires the screens together; decides nothing that a screen can decide."""

    CSS_PATH = "atlas.tcss"
    TITLE = strings.APP
    ENABLE_COMMAND_PALETTE = True
    BINDINGS: ClassVar = [
        Binding("f1,question_mark", "help", strings.HELP, id="app.help", tooltip=strings.HELP_TIP),
        Binding("ctrl+p", "command_palette", strings.GO, id="app.go", tooltip=strings.GO_TIP),
        Binding("alt+left,left_square_bracket", "back", strings.BACK, id="app.back", show=False,
                tooltip=strings.BACK_TIP),
        Binding("alt+right,right_square_bracket", "forward", strings.FORWARD, id="app.forward",
                show=False, tooltip=strings.FORWARD_TIP),
        Binding("f7", "place('cases')", strings.CASES, id="app.cases", show=False,
                tooltip=strings.CASES_TIP),
        Binding("f8", "place('calculators')", strings.CALCULATORS, id="app.calculators",
                show=False, tooltip=strings.CALCULATORS_TIP),
        Binding("f9", "place('glossary')", strings.GLOSSARY, id="app.glossary", show=False,
                tooltip=strings.GLOSSARY_TIP),
        Binding("f12", "next_theme", strings.THEME, id="app.theme", show=False,
                tooltip=strings.THEME_TIP),
    ]  # fmt: skip

    def __init__(self, desk: Desk | Library | Path | None = None) -> None:
        super().__init__()
        if isinstance(desk, Path):
            desk = Library(desk)
        self.desk = desk if isinstance(desk, Desk) else Desk(desk)
        self.trail = Trail()
        for theme in THEMES:
            self.register_theme(theme)
        self.theme = "dusk"

    def get_default_screen(self) -> Screen[None]:
        """Start where one describes what one sees."""
        return FindScreen(self.desk)

    def action_next_theme(self) -> None:
        """Next theme in turn."""
        names = [theme.name for theme in THEMES]
        self.theme = names[(names.index(self.theme) + 1) % len(names)]

    def action_place(self, kind: str) -> None:
        """Go to one of the places of the top bar."""
        self.go(Place(kind))

    def go(self, place: Place) -> None:
        """Go to a place and remember the way."""


def run_app(library: Library) -> None:
    """Open the application on a library; returns when it is closed."""
    AtlasApp(Desk(library)).run()
