"""The profile shapes that a person can name, and the section that each one is."""

import re
from typing import Any

import numpy as np

from atlas.mechanics import sections, sheet_sections
from atlas.mechanics.materials import ELASTIC_MODULUS
from atlas.mechanics.outlines import outline_section
from atlas.mechanics.ranges import within
from atlas.mechanics.sections import Section
from atlas.mechanics.walls import effective_share, wall_class

SHAPES: dict[str, str] = {
    "round-tube": "round tube: width is the diameter",
    "box": "rectangular tube, corners rounded by radius",
    "multi-cell": "extrusion with inner webs of second_gauge",
    "hat": "top-hat, open below",
    "closed-hat": "top-hat closed by a plate of second_gauge",
    "channel": "channel, web upright; flange is the lip",
    "i-section": "I or H, web of second_gauge",
    "flat": "solid rectangle",
    "rod": "solid round: width is the diameter",
    "outline": "polygon with holes, typed as corners",
}
CLOSED = ("round-tube", "box", "multi-cell", "closed-hat")


def section_of(
    shape: str,
    width: Any,
    height: Any,
    gauge: Any,
    radius: Any = 0.0,
    flange: Any = 0.0,
    second_gauge: Any = 0.0,
    cells_wide: Any = 1,
    cells_high: Any = 1,
    outline: str = "",
    scale: Any = 1.0,
) -> Section:
    """The section of a named shape; arguments that the shape does not have are ignored.

    Raises:
        ValueError: the shape cannot be built from these; the message names the argument.
    """
    if shape == "round-tube":
        return sections.round_tube(_named("width", width), gauge)
    if shape == "rod":
        across = _named("width", width)
        return sections.round_tube(across, across / 2)
    if shape == "box":
        return sections.box(width, height, gauge, radius)
    if shape == "multi-cell":
        return _celled(width, height, gauge, second_gauge, cells_wide, cells_high)
    if shape == "hat":
        return sheet_sections.hat(width, height, flange, gauge)
    if shape == "closed-hat":
        plate = within("second_gauge", second_gauge, 0, 1, above=True)
        return sheet_sections.hat(width, height, flange, gauge, plate)
    if shape == "channel":
        return sheet_sections.channel(width, height, gauge, flange)
    if shape == "i-section":
        return sheet_sections.i_section(width, height, gauge, second_gauge)
    if shape == "flat":
        return sections.solid_rectangle(width, height)
    return _scaled(outline_section(*rings(outline)), within("scale", scale, 0, 100, above=True))


def open_torsion(shape: str, section: Section, gauge: Any, second_gauge: Any) -> Any:
    """Torsion constant of the same walls slit along their length [m4]; its own where open."""
    if shape not in CLOSED:
        return section.j
    # The walls' developed length follows from area and gauge; closing plates and webs are thin too.
    wall = np.asarray(gauge, dtype=np.float64)
    if shape in ("multi-cell", "closed-hat"):
        wall = np.minimum(wall, np.asarray(second_gauge, dtype=np.float64))
    return section.area * wall**2 / 3


# Webs bent in their plane may be so much more slender than compressed walls: EN 1993-1-1:2005,
# Table 5.2, limits 33 and 38 against 72 and 83 (42 against 124 would allow more still).
_BENT = 33 / 72


def slender_wall(
    shape: str,
    width: Any,
    height: Any,
    gauge: Any,
    flange: Any,
    second_gauge: Any,
    cells_wide: Any,
    cells_high: Any,
    bent: bool = False,
) -> tuple[str, Any] | None:
    """Kind and width over thickness of the most slender wall; None where nothing is thin.

    ``bent`` for bending in the vertical plane, where upright walls are pressed on one side only;
    else for a push along the axis, which presses all walls alike.
    """
    t = np.asarray(gauge, dtype=np.float64)
    upright = _BENT if bent else 1.0
    if shape == "round-tube":
        return "tube", width / t
    if shape == "box":  # flat width as EN 1993-1-1 takes it for hollow sections
        flat = np.maximum(width / t - 3, upright * (height / t - 3))
        return "internal", np.maximum(flat, 0)
    if shape == "multi-cell":
        across = width / cells_wide / t
        up = height / cells_high / np.minimum(t, second_gauge)
        return "internal", np.maximum(across, upright * up)
    if shape in ("hat", "closed-hat"):
        wall = np.maximum(width / t - 2, upright * (height / t - 2))
        if shape == "closed-hat":
            wall = np.maximum(wall, width / second_gauge)
        return "internal", np.maximum(wall, flange / t * 42 / 14)  # an outstand counts threefold
    if shape == "channel":
        free = np.where(flange > 0, width / t * 14 / 42, width / t)
        return "internal", np.maximum(upright * (height / t - 2), (free - 1) * 42 / 14)
    if shape == "i-section":
        return "internal", np.maximum(
            upright * (height - 2 * t) / second_gauge, (width - second_gauge) / 2 / t * 42 / 14
        )
    return None


