"""The forms around a photo: which file, what shape the known points have, where lengths go."""

from collections.abc import Callable
from pathlib import Path

from atlas.calculators.declare import Calculator
from atlas.casework.marks import Marks
from atlas.casework.model import Case, Evidence
from atlas.casework.photo_lengths import Measured
from atlas.catalogue.writing import read_only
from atlas.errors import BadInput, Refused
from atlas.ui import photo_strings, strings
from atlas.ui.case_forms import Form, case_choices, chosen_case
from atlas.ui.desk import Desk
from atlas.ui.dialog import Field, Values


def file_form(go: Callable[[str], None], path: str = "") -> Form:
    """Which photo to open."""

    def act(values: Values) -> None:
        from atlas.drawing.photo import photo_bytes

        _may_name_files()
        if not values["path"].strip():
            raise BadInput("no photo was named", photo_strings.PHOTO_FILE, "type its path")
        file = Path(values["path"].strip()).expanduser()
        photo_bytes(file)  # refuses what is no file while one can still type
        go(str(file.absolute()))

    field = Field(
        "path", photo_strings.PHOTO_FILE, path, hint=photo_strings.PHOTO_FILE_HINT, files=True
    )
    return (field,), act


def _may_name_files() -> None:
    """Refuse where the application only looks: served to others, it is no window on the disk.

    Raises:
        Refused: it does.
    """
    if read_only():
        raise Refused(photo_strings.PHOTO_LOOK_ONLY, photo_strings.PHOTO_FILE)


def moved_form(desk: Desk, case: Case, key: int, go: Callable[[str], None]) -> Form:
    """Where a noted photo lies now; the case follows it, if it is the same picture."""
    one: Evidence = case.evidence[key]

    def act(values: Values) -> None:
        from msgspec.structs import replace

        from atlas.casework.photos import photo_noted

        _may_name_files()
        path, digest = photo_noted(values["path"].strip())
        if digest != one.sha256:
            raise BadInput(photo_strings.PHOTO_IS_OTHER, path, "note it as a new one")
        assert desk.cases is not None
        moved = replace(one, path=path)
        desk.cases.replace(case.id, "evidence", key, moved, revision=case.revision)
        go(path)

    field = Field(
        "path", photo_strings.PHOTO_MOVED, one.path, hint=photo_strings.PHOTO_FILE_HINT, files=True
    )
    return (field,), act


def shape_form(marks: Marks, take: Callable[[Marks], None]) -> Form:
    """True places of a shape for the known points."""

    def act(values: Values) -> None:
        from atlas.casework.reference_shapes import bolt_circle, rectangle, ruler

        first = _number(values["first"], photo_strings.SHAPE_FIRST)
        second = _number(values["second"], photo_strings.SHAPE_SECOND)
        kind = values["kind"]
        if kind == "ruler":
            take(marks.lying("line").shaped(ruler(int(second), first)))
        elif kind == "rectangle":
            take(marks.lying("plane").shaped(rectangle(first, second)))
        else:
            take(marks.lying("plane").shaped(bolt_circle(int(second), first)))

    kind = "ruler" if marks.on == "line" else "rectangle"
    return (
        Field("kind", photo_strings.SHAPE_KIND, kind, options=photo_strings.SHAPES),
        Field("first", photo_strings.SHAPE_FIRST, hint="700"),
        Field("second", photo_strings.SHAPE_SECOND, hint="300"),
    ), act


def keep_form(
    desk: Desk, case_id: str, measured: Measured, path: str, sha256: str,
    kept: Callable[[str], None],
) -> Form:  # fmt: skip
    """Which case the photo, its lengths and the run go to."""
    cases = desk.cases
    assert cases is not None
    choices = case_choices(cases)
    here = next((name for name, one in choices.items() if one == case_id), "")

    def act(values: Values) -> None:
        from atlas.casework.photo_lengths import keep

        chosen = chosen_case(cases, choices, values)
        keep(cases, chosen, measured, path, sha256, values["about"])
        kept(chosen)

    structures = cases.get(case_id).structures if case_id else ()
    return (
        Field("case", strings.CASE, here, options=dict.fromkeys(choices, "")),
        Field("title", strings.NEW_TITLE, hint=strings.CASE_TITLE_HINT),
        Field("about", strings.STRUCTURE, structures[-1] if structures else "",
              suggestions=structures),
    ), act  # fmt: skip


def use_form(desk: Desk, chosen: Callable[[Calculator], None]) -> Form:
    """Which calculator takes the lengths."""

    def act(values: Values) -> None:
        from atlas.calculators.registry import calculator
        from atlas.casework.photo_lengths import length_inputs

        named = values["calculator"].strip()
        if not named:
            raise BadInput(
                "no calculator was named", photo_strings.USE_WHICH, "type part of its name"
            )
        part = [name for name in sorted(desk.calculators) if named.casefold() in name]
        one = calculator(part[0] if len(part) == 1 else named)
        if not length_inputs(one):
            raise BadInput(photo_strings.USE_NO_LENGTHS, one.id)
        chosen(one)

    names = tuple(sorted(desk.calculators))
    return (
        Field(
            "calculator",
            photo_strings.USE_WHICH,
            suggestions=names,
            hint=photo_strings.USE_WHICH_HINT,
        ),
    ), act


def inputs_form(
    one: Calculator, measured: Measured, case: Case | None,
    go: Callable[[tuple[tuple[str, str], ...]], None],
) -> Form:  # fmt: skip
    """Which length goes to which input. What else the case's last such run was given stays."""
    from atlas.casework.photo_lengths import length_inputs

    names = [each.name for each in length_inputs(one)]
    options = {
        photo_strings.USE_NOTHING: "",
        **{each.name: each.help for each in length_inputs(one)},
    }

    def act(values: Values) -> None:
        given: dict[str, str] = {}
        runs = [] if case is None else list(case.calculation.values())
        for run in runs:
            if run.calculator == one.id:
                given = {name: str(value) for name, value in run.inputs.items()}
        taken: set[str] = set()
        for length in measured.lengths:
            name = values[f"length-{length.index}"]
            if name == photo_strings.USE_NOTHING:
                continue
            if name in taken:
                raise BadInput(photo_strings.USE_TWICE.format(name=name), one.id, "give it to one")
            taken.add(name)
            given[name] = length.reading
        if not taken:
            raise BadInput(photo_strings.USE_NONE_CHOSEN, one.id, "turn one of the fields")
        go(tuple(given.items()))

    guesses: set[str] = set()
    fields = []
    for length in measured.lengths:
        guess = _guess(length.name, [name for name in names if name not in guesses])
        guesses |= {guess} - {photo_strings.USE_NOTHING}
        label = f"{length.label} {length.name} {length.value:.4g} mm"
        fields.append(Field(f"length-{length.index}", label, guess, options=options))
    return tuple(fields), act


def _guess(name: str, names: list[str]) -> str:
    """The input whose name is like the length's."""
    from rapidfuzz import fuzz, process

    found = process.extractOne(
        name.casefold().replace(" ", "_"), names, scorer=fuzz.WRatio, score_cutoff=70
    )
    return str(found[0]) if name and found else photo_strings.USE_NOTHING


def _number(text: str, where: str) -> float:
    try:
        value = float(text.replace(",", "."))
    except ValueError:
        raise BadInput(f"cannot read {text[:40]!r}", where, "give a number") from None
    if not abs(value) < 1e6:
        raise BadInput(f"{text[:40]} is out of reach", where, "give a number below a million")
    return value
