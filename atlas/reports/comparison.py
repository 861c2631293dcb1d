"""Vehicles side by side as a page: what they are, how sure, why they differ, what next."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass

import numpy as np

from atlas import __version__
from atlas.drawing.structure_shape import Shown, magnified
from atlas.drawing.structure_views import VIEWS
from atlas.reports.rendering import known, render
from atlas.reports.structures import drawings, key, words
from atlas.vehicles.carrying import Carried
from atlas.vehicles.comparing import Comparison, Side
from atlas.vehicles.figures import Bought, bought, state_words, stiffening
from atlas.vehicles.worth import worths

Title = Callable[[str], str]
SOURCES = (
    "Frame of straight members in space: W. McGuire, R. H. Gallagher, R. D. Ziemian, Matrix "
    "Structural Analysis, 2nd ed., ch. 5 (chapter from memory)",
    "Use of a member, forces and moments over what it can take: EN 1993-1-1:2005, 6.2.1 (7), "
    "eq. (6.2), with the buckling load where it is pushed; moments over the plastic moment, which "
    "lies above first yield by the section's shape factor (thin boxes 1.1 to 1.2, flats 1.5: from "
    "memory)",
    "Sizes of load cases: common practice, no source, as each says",
    "Axes: ISO 8855",
)
CAUTIONS = (
    "Crash performance is proven by test; these are elastic screening figures of a frame model.",
    "Lift a real vehicle only at its maker's points, on stands; high voltage and restraint systems "
    "are made safe first, by licensed people and local codes.",
)
_WIDTH = 176.0  # room across the page [mm]
_PRICE_SAMPLES = 40
_TOP = 3  # patterns named for each vehicle


@dataclass(frozen=True)
class Table:
    """A table with one column for each vehicle."""

    title: str
    rows: tuple[tuple[str, tuple[str, ...]], ...]
    note: str = ""


def comparison_report(found: Comparison, title_of: Title, form: str, case: str = "corner") -> bytes:
    """Write a comparison in one of the forms of ``rendering.FORMS``.

    Args:
        found: vehicles, solved.
        title_of: title of a pattern by its id.
        form: html, md or pdf.
        case: the load case that is drawn and whose gains are named.

    Raises:
        BadInput: an unknown form, or PDF without the library that writes it.
    """
    known(form)
    shown = _shown(found, case)
    count = len(shown)
    columns = count if count <= 3 else 2 if count == 4 else 3
    room = (_WIDTH / columns - 4.0, 78.0 if columns < 3 else 62.0)
    views = VIEWS if count <= 4 else VIEWS[:2]
    top = {side.vehicle.id: _best(side, case) for side in found.sides}
    return render(
        "comparison",
        form,
        heads=tuple(side.vehicle.id for side in found.sides),
        titles=tuple(side.vehicle.title for side in found.sides),
        sides=found.sides,
        what=_what(found),
        sure=_sure(found),
        why=tuple(_why(found, case, top, title_of)),
        following=tuple(_next(found)),
        case=next(one for one in found.cases if one.id == case),
        columns=columns,
        views=tuple(drawings(shown, view, room) for view in views),
        key=key(shown[0]),
        tables=tuple(tables(found)),
        matrix=tuple(
            (title_of(name), name, tuple(_cell(side, name) for side in found.sides))
            for name in found.patterns
        ),
        only={s.vehicle.id: tuple(map(title_of, found.only(s.vehicle.id))) for s in found.sides},
        lacks={s.vehicle.id: tuple(map(title_of, found.lacks(s.vehicle.id))) for s in found.sides},
        shared=tuple(map(title_of, found.shared)),
        cases=found.cases,
        cautions=CAUTIONS,
        sources=SOURCES,
        samples=found.samples,
        version=__version__,
    )


def _shown(found: Comparison, case: str) -> list[Shown]:
    """The structures under one load case, moved by one factor so that movements compare."""
    each = [Shown(side.framed, side.of(case)) for side in found.sides]
    largest = max(one.largest for one in each)
    factor = magnified(max(one.size for one in each), largest)
    return [Shown(one.framed, one.carried, times=factor) for one in each]


def _best(side: Side, case: str) -> list[Bought]:
    """The patterns that stiffen it most in a load case."""
    carried = side.of(case)
    if carried is None:
        return []
    rows = worths(side.vehicle, [carried.case], _PRICE_SAMPLES)
    return stiffening(bought(row, case) for row in rows)[:_TOP]


def _what(found: Comparison) -> str:
    names = _and(side.vehicle.title.lower() for side in found.sides)
    single = sum(len(found.only(side.vehicle.id)) for side in found.sides)
    count, shared = len(found.patterns), len(found.shared)
    return (
        f"The front structures of {len(found.sides)} vehicles side by side: {names}. Of "
        f"{count} pattern{'' if count == 1 else 's'}, {shared or 'none'} "
        f"{'are' if shared > 1 else 'is'} on all of them and {single or 'none'} on one only."
    )


def _sure(found: Comparison) -> str:
    clear = [one.title.lower() for one in found.cases if found.told_apart(one.id)]
    rest = [one.title.lower() for one in found.cases if not found.told_apart(one.id)]
    text = (
        f"Medians with 5 to 95 % over {found.samples} draws of gauges, mounts and joints. "
        f"The stiffest stands clear of the next in {len(clear)} of {len(found.cases)} load cases"
    )
    if rest:
        text += f"; ranges meet, and no order is stated, in {_and(rest)}"
    return f"{text}."


def _why(
    found: Comparison, case: str, top: dict[str, list[Bought]], title_of: Title
) -> Iterable[str]:
    ranked = sorted(found.stiffness(case).items(), key=lambda pair: -float(pair[1].value))
    title = next(one.title for one in found.cases if one.id == case)
    if len(ranked) > 1:
        (first, most), (last, least) = ranked[0], ranked[-1]
        yield (
            f"{title}: stiffest is {first} with {words(most)}, softest {last} with {words(least)}."
        )
    for name, rows in top.items():
        if rows:
            most_of_them = rows if len(top) <= 3 else rows[:1]
            parts = [f"{title_of(row.pattern)} ({_price(row)})" for row in most_of_them]
            yield f"{name} is stiffened there most by {_and(parts)}."


def _price(row: Bought) -> str:
    ratio = state_words(row)
    return f"{ratio}, {words(row.mass)}" if float(row.mass.value) > 0.05 else ratio


def _next(found: Comparison) -> Iterable[str]:
    """What would narrow the ranges where no order can be stated, and what has no place to stand."""
    for one in found.cases:
        if found.told_apart(one.id):
            continue
        ranked = sorted(found.stiffness(one.id).items(), key=lambda pair: -float(pair[1].value))
        parts = []
        for name, _ in ranked[:2]:
            side = next(side for side in found.sides if side.vehicle.id == name)
            carried = side.of(one.id)
            assert carried is not None
            member = carried.framed.member_names[carried.worst]
            parts.append(f"{member} on {name}")
        yield (
            f"{one.title}: measure the gauges of {_and(parts)}, the members most used there, and "
            "the stiffness of the joints at their ends."
        )
        break
    for side in found.sides:
        for carried in side.carried:
            for note in carried.notes:
                yield f"{side.vehicle.id}, {carried.case.title.lower()}: {note}."
    yield "Settle at teardown what only one of them has: unbolt it, weigh it, measure its gauge."


def tables(found: Comparison) -> Iterable[Table]:
    """Everything but the patterns, table by table."""
    sides = found.sides

    def row(label: str, read: Callable[[Side], str]) -> tuple[str, tuple[str, ...]]:
        return label, tuple(read(side) for side in sides)

    size = [
        row("kind", lambda s: s.vehicle.kind),
        row("length", lambda s: f"{s.vehicle.dimensions.length:,.0f} mm"),
        row("width", lambda s: f"{s.vehicle.dimensions.width:,.0f} mm"),
        row("wheelbase", lambda s: f"{s.vehicle.dimensions.wheelbase:,.0f} mm"),
        row("track", lambda s: f"{s.vehicle.dimensions.track:,.0f} mm"),
        row("mass", lambda s: f"{s.vehicle.dimensions.mass:,.0f} kg"),
        row("share on the front axle", lambda s: f"{s.vehicle.dimensions.front_share:.0%}"),
    ]
    yield Table("Size and mass", tuple(size), "Of the whole vehicle, as its file has them.")
    make = [
        row("cradle", lambda s: s.vehicle.cradle),
        row("mass of the members", lambda s: words(s.mass)),
        row("materials", lambda s: _shares(s.metals)),
        row("processes", lambda s: _shares(s.processes, 4)),
        row("joints, members", lambda s: ", ".join(f"{k} {v}" for k, v in s.joints.items())),
        row("held to the body", lambda s: ", ".join(f"{k} {v}" for k, v in s.held.items())),
    ]
    yield Table("Make", tuple(make), "Masses from section area, length and density.")
    labels = dict.fromkeys(label for side in sides for label in side.arms)
    arms = [row(label, lambda s, n=label: words(s.arms.get(n))) for label in labels]  # type: ignore[misc]
    if arms:
        yield Table("Arms", tuple(arms), "Of the lower arms' pivots, read off the model's nodes.")
    stiff = [
        (one.title, tuple(words(found.stiffness(one.id).get(s.vehicle.id)) for s in sides))
        for one in found.cases
    ]
    yield Table(
        "Stiffness in each load case", tuple(stiff),
        "Size of the load over the movement of the place that is watched: median and 5 to 95 %. "
        "Loads grow with the vehicle's own weight.",
    )  # fmt: skip
    used = [row(one.title, lambda s, n=one.id: _peak(s.of(n))) for one in found.cases]  # type: ignore[misc]
    yield Table(
        "Peak use in each load case", tuple(used),
        "Of the elastic limit, 1 being that limit, at the load's full size; and where.",
    )  # fmt: skip


def _peak(carried: Carried | None) -> str:
    if carried is None:
        return ""
    middle = float(np.median(carried.peak))
    return f"{middle:.2f} {carried.framed.member_names[carried.worst]}"


def _cell(side: Side, pattern: str) -> str:
    if pattern not in side.patterns:
        return ""
    mass = side.pattern_mass(pattern)
    return f"● {mass:.1f} kg" if mass > 0.05 else "●"


def _shares(masses: dict[str, float], most: int = 9) -> str:
    whole = sum(masses.values()) or 1.0
    parts = [f"{name} {kg:.1f} kg ({kg / whole:.0%})" for name, kg in list(masses.items())[:most]]
    rest = len(masses) - most
    return "; ".join(parts) + (f"; {rest} more" if rest > 0 else "")


def _and(parts: Iterable[str]) -> str:
    some = list(parts)
    return " and ".join([", ".join(some[:-1]), some[-1]]) if len(some) > 1 else "".join(some)
