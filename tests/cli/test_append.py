"""From a case to a pattern: draft, nearest first, review by another, supersede, learn."""

import json
from pathlib import Path

import pytest

from atlas.casework.cases import Cases
from atlas.catalogue.appending import WORTH, as_toml, lessons
from atlas.catalogue.load import load
from atlas.catalogue.model import Pattern
from atlas.catalogue.reading import read_record
from atlas.catalogue.shipped import shipped

SHIPPED = shipped("patterns") / "rear-mount" / "rear-x-plate.toml"


@pytest.fixture
def file(tmp_path):
    """The shipped X plate under another id, as somebody might bring it."""
    text = SHIPPED.read_text(encoding="utf-8").replace('id = "rear-x-plate"', 'id = "our-plate"', 1)
    path = tmp_path / "our-plate.toml"
    path.write_text(text, encoding="utf-8")
    return path


def test_every_shipped_pattern_survives_being_written(tmp_path):
    catalogue = load(cached=False)
    for pattern in catalogue.patterns.values():
        path = tmp_path / f"{pattern.id}.toml"
        path.write_text(as_toml(pattern), encoding="utf-8")
        assert read_record(path, Pattern) == pattern


def test_nearest_patterns_come_first_and_one_must_choose(atlas, file, library):
    code, out, err = atlas("add", str(file), "--by", "AB")
    assert code == 2
    assert "rear-x-plate" in out
    assert "--as" in err
    assert not library.patterns.exists()


def test_the_same_as_another_adds_nothing_and_names_that_one(atlas, file, library):
    same = ("add", str(file), "--by", "AB", "--as", "same")
    for kind in ("same", "variant"):
        code, out, err = atlas(*same[:-1], kind)
        assert (code, out) == (2, "")
        assert "--of" in err and "''" not in err
    code, out, _ = atlas(*same, "--of", "rear-x-plate", "--json")
    said = json.loads(out)
    assert code == 0
    assert (said["id"], said["added"], said["nearest"][0]["id"]) == (
        "rear-x-plate", False, "rear-x-plate",
    )  # fmt: skip
    assert not library.patterns.exists()


def test_a_draft_waits_for_another_person(atlas, file, library):
    assert atlas("add", str(file), "--as", "new", "--by", "AB")[0] == 0
    pattern = load(library).pattern("our-plate")
    assert (pattern.provenance.status, pattern.provenance.author) == ("draft", "AB")
    code, _, err = atlas("review", "our-plate", "--by", "AB", "--accept")
    assert code == 2 and "another person" in err
    assert atlas("review", "our-plate", "--by", "CD", "--comment", "which bolts?")[0] == 0
    _, out, _ = atlas("review", "our-plate", "--by", "CD", "--accept", "--json")
    said = json.loads(out)
    assert said["status"] == "reviewed"
    assert said["comments"][0]["text"] == "which bolts?"
    assert load(library).pattern("our-plate").provenance.reviewer == "CD"


def test_review_shows_the_difference_field_by_field(atlas, library, tmp_path):
    text = SHIPPED.read_text(encoding="utf-8")
    start = text.index('title = "')
    changed = text[:start] + 'title = "Another title"' + text[text.index("\n", start) :]
    (tmp_path / "rear-x-plate.toml").write_text(changed, encoding="utf-8")
    line = ["add", str(tmp_path / "rear-x-plate.toml"), "--as", "variant", "--of", "rear-x-plate"]
    assert atlas(*line, "--by", "AB")[0] == 0
    _, out, _ = atlas("review", "rear-x-plate", "--json")
    fields = {one["field"]: one["after"] for one in json.loads(out)["differences"]}
    assert fields["title"] == "Another title"
    assert "rationale" not in fields


