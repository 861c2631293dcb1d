"""What can be done with a draft and with a pattern under review, each as a form and its act."""

from collections.abc import Callable
from typing import Any

from atlas.casework.model import Case
from atlas.casework.reviews import Reviews
from atlas.catalogue.appending import (
    change_pattern,
    drafted,
    named_in_return,
    reviewed,
    superseded,
)
from atlas.catalogue.checking import Fault
from atlas.catalogue.draft_faults import faults_of, pattern_of
from atlas.catalogue.drafting import described
from atlas.catalogue.drafts import Content, Drafts
from atlas.catalogue.library import Library
from atlas.catalogue.load import Catalogue, load
from atlas.catalogue.model import Pattern
from atlas.errors import AtlasError, BadInput
from atlas.ui import append_strings as words
from atlas.ui import strings
from atlas.ui.case_forms import Form, pattern_named, titles
from atlas.ui.desk import Desk
from atlas.ui.dialog import Field, Values


def begin_form(desk: Desk, begin: Callable[[Content], None]) -> Form:
    """Describe a structure that the catalogue may not have."""

    def act(values: Values) -> None:
        content = described(values["title"], _zone(values), values["seen"])
        refuse_taken(desk.catalogue, str(content["id"]))
        begin(content)

    return (
        Field("title", words.TITLE, hint=words.TITLE_HINT),
        Field("zone", words.ZONE, options=_zones(desk)),
        Field("seen", words.SEEN, hint=words.SEEN_HINT, long=True),
    ), act


def observed_form(desk: Desk, case: Case, about: str, begin: Callable[[Content], None]) -> Form:
    """Draft from what a case saw of a structure."""

    def act(values: Values) -> None:
        from atlas.casework.lessons import observed
        from atlas.catalogue.visible import accepted

        title = accepted(values["title"], words.TITLE, most=400)
        content = observed(case, about, title, _zone(values), desk.catalogue)
        refuse_taken(desk.catalogue, str(content["id"]))
        begin(content)

    taken_for = [name for name in case.beliefs(about) if name in desk.catalogue.patterns]
    zone = desk.catalogue.patterns.zone(taken_for[0]) if taken_for else ""
    return (
        Field("title", words.TITLE, about[:1].upper() + about[1:], hint=words.TITLE_HINT),
        Field("zone", words.ZONE, zone, options=_zones(desk)),
    ), act


def refuse_taken(catalogue: Catalogue, name: str) -> None:
    """Refuse an id that the catalogue has.

    Raises:
        BadInput: it has.
    """
    if name in catalogue.patterns:
        raise BadInput(
            f"the catalogue has a pattern {name!r}", words.TITLE, "say in the title how it differs"
        )


def same_form(desk: Desk, content: Content, pattern_id: str) -> Form:
    """It is a pattern that there is: settle the case that it comes from."""
    cases = desk.cases
    assert cases is not None
    case = cases.get(content["provenance"]["seen_in"][0])
    cues = [str(cue.get("see", "")) for cue in content.get("cues", ())]
    named = [one for one in case.structures
             if one.casefold() == str(content.get("title", "")).casefold()]  # fmt: skip

    def act(values: Values) -> None:
        cases.settle(
            case.id, pattern_id, about=values["about"], found=values["found"],
            how=values["how"],  # type: ignore[arg-type]
        )  # fmt: skip

    return (
        Field("about", strings.STRUCTURE, named[0] if named else "", suggestions=case.structures),
        Field("how", strings.HOW, options=strings.HOWS),
        Field("found", strings.FOUND, cues[0] if cues else "", hint=strings.FOUND_TEXT_HINT),
    ), act  # fmt: skip


