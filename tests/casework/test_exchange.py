"""Cases, patterns and measurements out as CSV and JSON, and in again."""

import csv
import io
import json
import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from atlas.casework.calibration import statements
from atlas.casework.cases import Cases
from atlas.casework.exporting import as_csv, as_document, as_json
from atlas.casework.importing import plan_of
from atlas.casework.sheets import CASES, MEASUREMENTS, SHEETS, as_written, harmless, read_sheet
from atlas.catalogue.appending import change_pattern
from atlas.catalogue.library import Library
from atlas.catalogue.load import load
from atlas.errors import BadInput, Conflict, Refused


@pytest.fixture(scope="module")
def catalogue():
    return load(None)


def another(tmp_path, name="other"):
    (tmp_path / name).mkdir()
    return Cases(Library(tmp_path / name), "CD")


@pytest.fixture
def cases(library):
    mine = Cases(library, "AB")
    name = mine.new("Van, on lift 2", vehicle='a "van"', place="bay 1", people=("CD",)).id
    mine.suspect(name, "rear-x-plate", 0.7, about="brace", why="four feet")
    mine.suspect(name, "rear-brace-skid", 1 / 3, about="brace")
    mine.settle(name, "rear-x-plate", about="brace", found="four feet,\nM12", how="unbolt")
    mine.settle(name, "", about="bar", found="a tow bar", how="look")
    mine.note(name, "=HYPERLINK(1)", about="brace", kind="point", value=-2.5, unit="mm")
    mine.note(name, "with bolts", about="brace", kind="weight", value=1 / 3, unit="kg")
    mine.new("bare")
    return mine


def all_of(cases):
    return [cases.get(row.id) for row in cases.rows(cached=False)[0]]


def take(path, cases, catalogue, **options):
    plan = plan_of(path, cases, catalogue, **options)
    assert not plan.refused, [str(e) for e in plan.refused]
    plan.write()
    return plan


# ----------------------------------------------------------------------------------- the format
def rfc4180(text):
    """Records by the grammar of RFC 4180, section 2; anything else is an error."""
    field = r'(?:"((?:[^"]|"")*)"|([^",\r\n]*))'
    records, record, at = [], [], 0
    while at < len(text):
        found = re.compile(field).match(text, at)
        quoted, bare = found.groups()
        record.append(bare if quoted is None else quoted.replace('""', '"'))
        at = found.end()
        if text[at : at + 2] == "\r\n":
            records.append(record)
            record, at = [], at + 2
        elif text[at : at + 1] == ",":
            at += 1
        else:
            raise AssertionError(f"neither a comma nor CRLF at {at}: {text[at : at + 20]!r}")
    assert not record
    assert len({len(one) for one in records}) == 1  # section 2, rule 4
    return records


@pytest.mark.parametrize("kind", ["cases", "measurements", "patterns"])
def test_tables_are_what_rfc_4180_says_and_python_reads_the_same(cases, catalogue, kind):
    records = catalogue.patterns.values() if kind == "patterns" else all_of(cases)
    text = as_csv(kind, records).decode("utf-8")
    by_grammar = rfc4180(text)
    assert by_grammar == list(csv.reader(io.StringIO(text, newline=""), strict=True))
    assert by_grammar[0] == list(SHEETS[kind].columns)
    rows = {"cases": 4, "measurements": 2, "patterns": len(catalogue.patterns)}[kind]
    assert len(by_grammar) == 1 + rows


any_text = st.text(st.characters(exclude_categories=("Cs",)), max_size=30)


begun = st.sampled_from(
    ["", "=", "+", "-", "@", "\t", "\r", "\0", "＝", "＋", "－", "＠", "'", "'=", "''-"]
)


@given(st.builds(str.__add__, begun, any_text))
def test_no_cell_is_a_formula_and_each_comes_back(text):
    """First signs that are escaped: OWASP ASVS 5.0, 1.2.10 (= + - @ tab NUL)."""
    cell = harmless(text)
    assert not cell.startswith(("=", "+", "-", "@", "\t", "\r", "\0", "＝", "＋", "－", "＠"))
    assert not any(sign in cell for sign in "\x1b\x07\x9b\u202e\0")
    if cell.lstrip("'") == text.lstrip("'"):  # nothing in it had to be written out
        assert as_written(cell) == text


def test_numbers_stay_numbers(cases):
    rows = list(csv.DictReader(io.StringIO(as_csv("measurements", all_of(cases)).decode())))
    assert [row["value"] for row in rows] == ["-2.5", repr(1 / 3)]
    assert rows[0]["text"] == "'=HYPERLINK(1)"


