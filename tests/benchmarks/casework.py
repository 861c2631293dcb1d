"""Does casework hold: ``python tests/benchmarks/casework.py [kills] [writers] [many] [clones]``.

Without a name all sections run. Each prints its figures beside their limits; the exit status is 1
where one is missed. ``--scale 0.1`` does a tenth of it.

* kills: 1,000 processes killed (signal 9) while they write, append patterns and sync;
* writers: 8 processes with 250 changes each, on one case and spread over many;
* many: 10,000 cases listed, written to, learned from and shown;
* clones: three clones with 300 random edits each, five seeds.
"""

import argparse
import os
import random
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from datetime import date
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))
from casework_load import (
    appending,
    clones_of,
    ended,
    exchanged,
    forked,
    grown_apart,
    killed,
    left_over,
    pattern,
    records,
    replayed,
    writing,
)

from atlas.casework.cases import Cases
from atlas.casework.repository import STALE_SECONDS
from atlas.casework.reviews import Reviews
from atlas.casework.storage import read_tables
from atlas.casework.syncing import Syncing
from atlas.catalogue.appending import change_pattern
from atlas.catalogue.library import Library
from atlas.catalogue.load import load
from atlas.catalogue.visible import texts

FAULTS: list[str] = []


def told(what: str, value: float, unit: str, limit: float | None = None) -> None:
    """Print a figure, and its limit where it has one."""
    fault = limit is not None and not value <= limit
    FAULTS.extend([what] * fault)
    allowed = "" if limit is None else f"   (at most {limit:g})"
    print(f"{what:58} {value:10.4g} {unit}{allowed}{'   MISSED' if fault else ''}", flush=True)


def must(holds: bool, what: str) -> None:
    """Note what does not hold."""
    if not holds:
        FAULTS.append(what)
        print(f"MISSED: {what}", flush=True)


# ---------------------------------------------------------------------------------------- kills
def kills(scale: float) -> None:
    """Kill writers, appenders and syncers at random moments."""
    with tempfile.TemporaryDirectory(prefix="atlas-kills-") as folder:
        _kill_writers(Path(folder) / "w", round(500 * scale))
    with tempfile.TemporaryDirectory(prefix="atlas-kills-") as folder:
        _kill_appenders(Path(folder) / "a", round(250 * scale))
    with tempfile.TemporaryDirectory(prefix="atlas-kills-") as folder:
        _kill_syncers(Path(folder), round(250 * scale))


def _kill_writers(root: Path, wanted: int) -> None:
    root.mkdir()
    library, dice = Library(root), random.Random(1)
    cases, count, begun = Cases(library, "AB"), 0, time.monotonic()
    acknowledged = undone = parts = 0
    opened: set[str] = set()
    case = cases.new("first")
    while count < wanted:
        if len(case.history) > 60:
            case = cases.new(f"after {count} kills")
        one = random.Random(dice.getrandbits(64))
        work = writing(Cases(library, "CD"), case.id, one, 400)
        was, lines = killed(work, dice.uniform(0, 0.06), group=False)
        count += was
        parts += len(left_over(library))
        stored = set(texts(read_tables(cases.path(case.id))))
        took_back = {change.undoes for change in cases.get(case.id).history.values()}
        for line in lines:
            acknowledged += 1
            if line.startswith("case "):
                opened.add(line.removeprefix("case "))
            elif line.isdigit():
                undone += 1
                must(int(line) in took_back, f"undo of {line} is lost")
            else:
                must(line in stored, f"{line} is lost")
        case = cases.note(case.id, "next start")
        must(replayed(cases.path(case.id)), "history and state differ")
    for path in library.cases.glob("*.json"):
        cases.note(path.stem, "last")
    cases.new("last")
    rows, faults = cases.rows(cached=False)
    must(not faults, f"unreadable: {faults[:1]}")
    must(opened <= {row.id for row in rows}, "an opened case is lost")
    print(f"{count} kills while writing: {acknowledged} changes acknowledged ({undone} undone), "
          f"{parts} temporary files met, {len(left_over(library))} left after the next write, "
          f"{time.monotonic() - begun:.0f} s")  # fmt: skip
    must(not left_over(library), f"left over: {left_over(library)[:2]}")