def append_form(
    desk: Desk, drafts: Drafts, name: str, content: Content, told: Callable[[str], None]
) -> Form:
    """Put a draft into the library; its look-alikes can name it in return.

    ``told`` takes a line for each look-alike that could not, the draft being in the library.
    """
    catalogue = load(drafts.library)  # what others appended meanwhile counts too
    refuse_faulty(faults_of(content, catalogue), name)
    pattern = pattern_of(content, name)
    back = named_in_return(pattern, catalogue)
    fields = [Field("who", words.INITIALS, desk.who)]
    if back:
        listed = ", ".join(before.title for before, _ in back)
        yes = words.IN_RETURN_WHO.format(titles=listed)
        options = {words.IN_RETURN_YES: yes, words.IN_RETURN_NO: ""}
        fields.append(Field("back", words.IN_RETURN, options=options))

    def act(values: Values) -> None:
        who = _initials(values)
        with drafts.finishing(name, content):
            was = drafts.before(name)
            if was is None:
                refuse_taken(catalogue, pattern.id)
            elif pattern.id != name:
                raise BadInput("a changed pattern keeps its id", f"{name}: id", f"write {name}")
            change_pattern(drafts.library, was, drafted(pattern, who, desk.today()))
        if values.get("back") == words.IN_RETURN_YES:
            for before, after in back:
                try:
                    change_pattern(drafts.library, before, drafted(after, who, desk.today()))
                except AtlasError as error:  # the pattern itself is in the library by now
                    told(f"{before.title}: {desk.told(error)}")

    return tuple(fields), act


def refuse_faulty(faults: list[Fault], name: str) -> None:
    """Refuse what still has to be mended, by the first of it.

    Raises:
        BadInput: something has.
    """
    severe = [fault for fault in faults if fault.severe]
    if severe:
        more = f", and {len(severe) - 1} more" if len(severe) > 1 else ""
        raise BadInput(f"{severe[0].what}{more}", f"{name}: {severe[0].field}", "mend it first")


def accept_form(desk: Desk, library: Library, pattern: Pattern, faults: list[Fault]) -> Form:
    """Accept what another person wrote."""
    refuse_faulty(faults, pattern.id)

    def act(values: Values) -> None:
        change_pattern(library, pattern, reviewed(pattern, _initials(values), desk.today()))

    return (Field("who", words.INITIALS, desk.who),), act


def comment_form(desk: Desk, library: Library, pattern_id: str) -> Form:
    """Say what should change."""

    def act(values: Values) -> None:
        Reviews(library).comment(pattern_id, _initials(values), values["text"])

    return (
        Field("text", words.WHAT, long=True),
        Field("who", words.INITIALS, desk.who),
    ), act


def replace_form(desk: Desk, library: Library, pattern_id: str) -> Form:
    """Let another pattern replace this one."""

    def act(values: Values) -> None:
        other = pattern_named(desk, values["pattern"])
        catalogue = load(library)
        old, new = catalogue.pattern(pattern_id), catalogue.pattern(other)
        first, second = superseded(old, new)
        # In this order: one that was killed in between is completed by doing it again.
        change_pattern(library, new, second)
        change_pattern(library, old, first)

    field = Field("pattern", words.REPLACED_BY, suggestions=titles(desk),
                  hint=strings.PATTERN_HINT)  # fmt: skip
    return (field,), act


def give_up_form(drafts: Drafts, name: str) -> Form:
    """Drop a draft, on its name being written."""

    def act(values: Values) -> None:
        if values["name"].strip() != name:
            raise BadInput("nothing was given up", words.GIVE_UP_WORD, f"it is {name}")
        drafts.drop(name)

    return (Field("name", words.GIVE_UP_WORD, hint=name),), act


def _zones(desk: Desk) -> dict[str, str]:
    """What a zone is chosen from: none at first, so that nobody keeps one unseen."""
    return {words.NO_ZONE: words.NO_ZONE_TIP} | {
        zone.id: zone.title for zone in desk.catalogue.zones.values()
    }


def _zone(values: Values) -> str:
    return "" if values["zone"] == words.NO_ZONE else values["zone"]


def _initials(values: dict[str, Any]) -> str:
    from atlas.catalogue.visible import accepted

    return accepted(values["who"], words.INITIALS, most=40)
