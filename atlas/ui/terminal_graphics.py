"""What the terminal can draw besides characters: asked while the application still loads.

Nothing of Textual is imported here. The question is written first, the answer read when all else
is ready, so that a terminal that answers costs no time and one that does not costs little.
"""

import os
import re
import sys
import time
from dataclasses import dataclass
from types import TracebackType
from typing import Literal

from atlas.errors import BadInput

Way = Literal["sixel", "placeholders"]
CHOICES = ("auto", "cells", "sixel", "placeholders")
VARIABLE = "ATLAS_PHOTOS"
WAIT = 0.03  # seconds for the answer, after everything else is ready
_WAIT_FAR = 0.6  # the same over a network, where answers take their time
# A picture of one pixel by the terminal graphics protocol, only to be asked about; the size of a
# cell (XTWINOPS 16); what the terminal is (DA1), which all answer, and last. The cursor's place
# is kept, and what stands right of it wiped, for terminals that write what they do not know.
_QUESTION = "\x1b7\x1b_Gi=31,s=1,v=1,a=q,t=d,f=24;AAAA\x1b\\\x1b[16t\x1b8\x1b[K\x1b[c"
# Of one that has sixels: how many colours, what size at most (XTSMGRAPHICS), and its name
# (XTVERSION); again DA1 to end it.
_MORE = "\x1b[?1;1;0S\x1b[?2;1;0S\x1b[>0q\x1b[c"
_CELL = re.compile(r"\x1b\[6;(\d{1,4});(\d{1,4})t")
_IS = re.compile(r"\x1b\[\?([\d;]{1,60})c")
_GRAPHICS = re.compile(r"\x1b_Gi=31;([^\x1b]{0,80})\x1b\\")
_COLOURS = re.compile(r"\x1b\[\?1;0;(\d{1,6})S")
_SIZE = re.compile(r"\x1b\[\?2;0;(\d{1,6});(\d{1,6})S")
_NAME = re.compile(r"\x1bP>\|([^\x1b]{0,80})\x1b\\")
_ANY = re.compile(
    "|".join(one.pattern for one in (_CELL, _IS, _GRAPHICS, _NAME)) + r"|\x1b\[\?[\d;]{1,40}S"
)


@dataclass(frozen=True)
class Graphics:
    """How pixels get on this terminal.

    Args:
        way: by sixels, or by the terminal graphics protocol with placeholders.
        cell: width and height of a cell [px].
        colours: that it holds at once, with sixels.
        largest: width and height of one picture at most [px]; zero where nothing was said.
        few: it forgets all but some pictures when its window is uncovered.
    """

    way: Way
    cell: tuple[int, int]
    colours: int = 256
    largest: tuple[int, int] = (0, 0)
    few: bool = False


@dataclass(frozen=True)
class Answer:
    """What the terminal said of itself, keys that were typed meanwhile, and whether more may come.

    Args:
        said: its own words; empty where it was not asked.
        choice: what the command or the environment asked for; empty for nothing.
    """

    said: str = ""
    choice: str = ""
    late: bool = False
    draws: bool = True  # no browser, no line printer, and nobody who wants no colours

    @property
    def typed(self) -> str:
        """What is no answer: somebody was faster than the application."""
        return _ANY.sub("", self.said)

    def graphics(self, choice: str) -> Graphics | None:
        """How pixels get on the terminal if photos are to be drawn so; None for cells."""
        return _decided(choice, self.said) if self.draws else None


def asked_for(given: str | None) -> str:
    """How photos are to be drawn: as the command says, else the environment; empty for neither.

    Raises:
        BadInput: it is none of the ways.
    """
    for where, name in (("--photos", given), (VARIABLE, os.environ.get(VARIABLE))):
        if name:
            if name not in CHOICES:
                remedy = f"one of {', '.join(CHOICES)}"
                raise BadInput(f"{name!r} is no way to draw photos", where, remedy)
            return name
    return ""


