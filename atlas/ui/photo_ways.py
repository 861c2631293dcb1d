"""Ways to and from a photo: what a case keeps of it, what shape it shows, where lengths go."""

from collections.abc import Callable

from textual.screen import Screen

from atlas.calculators.declare import Calculator
from atlas.casework.marks import Marks
from atlas.casework.photo_lengths import Measured, kept_marks
from atlas.catalogue.visible import visible
from atlas.errors import AtlasError
from atlas.ui import photo_strings, strings
from atlas.ui.desk import Desk
from atlas.ui.dialog import Dialog
from atlas.ui.photo_forms import inputs_form, keep_form, shape_form, use_form
from atlas.ui.places import Go, Place


def to_case(
    screen: Screen[None],
    desk: Desk,
    case_id: str,
    measured: Measured,
    path: str,
    sha256: str,
    kept: Callable[[str], None],
) -> None:
    """Ask which case, then keep photo, lengths and run on it; ``kept`` is told which it was."""
    if desk.cases is None:
        screen.notify(strings.NO_LIBRARY, severity="warning", markup=False)
        return
    try:
        fields, act = keep_form(desk, case_id, measured, path, sha256, kept)
    except AtlasError as error:
        screen.notify(visible(str(error)), severity="error", markup=False)
        return

    def said(done: bool | None) -> None:
        if done:
            screen.notify(photo_strings.KEPT, markup=False)

    screen.app.push_screen(Dialog(strings.ADD_TO_CASE, fields, act, strings.ADD), said)


def marks_kept(screen: Screen[None], desk: Desk, case_id: str, sha256: str) -> Marks | None:
    """The marks that the case keeps of the photo, if it is in one."""
    if not case_id or desk.cases is None:
        return None
    try:
        return kept_marks(desk.cases.get(case_id), sha256)
    except AtlasError as error:
        screen.notify(visible(str(error)), severity="error", markup=False)
        return None


def ask_shape(screen: Screen[None], marks: Marks, take: Callable[[Marks], None]) -> None:
    """Ask what the known points are the corners of."""
    fields, act = shape_form(marks, take)
    screen.app.push_screen(Dialog(photo_strings.SHAPE, fields, act, photo_strings.DO_IT))


def to_calculator(screen: Screen[None], desk: Desk, case_id: str, measured: Measured) -> None:
    """Ask which calculator and which of its inputs, then go there."""
    chosen: list[Calculator] = []

    def then(done: bool | None) -> None:
        if done and chosen:
            _to_inputs(screen, desk, case_id, measured, chosen[0])

    fields, act = use_form(desk, chosen.append)
    screen.app.push_screen(Dialog(photo_strings.USE_TIP, fields, act, strings.NEXT), then)


def _to_inputs(
    screen: Screen[None], desk: Desk, case_id: str, measured: Measured, one: Calculator
) -> None:
    given: list[tuple[tuple[str, str], ...]] = []

    def go(done: bool | None) -> None:
        if done and given:
            screen.post_message(Go(Place("calculator", one.id, inputs=given[0])))

    try:
        case = desk.cases.get(case_id) if case_id and desk.cases is not None else None
    except AtlasError as error:
        screen.notify(visible(str(error)), severity="error", markup=False)
        return
    fields, act = inputs_form(one, measured, case, given.append)
    screen.app.push_screen(Dialog(one.title, fields, act, strings.OPEN), go)
