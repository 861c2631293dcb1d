"""What two people did differently, side by side, to keep one of."""

import re
from collections.abc import Callable
from dataclasses import dataclass
from difflib import SequenceMatcher
from typing import ClassVar

from textual import on, work
from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Horizontal, Vertical
from textual.content import Content
from textual.message import Message
from textual.screen import ModalScreen
from textual.widgets import Footer, Static
from textual.worker import get_current_worker

from atlas.casework.cases import Cases
from atlas.casework.conflicts import Open, choose, open_conflicts
from atlas.casework.merging import ABSENT
from atlas.catalogue.visible import in_one_line, visible
from atlas.errors import AtlasError
from atlas.ui import case_strings, strings
from atlas.ui.page import GAP, Block, Page

_MOST = 9  # versions that a number key leads to
_LONG = 4_000  # words beyond which differences are not looked for


class ConflictsScreen(ModalScreen[bool]):
    """One conflict at a time, its versions side by side; leaves with whether any was settled.

    Args:
        cases: the library's, and who chooses.
        title_of: a pattern's title by its id.
        first: id of the case whose conflicts come first.
    """

    CSS_PATH = "conflicts.tcss"
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (100, "-wide")]  # noqa: RUF012
    BINDINGS: ClassVar = [
        Binding("n", "step(1)", case_strings.CONFLICT_NEXT, id="conflicts.next",
                tooltip=case_strings.CONFLICT_NEXT_TIP),
        Binding("b", "step(-1)", case_strings.CONFLICT_BEFORE, id="conflicts.before",
                tooltip=case_strings.CONFLICT_BEFORE_TIP),
        *(Binding(str(i), f"version({i})", case_strings.CONFLICT_TO, id=f"conflicts.version-{i}",
                  show=False, tooltip=case_strings.CONFLICT_TO_TIP) for i in range(1, _MOST + 1)),
        Binding("escape,c,q", "leave", strings.LEAVE, id="conflicts.leave",
                tooltip=strings.LEAVE_TIP),
    ]  # fmt: skip

    @dataclass
    class Found(Message):
        """What waits for a choice, and what could not be read."""

        waiting: tuple[Open, ...]
        faults: tuple[AtlasError, ...]

    def __init__(self, cases: Cases, title_of: Callable[[str], str], first: str = "") -> None:
        super().__init__()
        self._cases, self._title_of, self._first = cases, title_of, first
        self._waiting: tuple[Open, ...] = ()
        self._place = 0
        self._changed = False

    def compose(self) -> ComposeResult:
        """A line that says which, then as many panes as there are versions."""
        with Vertical(id="conflicts"):
            yield Static(Content(case_strings.CONFLICTS_LOOKING), id="which")
            with Horizontal(id="versions"):
                for number in range(1, _MOST + 1):
                    page = Page(id=f"version-{number}", classes="pane")
                    page.display = False
                    yield page
            yield Footer(show_command_palette=False)

    def on_mount(self) -> None:
        """Look for what waits."""
        self._look()

    @work(thread=True, exclusive=True)
    def _look(self) -> None:
        waiting, faults = open_conflicts(self._cases.library)
        if not get_current_worker().is_cancelled:
            self.post_message(self.Found(waiting, faults))

    @on(Found)
    def _take(self, event: Found) -> None:
        record = f"cases/{self._first}.json"
        self._waiting = tuple(sorted(event.waiting, key=lambda one: one.record != record))
        self._place = min(self._place, max(len(self._waiting) - 1, 0))
        for fault in event.faults:
            self.notify(visible(str(fault), lines=False), severity="warning", markup=False)
        self._show()

    # ------------------------------------------------------------------------------- showing
    @property
    def current(self) -> Open | None:
        """The conflict on screen."""
        return self._waiting[self._place] if self._waiting else None

    def _show(self) -> None:
        one, line = self.current, self.query_one("#which", Static)
        pages = list(self.query(Page))
        if one is None:
            line.update(Content(case_strings.CONFLICTS_NONE))
        else:
            place = case_strings.CONFLICT_PLACE.format(
                place=self._place + 1, count=len(self._waiting), record=in_one_line(one.record),
                field=in_one_line(one.field) or case_strings.CONFLICT_FILE,
            )  # fmt: skip
            line.update(Content.assemble((place, "bold $primary"), f"\n{_question(one)}"))
        for number, page in enumerate(pages):
            page.display = one is not None and number < len(one.values)
            if one is not None and page.display:
                page.border_title = case_strings.CONFLICT_VERSION.format(number=number + 1)
                page.show(version_blocks(one, number, self._title_of))
        if one is not None:
            pages[0].focus()

    def action_step(self, step: int) -> None:
        """To another conflict."""
        if self._waiting:
            self._place = (self._place + step) % len(self._waiting)
            self._show()

    def action_version(self, number: int) -> None:
        """To a version's pane."""
        page = self.query_one(f"#version-{number}", Page)
        if page.display:
            page.focus()

    @on(Page.Chosen)
    def _keep(self, event: Page.Chosen) -> None:
        one, number = self.current, int(event.block.key or 0)
        if one is None or not number:
            return
        try:
            choose(self._cases.library, one.id, number, self._cases.who)
        except AtlasError as error:
            self.notify(str(error), severity="error", markup=False)
        else:
            self._changed = True
            what = in_one_line(one.shown(number - 1))[:80]
            self.notify(case_strings.CONFLICT_KEPT.format(what=what), markup=False)
        self._look()

    def action_leave(self) -> None:
        """Back to the cases."""
        self.dismiss(self._changed)


