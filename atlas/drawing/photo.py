"""A photo from a file: refused in words or held upright, at several sizes for drawing."""

import hashlib
import io
import stat
import struct
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from atlas.errors import BadInput, NotThere

if TYPE_CHECKING:
    from PIL.Image import Image as Picture

Bytes = NDArray[np.uint8]
FORMATS = ("JPEG", "MPO", "PNG", "WEBP", "TIFF", "BMP", "GIF", "PPM", "AVIF")
MOST_BYTES = 200 * 2**20
# Held as 3 bytes a pixel, and a third more for the smaller sizes.
HELD_PIXELS = 50_000_000
# JPEG is decoded to a half, a quarter or an eighth at once; the others only as a whole.
MOST_PIXELS = {"JPEG": 1_000_000_000, "MPO": 1_000_000_000}
MOST_PIXELS_WHOLE = 130_000_000
_LOCK = threading.Lock()


@dataclass(frozen=True)
class Photo:
    """A picture as one looks at it, turned upright as its file says.

    Positions are picture pixels from the upper left corner of the upright picture, x to the right,
    y down; the first pixel reaches from 0 to 1.
    """

    path: Path
    sha256: str
    form: str
    width: int
    height: int
    reduced: int = 1  # picture pixels to a held pixel, where the file was too large to hold
    turned: bool = False  # the file asked for it to be turned upright
    sizes: tuple["Picture", ...] = field(default=(), repr=False)

    def window(
        self,
        left: float,
        top: float,
        right: float,
        bottom: float,
        columns: int,
        rows: int,
        fine: bool = False,
    ) -> Bytes:
        """A part of the picture, averaged to so many dots.

        Args:
            left, top, right, bottom: the part, inside the picture [px].
            columns, rows: dots to make of it.
            fine: dots are small, so that edges would show where plain averages step.

        Returns:
            Red, green, blue, shape (rows, columns, 3), 0 to 255.
        """
        from PIL import Image

        each = min((right - left) / columns, (bottom - top) / rows)
        level = int(np.clip(np.floor(np.log2(max(each / self.reduced, 1.0))), 0,
                            len(self.sizes) - 1))  # fmt: skip
        held = self.sizes[level]
        fx, fy = held.width / self.width, held.height / self.height
        box = (
            max(left * fx, 0.0), max(top * fy, 0.0),
            min(right * fx, held.width), min(bottom * fy, held.height),
        )  # fmt: skip
        # Nearer than pixel for dot, pixels are shown as what they are.
        near = each * fx < 1
        mean = Image.Resampling.HAMMING if fine else Image.Resampling.BOX
        how = Image.Resampling.NEAREST if near else mean
        return np.asarray(held.resize((columns, rows), how, box=box))


def snapped(photo: Photo, x: float, y: float, reach: float) -> tuple[float, float, float]:
    """The corner or the middle of a hole next to a place, at the full size of what is held.

    Args:
        photo: the picture.
        x, y: where to look [px].
        reach: how far about, the picture's own pixels; at least six held ones are looked at [px].

    Returns:
        x, y and its standard deviation [px].

    Raises:
        BadInput: nothing stands out there.
    """
    from atlas.mechanics.interest import distinct_point

    held = photo.sizes[0]
    fx, fy = held.width / photo.width, held.height / photo.height
    near = min(max(reach * fx, 6.0), 60.0)
    half = int(4 * near) + 2
    left, top = max(int(x * fx) - half, 0), max(int(y * fy) - half, 0)
    right, bottom = min(int(x * fx) + half, held.width), min(int(y * fy) + half, held.height)
    try:
        if right - left < 4 or bottom - top < 4:
            raise ValueError("the picture is too small there")
        grey = np.asarray(held.crop((left, top, right, bottom)).convert("L"), dtype=np.float64)
        found = distinct_point(grey, [x * fx - left, y * fy - top], near)
    except ValueError as error:
        raise BadInput(str(error), remedy="zoom in, or point closer to it") from None
    at = float((found[0] + left) / fx), float((found[1] + top) / fy)
    if not (0 <= at[0] <= photo.width and 0 <= at[1] <= photo.height):
        raise BadInput("it lies outside the picture", remedy="point closer to it")
    return *at, float(found[2] / fx)


