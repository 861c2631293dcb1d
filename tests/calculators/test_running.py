"""A run: readings in, ranges, drivers, findings and refusals out."""

import json

import numpy as np
import pytest
from validation import Check

from atlas.calculators.declare import Calculator, Choice, Number, Output, Words, figures
from atlas.calculators.drivers import by_expansion, first_order, total_order
from atlas.calculators.figure import Axis, Figure
from atlas.calculators.running import run
from atlas.calculators.sampling import unit_sample
from atlas.errors import BadInput, OutOfRange

# Ishigami's function, a = 7, b = 0.1: T. Ishigami and T. Homma (1990); shares as in A. Saltelli
# et al., Global Sensitivity Analysis: The Primer, and in the documentation of SALib.
ISHIGAMI = "Ishigami and Homma (1990), a = 7, b = 0.1; analytic Sobol indices as in Saltelli et al."
FIRST = (0.3139, 0.4424, 0.0)
TOTAL = (0.5576, 0.4424, 0.2437)
PI = "3.141592653589793"


def _ishigami(x1, x2, x3):
    return {"y": np.sin(x1) + 7 * np.sin(x2) ** 2 + 0.1 * x3**4 * np.sin(x1)}


RESULT = (Output("y", "", "result"),)


def declared(evaluate, *inputs, outputs=RESULT, **more):
    return Calculator(
        id="trial",
        title="Trial",
        question="?",
        inputs=inputs,
        outputs=outputs,
        evaluate=evaluate,
        findings=lambda s: [f"y is {s.span('y')}"],
        figure=lambda s: Figure("trial", Axis("x"), Axis("y")),
        leaves_out="all",
        cautions=(),
        sources=("by hand",),
        **more,
    )


def _three():
    return declared(
        _ishigami, *(Number(f"x{k}", "", f"-{PI}..{PI}", -4, 4, "angle") for k in (1, 2, 3))
    )


def _shares(samples=20_000):
    return {d.input: d for d in run(_three(), {}, samples=samples).drivers}


CHECKS = [
    *(
        Check(
            f"drivers.first.x{k + 1}",
            "framework",
            ISHIGAMI,
            FIRST[k],
            0.0,
            lambda k=k: _shares()[f"x{k + 1}"].share,
            "",
            0.02,
        )
        for k in range(3)
    ),
    *(
        Check(
            f"drivers.total.x{k + 1}",
            "framework",
            ISHIGAMI,
            TOTAL[k],
            0.0,
            lambda k=k: _shares()[f"x{k + 1}"].total,
            "",
            0.05,
        )
        for k in range(3)
    ),
]


def test_shares_of_a_sum_are_those_of_its_variances():
    """Source: by hand: variances 1, 4, 9 over 14."""
    calculator = declared(
        lambda a, b, c: {"y": a + 2 * b + 3 * c},
        *(Number(name, "", "0+-1", -1e3, 1e3, "part") for name in "abc"),
    )
    found = {d.input: d for d in run(calculator, {}, samples=20_000).drivers}
    for name, expected in zip("abc", (1 / 14, 4 / 14, 9 / 14), strict=True):
        assert found[name].share == pytest.approx(expected, abs=0.02)
        assert found[name].total == pytest.approx(expected, abs=0.05)
    assert run(calculator, {}).drivers[0].input == "c"


def test_a_product_shows_its_interaction():
    """Source: by hand: centred product has no first-order part and all of the total."""
    rng = np.random.default_rng(2)
    unit = unit_sample(20_000, 2, rng)
    assert first_order(unit, (unit[:, 0] - 0.5) * (unit[:, 1] - 0.5)) == pytest.approx(
        [0, 0], abs=0.02
    )
    total = total_order(lambda u: (u[:, 0] - 0.5) * (u[:, 1] - 0.5), 2, 4000, rng)
    assert total == pytest.approx([1, 1], abs=0.08)


def test_percentiles_are_those_of_the_distribution():
    """Source: by hand: uniform 0..10 has 0.5, 5 and 9.5."""
    calculator = declared(lambda a: {"y": a}, Number("a", "", "0..10", 0, 10, "reading"))
    y = run(calculator, {}).results["y"]
    assert (y.low, y.value, y.high) == pytest.approx((0.5, 5, 9.5), abs=0.01)


def test_units_convert_once_in_and_once_out():
    calculator = declared(
        lambda gauge, force: {"y": force / gauge**2},
        Number("gauge", "mm", "2", 0.1, 10, "gauge"),
        Number("force", "kN", "8", 0, 100, "force"),
        outputs=(Output("y", "MPa", "stress"),),
    )
    assert run(calculator, {}).results["y"].value == pytest.approx(2000)
    assert run(calculator, {"gauge": "0.2 cm", "force": "8000 N"}).results[
        "y"
    ].value == pytest.approx(2000)


def test_one_number_each_is_one_evaluation_without_drivers():
    calls = []

    def evaluate(a):
        calls.append(len(a))
        return {"y": a}

    found = run(declared(evaluate, Number("a", "", "3", 0, 9, "reading")), {})
    assert calls == [1]
    assert found.drivers == ()
    assert found.measure_next == ""
    assert found.findings == ("y is 3",)


def test_runs_repeat_by_seed():
    calculator = _three()
    one, two, other = (run(calculator, {}, samples=300, seed=s) for s in (5, 5, 6))
    assert one.results == two.results
    assert one.drivers == two.drivers
    assert one.results != other.results


