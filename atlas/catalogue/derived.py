"""A cache of what was read from many small files, never trusted once a file has changed.

A file counts as unchanged while its size, both of its time stamps and its inode are the same, and
the stamps were not fresh when it was read (a second write within the clock's tick would not show).
The cache can be deleted at any time; where it cannot be written, everything still works.
"""

import contextlib
import gc
import mmap
import os
import signal
import tempfile
import time
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import Any, cast

import msgspec

from atlas.catalogue.writing import LEFT_SECONDS
from atlas.errors import AtlasError

_VERSION = 4
_MANY = 1500  # files, above which starting further processes pays off
_FRESH_NS = 50_000_000  # coarser than any file system clock met so far, Linux ticks at 4 ms


Stamp = tuple[int, int, int, int]
Read = Callable[[Path], tuple[tuple[str, ...], bytes]]
Answer = tuple[tuple[str, ...], bytes] | AtlasError


class Item(msgspec.Struct, frozen=True, gc=False):
    """What a file gave: ``head`` is small and always loaded, ``body`` is read when asked for."""

    name: str
    head: tuple[str, ...]
    body: Any  # bytes, or a view of them

    @property
    def path(self) -> Path:
        """The file; made when asked for, since ten thousand of them take their time."""
        return Path(self.name)


class _Row(msgspec.Struct, array_like=True, gc=False):
    path: str
    stamp: Stamp
    head: tuple[str, ...]
    start: int
    length: int


class _Header(msgspec.Struct, array_like=True):
    version: int
    salt: str
    rows: list[_Row]


_UNKNOWN: Stamp = (0, 0, 0, 0)  # of what cannot be looked at: never taken from the cache


def scan(folder: Path, suffix: str, *, deep: bool = True) -> list[tuple[str, Stamp]]:
    """Files below ``folder`` that end in ``suffix``, with their stamps, in order of path.

    Hidden files and folders are passed over; a missing folder holds nothing. What cannot be looked
    at (a link in a circle, a folder without permission) is listed all the same, so that whoever
    reads it says what is wrong with it.

    Args:
        folder: where to begin.
        suffix: how the names end.
        deep: whether folders in it are looked through as well.
    """
    found: list[tuple[str, Stamp]] = []
    pending = [str(folder)]
    while pending:
        place = pending.pop()
        try:
            entries = os.scandir(place)
        except (FileNotFoundError, NotADirectoryError):
            continue
        except OSError:
            found.append((place, _UNKNOWN))
            continue
        with entries:
            for entry in entries:
                name = entry.name
                if name[0] == "." or not (deep or name.endswith(suffix)):
                    continue
                if entry.is_dir(follow_symlinks=False):
                    if deep:
                        pending.append(entry.path)
                    else:
                        found.append((entry.path, _UNKNOWN))
                elif name.endswith(suffix):
                    try:
                        s = entry.stat()
                        stamp = (s.st_size, s.st_mtime_ns, s.st_ctime_ns, s.st_ino)
                    except FileNotFoundError:
                        if not entry.is_symlink():
                            continue  # taken away a moment ago
                        stamp = _UNKNOWN
                    except OSError:
                        stamp = _UNKNOWN
                    found.append((entry.path, stamp))
    return sorted(found)


def derive(
    files: Iterable[tuple[str, Stamp]],
    cache: Path | None,
    read: Read,
    salt: str = "",
) -> tuple[list[Item], list[AtlasError]]:
    """Read every file, or take what an unchanged one gave before.

    Args:
        files: paths and stamps, as ``scan`` gives them.
        cache: where to keep what was read; None keeps nothing.
        read: gives head and body of a file; raises AtlasError where it is damaged.
        salt: changes whenever ``read`` would answer differently for the same file.

    Returns:
        What the readable files gave, in the order of ``files``; and why the others were set aside.
    """
    with _uncollected():
        return _derive(list(files), cache, read, salt)


