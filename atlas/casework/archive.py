"""The archive of one case: a zip that holds the case, its photos by content, and a manifest.

    manifest.json           what the archive holds: name, size and SHA-256 of every other member
    case.json               the case as the library stores it
    photos/SHA256.suffix    photos, uncompressed

What comes in from elsewhere is untrusted: ``Archive`` accepts this form and nothing else, and
reads a member only up to the size that was declared and allowed.
"""

import hashlib
import json
import re
import stat
import unicodedata
import zipfile
import zlib
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path
from typing import IO, Annotated

import msgspec
from msgspec import Meta, Struct

from atlas.casework.photos import MOST as MOST_PHOTO
from atlas.catalogue.reading import MOST_BYTES
from atlas.catalogue.visible import visible
from atlas.errors import BadInput, NotThere, Refused

FORMAT, VERSION = "atlas-case", 1
MANIFEST, CASE = "manifest.json", "case.json"
MOST_MEMBERS = 5_000
MOST_TEXT = MOST_BYTES  # of the case and of the manifest
MOST_WHOLE = 4 * 2**30
MOST_SWELLING = 100  # of a photo: uncompressed by compressed size
_PHOTO = re.compile(r"photos/([0-9a-f]{64})(\.[a-z0-9]{1,5})?")
# First bytes of the usual archives: what is packed twice hides its size and its names.
_ARCHIVES = (
    b"PK\x03\x04", b"PK\x05\x06", b"\x1f\x8b", b"BZh", b"\xfd7zXZ\x00", b"7z\xbc\xaf\x27\x1c",
    b"Rar!\x1a\x07", b"\x28\xb5\x2f\xfd",
)  # fmt: skip
_CHUNK = 1 << 20

Digest = Annotated[str, Meta(pattern=r"^[0-9a-f]{64}$")]


class Member(Struct, frozen=True, forbid_unknown_fields=True):
    """What the manifest says of a member."""

    size: Annotated[int, Meta(ge=0)]
    sha256: Digest


class Manifest(Struct, frozen=True, forbid_unknown_fields=True):
    """What an archive holds, and which photos could not be packed, with the reason."""

    format: str
    version: int
    case: str
    members: dict[str, Member]
    left_out: dict[str, str] = {}  # SHA-256 of a photo -> why it is not here


def is_archive(head: bytes) -> bool:
    """Whether a file that begins like this is an archive itself."""
    return head.startswith(_ARCHIVES) or head[257:262] == b"ustar"


