"""What the terminal says of itself at the start: through a pseudo-terminal with a script."""

import fcntl
import json
import os
import pty
import re
import select
import signal
import struct
import subprocess
import sys
import termios
import time
from types import SimpleNamespace

import numpy as np
import pytest
from textual._xterm_parser import XTermParser

from atlas.errors import BadInput
from atlas.ui.memory import Memory
from atlas.ui.photo_choice import PhotoChoice
from atlas.ui.terminal_graphics import Answer, Asking, Graphics, asked_for
from tests.plate_picture import picture
from tests.sixel_reader import SENT, decoded

# Answers as terminals give them: primary device attributes (DA1) in the form of the VT340's and
# of a later terminal's, extension 4 for sixels (VT330/VT340 manual, volume 1, chapter 4, from
# memory); cell size by XTWINOPS 16, registers and size by XTSMGRAPHICS, name by XTVERSION (XTerm
# Control Sequences, from memory); read off a real terminal in a session by hand.
CELL = "\x1b[6;20;10t"
SIXEL = "\x1b[?63;1;2;4;6;9;15;16;22;28c"
MORE = "\x1b[?1;0;1024S\x1b[?2;0;720;456S\x1bP>|XTerm(379)\x1b\\"
PLAIN = "\x1b[?62;22c"
KNOWN = "\x1b_Gi=31;OK\x1b\\"


@pytest.mark.parametrize(
    ("said", "choice", "expected"),
    [
        (CELL + SIXEL, "auto", Graphics("sixel", (10, 20))),
        (CELL + SIXEL + MORE + SIXEL, "auto",
         Graphics("sixel", (10, 20), 256, (720, 456), few=True)),
        (CELL + SIXEL + "\x1b[?1;0;16S", "auto", Graphics("sixel", (10, 20), 16)),
        (CELL + KNOWN + SIXEL, "auto", Graphics("sixel", (10, 20))),
        (KNOWN + CELL + PLAIN, "auto", Graphics("placeholders", (10, 20))),
        ("\x1b_Gi=31;ENOTSUPPORTED:no\x1b\\" + CELL + PLAIN, "auto", None),
        (KNOWN + PLAIN, "auto", None),  # how large a cell is was not said
        (CELL + PLAIN, "auto", None),
        (CELL + "\x1b[?4c", "auto", None),  # 4 is the kind of terminal there, no extension
        ("", "auto", None),
        (CELL + SIXEL, "cells", None),
        (KNOWN + CELL + PLAIN, "sixel", Graphics("sixel", (10, 20))),
        ("", "placeholders", Graphics("placeholders", (10, 20))),
        ("\x1b[6;0;0t" + SIXEL, "auto", None),
        ("\x1b[?99999999999c]\x9b\x00 nonsense \x1b[", "auto", None),
    ],
)  # fmt: skip
def test_answers_mean(said, choice, expected, monkeypatch):
    monkeypatch.setattr("atlas.ui.terminal_graphics.cell_size", lambda: None)
    assert Answer(said).graphics(choice) == expected


def test_what_is_no_answer_was_typed():
    assert Answer("x" + KNOWN + "pl" + CELL + SIXEL + "ate" + MORE).typed == "xplate"


def test_the_way_is_the_commands_else_the_environments(monkeypatch):
    monkeypatch.setenv("ATLAS_PHOTOS", "cells")
    assert asked_for(None) == "cells"
    assert asked_for("sixel") == "sixel"
    with pytest.raises(BadInput, match=r"--photos.*auto, cells, sixel, placeholders"):
        asked_for("pixels")
    monkeypatch.setenv("ATLAS_PHOTOS", "fast")
    with pytest.raises(BadInput, match="ATLAS_PHOTOS"):
        asked_for("")


class Terminal:
    """The application on a pseudo-terminal of 80 x 24 cells of 10 x 20 pixels."""

    def __init__(self, library, *arguments, pixels=True, **more):
        self.said = b""
        self.master, slave = pty.openpty()
        size = struct.pack("HHHH", 24, 80, 800 if pixels else 0, 480 if pixels else 0)
        fcntl.ioctl(slave, termios.TIOCSWINSZ, size)
        unset = ("TMUX", "STY", "NO_COLOR", "SSH_CONNECTION", "SSH_TTY", "ATLAS_PHOTOS")
        state = {key: value for key, value in os.environ.items() if key not in unset}
        state |= {"TERM": "xterm-256color", "COLORTERM": "truecolor", "LANG": "C.UTF-8",
                  "ATLAS_LIBRARY": str(library.root), **more}  # fmt: skip

        def own_terminal():
            signal.signal(signal.SIGINT, signal.SIG_DFL)  # ignored where tests run behind a shell
            os.setsid()
            fcntl.ioctl(0, termios.TIOCSCTTY, 0)

        self.process = subprocess.Popen(
            [sys.executable, "-m", "atlas", *arguments], stdin=slave, stdout=slave, stderr=slave,
            env=state, preexec_fn=own_terminal,
        )  # fmt: skip
        os.close(slave)

    def reads(self, wanted, what, seconds=25.0):
        """All it has sent, once that is in it."""
        end = time.monotonic() + seconds
        while not wanted(self.said):
            left = end - time.monotonic()
            assert left > 0, f"waited in vain for {what}: {self.said[-3000:]!r}"
            if select.select([self.master], [], [], min(left, 0.2))[0]:
                try:
                    self.said += os.read(self.master, 65536)
                except OSError:
                    break
        return self.said.decode(errors="replace")

    def answers(self, text):
        os.write(self.master, text.encode())

    def leaves(self):
        self.answers("\x11")  # ctrl+q
        end = time.monotonic() + 20
        while self.process.poll() is None and time.monotonic() < end:
            if select.select([self.master], [], [], 0.1)[0]:
                try:
                    self.said += os.read(self.master, 65536)
                except OSError:
                    break
        return self.process.wait(5)

    def close(self):
        if self.process.poll() is None:
            self.process.send_signal(signal.SIGKILL)
            self.process.wait(5)
        os.close(self.master)


