"""Sixels, read back by the manual's rules and by an outside library's decoder."""

import io
import shutil
import subprocess

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as some
from PIL import Image

from atlas.drawing.sixel import sixels
from tests.sixel_reader import decoded


@pytest.mark.parametrize(
    ("column", "sign"),
    [((1, 0, 0, 0, 0, 0), "@"), ((0, 1, 0, 0, 0, 0), "A"), ((1, 1, 1, 1, 1, 1), "~")],
    ids=["top", "second", "all"],
)
def test_signs_are_those_of_a_printed_list(column, sign):
    """Digital, LA400plus manual, Sixel Graphics Control Codes (manualslib.com/manual/886166, 248).

    There: ``@`` prints only the top pixel, ``A`` the second from the top, ``~`` a full column.
    """
    palette = np.array([[0, 0, 0], [255, 0, 0]], dtype=np.uint8)
    body = sixels(np.array([column], dtype=np.uint8).T, palette).removesuffix("\x1b\\")
    assert body.endswith(f"#1{sign}")


def test_a_run_is_counted():
    """VT330/VT340 manual, chapter 14, Graphics Repeat Introducer: ``!`` and how often."""
    blue = np.array([[0, 0, 255]], dtype=np.uint8)
    text = sixels(np.zeros((6, 9), dtype=np.uint8), blue)
    assert text == '\x1bP0;1q"1;1;9;6#0;2;0;0;100#0!9~\x1b\\'


@given(
    rows=some.integers(1, 20), columns=some.integers(1, 40), colours=some.integers(1, 256),
    seed=some.integers(0, 2**32 - 1), flat=some.booleans(),
)  # fmt: skip
def test_every_pixel_comes_back(rows, columns, colours, seed, flat):
    chance = np.random.default_rng(seed)
    indices = chance.integers(0, colours, (rows, columns), dtype=np.uint8)
    if flat:
        indices = np.repeat(indices, 12, axis=1)  # long runs
    palette = chance.integers(0, 256, (colours, 3), dtype=np.uint8)
    pixels, painted = decoded(sixels(indices, palette))
    assert painted.all()
    assert np.array_equal(pixels, np.rint(palette[indices] / 2.55).astype(int))


def test_runs_and_gaps_of_all_lengths_of_count():
    for length in (1, 2, 3, 4, 9, 10, 99, 100, 999, 1000, 9999, 10000):
        indices = np.zeros((1, 2 * length + 1), dtype=np.uint8)
        indices[0, length:-1] = 1
        pixels, painted = decoded(sixels(indices, np.array([[0] * 3, [255] * 3], dtype=np.uint8)))
        assert painted.all()
        assert np.array_equal(pixels[..., 0] > 50, indices == 1)


@pytest.mark.skipif(shutil.which("sixel2png") is None, reason="libsixel's tools are not installed")
def test_an_outside_decoder_reads_the_same():
    """libsixel 1.10 (Debian libsixel-bin): sixel2png."""
    chance = np.random.default_rng(5)
    indices = chance.integers(0, 200, (37, 53), dtype=np.uint8)
    palette = chance.integers(0, 256, (200, 3), dtype=np.uint8)
    done = subprocess.run(["sixel2png", "-o", "-"], input=sixels(indices, palette).encode(),
                          capture_output=True, check=True, timeout=20)  # fmt: skip
    there = np.asarray(Image.open(io.BytesIO(done.stdout)).convert("RGB"), dtype=int)
    assert np.abs(there - np.rint(palette[indices] / 2.55) * 2.55).max() <= 1
