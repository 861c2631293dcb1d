"""The standard streams of a command: closed, full, narrow in their letters, or without a reader."""

import contextlib
import os
import signal
import sys


def open_streams() -> None:
    """See to it that a command can print, whatever it was started with.

    A stream that was closed leads nowhere, so that no file of ours takes its number and gets what
    is printed; a letter that the stream's encoding does not have becomes a question mark.
    """
    while True:
        handle = os.open(os.devnull, os.O_RDWR)
        if handle > 2:
            os.close(handle)
            break
    if sys.stdin is None:
        sys.stdin = open(0, encoding="utf-8")  # noqa: SIM115
    if sys.stdout is None:
        sys.stdout = open(1, "w", encoding="utf-8")  # noqa: SIM115
    if sys.stderr is None:
        sys.stderr = open(2, "w", encoding="utf-8")  # noqa: SIM115
    with contextlib.suppress(AttributeError, ValueError):
        sys.stdout.reconfigure(errors="replace")  # type: ignore[union-attr]


def complain(line: str) -> None:
    """One line on stderr; where that cannot be written either, nothing is left to say."""
    try:
        print(line, file=sys.stderr, flush=True)
    except OSError:
        lead_nowhere(2)


def drained(code: int) -> int:
    """Write out what stdout holds back; the exit status after it.

    A reader that has gone (a pager, head) is no fault; a disk that is full is one.
    """
    try:
        sys.stdout.flush()
    except BrokenPipeError:
        lead_nowhere(1)
        return 0
    except OSError as error:
        lead_nowhere(1)
        complain(f"atlas: output: {error.strerror or error}")
        return 2
    except ValueError:  # closed meanwhile
        return code
    return code


def lead_nowhere(number: int) -> None:
    """Let a stream lead nowhere, so that what it still holds does not fail at exit again."""
    with contextlib.suppress(OSError):
        handle = os.open(os.devnull, os.O_WRONLY)
        os.dup2(handle, number)
        os.close(handle)


def interrupted() -> int:
    """Exit status after ctrl+c; from here on another one changes nothing."""
    with contextlib.suppress(ValueError, OSError):  # not in the main thread
        signal.signal(signal.SIGINT, signal.SIG_IGN)
    return 130
