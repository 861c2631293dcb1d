"""The application: themes, places, and the way between them."""

from typing import TYPE_CHECKING, Any, ClassVar

import msgspec
from textual import on
from textual.app import App, SystemCommand
from textual.binding import Binding
from textual.events import Event
from textual.screen import Screen

from atlas.catalogue.library import Library
from atlas.catalogue.visible import visible
from atlas.errors import AtlasError
from atlas.ui import strings
from atlas.ui.desk import Desk, Preset
from atlas.ui.find_screen import FindScreen
from atlas.ui.memory import Memory
from atlas.ui.photo_choice import PhotoChoice, frame_comes
from atlas.ui.places import (
    Attach,
    CaseWanted,
    CatalogueChanged,
    Go,
    PhotoWanted,
    Place,
    RunAgain,
    SumWanted,
    TourStep,
    Trail,
    WayBack,
)
from atlas.ui.screens import screen_of
from atlas.ui.terminal_graphics import Answer
from atlas.ui.themes import THEMES

if TYPE_CHECKING:
    from textual.command import Provider


def _anything() -> "type[Provider]":
    """The palette's names, imported when it is opened."""
    from atlas.ui.palette import Anything

    return Anything


class AtlasApp(App[None]):
    """Wires the screens together; decides nothing that a screen can decide.

    Args:
        desk: the library with its search and cases, or the library alone.
        memory: what is remembered of the user; nothing if left out.
        ascii_only: draw with ASCII characters only.
        start: where to begin, instead of where one was.
        answer: what the terminal said of itself.
    """

    CSS_PATH = "atlas.tcss"
    TITLE = strings.APP
    COMMANDS: ClassVar = App.COMMANDS | {_anything}
    BINDINGS: ClassVar = [
        Binding("f1,question_mark", "help", strings.HELP, id="app.help", tooltip=strings.HELP_TIP),
        Binding("ctrl+p", "command_palette", strings.GO, id="app.go", tooltip=strings.GO_TIP),
        Binding("alt+left,left_square_bracket", "step_back", strings.BACK, id="app.back",
                show=False, tooltip=strings.BACK_TIP),
        Binding("alt+right,right_square_bracket", "step_forward", strings.FORWARD,
                id="app.forward", show=False, tooltip=strings.FORWARD_TIP),
        Binding("m", "mark", strings.MARK, id="app.mark", show=False, tooltip=strings.MARK_TIP),
        Binding("M", "marks", strings.MARKS, id="app.marks", show=False,
                tooltip=strings.MARKS_TIP),
        Binding("f2", "to_words", strings.FIND, id="app.find", show=False,
                tooltip=strings.FIND_TIP),
        Binding("f7", "place('cases')", strings.CASES, id="app.cases", show=False,
                tooltip=strings.CASES_TIP),
        Binding("f8", "place('calculators')", strings.CALCULATORS, id="app.calculators",
                show=False, tooltip=strings.CALCULATORS_TIP),
        Binding("f9", "place('glossary')", strings.GLOSSARY, id="app.glossary", show=False,
                tooltip=strings.GLOSSARY_TIP),
        Binding("ctrl+o,V", "place('vehicles')", strings.VEHICLES, id="app.vehicles", show=False,
                tooltip=strings.VEHICLES_TIP),
        Binding("ctrl+t,S", "place('study')", strings.STUDY, id="app.study", show=False,
                tooltip=strings.STUDY_TIP),
        Binding("ctrl+n,A", "place('append')", strings.APPEND, id="app.append", show=False,
                tooltip=strings.APPEND_TIP),
        Binding("f12", "next_theme", strings.THEME, id="app.theme", show=False,
                tooltip=strings.THEME_TIP),
    ]  # fmt: skip

    def __init__(
        self,
        desk: Desk | Library | None = None,
        memory: Memory | None = None,
        ascii_only: bool = False,
        start: Place | None = None,
        answer: Answer | None = None,
    ) -> None:
        super().__init__()
        self._start = start
        self.desk = desk if isinstance(desk, Desk) else Desk(desk)
        # Read before the terminal is taken over: a large catalogue is read by several processes,
        # and those cannot be started while Textual stands in for stderr.
        _ = self.desk.catalogue
        self.memory = memory or Memory(None)
        self.ascii_only = ascii_only
        self.photos = PhotoChoice(answer or Answer(), self.memory)
        self.trail = Trail()
        for theme in THEMES:
            self.register_theme(theme)
        self._start_with(self.memory.now.theme)
        self._find = FindScreen(self.desk, ascii_only)

    def _start_with(self, theme: str) -> None:
        """Take up a theme before there is anything to restyle; setting it would parse twice."""
        known = {one.name for one in THEMES}
        self.set_reactive(App.theme, theme if theme in known else "dusk")
        dark = self.current_theme.dark
        for name, worn in (("-dark-mode", dark), ("-light-mode", not dark)):
            self.set_class(worn, name, update=False)
        self.add_class(f"-theme-{self.theme}", update=False)
        self.stylesheet.set_variables(self.get_css_variables())

    def get_default_screen(self) -> Screen[None]:
        """Start where one describes what one sees."""
        return self._find

    def on_mount(self) -> None:
        """Resume where one was; offer the tour the first time; name what could not be read."""
        self.call_after_refresh(self.photos.type_again, self)
        self._find.marked = frozenset(self.memory.now.marks)
        problems = self.desk.catalogue.problems
        if problems:
            words = strings.SET_ASIDE.format(count=len(problems), first=problems[0])
            self.notify(visible(words), severity="warning", markup=False, timeout=15)
        if self._start is not None:
            self.call_after_refresh(self.go, self._start)
        elif not self.memory.now.toured:
            self.memory.now.toured = True
            self.memory.save()
            self.call_after_refresh(self.action_tour)
        elif self.memory.now.words or self.memory.now.pattern:
            start = Place("find", self.memory.now.pattern, self.memory.now.words)
            self.call_after_refresh(self._find.restore, start)

    def on_unmount(self) -> None:
        """Remember."""
        self.memory.now.theme = self.theme
        self.memory.save(self._find.place)

    def _display(self, screen: Screen[Any], renderable: Any) -> None:
        """Draw a frame; screens that show pixels are told, since its cells take pixels away."""
        frame_comes(self, screen, renderable)
        super()._display(screen, renderable)

    async def on_event(self, event: Event) -> None:
        """Take no late answer of the terminal for keys."""
        if not self.photos.swallows(event):
            await super().on_event(event)

    def _handle_exception(self, error: Exception) -> None:
        """Leave on a fault of ours; whoever opened the application says so in one line."""
        super()._handle_exception(error)
        self._exit_renderables.clear()  # a page of code with what its variables held

    # --------------------------------------------------------------------------------- places
    @on(Go)
    def _go(self, event: Go) -> None:
        self.go(event.place)

    @on(WayBack)
    def _leave(self) -> None:
        self.action_step_back()

    def go(self, place: Place) -> None:
        """Go to a place and remember the way."""
        self._leave_here()
        if self._show(place):
            self.trail.go(place)

    def _leave_here(self) -> None:
        """Remember how the present place looks, so that coming back finds it so."""
        here = getattr(self.screen, "place", None)
        if isinstance(here, Place) and here.kind == self.trail.here.kind:
            self.trail.update(here)

    def _show(self, place: Place, preset: Preset | None = None) -> bool:
        """Put a place on screen; say why where that cannot be."""
        try:
            screen = screen_of(place, self.desk, preset, self.ascii_only, self.photos.graphics)
        except AtlasError as error:
            self.notify(visible(str(error)), severity="error", markup=False)
            return False
        while len(self.screen_stack) > 1:
            self.pop_screen()
        if screen is None:
            self.call_after_refresh(self._find.restore, place)
        else:
            self.push_screen(screen)
        return True

    @on(FindScreen.Opened)
    def _opened(self, event: FindScreen.Opened) -> None:
        self.trail.go(Place("find", event.pattern_id, self._find.place.text))

    @on(SumWanted)
    def _compute(self, event: SumWanted) -> None:
        pattern = self.desk.catalogue.pattern(event.pattern_id)
        preset = self.desk.preset(event.pattern_id, event.index)
        self._leave_here()
        place = Place("calculator", pattern.calculations[event.index].calculator,
                      inputs=preset.inputs)  # fmt: skip
        if self._show(place, preset):
            self.trail.go(place)

    @on(CatalogueChanged)
    def _renew(self) -> None:
        self.desk.renew()
        self._find.renewed()

    @on(RunAgain)
    def _run_again(self, event: RunAgain) -> None:
        record = event.record
        inputs = tuple((name, str(value)) for name, value in record.inputs.items())
        self.go(Place("calculator", record.calculator, inputs=inputs))

    # ---------------------------------------------------------------------------------- cases
    @on(CaseWanted)
    def _state(self, event: CaseWanted) -> None:
        if self.desk.cases is None:
            self.notify(strings.NO_LIBRARY, severity="warning", markup=False)
            return
        from atlas.ui.case_forms import pattern_case_form

        fields, act = pattern_case_form(self.desk, self.desk.cases, event.pattern_id, event.words)
        title = self.desk.title(event.pattern_id)
        self._ask(title, fields, act)

    @on(Attach)
    def _attach_run(self, event: Attach) -> None:
        if self.desk.cases is None:
            self.notify(strings.NO_LIBRARY, severity="warning", markup=False)
            return
        from atlas.ui.case_forms import outcome_case_form

        fields, act = outcome_case_form(
            self.desk.cases, event.outcome, event.given, event.question, event.about
        )
        title = event.outcome.calculator.title
        self._ask(title, fields, act)

    def _ask(self, title: str, fields: Any, act: Any) -> None:
        from atlas.ui.dialog import Dialog

        self.push_screen(Dialog(title, fields, act, strings.ADD), self._said_added)

    def _said_added(self, added: bool | None) -> None:
        if added:
            self.notify(strings.ADDED, markup=False)

    # -------------------------------------------------------------------------------- actions
    def action_place(self, kind: str) -> None:
        """Go to one of the places of the top bar."""
        self.go(Place(kind, text=self._find.place.text if kind == "find" else ""))

    def action_to_words(self) -> None:
        """To where one describes what one sees, whichever the screen."""
        self.action_place("find")
        self.call_after_refresh(self._find.action_words)

    def action_step_back(self) -> None:
        """Back, as in a book."""
        self._leave_here()
        place = self.trail.back()
        if place is not None:
            self._show(place)
        elif len(self.screen_stack) > 1:
            self.pop_screen()

    def action_step_forward(self) -> None:
        """Forward again."""
        self._leave_here()
        place = self.trail.forward()
        if place is not None:
            self._show(place)

    def action_help(self) -> None:
        """Keys and purpose of the screen."""
        from atlas.ui.help_screen import HelpScreen

        if not isinstance(self.screen, HelpScreen):
            self.push_screen(HelpScreen(self.screen))

    def action_mark(self) -> None:
        """Mark the pattern on screen, or take its mark away."""
        pattern_id = self._find.place.id
        if self.screen is self._find and pattern_id:
            marked = self.memory.now.toggle(pattern_id)
            self._find.refresh_marks(frozenset(self.memory.now.marks))
            self.notify(strings.MARKED if marked else strings.UNMARKED, markup=False)
            self.memory.save(self._find.place)

    def action_marks(self) -> None:
        """Show what was marked."""
        from atlas.ui.marks_screen import MarksScreen

        names = [name for name in self.memory.now.marks if name in self.desk.catalogue.patterns]
        self.push_screen(MarksScreen({name: self.desk.title(name) for name in names}))

    def action_next_theme(self) -> None:
        """Next theme in turn."""
        names = [theme.name for theme in THEMES]
        place = names.index(self.theme) if self.theme in names else -1
        self.theme = names[(place + 1) % len(names)]

    def action_picture(self) -> None:
        """Write the screen as a picture."""
        from atlas.ui.outcome_page import write_here
        from atlas.ui.written import say_written

        picture = self.photos.screenshot(self)
        say_written(self, self.desk, lambda: write_here("atlas", ".svg", picture))

    @on(PhotoWanted)
    def _photo_wanted(self, event: PhotoWanted) -> None:
        self._ask_photo(msgspec.json.encode(event.marks).decode())

    def action_photo(self) -> None:
        """Ask for a photo and open it."""
        self._ask_photo("")

    def _ask_photo(self, marks: str) -> None:
        from atlas.ui.dialog import Dialog
        from atlas.ui.photo_forms import file_form

        found: list[str] = []

        def then(done: bool | None) -> None:
            if done and found:
                self.go(Place("photo", found[0], inputs=(("marks", marks),)))

        fields, act = file_form(found.append)
        self.push_screen(Dialog(strings.PHOTO_OPEN, fields, act, strings.OPEN), then)

    def action_tour(self) -> None:
        """Walk through the loop."""
        while len(self.screen_stack) > 1:
            self.pop_screen()
        from atlas.ui.tour import TourScreen

        own = strings.TOUR_STEPS[0][1]
        self.push_screen(TourScreen(), lambda _: self._find.tour_over(own))

    @on(TourStep)
    def _tour_step(self, event: TourStep) -> None:
        self._find.tour_step(event.what if event.number == 0 else "", event.what)

    def get_system_commands(self, screen: Screen[Any]) -> Any:
        """Commands of the palette besides the names."""
        yield SystemCommand(strings.TOUR, strings.TOUR_TIP, self.action_tour)
        yield SystemCommand(strings.HELP, strings.HELP_TIP, self.action_help)
        yield SystemCommand(strings.PICTURE, strings.PICTURE_TIP, self.action_picture)
        yield SystemCommand(strings.MARKS, strings.MARKS_TIP, self.action_marks)
        yield SystemCommand(strings.PHOTO_OPEN, strings.PHOTO_OPEN_TIP, self.action_photo)
        for theme in THEMES:
            yield SystemCommand(
                f"{strings.THEME}: {theme.name}", strings.THEMES[theme.name],
                lambda name=theme.name: setattr(self, "theme", name),
            )  # fmt: skip
        yield from self.photos.commands(self)
        yield SystemCommand(strings.QUIT, strings.QUIT_TIP, self.action_quit)
