"""Durable writes: a reader sees the old record or the new one, never half of either."""

import contextlib
import errno
import os
import stat
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import IO, TYPE_CHECKING

from atlas.errors import Refused

if TYPE_CHECKING:
    from filelock import AcquireReturnProxy, BaseFileLock

LOCK_SECONDS = 20.0
_POLL_SECONDS = 0.001
LEFT_SECONDS = 3600.0  # no writer takes that long: an older temporary file is nobody's
READ_ONLY = "ATLAS_READ_ONLY"


def read_only() -> bool:
    """Whether this process was started to look only: nothing is written, whoever asks."""
    return os.environ.get(READ_ONLY, "") not in {"", "0"}


def may_write(path: Path) -> None:
    """Refuse where this process was started to look only.

    Raises:
        Refused: it was.
    """
    if read_only():
        raise Refused(
            "read-only: nothing is written here", str(path),
            f"serve it with --write, or unset {READ_ONLY}",
        )  # fmt: skip


def write_durably(path: Path, content: bytes) -> None:
    """Replace the file's content; on return it is on the disk, on refusal the old one stands.

    Raises:
        Refused: read-only, full or missing medium; the message says which.
    """
    fill_durably(path, lambda file: file.write(content))


def fill_durably(path: Path, fill: Callable[[IO[bytes]], object]) -> None:
    """As ``write_durably``, for content that ``fill`` writes piece by piece.

    Temporary file in the same folder, flush, fsync, rename, fsync of the folder.

    Raises:
        Refused: read-only, full or missing medium, or no ordinary file; the message says which.
    """
    may_write(path)
    name = ""
    try:
        _refuse_special(path)
        make_folder(path.parent)
        handle, name = _part(path)
        with os.fdopen(handle, "wb") as file:
            fill(file)
            file.flush()
            os.fsync(file.fileno())
        Path(name).replace(path)
        sync_folder(path.parent)
    except BaseException as error:
        if name:
            with contextlib.suppress(OSError):
                Path(name).unlink()
        if isinstance(error, OSError):
            raise refusal(error, path) from None
        raise


def _refuse_special(path: Path) -> None:
    """Refuse what a rename would destroy: a device, a pipe, a link that leads elsewhere."""
    try:
        mode = path.lstat().st_mode
    except FileNotFoundError:
        return
    if not stat.S_ISREG(mode):
        raise Refused(f"is {kind_of_file(mode)}, not a file", str(path), "name an ordinary file")


def kind_of_file(mode: int) -> str:
    """What a name stands for, in words; ``mode`` is that of its stat."""
    if stat.S_ISDIR(mode):
        return "a folder"
    if stat.S_ISLNK(mode):
        return "a link"
    return "a pipe" if stat.S_ISFIFO(mode) else "a device"


def part_of(path: Path) -> Path:
    """The temporary file of a record.

    One fixed name, so that whoever holds the record's lock finds what a killed writer left without
    looking through the folder.
    """
    return path.with_name(f".{path.name}.part")


def _part(path: Path) -> tuple[int, str]:
    """A new temporary file beside the record, open for writing."""
    name = part_of(path)
    flags = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_CLOEXEC", 0)
    try:
        return os.open(name, flags, 0o666), str(name)
    except FileExistsError:  # another writer without a lock (a report), or what a killed one left
        if time.time() - name.lstat().st_mtime > LEFT_SECONDS:
            name.unlink()
            return os.open(name, flags, 0o666), str(name)
        return tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.", suffix=".part")


def make_folder(folder: Path) -> None:
    """Make a folder and its parents, so that they survive a power cut as well."""
    if folder.is_dir():
        return
    may_write(folder)
    make_folder(folder.parent)
    with contextlib.suppress(FileExistsError):
        folder.mkdir()
    sync_folder(folder.parent)


def sync_folder(folder: Path) -> None:
    """Flush a folder's list of names to the disk."""
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    except OSError as error:
        if error.errno not in (errno.EINVAL, errno.ENOTSUP):  # some network drives cannot
            raise
    finally:
        os.close(handle)


def clear_left(root: Path) -> None:
    """Clear away what killed writers left anywhere below a folder; of those at work, nothing.

    It waits for nobody and refuses nothing: what cannot be cleared now is cleared another time.
    """
    for place, folders, files in os.walk(root):
        folders[:] = [name for name in folders if not name.startswith(".")]
        for name in files:
            if not (name.startswith(".") and name.endswith(".part")):
                continue
            left = Path(place, name)
            with contextlib.suppress(Refused), locked(left.with_name(name[1:-5]), seconds=0):
                pass  # whoever holds a record's lock clears its temporary file away
            with contextlib.suppress(OSError):
                if time.time() - left.lstat().st_mtime > LEFT_SECONDS:
                    left.unlink()


@contextlib.contextmanager
def locked(path: Path, seconds: float = LOCK_SECONDS) -> Iterator[None]:
    """Hold the lock of a record while it is read, changed and written.

    The lock is a hidden file beside the record's folder; the system frees it when a process dies.
    Whoever wants it takes the turn first, a second lock, and gives that back on having the record:
    so one who has just written cannot write again before the one who waits next.

    Raises:
        Refused: the medium is read-only, or others write the record for ``seconds``.
    """
    may_write(path)
    from filelock import FileLock, Timeout

    folder = path.parent / ".locks"
    lock = FileLock(folder / f"{path.name}.lock", mode=0o666, poll_interval=_POLL_SECONDS)
    turn = FileLock(folder / f"{path.name}.turn", mode=0o666)
    begun = time.monotonic()
    try:
        make_folder(folder)
        with contextlib.ExitStack() as held:
            with _in_turn(turn, seconds):
                left = max(0.0, seconds - (time.monotonic() - begun))
                held.enter_context(lock.acquire(timeout=left))
            part_of(path).unlink(missing_ok=True)  # of a writer that was killed: nobody writes now
            yield
    except Timeout:
        raise Refused(
            f"others have been writing this record for {seconds:g} s", str(path), "try again"
        ) from None
    except OSError as error:
        raise refusal(error, path) from None


def _in_turn(turn: "BaseFileLock", seconds: float) -> "AcquireReturnProxy[BaseFileLock]":
    """Take the turn; who has waited longer asks more often, so that he comes first.

    Raises:
        Timeout: others had it for ``seconds``.
    """
    from filelock import Timeout

    begun = time.monotonic()
    while True:
        with contextlib.suppress(Timeout):
            return turn.acquire(blocking=False)
        waited = time.monotonic() - begun
        if waited >= seconds:
            raise Timeout(turn.lock_file)
        time.sleep(max(_POLL_SECONDS, 0.02 / (1 + 40 * waited)))


def refusal(error: OSError, path: Path) -> Refused:
    """The system's error as one clear line."""
    words = {
        errno.ENOSPC: ("the disk is full", "make room; nothing was changed"),
        errno.EDQUOT: ("the disk quota is used up", "make room; nothing was changed"),
        errno.EROFS: ("the medium is read-only", "name a library folder that can be written"),
        errno.EACCES: ("no permission to write", "name a library folder that can be written"),
        errno.EPERM: ("no permission to write", "name a library folder that can be written"),
        errno.ENAMETOOLONG: ("the name is too long", "choose a shorter one"),
        errno.ENOTDIR: ("a file stands where a folder is needed", "move it away"),
        errno.EEXIST: ("a file stands where a folder is needed", "move it away"),
    }
    what, remedy = words.get(error.errno or 0, (f"cannot be written ({error.strerror})", ""))
    return Refused(what, str(path), remedy)
