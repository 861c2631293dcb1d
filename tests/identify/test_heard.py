"""Words that others used before: they count, they are counted once, and a bad file says so."""

import math
import re
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from atlas.catalogue.checking import check_heard
from atlas.catalogue.load import HEARD, load, read_heard
from atlas.identify.heard import Heard, OnRecord, on_record
from atlas.identify.text import Finder

CATALOGUE = load()
QUERIES = sorted((Path(__file__).parents[1] / "data").glob("queries_*.tsv"))
STEMS = st.sampled_from("abcdef")


def folder(tmp_path, text):
    (tmp_path / "heard.toml").write_text(text, encoding="utf-8")
    return tmp_path


def record(said, **stems):
    made = OnRecord(said)
    for name, times in stems.items():
        for key, count in times.items():
            made.times.setdefault(key, {})[name] = count
    return made


@given(
    st.dictionaries(STEMS, st.integers(1, 5), min_size=1),
    st.dictionaries(STEMS, st.integers(1, 5)),
    st.dictionaries(STEMS, st.floats(0, 1), min_size=1),
)
def test_a_pattern_without_descriptions_neither_gains_nor_loses(first, second, words):
    heard = Heard(["a", "b", "none"], record({"a": 5, "b": 5}, a=first, b=second))
    assert heard.score(words)[2] == pytest.approx(0.0, abs=1e-6)


@given(st.integers(1, 9), st.integers(0, 9))
def test_who_is_described_so_more_often_scores_higher(often, seldom):
    said = record({"a": 9, "b": 9}, a={"w": often}, b={"w": seldom} if seldom else {})
    a, b = Heard(["a", "b"], said).score({"w": 1.0})
    assert np.sign(round(float(a - b), 5)) == np.sign(often - seldom)


def test_the_prior_is_four_average_descriptions():
    """Dirichlet smoothing (c + mu p) / (n + mu) against p, by hand: c=2, n=2, p=2.5/5, mu=4."""
    share = Heard(["a", "b"], record({"a": 2, "b": 2}, a={"w": 2})).score({"w": 1.0})
    assert share[0] == pytest.approx(math.log((2 + 4 * 0.5) / (2 + 4) / 0.5), abs=1e-6)
    assert share[1] == pytest.approx(math.log((0 + 4 * 0.5) / (2 + 4) / 0.5), abs=1e-6)


def test_a_word_that_only_colleagues_use_leads_to_the_pattern(tmp_path):
    library = folder(tmp_path, 'tower-stamped = ["the wobblefrob", "rusty wobblefrob on top"]\n')
    catalogue = SimpleNamespace(
        terms=CATALOGUE.terms, patterns=CATALOGUE.patterns, folders=(*CATALOGUE.folders, library)
    )
    words = "rusty wobblefrob, pressed from sheet"
    before = {m.pattern_id: m.score for m in Finder(CATALOGUE).find(words).matches}
    after = Finder(catalogue).find(words).matches
    assert after[0].pattern_id == "tower-stamped"
    assert after[0].score > before.get("tower-stamped", 0)


def test_what_a_description_denies_is_not_counted(tmp_path):
    found = on_record([folder(tmp_path, 'x = ["solid bar, no rubber anywhere"]\n')])
    assert "rub" not in " ".join(found.times)
    assert found.said == {"x": 1}


def test_a_changed_file_is_counted_anew(tmp_path):
    assert on_record([folder(tmp_path, 'x = ["one"]\n')]).said == {"x": 1}
    assert on_record([folder(tmp_path, 'x = ["one", "two"]\n')]).said == {"x": 2}


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("x = 3\n", "x"),
        ("x = [3]\n", "x"),
        ("x = [", "TOML"),
        ('x = ["' + "a" * 99_999 + '"]', "x"),
    ],
    ids=["number", "numbers", "cut", "long"],
)
def test_a_bad_file_is_named_and_the_search_goes_on(library, text, says):
    library.patterns.mkdir()
    folder(library.patterns, text)
    catalogue = load(library)
    (problem,) = catalogue.problems
    assert "heard.toml" in str(problem)
    assert says in str(problem)
    found = Finder(catalogue).find("flat pressed plate like a cross, four feet").matches
    assert found[0].pattern_id == "rear-x-plate"


def test_the_shipped_descriptions_belong_to_patterns_and_repeat_nothing():
    assert not list(check_heard(CATALOGUE.folders, CATALOGUE.patterns))
    assert set(on_record(CATALOGUE.folders).said) == set(CATALOGUE.patterns)


def runs(text):
    words = re.findall(r"\w+", text.lower())
    return {tuple(words[i : i + 8]) for i in range(len(words) - 7)}


def test_no_shipped_description_takes_its_words_from_a_query_that_is_measured():
    """Eight words in a row are no coincidence: the search would be asked what it was told."""
    said = read_heard(CATALOGUE.folders[0] / HEARD)
    known = {run for texts in said.values() for text in texts for run in runs(text)}
    asked = [line for file in QUERIES for line in file.read_text(encoding="utf-8").splitlines()]
    assert len(known) > 5000
    assert len(asked) > 200
    assert not [line for line in asked if runs(line.split("\t")[0]) & known]


def test_descriptions_of_no_pattern_or_of_two_are_found(tmp_path):
    text = 'rear-x-plate = ["a cross"]\nrear-v-brace = ["A cross"]\nno-such = ["x"]\n'
    faults = [str(one) for one in check_heard([folder(tmp_path, text)], CATALOGUE.patterns)]
    assert len(faults) == 2
    assert "no-such" in faults[1]


def test_each_description_counts_once_and_the_strongest_word_is_told_first():
    made = OnRecord()
    for name, stems in (("a", {"odd", "flat"}), ("a", {"odd", "flat"}), ("b", {"flat"}), ("b", ())):
        made.add(name, stems)
    assert made.said == {"a": 2, "b": 2}
    assert made.times == {"odd": {"a": 2}, "flat": {"a": 2, "b": 1}}
    # Log-odds by hand, (c + 4 p) / (n + 4) / p with p over ten patterns of 40 descriptions each:
    # odd ln 9.09, rare ln 8.98, some ln 1.91, which is too little to be worth a word.
    ids = list("abcdefghij")
    others = {name: {"some": 20} for name in "bcde"}
    said = record(dict.fromkeys(ids, 40), a={"odd": 40, "rare": 20, "some": 20}, **others)
    told = Heard(ids, said)
    assert told.telling(["some", "rare", "odd"], 0) == ["odd", "rare"]
    assert told.telling(["some", "rare", "odd"], 1) == []
