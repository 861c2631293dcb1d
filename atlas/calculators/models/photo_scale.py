"""Lengths off a photo, from points whose places are known."""

import re
from collections.abc import Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

from atlas.calculators.declare import Calculator, Choice, Number, Output, Sampled, Words, figures
from atlas.calculators.figure import Axis, Bar, Figure
from atlas.calculators.ties import loadings
from atlas.mechanics.photogrammetry import (
    breadth,
    homography,
    line_map,
    project,
    sides,
    within_hull,
)

Floats = NDArray[np.float64]
_MOST = 6
_NUMBER = r"[+-]?\d+(?:\.\d+)?"
_PAIR = rf"\s*({_NUMBER})\s*,\s*({_NUMBER})\s*"
_KNOWN = re.compile(rf"{_PAIR}={_PAIR}")
_ON_LINE = re.compile(rf"{_PAIR}=\s*({_NUMBER})\s*")
_WANTED = re.compile(rf"{_PAIR}(?:to|-){_PAIR}")


def _read(text: str, form: re.Pattern[str], name: str, example: str) -> Floats:
    parts = [part for part in re.split(r"[;\n]", text) if part.strip()]
    rows = []
    for part in parts:
        found = form.fullmatch(part)
        if found is None:
            raise ValueError(f"{name}: cannot read {part.strip()[:40]!r}; write {example}")
        rows.append([float(group) for group in found.groups()])
    if not rows:
        raise ValueError(f"{name}: no points; write {example}")
    if len(rows) > 40:
        raise ValueError(f"{name}: {len(rows)} points; at most 40")
    return np.array(rows)


def _known(words: Mapping[str, str]) -> tuple[Floats, Floats]:
    """Pixels (k, 2) and places (k, 2) or (k, 1) in millimetres."""
    if words["on"] == "plane":
        rows = _read(words["known"], _KNOWN, "known", "310,420=0,0; 905,433=450,0; ...")
    else:
        rows = _read(words["known"], _ON_LINE, "known", "310,420=0; 500,424=100; 905,433=450")
    least = 4 if words["on"] == "plane" else 3
    if len(rows) < least:
        raise ValueError(f"known: {len(rows)} points; a {words['on']} needs at least {least}")
    return rows[:, :2], rows[:, 2:]


def _wanted(words: Mapping[str, str]) -> Floats:
    rows = _read(words["wanted"], _WANTED, "wanted", "400,300 to 700,310; ...")
    if len(rows) > _MOST:
        raise ValueError(f"wanted: {len(rows)} lengths; at most {_MOST} at a time")
    return rows


def _causes(words: Mapping[str, str]) -> tuple[str, ...]:
    names = [f"known {i + 1} {axis}" for i in range(len(_known(words)[0])) for axis in "xy"]
    ends = [f"{end} {i + 1} {axis}" for i in range(len(_wanted(words)))
            for end in ("start", "end") for axis in "xy"]  # fmt: skip
    return (*names, *ends)


def _evaluate(
    on: str,
    known: str,
    wanted: str,
    scatter: Floats,
    reference: Floats,
    causes: Mapping[str, Floats],
) -> dict[str, Any]:
    words = {"on": on, "known": known, "wanted": wanted}
    pixels, places = _known(words)
    ends = _wanted(words).reshape(-1, 2, 2)
    count = len(pixels)
    noise = np.stack([causes[name] for name in _causes(words)], axis=-1) * scatter[:, None]
    marked = pixels + noise[:, : 2 * count].reshape(-1, count, 2)
    asked = ends + noise[:, 2 * count :].reshape(-1, len(ends), 2, 2)
    if on == "plane":
        if breadth(pixels) < 0.01:
            raise ValueError("known: three of the points lie on one line; take four corners")
        lengths, misfit = _on_plane(marked, places, asked)
    else:
        lengths, misfit = _on_line(marked, places[:, 0], asked)
    if not np.all(lengths > 0):
        raise ValueError("wanted: both ends of a length are the same point")
    lengths = lengths * reference[:, None]
    apart = np.linalg.norm(ends[0, 1] - ends[0, 0])
    misfit = np.where(misfit < 1e-6, 0.0, misfit)  # rounding, where no point is spare
    results = {"misfit": misfit * 1e-3, "per_pixel": lengths[:, 0] * 1e-3 / apart}
    for i in range(lengths.shape[1]):
        results["length" if i == 0 else f"length_{i + 1}"] = lengths[:, i] * 1e-3
    return results


def _on_plane(marked: Floats, places: Floats, asked: Floats) -> tuple[Floats, Floats]:
    matrix = homography(marked, places)
    known, wanted = sides(matrix, marked), sides(matrix, asked.reshape(len(asked), -1, 2))
    if not np.all(known == known[:, :1]):
        raise ValueError(
            "known: the points stand in another order than their places, or the scatter is too wide "
            "for them; go round the same way in both"
        )
    if not np.all(wanted == known[:, :1]):
        raise ValueError("wanted: a point lies on or beyond the horizon of the plane")
    flat = project(matrix, asked.reshape(len(asked), -1, 2)).reshape(asked.shape)
    back = project(matrix, marked) - places
    return np.linalg.norm(flat[:, :, 1] - flat[:, :, 0], axis=-1), _rms(back)


