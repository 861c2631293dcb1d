"""The library's history, kept by the git program; it never touches the library's own files."""

import contextlib
import errno
import os
import shutil
import subprocess
import time
from collections.abc import Iterable, Iterator
from pathlib import Path

from atlas.catalogue.visible import visible
from atlas.catalogue.writing import refusal
from atlas.errors import BadInput, NotThere, Refused

STALE_SECONDS = 3.0  # git holds the locks of refs for milliseconds
ORPHAN_SECONDS = 60.0  # longer than any one command of git takes
EMPTY_TREE = "4b825dc642cb6eb9a060e54bf8d69288fbee4904"  # git's id of the tree without entries
_SETTINGS = (
    "core.autocrlf=false", "core.excludesFile=/dev/null", "core.attributesFile=/dev/null",
    "core.quotePath=false", "core.fsync=committed,reference", "core.fileMode=false",
    "commit.gpgSign=false", "gc.auto=0", "maintenance.auto=false", "fetch.fsckObjects=true",
    "protocol.ext.allow=never", "advice.detachedHead=false",
)  # fmt: skip
_OWN = ("GIT_DIR", "GIT_WORK_TREE", "GIT_INDEX_FILE", "GIT_OBJECT_DIRECTORY", "GIT_NAMESPACE",
        "GIT_ALTERNATE_OBJECT_DIRECTORIES", "GIT_COMMON_DIR", "GIT_PREFIX")  # fmt: skip


def _verb(command: list[str]) -> str:
    """The git command in a command line, after the settings."""
    at = 1
    while command[at] == "-c":
        at += 2
    return command[at]


Written = tuple[str, bytes | None, bytes | None]  # author, content after, content before


def subject(verb: str, names: list[str]) -> str:
    """Subject of a commit: what it is about, short."""
    if not names:
        return f"library: {verb}"
    more = f" and {len(names) - 1} more" if len(names) > 1 else ""
    return f"library: {verb} {visible(names[0], lines=False)[:60]}{more}"


class GitSaidNo(Exception):
    """A git command failed; ``said`` is what it wrote."""

    def __init__(self, said: str) -> None:
        super().__init__(said)
        self.said = said

    def line(self) -> str:
        """The line of git's words that says most."""
        lines = [line.strip() for line in self.said.splitlines() if line.strip()]
        telling = [line for line in lines if line.startswith(("fatal:", "error:"))] or lines
        line = telling[0].removeprefix("fatal: ").removeprefix("error: ")
        return visible(line, lines=False)[:200]

    def refusal(self, root: Path) -> Refused:
        """What git says of the medium, in the words that every other write has for it."""
        for number in (errno.ENOSPC, errno.EROFS, errno.EDQUOT, errno.EACCES):
            if os.strerror(number) in self.said:
                return refusal(OSError(number, ""), root)
        return Refused(f"git: {self.line()}", str(root))


def clear_locks(folder: Path) -> None:
    """Remove the locks that a killed git left in a history: those that are older than git takes."""
    now = time.time()
    locks = [folder / name for name in ("HEAD.lock", "packed-refs.lock", "config.lock")]
    for place in ("refs", "logs", "objects/info"):  # the last two: of a packing that was killed
        locks += (folder / place).rglob("*.lock")
    for lock in locks:
        with contextlib.suppress(OSError):
            if now - lock.stat().st_mtime > STALE_SECONDS:
                lock.unlink()


