"""Whether a pair of metals corrodes."""

from typing import Any

import numpy as np

from atlas.calculators.declare import Calculator, Choice, Number, Output, Sampled, figures
from atlas.calculators.figure import Axis, Bar, Figure
from atlas.mechanics.corrosion import INDEX, fed_current, index_difference, penetration

LIMITS = {"harsh": 0.15, "normal": 0.25, "controlled": 0.50}
PLACES = {
    "harsh": "road spray and salt: under the car, wheel house",
    "normal": "inside the body shell, some damp: 0.25 V",
    "controlled": "cabin or sealed housing: 0.50 V",
}
VERDICTS = ("leave bare", "isolate or coat", "will corrode", "isolate by practice")
_IRON = {"steel", "cast-iron"}
_YEAR = 365.25 * 24 * 3600.0
_NAMES = {name: f"anodic index {volts:.2f} V" for name, volts in INDEX.items()}


def _evaluate(
    metal: str,
    partner: str,
    place: str,
    area: Any,
    partner_area: Any,
    bare_share: Any,
    isolated: Any,
    wet_share: Any,
    oxygen_limit: Any,
    index_scatter: Any,
    gauge: Any,
) -> dict[str, Any]:
    nominal = index_difference(metal, partner)
    difference = np.maximum(
        nominal + (index_scatter if metal != partner else 0.0 * index_scatter), 0.0
    )
    limit = LIMITS[place] * np.ones_like(area)
    first = INDEX[metal] >= INDEX[partner]
    noble_area, base_area = (partner_area, area) if first else (area, partner_area)
    ratio = noble_area / base_area
    # Below the limit the pair drives next to nothing; above it oxygen decides.
    drive = np.clip((difference - limit) / 0.1, 0.0, 1.0)
    current = fed_current(oxygen_limit * drive, ratio, bare_share, wet_share) * (1 - isolated)
    depth = penetration(metal if first else partner, current) * _YEAR
    verdict = np.where(difference <= limit, 0, np.where(depth * 15 < 0.25 * gauge, 1, 2))
    if _by_practice(metal, partner, place):
        verdict = np.where(verdict == 0, 3, verdict)
    salt = penetration(
        metal if first else partner, fed_current(oxygen_limit, ratio, bare_share, wet_share)
    )
    return {
        "attack": depth, "difference": difference, "limit": limit,
        "over_limit": difference - limit, "area_ratio": ratio,
        "years": np.minimum(0.5 * gauge / np.maximum(depth, 1e-9), 200.0),
        "attack_bare": penetration(metal if first else partner, fed_current(oxygen_limit * drive, ratio, 1.0, wet_share)) * _YEAR,
        "attack_salt": salt * (1 - isolated) * _YEAR * (metal != partner),
        "loses": np.where(first, 0.0, 1.0) * np.ones_like(area), "verdict": verdict,
    }  # fmt: skip


def _by_practice(metal: str, partner: str, place: str) -> bool:
    """Pairs that the index lets pass and that are parted all the same where salt lies wet."""
    pair = {metal, partner}
    light = any(one.startswith("aluminium") for one in pair)
    return place == "harsh" and light and bool(pair & _IRON)


def _findings(s: Sampled) -> list[str]:
    pair = (s.inputs["metal"], s.inputs["partner"])
    loser = pair[int(s.median("loses"))]
    other = pair[1 - int(s.median("loses"))]
    over = s.share(s["over_limit"] > 0)
    found = []
    if over < 0.05:
        found.append(
            f"{pair[0]} and {pair[1]} differ by {s.span('difference', 2)} V, inside the {s.median('limit'):.2g} V allowed there"
            + (
                ": by the index alone the pair may touch."
                if _by_practice(pair[0], pair[1], str(s.inputs["place"]))
                else ": no isolation is needed, and none seen is no clue."
            )
        )
        if _by_practice(pair[0], pair[1], str(s.inputs["place"])):
            found.append(
                f"Trade practice isolates it all the same: salt breaks the film on {loser}, and a wet {other} face "
                f"{figures(s.median('area_ratio'), 2)} times its size then draws {s.span('attack_salt', 2)} mm a year from it, "
                + (
                    "a film or washer is worth its place."
                    if s.median("attack_salt") * 15 > 0.1 * float(np.median(s.inputs["gauge"]))
                    else "little for this wall, so that sealing the lap's edge will do."
                )
            )
            found.append(
                "Bare contact there is a clue to a cheap or early build; zinc on the steel is then the metal that is eaten: read "
                "the pair again with zinc-plate."
            )
        return found
    doubt = "" if over > 0.95 else f" (in {over:.0%} of samples)"
    found.append(
        f"{loser} is eaten: {s.span('difference', 2)} V against {s.median('limit'):.2g} V allowed{doubt}, about "
        f"{s.span('attack', 2)} mm a year; half its wall lasts {s.span('years', 2)} years."
    )
    ratio = s.median("area_ratio")
    if ratio > 3:
        found.append(
            f"A large {other} face feeds a small {loser} one ({ratio:.2g} to 1): coat the {other}, not the {loser}."
        )
    elif ratio < 0.3:
        found.append(
            f"A small {other} part in a large {loser} one ({ratio:.2g} to 1): slow, spread attack; the usual way to allow "
            "the pair."
        )
    gain = s.median("attack_bare") / max(s.median("attack"), 1e-12)
    if gain > 3 and s.median("attack") > 0:
        found.append(
            f"Paint and insulation hold the attack down {min(gain, 999):.0f} times: look for where they are broken."
        )
    found.append(
        "Expect nylon or coated washers, sealer in the lap, a zinc-flaked bolt or adhesive between them; if none is there, "
        "the pair may be read wrong."
    )
    return found