class Archive:
    """An archive that was checked by name, kind and size; its content is checked while it is read.

    Args:
        file: the open archive.
        name: what to call it in a refusal.

    Raises:
        BadInput: it is anything but a case's archive; the message names the member.
    """

    def __init__(self, file: IO[bytes], name: str) -> None:
        self.name = name
        if file.read(4) != b"PK\x03\x04":
            raise BadInput("is no zip archive", name, "name what 'atlas case pack' wrote")
        try:
            self._zip = zipfile.ZipFile(file)
        except (zipfile.BadZipFile, OSError, ValueError, NotImplementedError) as error:
            raise BadInput(
                f"is cut short or damaged ({_line(error)})", name, "fetch it again"
            ) from None
        self._entries = self._checked(self._zip.infolist())
        self.manifest = self._manifest()

    def _refuse(self, member: str, what: str) -> BadInput:
        shown = visible(member, lines=False)[:80]
        return BadInput(f"member {shown!r} {what}", self.name, "nothing was taken in")

    # ----------------------------------------------------------------------- names, kinds, sizes
    def _checked(self, entries: list[zipfile.ZipInfo]) -> dict[str, zipfile.ZipInfo]:
        if len(entries) > MOST_MEMBERS:
            raise BadInput(
                f"holds {len(entries):,} members", self.name, f"at most {MOST_MEMBERS:,} are taken"
            )
        known: dict[str, zipfile.ZipInfo] = {}
        folded: dict[str, str] = {}
        for entry in entries:
            name = entry.orig_filename
            fault = _misnamed(name) or _kind_fault(entry) or _size_fault(entry, name)
            if fault:
                raise self._refuse(name, fault)
            fold = unicodedata.normalize("NFC", name).casefold()
            if name in known:
                raise self._refuse(name, "is there twice")
            if fold in folded:
                raise self._refuse(name, f"differs from {folded[fold]!r} in case only")
            known[name], folded[fold] = entry, name
        for name in known:
            if name not in (MANIFEST, CASE) and not _PHOTO.fullmatch(name):
                raise self._refuse(name, "does not belong into a case's archive")
        for name in (MANIFEST, CASE):
            if name not in known:
                raise self._refuse(name, "is missing")
        if sum(entry.file_size for entry in entries) > MOST_WHOLE:
            raise BadInput(f"unpacks to more than {MOST_WHOLE >> 30} GiB", self.name)
        places = sorted((entry.header_offset, entry.compress_size, name)
                        for name, entry in known.items())  # fmt: skip
        for (start, size, name), (following, _, _) in pairwise(places):
            if start + 30 + len(name.encode()) + size > following:
                raise self._refuse(name, "overlaps the next one")
        return known

    def _manifest(self) -> Manifest:
        content = b"".join(self._chunks(MANIFEST))
        try:
            version = json.loads(content)["version"]
            if isinstance(version, int) and version > VERSION:
                raise self._refuse(MANIFEST, f"is of version {version}, made by a newer atlas")
            manifest = msgspec.json.decode(content, type=Manifest)
        except (KeyError, TypeError, ValueError, RecursionError) as error:
            raise self._refuse(MANIFEST, f"cannot be read ({_line(error)})") from None
        if manifest.format != FORMAT or manifest.version != VERSION:
            raise self._refuse(MANIFEST, f"is not of {FORMAT}, version {VERSION}")
        listed, there = set(manifest.members), set(self._entries) - {MANIFEST}
        for name in sorted(listed - there):
            raise self._refuse(name, "is missing, though the manifest lists it")
        for name in sorted(there - listed):
            raise self._refuse(name, "is not in the manifest")
        for name, member in manifest.members.items():
            if self._entries[name].file_size != member.size:
                raise self._refuse(name, "does not have the size that the manifest gives")
            photo = _PHOTO.fullmatch(name)
            if photo and photo[1] != member.sha256:
                raise self._refuse(name, "is not named by its content")
        return manifest

    # --------------------------------------------------------------------------------- content
    @property
    def photos(self) -> tuple[str, ...]:
        """Names of the members that are photos."""
        return tuple(name for name in self.manifest.members if name != CASE)

    def pieces(self, name: str) -> Iterator[bytes]:
        """A member's content, piece by piece; refused at its end if it was not what is listed.

        Raises:
            BadInput: it is not what the manifest says.
        """
        digest = hashlib.sha256()
        for number, piece in enumerate(self._chunks(name)):
            if number == 0 and name != CASE and is_archive(piece[:300]):
                raise self._refuse(name, "is an archive within the archive")
            digest.update(piece)
            yield piece
        if digest.hexdigest() != self.manifest.members[name].sha256:
            raise self._refuse(name, "does not have the content that the manifest gives")

    def _chunks(self, name: str) -> Iterator[bytes]:
        entry = self._entries[name]
        left = entry.file_size
        try:
            with self._zip.open(entry) as file:
                while chunk := file.read(_CHUNK):
                    left -= len(chunk)
                    if left < 0:
                        raise self._refuse(name, "is larger than it says")
                    yield chunk
        except (zipfile.BadZipFile, zlib.error, EOFError, OSError, ValueError,
                NotImplementedError, RuntimeError) as error:  # fmt: skip
            raise self._refuse(name, f"is damaged ({_line(error)})") from None
        if left:
            raise self._refuse(name, "is smaller than it says")


def opened(path: Path) -> IO[bytes]:
    """Open an archive for reading.

    Raises:
        NotThere: there is no such file.
        BadInput: it is no file.
        Refused: the system does not let it be read.
    """
    try:
        if path.exists() and not path.is_file():
            raise BadInput("is no file", str(path), "name what 'atlas case pack' wrote")
        return path.open("rb")
    except FileNotFoundError:
        raise NotThere("no such file", str(path)) from None
    except OSError as error:
        raise Refused(f"cannot be read ({error.strerror})", str(path)) from None
    except ValueError as error:
        raise BadInput(f"cannot be read ({error})", str(path)) from None


def _misnamed(name: str) -> str:
    parts = re.split(r"[/\\]", name)
    if name.startswith(("/", "\\")):
        return "has an absolute path"
    if re.match(r"[A-Za-z]:", name):
        return "has a drive letter"
    if ".." in parts:
        return "climbs out of the archive"
    if "\\" in name or "\0" in name or not name.isprintable() or not name:
        return "has a name that no case's archive holds"
    return ""


def _kind_fault(entry: zipfile.ZipInfo) -> str:
    kind = stat.S_IFMT(entry.external_attr >> 16)
    if kind == stat.S_IFLNK:
        return "is a link"
    if entry.is_dir() or kind == stat.S_IFDIR:
        return "is a folder"
    if kind not in (0, stat.S_IFREG):
        return "is a device, a pipe or a socket"
    if entry.flag_bits & 0x1:
        return "is encrypted"
    if entry.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
        return "is packed by a method that is not taken"
    return ""


def _size_fault(entry: zipfile.ZipInfo, name: str) -> str:
    most = MOST_TEXT if name in (MANIFEST, CASE) else MOST_PHOTO
    if entry.file_size > most:
        return f"unpacks to {entry.file_size:,} bytes; at most {most:,} are taken"
    swelling = entry.file_size / max(entry.compress_size, 1)
    if name not in (MANIFEST, CASE) and swelling > MOST_SWELLING and entry.file_size > _CHUNK:
        return f"swells {swelling:,.0f} times, as a compression bomb does"
    return ""


def _line(error: Exception) -> str:
    return visible(" ".join(str(error).split()), lines=False)[:100]
