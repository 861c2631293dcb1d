"""A vehicle's page: complete, self-contained, and as the model says."""

import re
from dataclasses import replace
from typing import get_args

import msgspec
import numpy as np
import pytest

from atlas.calculators.running import Result
from atlas.errors import BadInput
from atlas.reports.comparison import CAUTIONS, SOURCES
from atlas.reports.vehicle import SAMPLES, vehicle_report
from atlas.vehicles.carrying import carry
from atlas.vehicles.comparing import compare
from atlas.vehicles.figures import Bought, State, quantity, rank, state_words
from atlas.vehicles.framing import frame_of, patterns_of
from atlas.vehicles.loading import load_vehicle
from atlas.vehicles.loads import load_cases

CITY = load_vehicle("demo-city")
CORNER, RACKING = (load_cases()[name] for name in ("corner", "racking"))


@pytest.fixture(scope="module")
def html():
    return vehicle_report(CITY, CORNER, [CORNER, RACKING], str.upper, "html").decode()


def test_page_one_answers_what_how_sure_why_and_what_next(html):
    first = html[html.index('class="first"') : html.index("</dl>")]
    for question in ("What it is", "How sure", "Why", "What next"):
        assert question in first
    assert "5 to 95 %" in first
    assert "Stiffened most by" in first


def test_figures_are_those_of_the_model(html):
    (carried,) = carry(frame_of(CITY, (), SAMPLES), [CORNER], SAMPLES)
    middle = float(np.median(carried.stiffness)) * 1e-6
    found = re.search(r"<td>stiffness</td><td class=\"n\">([\d.]+) kN/mm", html)
    assert float(found[1]) == pytest.approx(middle, rel=5e-3)
    assert carried.framed.member_names[carried.worst] in html


def test_each_pattern_stands_with_and_without(html):
    table = html[html.index("What each pattern buys") : html.index("Members most used")]
    for name in patterns_of(CITY):
        assert name.upper() in table
    assert table.count("×") >= 3


def test_patterns_stand_by_what_they_buy(html):
    table = html[html.index("What each pattern buys") : html.index("Members most used")]
    ratios = [float(number) for number in re.findall(r"<td>×([\d.]+)", table)]
    assert len(ratios) > 3 and ratios[0] > ratios[-1]
    assert ratios == sorted(ratios, reverse=True)
    named = re.search(r"Stiffened most by .*?×([\d.]+)", html)
    assert named and float(named[1]) == ratios[0]


def test_it_is_drawn_from_three_sides_with_a_key_and_fetches_nothing(html):
    assert html.count("<svg") == 4
    assert "moved shape drawn" in html
    assert "<script" not in html
    assert not re.search(r'(?:src|href)="(?!#)', html)
    plain = html.replace("&#39;", "'")
    for line in (*CAUTIONS, *SOURCES, CORNER.leaves_out, "Screening, not sign-off"):
        assert line in plain


def test_markdown_and_what_is_taken_away():
    text = vehicle_report(CITY, RACKING, [], str.upper, "md", ("rear-v-brace",)).decode()
    assert text.startswith("# ")
    assert "without REAR-V-BRACE" in text
    assert "taken away" in text, "the key says how what is gone is drawn"
    assert "What each pattern buys" not in text, "the table is of the whole vehicle"
    rows = [line for line in text.splitlines() if line.startswith("| ")]
    assert all(line.endswith("|") for line in rows)


def test_a_case_with_nowhere_to_stand_is_named_and_the_rest_still_there(monkeypatch):
    monkeypatch.setattr("atlas.reports.vehicle.SAMPLES", 10)
    points = {r: n for r, n in CITY.points.items() if not r.startswith("jack")}
    bare = msgspec.structs.replace(CITY, points=points)
    others = [CORNER, RACKING, load_cases()["jacking"]]
    text = vehicle_report(bare, CORNER, others, str, "md").decode()
    assert "Nowhere to stand on this vehicle: Jack under one corner" in text
    assert "Racking of the four mounts" in text
    comparing = compare([CITY, msgspec.structs.replace(bare, id="bare", points={
        **{f"rail-tip-{side}": CITY.points[f"rail-tip-{side}"] for side in "lr"}
    })], [load_cases()["jacking"]], 5)  # fmt: skip
    assert comparing.sides[1].carried == ()


def test_every_state_of_a_pattern_has_its_place_and_words():
    kg = Result(1.0, "kg", None, None)
    rows = [Bought("x", (), kg, state) for state in get_args(State)]
    assert [rank(row)[0] for row in rows] == sorted({rank(row)[0] for row in rows})
    little, much = (replace(rows[0], ratio=Result(r, "", None, None)) for r in (1.1, 2.0))
    assert rank(much) < rank(little) < rank(rows[1])
    assert all(state_words(row) for row in rows[1:])


def test_forms():
    with pytest.raises(BadInput, match="html, md, pdf"):
        vehicle_report(CITY, CORNER, [], str, "doc")


def test_a_range_is_that_of_the_5th_and_95th_percentile():
    """By hand: of 0, 1, ... 100 they are 5 and 95."""
    found = quantity(range(101), 2.0, "mm")
    assert (found.low, found.value, found.high) == (10.0, 100.0, 190.0)
    assert (quantity([3.0], 1.0, "mm").low, quantity([3.0], 1.0, "mm").high) == (None, None)


def test_rounding_is_no_figure():
    assert quantity([1e-14, -3e-13], 1.0, "mm").value == 0.0
    assert quantity([2e-6], 1e-3, "kN").value == pytest.approx(2e-9)


@pytest.mark.parametrize("form", ["html", "md"])
def test_a_structure_past_its_limit_says_so(form):
    saloon, strike = load_vehicle("demo-saloon"), load_cases()["ground-strike"]
    text = vehicle_report(saloon, strike, [strike], str.upper, form).decode()
    assert "past the elastic limit: panel-r-" in text.replace("\\", "")
    assert "shared with CROSS-MEMBER-BOX" in text
    assert "invented" not in text
