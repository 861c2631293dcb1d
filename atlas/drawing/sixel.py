"""A picture of few colours as sixels: the bytes that a terminal draws it from."""

import numpy as np
from numpy.typing import NDArray

from atlas.drawing.photo import Bytes

BAND = 6  # pixel rows to a line of sixels
MOST_COLOURS = 256
_SHORTEST = 4  # a run of fewer signs is no longer than its count
_NONE = ord("?")  # the sign of six pixels left alone
Numbers = NDArray[np.int64]


def sixels(indices: Bytes, palette: Bytes) -> str:
    """The device control string that draws a picture where the cursor is.

    Every pixel is painted, none beyond them. Colours are told in hundredths, as the format has it.

    Args:
        indices: colour of each pixel, shape (rows, columns), 0 to 255.
        palette: red, green, blue of each colour, shape (colours, 3), 0 to 255.

    Source: Digital Equipment Corporation, VT330/VT340 Programmer Reference Manual, volume 2,
    chapter 14, Sixel Graphics (vt100.net/docs/vt3xx-gp/chapter14.html).

    >>> black_and_white = np.array([[0, 0, 0], [255, 255, 255]], dtype=np.uint8)
    >>> print(ascii(sixels(np.array([[0, 0], [0, 1]], dtype=np.uint8), black_and_white)))
    '\\x1bP0;1q"1;1;2;2#0;2;0;0;0#1;2;100;100;100#0B@$#1?A\\x1b\\\\'
    """
    rows, columns = indices.shape
    used = np.unique(indices)
    percent = np.rint(palette[used].astype(np.float64) * 100 / 255).astype(int).tolist()
    colours = "".join(f"#{c};2;{r};{g};{b}" for c, (r, g, b) in zip(used, percent, strict=True))
    return f'\x1bP0;1q"1;1;{columns};{rows}{colours}{_bands(indices)}\x1b\\'


def _bands(indices: Bytes) -> str:
    """All bands, one colour of a band after the other.

    All of them are worked out at once: a photo has hundreds of thousands of signs.
    """
    columns = indices.shape[1]
    place, bits = _signs(indices)
    line, column = np.divmod(place, columns)  # a line is one colour of one band
    opens = np.r_[True, line[1:] != line[:-1]]
    skipped = np.where(opens, column, np.r_[0, np.diff(column) - 1])
    starts = np.flatnonzero(opens | (skipped > 0) | np.r_[True, bits[1:] != bits[:-1]])
    # Each run is two units: columns that are skipped, then so many of one sign.
    counts = np.empty(2 * len(starts), dtype=np.int64)
    counts[0::2], counts[1::2] = skipped[starts], np.diff(np.r_[starts, len(place)])
    signs = np.full(2 * len(starts), _NONE, dtype=np.uint8)
    signs[1::2] = bits[starts] + _NONE
    lines = line[starts][opens[starts]]
    return _joined(_heads(lines), 2 * np.flatnonzero(opens[starts]), counts, signs)


def _signs(indices: Bytes) -> tuple[Numbers, Bytes]:
    """Where signs are (band, colour and column in one number, rising), and what is set in each."""
    rows, columns = indices.shape
    row, column = np.divmod(np.arange(rows * columns), columns)
    place = (row // BAND * MOST_COLOURS + indices.ravel()) * columns + column
    order = np.argsort(place, kind="stable")
    place, bit = place[order], (1 << (row % BAND)).astype(np.uint8)[order]
    starts = np.flatnonzero(np.r_[True, place[1:] != place[:-1]])
    return place[starts], np.bitwise_or.reduceat(bit, starts)


def _heads(lines: Numbers) -> list[bytes]:
    """What each line begins with: on to the next band or back to the left, then its colour."""
    bands, colours = np.divmod(lines, MOST_COLOURS)
    turns = [b"", *(b"-" * step if step else b"$" for step in np.diff(bands).tolist())]
    return [turn + b"#%d" % colour for turn, colour in zip(turns, colours.tolist(), strict=True)]


def _joined(heads: list[bytes], at: Numbers, counts: Numbers, signs: Bytes) -> str:
    """Units in their order, each as its sign or as a count and its sign; heads before some."""
    digits = np.searchsorted([10, 100, 1000, 10_000], counts, side="right") + 1
    long = counts >= _SHORTEST
    lengths = np.where(long, digits + 2, counts)
    before = np.zeros(len(counts), dtype=np.int64)
    before[at] = [len(head) for head in heads]
    ends = np.cumsum(lengths + before)
    place = ends - lengths
    out = np.empty(int(ends[-1]), dtype=np.uint8)
    size = before[at]
    within = np.arange(int(size.sum())) - np.repeat(np.cumsum(size) - size, size)
    out[np.repeat(place[at] - size, size) + within] = np.frombuffer(b"".join(heads), np.uint8)
    for i in range(_SHORTEST - 1):
        some = ~long & (counts > i)
        out[place[some] + i] = signs[some]
    out[place[long]] = ord("!")
    for i in range(int(digits.max(initial=1))):  # from the last digit
        some = long & (digits > i)
        out[place[some] + digits[some] - i] = counts[some] // 10**i % 10 + ord("0")
    out[place[long] + digits[long] + 1] = signs[long]
    return out.tobytes().decode("ascii")
