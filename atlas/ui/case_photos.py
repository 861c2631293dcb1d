"""From a case to its photos: opened where they are as noted, named where they are not."""

from collections.abc import Callable

from textual.screen import Screen

from atlas.casework.model import Case
from atlas.casework.photos import photo, photos
from atlas.catalogue.library import Library
from atlas.catalogue.visible import visible
from atlas.ui import case_strings, strings
from atlas.ui.desk import Desk
from atlas.ui.dialog import Dialog
from atlas.ui.places import Go, Place


def photo_faults(case: Case, library: Library) -> dict[str, str]:
    """What is wrong with the photos of a case, by SHA-256; it reads them: work for a thread."""
    return {one.evidence.sha256: one.why for one in photos(case, library) if one.why}


def photo_key(case: Case, under_cursor: str) -> int | None:
    """The evidence whose photo is meant: what is under the cursor, else the case's last photo."""
    kind, _, name = under_cursor.partition(":")
    if kind == "evidence" and case.evidence[int(name)].path:
        return int(name)
    if kind == "calculation" and (digest := case.calculation[int(name)].photo):
        return photo_of_run(case, digest)
    found = [key for key, one in case.evidence.items() if one.path and one.sha256]
    return found[-1] if found else None


def photo_of_run(case: Case, sha256: str) -> int | None:
    """The evidence that holds the photo of a hash."""
    return next((key for key, one in case.evidence.items() if one.sha256 == sha256), None)


def open_photo(
    screen: Screen[None], desk: Desk, case: Case, key: int, changed: Callable[[], None]
) -> None:
    """Go to a noted photo; ask where it is now if it is not there, warn if it is another."""
    assert desk.library is not None
    one = case.evidence[key]
    found = photo(one, desk.library)

    def go(path: str) -> None:
        screen.post_message(Go(Place("photo", path, inputs=(("case", case.id),))))

    if found.path is not None:
        go(str(found.path))
    elif found.state == "changed":
        words = case_strings.PHOTO_CHANGED.format(path=one.path)
        screen.notify(visible(words), severity="warning", markup=False, timeout=10)
        go(one.path)
    elif found.state == "missing":
        _ask_where(screen, desk, case, key, go, changed)
    else:
        screen.notify(visible(f"{one.path} {found.why}"), severity="error", markup=False)


def _ask_where(
    screen: Screen[None],
    desk: Desk,
    case: Case,
    key: int,
    go: Callable[[str], None],
    changed: Callable[[], None],
) -> None:
    from atlas.ui.photo_forms import moved_form

    places: list[str] = []

    def then(done: bool | None) -> None:
        if done and places:
            changed()
            go(places[0])

    fields, act = moved_form(desk, case, key, places.append)
    title = visible(f"{case.evidence[key].path} {case_strings.PHOTO_MISSING}", lines=False)
    screen.app.push_screen(Dialog(title, fields, act, strings.OPEN), then)
