"""Pictures by the terminal graphics protocol, read back by Pillow."""

import base64
import io
import re
import unicodedata

import numpy as np
import pytest
from PIL import Image

from atlas.drawing.placeholders import MOST, colour_of, forgotten, row_of, sent

MESSAGE = re.compile(r"\x1b_G([^;\x1b]*)(?:;([^\x1b]*))?\x1b\\")
# The first of the protocol's counting characters, as docs.rs/crate/kraal/0.1.1 has them
# (source/src/graphics/diacritics.rs), looked up.
COUNTING = [
    f"{code:04X}"
    for run in (
        (0x305, 0x30D, 0x30E, 0x310, 0x312), range(0x33D, 0x340), (0x346,), range(0x34A, 0x34D),
        range(0x350, 0x353), (0x357, 0x35B), range(0x363, 0x370), (0x483, 0x484),
    )
    for code in run
]  # fmt: skip


def messages(text):
    """Keys and payload of each message."""
    return [
        (dict(pair.split("=") for pair in found[1].split(",")), found[2])
        for found in MESSAGE.finditer(text)
    ]


def picture_of(text):
    """Pixels of what was transmitted."""
    data = base64.b64decode("".join(payload for _, payload in messages(text)), validate=True)
    return np.asarray(Image.open(io.BytesIO(data)))


@pytest.mark.parametrize("size", [(3, 2), (160, 80), (320, 200)], ids=str)
def test_pixels_come_back_in_chunks_that_the_protocol_allows(size):
    pixels = np.random.default_rng(3).integers(0, 256, (*size[::-1], 3), dtype=np.uint8)
    text = sent(pixels, 70000, 16, 4)
    assert MESSAGE.sub("", text) == ""
    assert np.array_equal(picture_of(text), pixels)
    (first, *rest) = messages(text)
    assert first[0].items() >= {
        "a": "T", "f": "100", "U": "1", "q": "2", "i": "70000", "c": "16", "r": "4",
    }.items()  # fmt: skip
    assert all(len(payload) <= 4096 for _, payload in (first, *rest))
    assert all(len(payload) % 4 == 0 for _, payload in (first, *rest))
    assert [about["m"] for about, _ in (first, *rest)] == ["1"] * len(rest) + ["0"]


def test_cells_say_row_and_column_by_the_protocols_characters():
    assert len(COUNTING) == MOST
    for row in range(MOST):
        cells = row_of(row, MOST)
        assert [cells[i] for i in range(0, 3 * MOST, 3)] == ["\U0010eeee"] * MOST
        assert {cells[i + 1] for i in range(0, 3 * MOST, 3)} == {chr(int(COUNTING[row], 16))}
        assert [f"{ord(cells[i + 2]):04X}" for i in range(0, 3 * MOST, 3)] == COUNTING
    assert all(unicodedata.combining(chr(int(code, 16))) == 230 for code in COUNTING)


def test_a_number_is_told_by_colour_and_taken_back_by_name():
    assert colour_of(0xABCDEF) == (0xAB, 0xCD, 0xEF)
    ((about, _),) = messages(forgotten(70000))
    assert about == {"a": "d", "d": "I", "i": "70000", "q": "2"}