@pytest.fixture
def terminal(library, tmp_path):
    """Starts the application on a photo, in a terminal that the test answers for."""
    picture().save(tmp_path / "plate.png")
    opened = []

    def start(*arguments, **more):
        more = {"XDG_STATE_HOME": str(tmp_path / "state"), **more}
        opened.append(Terminal(library, *arguments, **more))
        return opened[-1]

    yield start, str(tmp_path / "plate.png")
    for one in opened:
        one.close()


def until(text):
    return lambda said: text.encode() in said


def painted(text):
    """A sheet of 80 x 24 cells with all sixels painted where the cursor stood; -1 elsewhere."""
    sheet = np.full((480, 800, 3), -1)
    for found in re.finditer(r"\x1b7\x1b\[(\d+);(\d+)H(\x1bP[^\x1b]*\x1b\\)\x1b8", text):
        top, left = 20 * (int(found[1]) - 1), 10 * (int(found[2]) - 1)
        pixels, where = decoded(found[3])
        part = sheet[top : top + len(pixels), left : left + len(pixels[0])]
        part[where] = pixels[where]
    return sheet


def test_a_terminal_with_sixels_is_sent_the_photo_in_pixels(terminal):
    start, path = terminal
    one = start("photo", path)
    one.reads(until("\x1b[c"), "the question")
    one.answers(KNOWN + CELL + SIXEL)
    one.reads(until("\x1b[>0q\x1b[c"), "the second question")
    one.answers(MORE.replace("XTerm", "Other") + SIXEL)

    def whole(said):
        return (painted(said.decode(errors="replace"))[60:440, 10:790] >= 0).all()

    text = one.reads(whole, "all of the picture")
    sheet = painted(text)
    # The plate, where 1.4 picture pixels come to a screen's: lighter than the floor.
    assert sheet[230, 300].mean() == pytest.approx(155 / 2.55, abs=3)
    assert sheet[100, 200].mean() == pytest.approx(46 / 2.55, abs=3)
    assert (sheet[:60] == -1).all()  # nothing beyond the frame
    assert one.leaves() == 0
    assert b"31;OK" not in one.said  # no answer was shown on the screen


def test_a_terminal_with_placeholders_gets_pictures_and_is_rid_of_them(terminal):
    start, path = terminal
    one = start("photo", path)
    one.reads(until("\x1b[c"), "the question")
    one.answers(KNOWN + CELL + PLAIN)
    text = one.reads(until("\U0010eeee\u030d\u0305"), "cells of a picture")
    numbers = set(re.findall(r"U=1,q=2,i=(\d+)", text))
    assert numbers
    assert one.leaves() == 0
    gone = set(re.findall(r"a=d,d=I,i=(\d+)", one.said.decode(errors="replace")))
    assert numbers <= gone


@pytest.mark.parametrize(
    ("answer", "more"),
    [
        ("", {}),
        ("\x1b[?4;4;c\x1b_G;;;\x1b\\\x9b\x1b[c" + PLAIN, {}),
        (SIXEL, {"pixels": False}),  # how large a cell is, it does not say
    ],
    ids=["nothing", "nonsense", "no size"],
)
def test_any_other_terminal_gets_cells(terminal, answer, more):
    start, path = terminal
    one = start("photo", path, **more)
    one.reads(until("\x1b[c"), "the question")
    one.answers(answer)
    text = one.reads(lambda said: "▀▀▀".encode() in said and b"To do" in said, "the photo")
    assert not SENT.search(text)
    assert "_Ga=T" not in text
    assert one.leaves() == 0


def words_at_the_end(state):
    """What stood in the words when the application was left."""
    return json.loads((state / "atlas" / "ui.json").read_text())["words"]


@pytest.fixture
def toured(tmp_path):
    """The state of somebody who has been here before."""
    (tmp_path / "state" / "atlas").mkdir(parents=True)
    (tmp_path / "state" / "atlas" / "ui.json").write_text('{"toured": true}')
    return tmp_path / "state"


