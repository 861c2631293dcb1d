"""``atlas export`` and ``atlas import``: cases, patterns and measurements as CSV or JSON."""

import sys
from pathlib import Path
from typing import Any

import click

from atlas.casework.sheets import SHEETS
from atlas.catalogue.library import Library
from atlas.catalogue.visible import visible
from atlas.cli.case import initials
from atlas.cli.common import file_to_write, print_json, say, shared, warn, write_bytes
from atlas.errors import BadInput

_SHOWN = 20  # refusals that are listed one by one


def _columns() -> str:
    """The columns of each table, for the help."""
    parts = []
    for sheet in SHEETS.values():
        lines = [f"  {name:14} {text}" for name, text in sheet.columns.items()]
        parts.append("\b\n" + "\n".join([f"Columns of {sheet.name}:", *lines]))
    return "\n\n".join(parts)


_HELP = f"""Write cases, patterns or measurements as a table (CSV) or as JSON.

CSV is UTF-8 with commas, as RFC 4180 says; a text that a spreadsheet would take for a formula gets
a single quote in front, and what steers a terminal is written out. JSON loses nothing.

{_columns()}
"""


@click.command(epilog="Example: atlas export cases --output cases.csv", help=_HELP)
@click.argument("kind", type=click.Choice(list(SHEETS)))
@click.argument("names", nargs=-1, metavar="[ID]...")
@click.option("--format", "form", type=click.Choice(["csv", "json"]), help="CSV, unless FILE says.")
@click.option(
    "--output", "--out", "out", metavar="FILE", default="", help="Where to write it (stdout)."
)
@shared
def export(
    kind: str, names: tuple[str, ...], form: str | None, out: str, as_json: bool, library: Library
) -> None:
    """Write records as a table or as JSON."""
    from atlas.casework.exporting import as_csv, as_document
    from atlas.casework.exporting import as_json as as_json_file
    from atlas.catalogue.writing import write_durably

    if form is None:
        to_json = Path(out).suffix.lower() == ".json" if out else as_json
        form = "json" if to_json else "csv"
    if as_json and form == "csv" and not out:
        raise BadInput("a table is no JSON document", "--json", "leave out --format csv, or --json")
    path = file_to_write(out, "--output") if out else None
    records = _records(kind, names, library)
    if path is None:
        if form == "json":
            print_json(as_document(kind, records))
        else:
            write_bytes(as_csv(kind, records))
        return
    write_durably(path, as_csv(kind, records) if form == "csv" else as_json_file(kind, records))
    if as_json:
        print_json({"kind": kind, "format": form, "file": str(path), "records": len(records)})
    else:
        say(f"{path}: {_count(len(records), 'cases' if kind == 'measurements' else kind)}")


def _records(kind: str, names: tuple[str, ...], library: Library) -> list[Any]:
    if kind == "patterns":
        from atlas.catalogue.load import load

        catalogue = load(library)
        warn(catalogue.problems)
        return [catalogue.pattern(name) for name in names or catalogue.patterns]
    from atlas.casework.cases import Cases

    cases = Cases(library)
    if names:
        return [cases.get(cases.id_of(name)) for name in names]
    rows, problems = cases.rows()
    warn(problems)
    return [cases.get(row.id) for row in rows]


@click.command("import", epilog="Example: atlas import cases.csv --dry-run")
@click.argument("file")
@click.option("--keep-good", is_flag=True, help="Take in what is right, though something is not.")
@click.option("--merge", is_flag=True, help="Merge with another state of the same case (JSON).")
@click.option("--dry-run", is_flag=True, help="Say what would be done; write nothing.")
@click.option("--by", metavar="INITIALS", envvar="ATLAS_INITIALS", help="Who does it.")
@shared
def import_(
    file: str,
    keep_good: bool,
    merge: bool,
    dry_run: bool,
    by: str | None,
    as_json: bool,
    library: Library,
) -> int:
    """Take in cases and measurements from CSV, and these and patterns from JSON.

    The kind is told by the columns; 'atlas export --help' lists them. Every row is checked first,
    and where one is wrong nothing is written. What the library holds already is passed over.
    Patterns come in as drafts, for another person to review.
    """
    from atlas.casework.cases import Cases
    from atlas.casework.importing import plan_of
    from atlas.catalogue.load import load

    if "\0" in file:
        raise BadInput("a file name cannot hold NUL", "FILE")
    cases = Cases(library, initials(by))
    plan = plan_of(Path(file).expanduser(), cases, load(library), merge=merge)
    wrong = [f"{file}: {error}" for error in plan.refused]
    for line in wrong[:_SHOWN]:
        print(f"atlas: refused: {visible(line, lines=False)}", file=sys.stderr)
    if plan.refused and not keep_good:
        more = f", {len(wrong) - _SHOWN} of them not listed" if len(wrong) > _SHOWN else ""
        raise BadInput(
            f"nothing was taken in, since {len(wrong)} of its entries are refused{more}", file,
            "mend them, or take in the rest with --keep-good",
        )  # fmt: skip
    added = [step.name for step in plan.steps] if dry_run else plan.write()
    if as_json:
        print_json(
            {
                "kind": plan.kind,
                "added": added,
                "there_already": plan.there_already,
                "refused": wrong,
                "dry_run": dry_run,
            }
        )
    else:
        _tell(plan.kind, added, plan.there_already, dry_run)
    return 1 if plan.refused else 0


def _tell(kind: str, added: list[str], there: list[str], dry_run: bool) -> None:
    what = _count(len(added), "patterns" if kind == "patterns" else "cases")
    what += " with new measurements" if kind == "measurements" else ""
    verb = "would be taken in" if dry_run else "taken in"
    already = f"; {len(there)} there already" if there else ""
    say(f"{what} {verb}{already}")
    for name in added:
        say(name, 2, 2)


def _count(number: int, things: str) -> str:
    return f"{number} {things if number != 1 else things[:-1]}"
