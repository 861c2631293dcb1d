"""How stiff and strong a profile is."""

from typing import Any

import numpy as np

from atlas.calculators.declare import Calculator, Choice, Number, Output, Sampled, Words
from atlas.calculators.figure import Axis, Figure
from atlas.calculators.response import response, setting
from atlas.calculators.shapes import (
    CLOSED,
    SHAPES,
    open_torsion,
    section_of,
    slender_wall,
    wall_state,
)
from atlas.mechanics.materials import DENSITY, ELASTIC_MODULUS, STRUCTURAL, shear_modulus

CLASSES = ("plastic hinge", "plastic moment", "yields at the edge", "wall buckles first")


def _evaluate(
    shape: str,
    material: str,
    width: Any,
    height: Any,
    gauge: Any,
    radius: Any,
    flange: Any,
    second_gauge: Any,
    cells_wide: Any,
    cells_high: Any,
    outline: str,
    scale: Any,
    yield_strength: Any,
) -> dict[str, Any]:
    s = section_of(
        shape,
        width,
        height,
        gauge,
        radius,
        flange,
        second_gauge,
        cells_wide,
        cells_high,
        outline,
        scale,
    )
    wall = slender_wall(
        shape, width, height, gauge, flange, second_gauge, cells_wide, cells_high, bent=True
    )
    grade, carrying = wall_state(wall, material, yield_strength)
    slit = open_torsion(shape, s, gauge, second_gauge)
    return {
        "iy": s.iy, "iz": s.iz, "j": s.j, "area": s.area,
        "wel_y": s.wel_y, "wel_z": s.wel_z, "wpl_y": s.wpl_y, "wpl_z": s.wpl_z,
        "neutral_axis": s.centre_z, "centre_y": s.centre_y,
        "mass_per_metre": s.area * DENSITY[material],
        "bending_stiffness": s.iy * ELASTIC_MODULUS[material],
        "sideways_stiffness": s.iz * ELASTIC_MODULUS[material],
        "torsional_stiffness": s.j * shear_modulus(material),
        "yield_moment": s.wel_y * yield_strength * np.where(grade == 4, carrying, 1.0),
        "plastic_moment": s.wpl_y * yield_strength,
        "closing_gain": s.j / slit,
        "wall_class": grade - 1,
    }  # fmt: skip


def _findings(s: Sampled) -> list[str]:
    shape = s.inputs["shape"]
    found: list[str] = []
    slack = s.share(s["wall_class"] > 2.5)
    if slack > 0.02:
        found.append(
            f"In {slack:.0%} of samples a compressed wall buckles before the metal yields: count on "
            f"{s.span('yield_moment')} kN m, not on the plastic moment of {s.span('plastic_moment')} kN m."
        )
    elif s.share(s["wall_class"] > 1.5) > 0.5:
        found.append(
            f"It bends elastically up to {s.span('yield_moment')} kN m and kinks soon after: walls are "
            "too thin for the plastic moment."
        )
    else:
        found.append(
            f"It yields at {s.span('yield_moment')} kN m and still carries {s.span('plastic_moment')} "
            "kN m as a plastic hinge: walls are stout enough."
        )
    ratio = float(np.median(s["iy"] / s["iz"]))
    if ratio > 1.5 or ratio < 1 / 1.5:
        stiff = "vertical" if ratio > 1 else "horizontal"
        found.append(
            f"It is {max(ratio, 1 / ratio):.1f} times stiffer in the {stiff} plane: expect its main "
            "bending load there, and look for a neighbour that holds the other way."
        )
    if shape in CLOSED:
        found.append(
            f"Closed it is about {s.median('closing_gain'):.0f} times stiffer in torsion than the same walls "
            "slit open; a seam that is stitched or spot-welded keeps only part of this."
        )
    elif shape in ("hat", "channel", "i-section"):
        found.append(
            f"Open: only {s.span('torsional_stiffness')} kN m2 in torsion; if it must carry twist, look for "
            "a closing plate or a second member."
        )
    return found


def _figure(s: Sampled) -> Figure:
    shape = s.inputs["shape"]
    name = {"outline": "scale", "rod": "width", "flat": "height"}.get(shape, "gauge")
    axis = CALCULATOR.input(name)
    assert isinstance(axis, Number)
    curve = response(CALCULATOR, s, name, "iy", title="Iy")
    twist = response(CALCULATOR, s, name, "j", title="J", style="other")
    return Figure(
        f"Bending and torsion against {name}", Axis(name, axis.unit), Axis("Iy, J", "mm4"),
        curves=(curve, twist), points=(setting(s, name, "iy"),),
        note="Where J lies far below Iy, the profile is open or flat: it twists before it bends.",
    )  # fmt: skip


