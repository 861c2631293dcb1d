"""``atlas vehicle --view``, ``--svg`` and ``--report``: a structure drawn and written."""

from pathlib import Path

from atlas.catalogue.library import Library
from atlas.catalogue.writing import write_durably
from atlas.cli.common import (
    file_to_write,
    is_plain,
    is_utf8,
    print_json,
    report_to_write,
    say,
    say_file,
    table,
    width,
)
from atlas.cli.vehicle_words import taken
from atlas.drawing.structure import structure_picture
from atlas.drawing.structure_key import key_lines
from atlas.drawing.structure_shape import Shown
from atlas.drawing.structure_views import WORDS, View
from atlas.drawing.terminal import draw
from atlas.vehicles.carrying import carry
from atlas.vehicles.framing import frame_of
from atlas.vehicles.loads import LoadCase
from atlas.vehicles.model import Vehicle


def draw_vehicle(
    one: Vehicle,
    case: LoadCase,
    without: tuple[str, ...],
    view: View,
    svg: str,
    as_json: bool,
    report: Path | None = None,
) -> None:
    """Print a view of the loaded structure with its key, or write it as a sheet of SVG.

    A report that was written besides is named as well.
    """
    path = file_to_write(svg, "--svg") if svg else None
    whole = frame_of(one)
    framed = frame_of(one, without)
    (carried,) = carry(framed, [case])
    shown = Shown(framed, carried, whole)
    if path is not None:
        from atlas.drawing.structure_sheet import sheet

        write_durably(path, sheet(shown, view).encode())
    ascii_only = not is_utf8()
    columns = width()
    rows = max(16, columns * 3 // 10)
    lines = draw(structure_picture(shown, view), columns, rows, ascii_only=ascii_only).text()
    keys = ["".join(text for text, _ in line) for line in key_lines(shown, columns, ascii_only)]
    if as_json:
        print_json(
            {
                "vehicle": one.id, "load": case.id, "without": list(without), "view": view,
                "svg": str(path) if path else None, "drawing": lines.splitlines(), "key": keys,
                "factor": shown.factor,
                **({"report": str(report)} if report else {}),
                "largest": {"value": shown.largest, "unit": "mm", "low": None, "high": None},
                "use": shown.use,
            }
        )  # fmt: skip
        return
    if report is not None:
        say_file(report)
    if path is not None:
        say_file(path)
        return
    say(f"{one.title} [{one.id}]: {case.title}{taken(without)}; {WORDS[view]}")
    if is_plain():  # a drawing says nothing to a screen reader; what it would show does
        ranked = sorted(shown.use.items(), key=lambda pair: -pair[1])
        say(f"Largest movement {shown.largest:.2g} mm. Use of the elastic limit, highest first:")
        table(((name, f"{use:.2f}") for name, use in ranked), ("member", "use"))
    else:
        print("\n".join([lines, *keys]))
    for note in carried.notes:
        say(f"Note: {note}", hang=2)


def report_vehicle(
    one: Vehicle,
    case: LoadCase,
    without: tuple[str, ...],
    name: str,
    library: Library,
) -> Path:
    """Write the vehicle's report, the file's ending says in which form; where it is."""
    from atlas.catalogue.load import load
    from atlas.reports.vehicle import vehicle_report
    from atlas.vehicles.loads import load_cases

    path, form = report_to_write(name, "--report")
    title_of = load(library).patterns.called
    others = list(load_cases().values())
    write_durably(path, vehicle_report(one, case, others, title_of, form, without))
    return path
