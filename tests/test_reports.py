"""Reports that people hand over: complete, self-contained, harmless."""

import re

import pytest

from atlas.calculators.presets import preset
from atlas.casework.calculations import record_of
from atlas.casework.cases import Cases
from atlas.catalogue.load import load
from atlas.errors import BadInput
from atlas.reports.case import case_report
from atlas.reports.pattern import pattern_report


@pytest.fixture(scope="module")
def catalogue():
    return load(cached=False)


@pytest.fixture
def case(library, catalogue):
    cases = Cases(library, "AB")
    made = cases.new("Lift 2 <b>van</b>", vehicle="a [van] | pipe", place="bay")
    cases.note(made.id, "four feet, *two* on the body", about="brace", value=2.5, unit="mm")
    cases.suspect(made.id, "rear-x-plate", 0.4, about="brace", why="four feet")
    cases.suspect(made.id, "rear-x-plate", 0.7, about="brace", why="M12 bolts")
    calculation = catalogue.pattern("rear-x-plate").calculations[0]
    outcome = preset(calculation, 300)
    cases.calculate(made.id, record_of(outcome, calculation.inputs, "brace", calculation.question))
    cases.ask(made.id, "are the feet crushed?", "look under the bolts", about="brace")
    return cases, made.id


def test_page_one_answers_what_how_sure_why_and_what_next(case, catalogue, library):
    cases, name = case
    text = case_report(cases.get(name), catalogue, "html", library).decode()
    first = text[text.index('class="first"') : text.index("</dl>")]
    assert catalogue.pattern("rear-x-plate").title in first
    assert "70%" in first and "M12 bolts" in first and "What next" in first
    cases.settle(name, "rear-x-plate", about="brace", found="four feet, M12", how="unbolt")
    settled = case_report(cases.get(name), catalogue, "html", library).decode()
    assert "settled by taking it apart" in settled and "70% was stated" in settled


@pytest.mark.parametrize("form", ["html", "md"])
def test_what_nobody_foresaw_is_said_with_what_was_held_instead(case, catalogue, library, form):
    cases, name = case
    cases.settle(name, "rear-v-brace", about="brace", found="three feet", how="look")
    text = case_report(cases.get(name), catalogue, form, library).decode()
    plate = catalogue.pattern("rear-x-plate").title
    assert f"nobody had suspected it; {plate} was held likeliest, at 70%" in text
    assert "was stated" not in text
    bare = cases.new("bare")
    cases.note(bare.id, "three feet", about="brace")
    cases.settle(bare.id, "rear-v-brace", about="brace", found="three feet", how="look")
    text = case_report(cases.get(bare.id), catalogue, form, library).decode()
    assert "nobody had suspected" not in text


def test_html_fetches_nothing_and_runs_nothing(case, catalogue, library):
    cases, name = case
    text = case_report(cases.get(name), catalogue, "html", library).decode()
    assert "<script" not in text and "<b>van" not in text
    assert not re.search(r'(?:src|href)="(?!#)', text)
    assert "@import" not in text and "url(http" not in text
    assert text.count("<svg") >= 2, "sketch and plot"


def test_every_result_stands_with_unit_range_source_and_caution(case, catalogue, library):
    cases, name = case
    (record,) = cases.get(name).calculation.values()
    for form in ("html", "md"):
        text = case_report(cases.get(name), catalogue, form, library).decode()
        for result in record.results:
            assert result in text.replace("\\", "")
        assert "Sources:" in text and "Left out:" in text and "Mind" in text
        assert "Screening, not sign-off" in text


def test_markdown_shows_markup_from_people_as_it_is(case, catalogue, library):
    cases, name = case
    text = case_report(cases.get(name), catalogue, "md", library).decode()
    assert r"\*two\*" in text and r"a \[van\] \| pipe" in text and "<b>" not in text.split("```")[0]


def test_text_and_page_say_the_same_of_a_case(case, catalogue, library):
    cases, name = case
    pattern = catalogue.pattern("rear-x-plate")
    for form in ("html", "md"):
        text = case_report(cases.get(name), catalogue, form, library).decode().replace("\\", "")
        assert "present: AB" in text
        assert "M12 bolts" in text.split("Open questions")[0]
        for part in ("Usual make", "What settles it", "How the suspicion moved", "History"):
            assert part in text, (form, part)
        assert f"AB: {pattern.title} 40%, four feet" in text


def test_short_of_certainty_none_is_claimed(case, catalogue, library):
    cases, name = case
    cases.suspect(name, "rear-x-plate", 0.998, about="brace", why="bolts counted")
    for form, shown in (("html", "&gt;99%"), ("md", r"\>99%")):
        text = case_report(cases.get(name), catalogue, form, library).decode()
        first = text[: text.index("Open questions")].rpartition("</style>")[2]
        assert shown in first and "100%" not in first
        assert f"{shown}, bolts counted" in text and f"at {shown} for brace" in text


@pytest.mark.parametrize("form", ["html", "md"])
def test_an_empty_case_says_that_it_is_and_what_next(catalogue, library, form):
    made = Cases(library, "AB").new("nothing yet")
    text = case_report(made, catalogue, form, library).decode()
    assert "o structure was described yet" in text
    assert "describe one" in text


def test_a_range_of_one_figure_is_none(case, catalogue, library):
    cases, name = case
    for form in ("html", "md"):
        text = case_report(cases.get(name), catalogue, form, library).decode()
        assert not re.search(r"[>|] ?([\d.,]+) to \1 ?[<|]", text)


def test_a_page_is_not_turned_dark_by_the_browser(catalogue):
    """Drawings have white paper round their words, which a browser's own inversion would hide."""
    page = pattern_report(catalogue.pattern("rear-x-plate"), catalogue, "html").decode()
    assert '<meta name="color-scheme" content="only light">' in page


def test_a_calculation_that_no_longer_runs_keeps_its_record(case, catalogue, library, monkeypatch):
    cases, name = case
    monkeypatch.setattr(
        "atlas.casework.calculations.calculator",
        lambda _: (_ for _ in ()).throw(BadInput("no calculator of that name")),
    )
    text = case_report(cases.get(name), catalogue, "html", library).decode()
    assert "cannot be run any more" in text


def test_every_pattern_makes_a_report(catalogue):
    for pattern in list(catalogue.patterns.values())[::6]:
        text = pattern_report(pattern, catalogue, "html").decode()
        assert text.count("<svg") >= len(pattern.sketches) + len(pattern.calculations)
        for caution in pattern.cautions:
            assert caution.split("'")[0].split('"')[0] in text
        markdown = pattern_report(pattern, catalogue, "md").decode()
        assert markdown.startswith("# ") and "\n\n\n" not in markdown


def test_an_unknown_form_is_refused(catalogue):
    with pytest.raises(BadInput, match="html, md, pdf"):
        pattern_report(catalogue.pattern("rear-x-plate"), catalogue, "doc")


def test_pdf_where_its_library_is_there(catalogue):
    pytest.importorskip("weasyprint")
    content = pattern_report(catalogue.pattern("rear-x-plate"), catalogue, "pdf")
    assert content.startswith(b"%PDF")