# ---------------------------------------------------------------------------------- round trips
def test_json_loses_nothing(cases, catalogue, tmp_path):
    other = another(tmp_path)
    path = tmp_path / "cases.json"
    path.write_bytes(as_json("cases", all_of(cases)))
    plan = take(path, other, catalogue)
    assert len(plan.steps) == 2
    for file in cases.library.cases.glob("*.json"):
        assert (other.library.cases / file.name).read_bytes() == file.read_bytes()
    plan = take(path, other, catalogue)
    assert (len(plan.steps), len(plan.there_already)) == (0, 2)


def test_a_table_comes_back_as_the_same_table(cases, catalogue, tmp_path):
    other = another(tmp_path)
    path = tmp_path / "cases.csv"
    path.write_bytes(as_csv("cases", all_of(cases)))
    take(path, other, catalogue)
    assert as_csv("cases", all_of(other)) == path.read_bytes()
    plan = take(path, other, catalogue)
    assert (len(plan.steps), len(plan.there_already)) == (0, 2)


def test_what_a_table_says_was_believed_counts_as_said_before_its_verdict(
    cases, catalogue, tmp_path
):
    other = another(tmp_path)
    path = tmp_path / "cases.csv"
    path.write_bytes(as_csv("cases", all_of(cases)))
    take(path, other, catalogue)

    def told(one):
        return {(row.about, row.pattern, row.probability) for row in statements(all_of(one))}

    assert told(other) == told(cases) != set()


def test_measurements_go_to_their_cases_once(cases, catalogue, tmp_path):
    table, document = tmp_path / "m.csv", tmp_path / "m.json"
    table.write_bytes(as_csv("measurements", all_of(cases)))
    document.write_bytes(as_json("measurements", all_of(cases)))
    for path in (table, document):
        plan = take(path, cases, catalogue)
        assert (len(plan.steps), len(plan.there_already)) == (0, 2)
    name = next(row.id for row in cases.rows(cached=False)[0] if "bare" in row.id)
    table.write_text(f"case;value;unit;text\n{name[-4:]};12,5;mm;gauge\n{name};3;kg;arm\n")
    take(table, cases, catalogue)
    found = list(cases.get(name).evidence.values())
    assert [(e.kind, e.value, e.unit, e.text, e.by) for e in found] == [
        ("point", 12.5, "mm", "gauge", "AB"),
        ("weight", 3.0, "kg", "arm", "AB"),
    ]
    cases.undo(name)  # one change for all of them
    assert not cases.get(name).evidence


def test_a_reading_that_somebody_adds_meanwhile_is_not_overwritten(cases, catalogue, tmp_path):
    path = tmp_path / "m.csv"
    name = next(row.id for row in cases.rows(cached=False)[0] if "bare" in row.id)
    path.write_text(f"case,key,value,unit,text\n{name},7,12.5,mm,mine\n{name},,3,mm,too\n")
    mine, theirs = (plan_of(path, cases, catalogue) for _ in range(2))
    theirs.write()
    before = cases.path(name).read_bytes()
    with pytest.raises(Conflict, match="meanwhile"):
        mine.write()
    assert cases.path(name).read_bytes() == before
    assert [e.text for e in cases.get(name).evidence.values()] == ["mine", "too"]


clean = st.text(
    st.characters(min_codepoint=32, max_codepoint=0x2FF, exclude_categories=("Cs", "Cc", "Cf")),
    min_size=1, max_size=30,
).filter(str.strip)  # fmt: skip


@settings(max_examples=25, deadline=None)
@given(
    titles=st.lists(clean, min_size=1, max_size=3),
    says=st.lists(st.tuples(clean, st.floats(0, 1), clean), max_size=4),
)
def test_any_cases_survive_both_formats(tmp_path_factory, catalogue, titles, says):
    folder = tmp_path_factory.mktemp("any")
    mine, other, third = (another(folder, name) for name in "abc")
    for title in titles:
        name = mine.new(title, place=title).id
        for about, probability, why in says:
            mine.suspect(name, "rear-x-plate", probability, about=about, why=why)
    (folder / "x.csv").write_bytes(as_csv("cases", all_of(mine)))
    (folder / "x.json").write_bytes(as_json("cases", all_of(mine)))
    take(folder / "x.csv", other, catalogue)
    assert as_csv("cases", all_of(other)) == (folder / "x.csv").read_bytes()
    take(folder / "x.json", third, catalogue)
    assert all_of(third) == all_of(mine)


