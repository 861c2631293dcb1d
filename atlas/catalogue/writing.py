"""Durable writes: a reader sees the old record or the new one, never half of either."""

import contextlib
import errno
import glob
import os
import tempfile
from collections.abc import Iterator
from pathlib import Path

from atlas.errors import Refused

LOCK_SECONDS = 20.0
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

    Temporary file in the same folder, flush, fsync, rename, fsync of the folder.

    Raises:
        Refused: read-only, full or missing medium; the message says which.
    """
    may_write(path)
    name = ""
    try:
        make_folder(path.parent)
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.", suffix=".part")
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        Path(name).chmod(0o644)
        Path(name).replace(path)
        sync_folder(path.parent)
    except OSError as error:
        if name:
            with contextlib.suppress(OSError):
                Path(name).unlink()
        raise refusal(error, path) from None


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


@contextlib.contextmanager
def locked(path: Path, seconds: float = LOCK_SECONDS) -> Iterator[None]:
    """Hold the lock of a record while it is read, changed and written.

    The lock is a hidden file beside the record's folder; the system frees it when a process dies.

    Raises:
        Refused: the medium is read-only or the lock stays taken for ``seconds``.
    """
    may_write(path)
    from filelock import FileLock, Timeout

    lock = path.parent / ".locks" / f"{path.name}.lock"
    try:
        make_folder(lock.parent)
        with FileLock(lock, timeout=seconds, mode=0o666):
            for left in path.parent.glob(f".{glob.escape(path.name)}.*.part"):
                left.unlink(missing_ok=True)  # of a writer that was killed: no other writes now
            yield
    except Timeout:
        raise Refused(
            f"somebody else has held this record for {seconds:.0f} s", str(path), "try again"
        ) from None
    except OSError as error:
        raise refusal(error, path) from None


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
