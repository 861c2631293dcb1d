"""Drafts: any field may be missing or wrong, and nothing that was written is lost."""

from datetime import date

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from atlas.casework.catching_up import catch_up
from atlas.catalogue.appending import (
    change_pattern,
    differences,
    drafted,
    named_in_return,
    reviewed,
    superseded,
)
from atlas.catalogue.checking import check_pattern, check_together
from atlas.catalogue.draft_faults import as_far_as_read, faults_of, pattern_of
from atlas.catalogue.drafting import as_new, as_variant, described
from atlas.catalogue.drafts import Drafts, id_from, undecided
from atlas.catalogue.load import load
from atlas.catalogue.model import Cue, Pattern
from atlas.errors import BadInput, Conflict, NotThere

TODAY = date(2026, 11, 25)
SHIPPED = load(cached=False)
PLATE = SHIPPED.pattern("rear-x-plate")


def table(pattern):
    return msgspec.to_builtins(pattern, builtin_types=(date,))


@pytest.fixture
def drafts(library):
    return Drafts(library)


def begun(drafts):
    return drafts.begin(described("Odd strap", "rear-mount", "a strap with one twist"))


def test_a_draft_comes_back_as_it_was_written(drafts):
    name = begun(drafts)
    content = drafts.read(name)
    assert name == "odd-strap" and undecided(content)
    now = drafts.change(name, content, as_new(content, "AB", TODAY))
    assert not undecided(now) and now == drafts.read(name)
    assert now["provenance"] == {"status": "draft", "written": TODAY, "author": "AB"}


def test_two_who_write_one_draft_lose_nothing(drafts):
    name = begun(drafts)
    seen = drafts.read(name)
    drafts.change(name, seen, {**seen, "summary": "from one"})
    with pytest.raises(Conflict, match="somebody else changed"):
        drafts.change(name, seen, {**seen, "summary": "from the other"})
    assert drafts.read(name)["summary"] == "from one"


def test_a_draft_is_never_put_over_another(drafts):
    begun(drafts)
    with pytest.raises(BadInput, match="in work already"):
        begun(drafts)


@pytest.mark.parametrize("title", ["", "  ", "\0", "…", "日本"])
def test_a_title_without_letters_for_an_id_is_refused(drafts, title):
    with pytest.raises(BadInput):
        drafts.begin(described(title, "rails", "seen"))


@given(st.text(max_size=200))
def test_every_id_is_one_that_the_model_takes(title):
    name = id_from(title)
    if name:
        assert msgspec.convert({**table(PLATE), "id": name}, Pattern).id == name


def test_text_that_is_no_toml_names_the_line_and_changes_nothing(drafts):
    name = begun(drafts)
    before = drafts.text(name)
    with pytest.raises(BadInput, match="line 2"):
        drafts.rewrite(name, before, 'id = "odd-strap"\ntitle = "no end')
    assert drafts.text(name) == before
    drafts.path(name).write_text("title = [", encoding="utf-8")
    ((listed, fault),) = drafts.every()
    assert listed == name and isinstance(fault, BadInput)
    assert drafts.text(name) == "title = ["


def test_what_is_dropped_is_gone_with_what_it_began_from(drafts):
    name = drafts.begin(table(PLATE), PLATE)
    assert drafts.before(name) == PLATE
    drafts.drop(name)
    assert [one.name for one in drafts.folder.iterdir() if one.is_file()] == []
    with pytest.raises(NotThere):
        drafts.read(name)


# --------------------------------------------------------------------------------------- faults
def test_a_shipped_pattern_has_the_faults_that_a_check_finds():
    content = table(PLATE)
    assert faults_of(content, SHIPPED) == list(check_pattern(PLATE, SHIPPED))
    assert pattern_of(content, "x") == as_far_as_read(content) == PLATE


@pytest.mark.parametrize("field", sorted(table(PLATE)))
def test_a_missing_or_wrong_field_is_named_and_the_others_are_still_read(field):
    whole = table(PLATE)
    without = {key: value for key, value in whole.items() if key != field}
    named = {fault.field.split("[")[0].split(".")[0] for fault in faults_of(without, SHIPPED)}
    needed = [one for one in msgspec.structs.fields(Pattern) if one.required]
    assert (field in {one.name for one in needed}) == any(
        fault.field == field and fault.what == "is missing" for fault in faults_of(without, SHIPPED)
    )
    wrong = {**whole, field: 7}
    assert any(one.field == field and one.severe for one in faults_of(wrong, SHIPPED))
    read = as_far_as_read(wrong)
    kept = "title" if field != "title" else "summary"
    assert getattr(read, kept) == getattr(PLATE, kept)
    assert named <= {field, "sketches", "cues", "texts"}, "nothing else is blamed"