def version_blocks(one: Open, number: int, title_of: Callable[[str], str]) -> list[Block]:
    """A version as blocks: who, when, what; what the others have otherwise is set off.

    Args:
        one: the conflict.
        number: which of its versions, from 0.
        title_of: a pattern's title by its id.
    """
    rows: list[tuple[str, Content]] = []
    who = in_one_line(one.names[number]) or case_strings.UNNAMED
    rows.append((case_strings.CONFLICT_WHO, Content(who)))
    if one.verdicts:
        _, verdict = one.verdicts[number]
        others = [other.found for i, (_, other) in enumerate(one.verdicts) if i != number]
        title = title_of(verdict.pattern) if verdict.pattern else case_strings.NONE_OF_CATALOGUE
        rows += [
            (case_strings.CONFLICT_WHEN, Content(in_one_line(verdict.at.replace("T", " ")))),
            (case_strings.CONFLICT_WHAT, Content.styled(in_one_line(title), "bold")),
            (strings.HOW, Content(strings.HOWS.get(verdict.how, verdict.how))),
            (case_strings.CONFLICT_FOUND, set_off(verdict.found, others)),
        ]
    else:
        others = [one.told(i) for i in range(len(one.values)) if i != number]
        rows.append((case_strings.CONFLICT_WHAT, set_off(one.told(number), others)))
        if one.kept == number:
            rows.append(("", Content.styled(case_strings.CONFLICT_HELD, "$muted")))
    blocks = [
        Block(Content.assemble((f"{name}: " if name else "", "$muted"), said))
        for name, said in rows
    ]
    gone = not one.path and one.values[number] is ABSENT
    words = case_strings.CONFLICT_TAKE_OUT if gone else case_strings.CONFLICT_KEEP
    keep = Content.styled(words, "bold")
    return [*blocks, GAP, Block(keep, "item", str(number + 1), "■ ")]


def set_off(text: str, others: list[str]) -> Content:
    """A text with the words underlined that none of the others has at that place.

    >>> [span.style for span in set_off("two feet", ["four feet"]).spans]
    ['bold underline']
    """
    words = re.findall(r"\s+|[^\s]+", visible(text))
    theirs = [re.findall(r"\s+|[^\s]+", visible(other)) for other in others]
    if not theirs or sum(map(len, (words, *theirs))) > _LONG:
        return Content(visible(text))
    shared = [False] * len(words)
    for other in theirs:
        for at, _, size in SequenceMatcher(None, words, other, False).get_matching_blocks():
            shared[at : at + size] = [True] * size
    return Content.assemble(
        *((word, "" if same or word.isspace() else "bold underline")
          for word, same in zip(words, shared, strict=True))
    )  # fmt: skip


def _question(one: Open) -> str:
    if one.verdicts:
        return case_strings.CONFLICT_VERDICT
    if one.path:
        return case_strings.CONFLICT_FIELD
    return case_strings.CONFLICT_TAKEN if ABSENT in one.values else case_strings.CONFLICT_WHOLE
