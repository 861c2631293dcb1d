"""A case as the blocks of a page."""

from collections.abc import Callable, Mapping

from textual.content import Content

from atlas.casework.beliefs import Belief, beliefs
from atlas.casework.model import Calculation, Case, Evidence, Verdict
from atlas.casework.photo_lengths import superseded
from atlas.casework.verdicts import Verdicts
from atlas.catalogue.visible import in_one_line
from atlas.ui import case_strings, strings
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
    state = case_strings.STATES[case.status]
    blocks = [
        Block(Content.styled(in_one_line(head.title), "bold $primary"), key="head"),
        Block(
            Content.styled(" · ".join(in_one_line(a) for a in about if a) + f" · {state}", "$muted")
        ),
    ]
    if not case.structures and not case.evidence:
        blocks.append(Block(Content(case_strings.EMPTY_CASE)))
    for name in case.structures:
        blocks += _structure(case, name, title_of)
    if case.evidence:
        blocks += [GAP, heading(case_strings.EVIDENCE)]
        blocks += [_evidence(key, one, faults or {}) for key, one in case.evidence.items()]
    if case.calculation:
        blocks += [GAP, heading(case_strings.CALCULATIONS)]
        blocks += [_calculation(key, one, case) for key, one in case.calculation.items()]
    if case.question:
        blocks += [GAP, heading(case_strings.OPEN_QUESTIONS)]
        for question in case.question.values():
            look = f"  {in_one_line(question.look)}" if question.look else ""
            words = Content.assemble(in_one_line(question.text), (look, "$muted"))
            blocks.append(Block(words, lead="? "))
    blocks += [GAP, heading(case_strings.HISTORY)]
    for change in reversed(case.history.values()):
        when = change.at[:16].replace("T", " ")
        entry = f"{when} {in_one_line(change.by)} {in_one_line(change.what)}"
        blocks.append(Block(Content.styled(entry, "$muted"), lead="· "))
    return blocks


def _structure(case: Case, name: str, title_of: Callable[[str], str]) -> list[Block]:
    blocks = [GAP, heading(in_one_line(name))]
    verdict = case.verdict_on(name)
    for belief in beliefs(case, name):
        blocks.append(_belief(belief, title_of, verdict))
    if verdict is not None:
        blocks.append(_verdict(verdict, title_of, f"{case_strings.SETTLED_AS} ", "■ "))
    blocks += _told(case.verdicts(name), title_of)
    return blocks


def _belief(belief: Belief, title_of: Callable[[str], str], verdict: Verdict | None) -> Block:
    """A pattern with what each person stated of it last, and how he came there."""
    pattern, mark = belief.pattern, ""
    if verdict is not None:
        mark = (
            f"  ✓ {case_strings.RIGHT}"
            if verdict.pattern == pattern
            else f"  ✗ {case_strings.WRONG}"
        )
    several = len(belief.by) > 1
    pooled = f"  {case_strings.MEAN_OF.format(count=len(belief.by))}" if several else ""
    lines: list[tuple[str, str]] = []
    for name, last in belief.newest.items():
        moved = len(belief.by[name]) > 1
        share = belief.course(name, "→") if moved or several else ""
        said = (
            in_one_line(name) or case_strings.UNNAMED,
            share,
            last.at[:10],
            in_one_line(last.why),
        )
        lines.append(("\n" + " ".join(part for part in said if part), "$muted"))
    words = Content.assemble(
        (f"{belief.mean:4.0%} ", "bold"), in_one_line(title_of(pattern)), (mark, "bold"),
        (pooled, "$muted"), *lines,
    )  # fmt: skip
    return Block(words, "item", f"pattern:{pattern}", bar(belief.mean, 6) + " ")


def _verdict(one: Verdict, title_of: Callable[[str], str], words: str, lead: str) -> Block:
    found = title_of(one.pattern) if one.pattern else case_strings.NONE_OF_CATALOGUE
    who = f"  {in_one_line(one.by) or case_strings.UNNAMED} {one.at[:10]}"
    text = Content.assemble(
        (f"{words}{in_one_line(found)}", "bold"),
        f", {strings.HOWS[one.how]}: ",
        in_one_line(one.found),
        (who, "$muted"),
    )  # fmt: skip
    key = f"pattern:{one.pattern}" if one.pattern else ""
    return Block(text, "item" if key else "text", key, lead, lead_style="bold $gain")


def _told(verdicts: Verdicts, title_of: Callable[[str], str]) -> list[Block]:
    """Verdicts that wait for a choice, and those that stand no longer."""
    blocks = []
    if verdicts.disputed:
        words = Content.styled(case_strings.IN_DISPUTE, "bold $warning")
        blocks.append(Block(words, "item", "conflicts", "! ", lead_style="bold $warning"))
    for one in verdicts.disputed.values():
        blocks.append(_verdict(one, title_of, "", "? "))
    for other in verdicts.overruled:
        found = other.verdict.pattern
        named = title_of(found) if found else case_strings.NONE_OF_CATALOGUE
        by = in_one_line(other.verdict.by) or case_strings.UNNAMED
        line = case_strings.CORRECTED.format(by=by, found=in_one_line(named))
        if other.choice is not None:
            who, day = in_one_line(other.choice.by) or case_strings.UNNAMED, other.choice.at[:10]
            line = case_strings.NOT_CHOSEN.format(by=by, found=in_one_line(named), who=who, day=day)
        blocks.append(Block(Content(f"{line} {in_one_line(other.verdict.found)}"), lead="· "))
    return blocks


def _evidence(key: int, one: Evidence, faults: Mapping[str, str]) -> Block:
    reading = f" {in_one_line(one.measured)}" if one.measured else ""
    photo = f" {one.path} (SHA-256 {one.sha256[:12]}…)" if one.path else ""
    about = f"{in_one_line(one.about)}: " if one.about else ""
    words = Content.assemble(
        (about, "bold"), in_one_line(one.text), (reading, "bold"),
        (f" {in_one_line(photo)}" if photo else "", "$muted"),
        (f" ! {faults[one.sha256]}" if one.sha256 in faults else "", "bold $warning"),
        (f"  {in_one_line(one.by)} {one.at[:10]}", "$muted"),
    )  # fmt: skip
    # What was measured on a photo leads to it as the photo does.
    return Block(
        words, "item" if one.path else "text", f"evidence:{key}", "▣ " if one.path else "· "
    )


def _calculation(key: int, one: Calculation, case: Case) -> Block:
    about = f"{in_one_line(one.about)}: " if one.about else ""
    lines = [(about + in_one_line(one.calculator), "bold")]
    if superseded(case, one):
        lines.append((f"  ! {case_strings.READING_GONE}", "bold $warning"))
    if one.question:
        lines.append((f"  {in_one_line(one.question)}", ""))
    lines += [(f"\n{in_one_line(finding)}", "$muted") for finding in one.findings[:2]]
    return Block(Content.assemble(*lines), "item", f"calculation:{key}", "∑ ")