def test_one_wrong_entry_is_named_by_its_place_and_the_others_are_read():
    whole = table(PLATE)
    cues = [*whole["cues"][:2], {"see": "", "look": "below", "telling": "weak"}, {"see": "x"}]
    faults = faults_of({**whole, "cues": cues}, SHIPPED)
    assert {(one.field, one.what) for one in faults if one.severe} == {
        ("cues[2].see", "is empty"),
        ("cues[3].look", "is missing"),
    }
    assert as_far_as_read({**whole, "cues": cues}).cues == PLATE.cues[:2]


junk = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=8),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(st.sampled_from(["see", "look", "id", "shapes", "x"]), inner, max_size=3)
    ),
    max_leaves=6,
)


@given(st.dictionaries(st.sampled_from([*sorted(table(PLATE)), "odd"]), junk, max_size=5))
def test_no_table_whatever_breaks_the_judging(content):
    faults = faults_of(content, SHIPPED)
    assert any(one.severe for one in faults)
    as_far_as_read(content)


# ------------------------------------------------------------------------------------- variants
def variant():
    return as_variant(described("Twisted X plate", "rails", "one arm twisted"), PLATE, "AB", TODAY)


def test_a_variant_starts_from_its_origin_and_says_where_it_must_differ():
    content = variant()
    assert content["zone"] == PLATE.zone and content["provenance"]["variant_of"] == PLATE.id
    assert content["cues"][0]["see"] == "one arm twisted"
    assert len(content["cues"]) == len(PLATE.cues) + 1
    severe = {one.field for one in faults_of(content, SHIPPED) if one.severe}
    assert severe == {"look_alikes[0].separates", "likelihoods"}
    content["look_alikes"][0]["separates"] = "the twist"
    faults = faults_of(content, SHIPPED)
    assert {one.field for one in faults if one.severe} == {"likelihoods"}, (
        "no look tells them apart"
    )
    thin = {one.field for one in faults if one.what == f"as it stands in {PLATE.id}"}
    assert thin == {"summary", "does", "rationale"}


def complete(content):
    content["look_alikes"][0]["separates"] = "the twist"
    content["likelihoods"]["magnet"] = {
        key: 1 / len(content["likelihoods"]["magnet"]) for key in content["likelihoods"]["magnet"]
    }
    return pattern_of(content, "x")


def test_appended_with_its_name_in_return_the_whole_catalogue_is_in_order(library):
    pattern = drafted(complete(variant()), "AB", TODAY)
    change_pattern(library, None, pattern)
    catalogue = load(library)
    back = named_in_return(pattern, catalogue)
    assert {before.id for before, _ in back} == {one.id for one in pattern.look_alikes}
    for before, after in back:
        assert after.look_alikes[-1].id == pattern.id
        change_pattern(library, before, drafted(after, "AB", TODAY))
    catalogue = load(library)
    assert named_in_return(catalogue.pattern(pattern.id), catalogue) == []
    assert [str(one) for one in check_together(catalogue) if one.severe] == []


def test_what_replaces_a_pattern_takes_over_where_it_was_seen():
    old = replace(PLATE, provenance=replace(PLATE.provenance, seen_in=("case-1",)))
    _, new = superseded(old, SHIPPED.pattern("rear-diagonal-straps"))
    assert "case-1" in new.provenance.seen_in


# ---------------------------------------------------------------------------------- differences
def test_an_entry_put_in_first_is_one_difference():
    cue = Cue("seen first", "below", "weak")
    after = replace(PLATE, cues=(cue, *PLATE.cues))
    assert differences(PLATE, after) == [
        ("cues[0]", "", "see: seen first; look: below; telling: weak")
    ]
    assert differences(after, PLATE) == [
        ("cues[0]", "see: seen first; look: below; telling: weak", "")
    ]


def test_a_changed_part_of_an_entry_is_named_alone():
    first = replace(PLATE.cues[0], telling="weak")
    after = replace(PLATE, cues=(first, *PLATE.cues[1:]), title="Other")
    assert differences(PLATE, after) == [
        ("title", PLATE.title, "Other"),
        ("cues[0].telling", PLATE.cues[0].telling, "weak"),
    ]
    assert differences(PLATE, PLATE) == []
    assert len(differences(None, PLATE)) > 30


