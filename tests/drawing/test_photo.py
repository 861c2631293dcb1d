"""Photos from files: what is read, how it is turned, and what is refused by name."""

import os
import struct
import zlib

import numpy as np
import pytest
from PIL import Image, ImageFile, ImageOps

from atlas.drawing import photo as module
from atlas.drawing.photo import read_photo
from atlas.errors import BadInput, NotThere


def scene(width=60, height=40):
    """A picture without any symmetry."""
    y, x = np.mgrid[:height, :width]
    return Image.fromarray(
        np.stack([x * 255 // width, y * 255 // height, (x * y) % 256], -1).astype(np.uint8)
    )


def saved(tmp_path, image, name="a.png", **how):
    path = tmp_path / name
    image.save(path, **how)
    return path


def pixels(photo):
    return photo.window(0, 0, photo.width, photo.height, photo.width, photo.height)


@pytest.mark.parametrize("orientation", range(1, 9))
@pytest.mark.parametrize("form", ["png", "jpg", "webp", "tiff"])
def test_it_is_turned_as_the_file_asks(tmp_path, orientation, form):
    image = scene()
    exif = Image.Exif()
    exif[0x0112] = orientation
    path = saved(tmp_path, image, f"a.{form}", exif=exif)
    with Image.open(path) as stored:
        theirs = np.asarray(ImageOps.exif_transpose(stored).convert("RGB"))
    photo = read_photo(path)
    assert (photo.height, photo.width) == theirs.shape[:2]
    assert np.array_equal(pixels(photo), theirs)
    assert photo.turned == (orientation > 1)


def test_a_nonsense_orientation_is_let_be(tmp_path):
    exif = Image.Exif()
    exif[0x0112] = 77
    assert not read_photo(saved(tmp_path, scene(), "a.jpg", exif=exif)).turned


@pytest.mark.parametrize("mode", ["1", "L", "LA", "P", "RGBA", "CMYK", "I;16", "I", "F"])
def test_every_kind_of_pixel_comes_out_as_eight_bit_colour(tmp_path, mode):
    if mode == "I;16":
        image = Image.fromarray((np.arange(600).reshape(20, 30) * 100).astype(np.uint16))
    else:
        image = scene(30, 20).convert(mode)
    name = "a.tiff" if mode in ("F", "CMYK", "I") else "a.png"
    found = pixels(read_photo(saved(tmp_path, image, name)))
    assert found.shape == (20, 30, 3)
    assert np.ptp(found) > 100


def test_what_is_see_through_lies_on_grey(tmp_path):
    clear = Image.new("RGBA", (8, 8), (255, 0, 0, 0))
    assert np.all(pixels(read_photo(saved(tmp_path, clear))) == 128)


def test_a_window_is_the_mean_of_its_pixels(tmp_path):
    image = scene(640, 480)
    photo = read_photo(saved(tmp_path, image))
    whole = np.asarray(image, dtype=float)
    found = photo.window(0, 0, 640, 480, 20, 15).astype(float)
    theirs = whole.reshape(15, 32, 20, 32, 3).mean(axis=(1, 3))
    assert np.max(np.abs(found - theirs)) <= 2
    near = photo.window(10, 20, 12, 21, 8, 4)
    assert np.array_equal(near[:, :4], np.broadcast_to(whole[20, 10], (4, 4, 3)))


def fails(path, kind=BadInput):
    with pytest.raises(kind) as caught:
        read_photo(path)
    line = str(caught.value)
    assert str(path) in line
    assert "\n" not in line
    return line


def test_what_is_no_photo_is_refused_by_name(tmp_path):
    assert "no such file" in fails(tmp_path / "not there.jpg", NotThere)
    assert "is a folder" in fails(tmp_path)
    os.mkfifo(tmp_path / "pipe")
    assert "no regular file" in fails(tmp_path / "pipe")
    assert "no regular file" in fails("/dev/zero")
    for name, content, says in (
        ("empty.jpg", b"", "is empty"),
        ("words.jpg", b"Dear Sir, " * 100, "no photo"),
        ("a.heic", b"\0\0\0\x18ftypheic" + b"\0" * 99, "HEIF"),
        ("a.pdf", b"%PDF-1.7", "PDF"),
        ("a.svg", b"<svg xmlns='x'/>", "drawing"),
        ("a.eps", b"%!PS-Adobe-3.0 EPSF-3.0\n%%BoundingBox: 0 0 9 9\n", "no photo"),
    ):
        (tmp_path / name).write_bytes(content)
        assert says in fails(tmp_path / name)
    if os.geteuid():
        (tmp_path / "locked.png").write_bytes(b"x")
        (tmp_path / "locked.png").chmod(0)
        assert "cannot be read" in fails(tmp_path / "locked.png")


@pytest.mark.parametrize("name", ["a.png", "a.jpg", "a.webp", "a.tiff", "a.gif", "a.bmp"])
def test_a_file_cut_short_or_damaged_is_refused_or_read_but_never_falls_over(tmp_path, name):
    content = saved(tmp_path, scene(200, 150), name).read_bytes()
    path = tmp_path / f"cut-{name}"
    path.write_bytes(content[: len(content) // 2])
    assert "damaged or cut short" in fails(path)
    rng = np.random.default_rng(5)
    for _ in range(40):
        bad = bytearray(content)
        for at in rng.integers(0, len(bad), 6):
            bad[at] = int(rng.integers(256))
        path.write_bytes(bytes(bad))
        try:
            read_photo(path)
        except BadInput as error:
            assert str(path) in str(error)


def _png_of(width, height):
    """The head of a PNG that says how large it is, and nothing behind it (ISO/IEC 15948, 11.2;
    clause from memory)."""

    def chunk(kind, body):
        return (
            struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))
        )

    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(b""))


def test_a_bomb_is_refused_from_its_head(tmp_path):
    (tmp_path / "bomb.png").write_bytes(_png_of(60_000, 60_000))
    assert "60000 x 60000 pixels are too many for PNG" in fails(tmp_path / "bomb.png")


def test_a_file_too_large_is_refused_before_it_is_read(tmp_path):
    with (tmp_path / "a.bmp").open("wb") as file:
        file.truncate(module.MOST_BYTES + 1)
    assert "too large" in fails(tmp_path / "a.bmp")


@pytest.mark.parametrize("name", ["a.jpg", "a.png"])
def test_a_picture_too_large_to_hold_is_held_smaller_in_its_own_pixels(tmp_path, name, monkeypatch):
    monkeypatch.setattr(module, "HELD_PIXELS", 20_000)
    exif = Image.Exif()
    exif[0x0112] = 6
    photo = read_photo(saved(tmp_path, scene(402, 301), name, exif=exif))
    assert (photo.width, photo.height) == (301, 402)
    assert photo.reduced > 1
    assert photo.sizes[0].width * photo.sizes[0].height <= 20_000 * 1.1
    # A place in the picture is still found where it was: the same as on the whole one.
    monkeypatch.setattr(module, "HELD_PIXELS", 10**9)
    whole = read_photo(photo.path)
    one = photo.window(40, 60, 240, 360, 10, 15).astype(float)
    two = whole.window(40, 60, 240, 360, 10, 15).astype(float)
    assert np.mean(np.abs(one - two)[..., :2]) < 3


def test_half_a_picture_is_refused_after_a_pdf_was_written_too(tmp_path, monkeypatch):
    monkeypatch.setattr(ImageFile, "LOAD_TRUNCATED_IMAGES", True)  # as that library leaves it
    path = saved(tmp_path, scene(200, 150), "a.jpg")
    path.write_bytes(path.read_bytes()[:2000])
    assert "damaged or cut short" in fails(path)
    assert ImageFile.LOAD_TRUNCATED_IMAGES


def test_the_guard_of_the_library_is_put_back(tmp_path):
    before = Image.MAX_IMAGE_PIXELS
    read_photo(saved(tmp_path, scene()))
    fails(tmp_path)
    assert before == Image.MAX_IMAGE_PIXELS


def test_stripes_are_as_sharp_on_the_right_as_on_the_left(tmp_path):
    stripes = np.tile((np.arange(1600) % 2 * 255).astype(np.uint8), (64, 1))
    path = tmp_path / "stripes.png"
    Image.fromarray(stripes).save(path)
    photo = read_photo(path)
    for left in (0, 1580):  # a dot is one pixel wide and two high, as for letters
        seen = photo.window(left, 0, left + 20, 40, 20, 20)
        assert np.array_equal(seen[..., 0], stripes[:20, left : left + 20])
