"""A vehicle's front structure as a page: drawn, solved, with and without each pattern."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from atlas import __version__
from atlas.calculators.running import Result
from atlas.drawing.structure_shape import Shown
from atlas.drawing.structure_views import VIEWS, View
from atlas.reports.comparison import CAUTIONS, SOURCES
from atlas.reports.rendering import known, render
from atlas.reports.structures import drawings, key, words
from atlas.vehicles.carrying import Carried, carry
from atlas.vehicles.comparing import carry_standing
from atlas.vehicles.figures import (
    Bought,
    bought,
    member_results,
    mount_forces,
    profile_words,
    rank,
    results_of,
    state_words,
    stiffening,
)
from atlas.vehicles.framing import frame_of
from atlas.vehicles.loads import LoadCase
from atlas.vehicles.model import Vehicle
from atlas.vehicles.worth import worths

Title = Callable[[str], str]
SAMPLES = 200
_MOST = 8  # members listed
# Room for each view on page one [mm]: the plan on the left, the others above one another beside it.
_ROOM: dict[View, tuple[float, float]] = {
    "plan": (86.0, 84.0), "side": (82.0, 42.0), "front": (82.0, 42.0),
}  # fmt: skip
_TOP = 3  # patterns named on page one


@dataclass(frozen=True)
class Used:
    """One of the members nearest to their limit."""

    name: str
    section: str
    make: str
    use: Result
    force: Result
    moment: Result
    patterns: tuple[str, ...]


def vehicle_report(
    vehicle: Vehicle,
    case: LoadCase,
    others: Sequence[LoadCase],
    title_of: Title,
    form: str,
    without: tuple[str, ...] = (),
) -> bytes:
    """Write a vehicle under a load case in one of the forms of ``rendering.FORMS``.

    Args:
        vehicle: as loaded.
        case: the load case that is drawn, and for which each pattern is taken away.
        others: load cases that are summed up in a table.
        title_of: title of a pattern by its id.
        form: html, md or pdf.
        without: patterns that are taken away throughout.

    Raises:
        BadInput: an unknown form, PDF without its library, or a vehicle that cannot be solved.
        NotThere: the load case has nowhere to stand.
    """
    known(form)
    framed = frame_of(vehicle, without, SAMPLES)
    (carried,) = carry(framed, [case], SAMPLES)
    rest = carry_standing(framed, [one for one in others if one != case], SAMPLES)
    rows = [] if without else [bought(r, case.id) for r in worths(vehicle, [case], SAMPLES)]
    rows.sort(key=rank)
    nominal = frame_of(vehicle, without)
    (drawn,) = carry(nominal, [case])
    shown = Shown(nominal, drawn, frame_of(vehicle))
    used = _used(carried, title_of)
    return render(
        "vehicle",
        form,
        vehicle=vehicle,
        case=case,
        without=tuple(map(title_of, without)),
        what=_what(vehicle, case, without, title_of),
        sure=f"Medians with 5 to 95 % over {SAMPLES} draws of gauges, mounts and joints, seed 1. "
        "Dimensions, masses and gauges are the vehicle file's; a frame of straight members.",
        why=tuple(_why(carried, rows, title_of)),
        following=tuple(_next(used, rows, title_of)),
        views=tuple(drawings([shown], view, _ROOM[view])[0] for view in VIEWS),
        key=key(shown),
        results=tuple((name, words(result)) for name, result in results_of(carried).items()),
        used=used,
        rows=tuple(
            (title_of(row.pattern), tuple(map(title_of, row.along)), row, _priced(row))
            for row in rows
        ),
        mounts=tuple((name, words(force)) for name, force in mount_forces(carried).items()),
        notes=carried.notes,
        cases=tuple(_summed(one) for one in (carried, *rest)),
        title_of=title_of,
        words=words,
        cautions=CAUTIONS,
        sources=SOURCES,
        absent=tuple(
            one.title
            for one in others
            if one.id not in {case.id, *(found.case.id for found in rest)}
        ),
        version=__version__,
    )


def _what(vehicle: Vehicle, case: LoadCase, without: Sequence[str], title_of: Title) -> str:
    text = f"{vehicle.about} Shown under: {case.title.lower()}."
    if without:
        text += f" Taken away: {', '.join(map(title_of, without))}."
    return text


def _why(carried: Carried, rows: Sequence[Bought], title_of: Title) -> list[str]:
    found = results_of(carried)
    worst = carried.framed.member_names[carried.worst]
    lines = [
        f"It moves {words(found['movement'])} under {words(found['load'])}, a stiffness of "
        f"{words(found['stiffness'])}; {worst} is used furthest, to {words(found['peak use'])} of "
        "its elastic limit."
    ]
    helping = stiffening(rows)
    if helping:
        parts = [f"{title_of(row.pattern)} ({_priced(row)[0]})" for row in helping[:_TOP]]
        lines.append(f"Stiffened most by {'; '.join(parts)}.")
    return lines


def _next(used: Sequence[Used], rows: Sequence[Bought], title_of: Title) -> list[str]:
    lines = []
    if used:
        names = ", ".join(one.name for one in used[:_TOP])
        lines.append(f"Measure the gauges of {names}: they decide the peak use.")
    wide = [
        row for row in rows
        if row.ratio is not None and row.ratio.low is not None and row.ratio.high is not None
    ]  # fmt: skip
    if wide:
        widest = max(wide, key=lambda row: (row.ratio.high or 0) / (row.ratio.low or 1))  # type: ignore[union-attr]
        lines.append(
            f"What {title_of(widest.pattern)} buys is the least certain: measure its gauges and "
            "look how its ends are held."
        )
    return lines


def _used(carried: Carried, title_of: Title) -> tuple[Used, ...]:
    vehicle = carried.framed.vehicle
    rows = []
    for name in list(carried.uses)[:_MOST]:
        member, found = vehicle.members[name], member_results(carried, name)
        rows.append(
            Used(
                name,
                profile_words(vehicle.sections[member.section]),
                f"{member.material}, {member.process}; {member.joint}",
                found["use"], found["axial force"], found["end moment"],
                tuple(map(title_of, member.patterns)),
            )
        )  # fmt: skip
    return tuple(rows)


def _priced(row: Bought) -> tuple[str, str, str]:
    """Stiffness with over without, gain for its mass, and peak use with and without."""
    ratio = words(row.ratio) if row.ratio is not None else ""
    stiffness = f"×{ratio}" if ratio else state_words(row)
    peak = ""
    if row.peak is not None and row.peak_without is not None:
        peak = f"{float(row.peak.value):.2f} → {float(row.peak_without.value):.2f}"
    return stiffness, words(row.per_kilogram), peak


def _summed(carried: Carried) -> tuple[str, tuple[str, ...], LoadCase]:
    found = results_of(carried)
    worst = carried.framed.member_names[carried.worst]
    cells = (words(found["load"]), words(found["movement"]), words(found["stiffness"]),
             f"{words(found['peak use'])} {worst}")  # fmt: skip
    return carried.case.title, cells, carried.case