def _on_line(marked: Floats, places: Floats, asked: Floats) -> tuple[Floats, Floats]:
    # Positions along the line's image: projections on the direction between the outermost marks.
    away = marked - marked[:, :1]
    far = np.argmax(np.linalg.norm(away[0], axis=-1))
    along = away[:, far] / np.linalg.norm(away[:, far], axis=-1, keepdims=True)
    if np.max(np.abs(_across(away, along))) > 0.2 * np.max(np.abs(away)):
        raise ValueError("known: the points do not lie on one line; use on=plane")
    u = np.einsum("skd,sd->sk", away, along)
    a, b, c = np.moveaxis(line_map(u, places), -1, 0)
    ends = np.einsum("smed,sd->sme", asked - marked[:, :1, None], along)
    x = (a[:, None, None] * ends + b[:, None, None]) / (c[:, None, None] * ends + 1)
    back = (a[:, None] * u + b[:, None]) / (c[:, None] * u + 1) - places
    return np.abs(x[:, :, 1] - x[:, :, 0]), _rms(back[..., None])


def _across(away: Floats, along: Floats) -> Floats:
    return away[..., 0] * along[:, None, 1] - away[..., 1] * along[:, None, 0]


def _rms(back: Floats) -> Floats:
    return np.asarray(np.sqrt(np.mean(np.sum(back**2, axis=-1), axis=-1)))


def _names(s: Sampled) -> list[str]:
    return [name for name in s.results if name.startswith("length")]


def _findings(s: Sampled) -> list[str]:
    found = []
    for name in _names(s):
        low, middle, high = np.percentile(s[name], (5, 50, 95))
        half = (high - low) / 2
        verdict = (
            "too coarse for a gauge or a bolt size, fit for overall dimensions only"
            if half / middle > 0.05
            else "good enough for a calculator's range"
        )
        found.append(
            f"{name.replace('_', ' ')} is {figures(middle, 4)} mm, give or take {figures(half, 2)} mm "
            f"({half / middle:.1%}): {verdict}."
        )
    spare = len(_known({k: str(s.inputs[k]) for k in ("on", "known")})[0]) - (
        4 if s.inputs["on"] == "plane" else 3
    )
    if spare == 0:
        found.append(
            "No point is spare, so a wrong mark cannot show: mark one more known point as a check."
        )
    elif s.median("misfit") > 3 * s.median("per_pixel") * float(np.median(s.inputs["scatter"])):
        found.append(
            f"The known points miss their places by {s.span('misfit', 2)} mm, three times what the "
            "scatter explains: one is marked or measured wrong, or lies off the surface."
        )
    found += _placing(s)
    names = _names(s)
    if len(names) > 1:
        together = np.corrcoef(s[names[0]], s[names[1]])
        ratio = float(together[0, 1])
        found.append(
            f"The first two lengths share their scale (correlation {ratio:.2f}): tie them with "
            f"@photo:{loadings(together)[0]:.2g} each where both go into one calculation."
            if ratio > 0
            else f"The first two lengths run against each other (correlation {ratio:.2f})."
        )
    return found


_FLAT = 0.08  # of three points in line: height over longest side; common practice


def _placing(s: Sampled) -> list[str]:
    """What the places of the marks in the picture speak against."""
    if s.inputs["on"] != "plane":
        return []
    words = {key: str(s.inputs[key]) for key in ("on", "known", "wanted")}
    pixels, _ = _known(words)
    found = []
    if breadth(pixels) < _FLAT:
        found.append(
            "Three of the known points lie nearly on one line, so the plane is poorly fixed: take "
            "four that span a broad rectangle."
        )
    ends = _wanted(words).reshape(-1, 2)
    outside = np.flatnonzero(~within_hull(ends, pixels).reshape(-1, 2).all(axis=-1)) + 1
    if len(outside):
        which = ", ".join(str(i) for i in outside)
        found.append(
            f"Length {which} reaches outside the known points: the map is carried on beyond them, "
            "where lens distortion and a surface that is not flat tell most."
        )
    return found


def _figure(s: Sampled) -> Figure:
    bars = []
    for name in _names(s):
        low, middle, high = (float(v) for v in np.percentile(s[name], (5, 50, 95)))
        bars.append(Bar(name.replace("_", " "), middle, low, high))
    return Figure("Lengths off the photo", Axis("length", "mm"), Axis(""), bars=tuple(bars))


CALCULATOR = Calculator(
    id="photo-scale",
    title="Size from a photo",
    question="How big is it, from a photo?",
    inputs=(
        Choice("on", "plane", {"plane": "four or more known points of one flat surface", "line": "three or more known points of one straight edge"}, "where the known and the wanted points lie"),
        Words("known", "412,655=0,0; 1480,640=700,0; 1405,1090=700,300; 455,1120=0,300; 930,648=340,0", "known points, pixels = millimetres", "412,655=0,0; 1480,640=700,0; 1405,1090=700,300; 455,1120=0,300"),
        Words("wanted", "640,760 to 1210,758", "lengths wanted, pixel to pixel, with semicolons between", "640,760 to 1210,758; 700,900 to 700,1010"),
        Number("scatter", "px", "1.5", 0, 100, "how far off a mark may be, one standard deviation"),
        Number("reference", "", "1+-0.002", 0.5, 2, "how true the known millimetres are, as a factor"),
    ),
    outputs=(
        Output("length", "mm", "first length wanted"),
        *(Output(f"length_{i}", "mm", f"length {i} wanted", optional=True) for i in range(2, _MOST + 1)),
        Output("misfit", "mm", "root mean square by which the known points miss their places"),
        Output("per_pixel", "mm/px", "millimetres a pixel along the first length"),
    ),
    evaluate=_evaluate,
    findings=_findings,
    figure=_figure,
    leaves_out="lens distortion (keep to the middle of the picture); anything off the marked plane or line: 10 mm nearer the camera at 1 m reads 1 % long",
    cautions=("Never reach or climb under a lifted vehicle for a better picture without its stands in place; local rules for work under lifts hold.",),
    sources=("R. Hartley, A. Zisserman, Multiple View Geometry, 2nd ed. 2004, 4.1 and 2.5 (sections from memory)",),
    causes=_causes,
)  # fmt: skip