def test_named_outcomes_come_with_their_share():
    calculator = declared(
        lambda a: {"y": a, "mode": np.where(a > 7.5, 1, 0)},
        Number("a", "", "0..10", 0, 10, "reading"),
        outputs=(Output("y", "", "value"), Output("mode", "", "which", labels=("holds", "slips"))),
    )
    mode = run(calculator, {}).results["mode"]
    assert mode.value == "holds"
    assert mode.share == pytest.approx(0.75, abs=0.01)


def test_counts_are_whole():
    seen = []

    def evaluate(n):
        seen.append(n)
        return {"y": n}

    run(declared(evaluate, Number("n", "", "1..4", 1, 4, "count", whole=True)), {}, samples=50)
    assert set(np.unique(seen[0])) <= {1.0, 2.0, 3.0, 4.0}


def test_other_names_are_understood():
    calculator = declared(
        lambda gauge: {"y": gauge}, Number("gauge", "", "1", 0, 9, "g"), also={"t": "gauge"}
    )
    assert run(calculator, {"t": "3"}).results["y"].value == 3


def _strict():
    def evaluate(a, kind, text):
        if text == "refuse":
            raise ValueError("text asks to be refused")
        return {"y": 1 / a}

    return declared(
        evaluate,
        Number("a", "mm", "1", 0, 9, "reading"),
        Choice("kind", "x", {"x": "one", "y": "two"}, "kind"),
        Words("text", "", "words"),
    )


@pytest.mark.parametrize(
    ("given", "kind", "words"),
    [
        ({"b": "1"}, BadInput, "no input 'b'"),
        ({"kinds": "x"}, BadInput, "did you mean 'kind'"),
        ({"a": "10"}, OutOfRange, "a: 10 mm is outside the range of validity; give 0 to 9 mm"),
        ({"a": "-1..2"}, OutOfRange, "a:"),
        ({"a": "9.5+-1"}, OutOfRange, "a:"),
        ({"a": "nan"}, BadInput, "a:"),
        ({"a": "1e9"}, OutOfRange, "a:"),
        ({"a": "1 kN"}, BadInput, "a:"),
        ({"kind": "z"}, BadInput, "choose x, y"),
        ({"text": "refuse"}, BadInput, "asks to be refused"),
        ({"a": "0"}, BadInput, "no finite value"),
    ],
)
def test_refusals(given, kind, words):
    with pytest.raises(kind) as caught:
        run(_strict(), given)
    assert words in str(caught.value)
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize("samples", [0, -5, 10**7])
def test_a_senseless_number_of_samples_is_refused(samples):
    with pytest.raises(BadInput, match="--samples"):
        run(_three(), {}, samples=samples)


def test_a_tolerance_past_the_bounds_is_told():
    found = run(declared(lambda a: {"y": a}, Number("a", "", "1+-1", 0, 9, "reading")), {})
    assert any("cut off" in line for line in found.warnings)
    assert found.results["y"].low > 0


def test_what_is_measured_next_is_the_first_driver():
    found = run(_three(), {})
    assert found.measure_next.startswith(f"Measure {found.drivers[0].input} next")


@pytest.mark.parametrize(
    ("value", "expected"),
    [
        (0, "0"),
        (1234567, "1.23e+06"),
        (0.00004, "4e-05"),
        (999.6, "1,000"),
        (-0.5, "-0.5"),
        (12.0, "12"),
    ],
)
def test_figures_are_written_for_people(value, expected):
    assert figures(value) == expected


def test_results_are_plain_data():
    found = run(_three(), {}, samples=100)
    json.dumps({name: vars(r) for name, r in found.results.items()}, allow_nan=False)


def test_shares_by_expansion_are_exact_for_a_product():
    """By hand: y = a u1 + b u2 u3 has the variances a2/12, b2/48 twice and b2/144."""
    rng = np.random.default_rng(3)
    unit = rng.random((4000, 4))
    alone, total = by_expansion(unit, 2 * unit[:, 0] + 3 * unit[:, 1] * unit[:, 2])
    parts = np.array([4 / 12, 9 / 48, 9 / 48, 9 / 144])
    assert alone == pytest.approx([*(parts[:3] / parts.sum()), 0], abs=1e-9)
    assert total[1] == pytest.approx((parts[1] + parts[3]) / parts.sum(), abs=1e-9)
    assert total[3] == pytest.approx(0, abs=1e-9)


@pytest.mark.parametrize(
    "bent", [lambda u: np.floor(6 * u[:, 0]), lambda u: np.sin(9 * u[:, 0]), lambda u: 0 * u[:, 0]]
)
def test_an_expansion_that_does_not_follow_is_not_used(bent):
    unit = np.random.default_rng(4).random((4000, 3))
    assert by_expansion(unit, bent(unit)) is None
    assert by_expansion(unit[:300], unit[:300, 0]) is None  # too few points to judge it by


def test_an_expansion_shares_a_bend_as_its_variance():
    """By hand: y = u1 + 2 u2^2 has the variances 1/12 and 4 x 4/45; u3 has none."""
    unit = np.random.default_rng(6).random((4000, 3))
    alone, total = by_expansion(unit, unit[:, 0] + 2 * unit[:, 1] ** 2)
    parts = np.array([1 / 12, 16 / 45, 0.0])
    assert alone == pytest.approx(parts / parts.sum(), abs=1e-9)
    assert total == pytest.approx(parts / parts.sum(), abs=1e-9)
