"""One archive of a case with its photos: it comes back as it went, or is refused by name."""

import json
import os
import random
import shutil
import stat
import struct
import subprocess
import warnings
import zipfile
from hashlib import sha256
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from atlas.casework import archive as form
from atlas.casework.cases import Cases
from atlas.casework.packing import pack, unpack
from atlas.casework.photos import kept_name, photo
from atlas.catalogue.library import Library
from atlas.errors import AtlasError, BadInput, Conflict, NotThere


def library_at(folder: Path) -> Library:
    folder.mkdir()
    return Library(folder)


@pytest.fixture
def other(tmp_path):
    return library_at(tmp_path / "other")


@pytest.fixture
def case_id(library, tmp_path):
    cases = Cases(library, "AB")
    name = cases.new("Van on lift").id
    for number in range(2):
        image = tmp_path / f"IMG_{number}.JPG"
        image.write_bytes(bytes([0xFF, 0xD8, number]) * 500)
        cases.note(name, f"view {number}", photo=str(image))
    cases.suspect(name, "rear-x-plate", 0.7, about="brace")
    return name


@pytest.fixture
def packed(library, case_id, tmp_path):
    pack(Cases(library), case_id, tmp_path / "case.zip")
    return tmp_path / "case.zip"


def tree(folder: Path) -> dict[str, bytes]:
    """Files of a library but for the locks, which hold nothing."""
    found = (p for p in folder.rglob("*") if p.is_file() and ".locks" not in p.parts)
    return {str(p.relative_to(folder)): p.read_bytes() for p in found}


def members_of(path: Path) -> dict[str, bytes]:
    with zipfile.ZipFile(path) as file:
        return {name: file.read(name) for name in file.namelist()}


def write(path: Path, members: list[tuple[str | zipfile.ZipInfo, bytes]]) -> Path:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", UserWarning)  # of duplicate names: they are the point
        with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as file:
            for name, content in members:
                file.writestr(name, content)
    return path


def relisted(members: dict[str, bytes], **changes: object) -> list[tuple[str, bytes]]:
    """The members with a manifest that agrees with them."""
    manifest = json.loads(members["manifest.json"])
    manifest["members"] = {
        name: {"size": len(content), "sha256": sha256(content).hexdigest()}
        for name, content in members.items()
        if name != "manifest.json"
    }
    manifest |= changes
    return [*((n, c) for n, c in members.items() if n != "manifest.json"),
            ("manifest.json", json.dumps(manifest).encode())]  # fmt: skip


# ---------------------------------------------------------------------------------- as it should
def test_a_case_comes_back_with_its_photos(library, other, packed, case_id):
    found = unpack(other, packed)
    assert (found.case, found.done, found.photos, found.left_out) == (case_id, "added", 2, ())
    assert Cases(other).get(case_id) == Cases(library).get(case_id)
    mine, theirs = library.cases / f"{case_id}.json", other.cases / f"{case_id}.json"
    assert theirs.read_bytes() == mine.read_bytes()


def test_photos_are_found_by_content_where_their_path_leads_nowhere(other, packed, case_id):
    unpack(other, packed)
    first = next(iter(Cases(other).get(case_id).evidence.values()))
    Path(first.path).unlink()
    found = photo(first, other)
    assert found.state == "there"
    assert sha256(found.path.read_bytes()).hexdigest() == first.sha256


def test_the_same_again_says_so_and_changes_nothing(other, packed):
    unpack(other, packed)
    before = tree(other.root)
    found = unpack(other, packed)
    assert (found.done, found.photos) == ("there already", 0)
    assert tree(other.root) == before


def test_the_same_case_makes_the_same_archive(library, case_id, packed, tmp_path):
    pack(Cases(library), case_id, tmp_path / "again.zip")
    assert packed.read_bytes() == (tmp_path / "again.zip").read_bytes()


@pytest.mark.skipif(shutil.which("unzip") is None, reason="no unzip program here")
def test_a_general_tool_finds_the_archive_sound(packed):
    """Info-ZIP's unzip -t checks every member against its CRC-32 (APPNOTE.TXT 6.3, 4.4.7)."""
    done = subprocess.run(["unzip", "-t", packed], capture_output=True, text=True, timeout=30)
    assert done.returncode == 0, done.stdout