def _kill_appenders(root: Path, wanted: int) -> None:
    root.mkdir()
    library, dice = Library(root), random.Random(2)
    count, acknowledged, begun, parts = 0, 0, time.monotonic(), 0
    load(library)
    while count < wanted:
        one = random.Random(dice.getrandbits(64))
        was, lines = killed(appending(library, one), dice.uniform(0, 0.08), group=False)
        count += was
        acknowledged += len(lines)
        parts += len(left_over(library))
        catalogue = load(library)
        must(not catalogue.problems, f"unreadable: {catalogue.problems[:1]}")
        said = {comment.text for comment in Reviews(library).comments("rear-x-plate")}
        for line in lines:
            kind, _, token = line.partition(" ")
            if kind == "comment":
                must(token in said, f"comment {token} is lost")
        tokens = [line.split()[1] for line in lines if line.startswith("does")]
        does = pattern(library, "rear-x-plate").does
        # The one acknowledged last, or the next one, whose acknowledgement the kill came before.
        must(not tokens or tokens[-1] in does or not any(t in does for t in tokens),
             f"pattern lost {tokens[-1:]}")  # fmt: skip
    for name in ("rear-x-plate", "rail-extruded"):  # the next write to each
        one = pattern(library, name)
        change_pattern(library, one, one)
    Reviews(library).comment("rear-x-plate", "CD", "last")
    must(not left_over(library), f"left over: {left_over(library)[:2]}")
    print(f"{count} kills while appending: {acknowledged} changes acknowledged, {parts} temporary "
          f"files met, {time.monotonic() - begun:.0f} s")  # fmt: skip


def _kill_syncers(folder: Path, wanted: int) -> None:
    clones, dice = clones_of(folder, "ABC"), random.Random(4)
    (one, who), (two, other), _ = clones
    case = Cases(one, who).new("killed")
    exchanged(clones)
    written: set[str] = set()
    count, begun, longest, left, number = 0, time.monotonic(), 0.0, 0, 0

    def work(acknowledge) -> None:  # type: ignore[no-untyped-def]
        for i in range(100):
            text = f"{who} {number} {i}"
            Cases(one, who).note(case.id, text)
            acknowledge(text)
            Syncing(one, who).sync()

    while count < wanted:
        if number % 40 == 39:
            case = Cases(one, who).new(f"after {number}")
            exchanged(clones)
            written = set()
        if dice.random() < 0.4:
            text = f"{other} {number}"
            Cases(two, other).note(case.id, text)
            written.add(text)
            must(Syncing(two, other).sync().reached, "the other was blocked")
        was, lines = killed(work, dice.uniform(0, 0.6), group=dice.random() < 0.5)
        count += was
        number += 1
        written |= set(lines)
        stored = {e.text for e in Cases(one).get(case.id).evidence.values()}
        must(set(lines) <= stored, f"lost: {set(lines) - stored}")
        start = time.monotonic()
        report = Syncing(one, who).sync()
        longest = max(longest, time.monotonic() - start)
        must(report.reached and not report.set_aside, f"next sync: {report.why_not}")
        if left_over(one):  # a lock of git counts as nobody's once it is older than git takes
            time.sleep(STALE_SECONDS + 0.1)
            Syncing(one, who).sync()
        left += len(left_over(one))
        if number % 10 == 0:
            exchanged(clones, 2)
            for library, _ in clones:
                stored = {e.text for e in Cases(library).get(case.id).evidence.values()}
                must(written <= stored, f"lost in {library.root.name}: {written - stored}")
    exchanged(clones)
    must(all(records(lib) == records(one) for lib, _ in clones), "clones differ")
    for library, _ in clones:
        check = subprocess.run(["git", "-C", str(library.root), "fsck", "--no-dangling"],
                               capture_output=True, check=False)  # fmt: skip
        must(check.returncode == 0, f"git fsck: {check.stderr.decode()[:200]}")
    print(f"{count} kills while syncing: {left} left over after the next sync, longest next sync "
          f"{longest:.1f} s, {time.monotonic() - begun:.0f} s")  # fmt: skip
    must(left == 0, "something was left over after a sync")