def wall_state(
    wall: tuple[str, Any] | None, material: str, strength: Any, welded: bool = False
) -> tuple[Any, Any]:
    """Class 1 to 4 of the wall and the share of it that still carries in compression."""
    if wall is None:
        return np.float64(1.0), np.float64(1.0)
    part, ratio = wall
    most = float(np.max(ratio))
    if most > 500:
        raise ValueError(
            f"gauge is too thin: a wall is {most:.0f} times as wide as thick, 500 at most"
        )
    metal = "aluminium" if material == "aluminium" else "steel"
    # Other metals by the steel rules with epsilon scaled by the modulus, as EN 1993-1-4 does.
    equal = strength if metal == "aluminium" else strength * 210e9 / ELASTIC_MODULUS[material]
    equal = np.minimum(equal, 2e9)  # end of the rules' range; beyond it every thin wall is slack
    grade = wall_class(ratio, equal, part, metal, welded)
    if part == "tube" and metal == "steel" and np.any(grade == 4):
        return grade, np.ones_like(grade)
    return grade, effective_share(ratio, equal, part, metal, welded)


def rings(text: str) -> list[list[tuple[float, float]]]:
    """Corners typed in millimetres: pairs 'y,z' in turn; ';' before each hole [m].

    >>> rings("0,0 60,0 60,40; 10,5 20,5 15,9")[1][0]
    (0.01, 0.005)
    """
    if not text.strip():
        raise ValueError(
            "outline is empty: type corners as '0,0 60,0 60,40 0,40', ';' before a hole"
        )
    found: list[list[tuple[float, float]]] = []
    for part in text.split(";"):
        ring: list[tuple[float, float]] = []
        for pair in part.split():
            if not re.fullmatch(r"-?\d+(\.\d+)?,-?\d+(\.\d+)?", pair):
                raise ValueError(
                    f"outline has {pair[:30]!r} where a corner such as '60,40' belongs"
                )
            y, z = pair.split(",")
            ring.append((float(y) / 1000, float(z) / 1000))
        found.append(ring)
    return found


def _celled(width: Any, height: Any, gauge: Any, web: Any, wide: Any, high: Any) -> Section:
    """Multi-cell with counts that may differ between samples: one call for each pair."""
    webs = within("second_gauge", web, 0, 1, above=True)
    b, h, t, w, nx, nz = np.broadcast_arrays(*np.atleast_1d(width, height, gauge, webs, wide, high))
    pairs = np.unique(np.stack([nx, nz]), axis=1).T
    if len(pairs) == 1:
        return sections.multi_cell(b, h, t, w, int(pairs[0, 0]), int(pairs[0, 1]))
    fields = {name: np.empty(b.shape) for name in Section.__dataclass_fields__}
    for i, k in pairs:
        mask = (nx == i) & (nz == k)
        part = sections.multi_cell(b[mask], h[mask], t[mask], w[mask], int(i), int(k))
        for name, array in fields.items():
            array[mask] = getattr(part, name)
    return Section(**fields)


def _scaled(section: Section, scale: Any) -> Section:
    power = {"area": 2, "iy": 4, "iz": 4, "j": 4, "centre_y": 1, "centre_z": 1}
    return Section(
        **{n: getattr(section, n) * scale ** power.get(n, 3) for n in Section.__dataclass_fields__}
    )


def _named(name: str, value: Any) -> Any:
    return within(name, value, 0, 2, above=True)
