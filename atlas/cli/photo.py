"""``atlas photo``: measure lengths on a photo, on screen or with typed positions."""

import sys
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

import click

from atlas.catalogue.library import Library
from atlas.cli.common import heading, is_plain, print_json, quantity, say, shared, table
from atlas.cli.completion import Known
from atlas.cli.photos_option import photos_option
from atlas.errors import BadInput, NotThere

if TYPE_CHECKING:
    from atlas.casework.cases import Cases
    from atlas.casework.marks import Marks
    from atlas.casework.photo_lengths import Measured
    from atlas.drawing.photo import Photo


@click.command(
    epilog="Example: atlas photo bar.jpg --known '412,655=0,0; 1480,640=700,0; 1405,1090=700,300; "
    "455,1120=0,300' --wanted '640,760 to 1210,758' --name 'bar'"
)
@click.argument("file", metavar="[FILE]", required=False)
@click.option("--case", "case_id", metavar="CASE", default="", type=Known("case"),
              help="The case it belongs to; without FILE its photos are listed.")  # fmt: skip
@click.option("--known", default="", help="Known points, 'PIXEL,PIXEL=MM,MM; ...'.")
@click.option("--wanted", default="", help="Lengths, 'PIXEL,PIXEL to PIXEL,PIXEL; ...'.")
@click.option("--name", "names", multiple=True, help="Name of a length, in their order.")
@click.option("--on", type=click.Choice(["plane", "line"]), default="plane", show_default=True,
              help="What the points lie on.")  # fmt: skip
@click.option("--scatter", default="", help="How far off a mark may be, one sigma (1.5 px).")
@click.option("--reference", default="", help="How true the known mm are (1+-0.002).")
@click.option("--keep", is_flag=True, help="Put photo, lengths and run on the case.")
@click.option("--about", default="", help="Which structure it is.")
@click.option("--by", default=None, help="Your initials (ATLAS_INITIALS).")
@photos_option
@shared
def photo(
    file: str | None,
    case_id: str,
    known: str,
    wanted: str,
    names: tuple[str, ...],
    on: str,
    scatter: str,
    reference: str,
    keep: bool,
    about: str,
    by: str | None,
    photos: str | None,
    as_json: bool,
    library: Library,
) -> int:
    """Mark known points and lengths on a photo; the lengths come out with their ranges.

    Without positions the photo opens in the terminal, where marks are set by keys or
    mouse. Positions are pixels of the upright picture from its upper left corner.
    """
    from atlas.casework.cases import Cases
    from atlas.cli.case import initials
    from atlas.drawing.photo import read_photo

    cases = Cases(library, initials(by))
    case_id = cases.id_of(case_id) if case_id else ""
    if file is None:
        if not case_id:
            raise BadInput("no photo was named", "FILE", "name one, or a case with --case")
        return _list(cases, case_id, as_json)
    if keep and not case_id:
        raise BadInput("no case was named", "--keep", "say which with --case")
    found = read_photo(file)
    typed = bool(known or wanted)
    if not (typed or as_json or is_plain() or keep) and sys.stdout.isatty():
        from atlas.cli.main import open_application

        open_application(library, photo=str(found.path.absolute()), case_id=case_id,
                         photos=photos)  # fmt: skip
        return 0
    marks = _marks(found, known, wanted, names, on, scatter, reference, typed, cases, case_id)
    measured = _measured(marks, found, typed or keep)
    if keep and measured is not None:
        from atlas.casework import photo_lengths

        photo_lengths.keep(cases, case_id, measured, file, found.sha256, about)
    if as_json:
        print_json(_document(found, marks, measured, case_id if keep else ""))
    else:
        _print(found, marks, measured)
        if keep:
            say(f"Kept on {case_id}.")
    return 0


