"""Disks that are full and media that are read-only: one clear line, and the old state intact.

On a real full and a real read-only file system, in a mount namespace of its own, where the system
allows that. ``test_durability.py`` puts one answer of a full disk in by hand, everywhere.
"""

import contextlib
import io
import json
import os
import shutil
import subprocess
import sys
from datetime import date
from pathlib import Path

import pytest
from casework_load import left_over, pattern, records
from msgspec.structs import replace

from atlas.casework.cases import Cases
from atlas.casework.conflicts import file_of, open_conflicts, rows_of
from atlas.casework.merging import Clash, dump
from atlas.catalogue.appending import as_toml, change_pattern, drafted
from atlas.catalogue.library import Library
from atlas.cli.main import status


def prepared(library: Library, aside: Path) -> list[list[str]]:
    """A library with something in it, and every command that would write into it."""
    cases = Cases(library, "AB")
    case = cases.new("van", vehicle="demo-van")
    cases.note(case.id, "sticks", about="plate", kind="look", observable="magnet", state="sticks")
    cases.suspect(case.id, "rear-x-plate", 0.7, about="plate")
    cases.settle(case.id, "rear-x-plate", about="plate", found="four feet", how="cut")
    plate = pattern(library, "rear-x-plate")
    change_pattern(library, plate, drafted(plate, "AB", date(2026, 3, 1)))
    record = f"cases/{case.id}.json"
    clash = Clash(("head", "1", "place"), ("a", "b"), 1)
    place = library.root / file_of(record)
    place.parent.mkdir(parents=True)
    place.write_bytes(dump(record, {"conflict": rows_of(record, [clash], {})}))
    other = cases.new("disputed")
    for found in ("rear-x-plate", ""):
        cases.settle(other.id, found, about="plate", found="it", how="cut", known=())
    dispute, field = (one.id for one in open_conflicts(library)[0])
    own = aside / "own-plate.toml"
    own.write_text(as_toml(replace(plate, id="own-plate", title="Own plate")), encoding="utf-8")
    table = aside / "new.csv"
    table.write_text("title\nimported\n")
    with contextlib.redirect_stdout(io.StringIO()) as said:
        status(["--library", str(library.root), "study", "practise", "rear-mount", "--json"])
    item = json.loads(said.getvalue())["item"]["id"]
    out = library.root / "out"
    return [
        ["case", "new", "another"],
        ["case", "note", case.id, "more"],
        ["case", "suspect", case.id, "rear-x-plate", "0.5"],
        ["case", "ask", case.id, "why"],
        ["case", "calc", case.id, "bolted-joint"],
        ["case", "settle", case.id, "none", "--about", "plate", "--found", "x"],
        ["case", "undo", case.id],
        ["case", "report", case.id, "--output", f"{out}.html"],
        ["case", "pack", case.id, "--out", f"{out}.zip"],
        ["export", "cases", "--out", f"{out}.csv"],
        ["import", str(table)],
        ["show", "rear-x-plate", "--report", f"{out}.html"],
        ["vehicle", "demo-pickup", "--report", f"{out}.html", "--samples", "1", "--no-worth"],
        ["study", "answer", item, "rear-x-plate", "--sure", "0.7"],
        ["add", str(own), "--as", "new", "--by", "AB"],
        ["review", "rear-x-plate", "--comment", "good", "--by", "CD"],
        ["review", "rear-x-plate", "--accept", "--by", "CD"],
        ["supersede", "rear-x-plate", "rail-extruded"],
        ["learn", "--write"],
        ["sync"],
        ["sync", "--choose", f"{dispute}=1"],
        ["sync", "--choose", f"{field}=1"],
        ["vehicle", "new", "--output", f"{out}.toml"],
    ]  # fmt: skip


READING = [["case", "list"], ["find", "plate"], ["show", "rear-x-plate"], ["teardown"], ["learn"],
           ["calibration"], ["sync", "--conflicts"], ["list"]]  # fmt: skip


def all_commands(root: str, aside: str, medium: str) -> None:
    """Run in a namespace of its own: mount, prepare, spoil the medium, try everything."""
    library = Library(Path(root))
    mount = ["mount", "-t", "tmpfs", "-o", "size=3m", "tmpfs", root]
    subprocess.run(mount, check=True)
    commands = prepared(library, Path(aside))
    before = records(library)
    if medium == "full":
        with (library.root / ".filler").open("wb", buffering=0) as file:
            for size in (4096, 1):
                try:
                    while file.write(b"\0" * size):
                        pass
                except OSError:
                    pass
    else:
        subprocess.run(["mount", "-o", "remount,ro", root], check=True)
    told = []
    for words in [*commands, *READING]:
        read, write = os.pipe()
        kept = os.dup(2)
        sys.stderr.flush()
        os.dup2(write, 2)
        code = status(["--library", root, *words])
        sys.stderr.flush()
        os.dup2(kept, 2)
        os.close(write)
        with os.fdopen(read) as pipe:
            told.append([words, code, pipe.read()])
    now = records(library)
    now.pop(".filler", None)
    same = now == before
    found = {"told": told, "same": same, "left": left_over(library)}
    Path(aside, "told.json").write_text(json.dumps(found), encoding="utf-8")


def can_mount() -> bool:
    unshare = shutil.which("unshare")
    if unshare is None:
        return False
    tried = subprocess.run(
        [unshare, "-rm", "mount", "-t", "tmpfs", "tmpfs", "/mnt"], capture_output=True, check=False
    )
    return tried.returncode == 0


@pytest.mark.parametrize(("medium", "words"), [("full", "disk is full"), ("ro", "read-only")])
def test_every_writing_command_on_a_real_medium(tmp_path, medium, words):
    if not can_mount():
        pytest.skip("no mount namespace to be had here")
    root, aside = tmp_path / "library", tmp_path / "aside"
    root.mkdir()
    aside.mkdir()
    paths = [str(Path(__file__).parents[i]) for i in (0, 1, 2)]
    environment = os.environ | {"PYTHONPATH": os.pathsep.join(paths), "PYTHONWARNINGS": "ignore"}
    code = f"import test_media; test_media.all_commands({str(root)!r}, {str(aside)!r}, {medium!r})"
    done = subprocess.run(
        ["unshare", "-rm", sys.executable, "-c", code],
        capture_output=True, text=True, check=False, env=environment, timeout=120,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr[-2000:]
    found = json.loads((aside / "told.json").read_text())
    faults = []
    for command, code, said in found["told"]:
        if command in READING:
            right = code == 0 and not said
        else:
            right = code == 2 and said.count("\n") == 1 and words in said
            right = right and said.startswith("atlas: ") and "internal" not in said
        if not right:
            faults.append((command, code, said))
    assert not faults
    assert found["same"] and not found["left"]
