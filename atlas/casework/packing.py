"""A case with its photos into one archive, and out of one into another library."""

import hashlib
import json
import zipfile
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import IO

import msgspec

from atlas.casework.archive import (
    CASE,
    FORMAT,
    MANIFEST,
    MOST_MEMBERS,
    MOST_TEXT,
    MOST_WHOLE,
    VERSION,
    Archive,
    Manifest,
    Member,
    is_archive,
    opened,
)
from atlas.casework.cases import Cases
from atlas.casework.model import Case
from atlas.casework.photos import digest_of, kept_name, photos
from atlas.casework.storage import Tables, as_json, case_of, read_tables
from atlas.casework.taking_in import Done, put_case, same_or_refuse
from atlas.catalogue.library import Library
from atlas.catalogue.visible import storable, texts
from atlas.catalogue.writing import fill_durably, locked
from atlas.errors import BadInput, Conflict, Damaged

_EPOCH = (1980, 1, 1, 0, 0, 0)  # so that the same case always makes the same archive


@dataclass(frozen=True)
class Packed:
    """What went into an archive."""

    case: str
    photos: int
    left_out: tuple[str, ...]  # photos that are not in it, and why


@dataclass(frozen=True)
class Unpacked:
    """What came out of an archive."""

    case: str
    done: Done
    photos: int  # that were not in the library yet
    left_out: tuple[str, ...]
    conflicts: tuple[str, ...] = ()  # fields that both sides had changed


def pack(cases: Cases, name: str, path: Path) -> Packed:
    """Write a case and its photos as one archive.

    A photo whose file is gone, or is no longer what was noted, is left out and named.

    Raises:
        NotThere, Damaged: the case.
        Refused: the archive cannot be written.
    """
    where = cases.file(name)
    tables = read_tables(where)
    case = case_of(tables, where)
    text = as_json(tables)
    if len(text) > MOST_TEXT:
        raise BadInput(f"is larger than {MOST_TEXT >> 20} MiB", case.id, "hand on its file instead")
    packed: list[str] = []
    left_out: dict[str, str] = {}

    def fill(file: IO[bytes]) -> None:
        with zipfile.ZipFile(file, "w") as archive:
            members = {CASE: _add(archive, CASE, [text])}
            for photo in photos(case, cases.library):
                digest = photo.evidence.sha256
                why = photo.why or _unfit(photo.path, members)
                if why or photo.path is None:
                    left_out[digest] = why
                    continue
                name = f"photos/{kept_name(photo.evidence.path, digest)}"
                with photo.path.open("rb") as content:
                    members[name] = _add(archive, name, iter(lambda: content.read(1 << 20), b""))
                if members[name].sha256 != digest:
                    raise Conflict("is being changed", str(photo.path), "try again")
                packed.append(name)
            manifest = Manifest(FORMAT, VERSION, case.id, members, left_out)
            _add(archive, MANIFEST, [as_json(msgspec.to_builtins(manifest))])

    fill_durably(path, fill)
    return Packed(case.id, len(packed), _said(case, left_out))


def _add(archive: zipfile.ZipFile, name: str, pieces: Iterable[bytes]) -> Member:
    """Write a member; its size and hash are those of what was written."""
    entry = zipfile.ZipInfo(name, _EPOCH)
    entry.external_attr = 0o100644 << 16
    stored = name.startswith("photos/")  # photos are compressed already
    entry.compress_type = zipfile.ZIP_STORED if stored else zipfile.ZIP_DEFLATED
    digest, size = hashlib.sha256(), 0
    with archive.open(entry, "w") as file:
        for piece in pieces:
            file.write(piece)
            digest.update(piece)
            size += len(piece)
    return Member(size, digest.hexdigest())


def _unfit(path: Path | None, members: dict[str, Member]) -> str:
    """Why a photo that is there does not go into an archive; empty where it does."""
    if path is None:
        return ""
    with path.open("rb") as file:
        if is_archive(file.read(300)):
            return "is an archive, not a photo"
    if len(members) + 2 > MOST_MEMBERS:
        return f"is one more than the {MOST_MEMBERS:,} that fit"
    whole = path.stat().st_size + sum(member.size for member in members.values())
    return "would make the archive too large" if whole > MOST_WHOLE - MOST_TEXT else ""


def unpack(library: Library, path: Path, *, who: str = "", merge: bool = False) -> Unpacked:
    """Take a case with its photos into a library; on refusal nothing of it is left there.

    Args:
        library: where to.
        path: the archive.
        who: initials of whoever takes it in.
        merge: where the library has another state of the case, merge the two record by record.

    Raises:
        NotThere: no such archive.
        BadInput: it is none, or not what it says; the message names the member.
        Conflict: the library has another state of the case and ``merge`` is off.
    """
    with opened(path) as file:
        archive = Archive(file, str(path))
        tables, case = _case_in(archive)
        wanted = {
            kept_name(one.path, one.sha256): one for one in case.evidence.values() if one.path
        }
        for name in archive.photos:
            if name.removeprefix("photos/") not in wanted:
                raise BadInput(f"member {name!r} is no photo of the case", str(path),
                               "nothing was taken in")  # fmt: skip
            for _ in archive.pieces(name):
                pass  # all is known to be right before anything is written
        cases = Cases(library, who)
        target = cases.path(case.id)
        with locked(target):
            same_or_refuse(target, tables, merge=merge)
            fresh = _keep_photos(archive, library)
            try:
                done, conflicts = put_case(library, target, tables)
            except BaseException:
                for photo in fresh:
                    photo.unlink(missing_ok=True)
                raise
    missing = _said(case, archive.manifest.left_out)
    return Unpacked(case.id, done, len(fresh), missing, conflicts)


# --------------------------------------------------------------------------------------- inner
def _said(case: Case, left_out: dict[str, str]) -> tuple[str, ...]:
    """Photos that are not in an archive and why, by where they lay when they were noted."""
    paths = {one.sha256: one.path for one in case.evidence.values()}
    return tuple(sorted(f"{paths.get(digest, digest)}: {why}" for digest, why in left_out.items()))


def _case_in(archive: Archive) -> tuple[Tables, Case]:
    """The case in an archive, whole and fit to be stored."""
    where = f"{archive.name}: {CASE}"
    try:
        tables = json.loads(b"".join(archive.pieces(CASE)))
        json.dumps(tables, allow_nan=False)  # NaN is no JSON, and 1e999 is read as infinity
        if not isinstance(tables, dict) or not all(isinstance(t, dict) for t in tables.values()):
            raise BadInput("does not hold tables of records", where, "nothing was taken in")
        for text in texts(tables):
            storable(text, where)
        case = case_of(tables, Path(where) / f"{archive.manifest.case}.json")
    except (ValueError, RecursionError) as error:
        raise BadInput(
            f"cannot be read ({str(error)[:80]})", where, "nothing was taken in"
        ) from None
    except Damaged as error:
        raise BadInput(error.what, error.where, "nothing was taken in") from None
    return tables, case


def _keep_photos(archive: Archive, library: Library) -> list[Path]:
    """Write the photos that are not there yet; those that were written."""
    fresh: list[Path] = []
    try:
        for name in archive.photos:
            path = library.photos / name.removeprefix("photos/")
            if path.is_file() and digest_of(path) == archive.manifest.members[name].sha256:
                continue
            pieces = archive.pieces(name)
            fill_durably(path, lambda file, pieces=pieces: file.writelines(pieces))  # type: ignore[misc]
            fresh.append(path)
    except BaseException:
        for photo in fresh:
            photo.unlink(missing_ok=True)
        raise
    return fresh
