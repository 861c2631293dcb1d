"""The lists, decisions, reviews and lessons of the catalogue's growth, as the blocks of a page."""

from collections.abc import Sequence
from typing import Any

from textual.content import Content as Words

from atlas.casework.learning import Taught
from atlas.casework.model import Case
from atlas.casework.reviews import Comment
from atlas.catalogue.checking import Fault
from atlas.catalogue.drafts import Content, undecided
from atlas.catalogue.model import Pattern
from atlas.identify.chances import told
from atlas.identify.likeness import Near
from atlas.ui import append_strings as words
from atlas.ui import strings
from atlas.ui.append_draft import clean
from atlas.ui.desk import Desk
from atlas.ui.page import GAP, Block, heading

_MOST = 200  # rows of a list at a time


def list_blocks(
    drafts: Sequence[tuple[str, Content | Exception]],
    own: Sequence[tuple[str, str, str]],
    desk: Desk,
) -> list[Block]:
    """Ways to begin, then what is in work, waits for review, and was reviewed here.

    Args:
        drafts: name and content, or why it cannot be read.
        own: id, title and status of the library's own patterns.
        desk: for the titles of zones.
    """
    blocks = [
        Block(Words.styled(words.NEW, "bold"), "item", "new", words.NEW_LEAD),
        Block(Words.styled(words.FROM_CASE, "bold"), "item", "cases", words.NEW_LEAD),
        Block(Words.styled(words.LEARN, "bold"), "item", "learn", "↺ "),
    ]
    if drafts:
        blocks += [GAP, heading(f"{words.IN_WORK} {len(drafts)}")]
    for name, content in drafts:
        if isinstance(content, Exception):
            text = Words.assemble((clean(name), "bold"), (f"\n{words.NOT_READ}", "$warning"))
            blocks.append(Block(text, "item", f"draft:{name}", "! "))
            continue
        zone = desk.catalogue.zones.get(str(content.get("zone", "")))
        about = [zone.title if zone else "", words.UNDECIDED if undecided(content) else ""]
        meta = " · ".join(part for part in about if part)
        text = Words.assemble((clean(content.get("title", name)), "bold"), (f"\n{meta}", "$muted"))
        blocks.append(Block(text, "item", f"draft:{name}", "✎ "))
    for title, status, lead in (
        (words.WAITING, "draft", "? "),
        (words.REVIEWED, "reviewed", "■ "),
    ):
        rows = [row for row in own if (row[2] == "draft") == (status == "draft")]
        if rows:
            blocks += [GAP, heading(f"{title} {len(rows):,}")]
        blocks += [
            Block(Words(clean(row[1])), "item", f"own:{row[0]}", lead) for row in rows[:_MOST]
        ]
        if len(rows) > _MOST:
            more = words.MORE_PATTERNS.format(count=f"{len(rows) - _MOST:,}")
            blocks.append(Block(Words.styled(more, "$muted"), lead="… "))
    return blocks


def case_blocks(cases: Sequence[Case], desk: Desk) -> list[Block]:
    """Structures of cases to draft from; those that the catalogue lacks first."""
    rows = []
    for case in cases:
        for about in case.structures:
            verdict = case.verdict_on(about)
            rank = 2 if verdict is None else int(bool(verdict.pattern))
            rows.append((rank, case, about, verdict))
    rows.sort(key=lambda row: row[0])  # newest case first within each, as they came
    if not rows:
        return [Block(Words(words.NO_CASES))]
    blocks = [Block(Words(words.CASES_ABOUT)), GAP]
    for rank, case, about, verdict in rows[:_MOST]:
        state = (
            words.CASE_OPEN if verdict is None
            else words.CASE_IS.format(title=desk.title(verdict.pattern)) if verdict.pattern
            else words.CASE_NONE
        )  # fmt: skip
        text = Words.assemble(
            (clean(about), "bold"), (f"\n{clean(case.head.title)} · {clean(state)}", "$muted")
        )
        blocks.append(Block(text, "item", f"case:{case.id}:{about}", ("■ ", "▪ ", "□ ")[rank]))
    if len(rows) > _MOST:
        blocks.append(Block(Words(words.CASES_MORE.format(count=f"{len(rows) - _MOST:,}"))))
    return blocks


def decision_blocks(content: Content, matches: Sequence[Near], desk: Desk) -> list[Block]:
    """The nearest patterns, and the choice between the same, a variant and new."""
    blocks = [
        Block(Words.styled(clean(content.get("title", "")), "bold $primary")),
        *(Block(Words(clean(cue.get("see", ""))), lead="· ") for cue in content.get("cues", ())),
        GAP, heading(words.DECIDE), Block(Words(words.DECIDE_ABOUT)),
    ]  # fmt: skip
    if not matches:
        blocks += [GAP, Block(Words(words.NOTHING_NEAR))]
    for match in matches:
        first = match is matches[0]
        summary = clean(desk.catalogue.pattern(match.pattern_id).summary)
        text = Words.assemble(
            (clean(desk.title(match.pattern_id)), "bold"),
            (f"  {told(match.score)}", "$muted"),
            f"\n{summary}",
        )
        name = match.pattern_id
        blocks += [
            GAP, Block(text, key=f"near:{name}"),
            _choice(f"same:{name}", words.SAME, words.SAME_TIP if first else "", "= "),
            _choice(f"variant:{name}", words.VARIANT, words.VARIANT_TIP if first else "", "≈ "),
        ]  # fmt: skip
    return [*blocks, GAP, _choice("fresh", words.IS_NEW, words.IS_NEW_TIP, "+ ")]


