"""What every calculator keeps to, whoever wrote it."""

import re

import numpy as np
import pytest

from atlas.calculators.declare import Choice, Number, Words
from atlas.calculators.registry import calculator, calculator_ids
from atlas.calculators.running import run
from atlas.calculators.units import SI
from atlas.errors import BadInput, NotThere

IDS = calculator_ids()
SLOW = {"glance-off", "limit-load", "front-frame"}
OUTLINE = [
    "section",
    "column",
    "bolted-joint",
    "two-plane-mount",
    "brace",
    "curved-run",
    "front-bar",
    "front-frame",
    "limit-load",
    "crush-can",
    "rail-fold",
    "frontal-energy",
    "overlap-geometry",
    "glance-off",
    "arm-travel",
    "steering-axis",
    "arm-loads",
    "toe-compliance",
    "housing-beam",
    "torque-reaction",
    "isolator",
    "release-mount",
    "weld",
    "galvanic",
    "material-swap",
    "process-cost",
    "mass-estimate",
    "material-id",
    "skid-plate",
    "lap-order",
    "photo-scale",
]


def numbers(one):
    return [i for i in one.inputs if isinstance(i, Number)]


def test_all_are_there_under_their_names():
    assert set(OUTLINE) <= set(IDS)
    for name in IDS:
        assert calculator(name).id == name


def test_an_unknown_name_is_answered_with_the_nearest():
    with pytest.raises(NotThere, match="bolted-joint"):
        calculator("bolt-joint")


@pytest.mark.parametrize("name", IDS)
def test_declaration_is_complete(name):
    one = calculator(name)
    assert one.question.endswith("?")
    assert one.sources, "a number without a source is not shown"
    assert one.leaves_out
    names = [i.name for i in one.inputs]
    assert len(set(names)) == len(names)
    assert len({o.name for o in one.outputs}) == len(one.outputs)
    for i in one.inputs:
        assert i.help, i.name
        assert i.name.replace("_", "").isalnum() and i.name.islower(), i.name
        if isinstance(i, Number):
            assert i.unit in SI, i.name
            assert i.low < i.high, i.name
        elif isinstance(i, Choice):
            assert i.default in i.options, i.name
    for o in one.outputs:
        assert o.unit in SI and o.help, o.name
    assert not set(one.also) & set(names), "another name may not hide an input"
    assert set(one.also.values()) <= set(names)
    assert not one.leading or one.leading in names


@pytest.mark.parametrize("name", IDS)
def test_defaults_give_an_answer_with_its_range_findings_and_figure(name):
    one = calculator(name)
    found = run(one, {}, samples=200)
    # Some results exist only for some inputs (a third length, a rack that is neutral).
    assert found.results
    assert set(found.results) <= {o.name for o in one.outputs}
    for result in found.results.values():
        if not isinstance(result.value, str):
            assert result.low <= result.value <= result.high
    assert found.findings
    assert all(
        line.strip() and "\n" not in line and "nan" not in line.split() for line in found.findings
    )
    figure = found.figure
    assert figure.curves or figure.bars or figure.points or figure.sign_map is not None
    for curve in figure.curves:
        assert len(curve.x) == len(curve.y)
        # A gap is drawn where a result has none (between two poles), but not over half the axis.
        assert not np.any(np.isinf(curve.x)) and not np.any(np.isinf(curve.y)), curve.name
        assert np.mean(np.isfinite(curve.y)) > 0.5, curve.name
    assert found.results == run(one, {}, samples=200).results, "same seed, same answer"


@pytest.mark.parametrize("name", IDS)
def test_one_sample_of_plain_numbers_answers_too(name):
    one = calculator(name)
    whole = run(one, {}, samples=200)
    given = {}
    for i in numbers(one):
        middle = whole.inputs[i.name].value
        given[i.name] = repr(round(middle) if i.whole else middle)
    found = run(one, given)
    if not any(isinstance(i, Words) for i in one.inputs):  # words may hold readings of their own
        assert found.samples == 1
    assert found.findings
    assert found.figure.title