def test_a_variant_names_its_origin_and_goes_over_no_other_pattern(atlas, file, library):
    line = ["add", str(file), "--as", "variant", "--of", "rear-x-plate", "--by", "AB"]
    code, _, err = atlas(*line)
    assert code == 2 and "our-plate.toml: likelihoods" in err, "no look tells the two apart"
    text = file.read_text(encoding="utf-8")
    swapped = text.replace("sticks = 0.68", "sticks = 0.70").replace("none = 0.28", "none = 0.26")
    file.write_text(swapped, encoding="utf-8")
    assert atlas(*line)[0] == 0
    assert load(library).pattern("our-plate").provenance.variant_of == "rear-x-plate"
    _, out, _ = atlas("review", "our-plate", "--json")
    fields = [one["field"] for one in json.loads(out)["differences"]]
    assert "likelihoods.magnet.sticks" in fields and "summary" not in fields, "against its origin"
    file.write_text(text.replace('"our-plate"', '"rear-v-brace"', 1), encoding="utf-8")
    code, _, err = atlas(*line)
    assert code == 2 and "there is a pattern 'rear-v-brace'" in err
    assert load(library).pattern("rear-v-brace").title != load(library).pattern("our-plate").title


def test_a_faulty_file_is_refused_by_field(atlas, file, library):
    text = file.read_text(encoding="utf-8").replace(
        "[[look_alikes]]\nid = ", '[[look_alikes]]\nid = "no-such" #', 1
    )
    file.write_text(text, encoding="utf-8")
    code, _, err = atlas("add", str(file), "--as", "new", "--by", "AB")
    assert code == 2
    assert "look_alikes[0].id" in err and "no-such" in err
    assert not library.patterns.exists()


@pytest.mark.parametrize(
    ("field", "wrong"), [("id", "Our-Plate"), ("id", "../x"), ("zone", "../../x"), ("id", "a--b")]
)
def test_what_is_no_id_is_refused_in_plain_words(atlas, file, library, field, wrong):
    text = file.read_text(encoding="utf-8")
    value = {"id": "our-plate", "zone": "rear-mount"}[field]
    text = text.replace(f'{field} = "{value}"', f'{field} = "{wrong}"', 1)
    file.write_text(text, encoding="utf-8")
    code, _, err = atlas("add", str(file), "--as", "new", "--by", "AB")
    assert code == 2 and f"{field}: no id: small letters" in err
    assert not library.patterns.exists()


def test_of_an_unfinished_file_all_that_it_lacks_is_named(atlas, tmp_path):
    path = tmp_path / "strap.toml"
    path.write_text('id = "strap"\ntitle = "Strap"\nzone = "rear-mount"\nload_cases = 3\n')
    code, out, err = atlas("check", str(path), "--json")
    said = {fault["field"]: fault for fault in json.loads(out)["faults"]}
    assert code == 1 and not err
    assert said["cues"]["what"] == said["summary"]["what"] == "is missing"
    assert "expected array" in said["load_cases"]["what"]
    assert {fault["record"] for fault in said.values()} == {str(path)}
    code, _, err = atlas("add", str(path))
    assert code == 2 and "load_cases: expected array" in err and err.count("\n") == 1


def test_a_superseded_pattern_stays_readable(atlas, library):
    assert atlas("supersede", "rear-v-brace", "rear-x-plate")[0] == 0
    catalogue = load(library)
    assert catalogue.pattern("rear-v-brace").provenance.superseded_by == "rear-x-plate"
    new = catalogue.pattern("rear-x-plate")
    assert "rear-v-brace" in new.provenance.supersedes
    assert catalogue.pattern("rear-v-brace").title in new.other_names
    assert atlas("supersede", "rear-x-plate", "rear-x-plate")[0] == 2
    code, _, err = atlas("supersede", "rear-x-plate", "rear-v-brace")
    assert code == 2 and "cannot be replaced" in err


