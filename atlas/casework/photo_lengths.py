"""Lengths off a photo: measured from marks, kept on a case with the photo's hash, handed on."""

import re
from dataclasses import dataclass
from pathlib import Path

import msgspec
from msgspec.structs import replace

from atlas.calculators.declare import Calculator, Number
from atlas.calculators.registry import calculator
from atlas.calculators.running import SAMPLES, Outcome, run
from atlas.calculators.ties import tied_readings
from atlas.calculators.units import convert
from atlas.casework.calculations import record_of
from atlas.casework.cases import Cases
from atlas.casework.marks import Marks, read_marks, span_label
from atlas.casework.model import Calculation, Case, Evidence
from atlas.errors import AtlasError, BadInput

CALCULATOR = "photo-scale"


@dataclass(frozen=True)
class Length:
    """One length off the photo.

    Args:
        index: which of the wanted ones.
        label: after its ends, A–B.
        name: what somebody calls it.
        value, low, high: median, 5th and 95th percentile [mm].
        reading: the same as any calculator's input takes it, tied to the photo.
    """

    index: int
    label: str
    name: str
    value: float
    low: float
    high: float
    reading: str


@dataclass(frozen=True)
class Measured:
    """What the marks on one photo give."""

    marks: Marks
    outcome: Outcome
    lengths: tuple[Length, ...]


def tie_of(sha256: str) -> str:
    """Name of the scale that all readings off one photo share."""
    return f"photo-{sha256[:6]}" if sha256 else "photo"


def measure(marks: Marks, sha256: str, samples: int = SAMPLES) -> Measured:
    """Run the calculator photo-scale on the marks.

    Raises:
        BadInput: marks are missing, or fix nothing; the message says which.
    """
    if marks.missing:
        raise BadInput("nothing can be measured yet", "marks", marks.missing)
    outcome = run(calculator(CALCULATOR), marks.inputs(), samples)
    names = [name for name in outcome.results if name.startswith("length")]
    readings = tied_readings([outcome.sampled[name] for name in names], "mm", tie_of(sha256))
    lengths = []
    for index, name, reading in zip(marks.complete, names, readings, strict=True):
        result = outcome.results[name]
        value, low, high = (float(v or 0.0) for v in (result.value, result.low, result.high))
        label = span_label(index)
        lengths.append(Length(index, label, marks.wanted[index].name, value, low, high, reading))
    return Measured(marks, outcome, tuple(lengths))


def keep(
    cases: Cases, case_id: str, measured: Measured, path: str, sha256: str, about: str = ""
) -> Case:
    """Put the photo, the measured points and the run on a case, as one change.

    What was kept of the same photo and name before is replaced; the history holds both.
    """
    case = cases.get(case_id)
    path = str(Path(path).expanduser().absolute())
    records: list[tuple[str, int | None, msgspec.Struct]] = []
    if not any(one.sha256 == sha256 and one.kind == "photo" for one in case.evidence.values()):
        photo = Evidence("photo", "measured on", "", "", about, path=path, sha256=sha256)
        records.append(("evidence", None, photo))
    for length in measured.lengths:
        text = length.name or f"length {length.label}"
        point = Evidence(
            "point", text, "", "", about, path=path, sha256=sha256,
            value=round(length.value, 2), unit="mm", low=round(length.low, 2),
            high=round(length.high, 2), reading=length.reading,
        )  # fmt: skip
        earlier = _earlier_point(case, sha256, text, about)
        records.append(("evidence", earlier, point))
    run_record = record_of(measured.outcome, dict(measured.marks.inputs()), about,
                           "lengths off the photo")  # fmt: skip
    run_record = replace(run_record, photo=sha256)
    records.append(("calculation", _earlier_run(case, sha256), run_record))
    count = len(measured.lengths)
    what = f"measured {count} length{'s' if count > 1 else ''} on a photo"
    return cases.add_together(case_id, what, records)


def _earlier_point(case: Case, sha256: str, text: str, about: str) -> int | None:
    found = [
        key for key, one in case.evidence.items()
        if one.kind == "point" and (one.sha256, one.text, one.about) == (sha256, text, about)
    ]  # fmt: skip
    return found[-1] if found else None


def _earlier_run(case: Case, sha256: str) -> int | None:
    found = [key for key, one in case.calculation.items() if one.photo == sha256]
    return found[-1] if found else None


def kept_marks(case: Case, sha256: str) -> Marks | None:
    """The marks that a case keeps of a photo, with the names of their lengths."""
    key = _earlier_run(case, sha256)
    if not sha256 or key is None:
        return None
    record: Calculation = case.calculation[key]
    try:
        marks = read_marks({name: str(value) for name, value in record.inputs.items()})
    except AtlasError:
        return None  # written by hand or by another version; one can still mark anew
    values = [record.results.get("length" if i == 0 else f"length_{i + 1}", {}).get("value")
              for i in range(len(marks.wanted))]  # fmt: skip
    points = [  # those kept together with this run, not what had another name before
        one for one in case.evidence.values()
        if (one.kind, one.sha256, one.at) == ("point", sha256, record.at)
    ]  # fmt: skip
    for i, value in enumerate(values):
        for one in points:
            if value is not None and one.value is not None and abs(one.value - value) < 0.006:
                marks = marks.named(i, "" if one.text == f"length {span_label(i)}" else one.text)
                points.remove(one)  # of two equal lengths each has its own
                break
    return marks


def superseded(case: Case, record: Calculation) -> tuple[str, ...]:
    """Inputs of a run that were read off a photo of the case which now gives something else."""
    now: dict[str, list[str]] = {}
    for one in case.evidence.values():
        if one.reading:
            now.setdefault(_tie(one.reading), []).append(one.reading)
    return tuple(
        f"{name} is {value}, but its photo now gives {' or '.join(now[_tie(str(value))])}"
        for name, value in record.inputs.items()
        if _tie(str(value)) in now and str(value).strip() not in now[_tie(str(value))]
    )


def _tie(reading: str) -> str:
    found = re.search(r"@\s*(photo-[0-9a-f]{6})\b", reading)
    return found[1] if found else ""


def length_inputs(one: Calculator) -> tuple[Number, ...]:
    """The inputs of a calculator that a length can go into."""
    found = []
    for declared in one.inputs:
        if isinstance(declared, Number) and not declared.whole and declared.unit:
            try:
                to_one = convert(1.0, "mm", declared.unit, declared.name)
            except AtlasError:
                continue
            if to_one <= 1:  # nobody reads micrometres off a photo
                found.append(declared)
    return tuple(found)