@pytest.mark.parametrize("name", IDS)
@pytest.mark.parametrize("bad", ["nan", "inf", "-1e9", "1e30", "", "x", "5 banana"])
def test_senseless_numbers_are_refused_by_name(name, bad):
    one = calculator(name)
    for i in numbers(one):
        with pytest.raises(BadInput, match=i.name) as caught:
            run(one, {i.name: bad}, samples=1)
        assert "\n" not in str(caught.value)


@pytest.mark.parametrize("name", IDS)
def test_both_ends_of_every_range_answer_or_refuse_in_words(name):
    one = calculator(name)
    for i in numbers(one):
        for end in (i.low, i.high):
            try:
                found = run(one, {i.name: repr(float(end))}, samples=8)
                assert found.findings, (i.name, end)
                assert found.figure.title
            except BadInput as refused:
                assert "\n" not in str(refused)


@pytest.mark.parametrize("name", IDS)
def test_every_option_answers_or_refuses_in_words(name):
    one = calculator(name)
    for i in one.inputs:
        if isinstance(i, Choice):
            for option in i.options:
                try:
                    assert run(one, {i.name: option}, samples=8).findings, (i.name, option)
                except BadInput as refused:
                    assert "\n" not in str(refused)
        elif isinstance(i, Words):
            for text in ("", "\x1b[31m", "[/red]", "1,2;3", "x" * 5000):
                try:
                    run(one, {i.name: text}, samples=8)
                except BadInput as refused:
                    assert "\n" not in str(refused)


FOREIGN = {
    "mm": ("in", 1 / 25.4),
    "kN": ("lbf", 1000 / 4.4482216152605),
    "deg": ("rad", np.pi / 180),
    "MPa": ("psi", 1e6 / 6894.757293168),
    "kg": ("lb", 1 / 0.45359237),
    "km/h": ("m/s", 1 / 3.6),
    "N m": ("lbf*ft", 1 / 1.3558179483314),
    "kN/mm": ("N/m", 1e6),
    "J": ("kJ", 1e-3),
    "um": ("mm", 1e-3),
}


@pytest.mark.parametrize("name", IDS)
def test_another_unit_for_the_same_reading_changes_nothing(name):
    one = calculator(name)
    whole = run(one, {}, samples=20)
    plain, foreign = {}, {}
    for i in numbers(one):
        middle = whole.inputs[i.name].value
        plain[i.name] = foreign[i.name] = repr(round(middle) if i.whole else middle)
        inside = i.low < middle < i.high  # rounding may carry an end of the range over it
        if i.unit in FOREIGN and inside and not i.whole:
            unit, times = FOREIGN[i.unit]
            foreign[i.name] = f"{middle * times!r} {unit}"
    one_way, other = run(one, plain, samples=1), run(one, foreign, samples=1)
    for key, result in one_way.results.items():
        if isinstance(result.value, str):
            assert other.results[key].value == result.value, key
        else:
            assert other.results[key].value == pytest.approx(result.value, rel=1e-6, abs=1e-9), key


@pytest.mark.parametrize("name", IDS)
def test_findings_judge_and_do_not_recite(name):
    """Somewhere in its range each calculator comes to another sentence, not just other figures."""
    one = calculator(name)
    if any(isinstance(i, Words) for i in one.inputs) and not numbers(one):
        return
    said = set()
    settings = [{i.name: repr(float(end))} for i in numbers(one) for end in (i.low, i.high)]
    settings += [{i.name: o} for i in one.inputs if isinstance(i, Choice) for o in i.options]
    for given in [{}, *settings]:
        try:
            found = run(one, given, samples=4)
        except BadInput:
            continue
        said.add(re.sub(r"[\d.,%+-]+", "#", " ".join(found.findings)))
        if len(said) > 2:
            return
    raise AssertionError(f"only ever says {said}")