# ------------------------------------------------------------------------------ what may go wrong
def test_text_is_taken_over_only_where_nobody_changed_the_draft_meanwhile(drafts):
    name = begun(drafts)
    seen = drafts.text(name)
    here = drafts.read(name)
    drafts.change(name, here, {**here, "does": "by another"})
    with pytest.raises(Conflict, match="somebody else changed"):
        drafts.rewrite(name, seen, 'summary = "mine"\n' + seen)
    assert drafts.read(name)["does"] == "by another"
    drafts.drop(name)
    with pytest.raises(NotThere):
        drafts.rewrite(name, seen, seen)
    assert drafts.names() == [], "what was given up does not come back"


@pytest.mark.parametrize("text", ["x\ud800", "x\0", "y" * 1_000_001])
def test_text_that_no_file_can_hold_is_refused(drafts, text):
    name = begun(drafts)
    before = drafts.text(name)
    with pytest.raises(BadInput):
        drafts.rewrite(name, before, f'title = "{text}"')
    assert drafts.text(name) == before


def test_a_draft_never_grows_past_what_can_be_read_again(drafts):
    name = begun(drafts)
    content = drafts.read(name)
    long = {"cautions": ["é" * 99_000 for _ in range(6)]}
    with pytest.raises(BadInput, match="at most 1 MB"):
        drafts.change(name, content, {**content, **long})
    assert drafts.read(name) == content


def test_a_number_that_is_none_does_not_lock_a_draft(drafts):
    name = begun(drafts)
    drafts.rewrite(name, drafts.text(name), 'title = "x"\nodd = nan')
    now = drafts.read(name)
    assert drafts.change(name, now, {**now, "title": "y"})["title"] == "y"


def test_a_draft_goes_only_if_what_became_of_it_was_written(drafts):
    name = begun(drafts)
    content = drafts.read(name)
    with pytest.raises(Conflict, match="of the library"), drafts.finishing(name, content):
        raise Conflict("of the library", "x", "y")
    assert drafts.names() == [name]
    other = drafts.change(name, content, {**content, "does": "by another"})
    with pytest.raises(Conflict, match="this draft"), drafts.finishing(name, content):
        pytest.fail("nothing of an older state is written")
    with drafts.finishing(name, other):
        pass
    assert drafts.names() == []


def test_what_a_cut_short_dropping_left_is_not_the_past_of_another_draft(drafts):
    name = drafts.begin(table(PLATE), PLATE)
    drafts.path(name).unlink()
    assert drafts.before(drafts.begin({**table(PLATE), "title": "New"})) is None


# -------------------------------------------------------------- changed in the library meanwhile
def test_a_draft_takes_over_what_its_pattern_has_become(library, drafts):
    mine = {**table(PLATE), "summary": "Mine."}
    name = drafts.begin(table(PLATE), PLATE)
    content = drafts.change(name, drafts.read(name), {**drafts.read(name), **mine})
    now = replace(PLATE, summary="Theirs.", title="Their title", likelihoods={
        **PLATE.likelihoods, "magnet": {"sticks": 0.5, "none": 0.25, "mixed": 0.25}})  # fmt: skip
    change_pattern(library, PLATE, now)
    with pytest.raises(Conflict):
        change_pattern(library, drafts.before(name), pattern_of(content, "x"))
    caught = catch_up(drafts, name, content, now)
    assert caught.both == ("summary",)
    assert (caught.content["summary"], caught.content["title"]) == ("Mine.", "Their title")
    assert caught.content["likelihoods"]["magnet"]["sticks"] == 0.5
    assert caught.content == drafts.read(name) and drafts.before(name) == now
    assert catch_up(drafts, name, caught.content, now) is None
    change_pattern(library, drafts.before(name), pattern_of(caught.content, "x"))


def test_links_of_replaced_patterns_end_somewhere():
    """Three that replace each other in a ring would each lead on to the next, and none be found."""
    first, second, third = (
        SHIPPED.pattern(x) for x in ("rear-v-brace", PLATE.id, "rear-shear-panel")
    )
    first, second = superseded(first, second)
    second, third = superseded(second, third)
    with pytest.raises(BadInput, match="cannot be replaced"):
        superseded(third, first)
    with pytest.raises(BadInput, match=f"name {third.id}"):
        superseded(SHIPPED.pattern("rear-diagonal-straps"), second)


@pytest.mark.parametrize("who", ["ab", " AB ", "Ab"])
def test_nobody_reviews_his_own_by_other_letters(who):
    with pytest.raises(BadInput, match="another person"):
        reviewed(drafted(PLATE, "AB", TODAY), who, TODAY)
