"""The forms that change a case."""

from collections.abc import Callable

from atlas.calculators.running import Outcome
from atlas.casework.cases import Cases
from atlas.casework.model import Case
from atlas.errors import BadInput, NotThere
from atlas.ui import case_strings, strings
from atlas.ui.desk import Desk
from atlas.ui.dialog import Field, Values

Form = tuple[tuple[Field, ...], Callable[[Values], None]]
_NEW = case_strings.NEW_CASE


def note_form(cases: Cases, case: Case) -> Form:
    """Words about what was seen, with a photo or a reading."""

    def act(values: Values) -> None:
        from atlas.casework.readings import measured

        value, unit, kind = measured(values["value"])
        cases.note(
            case.id, values["text"], about=values["about"], photo=values["photo"].strip(),
            value=value, unit=unit, kind=kind,
        )  # fmt: skip

    return (
        Field("text", case_strings.SEEN),
        _about(case),
        Field("value", case_strings.READING, hint=case_strings.READING_HINT),
        Field("photo", case_strings.PHOTO, hint=case_strings.PHOTO_HINT, files=True),
    ), act


def suspect_form(desk: Desk, cases: Cases, case: Case) -> Form:
    """A pattern and how likely it is."""

    def act(values: Values) -> None:
        from atlas.casework.readings import read_probability

        pattern = pattern_named(desk, values["pattern"])
        about = values["about"] or desk.title(pattern)
        probability = read_probability(values["probability"], case_strings.PROBABILITY)
        cases.suspect(case.id, pattern, probability, about=about, why=values["why"])

    return (
        _about(case),
        Field("pattern", strings.PAGE, suggestions=titles(desk), hint=strings.PATTERN_HINT),
        Field("probability", case_strings.PROBABILITY, hint=case_strings.PROBABILITY_HINT),
        Field("why", case_strings.REASON),
    ), act


def ask_form(cases: Cases, case: Case) -> Form:
    """A question and the look that would settle it."""

    def act(values: Values) -> None:
        cases.ask(case.id, values["text"], values["look"], about=values["about"])

    return (
        Field("text", case_strings.OPEN_QUESTION),
        Field("look", case_strings.SETTLING_LOOK),
        _about(case),
    ), act


def settle_form(desk: Desk, cases: Cases, case: Case) -> Form:
    """What the teardown showed."""
    open_ones = [name for name in case.structures if case.verdict_on(name) is None]
    about = (open_ones or list(case.structures) or [""])[0]
    likeliest = next(iter(case.beliefs(about)), "") if about else ""

    def act(values: Values) -> None:
        named = values["pattern"].strip()
        none = not named or named.casefold() == case_strings.NONE_OF_CATALOGUE
        pattern = "" if none else pattern_named(desk, named)
        cases.settle(
            case.id, pattern, about=values["about"], found=values["found"],
            how=values["how"],  # type: ignore[arg-type]
            known=case.verdict,
        )  # fmt: skip

    return (
        Field("about", strings.STRUCTURE, about, suggestions=case.structures),
        Field(
            "pattern", case_strings.FOUND_PATTERN, desk.title(likeliest) if likeliest else "",
            suggestions=(*titles(desk), case_strings.NONE_OF_CATALOGUE),
            hint=case_strings.FOUND_HINT,
        ),
        Field("how", strings.HOW, options=strings.HOWS),
        Field("found", strings.FOUND, hint=strings.FOUND_TEXT_HINT),
    ), act  # fmt: skip


def pattern_case_form(desk: Desk, cases: Cases, pattern_id: str, words: str) -> Form:
    """State the pattern on screen in a case that is there, or in a new one."""
    choices = case_choices(cases)

    def act(values: Values) -> None:
        from atlas.casework.readings import read_probability

        probability = read_probability(values["probability"], case_strings.PROBABILITY)
        case_id = chosen_case(cases, choices, values)
        cases.suspect(
            case_id, pattern_id, probability,
            about=values["about"] or desk.title(pattern_id), why=values["why"],
        )  # fmt: skip

    return (
        Field("case", strings.CASE, options=dict.fromkeys(choices, "")),
        Field("title", strings.NEW_TITLE, hint=strings.CASE_TITLE_HINT),
        Field("about", strings.STRUCTURE, hint=desk.title(pattern_id)),
        Field("probability", case_strings.PROBABILITY, hint=case_strings.PROBABILITY_HINT),
        Field("why", case_strings.REASON, words),
    ), act


def outcome_case_form(
    cases: Cases, outcome: Outcome, given: Values, question: str, about: str = ""
) -> Form:
    """Attach a run to a case that is there, or to a new one; ``about`` is what it is for."""
    choices = case_choices(cases)

    def act(values: Values) -> None:
        from atlas.casework.calculations import record_of

        case_id = chosen_case(cases, choices, values)
        named = values["about"] or about
        cases.calculate(case_id, record_of(outcome, dict(given), named, question))

    return (
        Field("case", strings.CASE, options=dict.fromkeys(choices, "")),
        Field("title", strings.NEW_TITLE, hint=strings.CASE_TITLE_HINT),
        Field("about", strings.STRUCTURE, hint=about),
    ), act


def titles(desk: Desk) -> tuple[str, ...]:
    """Titles of all patterns, for completion."""
    patterns = desk.catalogue.patterns
    return tuple(patterns.title(name) for name in patterns)


def pattern_named(desk: Desk, text: str) -> str:
    """Id of the pattern that was named by id or by title.

    Raises:
        NotThere: there is none; the message offers the nearest.
    """
    patterns = desk.catalogue.patterns
    wanted = text.strip()
    if not wanted:
        raise BadInput("no pattern was named", strings.PAGE, "type part of its title")
    if wanted in patterns:
        return wanted
    folded = wanted.casefold()
    exact = [name for name in patterns if patterns.title(name).casefold() == folded]
    part = [name for name in patterns if folded in patterns.title(name).casefold()]
    if exact or len(part) == 1:
        return (exact or part)[0]
    if part:
        some = ", ".join(repr(patterns.title(name)) for name in part[:3])
        raise BadInput(f"{wanted!r} could be {some}", strings.PAGE, "type more of it")
    from rapidfuzz import process

    known = {name: patterns.title(name) for name in patterns}
    found = process.extractOne(wanted, known, score_cutoff=50)
    raise NotThere(
        f"no pattern {wanted[:60]!r}", remedy=f"did you mean {found[0]!r}?" if found else ""
    )


def case_choices(cases: Cases) -> dict[str, str]:
    """What the choice shows -> id of the case; the latest first, then a new one."""
    rows, _ = cases.rows()
    choices: dict[str, str] = {}
    for row in rows[:30]:
        name = row.title if row.title not in choices else f"{row.title} ({row.id[-4:]})"
        choices[name] = row.id
    choices[_NEW] = ""
    return choices


def chosen_case(cases: Cases, choices: dict[str, str], values: Values) -> str:
    """Id of the case that was chosen, opened now if it is a new one."""
    return choices[values["case"]] or cases.new(values["title"]).id


def _about(case: Case) -> Field:
    last = case.structures[-1] if case.structures else ""
    return Field("about", strings.STRUCTURE, last, suggestions=case.structures)
