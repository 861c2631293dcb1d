"""Exchange of a library with the others': take in, merge record by record, hand on.

Git stores and transports; it never writes into the library. What is merged goes through the same
durable writes and locks as every other change, record by record, so that people and programs can go
on working meanwhile. The order (conflicts, records, then the branch) makes a sync that was killed
at any moment something that the next sync simply does again.
"""

import itertools
import os
import random
import time
from pathlib import Path

from atlas.casework.conflicts import CHANGED, TAKEN_OUT, file_of, rows_of, text_of
from atlas.casework.disputes import arisen
from atlas.casework.intake import (
    by_one_name,
    damage,
    differs,
    folded,
    is_chosen_on,
    misplaced,
    shadowed,
)
from atlas.casework.merging import ABSENT, Clash, dump, merged, parse, value_found
from atlas.casework.repository import (
    EMPTY_TREE,
    STALE_SECONDS,
    GitSaidNo,
    Repository,
    clear_locks,
    subject,
)
from atlas.casework.sync_report import Report
from atlas.catalogue.library import Library
from atlas.catalogue.reading import read_bytes
from atlas.catalogue.visible import visible
from atlas.catalogue.writing import clear_left, locked, sync_folder, write_durably
from atlas.errors import BadInput, Damaged, NotThere, Refused

Files = dict[str, tuple[str, str]]
# Photos are large and travel by archive ('atlas case pack'); a history keeps text.
_IGNORED = (".locks/", "*.part", "photos/", "drafts/")
_TRIES = 12
_PATIENCE = 5.0  # seconds beyond the age at which a killed git's lock counts as nobody's


