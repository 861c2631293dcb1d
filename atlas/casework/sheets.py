"""Tables as CSV: what each column holds, cells that no spreadsheet obeys, and rows read back.

Written as RFC 4180 says: commas, double quotes, CRLF, a header line; UTF-8. A spreadsheet takes a
cell that begins with ``=`` and the like for a formula, whoever wrote it; such a text gets a single
quote in front (OWASP ASVS 5.0, 1.2.10), which ``read_sheet`` takes off again.
"""

import csv
import io
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from atlas.catalogue.nearest import suggestion
from atlas.catalogue.visible import visible
from atlas.errors import BadInput

# The full-width forms are obeyed as well, where the spreadsheet's language has them.
_OBEYED = "=+\\-@\\t\\r\\n＝＋－＠"
_ARMED = re.compile(f"'*[{_OBEYED}]")
_DISARMED = re.compile(f"'+[{_OBEYED}]")
_MOST_ROWS = 100_000
_DELIMITERS = ",;\t"


@dataclass(frozen=True)
class Sheet:
    """One kind of table.

    Args:
        name: what the table lists.
        columns: name of each column and what it holds.
        numbers: columns whose cells are numbers, which are written as they are.
        needed: columns without which a table of this kind cannot be taken in.
    """

    name: str
    columns: Mapping[str, str]
    numbers: frozenset[str] = frozenset()
    needed: tuple[str, ...] = ()


CASES = Sheet(
    "cases",
    {
        "case": "id; empty for a new case: rows alike up to 'opened' are then one",
        "title": "what it is called",
        "vehicle": "what stands on the lift",
        "place": "where",
        "date": "day of the inspection, 2026-11-25",
        "people": "initials of those present, with commas",
        "opened": "when, UTC",
        "status": "open or settled (follows from the verdicts)",
        "structure": "which structure the rest of the row is about",
        "pattern": "a pattern that it is suspected to be",
        "probability": "how likely, 0 to 1",
        "by": "who said so",
        "why": "what speaks for it",
        "verdict": "the pattern that it was, or none",
        "found": "what the teardown showed",
        "how": "look, measure, weigh, test, cut, unbolt or document",
    },
    frozenset({"probability"}),
    ("title",),
)
MEASUREMENTS = Sheet(
    "measurements",
    {
        "case": "id of the case, or a part of it that no other id has",
        "key": "number of the record in the case; empty for a new one",
        "structure": "which structure it is about",
        "kind": "point or weight (follows from the unit)",
        "value": "the number",
        "unit": "mm, kg, ...",
        "text": "what was measured",
        "at": "when it was noted, UTC",
        "by": "who measured",
    },
    frozenset({"key", "value"}),
    ("case", "value", "unit"),
)
PATTERNS = Sheet(
    "patterns",
    {
        "id": "id", "title": "title", "zone": "zone", "other_names": "what else it is called",
        "status": "draft, reviewed or settled", "author": "who wrote it",
        "summary": "what it is", "does": "what it does", "rationale": "why it is built so",
        "cues": "what one sees, how telling it is in brackets",
        "look_alikes": "pattern: what separates it", "builds": "material; process; joint",
        "settle": "how teardown settles it", "cautions": "cautions",
        "calculations": "calculator: its question", "sources": "where it comes from",
        "superseded_by": "the pattern that replaced it",
    },
)  # fmt: skip
SHEETS = {sheet.name: sheet for sheet in (CASES, PATTERNS, MEASUREMENTS)}


@dataclass(frozen=True)
class Row:
    """One row as read: where it stands, and its cells by column."""

    at: str
    cells: Mapping[str, str]

    def __getitem__(self, column: str) -> str:
        return self.cells.get(column, "").strip()


def harmless(text: str) -> str:
    """A text as a cell that is shown and never obeyed.

    >>> harmless("=1+1"), harmless("M12"), harmless("'-x")
    ("'=1+1", 'M12', "''-x")
    """
    shown = visible(text)
    return f"'{shown}" if _ARMED.match(shown) else shown


def as_written(cell: str) -> str:
    """The text of which ``harmless`` made the cell."""
    return cell[1:] if _DISARMED.match(cell) else cell


def write_sheet(sheet: Sheet, rows: Iterable[Mapping[str, str]]) -> bytes:
    """Rows as a CSV file; a column that a row does not have is empty."""
    buffer = io.StringIO(newline="")
    writer = csv.writer(buffer)  # CRLF and minimal quoting, as RFC 4180 has it
    writer.writerow(sheet.columns)
    for row in rows:
        writer.writerow(
            row.get(name, "") if name in sheet.numbers else harmless(row.get(name, ""))
            for name in sheet.columns
        )
    return buffer.getvalue().encode()


def read_sheet(content: bytes, where: str) -> tuple[Sheet, list[Row]]:
    """A CSV file's kind, told by its columns, and its rows.

    Commas, semicolons and tabs are taken as separators, as spreadsheets of different countries
    write them, with or without a byte order mark.

    Raises:
        BadInput: it is not UTF-8, no table of a known kind, or cannot be parsed.
    """
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise BadInput(
            f"byte {error.start} is not UTF-8", where, "save it as CSV in UTF-8"
        ) from None
    head = text.partition("\n")[0].rstrip("\r")
    delimiter = max(_DELIMITERS, key=head.count)
    lines = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    try:
        names = [name.strip().lower() for name in next(lines, [])]
        sheet = _sheet_of(names, where)
        return sheet, list(_rows(lines, names, where))
    except csv.Error as error:
        raise BadInput(f"{error}", f"{where}: line {lines.line_num}", "mend its quotes") from None


def _sheet_of(names: list[str], where: str) -> Sheet:
    at = f"{where}: line 1"
    if not any(names):
        raise BadInput("has no header line", at, "name its columns there")
    sheet = max(SHEETS.values(), key=lambda one: len(set(names) & set(one.columns)))
    for place, name in enumerate(names):
        if name not in sheet.columns:
            remedy = suggestion(name[:40], sheet.columns, f"columns are {', '.join(sheet.columns)}")
            raise BadInput(f"no column {visible(name)[:40]!r} among {sheet.name}", at, remedy)
        if name in names[:place]:
            raise BadInput(f"column {name!r} is there twice", at, "take one out")
    for name in sheet.needed:
        if name not in names:
            raise BadInput(
                f"no column {name!r}", at, f"{sheet.name} need {', '.join(sheet.needed)}"
            )
    return sheet


def _rows(lines: Iterator[list[str]], names: list[str], where: str) -> Iterator[Row]:
    for count, cells in enumerate(lines):
        line = lines.line_num  # type: ignore[attr-defined]
        if count >= _MOST_ROWS:
            raise BadInput(f"more than {_MOST_ROWS:,} rows", where, "split it")
        if not any(cell.strip() for cell in cells):
            continue
        if len(cells) != len(names):
            raise BadInput(
                f"{len(cells)} cells where the header has {len(names)}", f"{where}: line {line}",
                "put texts that hold the separator between double quotes",
            )  # fmt: skip
        yield Row(f"line {line}", {n: as_written(c) for n, c in zip(names, cells, strict=True)})
