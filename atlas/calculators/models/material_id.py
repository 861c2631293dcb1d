"""What it is made of, from magnet, weight, size and tap."""

from typing import Any

import numpy as np

from atlas.calculators.declare import Calculator, Choice, Number, Output, Sampled
from atlas.calculators.figure import Axis, Bar, Figure
from atlas.mechanics.evidence import entropy, expected_gain, posterior, reading_likelihood

# Families with density [kg/m3] and conductivity [S/m]: handbook values, from memory; densities of
# iron, aluminium, magnesium and copper as in the CRC Handbook of Chemistry and Physics.
FAMILIES: dict[str, tuple[float, float]] = {
    "carbon steel": (7850.0, 5.5e6),
    "stainless steel": (7900.0, 1.4e6),
    "cast iron": (7200.0, 2.0e6),
    "aluminium sheet or profile": (2700.0, 26e6),
    "aluminium casting": (2680.0, 20e6),
    "magnesium casting": (1800.0, 10e6),
    "glass-filled polymer": (1400.0, 1e2),
    "carbon laminate": (1550.0, 2e4),
}
_KEYS = {name: "p_" + name.replace(" ", "_").replace("-", "_") for name in FAMILIES}
PRIORS: dict[str, tuple[float, ...]] = {
    "cradle": (0.55, 0.01, 0.02, 0.17, 0.20, 0.03, 0.01, 0.01),
    "bumper beam": (0.55, 0.01, 0.0, 0.40, 0.01, 0.0, 0.03, 0.0),
    "arm or knuckle": (0.40, 0.01, 0.12, 0.22, 0.24, 0.0, 0.0, 0.01),
    "cross-car or carrier": (0.30, 0.01, 0.0, 0.15, 0.10, 0.20, 0.23, 0.01),
    "unknown": (0.125,) * 8,
}
# How likely each family shows each state: judgement, common practice, no source.
TESTS: dict[str, dict[str, tuple[float, ...]]] = {
    "magnet": {
        "sticks": (0.98, 0.10, 0.98, 0.01, 0.01, 0.01, 0.01, 0.01),
        "weak": (0.01, 0.30, 0.01, 0.01, 0.01, 0.01, 0.01, 0.01),
        "none": (0.01, 0.60, 0.01, 0.98, 0.98, 0.98, 0.98, 0.98),
    },
    "rust": {
        "red rust": (0.60, 0.02, 0.70, 0.01, 0.01, 0.01, 0.01, 0.01),
        "white bloom": (0.10, 0.01, 0.01, 0.34, 0.44, 0.49, 0.01, 0.01),
        "none": (0.30, 0.97, 0.29, 0.65, 0.55, 0.50, 0.98, 0.98),
    },
    "skin": {
        "painted or coated": (0.80, 0.05, 0.35, 0.15, 0.10, 0.40, 0.02, 0.03),
        "bare and smooth": (0.15, 0.90, 0.05, 0.35, 0.05, 0.05, 0.18, 0.07),
        "drawing lines": (0.02, 0.02, 0.0, 0.45, 0.0, 0.0, 0.0, 0.0),
        "cast grain, ejector marks": (0.01, 0.01, 0.59, 0.02, 0.83, 0.53, 0.40, 0.0),
        "weave or fibres": (0.02, 0.02, 0.01, 0.03, 0.02, 0.02, 0.40, 0.90),
    },
    "form": {
        "pressed sheet": (0.75, 0.60, 0.0, 0.25, 0.0, 0.0, 0.05, 0.10),
        "constant profile": (0.20, 0.30, 0.0, 0.65, 0.0, 0.0, 0.05, 0.15),
        "ribs, varying wall": (0.01, 0.05, 0.90, 0.02, 0.97, 0.98, 0.85, 0.10),
        "solid, flash line": (0.04, 0.05, 0.10, 0.08, 0.03, 0.02, 0.0, 0.0),
        "moulded shell": (0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.05, 0.65),
    },
    "tap": {
        "rings": (0.75, 0.80, 0.40, 0.60, 0.30, 0.15, 0.02, 0.10),
        "dull": (0.25, 0.20, 0.60, 0.40, 0.70, 0.85, 0.98, 0.90),
    },
}
_WORDS = {
    "magnet": "does a magnet stick, under the paint",
    "rust": "what shows where paint is off",
    "skin": "what the surface looks like",
    "form": "how it was shaped",
    "tap": "sound when tapped with a knuckle or spanner",
}
_BLURS = {"weigh": 0.12, "conductivity": 0.15}  # relative error of a careful reading
# Trouble of a test against a glance: the next test is the one that tells most for it.
_EFFORT = {"weigh": 3.0, "conductivity": 8.0}
NEXT = (*TESTS, "weigh", "conductivity", "nothing more")