CALCULATOR = Calculator(
    id="section",
    title="Stiffness and strength of a profile",
    question="How stiff and strong is this profile?",
    inputs=(
        Choice("shape", "box", SHAPES, "what the cut end looks like"),
        Choice("material", "steel", {name: name for name in STRUCTURAL}, "metal or laminate"),
        Number("width", "mm", "58..62", 3, 600, "outer width; the diameter of a round"),
        Number("height", "mm", "78..82", 0.3, 600, "outer height (not for rounds)"),
        Number("gauge", "mm", "2.2..2.8", 0.3, 40, "wall thickness; of the flanges of an I"),
        Number("radius", "mm", "4", 0, 100, "outer corner radius (box)"),
        Number("flange", "mm", "20", 0, 200, "flange width of a hat beyond its wall; lip of a channel"),
        Number("second_gauge", "mm", "2", 0.3, 40, "inner webs, closing plate, or web of an I"),
        Number("cells_wide", "", "2", 1, 6, "cells side by side (multi-cell)", whole=True),
        Number("cells_high", "", "1", 1, 6, "cells on top of each other (multi-cell)", whole=True),
        Words("outline", "", "corners in mm, across and up, in turn; ';' before each hole", "0,0 60,0 60,40 0,40; 3,3 57,3 57,37 3,37"),
        Number("scale", "", "1", 0.01, 100, "factor on the typed outline, for one traced off a photo"),
        Number("yield_strength", "MPa", "300..360", 20, 1800, "yield or 0.2 % proof strength"),
    ),
    outputs=(
        Output("iy", "mm4", "second moment for bending in the vertical plane"),
        Output("iz", "mm4", "second moment for bending in the horizontal plane"),
        Output("j", "mm4", "torsion constant"),
        Output("area", "mm2", "area of the metal"),
        Output("wel_y", "mm3", "elastic modulus, vertical plane"),
        Output("wel_z", "mm3", "elastic modulus, horizontal plane"),
        Output("wpl_y", "mm3", "plastic modulus, vertical plane"),
        Output("wpl_z", "mm3", "plastic modulus, horizontal plane"),
        Output("neutral_axis", "mm", "height of the neutral axis over the lowest fibre"),
        Output("centre_y", "mm", "centroid from the leftmost fibre"),
        Output("mass_per_metre", "kg/m", "mass of a metre"),
        Output("bending_stiffness", "kN m2", "E Iy, vertical plane"),
        Output("sideways_stiffness", "kN m2", "E Iz, horizontal plane"),
        Output("torsional_stiffness", "kN m2", "G J"),
        Output("yield_moment", "kN m", "moment at first yield, or at local buckling where that comes first"),
        Output("plastic_moment", "kN m", "moment of the full plastic hinge"),
        Output("closing_gain", "", "torsion constant over that of the same walls slit open"),
        Output("wall_class", "", "what the thinnest compressed wall allows", labels=CLASSES),
    ),
    evaluate=_evaluate,
    findings=_findings,
    figure=_figure,
    leaves_out="corner radii other than the box's, warping, shear lag, spot-weld slip, holes and dents; where a wall buckles, the whole profile is thinned like it",
    cautions=(
        "A section property is not a crash resistance: folding, welds and joints decide there.",
        "Cut ends are sharp: deburr before measuring the gauge.",
    ),
    sources=(
        "EN 10219-2:2006, Annex B (hollow sections with rounded corners)",
        "Roark's Formulas for Stress and Strain, torsion of bars (open and solid shapes)",
        "R. Bredt's formula for closed thin walls, with one shear flow a cell",
        "EN 1993-1-1:2005, Table 5.2; EN 1993-1-5:2006, 4.4; EN 1999-1-1:2007, 6.1.4 and 6.1.5 (walls)",
    ),
    leading="gauge",
    also={"diameter": "width", "wall": "gauge", "thickness": "gauge", "depth": "height",
          "web_gauge": "second_gauge", "plate_gauge": "second_gauge", "lip": "flange", "fy": "yield_strength",
          "b": "width", "h": "height", "t": "gauge"},
)  # fmt: skip