@dataclass(frozen=True)
class _Stored:
    """A picture as its file holds it, before it is turned."""

    picture: "Picture"
    form: str
    size: tuple[int, int]
    reduced: int
    orientation: int  # the turn that is still to be made
    asked: bool  # whether the file asked for any


def read_photo(path: str | Path) -> Photo:
    """Read a picture.

    Raises:
        NotThere: no such file.
        BadInput: a folder, a device, a file of another kind, damaged, cut short or too large; the
            message names the file and says what would be right.
    """
    file = Path(path).expanduser()
    content = photo_bytes(file)
    with _own_limits():
        stored = _decoded(content, file)
    upright, swapped = _upright(stored.picture, stored.orientation)
    width, height = stored.size[::-1] if swapped else stored.size
    return Photo(
        path=file, sha256=hashlib.sha256(content).hexdigest(), form=stored.form, width=width,
        height=height, reduced=stored.reduced, turned=stored.asked, sizes=_halved(upright),
    )  # fmt: skip


def photo_bytes(file: Path) -> bytes:
    """The content of a regular file of sensible size.

    Raises:
        NotThere: no such file.
        BadInput: anything else that cannot be read as one.
    """
    where = str(file)
    try:
        about = file.stat()  # before it is opened: a pipe would be waited for without end
        if stat.S_ISDIR(about.st_mode):
            raise BadInput("is a folder", where, "name the photo in it")
        if not stat.S_ISREG(about.st_mode):
            raise BadInput("is no regular file", where, "name a photo")
        if about.st_size > MOST_BYTES:
            raise BadInput(
                f"{about.st_size / 2**20:,.0f} MB is too large", where,
                f"save it smaller than {MOST_BYTES // 2**20} MB",
            )  # fmt: skip
        return file.read_bytes()
    except FileNotFoundError:
        raise NotThere("no such file", where, "look where the photo was put") from None
    except ValueError:  # NUL in the name
        raise BadInput("is no file name", where) from None
    except OSError as error:
        raise BadInput(f"cannot be read ({error.strerror})", where) from None


@contextmanager
def _own_limits() -> Iterator[None]:
    """Pillow's own guard off while ours, which knows what each format costs, is on.

    And no half picture taken for a whole one: the writer of PDF switches that on for all.
    """
    from PIL import Image, ImageFile

    with _LOCK:
        before = Image.MAX_IMAGE_PIXELS, ImageFile.LOAD_TRUNCATED_IMAGES
        Image.MAX_IMAGE_PIXELS, ImageFile.LOAD_TRUNCATED_IMAGES = None, False
        try:
            yield
        finally:
            Image.MAX_IMAGE_PIXELS, ImageFile.LOAD_TRUNCATED_IMAGES = before


