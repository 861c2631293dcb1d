"""The path through a zone and its questions."""

from collections import Counter
from datetime import date
from itertools import pairwise

import pytest

from atlas.errors import BadInput, NotThere
from atlas.study.concealing import names_of
from atlas.study.path import met, path_through, question, resembling
from atlas.vehicles.loading import all_vehicles

DAY = date(2026, 3, 2)


def test_a_path_holds_every_pattern_of_its_zone_once(study, catalogue):
    for zone in catalogue.zones:
        assert sorted(study.paths[zone]) == sorted(catalogue.in_zone(zone))


def test_the_common_comes_before_the_rare_and_look_alikes_follow_each_other(catalogue):
    seen = Counter({"rear-shear-panel": 5, "rear-apex-tie": 3, "rear-x-plate": 1})
    path = path_through(catalogue.in_zone("rear-mount"), seen, resembling(catalogue))
    assert path[0] == "rear-shear-panel", "met most often"
    alike = {one.id for one in catalogue.pattern("rear-shear-panel").look_alikes}
    assert path[1] in alike
    assert path[1] == max(alike & set(path), key=lambda name: seen[name])
    for before, after in pairwise(path):
        left = path[path.index(after) :]
        near = {one.id for one in catalogue.pattern(before).look_alikes} & set(left)
        assert after in near or not near, "a look-alike is never passed over"


def test_what_vehicles_show_is_counted_once_a_vehicle():
    vehicles, _ = all_vehicles()
    one = vehicles["demo-pickup"]
    counts = met([one, one], ())
    assert counts["rear-x-plate"] == 2
    assert set(counts.values()) == {2}


def test_each_pattern_has_a_question_whose_answer_it_does_not_name(catalogue):
    mine = 0
    for name in catalogue.patterns:
        pattern = catalogue.pattern(name)
        asked = question(pattern, catalogue)
        assert asked is not None, name
        assert asked == question(pattern, catalogue), "the same every time"
        assert pattern.id in asked.options
        assert asked.answer in asked.options
        assert 2 <= len(asked.options) == len(set(asked.options)) <= 4
        for option in asked.options:
            for called in names_of(catalogue.pattern(option)):
                assert called.casefold() not in asked.text.casefold(), (name, called)
        mine += asked.answer == name
    assert 0.15 < mine / len(catalogue.patterns) < 0.6, "neither always nor never the one just read"


def test_one_goes_on_only_after_the_right_answer(study, catalogue):
    first, second = study.paths["rails"][:2]
    asked = question(catalogue.pattern(first), catalogue)
    wrong = next(name for name in asked.options if name != asked.answer)
    assert not study.take_step("rails", wrong, DAY)
    assert study.next_step(study.learner.get(), "rails") == first
    assert study.take_step("rails", asked.answer, DAY)
    assert study.next_step(study.learner.get(), "rails") == second
    with pytest.raises(BadInput, match="none of the answers"):
        study.take_step("rails", "rear-x-plate", DAY)
    assert len(study.learner.get().steps) == 2


def test_a_path_has_an_end(study, catalogue):
    for _ in study.paths["shield"]:
        name = study.next_step(study.learner.get(), "shield")
        asked = question(catalogue.pattern(name), catalogue)
        assert study.take_step("shield", asked.answer, DAY)
    assert study.next_step(study.learner.get(), "shield") == ""
    with pytest.raises(NotThere, match="walked to its end"):
        study.take_step("shield", "skid-plate-metal", DAY)


def test_a_zone_is_named_by_id_or_title_and_a_slip_is_answered(study):
    assert study.zone("rear-mount") == "rear-mount"
    assert study.zone(" rails  AND their roots ") == "rails"
    with pytest.raises(NotThere, match="rear-mount"):
        study.zone("rear-mont")
    with pytest.raises(NotThere, match="'progress'"):
        study.zone("progres", ["progress"])