# -------------------------------------------------------------------------------------- writers
def writers(scale: float) -> None:
    """Eight processes write at once."""
    each = round(250 * scale)
    for title, spread in (("one case", 1), ("25 cases", 25)):
        with tempfile.TemporaryDirectory(prefix="atlas-writers-") as folder:
            library = Library(Path(folder))
            names = [Cases(library, "AB").new(f"case {i}").id for i in range(spread)]
            begun = time.monotonic()
            running = [forked(_busy(library, names, who, each)) for who in range(8)]
            waits = []
            for child, said in running:
                status, lines = ended(child, said)
                must(status == 0, f"a writer ended with {status}")
                waits += [float(line) for line in lines]
            took = time.monotonic() - begun
            expected = {f"{who} {i}" for who in range(8) for i in range(each)}
            stored = {e.text for n in names for e in Cases(library).get(n).evidence.values()}
            must(stored == expected, f"{len(expected - stored)} changes lost on {title}")
            print(f"8 writers x {each} on {title}: {len(stored)} there, {took:.1f} s")
            told("  longest wait of one change", max(waits), "s", 10.0)
            told("  median of one change", statistics.median(waits) * 1e3, "ms")


def _busy(library: Library, names: list[str], who: int, each: int):  # type: ignore[no-untyped-def]
    def work(acknowledge) -> None:  # type: ignore[no-untyped-def]
        cases = Cases(library, f"w{who}")
        for i in range(each):
            begun = time.monotonic()
            cases.note(names[(i + who) % len(names)], f"{who} {i}")
            acknowledge(f"{time.monotonic() - begun:.4f}")

    return work


# ----------------------------------------------------------------------------------------- many
def many(scale: float) -> None:
    """Ten thousand cases."""
    count = round(10_000 * scale)
    with tempfile.TemporaryDirectory(prefix="atlas-many-") as folder:
        os.environ["XDG_CACHE_HOME"] = f"{folder}/cache"
        few, all_ = Library(Path(folder) / "few"), Library(Path(folder) / "many")
        _fill(few, 10)
        _fill(all_, count)
        time.sleep(0.1)
        told(f"first list of {count} cases", _seconds(lambda: Cases(all_).rows()), "s")
        warm = [_seconds(lambda: Cases(all_).rows()) for _ in range(7)]
        told(f"list of {count} cases, warm", statistics.median(warm) * 1e3, "ms", 300)
        name = Cases(all_).rows()[0][0].id
        Cases(all_, "AB").note(name, "one more")
        after = _seconds(lambda: Cases(all_).rows())
        told("list right after a write", after * 1e3, "ms", 300)
        _p50(few, all_)
        command = [sys.executable, "-m", "atlas", "--library", str(all_.root), "case", "list"]
        bare = min(_seconds(lambda: _run([sys.executable, "-c", "import click, msgspec"]))
                   for _ in range(5))  # fmt: skip
        listed = [_seconds(lambda: _run(command)) for _ in range(5)]
        told("  a bare Python with click and msgspec", bare * 1e3, "ms")
        told("'atlas case list', whole command, warm", statistics.median(listed) * 1e3, "ms", 300)
        for words in (["calibration"], ["learn"], ["teardown"], ["teardown", name]):
            command = [sys.executable, "-m", "atlas", "--library", str(all_.root), *words]
            told(f"'atlas {words[0]}'{' of one case' if words[1:] else ', first'}",
                 _seconds(lambda c=command: _run(c)), "s")  # fmt: skip
            if not words[1:]:
                told(f"'atlas {words[0]}', again", _seconds(lambda c=command: _run(c)), "s")
        _screen(all_)


def _fill(library: Library, count: int) -> None:
    """Cases as a team leaves them: half of them settled, all with evidence; written straight."""
    scratch = Library(library.root / "scratch")
    cases = Cases(scratch, "AB")
    library.cases.mkdir(parents=True)
    templates = []
    for settled in (False, True):
        case = cases.new("van on lift", vehicle="demo-van", place="bay 2")
        for about in ("front bar", "rear plate"):
            cases.note(case.id, "thick bar across, ends past the rails", about=about)
            cases.note(case.id, "magnet sticks", about=about, kind="look", observable="magnet",
                       state="sticks")  # fmt: skip
            cases.suspect(case.id, "rear-x-plate", 0.7, about=about, why="four feet")
            if settled:
                cases.settle(case.id, "rear-x-plate", about=about, found="four feet", how="cut")
        templates.append((case.id, cases.path(case.id).read_text(encoding="utf-8")))
    day = date(2020, 1, 1).toordinal()
    for i in range(count):
        name, text = templates[i % 2]
        new = f"{date.fromordinal(day + i // 5)}-van-on-lift-{i:04x}"
        (library.cases / f"{new}.json").write_text(text.replace(name, new), encoding="utf-8")