def test_patterns_come_in_as_drafts_with_those_they_name(catalogue, tmp_path):
    other = another(tmp_path)
    said = as_document("patterns", [catalogue.patterns["rear-x-plate"]] * 2)
    first, second = (json.loads(json.dumps(one)) for one in said["patterns"])
    first["id"], second["id"] = "own-plate", "own-brace"
    first["look_alikes"].append({"id": "own-brace", "separates": "its feet"})
    first["provenance"] |= {"status": "reviewed", "reviewed": "2026-01-01", "reviewer": "CD"}
    path = tmp_path / "p.json"
    path.write_text(json.dumps(said | {"patterns": [first, second, said["patterns"][0]]}))
    plan = take(path, other, catalogue)
    assert plan.there_already == ["rear-x-plate"]
    mine = load(other.library, cached=False).pattern("own-plate")
    assert (mine.provenance.status, mine.provenance.author) == ("draft", "CD")
    assert mine.provenance.reviewer == ""
    first["title"] = "Another"
    path.write_text(json.dumps(said | {"patterns": [first]}))
    plan = plan_of(path, other, load(other.library, cached=False))
    assert "another pattern of this id" in str(plan.refused[0])


def test_a_pattern_that_somebody_adds_meanwhile_is_not_overwritten(catalogue, tmp_path):
    other = another(tmp_path)
    said = as_document("patterns", [catalogue.patterns["rear-x-plate"]])
    mine = json.loads(json.dumps(said["patterns"][0])) | {"id": "own-plate"}
    path = tmp_path / "p.json"
    path.write_text(json.dumps(said | {"patterns": [mine]}))
    plan = plan_of(path, other, catalogue)
    theirs = replace(catalogue.patterns["rear-x-plate"], id="own-plate", title="Theirs")
    change_pattern(other.library, None, theirs)
    with pytest.raises(Conflict, match="somebody changed it"):
        plan.write()
    assert load(other.library, cached=False).pattern("own-plate") == theirs


# ------------------------------------------------------------------------------------ refusals
HEAD = "title,structure,pattern,probability,verdict,found,how,date,opened,people,case,why,by"
COLUMNS = HEAD.split(",")


@pytest.mark.parametrize(
    ("cells", "said"),
    [
        ({"title": ""}, "line 2: title: nothing was given"),
        ({"title": "x" * 300}, "title: 300 characters"),
        ({"title": "a\0b"}, "title: holds a NUL"),
        ({"probability": "lots"}, "probability: cannot read 'lots'; give 0 to 1"),
        ({"probability": "1.2"}, "probability: 1.2 is no probability"),
        ({"probability": "nan"}, "probability"),
        ({"probability": ""}, "probability"),
        ({"pattern": "rear-x-plat"}, "pattern: no pattern 'rear-x-plat'; did you mean"),
        ({"pattern": ""}, "pattern: no pattern"),
        ({"structure": ""}, "structure: nothing was given"),
        ({"verdict": "nothing"}, "verdict: no pattern 'nothing'"),
        ({"verdict": "none"}, "found: nothing was given"),
        ({"verdict": "none", "found": "x", "how": "smell"}, "how: no way 'smell'; say look"),
        ({"date": "25.11.2026"}, "date: '25.11.2026' is no date"),
        ({"opened": "yesterday"}, "opened: 'yesterday' is no time"),
        ({"people": "AB," + "x" * 50}, "people: 50 characters"),
        ({"case": "../evil"}, "case: '../evil' is no case id"),
        ({"case": "CON"}, "case: 'CON' is no case id"),
    ],
    ids=lambda value: str(value)[:40],
)
def test_a_bad_row_is_named_by_line_and_column(cases, catalogue, tmp_path, cells, said):
    good = dict.fromkeys(COLUMNS, "") | {
        "title": "van", "structure": "brace", "pattern": "rear-x-plate", "probability": "70%",
    }  # fmt: skip
    path = tmp_path / "x.csv"
    with path.open("w", newline="", encoding="utf-8") as file:
        writer = csv.DictWriter(file, COLUMNS)
        writer.writeheader()
        writer.writerows([good | cells, good | {"title": "good"}])
    plan = plan_of(path, cases, catalogue)
    assert [said in str(error) for error in plan.refused] == [True], plan.refused
    assert [step.name[11:15] for step in plan.steps] == ["good"]


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "no header line"),
        (b"\r\n", "no header line"),
        (b"title,titel\r\n", "did you mean 'title'"),
        (b"title,title\r\n", "is there twice"),
        (b"vehicle,place\r\n", "no column 'title'"),
        (b"case,value\r\n", "no column 'unit'"),
        (b"title,place\r\nx\r\n", "line 2: 1 cells where the header has 2"),
        (b'title,place\r\n"x\r\n', "line 2"),
        (b'title,place\r\n"x"y,z\r\n', "line 2"),
        (b"title\r\n\xff\xfe\r\n", "byte 7 is not UTF-8"),
        ("title\r\nx\r\n".encode("utf-16"), "not UTF-8; save it as CSV in UTF-8"),
        (b"PK\x03\x04", "no column"),
        (b"id,title,zone,summary\r\n", "patterns do not come in as a table"),
        (b"{", "not JSON"),
        (b"[1]", "no document"),
        (b"{}", "no document"),
        (b'{"kind": "cases"}', "version None"),
        (b'{"kind": "cases", "version": 1}', "cases is no list"),
        (b'{"kind": "cars", "version": 1}', "no document"),
        (b'{"kind": "cases", "version": NaN}', "not JSON"),
        (b"[" * 100_000, "not JSON"),
        (b'{"kind": "measurements", "version": 1, "measurements": [{"x": 1}]}', "no field 'x'"),
        (b'{"kind": "measurements", "version": 1, "measurements": [1]}', "is no object"),
    ],
    ids=lambda value: repr(value)[:40],
)
def test_a_file_of_another_kind_is_one_line(cases, catalogue, tmp_path, content, said):
    path = tmp_path / "x.csv"
    path.write_bytes(content)
    with pytest.raises(BadInput, match=re.escape(said)) as caught:
        plan_of(path, cases, catalogue)
    assert "x.csv" in str(caught.value)