def _evaluate(
    part: str,
    magnet: str,
    rust: str,
    skin: str,
    form: str,
    tap: str,
    weigh: str,
    density: Any,
    density_error: Any,
    conduct: str,
    conductivity: Any,
    trust: Any,
) -> dict[str, Any]:
    seen = {"magnet": magnet, "rust": rust, "skin": skin, "form": form, "tap": tap}
    count = len(np.atleast_1d(density))
    # Evidence of the eye is discounted: likelihood to the power of the trust in it.
    parts = [np.ones((count, len(FAMILIES)))]
    for test, state in seen.items():
        if state != "not tried":
            parts.append(np.asarray(TESTS[test][state]) ** np.atleast_1d(trust)[:, None])
    figures = np.array(list(FAMILIES.values()))
    if weigh == "yes":
        parts.append(
            reading_likelihood(
                np.atleast_1d(density)[:, None],
                figures[:, 0],
                np.atleast_1d(density_error)[:, None],
            )
            * 1e3
        )
    if conduct == "yes":
        # Conductivities of one family differ by alloy: a quarter either way.
        close = reading_likelihood(np.atleast_1d(conductivity)[:, None], figures[:, 1], 0.25)
        parts.append(close * figures[:, 1] + 1e-9)
    after = posterior(np.array(PRIORS[part]), *[np.maximum(p, 1e-12) for p in parts])
    gains = []
    mean = after.mean(axis=0)
    for name, table in TESTS.items():
        tried = seen[name] != "not tried"
        gains.append(0.0 if tried else float(expected_gain(mean, _full(table))))
    for name, column, done in (("weigh", 0, weigh == "yes"), ("conductivity", 1, conduct == "yes")):
        gains.append(
            0.0 if done else float(expected_gain(mean, _classes(figures[:, column], _BLURS[name])))
        )
    worth = [gain / _EFFORT.get(name, 1.0) ** 0.5 for name, gain in zip(NEXT, gains, strict=False)]
    best = int(np.argmax(worth)) if max(gains) > 0.05 else len(NEXT) - 1
    promised = gains[best] if best < len(gains) else 0.0
    return {
        "top_probability": after.max(axis=-1), "doubt": entropy(after),
        "gain_next": np.full(count, promised),
        **{_KEYS[name]: after[:, k] for k, name in enumerate(FAMILIES)},
        "family": after.argmax(axis=-1), "next_test": np.full(count, best),
    }  # fmt: skip


def _full(table: dict[str, tuple[float, ...]]) -> Any:
    states = np.array(list(table.values()))
    return states / states.sum(axis=0)


def _classes(figures: Any, error: float) -> Any:
    """A reading as a test with one outcome a distinct figure."""
    close = np.array(
        [[np.exp(-0.5 * ((a - b) / (error * b)) ** 2) for b in figures] for a in figures]
    )
    return close / close.sum(axis=0)