def _decoded(content: bytes, file: Path) -> _Stored:
    import warnings

    from PIL import Image, UnidentifiedImageError

    where = str(file)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # oddities of metadata; the pixels are what counts
            Image.init()
            read = [form for form in FORMATS if form in Image.OPEN]  # some are built without
            picture = Image.open(io.BytesIO(content), formats=read)
            form = picture.format or ""
            stored = picture.size
            pixels = stored[0] * stored[1]
            most = MOST_PIXELS.get(form, MOST_PIXELS_WHOLE)
            if pixels > most:
                raise BadInput(
                    f"{stored[0]} x {stored[1]} pixels are too many for {form}", where,
                    f"save it as JPEG, or with fewer than {most / 1e6:.0f} million pixels",
                )  # fmt: skip
            if pixels > HELD_PIXELS and form in MOST_PIXELS:
                part = int(np.ceil(np.sqrt(pixels / HELD_PIXELS)))
                picture.draft("RGB", (stored[0] // part, stored[1] // part))
            asked = _orientation(picture)
            picture.load()  # which turns a TIFF by itself
            reduced = round(stored[0] / picture.size[0])
            more = int(np.ceil(np.sqrt(picture.size[0] * picture.size[1] / HELD_PIXELS)))
            plain = _plain(picture)
            if more > 1:
                plain, reduced = plain.reduce(more), reduced * more
            orientation = _orientation(picture)
    except UnidentifiedImageError:
        raise BadInput(_what_it_is(content), where, "save it as JPEG or PNG") from None
    except (OSError, SyntaxError, ValueError, IndexError, EOFError, struct.error) as error:
        reason = str(error).splitlines()[0][:100] if str(error) else type(error).__name__
        raise BadInput(
            f"is damaged or cut short ({reason})", where, "copy it again from the camera"
        ) from None
    except (MemoryError, Image.DecompressionBombError):
        raise BadInput("does not fit into memory", where, "save it with fewer pixels") from None
    return _Stored(plain, form, stored, reduced, orientation, asked > 1 or orientation > 1)


def _plain(picture: "Picture") -> "Picture":
    """Eight bits of red, green and blue; what is see-through lies on grey."""
    from PIL import Image

    if picture.mode.startswith(("I", "F")):
        values = np.asarray(picture, dtype=np.float64)
        low, high = (0.0, 65535.0) if "16" in picture.mode else (values.min(), values.max())
        scaled = (values - low) / ((high - low) or 1.0) * 255
        return Image.fromarray(np.clip(scaled, 0, 255).astype(np.uint8)).convert("RGB")
    if picture.has_transparency_data:
        over = picture.convert("RGBA")
        under = Image.new("RGBA", over.size, (128, 128, 128, 255))
        return Image.alpha_composite(under, over).convert("RGB")
    return picture.convert("RGB")


def _orientation(picture: Any) -> int:
    """The turn that the file asks for (EXIF tag 0x0112, 1 to 8); 1 where it says nothing usable."""
    try:
        asked = picture.getexif().get(0x0112, 1)
    except (OSError, SyntaxError, ValueError, TypeError, KeyError, IndexError, struct.error):
        return 1  # damaged metadata; the picture can still be looked at
    return asked if isinstance(asked, int) and 1 <= asked <= 8 else 1


def _upright(picture: "Picture", asked: int) -> tuple["Picture", bool]:
    """Turned as the file asks; whether its sides were exchanged.

    Source: CIPA DC-008-2023 (Exif 3.0), 4.6.5.1.6, Orientation: which side of the stored picture
    is the top and which the left (clause number from memory).
    """
    from PIL.Image import Transpose

    how = {
        2: Transpose.FLIP_LEFT_RIGHT, 3: Transpose.ROTATE_180, 4: Transpose.FLIP_TOP_BOTTOM,
        5: Transpose.TRANSPOSE, 6: Transpose.ROTATE_270, 7: Transpose.TRANSVERSE,
        8: Transpose.ROTATE_90,
    }  # fmt: skip
    if asked not in how:
        return picture, False
    return picture.transpose(how[asked]), asked >= 5


def _halved(picture: "Picture") -> tuple["Picture", ...]:
    """The picture and its halves, down to about a screen."""
    sizes = [picture]
    while max(sizes[-1].size) > 400:
        sizes.append(sizes[-1].reduce(2))
    return tuple(sizes)


def _what_it_is(content: bytes) -> str:
    head = content[:32]
    if not head:
        return "is empty"
    if head[4:8] == b"ftyp" and head[8:12] in (b"heic", b"heix", b"mif1", b"msf1", b"hevc"):
        return "is HEIF (HEIC), which is not read here"
    if head.startswith(b"%PDF"):
        return "is a PDF, no photo"
    if head.lstrip().startswith((b"<svg", b"<?xml")):
        return "is a drawing (SVG or XML), no photo"
    return "is no photo that can be read"