def _figure(s: Sampled) -> Figure:
    metal = str(s.inputs["metal"])
    limit = s.median("limit")
    bars = []
    for name, volts in sorted(INDEX.items(), key=lambda item: abs(item[1] - INDEX[metal])):
        gap = abs(volts - INDEX[metal])
        low, high = gap, gap
        label = name
        if name == s.inputs["partner"]:
            low, gap, high = (float(v) for v in np.percentile(s["difference"], (5, 50, 95)))
            label = f"{name} (this pair)"
        bars.append(Bar(label, gap, low, high, limit))
    return Figure(
        f"Index difference of {metal} with each partner", Axis("difference", "V", low=0.0), Axis(""),
        bars=tuple(bars), note="The mark is what the place allows; bars past it need isolation.",
    )  # fmt: skip


CALCULATOR = Calculator(
    id="galvanic",
    title="Pair of metals: corrosion",
    question="Will this pair of metals corrode?",
    inputs=(
        Choice("metal", "aluminium", _NAMES, "one metal, or its plating"),
        Choice("partner", "steel", _NAMES, "the other, or its plating"),
        Choice("place", "harsh", PLACES, "how wet and salty it is there"),
        Number("area", "mm2", "8000", 1, 1e7, "wet area of the first metal"),
        Number("partner_area", "mm2", "2000..4000", 1, 1e7, "wet area of the partner"),
        Number("bare_share", "", "0.1..0.4", 0, 1, "share of the nobler face that is bare: chips, cut edges"),
        Number("isolated", "", "0", 0, 1, "how well washers, sealer or film part them: 0 bare, 1 fully"),
        Number("wet_share", "", "0.15..0.4", 0, 1, "share of the year that the joint is wet"),
        Number("oxygen_limit", "", "0.1..0.6", 0.001, 20, "current density on the nobler metal that oxygen allows, A/m2: thin films 1, still water 0.1"),
        Number("index_scatter", "V", "0+-0.04", -0.2, 0.2, "scatter of the tabulated index difference"),
        Number("gauge", "mm", "2.5", 0.005, 40, "wall, or coating, that may be lost"),
    ),
    outputs=(
        Output("attack_salt", "mm", "depth lost in a year where salt lies wet in the joint and the index is no guard"),
        Output("attack", "mm", "depth lost in a year, even attack, as the index drives it"),
        Output("difference", "V", "difference of anodic index"),
        Output("limit", "V", "difference that the place allows"),
        Output("over_limit", "V", "difference less limit"),
        Output("area_ratio", "", "nobler over less noble area"),
        Output("years", "", "years until half the wall is gone, 200 at most"),
        Output("attack_bare", "mm", "the same without paint or insulation"),
        Output("loses", "", "which of the two is eaten", labels=("the first metal", "the partner")),
        Output("verdict", "", "what to expect", labels=VERDICTS),
    ),
    evaluate=_evaluate,
    findings=_findings,
    figure=_figure,
    leaves_out="pits and crevices (they go deeper), film resistance, self-corrosion, temperature, de-icing chemistry other than salt",
    cautions=("Corroded fasteners shear without warning: support the part and wear eye protection.",),
    sources=(
        "anodic index table in the line of MIL-F-14072, as at vk6ysf.com/galvanic_table.htm; limits 0.15, 0.25 and 0.50 V",
        "isolating aluminium from bare steel under a car: common practice, no source",
        "Faraday's law; ASTM G102 (penetration from current)",
        "catchment-area principle: H. H. Uhlig and R. W. Revie, Corrosion and Corrosion Control (from memory)",
    ),
    leading="partner_area",
    also={"metal_a": "metal", "metal_b": "partner", "environment": "place", "first": "metal", "second": "partner",
          "thickness": "gauge", "coating": "isolated"},
)  # fmt: skip