def test_another_state_is_refused_then_merged_record_by_record(library, other, packed, case_id):
    unpack(other, packed)
    here, there = Cases(library, "AB"), Cases(other, "CD")
    here.note(case_id, "from here")
    first = next(iter(there.get(case_id).evidence))
    there.note(case_id, "from there")
    there.undo(case_id)
    there.replace(case_id, "evidence", first, None, revision=there.get(case_id).revision)
    pack(here, case_id, packed)
    before = tree(other.root)
    with pytest.raises(Conflict, match="--merge"):
        unpack(other, packed)
    assert tree(other.root) == before
    assert unpack(other, packed, merge=True).done == "merged"
    texts = [one.text for one in there.get(case_id).evidence.values()]
    assert texts == ["view 1", "from here"]  # what was removed there stays removed
    assert len(there.get(case_id).history) == 4 + 1 + 3


def test_a_field_that_both_changed_waits_for_a_choice(library, other, packed, case_id):
    from atlas.casework.conflicts import open_conflicts

    unpack(other, packed)
    for cases, text in ((Cases(library), "here"), (Cases(other), "there")):
        case = cases.get(case_id)
        key, one = next(iter(case.evidence.items()))
        import msgspec

        changed = msgspec.structs.replace(one, text=text)
        cases.replace(case_id, "evidence", key, changed, revision=case.revision)
    pack(Cases(library), case_id, packed)
    found = unpack(other, packed, merge=True)
    assert len(found.conflicts) == 1
    waiting, faults = open_conflicts(other)
    assert not faults
    assert {waiting[0].shown(0), waiting[0].shown(1)} == {"here", "there"}


def test_photos_that_are_gone_or_changed_are_said(library, case_id, tmp_path, other):
    (tmp_path / "IMG_0.JPG").unlink()
    (tmp_path / "IMG_1.JPG").write_bytes(b"another")
    found = pack(Cases(library), case_id, tmp_path / "case.zip")
    assert found.photos == 0
    assert "IMG_0.JPG: is missing" in found.left_out[0]
    assert "IMG_1.JPG: is no longer the photo" in found.left_out[1]
    assert unpack(other, tmp_path / "case.zip").left_out == found.left_out


def test_an_archive_is_no_photo(library, case_id, tmp_path, packed):
    nested = tmp_path / "all.zip"
    shutil.copy(packed, nested)
    Cases(library).note(case_id, "x", photo=str(nested))
    found = pack(Cases(library), case_id, packed)
    assert "is an archive" in found.left_out[0]


text = st.text(st.characters(exclude_categories=("Cs",), exclude_characters="\0"), max_size=40)


@settings(max_examples=25, deadline=None)
@given(notes=st.lists(text, max_size=5), images=st.lists(st.binary(max_size=200), max_size=4))
def test_any_case_survives_the_journey(tmp_path_factory, notes, images):
    folder = tmp_path_factory.mktemp("journey")
    library, other = library_at(folder / "a"), library_at(folder / "b")
    cases = Cases(library, "AB")
    name = cases.new("journey").id
    for note in notes:
        if note.strip():
            cases.note(name, note)
    for number, content in enumerate(images):
        (folder / f"{number}.png").write_bytes(content)
        cases.note(name, "", photo=str(folder / f"{number}.png"))
    said = pack(cases, name, folder / "x.zip")
    taken = unpack(other, folder / "x.zip")
    assert taken.photos + len(said.left_out) == len(set(images))
    assert tree(other.root)[f"cases/{name}.json"] == tree(library.root)[f"cases/{name}.json"]


# ------------------------------------------------------------------------------------- hostile
def info(name: str, mode: int = 0) -> zipfile.ZipInfo:
    entry = zipfile.ZipInfo(name)
    entry.external_attr = mode << 16
    return entry


def with_extra(name, content=b"x", mode=0):
    def make(members, path):
        return write(path, [*members.items(), (info(name, mode), content)])

    return make


def with_photo(content, name=None):
    def make(members, path):
        named = name or f"photos/{sha256(content).hexdigest()}.jpg"
        return write(path, relisted({**members, named: content}))

    return make


