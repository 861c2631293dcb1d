"""The order of assembly, read from laps, bolts and access."""

import re
from collections.abc import Mapping
from itertools import pairwise
from typing import Any

import numpy as np

from atlas.calculators.declare import Calculator, Output, Sampled, Words
from atlas.calculators.figure import Axis, Bar, Figure
from atlas.mechanics.orders import contradiction, one_order, sequences

# What each kind of reading says of "A > B", in words.
_CAUSES = {
    "laps": "{later} lies over {earlier}",
    "bolts": "the bolts of {later} pass through {earlier}",
    "hides": "{later} hides the fasteners of {earlier}",
    "paint": "paint runs on under {later} across {earlier}",
}
_MOST = 24
Why = dict[tuple[str, str], list[str]]


def _order(words: Mapping[str, str]) -> tuple[list[str], Why]:
    """Parts, and pairs (earlier, later) with their causes."""
    parts: dict[str, None] = {}
    together = _together(words["together"])
    why: Why = {}
    for kind, form in _CAUSES.items():
        for item in _items(words[kind]):
            chain = [part.strip() for part in item.split(">")]
            if len(chain) < 2 or not all(chain):
                raise ValueError(f"{kind}: cannot read {item[:40]!r}; write later > earlier")
            twice = next((a for a, b in pairwise(chain) if a == b), "")
            if twice:
                raise ValueError(f"{kind}: {twice[:40]!r} stands on both sides of the >")
            chain = [together.get(part, part) for part in chain]
            parts.update(dict.fromkeys(chain))
            for later, earlier in pairwise(chain):
                if later != earlier:
                    reason = form.format(later=later, earlier=earlier)
                    why.setdefault((earlier, later), []).append(reason)
    if not parts:
        raise ValueError("laps: nothing is ordered yet; write later > earlier, e.g. bar > cradle")
    if len(parts) > _MOST:
        raise ValueError(f"laps: {len(parts)} parts; at most {_MOST} at a time")
    return list(parts), why


def _items(text: str) -> list[str]:
    return [item.strip() for item in re.split(r"[;\n]", text) if item.strip()]


def _together(text: str) -> dict[str, str]:
    names: dict[str, str] = {}
    for item in _items(text):
        members = [part.strip() for part in item.split("+")]
        if len(members) < 2 or not all(members):
            raise ValueError(f"together: cannot read {item[:40]!r}; write bar + cooling pack")
        names.update(dict.fromkeys(members, " + ".join(members)))
    return names


def _evaluate(**words: str) -> dict[str, Any]:
    parts, why = _order(words)
    before = list(why)
    steps = one_order(parts, before)
    ring = contradiction(before)
    return {
        "parts": np.array([float(len(parts))]),
        "steps": np.array([float(len(steps))]),
        "sequences": np.array([float(sequences(parts, before))]),
        "contradictions": np.array([float(bool(ring))]),
        "last": np.array([float(len(_last(parts, before)))]),
    }


def _last(parts: list[str], before: list[tuple[str, str]]) -> list[str]:
    """Parts after which nothing can have come."""
    return [part for part in parts if not any(earlier == part for earlier, _ in before)]


def _words(s: Sampled) -> dict[str, str]:
    return {name: str(s.inputs[name]) for name in (*_CAUSES, "together")}


def _findings(s: Sampled) -> list[str]:
    parts, why = _order(_words(s))
    before = list(why)
    ring = contradiction(before)
    if ring:
        reasons = "; ".join(why[pair][0] for pair in ring)
        weakest = min(ring, key=lambda pair: len(why[pair]))
        return [
            f"These cannot all be true: {reasons}.",
            f"Look again at whether {why[weakest][0]}: only one reading says so.",
            "A part that was off for repair, or a joint that was closed twice, explains such a ring.",
        ]
    steps = one_order(parts, before)
    found = ["It went together as: " + ", then ".join(" and ".join(step) for step in steps) + "."]
    last = _last(parts, before)
    if len(last) == 1:
        found.append(f"{last[0]} must have come last: nothing lies over it or hides it.")
    else:
        found.append(
            f"Any of {', '.join(last)} may have come last: a lap, a hidden fastener or a paint break "
            "between two of them would decide."
        )
    count = int(s.median("sequences"))
    if count > 1:
        found.append(f"{count:,} orders fit what was seen.")
    double = [pair for pair, reasons in why.items() if len(reasons) > 1]
    if double:
        earlier, later = double[0]
        found.append(f"{earlier} before {later} rests on {len(why[double[0]])} readings.")
    return found


def _figure(s: Sampled) -> Figure:
    parts, why = _order(_words(s))
    steps = one_order(parts, list(why))
    bars = tuple(
        Bar(part, float(i), float(i), float(i)) for i, step in enumerate(steps, 1) for part in step
    )
    note = "" if len(bars) == len(parts) else "parts of a contradiction are left out"
    return Figure(
        "Step at which each part can first come", Axis("step"), Axis(""), bars=bars, note=note
    )


CALCULATOR = Calculator(
    id="lap-order",
    title="Order of assembly",
    question="In which order was it put together?",
    inputs=(
        Words("laps", "front bar > cradle; cooling pack > front bar; undertray > front bar", "what lies over what: upper > lower", "front bar > cradle; undertray > front bar"),
        Words("bolts", "", "whose bolts pass through what: bolted part > part passed", "brace plate > cradle"),
        Words("hides", "undertray > brace plate; brace plate > cradle", "what hides whose fasteners: cover > fastened part", "undertray > brace plate"),
        Words("paint", "front bar > cradle", "where paint runs on under a part: part > painted part", "front bar > cradle"),
        Words("together", "", "what arrived as one module", "front bar + cooling pack"),
    ),
    outputs=(
        Output("parts", "", "parts spoken of"),
        Output("steps", "", "steps of the shortest build"),
        Output("sequences", "", "orders that fit what was seen"),
        Output("contradictions", "", "1 where the readings contradict one another"),
        Output("last", "", "parts that may have come last"),
    ),
    evaluate=_evaluate,
    findings=_findings,
    figure=_figure,
    leaves_out="repairs and rework; parts that were loosened and closed again; fasteners tightened later than they were placed",
    cautions=("Before taking apart in the reverse order, support what the last part held; make springs, airbags and high voltage safe by the maker's and local rules.",),
    sources=("A. B. Kahn, Communications of the ACM 5 (1962), 558-562 (from memory)", "R. P. Stanley, Enumerative Combinatorics vol. 1, chapter 3 (from memory)"),
)  # fmt: skip
