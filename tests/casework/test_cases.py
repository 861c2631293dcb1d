import json
from datetime import UTC, datetime

import pytest

from atlas.casework.cases import Cases
from atlas.casework.model import Edit
from atlas.casework.undoing import taken_back
from atlas.errors import BadInput, Conflict, Damaged, NotThere

NOON = datetime(2026, 3, 1, 12, tzinfo=UTC)


@pytest.fixture
def cases(library):
    return Cases(library, "AB", clock=lambda: NOON)


@pytest.fixture
def case(cases):
    return cases.new("Lift 2: [red] van", vehicle="van", place="bay 2", people=("CD",))


def test_a_case_comes_back_as_it_was_written(cases, case):
    cases.note(case.id, "thick bar", about="front  bar")
    cases.suspect(case.id, "rear-x-plate", 0.4, about="front bar", why="four feet")
    cases.suspect(case.id, "rear-x-plate", 0.7, about="front bar")
    found = cases.get(case.id)
    assert found.head.people == ("CD", "AB")
    assert found.structures == ("front bar",)
    assert found.beliefs("front bar")["rear-x-plate"].probability == 0.7
    assert [s.probability for s in found.suspicion.values()] == [0.4, 0.7]
    assert next(iter(found.history.values())).what == "opened the case"
    assert found.status == "open"


def test_a_verdict_settles_it_and_undo_takes_it_back(cases, case):
    cases.suspect(case.id, "rear-x-plate", 0.4, about="brace")
    settled = cases.settle(case.id, "rear-x-plate", about="brace", found="four feet", how="unbolt")
    assert settled.status == "settled"
    once = cases.undo(case.id)
    assert once.status == "open"
    twice = cases.undo(case.id)
    assert not twice.suspicion
    with pytest.raises(NotThere, match="nothing is left"):
        cases.undo(case.id)
    assert len(cases.get(case.id).history) == 5, "the history keeps what was taken back"


def test_two_suspected_structures_need_two_verdicts(cases, case):
    for about in ("brace", "bar"):
        cases.suspect(case.id, "rear-x-plate", 0.4, about=about)
    half = cases.settle(case.id, "", about="brace", found="a cover", how="look")
    assert half.status == "open"


def test_a_correction_needs_the_state_that_was_read(cases, case):
    cases.note(case.id, "42 mm")
    seen = cases.get(case.id)
    key = next(iter(seen.evidence))
    cases.note(case.id, "somebody else's")
    with pytest.raises(Conflict, match="AB"):
        cases.replace(case.id, "evidence", key, None, revision=seen.revision)
    assert len(cases.get(case.id).evidence) == 2
    now = cases.get(case.id)
    left = cases.replace(case.id, "evidence", key, None, revision=now.revision)
    assert [one.text for one in left.evidence.values()] == ["somebody else's"]
    assert len(cases.undo(case.id).evidence) == 2


@pytest.mark.parametrize(
    "text",
    ["", "   ", "a\0b", "half \ud800", "x" * 100_001],
    ids=["no", "blank", "nul", "half", "long"],
)
def test_text_that_cannot_be_kept_is_refused(cases, case, text):
    with pytest.raises(BadInput):
        cases.note(case.id, text)
    assert not cases.get(case.id).evidence


@pytest.mark.parametrize("name", ["../x", "a/b", "", "A", "a" * 90, "a--b", ".hidden"])
def test_an_id_cannot_leave_the_folder(cases, name):
    with pytest.raises(BadInput):
        cases.get(name)


@pytest.mark.parametrize("probability", [-0.1, 1.1, float("nan")])
def test_a_probability_outside_is_refused(cases, case, probability):
    with pytest.raises(BadInput):
        cases.suspect(case.id, "rear-x-plate", probability, about="x")


def test_a_missing_case_offers_the_nearest(cases, case):
    with pytest.raises(NotThere, match=case.id):
        cases.get(case.id[:-1])


