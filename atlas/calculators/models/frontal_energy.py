"""How beam, cans, rails and lower path share a frontal hit."""

from typing import Any

import numpy as np

from atlas.calculators.declare import Calculator, Number, Output, Sampled, figures
from atlas.calculators.figure import Axis, Curve, Figure
from atlas.mechanics.frontal import Arrest, arrest, in_series

_G = 9.80665
_CHAIN = ("beam", "can", "rail_front", "rail_rear")
_NAMES = ("beam and foam", "crush cans", "front of the rails", "rear of the rails")


def _solve(a: dict[str, Any]) -> tuple[Arrest, Any, Any]:
    strength = np.stack([a[f"{part}_force"] for part in _CHAIN])
    length = np.stack([a[f"{part}_stroke"] for part in _CHAIN])
    start, end = in_series(strength, length)
    chain_end = end.max(axis=0)
    # The root holds whatever is left; what it is pushed back is intrusion.
    rows = [(start, end, strength)]
    for path in ("lower", "upper"):
        begin = a[f"{path}_at"]
        rows.append((begin[None], (begin + a[f"{path}_stroke"])[None], a[f"{path}_force"][None]))
    rows.append((chain_end[None], np.full_like(chain_end, 20.0)[None], a["root_force"][None]))
    starts, ends, forces = (np.concatenate(column) for column in zip(*rows, strict=True))
    factor = np.where(np.arange(len(forces))[:, None] < len(_CHAIN) + 2, a["dynamic"], 1.0)
    done = arrest(
        a["mass"], a["speed"], starts, ends, forces * factor, a["unit_mass"], a["unit_at"]
    )
    return done, strength, chain_end


def _evaluate(**a: Any) -> dict[str, Any]:
    a = {name: np.atleast_1d(value) for name, value in a.items()}
    done, strength, chain_end = _solve(a)
    total = a["mass"] * a["speed"] ** 2 / 2
    energy = done.layer_energy
    # A chain that is to fold from the front must grow stronger rearward.
    rising = np.all(np.diff(strength, axis=0) > 0, axis=0)
    rail_first = (strength[2] < strength[1]) | (strength[3] < strength[1])
    order = np.where(rising, 0, np.where(rail_first, 1, 2))
    return {
        "stroke": done.stroke,
        "intrusion": np.maximum(done.stroke - chain_end, 0.0),
        "peak": done.deceleration.max(axis=0) / _G,
        "mean": a["speed"] / done.duration / _G,
        "duration": done.duration,
        "beam_share": energy[0] / total,
        "can_share": energy[1] / total,
        "rail_share": (energy[2] + energy[3]) / total,
        "lower_share": energy[4] / total,
        "upper_share": energy[5] / total,
        "unit_share": done.unit_energy / total,
        "left": energy[6],
        "energy": total,
        "can_margin": np.minimum(strength[2], strength[3]) / strength[1],
        "order": order,
    }


def _findings(s: Sampled) -> list[str]:
    over = s.share(s["intrusion"] > 1.0)
    if over > 0.95:
        found = [
            f"The layers are used up with {s.span('left', 2)} kJ left: the root is pushed back by "
            f"{s.span('intrusion', 2)} mm."
        ]
    elif over < 0.05:
        spare = float(
            np.median(np.sum([np.asarray(s.inputs[f"{p}_stroke"]) for p in _CHAIN], axis=0))
        )
        found = [
            f"It stops within its layers after {s.span('stroke', 3)} mm of about {figures(spare, 3)} mm; "
            "the root is not pushed back."
        ]
    else:
        found = [f"The root is pushed back in {over:.0%} of samples ({s.span('intrusion', 2)} mm)."]
    rail_first = s.share(s["order"] == 1)
    if rail_first > 0.05:
        found.append(
            f"In {rail_first:.0%} of samples a rail gives way before the cans: a parking hit then bends "
            f"the rail (weakest rail section {s.span('can_margin', 2)} times the can)."
        )
    else:
        found.append(
            f"The cans fold first: the weakest rail section holds {s.span('can_margin', 2)} times their "
            "force."
        )
    low = s.median("lower_share")
    found.append(
        f"Cans take {s.median('can_share'):.0f} %, rails {s.median('rail_share'):.0f} %, the lower path "
        f"{low:.0f} % of {s.span('energy', 3)} kJ"
        + (
            f", the drive unit takes its own {s.median('unit_share'):.0f} % to the wall."
            if s.median("unit_share") > 0.5
            else "."
        )
    )
    return found


