"""Commands whose streams are closed, full, narrow or without a reader, and ctrl+c."""

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

ATLAS = [sys.executable, "-m", "atlas"]
PATTERN = Path(__file__).parents[2] / "patterns" / "rear-mount" / "rear-x-plate.toml"
SKETCH = [sys.executable, "-m", "atlas.drawing", str(PATTERN)]
LINES = {"list": [*ATLAS, "list"], "json": [*ATLAS, "list", "--json"], "help": [*ATLAS, "--help"],
         "export": [*ATLAS, "export", "patterns"], "drawing": SKETCH}  # fmt: skip


def shell(line: str, command: list[str], **settings: str) -> tuple[int, str]:
    """Run a command as "$@" of a shell line; its own status and what it complained of."""
    done = subprocess.run(
        ["bash", "-c", line, "bash", *command],
        capture_output=True, text=True, timeout=60, env=os.environ | settings,
    )  # fmt: skip
    return done.returncode, done.stderr


@pytest.mark.parametrize("command", LINES.values(), ids=LINES)
def test_a_reader_that_has_gone_is_no_fault(command):
    assert shell('"$@" | true; exit ${PIPESTATUS[0]}', command) == (0, "")


@pytest.mark.parametrize("name", ["list", "export", "drawing"])
def test_a_closed_and_a_full_output(name):
    assert shell('"$@" >&-', LINES[name]) == (0, "")
    code, err = shell('"$@" >/dev/full', LINES[name])
    assert code == 2
    assert len(err.splitlines()) == 1 and "No space left" in err


def test_the_status_is_right_where_nothing_can_be_said():
    for line in ('"$@" 2>&-', '"$@" 2>/dev/full', '"$@" >&- 2>&- <&-'):
        assert shell(line, [*ATLAS, "nosuch"]) == (2, "")


def test_the_application_without_a_terminal_says_so():
    for line in ('"$@" </dev/null', 'true | "$@"', '"$@" <&-'):
        code, err = shell(line, ATLAS)
        assert code == 2
        assert "needs a terminal" in err and len(err.splitlines()) == 1


@pytest.mark.parametrize("name", ["list", "json", "drawing"])
def test_letters_that_the_output_does_not_have(name):
    assert shell('"$@" >/dev/null', LINES[name], PYTHONIOENCODING="ascii") == (0, "")


@pytest.mark.parametrize(
    ("options", "code", "said"),
    [
        (["--cells", "0x0"], 2, "no size"),
        (["--cells", "99999999x9"], 2, "write 60x20"),
        (["--cells", "x"], 2, "write 60x20"),
        (["--view", "0"], 1, "no such view"),
        (["--view", "-5"], 1, "no such view"),
        (["--svg", "/no/such/folder/x.svg"], 2, "no folder"),
        (["--svg", "/"], 2, "/"),
    ],
    ids=str,
)
def test_a_slip_of_the_drawing_is_one_line(options, code, said):
    status, err = shell('"$@"', [*SKETCH, *options])
    assert (status, len(err.splitlines())) == (code, 1), err
    assert said in err


def test_ctrl_c_at_any_moment_ends_quietly():
    """From the first line of our own code on; before it the interpreter has not begun with it."""
    for wait in (0.12, 0.25, 0.5, 0.9):
        process = subprocess.Popen(
            [*ATLAS, "calc", "front-frame", "--samples", "100000"],
            stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True,
        )  # fmt: skip
        time.sleep(wait)  # the moment is what is tried
        process.send_signal(signal.SIGINT)
        _, err = process.communicate(timeout=60)
        assert "Traceback" not in err or "atlas" not in err, err
        assert process.returncode in (0, 130, -signal.SIGINT), (wait, process.returncode, err)


def test_bytes_that_are_no_text_are_one_line():
    code, err = shell("\"$@\" $'\\xff'", [*ATLAS, "add"])
    assert code in (1, 2)
    assert len(err.splitlines()) == 1 and "internal fault" not in err