@pytest.mark.parametrize(
    ("row", "said"),
    [
        (",1,mm,x,", "case: '' is no case id"),
        ("nosuchcase,1,mm,x,", "case: no case"),
        ("{id},much,mm,x,", "value: 'much' is no number"),
        ("{id},inf,mm,x,", "value: 'inf' is no reading"),
        ("{id},1,,x,", "unit: cannot read"),
        ("{id},1,m m,x,", "unit: cannot read"),
        ("{id},1,mm,,", "text: nothing was given"),
        ("{id},1,mm,x,-3", "key: '-3' is no record's number"),
        ("{id},1,mm,x,9007199254740993", "key"),
        ("{id},1,mm,x,{key}", "another reading of this number"),
    ],
)
def test_a_bad_reading_is_named(cases, catalogue, tmp_path, row, said):
    case = next(case for case in all_of(cases) if case.evidence)
    path = tmp_path / "m.csv"
    filled = row.format(id=case.id, key=next(iter(case.evidence)))
    path.write_text(f"case,value,unit,text,key\n{filled}\n")
    plan = plan_of(path, cases, catalogue)
    assert not plan.steps
    line = str(plan.refused[0])
    assert line.startswith("line 2: ") and said in line


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda c: c["case"].update(title=5), "title"),
        (lambda c: c["case"].update(id="../x"), "no case id"),
        (lambda c: c["case"].pop("id"), "id"),
        (lambda c: c["suspicion"][0].update(probability=3), "probability"),
        (lambda c: c["suspicion"][0].update(key="x"), "key"),
        (lambda c: c["suspicion"].append(c["suspicion"][0]), "twice"),
        (lambda c: c.update(evidence={}), "evidence is no list"),
        (lambda c: c["case"].update(title="a\0b"), "NUL"),
        (lambda c: c["case"].update(place="x" * 200_000), "200,000 characters"),
        (lambda c: c["case"].update(place="another"), "another state"),
    ],
)
def test_a_bad_case_of_a_document_is_named(cases, catalogue, tmp_path, change, said):
    document = as_document("cases", all_of(cases))
    place = next(n for n, one in enumerate(document["cases"]) if one["suspicion"])
    change(document["cases"][place])
    path = tmp_path / "x.json"
    path.write_text(json.dumps(document))
    plan = plan_of(path, cases, catalogue)
    assert len(plan.refused) == 1
    assert said in str(plan.refused[0]) and f"cases[{place}]" in str(plan.refused[0])


def test_rows_of_one_case_agree(cases, catalogue, tmp_path):
    path = tmp_path / "x.csv"
    path.write_text("case,title,place\n2026-01-01-x,a,bay 1\n2026-01-01-x,a,bay 2\n")
    plan = plan_of(path, cases, catalogue)
    assert "line 3: place: differs from the first row" in str(plan.refused[0])