class Asking:
    """A question to the terminal, from ``with`` on; ``answer`` ends it.

    Args:
        choice: what was asked for; a terminal whose answer would not be used is not asked.
    """

    def __init__(self, choice: str) -> None:
        self.choice = choice
        self._before: list[object] | None = None  # the terminal's modes
        self._read = b""

    def __enter__(self) -> "Asking":
        if _worth_asking(self.choice):
            self._ask()
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        if self._before is not None:  # it failed before it was read: no shell is to have it
            self._until(1, WAIT)
        self._restore()

    def _ask(self) -> None:
        import termios

        try:
            before = termios.tcgetattr(0)
            quiet = termios.tcgetattr(0)
            # Answers neither shown nor kept back until enter is pressed; ctrl+c works on.
            quiet[3] &= ~(termios.ECHO | termios.ICANON)
            quiet[6][termios.VMIN], quiet[6][termios.VTIME] = 1, 0
            termios.tcsetattr(0, termios.TCSANOW, quiet)
            self._before = before
            os.write(2, _QUESTION.encode("ascii"))
        except (termios.error, OSError):
            self._restore()

    def _restore(self) -> None:
        if self._before is not None:
            import termios

            before, self._before = self._before, None
            try:
                termios.tcsetattr(0, termios.TCSANOW, before)  # type: ignore[arg-type]
            except termios.error:
                return  # it is gone

    def answer(self) -> Answer:
        """What the terminal said, by now or within a moment."""
        if self._before is None:
            return Answer(choice=self.choice, draws=_draws())
        far = any(os.environ.get(name) for name in ("SSH_CONNECTION", "SSH_TTY"))
        said = self._until(1, _WAIT_FAR if far else WAIT)
        late = _IS.search(said) is None
        if _has_sixels(said):
            os.write(2, _MORE.encode("ascii"))
            said = self._until(2, _WAIT_FAR if far else 3 * WAIT)
            late = len(_IS.findall(said)) < 2
        self._restore()
        return Answer(said, self.choice, late)

    def _until(self, count: int, seconds: float) -> str:
        """All that was read, once the terminal has said so often what it is."""
        import select

        end = time.monotonic() + seconds
        while True:
            said = self._read.decode("utf-8", "replace")
            left = end - time.monotonic()
            if len(_IS.findall(said)) >= count or left < 0 or len(self._read) > 65536:
                return said
            try:
                if select.select([0], [], [], left)[0]:
                    more = os.read(0, 4096)
                    if not more:
                        return said
                    self._read += more
            except OSError:
                return said


def _draws() -> bool:
    """Whether there is a terminal of one's own, which may have pixels and colours."""
    if os.environ.get("NO_COLOR") or os.environ.get("TEXTUAL_DRIVER"):
        return False
    if os.environ.get("TERM", "") in ("", "dumb", "linux", "unknown"):
        return False
    return sys.stdin.isatty() and sys.stderr.isatty()


def _worth_asking(choice: str) -> bool:
    """Whether there is a terminal that answers, and a use for what it says."""
    try:
        import termios  # noqa: F401
    except ImportError:
        return False
    if choice == "cells" or not _draws() or (choice in ("", "auto") and _is_shared()):
        return False
    try:
        # In the background it would be stopped.
        return os.ttyname(0) == os.ttyname(2) and os.tcgetpgrp(0) == os.getpgrp()
    except OSError:
        return False


def _is_shared() -> bool:
    """In a multiplexer, which may show one terminal in several that differ."""
    kind = os.environ.get("TERM", "")
    return bool(os.environ.get("TMUX") or os.environ.get("STY")) or kind.startswith(
        ("screen", "tmux")
    )


def _decided(choice: str, said: str) -> Graphics | None:
    cell = cell_size() or _cell_told(said)
    if choice == "cells":
        return None
    answered = _GRAPHICS.search(said)
    # Sixel first: some that know the other protocol do not know its placeholders, but sixels.
    if choice == "sixel" or (choice == "auto" and _has_sixels(said) and cell):
        colours, size, name = (one.search(said) for one in (_COLOURS, _SIZE, _NAME))
        return Graphics(
            "sixel", cell or (10, 20),  # the cell of a VT340, where nothing is said
            min(max(int(colours[1]), 16), 256) if colours else 256,
            (int(size[1]), int(size[2])) if size else (0, 0),
            bool(name and name[1].startswith("XTerm(")),
        )  # fmt: skip
    if choice == "placeholders" or (answered and answered[1] == "OK" and cell):
        return Graphics("placeholders", cell or (10, 20))
    return None


def _has_sixels(said: str) -> bool:
    """Whether it said so of itself: extension 4 of its primary device attributes."""
    told = _IS.search(said)
    return told is not None and "4" in told[1].split(";")[1:]


def _cell_told(said: str) -> tuple[int, int] | None:
    told = _CELL.search(said)
    return _sensible(int(told[2]), int(told[1])) if told else None


def cell_size() -> tuple[int, int] | None:
    """Width and height of a cell as the terminal's line tells it [px]; None where it does not."""
    import struct

    try:
        import fcntl
        import termios

        told = fcntl.ioctl(2, termios.TIOCGWINSZ, bytes(8))
    except (ImportError, OSError):
        return None
    rows, columns, width, height = struct.unpack("HHHH", told)
    return _sensible(width // columns, height // rows) if rows and columns else None


def _sensible(width: int, height: int) -> tuple[int, int] | None:
    return (width, height) if 3 <= width <= 200 and 5 <= height <= 400 else None
