"""Each person's own probability, and how it moved."""

import json

from atlas.casework.beliefs import beliefs
from atlas.casework.cases import Cases
from atlas.catalogue.load import load
from atlas.reports.case import case_report

SAID = (
    ("AB", "rear-x-plate", 0.4),
    ("CD", "rear-x-plate", 0.2),
    ("CD", "rear-v-brace", 0.6),
    ("AB", "rear-x-plate", 0.7),
)


def stated(library):
    case = Cases(library, "AB").new("x")
    for who, pattern, share in SAID:
        found = Cases(library, who).suspect(
            case.id, pattern, share, about="plate", why=f"{who} said"
        )
    return found


def test_by_person_and_the_likeliest_by_the_mean_first(library):
    v, x = beliefs(stated(library), "plate")
    assert (v.pattern, v.mean, v.course("CD")) == ("rear-v-brace", 0.6, "60%")
    assert {name: one.probability for name, one in x.newest.items()} == {"AB": 0.7, "CD": 0.2}
    # By hand: (0.7 + 0.2) / 2, not the newest and not the mean of all three statements.
    assert round(x.mean, 12) == 0.45
    assert x.course("AB") == "40% -> 70%"
    assert beliefs(stated(library), "bar") == ()


def test_a_long_course_keeps_its_end(library):
    case = Cases(library, "AB").new("x")
    for tenth in range(1, 8):
        found = Cases(library, "AB").suspect(case.id, "rear-x-plate", tenth / 10, about="plate")
    assert beliefs(found, "plate")[0].course("AB") == "… -> 40% -> 50% -> 60% -> 70%"


def test_the_command_names_each_and_says_what_the_mean_is(atlas, library):
    case = stated(library)
    lines = [" ".join(line.split()) for line in atlas("case", "show", case.id)[1].splitlines()]
    day = case.head.opened[:10]
    assert "45% rear-x-plate (mean of 2 people)" in lines
    assert f"70% (AB {day}: 40% -> 70%) AB said" in lines
    assert f"20% (CD {day}) CD said" in lines
    assert f"60% rear-v-brace (CD {day}) CD said" in lines
    said = json.loads(atlas("case", "show", case.id, "--json")[1])
    assert len(said["suspicion"]) == 4, "what scripts rely on stays as it was"


def test_the_report_names_each(library):
    case = stated(library)
    catalogue = load(library)
    day = case.head.opened[:10]
    html = case_report(case, catalogue, "html", library).decode()
    assert f"AB 40% → 70% ({day}), CD 20% ({day}), mean of 2 people 45%" in html
    words = case_report(case, catalogue, "md", library).decode()
    assert f"AB 40% -> 70% ({day}), CD 20% ({day}), mean of 2 people 45%" in words.replace("\\", "")
    Cases(library, "EF").settle(case.id, "rear-x-plate", about="plate", found="it", how="cut")
    settled = case_report(Cases(library).get(case.id), catalogue, "html", library).decode()
    assert "45% was stated for it before the teardown (mean of 2 people)" in settled


def test_names_that_are_markup_are_shown(atlas, library):
    case = Cases(library, "AB").new("x")
    for who in ("<b>", "[/red]", "\u202ex"):
        found = Cases(library, who).suspect(case.id, "rear-x-plate", 0.5, about="plate")
    html = case_report(found, load(library), "html", library).decode()
    assert "<b> 50%" not in html and "&lt;b&gt; 50%" in html and "\u202e" not in html
    assert "\u202e" not in atlas("case", "show", case.id)[1]
