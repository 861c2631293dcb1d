"""What was done to a library from outside is named and set aside, and never waited for."""

import json
import os
import socket
import subprocess
import tempfile
from pathlib import Path

import pytest
from casework_load import as_anybody

from atlas.casework.cases import Cases
from atlas.casework.syncing import Syncing
from atlas.catalogue.library import Library
from atlas.errors import AtlasError


def folder(path):
    path.unlink()
    path.mkdir()


def pipe(path):
    path.unlink()
    os.mkfifo(path)


def listener(path):
    path.unlink()
    with socket.socket(socket.AF_UNIX) as one:
        here = Path.cwd()
        os.chdir(path.parent)  # the name of a socket may have some 100 characters only
        try:
            one.bind(path.name)
        finally:
            os.chdir(here)


def circle(path):
    path.unlink()
    path.symlink_to(path)


def nowhere(path):
    path.unlink()
    path.symlink_to(path.parent / "gone")


def endless(path):
    path.unlink()
    path.symlink_to("/dev/zero")


def huge(path):
    os.truncate(path, 10_000_000_000)  # takes no room: a hole


def rewritten(**changes):
    def damage(path):
        tables = json.loads(path.read_bytes())
        tables["head"]["1"].update(changes)
        path.write_text(json.dumps(tables))

    return damage


def history(text):
    def damage(path):
        path.write_text(path.read_text().replace('"opened the case"', text))

    return damage


def cut(path):
    os.truncate(path, path.stat().st_size // 2)


DAMAGES = {
    "a folder": folder,
    "a pipe": pipe,
    "a socket": listener,
    "a link to itself": circle,
    "a link to nowhere": nowhere,
    "a device": endless,
    "10 GB": huge,
    "half": cut,
    "a field of 10 MB": rewritten(title="x" * 10_000_000),
    "half a character": rewritten(title="\ud800"),
    "a number for a title": rewritten(title=3),
    "no text but a list": rewritten(people="AB"),
    "another's id": rewritten(id="somebody-else"),
    "a history that nests": history("[" * 500 + "]" * 500),
    "no history of changes": history("7"),
}


@pytest.mark.parametrize("damage", DAMAGES.values(), ids=DAMAGES.keys())
def test_it_is_named_and_set_aside_and_the_rest_opens(library, atlas, damage):
    cases = Cases(library, "AB")
    case, other = cases.new("victim"), cases.new("other")
    damage(cases.path(case.id))
    for _ in range(2):  # read, and from the cache
        rows, problems = cases.rows()
        assert [row.id for row in rows] == [other.id]
        assert len(problems) == 1 and case.id in str(problems[0])
        every, problems = cases.every()
        assert [one.id for one in every] == [other.id] and len(problems) == 1
    with pytest.raises(AtlasError) as caught:
        cases.get(case.id)
    assert case.id in str(caught.value) and len(str(caught.value)) < 500
    assert "did you mean" not in str(caught.value)
    with pytest.raises(AtlasError):
        cases.note(case.id, "more")
    cases.note(other.id, "goes on")
    for words in (["case", "list"], ["case", "list", "--json"], ["teardown"], ["calibration"]):
        status, _, err = atlas(*words)
        assert status == 0 and "Traceback" not in err
        assert case.id in err and err.startswith("atlas: set aside:") and err.count("\n") == 1
        assert len(err) < 500
    status, _, err = atlas("case", "show", case.id)
    assert status in (1, 2) and err.count("\n") == 1


SYNCED = ("a folder", "a pipe", "a link to itself", "half", "half a character", "a field of 10 MB")


@pytest.mark.parametrize("damage", [DAMAGES[name] for name in SYNCED], ids=SYNCED)
def test_a_sync_goes_on_beside_it_and_takes_nothing_away(library, tmp_path, damage):
    remote = tmp_path / "remote.git"
    subprocess.run(["git", "init", "-q", "--bare", "-b", "main", str(remote)], check=True)
    cases = Cases(library, "AB")
    case, other = cases.new("victim"), cases.new("other")
    Syncing(library, "AB").sync(str(remote))
    damage(cases.path(case.id))
    cases.note(other.id, "goes on")
    report = Syncing(library, "AB").sync()
    assert report.reached and f"cases/{other.id}.json" in report.recorded
    kept = subprocess.run(
        ["git", "-C", str(remote), "show", f"main:cases/{case.id}.json"],
        capture_output=True, check=True,
    )  # fmt: skip
    json.loads(kept.stdout)
    assert os.path.lexists(cases.path(case.id)), "it is left as it is"


def test_a_file_without_permission_is_named_and_no_deletion(monkeypatch):
    with tempfile.TemporaryDirectory(prefix="atlas-test-") as name:
        place = Path(name)
        monkeypatch.setenv("HOME", name)
        monkeypatch.setenv("XDG_CACHE_HOME", f"{name}/cache")
        place.chmod(0o777)
        warm_up(Library(place / "warm"))
        status, said = as_anybody(lambda acknowledge: without_permission(place, acknowledge))
        assert status == 0 and said == ["done"]


def warm_up(library):
    """Load what is loaded late: where nobody may read the programs, too."""
    library.root.mkdir()
    Cases(library, "AB").new("x")
    Syncing(library, "AB").sync()
    Cases(library).rows()


def without_permission(place, acknowledge):
    library, remote = Library(place / "library"), place / "remote.git"
    library.root.mkdir()
    subprocess.run(["git", "init", "-q", "--bare", "-b", "main", str(remote)], check=True)
    cases = Cases(library, "AB")
    case, other = cases.new("victim"), cases.new("other")
    Syncing(library, "AB").sync(str(remote))
    cases.path(case.id).chmod(0)
    cases.note(other.id, "goes on")
    rows, problems = cases.rows()
    assert [row.id for row in rows] == [other.id] and "no permission to read" in str(problems[0])
    report = Syncing(library, "AB").sync()
    assert any(case.id in line for line in report.set_aside)
    assert report.recorded == [f"cases/{other.id}.json"]
    listed = subprocess.run(
        ["git", "-C", str(remote), "ls-tree", "-r", "--name-only", "main"],
        capture_output=True, check=True, text=True,
    ).stdout  # fmt: skip
    assert case.id in listed
    acknowledge("done")


def test_patterns_are_set_aside_the_same_way(library, atlas):
    zone = library.patterns / "rear-mount"
    zone.mkdir(parents=True)
    for name in ("pipe", "circle", "folder", "empty", "zero"):
        (zone / f"{name}.toml").write_text("")
    pipe(zone / "pipe.toml")
    circle(zone / "circle.toml")
    folder(zone / "folder.toml")
    endless(zone / "zero.toml")
    for words in (["find", "plate"], ["show", "rear-x-plate"], ["list", "--json"]):
        status, out, err = atlas(*words)
        assert status == 0 and out
        told = err.splitlines()  # a folder of such a name is nobody's record
        assert len(told) == 4 and all(line.startswith("atlas: set aside:") for line in told)
        for name, why in (
            ("circle", "cannot be read"), ("empty", "missing"), ("pipe", "is a pipe"),
            ("zero", "is a device"),
        ):  # fmt: skip
            assert any(f"{name}.toml: " in line and why in line for line in told), name


def test_a_photo_that_never_ends_is_refused(library):
    cases = Cases(library, "AB")
    case = cases.new("x")
    os.mkfifo(library.root / "photo")
    for photo in ("/dev/zero", str(library.root / "photo"), str(library.root), "a\0b", "\udc80"):
        with pytest.raises(AtlasError):
            cases.note(case.id, "see", photo=photo)
    assert not cases.get(case.id).evidence