def with_nested(members, path):
    """An archive that the case itself calls a photo."""
    inner = b"PK\x03\x04" + bytes(100)
    digest = sha256(inner).hexdigest()
    tables = json.loads(members["case.json"])
    tables["evidence"]["7"] = {"kind": "photo", "text": "", "at": "", "by": "", "path": "all.zip",
                               "sha256": digest}  # fmt: skip
    changed = {"case.json": json.dumps(tables).encode(), f"photos/{digest}.zip": inner}
    return write(path, relisted({**members, **changed}))


def without(name):
    def make(members, path):
        return write(path, [(n, c) for n, c in members.items() if n != name])

    return make


def first_photo(members):
    return next(name for name in members if name.startswith("photos/"))


def swapped(members, path):
    name = first_photo(members)
    return write(path, [(n, b"\xff\xd8" * len(c) if n == name else c)
                        for n, c in members.items()])  # fmt: skip


def same_length_other_bytes(members, path):
    name = first_photo(members)
    return write(path, [(n, c[::-1] if n == name else c) for n, c in members.items()])


def twice(members, path):
    return write(path, [*members.items(), ("case.json", members["case.json"])])


def folded(members, path):
    return write(path, [*members.items(), ("Case.JSON", members["case.json"])])


def cut(members, path):
    content = write(path, list(members.items())).read_bytes()
    path.write_bytes(content[: len(content) // 2])
    return path


def encrypted(members, path):
    """General purpose bit 0 of the local and the central header (APPNOTE.TXT 6.3, 4.4.4)."""
    content = bytearray(write(path, list(members.items())).read_bytes())
    central = content.rindex(b"PK\x01\x02")
    offset = struct.unpack_from("<I", content, central + 42)[0]
    content[central + 8] |= 1
    content[offset + 6] |= 1
    path.write_bytes(content)
    return path


def understated(members, path):
    """A member that holds more than its declared size (central header, 4.4.9)."""
    return misstated(members, path, -10)


def overstated(members, path):
    return misstated(members, path, 10)


def misstated(members, path, by):
    manifest = json.loads(members["manifest.json"])
    manifest["members"]["case.json"]["size"] += by
    lying = {**members, "manifest.json": json.dumps(manifest).encode()}
    content = bytearray(write(path, list(lying.items())).read_bytes())
    central = content.index(b"PK\x01\x02")
    size = struct.unpack_from("<I", content, central + 24)[0]
    struct.pack_into("<I", content, central + 24, size + by)
    path.write_bytes(content)
    return path


def lzma(members, path):
    with zipfile.ZipFile(path, "w", zipfile.ZIP_LZMA) as file:
        for name, content in members.items():
            file.writestr(name, content)
    return path


def newer(members, path):
    return write(path, relisted(members, version=2))


def not_zip(members, path):
    path.write_bytes(b"case,title\r\n")
    return path


def empty(members, path):
    path.write_bytes(b"")
    return path


def huge_claim(members, path):
    content = bytearray(write(path, list(members.items())).read_bytes())
    central = content.index(b"PK\x01\x02")
    struct.pack_into("<I", content, central + 24, 0xFFFFFFF0)
    path.write_bytes(content)
    return path


def overlapping(members, path):
    """Two entries of the central directory (4.4.16) that lead to one and the same content."""
    content = bytearray(write(path, list(members.items())).read_bytes())
    first, last = content.index(b"PK\x01\x02"), content.rindex(b"PK\x01\x02")
    content[last + 42 : last + 46] = content[first + 42 : first + 46]
    path.write_bytes(content)
    return path


def with_case(change):
    def make(members, path):
        tables = json.loads(members["case.json"])
        change(tables)
        raw = json.dumps(tables).encode()
        return write(path, relisted({**members, "case.json": raw}))

    return make


def unreadable_head(tables):
    tables["head"]["1"]["title"] = 5


def half_a_pair(tables):
    tables["head"]["1"]["title"] = "\ud800"


def no_number(tables):
    tables["evidence"] = {"1": {"kind": "point", "text": "", "at": "", "by": "",
                                "value": float("nan")}}  # fmt: skip


def many(members, path):
    return write(path, [*members.items(), *((f"photos/{n:064x}", b"") for n in range(5_000))])


HOSTILE = [
    ("not a zip", not_zip, "is no zip"),
    ("empty", empty, "is no zip"),
    ("cut short", cut, "cut short or damaged"),
    ("climbs", with_extra("photos/../../evil"), "'photos/../../evil' climbs out"),
    ("climbs back", with_extra("..\\..\\evil"), "climbs out"),
    ("absolute", with_extra("/etc/cron.d/evil"), "absolute path"),
    ("absolute back", with_extra("\\evil"), "absolute path"),
    ("drive", with_extra("C:evil"), "drive letter"),
    ("drive slash", with_extra("c:/evil"), "drive letter"),
    ("control", with_extra("photos/a\x1b[2J"), "␛[2J"),
    ("link", with_extra("photos/x", b"/etc/passwd", stat.S_IFLNK | 0o777), "is a link"),
    ("device", with_extra("dev", b"", stat.S_IFCHR | 0o666), "a device"),
    ("block", with_extra("dev", b"", stat.S_IFBLK | 0o666), "a device"),
    ("pipe", with_extra("pipe", b"", stat.S_IFIFO | 0o666), "a device, a pipe"),
    ("folder", with_extra("photos/", b""), "is a folder"),
    ("extra", with_extra("readme.txt"), "'readme.txt' does not belong"),
    ("nested", with_extra("inner.zip"), "'inner.zip' does not belong"),
    ("nested as photo", with_nested, "an archive within"),
    ("unlisted photo", with_extra(f"photos/{'0' * 64}.jpg"), "is not in the manifest"),
    ("photo of no evidence", with_photo(b"\xff\xd8 stranger"), "is no photo of the case"),
    ("photo misnamed", with_photo(b"\xff\xd8", f"photos/{'1' * 64}.jpg"), "named by its content"),
    ("wrong size", swapped, "does not have the size"),
    ("wrong content", same_length_other_bytes, "does not have the content"),
    ("no case", without("case.json"), "'case.json' is missing"),
    ("no manifest", without("manifest.json"), "'manifest.json' is missing"),
    ("twice", twice, "'case.json' is there twice"),
    ("folded", folded, "in case only"),
    ("encrypted", encrypted, "is encrypted"),
    ("understated", understated, "damaged"),
    ("overstated", overstated, "is smaller than it says"),
    ("huge", huge_claim, "at most"),
    ("overlapping", overlapping, "overlaps the next one"),
    ("bomb", with_photo(b"\xff" + bytes(4 << 20)), "swells"),
    ("other method", lzma, "packed by a method"),
    ("newer", newer, "newer atlas"),
    ("older", lambda m, p: write(p, relisted(m, version=0)), "is not of atlas-case, version 1"),
    ("other form", lambda m, p: write(p, relisted(m, format="zip")), "is not of atlas-case"),
    ("many", many, "members"),
    ("wrong type", with_case(unreadable_head), "title"),
    ("surrogate", with_case(half_a_pair), "case.json: holds bytes"),
    ("nan", with_case(no_number), "case.json: cannot be read"),
    ("other case", with_case(lambda t: t["head"]["1"].update(id="2026-01-01-x")), "2026-01-01-x"),
    ("climbing id", lambda m, p: write(p, relisted(m, case="../evil")), "evil"),
    ("no tables", lambda m, p: write(p, relisted({**m, "case.json": b"[]"})), "tables"),
    ("deep", lambda m, p: write(p, relisted({**m, "case.json": b"[" * 100_000})), "case.json"),
    ("manifest no object", lambda m, p: write(p, [*((n, c) for n, c in m.items()
                                                    if n != "manifest.json"),
                                                  ("manifest.json", b"[1]")]), "manifest.json"),
]  # fmt: skip


@pytest.mark.parametrize(
    ("make", "said"), [row[1:] for row in HOSTILE], ids=[r[0] for r in HOSTILE]
)
def test_a_hostile_archive_is_refused_by_name(other, packed, tmp_path, make, said):
    hostile = make(members_of(packed), tmp_path / "hostile.zip")
    outside = sorted(tmp_path.iterdir())
    with pytest.raises(BadInput) as caught:
        unpack(other, hostile)
    line = str(caught.value)
    assert said in line and "hostile.zip" in line and line.isprintable()
    assert tree(other.root) == {} and sorted(tmp_path.iterdir()) == outside


def test_a_photo_missing_though_listed_is_named(other, packed, tmp_path):
    members = members_of(packed)
    name = first_photo(members)
    with pytest.raises(BadInput, match=f"{name[:40]}.*missing, though"):
        unpack(other, without(name)(members, tmp_path / "x.zip"))
    assert tree(other.root) == {}


def test_the_declared_whole_is_limited(other, packed, monkeypatch):
    monkeypatch.setattr(form, "MOST_WHOLE", 1000)
    with pytest.raises(BadInput, match="more than"):
        unpack(other, packed)


@pytest.mark.parametrize("kind", ["nothing", "folder", "pipe", "NUL"])
def test_what_is_no_file_is_one_line(other, tmp_path, kind):
    path = tmp_path / "x"
    if kind == "folder":
        path.mkdir()
    if kind == "pipe":
        os.mkfifo(path)
    if kind == "NUL":
        path = Path("a\0b")
    with pytest.raises(NotThere if kind == "nothing" else BadInput):
        unpack(other, path)


def test_any_damaged_byte_is_refused_or_harmless(library, other, packed, case_id):
    """500 archives with one to three bytes changed anywhere."""
    whole = packed.read_bytes()
    wanted = (library.cases / f"{case_id}.json").read_bytes()
    roll = random.Random(4)
    refused = 0
    for _ in range(500):
        damaged = bytearray(whole)
        for _ in range(roll.randint(1, 3)):
            damaged[roll.randrange(len(damaged))] = roll.randrange(256)
        packed.write_bytes(damaged)
        try:
            unpack(other, packed)
        except AtlasError:
            refused += 1
            assert tree(other.root) == {}
        else:
            assert tree(other.root)[f"cases/{case_id}.json"] == wanted
            shutil.rmtree(other.root)
            other.root.mkdir()
    assert refused > 300


def test_a_full_disk_leaves_nothing_behind(other, packed, monkeypatch):
    from atlas.casework import taking_in

    def full(*_):
        from atlas.errors import Refused

        raise Refused("the disk is full", "x")

    monkeypatch.setattr(taking_in.DurableStorage, "write", full)
    with pytest.raises(BadInput, match="full"):
        unpack(other, packed)
    assert tree(other.root) == {}


def test_names_that_are_kept():
    assert kept_name("/a/IMG.JPEG", "ff") == "ff.jpeg"
    assert kept_name("C:\\a\\b.tar.gz", "ff") == "ff.gz"
    assert kept_name("../../x.j\u202epg", "ff") == "ff"
    assert kept_name("a/.profile", "ff") == "ff"


def test_a_case_cannot_point_out_of_the_photo_folder(library, tmp_path):
    """The hash of a photo comes with the case, so that it is no more to be trusted than a path."""
    import msgspec

    cases = Cases(library)
    (tmp_path / "a.png").write_bytes(b"x")
    case = cases.note(cases.new("x").id, "", photo=str(tmp_path / "a.png"))
    one = next(iter(case.evidence.values()))
    evil = msgspec.structs.replace(one, sha256="../../../../etc/passwd", path="/etc/passwd")
    assert photo(evil, library).state == "missing"


def test_the_commands(atlas, packed, tmp_path, library, case_id):
    code, out, err = atlas("case", "pack", case_id[-4:], "--out", str(tmp_path / "b.zip"))
    assert (code, out.strip(), err) == (0, str(tmp_path / "b.zip"), "")
    (tmp_path / "IMG_1.JPG").unlink()
    code, out, err = atlas("case", "pack", case_id, "--out", str(tmp_path / "b.zip"))
    assert code == 1 and "IMG_1.JPG: is missing" in err
    assert "IMG_1.JPG" in (shown := atlas("case", "show", case_id)[1])
    assert "(it is missing)" in " ".join(shown.split())
    code, out, err = atlas("case", "unpack", str(packed), "--json")
    assert (code, err) == (0, "")
    assert json.loads(out)["done"] == "there already"
    assert atlas("case", "pack", case_id, "--out", str(tmp_path / "b.zip"))[0] == 0
    assert atlas("case", "unpack", str(tmp_path / "none.zip"))[0] == 1
    assert atlas("case", "pack", case_id, "--out", str(tmp_path))[0] == 2