def _marks(
    found: "Photo",
    known: str,
    wanted: str,
    names: tuple[str, ...],
    on: str,
    scatter: str,
    reference: str,
    typed: bool,
    cases: "Cases",
    case_id: str,
) -> "Marks":
    """The marks as typed, else as the case keeps them."""
    from atlas.casework.marks import Marks, check_inside, read_marks
    from atlas.casework.photo_lengths import kept_marks

    given = {"on": on, "known": known, "wanted": wanted, "scatter": scatter}
    if reference:
        given["reference"] = reference
    if typed:
        marks = read_marks(given, names)
    else:
        marks = (kept_marks(cases.get(case_id), found.sha256) if case_id else None) or Marks()
    check_inside(marks, found.width, found.height)
    return marks


def _measured(marks: "Marks", found: "Photo", must: bool) -> "Measured | None":
    from atlas.casework.photo_lengths import measure

    if marks.missing and not must:
        return None
    return measure(marks, found.sha256)


def _document(
    found: "Photo", marks: "Marks", measured: "Measured | None", kept_on: str
) -> dict[str, Any]:
    from atlas.casework.marks import near_edge

    return {
        "photo": {
            "path": str(found.path), "sha256": found.sha256, "format": found.form,
            "width": found.width, "height": found.height, "turned": found.turned,
            "reduced": found.reduced,
        },
        "marks": marks.inputs() if marks.labels else None,
        "missing": marks.missing,
        "near_edge": list(near_edge(marks, found.width, found.height)),
        "lengths": [
            {**asdict(one), "unit": "mm"} for one in (measured.lengths if measured else ())
        ],
        "misfit": quantity(measured.outcome.results["misfit"]) if measured else None,
        "findings": list(measured.outcome.findings) if measured else [],
        "cautions": list(measured.outcome.calculator.cautions) if measured else [],
        "leaves_out": measured.outcome.calculator.leaves_out if measured else "",
        "kept_on": kept_on,
    }  # fmt: skip


def _print(found: "Photo", marks: "Marks", measured: "Measured | None") -> None:
    from atlas.calculators.declare import figures
    from atlas.casework.marks import near_edge

    turned = ", turned upright" if found.turned else ""
    held = f", held at 1/{found.reduced}" if found.reduced > 1 else ""
    say(f"{found.path}: {found.form}, {found.width} x {found.height} pixels{turned}{held}", 0, 2)
    say(f"SHA-256 {found.sha256}")
    if measured is None:
        say(f"To measure: {marks.missing}.")
        return
    heading("Lengths (median, 5 to 95 %)")
    table(
        (
            (one.name or one.label, f"{figures(one.value, 4)} mm",
             f"{figures(one.low, 4)} to {figures(one.high, 4)}", one.reading)
            for one in measured.lengths
        ),
        ("length", "value", "range", "as a reading for any calculator"),
    )  # fmt: skip
    for finding in measured.outcome.findings:
        say(f"- {finding}", hang=2)
    edge = near_edge(marks, found.width, found.height)
    if edge:
        say(f"- Marks {', '.join(edge)} lie near the picture's edge, where lenses distort most.",
            hang=2)  # fmt: skip
    heading("Mind")
    for caution in measured.outcome.calculator.cautions:
        say(caution, hang=2)
    say(f"Left out: {measured.outcome.calculator.leaves_out}", hang=2)


def _list(cases: "Cases", case_id: str, as_json: bool) -> int:
    """The photos of a case, and whether each is still what was noted."""
    from atlas.casework.photos import photos

    case = cases.get(case_id)
    found = list(photos(case, cases.library))
    if as_json:
        print_json({
            "case": case_id,
            "photos": [
                {"path": one.evidence.path, "sha256": one.evidence.sha256, "state": one.state,
                 "found": str(one.path) if one.path else None}
                for one in found
            ],
        })  # fmt: skip
    else:
        for one in found:
            says = f"{one.evidence.path} {one.why}" if one.why else str(one.path)
            say(f"{one.evidence.sha256[:12]} {says}", 0, 2)
        if not found:
            raise NotThere(
                "holds no photo", case_id, "'atlas case note CASE --photo FILE' adds one"
            )
    return 1 if any(one.why for one in found) or not found else 0
