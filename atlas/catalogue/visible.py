"""Text from people is data: what could steer a terminal or reorder a line is shown, not obeyed."""

import unicodedata
from collections.abc import Iterator
from typing import Any

from atlas.errors import BadInput

MOST = 100_000  # characters of one field
# Bidirectional controls and other invisible format characters are category Cf; these two are
# needed inside words of some scripts and do no harm.
HARMLESS = {"‌", "‍"}
_KEPT = {"\n", "\t"}


def visible(text: str, *, lines: bool = True) -> str:
    """The text with control, format and surrogate characters made visible.

    Args:
        text: anything.
        lines: whether line breaks stay; otherwise they become spaces.

    >>> visible("a\\x1b[31mb\\u202ec")
    'a␛[31mb<U+202E>c'
    """
    if text.isascii() and text.isprintable():
        return text
    out = []
    for sign in text:
        if sign in _KEPT:
            out.append(sign if lines else " ")
        elif sign < " ":
            out.append(chr(0x2400 + ord(sign)))
        elif unicodedata.category(sign) in {"Cc", "Cf", "Cs", "Co", "Zl", "Zp"} and (
            sign not in HARMLESS
        ):
            out.append(f"<U+{ord(sign):04X}>")
        else:
            out.append(sign)
    return "".join(out)


def in_one_line(text: str) -> str:
    """The text made visible, with each run of spaces and line breaks as one space.

    >>> in_one_line("four feet,\\n  two  bolts ")
    'four feet, two bolts'
    """
    return " ".join(visible(text).split())


def sign_by_sign(text: str) -> str:
    """The text with one harmless sign for each that is none, so that places in it stay.

    >>> sign_by_sign("a\\x1b[31mb\\u202ec\\t")
    'a␛[31mb�c\\t'
    """
    if text.isascii() and text.isprintable():
        return text
    return "".join(
        shown if len(shown := visible(sign)) == 1 else "\N{REPLACEMENT CHARACTER}" for sign in text
    )


def accepted(text: str, where: str, *, most: int = MOST, empty: bool = False) -> str:
    """The text, stripped, or a refusal that says what about it cannot be stored.

    Raises:
        BadInput: empty, longer than ``most`` characters, holds NUL or half a surrogate pair.
    """
    stripped = text.strip()
    if not stripped and not empty:
        raise BadInput("nothing was given", where, "write a few words")
    storable(stripped, where, most)
    return stripped


def storable(text: str, where: str, most: int = MOST) -> None:
    """Refuse what no record may hold.

    Raises:
        BadInput: longer than ``most`` characters, holds NUL or half a surrogate pair.
    """
    if len(text) > most:
        raise BadInput(
            f"{len(text):,} characters",
            where,
            f"at most {most:,} fit; attach a file",
        )
    if "\0" in text:
        raise BadInput("holds a NUL character", where, "take it out")
    if any("\ud800" <= sign <= "\udfff" for sign in text):
        raise BadInput("holds bytes that are no text", where, "save or type it as UTF-8")


def texts(value: Any) -> Iterator[str]:
    """Every text in a record, names of fields included."""
    pending = [value]
    while pending:
        one = pending.pop()
        if isinstance(one, str):
            yield one
        elif isinstance(one, dict):
            pending += [*one.keys(), *one.values()]
        elif isinstance(one, list | tuple):
            pending += one


def sentence(text: str) -> str:
    """The text with a full stop where it ends without any.

    >>> sentence("Plumb both ends"), sentence("Is it bent?")
    ('Plumb both ends.', 'Is it bent?')
    """
    text = text.strip()
    return text if not text or text[-1] in ".!?:;" else f"{text}."