def _findings(s: Sampled) -> list[str]:
    ranked = sorted(FAMILIES, key=lambda name: -s.median(_KEYS[name]))
    first, second = ranked[:2]
    p, q = s.median(_KEYS[first]), s.median(_KEYS[second])
    found = []
    if p > 0.95:
        found.append(
            f"Take it as {first} ({p:.1%}); what was seen makes it {p / max(q, 1e-9):,.0f} times likelier than {second}."
        )
    elif p > 0.7:
        found.append(f"Probably {first} ({p:.0%}); {second} still has {q:.0%}.")
    else:
        found.append(f"Open: {first} {p:.0%} against {second} {q:.0%}; do not build on it yet.")
    test = NEXT[int(np.median(s["next_test"]))]
    if test != "nothing more":
        how = {
            "weigh": "weigh it and find its volume in water: mass over displaced litres",
            "conductivity": "touch it with an eddy-current conductivity gauge on a bare spot",
        }.get(test, _WORDS.get(test, test))
        found.append(
            f"Next: {how}; it is expected to take {s.median('gain_next'):.2g} of {s.median('doubt'):.2g} bits of doubt."
        )
    if s.inputs["magnet"] == "sticks" and p < 0.7:
        found.append(
            "A magnet that sticks may hold a steel insert in a light casting: try it in three places."
        )
    if first == "magnesium casting" and p > 0.3:
        found.append("Do not grind or spark-test it: magnesium swarf burns.")
    return found


def _figure(s: Sampled) -> Figure:
    bars = []
    for name in sorted(FAMILIES, key=lambda one: -s.median(_KEYS[one])):
        low, middle, high = (float(v) for v in np.percentile(s[_KEYS[name]], (5, 50, 95)))
        bars.append(Bar(name, middle, low, high))
    return Figure(
        "Probability by material", Axis("probability", "", low=0.0, high=1.0), Axis(""),
        bars=tuple(bars), note="One long bar and the rest gone: decided. Two alike: take the next test.",
    )  # fmt: skip


def _look(name: str) -> Choice:
    options = {"not tried": "not looked at", **{state: state for state in TESTS[name]}}
    return Choice(name, "not tried", options, _WORDS[name])


CALCULATOR = Calculator(
    id="material-id",
    title="Material from simple tests",
    question="What is it made of, from magnet, weight, size and tap?",
    inputs=(
        Choice("part", "cradle", {name: f"usual materials of: {name}" for name in PRIORS}, "what kind of part it is"),
        *(_look(name) for name in TESTS),
        Choice("weigh", "no", {"no": "not weighed", "yes": "weighed, volume known: density counts"}, "was its density found"),
        Number("density", "kg/m3", "2500..2900", 500, 22000, "mass over volume, by water or by size"),
        Number("density_error", "", "0.15", 0.005, 0.6, "relative error of that density: water 0.05, tape measure 0.2"),
        Choice("conduct", "no", {"no": "not measured", "yes": "conductivity measured"}, "was its conductivity measured"),
        Number("conductivity", "MS/m", "18..28", 0.0001, 65, "eddy-current reading on bare metal"),
        Number("trust", "", "0.6..1", 0.05, 1, "how far the eye's evidence is trusted: photo 0.5, in the hand 1"),
    ),
    outputs=(
        Output("top_probability", "", "probability of the likeliest family"),
        Output("doubt", "", "bits of doubt left"),
        Output("gain_next", "", "bits that the best next test should take"),
        *(Output(key, "", f"probability of {name}") for name, key in _KEYS.items()),
        Output("family", "", "likeliest family", labels=tuple(FAMILIES)),
        Output("next_test", "", "test that tells most", labels=NEXT),
    ),
    evaluate=_evaluate,
    findings=_findings,
    figure=_figure,
    leaves_out="grade and temper, inserts and hybrids, dependence between looks (paint hides rust), exotic metals",
    cautions=(
        "Never grind, file or spark-test a part that may be magnesium or near fuel, battery or airbag.",
        "High-voltage parts stay closed: no probes, no magnets near them.",
    ),
    sources=(
        "Bayes' theorem; D. J. C. MacKay, Information Theory, Inference, and Learning Algorithms (expected information)",
        "CRC Handbook of Chemistry and Physics (densities; from memory)",
        "how likely each family shows each state: common practice, no source",
    ),
    leading="density",
    also={"finish": "skin", "sound": "tap", "corrosion": "rust", "zone": "part", "shape": "form"},
)  # fmt: skip