@pytest.mark.parametrize(
    "damage",
    [
        "",
        "{",
        "[]",
        '{"head": 3}',
        '{"head": {}}',
        '{"head": {"1": {"id": 3}}}',
        '{"head": {"one": {}}}',
        "[" * 100_000,
    ],
    ids=["empty", "half", "list", "number", "no-head", "bad-head", "bad-key", "deep"],
)
def test_a_damaged_file_is_named_left_alone_and_the_rest_opens(cases, case, damage):
    other = cases.new("other")
    path = cases.path(case.id)
    path.write_text(damage)
    with pytest.raises(Damaged) as caught:
        cases.get(case.id)
    assert case.id in str(caught.value)
    with pytest.raises(Damaged):
        cases.note(case.id, "more")
    rows, problems = cases.rows()
    assert [row.id for row in rows] == [other.id]
    assert len(problems) == 1
    assert path.read_text() == damage


def test_a_photo_is_kept_by_path_and_hash(cases, case, tmp_path):
    photo = tmp_path / "p.jpg"
    photo.write_bytes(b"abc")
    found = cases.note(case.id, "the bar", photo=str(photo))
    (evidence,) = found.evidence.values()
    # FIPS 180-4's own example: SHA-256 of "abc".
    assert evidence.sha256 == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    with pytest.raises(BadInput, match=r"gone\.jpg"):
        cases.note(case.id, "x", photo=str(tmp_path / "gone.jpg"))


def test_the_file_merges_well(cases, case):
    cases.note(case.id, "größer")
    text = cases.path(case.id).read_text(encoding="utf-8")
    assert "größer" in text
    tables = json.loads(text)
    assert all(list(rows) == sorted(rows) for rows in tables.values())
    assert max(len(line) for line in text.splitlines()) < 200
    assert all(int(key) < 2**53 for rows in tables.values() for key in rows)


def test_newest_cases_come_first(library):
    for hour in (1, 3, 2):
        clock = datetime(2026, 3, 1, hour, tzinfo=UTC)
        Cases(library, clock=lambda clock=clock: clock).new(f"at {hour}")
    rows, _ = Cases(library).rows()
    assert [row.title for row in rows] == ["at 3", "at 2", "at 1"]


def test_two_verdicts_on_one_structure_are_both_told(library):
    case = Cases(library, "AB").new("x")
    Cases(library, "AB").settle(case.id, "rear-x-plate", about="brace", found="four", how="cut")
    Cases(library, "CD").settle(case.id, "rear-v-brace", about="brace", found="two", how="look")
    Cases(library, "CD").settle(case.id, "rear-v-brace", about="brace", found="two", how="cut")
    found = Cases(library).get(case.id)
    assert found.verdict_on("brace").pattern == "rear-v-brace"
    (before,) = found.verdicts("brace").overruled
    assert (before.verdict.by, before.verdict.pattern, before.choice) == (
        "AB",
        "rear-x-plate",
        None,
    )
    assert found.in_dispute == () and found.status == "settled"  # he had read what he corrects
    from atlas.catalogue.load import load
    from atlas.reports.case import case_report

    for form in ("html", "md"):
        assert "AB settled it before" in case_report(found, load(library), form, library).decode()


def test_a_percentage_without_its_sign_is_told_how_to_write_it():
    from atlas.casework.readings import read_probability

    with pytest.raises(BadInput, match="How likely: 80 is no probability; write 80%"):
        read_probability("80", "How likely")
    with pytest.raises(BadInput, match="give 0 to 1, or 70%"):
        read_probability("800")


def test_taking_back_goes_field_by_field():
    def left(before, after, now):
        tables = {"head": {"1": now} if now is not None else {}}
        return taken_back(Edit("head", 1, before, after), tables).after

    # What the change set goes back, what it added goes, what others did since stays.
    assert left({"a": 1}, {"a": 2, "b": 3}, {"a": 2, "b": 3, "c": 4}) == {"a": 1, "c": 4}
    assert left({"a": 1}, {"a": 2}, {"a": 5}) == {"a": 5}
    assert left(None, {"a": 1}, {"a": 1}) is None
    assert left({"a": 1}, None, None) == {"a": 1}
    assert left({"a": 1}, None, {"a": 7}) == {"a": 7}, "somebody brought it back"
