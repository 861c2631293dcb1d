import json

import pytest

from atlas.casework.cases import Cases
from atlas.casework.model import Calculation
from atlas.casework.teardown import STAGES, _prior, teardown_list
from atlas.catalogue.load import load
from atlas.identify.narrowing import Narrowing


@pytest.fixture(scope="module")
def catalogue():
    return load(cached=False)


@pytest.fixture(scope="module")
def narrowing(catalogue):
    return Narrowing(catalogue)


def steps(library, catalogue, narrowing):
    store = Cases(library)
    return teardown_list([store.get(r.id) for r in store.rows()[0]], catalogue, narrowing)


def test_an_open_suspicion_asks_for_looks_and_a_confirmation(library, catalogue, narrowing):
    cases = Cases(library)
    case = cases.new("x")
    cases.suspect(case.id, "rear-x-plate", 0.5, about="brace")
    cases.suspect(case.id, "skid-plate-metal", 0.4, about="brace")
    found = steps(library, catalogue, narrowing)
    assert any("feet" in step.do.lower() or "body" in step.do.lower() for step in found)
    assert [step.stage for step in found] == sorted(step.stage for step in found)
    cases.settle(case.id, "rear-x-plate", about="brace", found="f", how="look")
    assert steps(library, catalogue, narrowing) == ()


def test_a_sure_suspicion_needs_only_its_confirmation(library, catalogue, narrowing):
    cases = Cases(library)
    case = cases.new("x")
    cases.suspect(case.id, "rear-x-plate", 0.97, about="brace")
    (only,) = steps(library, catalogue, narrowing)
    assert only.gain_bits == 0


def test_what_stated_probabilities_leave_is_mostly_the_look_alikes(catalogue):
    alike = {one.id for one in catalogue.pattern("rear-x-plate").look_alikes}
    prior = _prior({"rear-x-plate": 0.6}, catalogue)
    assert prior["rear-x-plate"] == 0.6 and prior.keys() - {"rear-x-plate"} == alike
    assert len({prior[name] for name in alike}) == 1
    assert 0.2 < sum(prior[name] for name in alike) < 0.4, "the rest of the catalogue has some"
    both = _prior({"rear-x-plate": 0.9, "rear-v-brace": 0.9}, catalogue)
    assert both == {"rear-x-plate": 0.5, "rear-v-brace": 0.5}


def test_what_lies_over_comes_off_first(library, catalogue, narrowing):
    cases = Cases(library)
    case = cases.new("x")
    for about in ("cradle", "brace"):
        cases.suspect(case.id, "rear-x-plate", 0.97, about=about)
    laps = Calculation("lap-order", {"laps": "brace > cradle"}, 1, 1, {}, (), "", "")
    cases.calculate(case.id, laps)
    assert [step.about for step in steps(library, catalogue, narrowing)] == ["brace", "cradle"]


def test_the_command_prints_a_list_with_its_cautions(atlas, library):
    cases = Cases(library)
    case = cases.new("x")
    cases.suspect(case.id, "rear-x-plate", 0.6, about="brace")
    code, out, _ = atlas("teardown")
    assert code == 0
    assert "[ ] brace" in out and "local rules" in out
    said = json.loads(atlas("teardown", "--json")[1])
    assert {step["stage"] for step in said["steps"]} <= {title for title, _ in STAGES}
    assert "nothing to hold" in atlas("calibration")[1]
    cases.settle(case.id, "rear-x-plate", about="brace", found="f", how="look")
    assert "too few" in atlas("calibration")[1]
    assert json.loads(atlas("calibration", "--by", "zone", "--json")[1])["all"]["few"]