class Syncing:
    """Syncs one library; one sync of a library at a time.

    Args:
        library: what to sync.
        who: initials that go with its commits.
    """

    def __init__(self, library: Library, who: str = "") -> None:
        self.library = library
        self._git = Repository(library.root, who)
        self._report = Report()

    def sync(self, remote: str = "") -> Report:
        """Record own changes, take in the others', merge, hand on.

        Args:
            remote: address, folder or name of a remote; empty for the one used before.

        Returns:
            What was done. An unreachable remote is no error: the work is recorded and goes out with
            the next sync.

        Raises:
            NotThere: the remote is named for the first time and cannot be reached.
            Refused: another sync is running, or the medium refuses.
        """
        report = self._report = Report()
        if remote.startswith("-") or "\0" in remote:
            raise BadInput(f"{remote[:60]!r} is no remote", "REMOTE", "name a folder or an address")
        with locked(self.library.root / "sync", seconds=60.0):
            try:
                self._prepare()
                address, is_new = self._address(remote)
                report.remote = address
                self._record()
                if address:
                    self._exchange(address, is_new)
                self._git.settle()
            except GitSaidNo as error:
                raise error.refusal(self.library.root) from None
            finally:
                self._git.release()
        for name in ("recorded", "pulled", "merged", "conflicts", "set_aside"):
            setattr(report, name, list(dict.fromkeys(getattr(report, name))))
        return report

    # ----------------------------------------------------------------------------- own changes
    def _prepare(self) -> None:
        for entry in self.library.root.iterdir():
            if entry.is_symlink():
                raise BadInput("is a link, which a history does not follow", str(entry),
                               "move the folder itself here")  # fmt: skip
        self._git.prepare()
        path = self.library.root / ".gitignore"
        text = path.read_text(encoding="utf-8") if path.is_file() else ""
        missing = [line for line in _IGNORED if line not in text.splitlines()]
        if missing:
            joined = text + ("\n" if text and not text.endswith("\n") else "")
            write_durably(path, (joined + "\n".join(missing) + "\n").encode())
        clear_left(self.library.root)

    def _address(self, remote: str) -> tuple[str, bool]:
        known = self._git.ask("config", "--get", "remote.origin.url")
        if not remote:
            return known, False
        named = self._git.ask("config", "--get", f"remote.{remote}.url")
        if named:
            return named, False
        folder = Path(remote).expanduser()
        if folder.is_dir():
            remote = str(folder.resolve())
        return remote, not known

    def _record(self) -> str:
        """Commit what changed in the library; the head after it."""
        git = self._git
        head = git.head()
        before, root = git.tree(head), self.library.root
        now, left_out = by_one_name(before, git.staged(), lambda n: os.path.lexists(root / n))
        self._report.set_aside += left_out
        changed = [name for name in now if now[name] != before.get(name)]
        contents = git.blobs(now[name][1] for name in changed)
        for name in changed:
            fault = misplaced(name, now[name][0]) or damage(name, contents[now[name][1]])
            if fault:
                self._report.set_aside.append(fault)
                if name in before:
                    now[name] = before[name]
                else:
                    del now[name]
        for name in before.keys() - now.keys():
            stands = os.path.lexists(self.library.root / name)
            if misplaced(name, before[name][0]) or stands:
                now[name] = before[name]  # never written here, so it is not missing either
            if stands:  # something that git cannot read: that is not the same as taken away
                self._report.set_aside.append(f"{visible(name)}: cannot be read")
                for inner in [one for one in now if one.startswith(f"{name}/")]:
                    del now[inner]
        gone = len(before.keys() - now.keys())
        if gone > 10 and gone > len(before) / 2:
            raise Refused(
                f"{gone} of {len(before)} records are gone from the folder", str(self.library.root),
                "bring them back, or remove them from the history with git if it was meant",
            )  # fmt: skip
        names = sorted(n for n in now.keys() | before.keys() if now.get(n) != before.get(n))
        if names or not head:
            shown = [n for n in names if n != ".gitignore"]
            self._report.recorded += shown
            commit = git.commit(git.write_tree(now), [head], subject("record", shown))
            git.move(git.branch(), commit, head)
            return commit
        return head

    # -------------------------------------------------------------------------------- exchange
    def _exchange(self, address: str, is_new: bool) -> None:
        git, report = self._git, self._report
        begun = time.monotonic()
        attempt = 0
        while attempt < _TRIES or time.monotonic() - begun < STALE_SECONDS + _PATIENCE:
            attempt += 1
            branch = git.branch()
            theirs = ""
            try:
                there = git.git("ls-remote", address, f"refs/heads/{branch}", seconds=60.0).split()
                mine = f"refs/remotes/atlas/{branch}"
                theirs = git.ask("rev-parse", "-q", "--verify", mine) if there else ""
                if there and there[0].decode() != theirs:
                    git.git("fetch", "-q", "--no-tags", address, f"+refs/heads/{branch}:{mine}")
                    theirs = git.ask("rev-parse", mine)
            except GitSaidNo as error:
                if is_new:
                    raise NotThere(
                        f"cannot be reached ({error.line()})", visible(address),
                        "name a git repository that exists",
                    ) from None  # fmt: skip
                report.why_not = error.line()
                return
            except Refused as error:
                report.why_not = str(error)
                return
            if is_new:
                git.git("config", "remote.origin.url", address)
                git.git("config", "remote.origin.fetch", "+refs/heads/*:refs/remotes/origin/*")
                is_new = False
            report.reached = True
            try:
                head = self._take_in(git.head(), theirs) if theirs else git.head()
            except _Overtaken:
                self._record()
                continue
            if head == theirs or self._push(address, branch, theirs):
                return
            time.sleep(random.uniform(0, 0.05 * 2 ** min(attempt, 5)))
        report.reached = False
        report.why_not = report.why_not or "others kept handing on first; sync again"

    def _push(self, address: str, branch: str, theirs: str) -> bool:
        """Hand on; False where somebody was faster."""
        git = self._git
        count = git.ask("rev-list", "--count", "HEAD", *([f"^{theirs}"] if theirs else []))
        try:
            git.git("push", "-q", "--porcelain", address, f"HEAD:refs/heads/{branch}")
        except GitSaidNo as error:
            if "[rejected]" in error.said or "lock" in error.said:
                held = "File exists" in error.said
                self._report.why_not = error.line() if held else ""
                for folder in (Path(address), Path(address, ".git")):
                    if held and (folder / "refs").is_dir():
                        clear_locks(folder)  # of a push that was killed: nobody else clears it up
                return False
            self._report.reached, self._report.why_not = False, error.line()
            return True
        self._report.why_not = ""
        self._report.pushed += int(count or 0)
        return True

    def _take_in(self, head: str, theirs: str) -> str:
        """Merge their branch into the library and move ours; the head after it."""
        git = self._git
        base = git.ask("merge-base", *sorted((head, theirs)))  # the same for all, also of several
        if base == theirs:
            return head
        trees = (git.tree(base), git.tree(head), git.tree(theirs))
        result = self._merge_trees(*trees, (head, theirs))
        self._apply(trees[1], result)
        branch = git.branch()
        if base == head and result == trees[2]:
            git.move(branch, theirs, head)
            return theirs
        tree = git.write_tree(result) if result else EMPTY_TREE
        parents = [theirs] if base == head else sorted((head, theirs))
        both = [n for n in result if result[n] not in (trees[1].get(n), trees[2].get(n))]
        commit = git.commit(tree, parents, subject("merge", both))
        git.move(branch, commit, head)
        return commit

    def _merge_trees(
        self, base: Files, ours: Files, theirs: Files, commits: tuple[str, str]
    ) -> Files:
        git, report = self._git, self._report
        result, both, torn = dict(ours), [], []
        fresh = [n for n in theirs if theirs[n] not in (base.get(n), ours.get(n))]
        contents = git.blobs(theirs[n][1] for n in fresh if theirs[n][0] != "160000")
        for name in sorted(ours.keys() | theirs.keys()):
            o, a, b = base.get(name), ours.get(name), theirs.get(name)
            if a == b or b == o:
                continue
            fault = "" if b is None else misplaced(name, b[0])
            if b is not None and not fault and a is not None:
                fault = damage(name, contents.get(b[1], b""))
            if fault:
                report.set_aside.append(fault)
                if a is None and b is not None:
                    result[name] = b  # stays in the history; ``_apply`` does not write it
                continue
            if b is None and a == o:
                del result[name]  # they removed it and we did not change it
            elif a is None and b is not None:
                result[name] = b  # new to us, or removed here and changed there: it stays
                torn += [(name, commits)] * (o is not None)
            elif a == o and b is not None:
                result[name] = b
            elif b is not None:
                both.append(name)
                continue
            else:
                torn.append((name, commits[::-1]))  # they removed it and we changed it: it stays
                continue
            report.pulled.append(name)
        self._merge_files(both, base, ours, theirs, result, commits)
        for name, (remover, changer) in torn:
            if is_chosen_on(name):
                who = {
                    text_of(value): next((one[0] for one in self._git.writers(side, name)), "")
                    for value, side in ((ABSENT, remover), (CHANGED, changer))
                }
                self._keep_rows(name, [(TAKEN_OUT, who)], result)
        return result

    def _merge_files(
        self, both: list[str], base: Files, ours: Files, theirs: Files, result: Files,
        commits: tuple[str, str],
    ) -> None:  # fmt: skip
        git, report = self._git, self._report
        sides = (base, ours, theirs)
        contents = git.blobs(side[name][1] for name in both for side in sides if name in side)
        # Conflicts before records: what a record adds to them must not be merged over.
        for name in sorted(both, key=lambda n: not n.startswith("conflicts/")):
            old = contents[base[name][1]] if name in base else None
            a, b = contents[ours[name][1]], contents[theirs[name][1]]
            try:
                merge = merged(name, old, a, b)
            except Damaged as error:
                report.set_aside.append(visible(str(error), lines=False))
                continue
            result[name] = ("100644", git.keep(merge.content))
            report.merged.append(name)
            if name.startswith("cases/"):
                abouts = arisen(Path(name), a, merge.content)
                report.conflicts += [f"{name}: verdict on {visible(one)}" for one in abouts]
            if merge.clashes and not name.startswith("conflicts/"):
                told = [(clash, self._who(name, clash, commits)) for clash in merge.clashes]
                self._keep_rows(name, told, result)

    def _who(self, name: str, clash: Clash, commits: tuple[str, str]) -> dict[str, str]:
        """Who wrote which version, by its text: the author of the change that brought it in."""
        found: dict[str, str] = {}
        for value, side in itertools.product(map(text_of, clash.values), commits):
            if value in found:
                continue
            for author, *states in self._git.writers(side, name):
                now, before = (text_of(value_found(name, one, clash.path)) for one in states)
                if now == value != before:
                    found[value] = author
                    break
        return found

    def _keep_rows(
        self, name: str, told: list[tuple[Clash, dict[str, str]]], result: Files
    ) -> None:
        """Put clashes, each with the authors of its versions by their text, on record."""
        place = file_of(name)
        known = self._git.blobs([result[place][1]])[result[place][1]] if place in result else b"{}"
        rows = parse(place, known).get("conflict", {})
        for clash, who in told:
            rows = rows | rows_of(name, [clash], who)
        result[place] = ("100644", self._git.keep(dump(place, {"conflict": rows})))
        fields = [".".join(clash.path) or "whole file" for clash, _ in told]
        self._report.conflicts += [f"{name}: {one}" for one in fields]

    # --------------------------------------------------------------------------------- writing
    def _apply(self, before: Files, after: Files) -> None:
        """Bring the library from what was recorded to what was merged, conflicts first."""
        names = [n for n in before.keys() | after.keys() if before.get(n) != after.get(n)]
        unwritten = shadowed(after)
        stay = {folded(name) for name in before.keys() & after.keys()}
        # Conflicts first; what goes before what comes, which may differ from it in case only.
        names.sort(key=lambda n: (not n.startswith("conflicts/"), n in after, n))
        wanted = [side[n][1] for n in names for side in (before, after) if n in side]
        contents = self._git.blobs(wanted)
        root = self.library.root.resolve()
        for name in names:
            path = self.library.root / name
            if any(name in side and misplaced(name, side[name][0]) for side in (before, after)):
                continue
            if name in unwritten:
                self._report.set_aside.append(differs(name, unwritten[name]))
                continue
            if name not in after and folded(name) in stay:
                continue  # it never stood here; on some systems its name leads to the other
            if not path.parent.resolve().is_relative_to(root):
                self._report.set_aside.append(f"{visible(name)}: lies behind a link out of here")
                continue
            old = contents[before[name][1]] if name in before else None
            new = contents[after[name][1]] if name in after else None
            with locked(path):
                self._apply_one(name, path, old, new)

    def _apply_one(self, name: str, path: Path, old: bytes | None, new: bytes | None) -> None:
        try:
            now: bytes | None = read_bytes(path)
        except NotThere:
            now = None
        except Refused as error:
            self._report.set_aside.append(visible(str(error), lines=False))
            return
        if now == new:
            return
        if now == old:  # nobody wrote since it was recorded
            if new is None:
                path.unlink(missing_ok=True)
                sync_folder(path.parent)
            else:
                write_durably(path, new)
            return
        if now is None or new is None:
            if new is not None:
                write_durably(path, new)
            return  # removed there, changed here a moment ago: it stays and goes out next time
        try:
            merge = merged(name, old, now, new)
        except Damaged as error:
            self._report.set_aside.append(visible(str(error), lines=False))
            return
        if merge.clashes:
            raise _Overtaken(name)
        write_durably(path, merge.content)


class _Overtaken(Exception):
    """Somebody wrote, a moment ago, what the merge is about to write differently."""