def _figure(s: Sampled) -> Figure:
    from atlas.calculators.units import factor

    a = {
        one.name: np.asarray(s.inputs[one.name], dtype=float)[:400] * factor(one.unit)
        for one in CALCULATOR.inputs
        if isinstance(one, Number)
    }
    done, _, _ = _solve(a)
    grid = np.linspace(0, float(np.percentile(done.stroke, 95)), 160)
    # Deceleration at each mark of the crush; zero once a sample has stopped.
    at = np.stack(
        [
            np.where(
                grid < crush[-1],
                decel[np.minimum(np.searchsorted(crush, grid), len(crush) - 1)],
                0.0,
            )
            for crush, decel in zip(done.crush.T, done.deceleration.T, strict=True)
        ]
    )
    low, middle, high = np.percentile(at / _G, (5, 50, 95), axis=0)
    return Figure(
        "Deceleration over the crush",
        Axis("crush", "mm"),
        Axis("deceleration", "g", low=0.0),
        curves=(Curve("body", grid * 1000, middle, low, high),),
    )


CALCULATOR = Calculator(
    id="frontal-energy",
    title="Energy of a frontal hit, layer by layer",
    question="How do beam, cans, rails and lower path share a frontal hit?",
    inputs=(
        Number("mass", "kg", "1700..2000", 300, 6000, "of the vehicle as it hits, drive unit included"),
        Number("speed", "km/h", "56.3", 1, 120, "at contact with a rigid wall over the full width"),
        Number("beam_force", "kN", "40..70", 1, 5000, "both sides, at which beam and foam flatten"),
        Number("beam_stroke", "mm", "50..80", 0, 600, "that they give"),
        Number("can_force", "kN", "130..170", 1, 5000, "mean folding force of both cans"),
        Number("can_stroke", "mm", "100..130", 0, 600, "that the cans give (about 0.75 of their length)"),
        Number("rail_front_force", "kN", "230..280", 1, 5000, "mean folding force of both rails ahead"),
        Number("rail_front_stroke", "mm", "220..280", 0, 1200, "that the front of the rails gives"),
        Number("rail_rear_force", "kN", "320..380", 1, 5000, "the same behind, after a step in gauge or section"),
        Number("rail_rear_stroke", "mm", "150..200", 0, 1200, "that the rear of the rails gives"),
        Number("lower_force", "kN", "50..80", 0, 5000, "of the lower path (cradle horns), 0 where there is none"),
        Number("lower_at", "mm", "120..160", 0, 1500, "crush at which the lower path is met"),
        Number("lower_stroke", "mm", "250..300", 0, 1500, "that the lower path gives"),
        Number("upper_force", "kN", "20..40", 0, 5000, "of the upper rails"),
        Number("upper_at", "mm", "250..320", 0, 1500, "crush at which the upper rails are met"),
        Number("upper_stroke", "mm", "250..300", 0, 1500, "that the upper rails give"),
        Number("unit_mass", "kg", "180..240", 0, 1500, "of the drive unit"),
        Number("unit_at", "mm", "430..500", 50, 3000, "crush at which the drive unit meets the wall"),
        Number("root_force", "kN", "450..600", 10, 10000, "at which the rails' roots are pushed back"),
        Number("dynamic", "", "1.05..1.15", 0.8, 2, "dynamic force over static force (steel 1.1 to 1.3 in a hit at speed)"),
    ),
    outputs=(
        Output("stroke", "mm", "crush until it stops"),
        Output("intrusion", "mm", "by which the roots are pushed back"),
        Output("peak", "", "highest deceleration, in g"),
        Output("mean", "", "mean deceleration, in g"),
        Output("duration", "ms", "until it stops"),
        Output("beam_share", "%", "of the energy, in beam and foam"),
        Output("can_share", "%", "of the energy, in the cans"),
        Output("rail_share", "%", "of the energy, in the rails"),
        Output("lower_share", "%", "of the energy, in the lower path"),
        Output("upper_share", "%", "of the energy, in the upper rails"),
        Output("unit_share", "%", "of the energy, that the drive unit takes to the wall itself"),
        Output("left", "kJ", "that the roots have to take"),
        Output("energy", "kJ", "kinetic energy at contact"),
        Output("can_margin", "", "weakest rail section's force over that of the cans"),
        Output("order", "", "order of collapse", labels=("from the front rearward", "a rail before the cans", "out of order ahead of the rails")),
    ),
    evaluate=_evaluate,
    findings=_findings,
    figure=_figure,
    leaves_out="bending and hinges, rebound, the mounts of the drive unit, anything but a full-width rigid wall; layers of constant force",
    cautions=("Screening of a story told by sections, not a prediction: crash performance is proven by test under the authority's own protocol.", "A crushed front holds spring energy, undeployed pyrotechnics and perhaps live high-voltage parts: make it safe by the maker's and local rules before touching it."),
    sources=("work and energy for constant forces", "full-width test at 56.3 km/h: US Federal Register, 11 July 2008", "folding forces: calculators crush-can and rail-fold"),
    leading="can_force",
)  # fmt: skip
