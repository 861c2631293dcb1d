"""Names that differ in case only, on systems that tell them apart and on one that does not."""

import os
import shutil
import subprocess
from pathlib import Path

import pytest
from casework_load import clones_of, exchanged, records

from atlas.casework.cases import Cases
from atlas.casework.conflicts import open_conflicts
from atlas.casework.intake import by_one_name, misplaced, shadowed
from atlas.casework.photos import kept_name
from atlas.casework.storage import case_of
from atlas.casework.syncing import Syncing
from atlas.catalogue.library import Library
from atlas.errors import BadInput, Damaged

A, B, C = (("100644", letter * 40) for letter in "abc")


# ---------------------------------------------------------------------------------------- the rule
def test_ids_of_cases_and_patterns_are_in_small_letters(library, atlas):
    case = Cases(library, "AB").new("Grey HATCHBACK")
    assert case.id == case.id.lower()
    with pytest.raises(BadInput, match="is no case id"):
        Cases(library).path(case.id.upper())
    tables = {"head": {"1": {"id": "Big", "title": "x", "opened": ""}}}
    with pytest.raises(Damaged, match="capital letters in its id"):
        case_of(tables, library.cases / "Big.json")
    (library.cases / f"{case.id.upper()}.json").write_bytes(
        Cases(library).file(case.id).read_bytes()
    )
    rows, faults = Cases(library).rows()
    assert [row.id for row in rows] == [case.id] and len(faults) == 1
    folder = library.patterns / "rear-mount"
    folder.mkdir(parents=True)
    (folder / "Rear-X-Plate.toml").write_text('id = "Rear-X-Plate"\n')
    code, out, err = atlas("check", str(folder / "Rear-X-Plate.toml"))
    assert code in (1, 2) and "id" in out + err
    assert kept_name("/mnt/IMG.JPG", "ab" * 32) == "ab" * 32 + ".jpg"


@pytest.mark.parametrize(
    "name",
    ["cases/Big.json", "Cases/big.json", "patterns/Rear/x.toml", "vehicles/demo-Van.toml",
     "reviews/X.json", "CASES/BIG.JSON"],
)  # fmt: skip
def test_a_record_whose_name_has_capitals_does_not_come_in(name):
    assert "not in small letters" in misplaced(name, "100644")
    assert not misplaced(name.lower(), "100644")
    assert not misplaced("Notes.txt", "100644"), "what is no record may be named as one likes"


def test_of_names_that_differ_in_case_only_one_counts_for_all():
    assert shadowed(["B.txt", "b.txt", "B.TXT"]) == {"B.txt": "b.txt", "B.TXT": "b.txt"}
    assert shadowed(["B.txt", "B.TXT"]) == {"B.txt": "B.TXT"} == shadowed(["B.TXT", "B.txt"])
    # Unicode: a composed and a decomposed letter, capital and small sigma, the long s.
    assert shadowed(["\u00e9", "e\u0301"]) and shadowed(["\u03a3", "\u03c2"])
    assert shadowed(["D/x", "d/x"]) == {"D/x": "d/x"} and not shadowed(["d/x", "d/y"])


@pytest.mark.parametrize(
    ("before", "now", "stands", "found", "said"),
    [
        ({}, {"N": A, "n": B}, "Nn", {"n": B}, 1),  # both are new: the one in small letters
        ({"N": A}, {"N": A, "n": B}, "Nn", {"N": A}, 1),  # what the history knows comes first
        ({"N": A, "n": B}, {"N": C, "n": B}, "Nn", {"N": A, "n": B}, 1),
        ({"N": A, "n": B}, {"n": C}, "n", {"N": A, "n": C}, 0),  # changed; the other stays
        ({"N": A}, {"n": A}, "n", {"n": A}, 0),  # renamed
        ({"N": A, "n": B}, {}, "", {}, 0),  # taken away
        # Where case is folded, one file is reached by both names.
        ({"N": A, "n": B}, {"N": C}, "Nn", {"N": A, "n": C}, 0),
        ({"N": A}, {"n": C}, "Nn", {"N": C}, 0),
    ],
)
def test_what_a_folder_holds_by_the_names_that_count(before, now, stands, found, said):
    kept, left_out = by_one_name(before, now, lambda name: name in stands)
    assert (kept, len(left_out)) == (found, said)
    assert by_one_name(kept, kept, lambda name: name in stands)[0] == kept