def test_spreadsheets_of_other_countries_are_read(tmp_path):
    content = "\ufefftitle;place\r\nVan;Köln, bay 1\r\n".encode()
    sheet, rows = read_sheet(content, "x")
    assert (sheet, rows[0]["place"]) == (CASES, "Köln, bay 1")
    sheet, rows = read_sheet(b"case\tvalue\tunit\nx\t1,5\tmm\n", "x")
    assert (sheet, rows[0]["value"], rows[0].at) == (MEASUREMENTS, "1,5", "line 2")


def test_where_the_third_cannot_be_written_the_first_two_are_taken_back(
    cases, catalogue, tmp_path, monkeypatch
):
    other = another(tmp_path)
    path = tmp_path / "x.csv"
    path.write_text("title\na\nb\nc\n")
    plan = plan_of(path, other, catalogue)
    real, calls = other.take_in, []

    def full(head, records):
        calls.append(head)
        if len(calls) == 3:
            raise Refused("the disk is full", "x")
        return real(head, records)

    monkeypatch.setattr(other, "take_in", full)
    with pytest.raises(Refused, match="full"):
        plan.write()
    assert not list(other.library.cases.glob("*.json"))


def test_a_table_from_ten_thousand_rows_is_read_at_once(cases, catalogue, tmp_path):
    """A row costs well under a millisecond: nothing in it looks through the whole again."""
    import time

    path = tmp_path / "x.csv"
    path.write_text("title\n" + "".join(f"case {n}\n" for n in range(10_000)))
    start = time.perf_counter()
    plan = plan_of(path, cases, catalogue)
    assert len(plan.steps) == 10_000
    assert time.perf_counter() - start < 10


# ------------------------------------------------------------------------------------ commands
def test_the_commands_export(atlas, cases, tmp_path):
    code, out, err = atlas("export", "cases")
    assert (code, err) == (0, "")
    assert out.count("\n") >= 5 and out.startswith("case,title")
    code, out, _ = atlas("export", "measurements", "--json")
    assert json.loads(out)["kind"] == "measurements"
    for name in ("c.csv", "c.json"):
        path = tmp_path / name
        code, out, _ = atlas("export", "cases", "van", "--out", str(path), "--json")
        assert (code, json.loads(out)["records"]) == (0, 1)
        assert path.read_bytes()[:1] == (b"c" if name == "c.csv" else b"{")
    assert atlas("export", "cars")[0] == 2
    assert atlas("export", "cases", "nosuch")[0] == 1
    assert atlas("export", "cases", "--json", "--format", "csv")[0] == 2
    assert atlas("export", "cases", "--out", str(tmp_path))[0] == 2
    assert atlas("export", "cases", "--out", str(tmp_path / "no" / "x.csv"))[0] == 2


def test_the_command_takes_in_all_or_nothing(atlas, library, tmp_path):
    path = tmp_path / "x.csv"
    path.write_text("title,date\na,2026-01-01\nb,never\n,\n")
    code, out, err = atlas("import", str(path))
    assert (code, out) == (2, "")
    assert "line 3: date: 'never' is no date" in err and "--keep-good" in err
    assert not library.cases.exists()
    code, out, err = atlas("import", str(path), "--dry-run", "--keep-good", "--json")
    assert code == 1 and json.loads(out)["dry_run"] and not library.cases.exists()
    code, out, err = atlas("import", str(path), "--keep-good", "--json")
    said = json.loads(out)
    assert code == 1 and len(said["added"]) == 1 and len(said["refused"]) == 1
    assert len(list(library.cases.glob("*.json"))) == 1
    assert atlas("import", str(tmp_path / "none"))[0] == 1
    assert atlas("import", str(tmp_path))[0] == 2


def test_another_state_is_merged_on_request(atlas, cases, tmp_path):
    path = tmp_path / "c.json"
    atlas("export", "cases", "van", "--out", str(path))
    name = cases.id_of("van")
    cases.note(name, "seen here since")
    assert atlas("import", str(path))[0] == 2
    assert atlas("import", str(path), "--merge")[0] == 0
    assert "seen here since" in [e.text for e in cases.get(name).evidence.values()]
    atlas("export", "cases", "van", "--out", str(path))
    said = json.loads(atlas("import", str(path), "--merge", "--json")[1])
    assert not said["added"], "nothing was left to merge"