def test_a_case_drafts_a_pattern_that_only_lacks_its_author(atlas, library, tmp_path):
    cases = Cases(library, "AB")
    case = cases.new("x")
    cases.note(case.id, 'odd "bent" strap, two bolts', about="strap")
    cases.suspect(case.id, "rear-diagonal-straps", 0.6, about="strap")
    cases.settle(case.id, "", about="strap", found="a spring steel strap", how="unbolt")
    path = tmp_path / "bent-strap.toml"
    line = ["add", str(path), "--from-case", case.id, "--about", "strap", "--zone", "rear-mount"]
    assert atlas(*line, "--by", "AB")[0] == 0
    pattern = read_record(path, Pattern)
    assert pattern.cues[0].see == 'odd "bent" strap, two bolts'
    assert pattern.look_alikes[0].id == "rear-diagonal-straps"
    assert atlas(*line)[0] == 2, "never over a file that is there"
    assert atlas("check", str(path))[0] == 0
    assert atlas("check", str(path), "--strict")[0] == 1


def test_likelihoods_are_learned_by_counting_and_never_silently(atlas, library):
    cases = Cases(library, "AB")
    for _ in range(3):
        case = cases.new("x")
        line = ["case", "note", case.id, "--look", "magnet=none", "--about", "brace"]
        assert atlas(*line)[0] == 0
        cases.settle(case.id, "rear-x-plate", about="brace", found="f", how="look")
    before = load(library).pattern("rear-x-plate").likelihoods["magnet"]
    code, out, _ = atlas("learn")
    assert code == 0 and "seen 3" in out and "Nothing was changed" in out
    assert load(library).pattern("rear-x-plate").likelihoods["magnet"] == before
    assert atlas("learn", "--write")[0] == 0
    after = load(library).pattern("rear-x-plate").likelihoods["magnet"]
    # Dirichlet mean: (worth x before + counts) / (worth + total).
    assert after["none"] == pytest.approx((WORTH * before["none"] + 3) / (WORTH + 3), abs=1e-3)
    assert sum(after.values()) == pytest.approx(1, abs=1e-3)
    # The same looks are not counted twice; one more is counted once.
    code, _, err = atlas("learn", "--write")
    assert code == 1 and "not counted yet" in err
    assert load(library).pattern("rear-x-plate").likelihoods["magnet"] == after
    case = cases.new("one more")
    assert atlas("case", "note", case.id, "--look", "magnet=none", "--about", "brace")[0] == 0
    cases.settle(case.id, "rear-x-plate", about="brace", found="f", how="look")
    code, out, _ = atlas("learn")
    assert code == 0 and "seen 1," in out


def test_words_noted_of_a_settled_structure_lead_to_its_pattern_next_time(atlas, library):
    cases = Cases(library, "AB")
    case = cases.new("x")
    cases.note(case.id, "a wobblefrob, rusty, four big bolts", about="brace")
    cases.note(case.id, "a gluppet on the other side", about="never settled")
    cases.settle(case.id, "rear-x-plate", about="brace", found="f", how="look")
    assert "wobblefrob" in atlas("learn")[1]
    assert not (library.patterns / "heard.toml").exists()
    assert atlas("learn", "--write")[0] == 0
    kept = (library.patterns / "heard.toml").read_text(encoding="utf-8")
    assert "wobblefrob" in kept and "gluppet" not in kept
    code, out, _ = atlas("find", "rusty wobblefrob with four bolts", "--json")
    assert code == 0 and json.loads(out)["matches"][0]["id"] == "rear-x-plate"
    assert atlas("learn", "--write")[0] == 1, "nothing new"
    assert atlas("check", "--no-presets")[0] == 0


def test_states_that_were_never_written_start_alike():
    catalogue = load(cached=False)
    silent = next(
        name for name in catalogue.observables
        if name not in catalogue.pattern("rear-x-plate").likelihoods
    )  # fmt: skip
    state = catalogue.observables[silent].states[0].id
    (lesson,) = lessons([("rear-x-plate", silent, state, "c/1")], catalogue)
    assert lesson.after[state] > lesson.before[state]
    assert sum(lesson.after.values()) == pytest.approx(1, abs=1e-3)


def test_look_that_is_no_answer_is_refused(atlas, library):
    case = Cases(library).new("x")
    for look in ("magnet=maybe", "magnetic=sticks", "magnet"):
        code, _, err = atlas("case", "note", case.id, "--look", look)
        assert code == 2 and "--look" in err
    assert Path(library.cases / f"{case.id}.json").exists()