class Repository:
    """The history of one library folder.

    Args:
        root: the library; its history lies in ``root/.git``.
        who: name that goes with commits, where git has none configured.
    """

    def __init__(self, root: Path, who: str = "") -> None:
        self.root = root
        self.folder = root / ".git"
        program = shutil.which("git")
        if program is None:
            raise NotThere("the git program is not installed", remedy="install git, then sync")
        self._program = program
        self._who = who
        self._guard: int | None = None

    # ------------------------------------------------------------------------------- the program
    def git(
        self,
        *arguments: str,
        stdin: bytes = b"",
        index: str = "atlas-index",
        seconds: float = 300.0,
    ) -> bytes:
        """Run git and return its output; ``index`` names the file in which it keeps its list.

        Raises:
            GitSaidNo: it failed.
            Refused: it took too long.
        """
        environment = {k: v for k, v in os.environ.items() if k not in _OWN}
        environment |= {
            "GIT_DIR": str(self.folder),
            "GIT_WORK_TREE": str(self.root),
            # An index of our own: a git that somebody runs by hand in the library cannot block it.
            "GIT_INDEX_FILE": str(self.folder / index),
            "GIT_TERMINAL_PROMPT": "0",
            "GIT_OPTIONAL_LOCKS": "0",
            "LC_ALL": "C",
        }
        if self._who:
            environment |= {"GIT_AUTHOR_NAME": self._who, "GIT_COMMITTER_NAME": self._who}
            environment.setdefault("GIT_AUTHOR_EMAIL", "")
            environment.setdefault("GIT_COMMITTER_EMAIL", "")
        settings = [part for one in _SETTINGS for part in ("-c", one)]
        command = [self._program, *settings, *arguments]
        deadline = time.monotonic() + STALE_SECONDS + 1.0
        while True:
            try:
                return self._run(command, stdin, environment, seconds)
            except GitSaidNo as error:
                held = f"{self.folder}/" in error.said and ".lock': File exists" in error.said
                if not held or time.monotonic() > deadline:
                    raise
            time.sleep(0.05)
            clear_locks(self.folder)

    def _run(
        self, command: list[str], stdin: bytes, environment: dict[str, str], seconds: float
    ) -> bytes:
        try:
            done = subprocess.run(
                command,
                input=stdin, capture_output=True, check=False,
                cwd=self.root, env=environment, timeout=seconds,
                pass_fds=() if self._guard is None else (self._guard,),
            )  # fmt: skip
        except subprocess.TimeoutExpired:
            verb = _verb(command)
            raise Refused(f"git {verb} took over {seconds:.0f} s", str(self.root)) from None
        if done.returncode:
            text = (done.stderr + b"\n" + done.stdout).decode(errors="replace").strip()
            raise GitSaidNo(text or f"git {_verb(command)} failed with {done.returncode}")
        return done.stdout

    def ask(self, *arguments: str) -> str:
        """Output of git in one line, empty where it fails."""
        try:
            return self.git(*arguments).decode(errors="replace").strip()
        except GitSaidNo:
            return ""

    # ------------------------------------------------------------------------------- the history
    def prepare(self) -> None:
        """Start a history where there is none, and clear what a killed sync left behind."""
        if not (self.folder / "HEAD").exists():
            if self.folder.exists() and not self.folder.is_dir():
                raise BadInput(
                    "is a file, not a history", str(self.folder), "sync its own folder instead"
                )
            self.git("init", "-q", "-b", "main")
        self._wait_for_orphans()
        for name in ("atlas-index.lock", "atlas-tree.lock", "atlas-tree"):  # ours alone
            (self.folder / name).unlink(missing_ok=True)
        clear_locks(self.folder)
        attributes = self.folder / "info" / "attributes"
        with contextlib.suppress(OSError):
            # Above any list in the library itself: what is stored is what is written, to the byte.
            attributes.parent.mkdir(exist_ok=True)
            attributes.write_bytes(b"* -text -ident -filter -working-tree-encoding\n")

    def release(self) -> None:
        """Let the next sync begin."""
        if self._guard is not None:
            os.close(self._guard)
            self._guard = None

    def _wait_for_orphans(self) -> None:
        """Wait until no git works here any more that a killed sync had started.

        Each git inherits the lock of this file, so that it is free when the last of them has ended.

        Raises:
            Refused: one of them does not end.
        """
        try:
            import fcntl
        except ImportError:  # where a program's end takes its locks along, orphans are not met
            return
        self._guard = os.open(self.folder / "atlas-guard", os.O_RDWR | os.O_CREAT, 0o666)
        deadline = time.monotonic() + ORPHAN_SECONDS
        while True:
            try:
                fcntl.flock(self._guard, fcntl.LOCK_EX | fcntl.LOCK_NB)
                return
            except OSError as error:
                if error.errno not in (errno.EAGAIN, errno.EACCES):
                    return  # a medium without locks
            if time.monotonic() > deadline:
                self.release()
                raise Refused(
                    "a git that an earlier sync started is still at work", str(self.root),
                    "wait for it, or end it",
                )  # fmt: skip
            time.sleep(0.02)

    def branch(self) -> str:
        """Name of the branch that the library follows.

        Raises:
            BadInput: somebody checked out a bare commit.
        """
        name = self.ask("symbolic-ref", "--short", "-q", "HEAD")
        if not name:
            raise BadInput("the history follows no branch", str(self.folder), "git switch main")
        return name

    def head(self) -> str:
        """The latest commit, empty before the first."""
        return self.ask("rev-parse", "-q", "--verify", "HEAD^{commit}")

    def tree(self, commit: str) -> dict[str, tuple[str, str]]:
        """Files of a commit: path -> mode and blob."""
        if not commit:
            return {}
        files = {}
        for line in self.git("ls-tree", "-r", "-z", "--full-tree", commit).split(b"\0"):
            if line:
                head, _, name = line.partition(b"\t")
                mode, _, blob = head.decode().split(" ")
                files[name.decode(errors="surrogateescape")] = (mode, blob)
        return files

    def writers(self, commit: str, name: str, most: int = 30) -> Iterator[Written]:
        """Who changed a file up to a commit, with what it held after and before, newest first."""
        path = f":(literal){name}"
        log = self.ask("log", "--no-merges", f"-n{most}", "--format=%H %an", commit, "--", path)
        for line in log.splitlines():
            found, _, author = line.partition(" ")
            yield author, self._held(found, name), self._held(f"{found}^", name)

    def _held(self, commit: str, name: str) -> bytes | None:
        try:
            return self.git("cat-file", "blob", f"{commit}:{name}")
        except GitSaidNo:
            return None  # it was not there, or nothing was before

    def blobs(self, wanted: Iterable[str]) -> dict[str, bytes]:
        """Contents of blobs, read by one process."""
        names = list(dict.fromkeys(wanted))
        if not names:
            return {}
        out = self.git("cat-file", "--batch", stdin=("\n".join(names) + "\n").encode())
        found, at = {}, 0
        for name in names:
            end = out.index(b"\n", at)
            size = int(out[at:end].split()[2])
            found[name] = out[end + 1 : end + 1 + size]
            at = end + 1 + size + 1
        return found

    def keep(self, content: bytes) -> str:
        """Store a blob; its id."""
        return self.git("hash-object", "-w", "--stdin", stdin=content).decode().strip()

    def write_tree(self, files: dict[str, tuple[str, str]]) -> str:
        """Store a tree of these files; its id."""
        (self.folder / "atlas-tree").unlink(missing_ok=True)
        rows = b"".join(
            f"{mode} {blob}\t".encode() + name.encode(errors="surrogateescape") + b"\0"
            for name, (mode, blob) in files.items()
        )
        self.git("update-index", "-z", "--index-info", stdin=rows, index="atlas-tree")
        return self.git("write-tree", index="atlas-tree").decode().strip()

    def staged(self) -> dict[str, tuple[str, str]]:
        """Files of the library as they are on the disk now, stored: path -> mode and blob."""
        try:
            self.git("add", "-A", "--ignore-errors")
        except GitSaidNo:
            # A list that was cut short by a power cut is worth nothing; it can be made anew.
            (self.folder / "atlas-index").unlink(missing_ok=True)
            try:
                self.git("add", "-A", "--ignore-errors")
            except GitSaidNo as error:
                if "unable to index file" not in error.said and "adding files" not in error.said:
                    raise
                # One that cannot be read: the rest is in the list, the caller names what is not.
        files = {}
        for line in self.git("ls-files", "-s", "-z").split(b"\0"):
            if line:
                head, _, name = line.partition(b"\t")
                mode, blob, _ = head.decode().split(" ")
                files[name.decode(errors="surrogateescape")] = (mode, blob)
        return files

    def commit(self, tree: str, parents: Iterable[str], message: str) -> str:
        """Store a commit; no branch moves."""
        lines = [part for parent in parents if parent for part in ("-p", parent)]
        try:
            out = self.git("commit-tree", tree, *lines, "-m", message)
        except GitSaidNo as error:
            if "identity" not in error.said and "ident name" not in error.said:
                raise
            self._who = self._who or "atlas"  # neither git nor the caller knows a name
            out = self.git("commit-tree", tree, *lines, "-m", message)
        return out.decode().strip()

    def move(self, branch: str, commit: str, before: str) -> None:
        """Move the branch, if it still stands where it stood."""
        self.git("update-ref", f"refs/heads/{branch}", commit, before or "0" * 40)

    def settle(self) -> None:
        """Let a git that is run by hand see the library as it is; where it cannot, no matter."""
        with contextlib.suppress(GitSaidNo, OSError):
            self.git("read-tree", "HEAD", index="atlas-tree")
            if not (self.folder / "index.lock").exists():  # else somebody's editor may be open
                (self.folder / "atlas-tree").replace(self.folder / "index")
            # Packs what years of syncs added, where it has become much; else this is one question.
            self.git("-c", "gc.auto=6700", "-c", "gc.autoDetach=false", "gc", "--auto", "-q")
