"""The application in a real terminal, by way of tmux."""

import os
import re
import shutil
import subprocess
import sys
import time
import uuid

import pytest

from tests.plate_picture import picture

pytestmark = pytest.mark.skipif(shutil.which("tmux") is None, reason="tmux is not installed")


@pytest.fixture
def terminal(library, tmp_path):
    """A tmux session with the application in it; gives a function that sends keys and reads."""
    name = f"atlas-{uuid.uuid4().hex[:8]}"
    socket = str(tmp_path / "tmux")
    state = {key: value for key, value in os.environ.items() if key != "TMUX"}
    state |= {"TERM": "xterm-256color", "LANG": "C.UTF-8", "ATLAS_LIBRARY": str(library.root)}

    def tmux(*arguments: str) -> str:
        done = subprocess.run(
            ["tmux", "-S", socket, *arguments], env=state, capture_output=True, text=True,
            check=False, timeout=20,
        )  # fmt: skip
        return done.stdout

    def start(columns: int, rows: int, words: str = "", **more: str) -> None:
        variables = " ".join(f"{key}={value}" for key, value in more.items())
        tmux(
            "-f", "/dev/null", "new-session", "-d", "-s", name, "-x", str(columns), "-y",
            str(rows),
            f"env {variables} {sys.executable} -m atlas {words}; echo left with $?; sleep 60",
        )  # fmt: skip

    def shows(words: str, seconds: float = 25.0, without: str = "\0") -> str:
        deadline = time.monotonic() + seconds
        text = ""
        while time.monotonic() < deadline:
            text = tmux("capture-pane", "-p", "-t", name)
            if words in text and without not in text:
                return text
            time.sleep(0.05)
        raise AssertionError(f"waited in vain for {words!r}:\n{text}")

    def press(*keys: str) -> None:
        tmux("send-keys", "-t", name, *keys)

    yield start, press, shows, tmux
    tmux("kill-server")


@pytest.mark.parametrize(("columns", "rows"), [(80, 24), (120, 40)])
def test_it_opens_finds_and_leaves(terminal, columns, rows):
    start, press, shows, _ = terminal
    start(columns, rows)
    shows("1/5")  # the tour, the first time
    press("Escape")
    shows("What do you see?", without="1/5")  # the tour's own words are gone with it
    press("F2")
    press("-l", "x plate")
    shows("x plate")
    press("Enter")
    text = shows("Matches")
    assert "Traceback" not in text
    assert all(len(line) <= columns for line in text.splitlines())
    press("C-q")
    shows("left with 0")


def test_without_colour_nothing_but_weight_is_sent(terminal):
    start, press, shows, tmux = terminal
    start(100, 30, NO_COLOR="1")
    shows("1/5")
    press("Escape")
    shows("What do you see?", without="1/5")
    coloured = tmux("capture-pane", "-p", "-e", "-t", ":")
    # ECMA-48 SGR 30 to 37 and their like are colours but for black and white; of the 256 that xterm
    # has (from memory), 16 and 231 are black and white, 232 to 255 greys, and of the cube those
    # with like parts of red, green and blue.
    greys = {16, 59, 102, 145, 188, 231, *range(232, 256)}
    exact = re.findall(r"[34]8;2;(\d+);(\d+);(\d+)", coloured)
    numbered = re.findall(r"[34]8;5;(\d+)", coloured)
    assert exact or numbered, "the screen is drawn in something"
    assert all(red == green == blue for red, green, blue in exact)
    assert {int(one) for one in numbered} <= greys
    assert not re.search(r"\x1b\[(?:\d+;)*(?:[349]|10)[1-6](?:;\d+)*m", re.sub(
        r"[34]8;(?:5;\d+|2;\d+;\d+;\d+)", "0", coloured))  # fmt: skip
    press("C-q")
    shows("left with 0")


def test_marks_are_set_on_a_photo_by_key_and_by_mouse(terminal, tmp_path):
    start, press, shows, _ = terminal
    picture().save(tmp_path / "plate.png")
    start(100, 30, f"photo {tmp_path / 'plate.png'}", COLORTERM="truecolor")
    shows("mark 4 more known points")
    press("Enter")
    shows("mark 3 more known points")
    for button, state in ((0, "M"), (0, "m")) * 2:  # two clicks, as terminals report them (SGR)
        press("-l", f"\x1b[<{button};20;10{state}")
    text = shows("mark 2 more known points")
    assert "╋" in text
    assert "▀▀▀" in text
    press("C-q")
    shows("left with 0")


def test_a_fault_of_ours_leaves_one_line_and_the_terminal_as_it_was(terminal, tmp_path):
    start, press, shows, _ = terminal
    (tmp_path / "sitecustomize.py").write_text(
        "from atlas.ui.find_screen import FindScreen\n"
        "def fault(self):\n"
        "    raise ValueError('of ours')\n"
        "FindScreen.action_only_zone = fault\n",
        encoding="utf-8",
    )
    start(120, 40, PYTHONPATH=f"{tmp_path}:{os.environ.get('PYTHONPATH', '')}")
    shows("1/5")
    press("Escape")
    shows("Find", without="1/5")
    press("Enter")  # from the words to the zones
    shows("Choose")
    press("z")
    text = shows("left with 2")
    assert "internal fault (ValueError: of ours)" in text
    assert "Traceback" not in text and "locals" not in text