def _choice(key: str, text: str, tip: str, lead: str) -> Block:
    return Block(Words.assemble((text, "bold"), (f"  {tip}", "$muted")), "item", key, lead)


def near_blocks(matches: Sequence[Near], desk: Desk) -> list[Block]:
    """The nearest patterns with why the words lead there."""
    if not matches:
        return [Block(Words(words.NOTHING_NEAR))]
    return [
        Block(
            Words.assemble(
                (clean(desk.title(one.pattern_id)), "bold"), (f"  {told(one.score)}", "$muted"),
                *((f"\n{clean(reason)}", "$muted") for reason in one.because[:2]),
            ),
            "item", f"pattern:{one.pattern_id}", "≈ ",
        )
        for one in matches
    ]  # fmt: skip


# ---------------------------------------------------------------------------------------- review
def review_blocks(
    pattern: Pattern,
    against: str,
    changes: Sequence[tuple[str, str, str]],
    faults: Sequence[Fault],
    comments: Sequence[Comment],
) -> list[Block]:
    """A pattern of the library: how it stands, what can be done, and what it changes.

    Args:
        pattern: as the library has it.
        against: what the differences are taken from.
        changes: path, text before and after, field by field.
        faults: what a check finds.
        comments: what was said of it.
    """
    told_of = pattern.provenance
    author = clean(told_of.author) or words.SHIPPED_AUTHOR
    stands = words.STANDS.format(
        status=strings.STATUS[told_of.status], author=author, day=told_of.written.isoformat()
    )
    if told_of.reviewed is not None:
        stands += "; " + words.STANDS_REVIEWED.format(
            reviewer=clean(told_of.reviewer), day=told_of.reviewed.isoformat()
        )
    title = Words.styled(clean(pattern.title), "bold $primary")
    blocks = [Block(Words.assemble(title, (f"\n{pattern.id} · {stands}", "$muted"))),
              GAP, heading(words.WAYS)]  # fmt: skip
    if told_of.status == "draft":
        tip = words.DO_ACCEPT_TIP.format(author=author)
        blocks.append(_choice("accept", words.DO_ACCEPT, tip, "✓ "))
    blocks += [
        _choice("comment", words.DO_COMMENT, "", "» "),
        _choice("work", words.DO_WORK, words.DO_WORK_TIP, "✎ "),
        _choice("replace", words.DO_REPLACE, words.DO_REPLACE_TIP, "↦ "),
    ]
    if faults:
        blocks += [GAP, heading(words.CHECKED), *map(_full_fault, faults)]
    blocks += [GAP, heading(words.COMMENTS)]
    blocks += [
        Block(Words.assemble((f"{one.at[:10]} {clean(one.by)}: ", "bold"), clean(one.text)),
              lead="» ")
        for one in comments
    ] or [Block(Words.styled(words.NO_COMMENTS, "$muted"))]  # fmt: skip
    blocks += [GAP, heading(against)]
    if not changes:
        blocks.append(Block(Words(words.NO_DIFFERENCE)))
    for field, before, after in changes:
        lines: list[Any] = [(clean(field), "bold")]
        if before:
            lines.append((f"\n{words.OLD_LEAD}{clean(before)}", "$loss"))
        if after:
            lines.append((f"\n{words.NEW_FIELD_LEAD}{clean(after)}", "$gain"))
        blocks.append(Block(Words.assemble(*lines), key=f"field:{field}"))
    return blocks


def _full_fault(fault: Fault) -> Block:
    return Block(Words(clean(f"{fault.field}: {fault.what}")), lead="✗ " if fault.severe else "◦ ")


def learn_blocks(found: Taught, desk: Desk) -> list[Block]:
    """What settled cases would move, pattern by pattern, with the counts."""
    problems = [Block(Words.styled(desk.told(one), "$warning"), lead="! ")
                for one in found.problems]  # fmt: skip
    problems += [
        Block(Words.styled(clean(words.LEARN_DISPUTE.format(about=about, case=case.head.title)),
                           "$warning"), lead="! ")
        for case in found.cases
        for about in case.in_dispute
    ]  # fmt: skip
    if not found.patterns:
        return [Block(Words(words.LEARN_NONE)), *problems]
    blocks = [Block(Words(words.LEARN_ABOUT))]
    for name in found.patterns:
        title = clean(desk.title(name))
        blocks += [GAP, heading(title)]
        for one in found.about(name).lessons:
            observable = desk.catalogue.observables[one.observable]
            states = [
                words.LEARN_STATE.format(
                    state=clean(state.text), count=one.counts.get(state.id, 0),
                    before=one.before[state.id], after=one.after[state.id],
                )
                for state in observable.states
            ]  # fmt: skip
            lines = "".join(f"\n  {line}" for line in states)
            text = Words.assemble((clean(observable.question), "bold"), lines)
            blocks.append(Block(text, lead="· "))
        for said in found.said.get(name, ()):
            blocks.append(Block(Words(words.LEARN_SAID.format(text=clean(said)[:300])), lead="» "))
        blocks.append(_choice(f"learn:{name}", words.LEARN_WRITE.format(title=title), "", "✓ "))
    return [*blocks, *problems]
