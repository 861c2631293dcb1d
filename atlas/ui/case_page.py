"""A case as the blocks of a page."""

from collections.abc import Callable, Mapping

from textual.content import Content

from atlas.casework.model import Calculation, Case, Evidence
from atlas.casework.photo_lengths import superseded
from atlas.catalogue.visible import visible
from atlas.ui import strings
from atlas.ui.lists import bar
from atlas.ui.page import GAP, Block, heading


def case_blocks(
    case: Case, title_of: Callable[[str], str], faults: Mapping[str, str] | None = None
) -> list[Block]:
    """What was seen, suspected, computed, asked and found.

    Args:
        case: as read.
        title_of: a pattern's title by its id.
        faults: what is wrong with photos, by SHA-256.
    """
    head = case.head
    about = [head.vehicle, head.place, head.date, ", ".join(head.people)]
    state = strings.STATES[case.status]
    blocks = [
        Block(Content.styled(_line(head.title), "bold $primary"), key="head"),
        Block(Content.styled(" · ".join(_line(a) for a in about if a) + f" · {state}", "$muted")),
    ]
    if not case.structures and not case.evidence:
        blocks.append(Block(Content(strings.EMPTY_CASE)))
    for name in case.structures:
        blocks += _structure(case, name, title_of)
    if case.evidence:
        blocks += [GAP, heading(strings.EVIDENCE)]
        blocks += [_evidence(key, one, faults or {}) for key, one in case.evidence.items()]
    if case.calculation:
        blocks += [GAP, heading(strings.CALCULATIONS)]
        blocks += [_calculation(key, one, case) for key, one in case.calculation.items()]
    if case.question:
        blocks += [GAP, heading(strings.OPEN_QUESTIONS)]
        for question in case.question.values():
            look = f"  {_line(question.look)}" if question.look else ""
            words = Content.assemble(_line(question.text), (look, "$muted"))
            blocks.append(Block(words, lead="? "))
    blocks += [GAP, heading(strings.HISTORY)]
    for change in reversed(case.history.values()):
        entry = f"{change.at[:16].replace('T', ' ')} {_line(change.by)} {_line(change.what)}"
        blocks.append(Block(Content.styled(entry, "$muted"), lead="· "))
    return blocks


def _structure(case: Case, name: str, title_of: Callable[[str], str]) -> list[Block]:
    blocks = [GAP, heading(_line(name))]
    verdict = case.verdict_on(name)
    for pattern, belief in case.beliefs(name).items():
        mark = ""
        if verdict is not None:
            mark = f"  ✓ {strings.RIGHT}" if verdict.pattern == pattern else f"  ✗ {strings.WRONG}"
        words = Content.assemble(
            (f"{belief.probability:4.0%} ", "bold"), _line(title_of(pattern)), (mark, "bold"),
            (f"\n{_line(belief.why)}" if belief.why else "", "$muted"),
        )  # fmt: skip
        lead = bar(belief.probability, 6) + " "
        blocks.append(Block(words, "item", f"pattern:{pattern}", lead))
    if verdict is not None:
        found = title_of(verdict.pattern) if verdict.pattern else strings.NONE_OF_CATALOGUE
        words = Content.assemble(
            (f"{strings.SETTLED_AS} {_line(found)}", "bold"),
            f", {strings.BY.get(verdict.how, verdict.how)}: ",
            _line(verdict.found),
        )  # fmt: skip
        key = f"pattern:{verdict.pattern}" if verdict.pattern else ""
        blocks.append(Block(words, "item" if key else "text", key, "■ ", lead_style="bold $gain"))
    for other in case.disputes(name):
        found = title_of(other.pattern) if other.pattern else strings.NONE_OF_CATALOGUE
        line = strings.DISPUTED.format(by=_line(other.by), found=_line(found))
        blocks.append(Block(Content(f"{line} {_line(other.found)}"), lead="! "))
    return blocks


def _evidence(key: int, one: Evidence, faults: Mapping[str, str]) -> Block:
    reading = f" {_line(one.measured)}" if one.measured else ""
    photo = f" {one.path} (SHA-256 {one.sha256[:12]}…)" if one.path else ""
    about = f"{_line(one.about)}: " if one.about else ""
    words = Content.assemble(
        (about, "bold"), _line(one.text), (reading, "bold"),
        (f" {_line(photo)}" if photo else "", "$muted"),
        (f" ! {faults[one.sha256]}" if one.sha256 in faults else "", "bold $warning"),
        (f"  {_line(one.by)} {one.at[:10]}", "$muted"),
    )  # fmt: skip
    # What was measured on a photo leads to it as the photo does.
    return Block(
        words, "item" if one.path else "text", f"evidence:{key}", "▣ " if one.path else "· "
    )


def _calculation(key: int, one: Calculation, case: Case) -> Block:
    about = f"{_line(one.about)}: " if one.about else ""
    lines = [(about + _line(one.calculator), "bold")]
    if superseded(case, one):
        lines.append((f"  ! {strings.READING_GONE}", "bold $warning"))
    if one.question:
        lines.append((f"  {_line(one.question)}", ""))
    lines += [(f"\n{_line(finding)}", "$muted") for finding in one.findings[:2]]
    return Block(Content.assemble(*lines), "item", f"calculation:{key}", "∑ ")


def _line(text: str) -> str:
    return " ".join(visible(text).split())