def _derive(
    listed: list[tuple[str, Stamp]], cache: Path | None, read: Read, salt: str
) -> tuple[list[Item], list[AtlasError]]:
    known, blob = _open(cache, salt)
    found: list[Item | None] = []
    changed: list[str] = []
    for path, stamp in listed:
        row = known.get(path)
        if row is not None and row.stamp == stamp != _UNKNOWN:
            found.append(Item(path, row.head, blob[row.start : row.start + row.length]))
        else:
            found.append(None)
            changed.append(path)
    if not changed and len(known) == len(listed):
        return cast(list[Item], found), []  # as it was left: nothing to read and nothing to keep
    items: list[Item] = []
    rows: list[_Row] = []
    faults: list[AtlasError] = []
    now = time.time_ns()
    at = 0
    answers = _read_all(changed, read)
    for (path, stamp), item in zip(listed, found, strict=True):
        if item is None:
            answer = answers[path]
            if isinstance(answer, AtlasError):
                faults.append(answer)
                continue
            item = Item(path, *answer)
        items.append(item)
        if stamp != _UNKNOWN and max(stamp[1], stamp[2]) < now - _FRESH_NS:
            rows.append(_Row(path, stamp, item.head, at, len(item.body)))
            at += len(item.body)
    if cache is not None and (len(changed) > len(faults) or len(rows) < len(known)):
        kept = {row.path for row in rows}
        _save(cache, _Header(_VERSION, salt, rows), (i.body for i in items if i.name in kept))
    return items, faults


@contextlib.contextmanager
def _uncollected() -> Iterator[None]:
    """Without the collector: of ten thousand small things it finds none to take away."""
    was = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was:
            gc.enable()


def _read_all(paths: list[str], read: Read) -> dict[str, Answer]:
    """What each file gives, or why it cannot be read; many files by several processes."""
    workers = min(os.cpu_count() or 1, 4)
    if len(paths) < _MANY or workers < 2:
        return {path: _answer(read, path) for path in paths}
    from concurrent.futures import ProcessPoolExecutor
    from concurrent.futures.process import BrokenProcessPool
    from functools import partial
    from multiprocessing import get_context

    try:
        # Spawned, since a fork of the application would copy its threads' locks as they are.
        pool = ProcessPoolExecutor(workers, get_context("spawn"))
        try:
            size = -(-len(paths) // (workers * 4))
            with _deaf():
                found = pool.map(partial(_answer, read), paths, chunksize=size)
            return dict(zip(paths, found, strict=True))
        finally:
            pool.shutdown(cancel_futures=True)
    except (OSError, ValueError, BrokenProcessPool):
        return {path: _answer(read, path) for path in paths}


@contextlib.contextmanager
def _deaf() -> Iterator[None]:
    """Processes started meanwhile do not hear ctrl+c: who started them ends them, in silence."""
    try:
        before = signal.signal(signal.SIGINT, signal.SIG_IGN)
    except ValueError:  # not in the main thread, where nobody hears it anyhow
        yield
        return
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)


def _answer(read: Read, path: str) -> Answer:
    try:
        return read(Path(path))
    except AtlasError as error:
        return error


def _open(cache: Path | None, salt: str) -> tuple[dict[str, _Row], memoryview]:
    nothing: tuple[dict[str, _Row], memoryview] = ({}, memoryview(b""))
    if cache is None:
        return nothing
    try:
        with cache.open("rb") as file:
            view = memoryview(mmap.mmap(file.fileno(), 0, access=mmap.ACCESS_READ))
        size = int.from_bytes(view[:8], "little")
        header = msgspec.msgpack.decode(view[8 : 8 + size], type=_Header)
    except (OSError, ValueError, msgspec.DecodeError):
        return nothing
    end = sum(row.length for row in header.rows)
    if header.version != _VERSION or header.salt != salt or len(view) != 8 + size + end:
        return nothing
    return {row.path: row for row in header.rows}, view[8 + size :]


def _save(cache: Path, header: _Header, bodies: Iterable[bytes | memoryview]) -> None:
    encoded = msgspec.msgpack.encode(header)
    try:
        cache.parent.mkdir(parents=True, exist_ok=True)
        for left in cache.parent.glob(f"{cache.name}.*.part"):
            if time.time() - left.stat().st_mtime > LEFT_SECONDS:
                left.unlink(missing_ok=True)  # of a process that was killed
        handle, name = tempfile.mkstemp(dir=cache.parent, prefix=f"{cache.name}.", suffix=".part")
    except OSError:
        return  # a cache that cannot be kept costs time, nothing else
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(len(encoded).to_bytes(8, "little") + encoded)
            file.writelines(bodies)
        Path(name).replace(cache)
    except OSError:
        with contextlib.suppress(OSError):
            Path(name).unlink()
