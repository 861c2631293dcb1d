"""A picture by the terminal graphics protocol, shown where placeholder characters stand as text."""

import base64
import io
from collections.abc import Iterator

from atlas.drawing.photo import Bytes

_PLACEHOLDER = "\U0010eeee"
# The protocol counts rows and columns of a picture by combining characters: the first 32 of its
# list, Unicode class 230 (compared in the tests with an outside copy of the list).
_COUNT = (
    "\u0305\u030d\u030e\u0310\u0312\u033d\u033e\u033f\u0346\u034a\u034b\u034c\u0350\u0351\u0352"
    "\u0357\u035b\u0363\u0364\u0365\u0366\u0367\u0368\u0369\u036a\u036b\u036c\u036d\u036e\u036f"
    "\u0483\u0484"
)
MOST = len(_COUNT)  # rows and columns of one picture [cells]
_CHUNK = 4096  # bytes of base64 to a message, the most that the protocol allows


def sent(pixels: Bytes, number: int, columns: int, rows: int) -> str:
    """What gives the terminal a picture for so many cells; one of the same number goes.

    Args:
        pixels: red, green, blue, shape (rows, columns, 3), 0 to 255.
        number: of the picture, 1 to 2**24 - 1: it is told again as a colour.
        columns, rows: that it will be shown in, up to 32 [cells].
    """
    from PIL import Image

    file = io.BytesIO()
    Image.fromarray(pixels).save(file, "PNG", compress_level=1)
    text = base64.b64encode(file.getvalue()).decode("ascii")
    # Transmit and place (T) as a PNG (100), to be shown by placeholders (U), with no answer (q).
    about = f"a=T,f=100,t=d,U=1,q=2,i={number},c={columns},r={rows},"
    return "".join(
        f"\x1b_G{about if first else 'q=2,'}m={int(more)};{chunk}\x1b\\"
        for first, more, chunk in _chunks(text)
    )


def _chunks(text: str) -> Iterator[tuple[bool, bool, str]]:
    for start in range(0, len(text), _CHUNK):
        yield start == 0, start + _CHUNK < len(text), text[start : start + _CHUNK]


def row_of(row: int, columns: int) -> str:
    """One row of any picture's cells, to be written in the colour of :func:`colour_of`.

    >>> print(ascii(row_of(0, 2)))
    '\\U0010eeee\\u0305\\u0305\\U0010eeee\\u0305\\u030d'
    """
    return "".join(f"{_PLACEHOLDER}{_COUNT[row]}{_COUNT[column]}" for column in range(columns))


def colour_of(number: int) -> tuple[int, int, int]:
    """Red, green and blue of the text, which say whose cells they are.

    >>> colour_of(0x010203)
    (1, 2, 3)
    """
    return number >> 16 & 255, number >> 8 & 255, number & 255


def forgotten(number: int) -> str:
    """What takes a picture away, and its memory."""
    return f"\x1b_Ga=d,d=I,i={number},q=2\x1b\\"
