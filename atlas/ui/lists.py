"""Zones, matches, candidates and questions as blocks."""

from collections.abc import Mapping

from textual.content import Content

from atlas.catalogue.model import Zone
from atlas.catalogue.visible import visible
from atlas.identify.chances import told
from atlas.ui import strings
from atlas.ui.desk import Desk, Found, Question, State
from atlas.ui.page import GAP, Block, heading

_EIGHTHS = " ▏▎▍▌▋▊▉█"


def bar(share: float, width: int = 5) -> str:
    """A bar of ``width`` cells, to an eighth of a cell.

    >>> bar(0.5, 4), bar(0.0, 3), bar(1.2, 3)
    ('██  ', '   ', '███')
    """
    eighths = round(min(max(share, 0.0), 1.0) * width * 8)
    full, rest = divmod(eighths, 8)
    return ("█" * full + (_EIGHTHS[rest] if rest else "")).ljust(width)


def zone_blocks(desk: Desk, opened: str | None) -> list[Block]:
    """The zones, with the patterns of the one that is open."""
    catalogue = desk.catalogue
    counts: dict[str, list[str]] = {zone: [] for zone in catalogue.zones}
    for name in catalogue.patterns:
        counts.setdefault(catalogue.patterns.zone(name), []).append(name)
    blocks: list[Block] = []
    replaced = catalogue.patterns.replaced
    for zone, names in counts.items():
        title = catalogue.zones[zone].title if zone in catalogue.zones else zone
        words = Content.assemble(visible(title, lines=False), (f"  {len(names)}", "$muted"))
        blocks.append(Block(words, "item", f"zone:{zone}", "▾ " if zone == opened else "▸ "))
        if zone == opened:
            blocks += [
                Block(
                    Content.styled(
                        visible(catalogue.patterns.title(name), lines=False),
                        "$muted" if name in replaced else "",
                    ),
                    "item",
                    f"pattern:{name}",
                    "  ↦ " if name in replaced else "  · ",
                )
                for name in names
            ]
    return blocks


def zone_page(zone: Zone, desk: Desk) -> list[Block]:
    """What a zone is, and its patterns."""
    return [
        Block(Content(zone.about)), GAP,
        *(Block(Content(desk.title(name)), "item", f"pattern:{name}", "· ")
          for name in desk.catalogue.in_zone(zone.id)),
    ]  # fmt: skip


def match_blocks(found: Found) -> list[Block]:
    """Matches of a search, best first, each with what spoke for it."""
    if not found.matches:
        blocks = [Block(Content(strings.NOTHING))]
        if found.nearest:
            blocks.append(Block(Content(strings.NEAREST + visible(", ".join(found.nearest)))))
        return blocks
    return [_candidate(match.pattern_id, match.title, match.score) for match in found.matches]


def answer_blocks(state: State, desk: Desk, zone: str | None, limit: int = 12) -> list[Block]:
    """Candidates after answers, likeliest first."""
    patterns = desk.catalogue.patterns
    blocks: list[Block] = []
    for name, probability in state.candidates.items():
        if len(blocks) == limit:
            break
        if zone is None or patterns.zone(name) == zone:
            blocks.append(_candidate(name, patterns.title(name), probability))
    words = Content.styled(strings.NONE_OF_THESE, "$muted")
    return [
        *blocks,
        Block(words, lead=f"{bar(state.none_of_these, 3)}{told(state.none_of_these):>4} "),
    ]


def _candidate(name: str, title: str, share: float) -> Block:
    words = Content(visible(title, lines=False))
    return Block(words, "item", f"pattern:{name}", f"{bar(share, 3)}{told(share):>4} ")


def question_blocks(
    question: Question | None,
    more: bool,
    state: State | None,
    answers: Mapping[str, str],
    desk: Desk,
) -> list[Block]:
    """The next look, its possible answers, why it is asked, and what was answered before."""
    blocks: list[Block] = []
    if state is not None:
        blocks += [
            Block(
                Content.assemble((strings.CONFLICT, "bold $warning"), visible(line)),
                lead="! ",
                lead_style="bold $warning",
            )
            for line in state.contradictions
        ]
    if question is None:
        blocks.append(Block(Content(strings.NO_QUESTION)))
    else:
        name = question.observable.id
        blocks.append(Block(Content.styled(visible(question.observable.question), "bold")))
        blocks += [
            Block(Content(visible(one.text)), "item", f"answer:{name}={one.id}", "○ ")
            for one in question.observable.states
        ]
        if more:
            words = f"{strings.CANNOT_SEE}, {strings.ANOTHER}"
            blocks.append(Block(Content.styled(words, "$muted"), "item", f"skip:{name}", "↷ "))
        blocks.append(Block(Content.styled(strings.WHY_THIS + visible(question.why), "$muted")))
    if answers:
        blocks += [GAP, heading(strings.ANSWERED)]
        blocks += [_answer(name, value, desk) for name, value in answers.items()]
    return blocks


def _answer(name: str, value: str, desk: Desk) -> Block:
    observable = desk.catalogue.observables.get(name)
    question, text = name, value
    if observable is not None:
        question = observable.question
        text = next((one.text for one in observable.states if one.id == value), value)
    words = Content.assemble(visible(question), " ", (visible(text), "bold"))
    return Block(words, "item", f"withdraw:{name}", "✕ ")