def test_what_is_typed_before_the_first_screen_is_not_lost(terminal, toured):
    start, _ = terminal
    one = start()
    one.reads(until("\x1b[c"), "the question")
    one.answers("pl" + KNOWN + CELL + PLAIN + "ate")
    one.reads(until("plate"), "the words")
    assert one.leaves() == 0
    assert words_at_the_end(toured) == "plate"


def test_a_late_answer_is_taken_for_no_key(terminal, toured):
    start, _ = terminal
    one = start()
    one.reads(until("do you see"), "the first screen")
    one.answers(KNOWN + CELL + SIXEL)
    time.sleep(0.5)  # the keys of one answer lie closer together
    one.answers("plate")
    one.reads(until("plate"), "the words")
    assert one.leaves() == 0
    assert words_at_the_end(toured) == "plate"


@pytest.mark.parametrize(
    "late", [KNOWN, CELL, SIXEL, KNOWN + CELL + PLAIN, MORE + SIXEL], ids=ascii
)
def test_textual_hands_on_late_answers_in_keys_that_are_known(late, monkeypatch):
    now = [100.0]
    monkeypatch.setattr("atlas.ui.photo_choice.get_time", lambda: now[0])
    choice = PhotoChoice(Answer(late=True), Memory(None))

    def left(text):
        parser = XTermParser()
        events = [*parser.feed(text)]
        time.sleep(0.15)  # longer than it waits for the end of a sequence
        events += parser.tick()
        assert len(events) >= len(text) - 1  # an escape may be left out
        now[0] += 0.02
        for event in events:
            event.time = now[0]
        return [event.key for event in events if not choice.swallows(event)]

    assert left(late) == []
    now[0] += 1
    assert left("ab") == ["a", "b"]
    now[0] += 10
    assert left("^") == ["circumflex_accent"]


@pytest.mark.parametrize(
    "more",
    [{"TMUX": "/x,1,0"}, {"NO_COLOR": "1", "ATLAS_PHOTOS": "sixel"}],
    ids=lambda more: "-".join(more),
)  # fmt: skip
def test_a_terminal_is_not_asked_where_the_answer_would_not_be_used(terminal, more):
    start, path = terminal
    one = start("photo", path, **more)
    text = one.reads(until("To do"), "the photo")
    assert "\x1b_G" not in text
    assert "\x1b[c" not in text
    assert one.leaves() == 0
    assert not SENT.search(one.said.decode(errors="replace"))


@pytest.mark.parametrize(
    ("choice", "more"),
    [("cells", {}), ("sixel", {"NO_COLOR": "1"}), ("", {"TERM": "linux"}), ("", {"TERM": "dumb"}),
     ("", {"TERM": "screen-256color"}), ("auto", {"STY": "1.pts"})],
)  # fmt: skip
def test_nothing_is_written_where_no_answer_would_be_used(choice, more, monkeypatch):
    terminal = SimpleNamespace(isatty=lambda: True)
    streams = SimpleNamespace(stdin=terminal, stderr=terminal)
    monkeypatch.setattr("atlas.ui.terminal_graphics.sys", streams)
    monkeypatch.setattr("os.ttyname", lambda number: "/dev/pts/1")
    monkeypatch.setattr("os.tcgetpgrp", lambda number: os.getpgrp())
    monkeypatch.setattr("termios.tcgetattr", lambda number: pytest.fail("it was asked"))
    for name in ("NO_COLOR", "TEXTUAL_DRIVER", "TMUX", "STY"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("TERM", "xterm-256color")
    for name, value in more.items():
        monkeypatch.setenv(name, value)
    with Asking(choice) as asking:
        answer = asking.answer()
    assert answer.said == ""
    assert answer.graphics("auto") is None


def test_a_browser_gets_cells_whatever_was_asked_for(monkeypatch):
    monkeypatch.setenv("TEXTUAL_DRIVER", "textual.drivers.web_driver:WebDriver")
    with Asking("sixel") as asking:
        assert asking.answer().graphics("sixel") is None


def test_an_answer_that_nobody_reads_does_not_go_to_the_shell(terminal, tmp_path):
    start, path = terminal
    (tmp_path / "sitecustomize.py").write_text(  # loading takes its time, however fast the machine
        "import time\n"
        "import atlas.catalogue.load as slow\n"
        "load = slow.load\n"
        "slow.load = lambda *a, **k: (time.sleep(30), load(*a, **k))[1]\n",
        encoding="utf-8",
    )
    one = start("photo", path, PYTHONPATH=f"{tmp_path}:{os.environ.get('PYTHONPATH', '')}")
    one.reads(until("\x1b[c"), "the question")
    one.answers("\x03" + KNOWN + CELL + PLAIN)  # ctrl+c, while it loads
    end, again = time.monotonic() + 25, time.monotonic() + 2
    while one.process.poll() is None and time.monotonic() < end:
        if time.monotonic() > again:  # Python loses one that falls into a finalizer
            one.answers("\x03")
            again += 2
        if select.select([one.master], [], [], 0.1)[0]:
            try:
                one.said += os.read(one.master, 65536)
            except OSError:
                break
    assert one.process.wait(20) == 130
    assert b"31;OK" not in one.said
