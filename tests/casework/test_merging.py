"""Merging one record: laws that any three-way merge must keep, on random records."""

import json

import rtoml
from hypothesis import given, settings
from hypothesis import strategies as st

from atlas.casework.merging import ABSENT, dump, merged, parse
from atlas.casework.storage import as_json
from atlas.catalogue.appending import as_toml
from atlas.catalogue.load import load

NAMES = st.sampled_from(["a", "b", "c"])
LEAF = st.one_of(
    st.integers(0, 3),
    st.sampled_from(["x", "y", "é"]),
    st.lists(st.sampled_from(["p", "q", "r"]), max_size=3),
)
RECORD = st.dictionaries(NAMES, LEAF, max_size=3)
TABLES = st.dictionaries(
    st.sampled_from(["evidence", "head"]), st.dictionaries(NAMES, RECORD, max_size=3)
)


ANY = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(st.characters(codec="utf-8")),
    lambda inner: (
        st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=4), inner, max_size=3)
    ),
    max_leaves=8,
)


@settings(max_examples=300, deadline=None)
@given(st.dictionaries(st.sampled_from(["a", "b", "é"]), ANY, max_size=3))
def test_records_are_set_out_as_the_standard_library_does(table):
    plain = json.dumps(table, sort_keys=True, ensure_ascii=False, indent=1).encode() + b"\n"
    assert as_json(table) == plain


def js(table):
    return dump("cases/x.json", table)


@settings(max_examples=300, deadline=None)
@given(TABLES, TABLES, TABLES)
def test_who_is_ours_makes_no_difference_and_merging_again_changes_nothing(base, a, b):
    o, left, right = js(base), js(a), js(b)
    once = merged("cases/x.json", o, left, right)
    assert once.content == merged("cases/x.json", o, right, left).content
    assert merged("cases/x.json", o, once.content, right).content == once.content
    assert merged("cases/x.json", o, left, once.content).content == once.content


@settings(max_examples=100, deadline=None)
@given(TABLES, TABLES)
def test_a_change_of_one_side_is_taken_as_it_is(base, a):
    o, left = js(base), js(a)
    for one in (merged("cases/x.json", o, left, o), merged("cases/x.json", o, o, left)):
        assert one.content == left
        assert not one.clashes


@settings(max_examples=200, deadline=None)
@given(TABLES, TABLES, TABLES)
def test_each_field_is_one_sides_and_no_version_is_lost(base, a, b):
    merge = merged("cases/x.json", js(base), js(a), js(b))
    result = parse("cases/x.json", merge.content)
    clashed = {clash.path: clash.values for clash in merge.clashes}

    def at(table, path):
        for name in path:
            table = table.get(name, ABSENT) if isinstance(table, dict) else ABSENT
        return table

    for path, values in clashed.items():
        assert at(a, path) in values and at(b, path) in values
        assert at(result, path) in values
    paths = {(t, k, f) for side in (a, b) for t, r in side.items() for k in r for f in r[k]}
    for path in paths:
        mine, yours, was, now = (at(side, path) for side in (a, b, base, result))
        covered = any(path[: len(p)] == p for p in clashed)
        if not covered and not isinstance(mine, list) and mine not in (was, yours):
            assert now == mine, path


def test_by_hand_two_fields_of_one_record():
    o = {"evidence": {"7": {"text": "bar", "unit": "mm", "value": 1}}}
    a = {"evidence": {"7": {"text": "thick bar", "unit": "mm", "value": 1}}}
    b = {"evidence": {"7": {"text": "bar", "unit": "mm", "value": 42}, "9": {"text": "new"}}}
    merge = merged("cases/x.json", js(o), js(a), js(b))
    assert json.loads(merge.content) == {
        "evidence": {"7": {"text": "thick bar", "unit": "mm", "value": 42}, "9": {"text": "new"}}
    }
    assert not merge.clashes


def test_by_hand_a_removed_record_that_the_other_side_changed_stays():
    o = {"evidence": {"7": {"text": "bar"}}}
    a: dict = {"evidence": {}}
    b = {"evidence": {"7": {"text": "thick bar"}}}
    merge = merged("cases/x.json", js(o), js(a), js(b))
    assert json.loads(merge.content) == b
    (clash,) = merge.clashes
    assert ABSENT in clash.values


def test_names_merge_as_a_set_unless_somebody_reordered_them():
    def people(*names):
        return js({"head": {"1": {"people": list(names)}}})

    merge = merged("cases/x.json", people("AB", "CD"), people("AB", "CD", "EF"), people("CD", "GH"))
    assert json.loads(merge.content)["head"]["1"]["people"] == ["CD", "EF", "GH"]
    swapped = merged("cases/x.json", people("A", "B"), people("B", "A"), people("A", "B", "C"))
    assert len(swapped.clashes) == 1


PLACE = "patterns/rear-mount/rear-x-plate.toml"


def plate(**changes):
    table = rtoml.loads(as_toml(load(cached=False).pattern("rear-x-plate")))
    for name, value in changes.items():
        table[name] = {**table[name], **value} if isinstance(value, dict) else value
    return dump(PLACE, table)


def test_a_pattern_merges_field_by_field_and_stays_a_pattern():
    a = plate(title="Crossed plate", likelihoods={"magnet": {"sticks": 0.5, "none": 0.5}})
    b = plate(summary="Another summary.", other_names=["saltire", "X plate"])
    merge = merged(PLACE, plate(), a, b)
    table = parse(PLACE, merge.content)
    assert table["title"] == "Crossed plate" and table["summary"] == "Another summary."
    assert table["likelihoods"]["magnet"] == {"sticks": 0.5, "none": 0.5}
    assert "saltire" in table["other_names"]
    assert merge.content == merged(PLACE, plate(), b, a).content


def test_likelihoods_of_one_observable_are_never_mixed():
    a = plate(likelihoods={"magnet": {"sticks": 0.9, "none": 0.1}})
    b = plate(likelihoods={"magnet": {"sticks": 0.2, "none": 0.8}})
    merge = merged(PLACE, plate(), a, b)
    assert sum(parse(PLACE, merge.content)["likelihoods"]["magnet"].values()) == 1.0
    assert [clash.path for clash in merge.clashes] == [("likelihoods", "magnet")]


def test_a_review_lapses_where_the_text_that_was_read_changed_meanwhile():
    draft = plate(provenance={"status": "draft"})
    seen = plate(provenance={"status": "reviewed", "reviewer": "CD"})
    reworded = plate(provenance={"status": "draft"}, title="Reworded")
    merge = merged(PLACE, draft, seen, reworded)
    provenance = parse(PLACE, merge.content)["provenance"]
    assert provenance["status"] == "draft" and "reviewer" not in provenance
    kept = merged(PLACE, draft, seen, plate(provenance={"status": "draft", "seen_in": ["c"]}))
    assert parse(PLACE, kept.content)["provenance"]["status"] == "reviewed"


def test_descriptions_that_either_side_added_are_all_kept_without_a_clash():
    place = "patterns/heard.toml"

    def heard(*texts):
        return dump(place, {"x": list(texts)})

    base, ours, theirs = heard("old", "wrong"), heard("old", "b", "wrong"), heard("a", "old")
    merge = merged(place, base, ours, theirs)
    assert parse(place, merge.content) == {"x": ["old", "a", "b"]}
    assert not merge.clashes
    assert merged(place, base, theirs, ours).content == merge.content
    assert merged(place, ours, merge.content, ours).content == merge.content
    assert merged(place, None, b"x = 3\n", heard("a")).clashes, "not descriptions: somebody chooses"
