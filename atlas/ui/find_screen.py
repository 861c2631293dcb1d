"""Describe, browse, read and narrow: one screen where there is room, one key apart where not."""

from dataclasses import dataclass
from typing import Any, ClassVar

from textual import on, work
from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Horizontal, Vertical
from textual.content import Content
from textual.message import Message
from textual.reactive import reactive
from textual.screen import Screen
from textual.widgets import Footer, Input
from textual.worker import get_current_worker

from atlas.catalogue.model import Pattern, Zone
from atlas.catalogue.visible import visible
from atlas.errors import AtlasError
from atlas.ui import strings
from atlas.ui.desk import Desk
from atlas.ui.lists import answer_blocks, match_blocks, question_blocks, zone_blocks, zone_page
from atlas.ui.page import Block, Page
from atlas.ui.pattern_page import pattern_blocks
from atlas.ui.places import CaseWanted, Place, SumWanted
from atlas.ui.searching import Asked, Refused, Searched, search
from atlas.ui.sketch_view import SketchView
from atlas.ui.steady import Steady
from atlas.ui.top_bar import PaneTabs, TopBar, bring_to_front, stand_on, titled

PANES = ("matches", "page", "sketch", "question")


class FindScreen(Screen[None]):
    """Words and answers in; candidates, a pattern, its sketch and the next look out."""

    HORIZONTAL_BREAKPOINTS = [  # noqa: RUF012
        (0, "-narrow"),
        (100, "-middle"),
        (120, "-wide"),
        (150, "-roomy"),
        (180, "-vast"),
    ]
    BINDINGS: ClassVar = [
        Binding("f2,slash", "words", strings.WORDS, id="find.words", tooltip=strings.WORDS_TIP),
        Binding("f3,1", "pane('matches')", strings.MATCHES, id="find.matches", show=False,
                tooltip=strings.MATCHES),
        Binding("f4,2", "pane('page')", strings.PAGE, id="find.page", show=False,
                tooltip=strings.PAGE),
        Binding("f5,3", "pane('sketch')", strings.SKETCH, id="find.sketch", show=False,
                tooltip=strings.SKETCH),
        Binding("f6,4", "pane('question')", strings.QUESTION, id="find.question", show=False,
                tooltip=strings.QUESTION),
        Binding("z", "only_zone", strings.ZONE_ONLY, id="find.zone", tooltip=strings.ZONE_ONLY_TIP),
        Binding("a", "to_case", strings.ADD_TO_CASE, id="find.case",
                tooltip=strings.ADD_TO_CASE_TIP),
        Binding("u,ctrl+z", "undo", strings.UNDO, id="find.undo", tooltip=strings.UNDO_TIP),
        Binding("escape", "outward", strings.LEAVE, id="find.out", show=False,
                tooltip=strings.WORDS_OUT_TIP),
    ]  # fmt: skip

    pane: reactive[str] = reactive("matches")

    @dataclass
    class Opened(Message):
        """A pattern was gone to, not only passed by."""

        pattern_id: str

    def __init__(self, desk: Desk, ascii_only: bool = False) -> None:
        super().__init__(classes="-at-matches")
        self._desk = desk
        self._ascii = ascii_only
        self._words = ""
        self._dropped = ""  # words that escape took away, until they are brought back
        self.answered_words = ""  # the words that the list on screen answers
        self._zone: str | None = None
        self._open_zone: str | None = None
        self._answers: dict[str, str] = {}
        self._skipped: list[str] = []
        self._shown_question = ""
        self._questions: tuple[Any, ...] = ()
        self._state: Any = None
        self._pattern: str = ""
        self._pinned: str = ""  # gone to by name: new matches leave it on the page
        self._because: dict[str, tuple[str, ...]] = {}
        self.marked: frozenset[str] = frozenset()

    def compose(self) -> ComposeResult:
        """Lay the panes out; the style sheet decides which are seen."""
        yield TopBar("find")
        words = Input(placeholder=strings.PLACEHOLDER, id="words", select_on_focus=False,
                      highlighter=Steady())  # fmt: skip
        words.border_title = strings.WORDS
        yield words
        yield PaneTabs(strings.PANES, self.pane)
        with Horizontal(id="work"):
            yield titled(Page(id="matches"), strings.ZONES)
            yield titled(Page(id="page"), strings.PAGE)
            with Vertical(id="right"):
                yield titled(SketchView(id="sketch", ascii_only=self._ascii), strings.SKETCH)
                yield titled(Page(id="question"), strings.QUESTION)
        yield Footer(show_command_palette=False)

    def on_mount(self) -> None:
        """Show the zones at once; everything else comes when it is asked for."""
        self.query_one("#words", Input).focus()
        self._show_zones()
        self.query_one("#question", Page).show([Block(Content(strings.ASK_FIRST))])
        self.set_timer(0.3, self._ask_first)  # after the first screen is seen

    def _ask_first(self) -> None:
        if self._asked.nothing:
            self._search(self._asked)

    # ------------------------------------------------------------------------------ searching
    @on(Input.Changed, "#words")
    def _typed(self, event: Input.Changed) -> None:
        if event.value != self._words:
            self._words, self._pinned = event.value, ""
            self._ask()

    @on(Input.Submitted, "#words")
    def _entered(self) -> None:
        self.action_pane("matches")

    @property
    def _asked(self) -> Asked:
        # Without words, questions are about the zone that is open.
        zone = self._zone or (None if self._words.strip() else self._open_zone)
        return Asked(self._words, tuple(self._answers.items()), zone)

    def _ask(self) -> None:
        if self._asked.nothing:
            self._because = {}
            self._show_zones()
        self._search(self._asked)

    @work(thread=True, exclusive=True, group="search")
    def _search(self, asked: Asked) -> None:
        worker = get_current_worker()
        try:
            for step in search(self._desk, asked, lambda: worker.is_cancelled):
                self.post_message(step)
        except AtlasError as error:  # an answer or a zone that the catalogue no longer has
            self.post_message(Refused(str(error)))

    @on(Searched)
    def _show_found(self, event: Searched) -> None:
        if event.asked != self._asked:
            return
        if event.state is not None:
            self._state, self._questions = event.state, event.questions
            self._show_question()
            if not self._answers:
                return  # the matches are there already, or the zones
        self._show_candidates(event)

    def _show_candidates(self, event: Searched) -> None:
        matches = self.query_one("#matches", Page)
        matches.border_subtitle = ""
        if self._answers:
            count = len(self._answers)
            after = strings.NARROWED_ONE if count == 1 else strings.NARROWED.format(count=count)
            matches.border_title = Content(f"{strings.MATCHES} {after}")
            blocks = answer_blocks(event.state, self._desk, event.asked.zone)
        else:
            matches.border_title = self._match_title()
            blocks = match_blocks(event.found)
        found = event.found.matches if event.found is not None else ()
        self._because = {match.pattern_id: match.because for match in found}
        if not self._pinned:
            self._pattern = ""  # reasons may differ though the pattern is the same
        matches.show(blocks)
        self.answered_words = event.asked.words

    @on(Refused)
    def _say_why(self, event: Refused) -> None:
        self.notify(visible(event.why), severity="error", markup=False)

    def _match_title(self) -> Content:
        if self._zone is None:
            return Content(strings.MATCHES)
        return Content(f"{strings.MATCHES}, {self._desk.catalogue.zones[self._zone].title}")

    def _show_zones(self, at: str = "") -> None:
        page = self.query_one("#matches", Page)
        page.border_title = strings.ZONES
        count = len(self._desk.catalogue.patterns)
        page.border_subtitle = strings.PATTERN_COUNT.format(count=f"{count:,}")
        page.show(zone_blocks(self._desk, self._open_zone), at or None)

    def _show_question(self) -> None:
        page = self.query_one("#question", Page)
        open_questions = [q for q in self._questions if q.observable.id not in self._skipped]
        first = open_questions[0] if open_questions else None
        blocks = question_blocks(
            first, len(open_questions) > 1, self._state, self._answers, self._desk
        )
        # The same question again, after more words: whoever stands on an answer stays there.
        name = first.observable.id if first is not None else ""
        page.show(blocks, keep=bool(name) and name == self._shown_question)
        self._shown_question = name
        page.border_subtitle = ""
        if first is not None:
            look = strings.LOOKS[first.observable.look]
            page.border_subtitle = Content(strings.GAIN.format(gain=first.gain_bits, look=look))

    # ------------------------------------------------------------------------------- choosing
    @on(Page.Moved, "#matches")
    def _passed(self, event: Page.Moved) -> None:
        if self._pinned and not event.by_user:
            return
        self._pinned = ""
        kind, _, name = event.block.key.partition(":")
        if kind == "pattern":
            self._show_pattern(name)
        elif kind == "zone":
            self._show_zone(self._desk.catalogue.zones[name])

    @on(Page.Chosen, "#matches")
    def _picked(self, event: Page.Chosen) -> None:
        kind, _, name = event.block.key.partition(":")
        if kind == "zone":
            self._open_zone = None if self._open_zone == name else name
            page = self.query_one("#matches", Page)
            page.show(zone_blocks(self._desk, self._open_zone), event.block.key)
            self._search(self._asked)
        elif kind == "pattern":
            self.post_message(self.Opened(name))
            self.action_pane("page")

    @on(Page.Moved, "#page")
    def _read(self, event: Page.Moved) -> None:
        sketch = self.query_one("#sketch", SketchView)
        kind, _, name = event.block.key.partition(":")
        patterns = self._desk.catalogue.patterns
        # On a look-alike, or on a pattern of a zone, its own sketch is shown for comparison.
        shown = name if kind == "pattern" and name in patterns else self._pattern
        sketch.show(patterns[shown].sketches if shown else ())
        sketch.light(event.block.marks)

    @on(Page.Chosen, "#page")
    def _followed(self, event: Page.Chosen) -> None:
        kind, _, name = event.block.key.partition(":")
        if kind == "pattern" and name in self._desk.catalogue.patterns:
            self.open_pattern(name)
            self.post_message(self.Opened(name))
        elif kind == "sum":
            self.post_message(SumWanted(self._pattern, int(name)))

    @on(Page.Chosen, "#question")
    def _answered(self, event: Page.Chosen) -> None:
        kind, _, rest = event.block.key.partition(":")
        name, _, state = rest.partition("=")
        if kind == "skip":
            self._skipped.append(name)
            self._show_question()
        elif kind == "answer":
            self._answers[name] = state
            self._ask()
        elif kind == "withdraw":
            self._answers.pop(name, None)
            self._ask()

    def _show_zone(self, zone: Zone) -> None:
        self._pattern = ""
        page = self.query_one("#page", Page)
        page.border_title = Content(zone.title)
        page.show(zone_page(zone, self._desk))
        self.query_one("#sketch", SketchView).show(())

    def _show_pattern(self, name: str) -> None:
        if name == self._pattern:
            return
        try:
            pattern = self._desk.catalogue.pattern(name)
        except AtlasError as error:
            self.notify(self._desk.told(error), severity="error", markup=False)
            return
        self._pattern = name
        self._fill(pattern)

    def _fill(self, pattern: Pattern) -> None:
        page = self.query_one("#page", Page)
        page.border_title = Content(pattern.title)
        page.show(
            pattern_blocks(
                pattern,
                self._desk.title,
                self._desk.calculators,
                self._desk.zone_title(pattern.id),
                pattern.id in self.marked,
                self._because.get(pattern.id, ()),
            )
        )
        self.query_one("#sketch", SketchView).show(pattern.sketches)

    # --------------------------------------------------------------------------------- places
    @property
    def place(self) -> Place:
        """Where one is, to come back to."""
        return Place("find", self._pattern, self._words)

    def restore(self, place: Place) -> None:
        """Come back; a pattern alone leaves the words as they are."""
        known = place.id in self._desk.catalogue.patterns
        if known:
            self.open_pattern(place.id)
        if place.text != self._words and (place.text or not known):
            self._words = place.text
            self.query_one("#words", Input).value = place.text
            self._ask()

    def open_pattern(self, name: str) -> None:
        """Show a pattern and stand on its page."""
        self._pinned = name
        if not self._words.strip() and not self._answers:
            self._open_zone = self._desk.catalogue.patterns.zone(name)
            self._show_zones(f"pattern:{name}")
        self._show_pattern(name)
        self.action_pane("page")

    def refresh_marks(self, marked: frozenset[str]) -> None:
        """Show which patterns are marked."""
        self.marked = marked
        if self._pattern:
            self._fill(self._desk.catalogue.pattern(self._pattern))

    def renewed(self) -> None:
        """Show what stands in the catalogue now that it has been written to."""
        self._pattern, self._pinned, self._state, self._questions = "", "", None, ()
        self._show_zones()
        self._ask()

    def tour_step(self, words: str, pane: str) -> None:
        """Do one step of the tour: type words, or bring a pane to the front."""
        if words:
            self.query_one("#words", Input).value = words
        else:
            self.pane = pane

    def tour_over(self, words: str) -> None:
        """Take the tour's own words away, so that the user's do not join them."""
        line = self.query_one("#words", Input)
        if line.value == words:
            line.value = ""

    # -------------------------------------------------------------------------------- actions
    def watch_pane(self, old: str, new: str) -> None:
        """Tell the style sheet which pane is in front."""
        if self.is_mounted:
            bring_to_front(self, old, new)

    def action_pane(self, pane: str) -> None:
        """Bring a pane to the front and stand on it."""
        self.pane = pane
        stand_on(self, self.query_one(f"#{pane}"))

    def on_descendant_focus(self, event: Any) -> None:
        """The pane that has the focus is the one in front."""
        if event.widget.id in PANES:
            self.pane = event.widget.id

    def action_words(self) -> None:
        """Go to the description."""
        self.set_focus(self.query_one("#words", Input))

    def action_outward(self) -> None:
        """One step outward: from a pane to the matches, from there to the words."""
        if self.focused is not None and self.focused.id == "words":
            line = self.query_one("#words", Input)
            self._dropped = line.value if line.value.strip() else self._dropped
            line.value = ""
        elif self.focused is not None and self.focused.id == "matches":
            self.action_words()
        else:
            self.action_pane("matches")

    def action_only_zone(self) -> None:
        """Search in the zone of the pattern shown, or in all again."""
        if self._zone is not None or not self._pattern:
            self._zone = None
        else:
            self._zone = self._desk.catalogue.patterns.zone(self._pattern)
        name = self._desk.catalogue.zones[self._zone].title if self._zone else strings.ALL_ZONES
        self.query_one("#words", Input).border_subtitle = name if self._zone else ""
        self._ask()

    def action_undo(self) -> None:
        """Bring dropped words back, else the last answer, else the question passed over."""
        line = self.query_one("#words", Input)
        if self._dropped and not line.value.strip():
            line.value, self._dropped = self._dropped, ""
            line.cursor_position = len(line.value)
        elif self._answers:
            self._answers.popitem()
            self._ask()
        elif self._skipped:
            self._skipped.pop()
            self._show_question()

    def action_to_case(self) -> None:
        """State this pattern in a case."""
        if self._pattern:
            self.post_message(CaseWanted(self._pattern, self._words))