def _p50(few: Library, all_: Library) -> None:
    """Writes into both in turn, so that both meet the same disk and the same other work."""
    took: dict[Library, list[float]] = {few: [], all_: []}
    targets = {library: Cases(library).rows()[0][3:8] for library in took}
    for i in range(50):
        for library, rows in targets.items():
            cases = Cases(library, "AB")
            name = rows[i % len(rows)].id
            took[library].append(_seconds(lambda c=cases, n=name, i=i: c.note(n, f"note {i}")))
    small, large = (statistics.median(took[one]) * 1e3 for one in (few, all_))
    told("one write among 10 cases, median of 50", small, "ms")
    told("one write among all, median of 50", large, "ms", small * 1.15 + 0.3)


def _screen(library: Library) -> None:
    script = """
import asyncio, resource, sys, time
from pathlib import Path
from atlas.catalogue.appending import change_pattern
from atlas.catalogue.library import Library
from atlas.ui.app import AtlasApp
from atlas.ui.desk import Desk
from atlas.ui.places import Go, Place
async def main():
    app = AtlasApp(Desk(Library(Path(sys.argv[1]))))
    async with app.run_test(size=(120, 40)) as pilot:
        await pilot.pause()
        first = time.monotonic() - begun
        start = time.monotonic()
        app.screen.post_message(Go(Place("cases", "")))
        while not app.screen.query("#list"):
            await pilot.pause()
        await pilot.pause()
        shown = time.monotonic() - start
        keys = []
        for _ in range(10):
            start = time.monotonic()
            await pilot.press("down")
            keys.append(time.monotonic() - start)
        memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
        print(first, shown, sorted(keys)[5], memory)
begun = time.monotonic()
asyncio.run(main())
"""
    out = _run([sys.executable, "-c", script, str(library.root)])
    first, shown, key, memory = map(float, out.split())
    told("application: first screen", first, "s")
    told("application: cases screen", shown * 1e3, "ms", 600)
    told("application: one step down the list", key * 1e3, "ms", 150)
    told("application: memory", memory, "MB", 300)


def _seconds(work) -> float:  # type: ignore[no-untyped-def]
    begun = time.perf_counter()
    work()
    return time.perf_counter() - begun


def _run(command: list[str]) -> str:
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    must(done.returncode in (0, 1), f"{command[4:]}: {done.stderr[-300:]}")
    return done.stdout


# --------------------------------------------------------------------------------------- clones
def clones(scale: float) -> None:
    """Three clones with random edits."""
    for seed in range(1, 6):
        with tempfile.TemporaryDirectory(prefix="atlas-clones-") as folder:
            made, begun = clones_of(Path(folder)), time.monotonic()
            try:
                grown_apart(made, seed, round(300 * scale), 0.95 if seed < 5 else 0.995)
            except AssertionError as error:
                must(False, f"seed {seed}: {str(error)[:300]}")
            size = len(records(made[0][0]))
            print(f"seed {seed}: three clones alike in {size} records, "
                  f"{time.monotonic() - begun:.0f} s")  # fmt: skip


def main() -> int:
    """Run the sections that were named."""
    sections = {"kills": kills, "writers": writers, "many": many, "clones": clones}
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("section", nargs="*", choices=[*sections, []], help="which; else all")
    parser.add_argument("--scale", type=float, default=1.0)
    given = parser.parse_args()
    # Compiled once, as an installed package is, wherever this machine forbids it for a checkout.
    os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
    os.environ["PYTHONPYCACHEPREFIX"] = tempfile.mkdtemp(prefix="atlas-bench-")
    os.environ.setdefault("XDG_CACHE_HOME", tempfile.mkdtemp(prefix="atlas-cache-"))
    for name, section in sections.items():
        if not given.section or name in given.section:
            print(f"--- {name}")
            section(given.scale)
    print(f"memory of this run: {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB")
    print(f"{len(FAULTS)} missed" if FAULTS else "all hold")
    return 1 if FAULTS else 0


if __name__ == "__main__":
    sys.exit(main())