def test_between_systems_that_tell_them_apart(tmp_path):
    clones = clones_of(tmp_path, "AB")
    (one, _), (two, _) = clones
    case = Cases(one, "AA").new("x")
    shout = f"cases/{case.id.upper()}.json"
    (one.root / shout).write_bytes(Cases(one).file(case.id).read_bytes())
    (one.root / "Notes.txt").write_text("big\n")
    (one.root / "notes.txt").write_text("small\n")
    said = Syncing(one, "AA").sync().set_aside
    assert len(said) == 2 and all("in case only" in line for line in said)
    exchanged(clones)
    assert sorted(records(two)) == [".gitignore", f"cases/{case.id}.json", "notes.txt"]
    assert (one.root / "Notes.txt").read_text() == "big\n", "it stays at home"
    # Two that each knew one of the names only.
    (one.root / "Other.txt").write_text("A\n")
    (two.root / "other.txt").write_text("B\n")
    exchanged(clones, 3)
    assert (one.root / "other.txt").read_text() == "B\n"
    assert (one.root / "Other.txt").read_text() == "A\n" and not (two.root / "Other.txt").exists()


# ------------------------------------------------------------------------------ a real one
@pytest.fixture
def folding(tmp_path):
    """A folder on a file system that folds case, mounted for the test where that can be done."""
    (tmp_path / "Probe").touch()
    if (tmp_path / "probe").exists():
        yield tmp_path
        return
    tools = [shutil.which(name) for name in ("mkfs.exfat", "mount.exfat-fuse", "losetup")]
    if not all(tools) or os.geteuid() != 0 or not Path("/dev/fuse").exists():
        pytest.skip("no file system that folds case can be had here")
    image, place = tmp_path / "image", tmp_path / "folding"
    place.mkdir()
    with image.open("wb") as file:
        file.truncate(64 << 20)
    quiet = {"check": True, "capture_output": True, "timeout": 30}
    subprocess.run([tools[0], str(image)], **quiet)
    try:
        looped = subprocess.run([tools[2], "-f", "--show", str(image)], **quiet, text=True)
    except subprocess.CalledProcessError:
        pytest.skip("no loop device can be had here")
    device = looped.stdout.strip()
    try:
        mounted = subprocess.run([tools[1], device, str(place)], capture_output=True, timeout=30)
        if mounted.returncode or not os.path.ismount(place):
            pytest.skip("it cannot be mounted here")
        try:
            yield place
        finally:
            subprocess.run(["umount", str(place)], **quiet)
    finally:
        subprocess.run([tools[2], "-d", device], **quiet)


def test_on_a_file_system_that_folds_case(folding, tmp_path):
    root = folding / "library"
    root.mkdir()
    ((one, who),) = clones_of(tmp_path, "A")
    mine = Library(root)
    remote = str(tmp_path / "remote.git")
    Syncing(mine, "FF").sync(remote)
    case = Cases(mine, "FF").new("x")
    Cases(mine, "FF").note(case.id, "größer")
    Syncing(mine, "FF").sync()
    for name in ("Notes.txt", "notes.txt"):
        (one.root / name).write_text(f"{name}\n")
    exchanged([(one, who), (mine, "FF")])
    assert (root / "NOTES.txt").read_text() == "notes.txt\n"
    # Each knew one of the names only: the one that counts stands, and both go on syncing.
    (one.root / "Other.txt").write_text("A\n")
    Syncing(one, who).sync()
    (root / "other.txt").write_text("B\n")
    exchanged([(mine, "FF"), (one, who)], 3)
    assert (root / "OTHER.txt").read_text() == "B\n" == (one.root / "other.txt").read_text()
    Cases(one, who).note(case.id, "from there")
    exchanged([(one, who), (mine, "FF")])
    assert {e.text for e in Cases(mine).get(case.id).evidence.values()} == {"größer", "from there"}
    assert Syncing(mine, "FF").sync().recorded == [] == Syncing(one, who).sync().recorded
    assert not open_conflicts(mine)[0]
