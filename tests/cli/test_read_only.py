"""Started to look only, nothing is written: not by a command, not by the application."""

import json

import pytest


def files(folder):
    return {str(p): p.read_bytes() for p in folder.rglob("*") if p.is_file()}


@pytest.fixture
def case_id(atlas, monkeypatch):
    name = json.loads(atlas("case", "new", "Van", "--json")[1])["case"]["id"]
    atlas("case", "note", name, "four feet")
    monkeypatch.setenv("ATLAS_READ_ONLY", "1")
    return name


@pytest.mark.parametrize(
    "arguments",
    [
        ["case", "new", "Another"],
        ["case", "note", "CASE", "more"],
        ["case", "suspect", "CASE", "rear-x-plate", "0.5"],
        ["case", "settle", "CASE", "none", "--found", "x", "--about", "y"],
        ["case", "calc", "CASE", "mass-estimate", "gauge=2.5"],
        ["case", "undo", "CASE"],
        ["case", "report", "CASE", "--output", "OUT/r.html"],
        ["review", "rear-x-plate", "--comment", "x", "--by", "AB"],
        ["supersede", "rear-x-plate", "rear-brace-skid"],
        ["sync"],
        ["demo", "--output", "OUT/demo"],
        ["vehicle", "new", "width=1850", "--output", "OUT/x.toml"],
    ],
    ids=lambda a: " ".join(a[:2]),
)
def test_no_command_writes(atlas, library, tmp_path, case_id, arguments):
    out = tmp_path / "out"
    out.mkdir()
    before = files(library.root)
    line = [a.replace("CASE", case_id).replace("OUT", str(out)) for a in arguments]
    code, _, err = atlas(*line)
    assert code == 2 and len(err.splitlines()) == 1 and "read-only" in err, err
    assert files(library.root) == before
    assert not list(out.iterdir())


def test_the_refusal_says_so_and_reading_goes_on(atlas, case_id):
    _, _, err = atlas("case", "note", case_id, "more")
    assert "read-only" in err and "--write" in err
    assert "four feet" in atlas("case", "show", case_id)[1]
    assert atlas("find", "plate")[0] == 0


async def test_the_application_writes_nothing_and_says_why(library, case_id, tmp_path, monkeypatch):
    from atlas.ui.app import AtlasApp
    from atlas.ui.desk import Desk

    monkeypatch.chdir(tmp_path)
    before = files(tmp_path)
    app = AtlasApp(Desk(library, "AB"))
    async with app.run_test(size=(120, 40)) as pilot:
        await pilot.pause()
        app.action_picture()
        await pilot.pause()
        said = [str(n.message) for n in app._notifications]
        await pilot.press("f7", "n", *"Van")
        for _ in range(9):
            await pilot.press("enter")
            await pilot.pause()
            refusals = [str(e.render()) for e in app.screen.query("#dialog--error")]
            if any(refusals):
                break
        assert "read-only" in "".join(refusals)
    assert any("read-only" in line for line in said), said
    assert files(tmp_path) == before
