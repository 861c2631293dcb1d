"""A pattern as the blocks of a page."""

from collections.abc import Callable, Iterable, Sequence

from textual.content import Content

from atlas.catalogue.model import Cue, Pattern
from atlas.catalogue.visible import in_one_line, visible
from atlas.ui import strings
from atlas.ui.page import GAP, Block, heading

# How telling a cue is, as a bar that reads without colour.
_TELLING = {"settles": "■■■■ ", "strong": "■■■· ", "supports": "■■·· ", "weak": "■··· "}
_ORDER = ("settles", "strong", "supports", "weak")

Title = Callable[[str], str]


def pattern_blocks(
    pattern: Pattern,
    title_of: Title,
    calculators: frozenset[str],
    zone_title: str = "",
    marked: bool = False,
    because: Sequence[str] = (),
) -> list[Block]:
    """Everything that is known of a pattern, most useful first.

    Args:
        pattern: what to show.
        title_of: title of another pattern by id, or the id where it is not there.
        calculators: ids of the calculators that can be opened.
        zone_title: title of its zone.
        marked: whether the reader marked it.
        because: why a search led here.
    """
    blocks = [*_head(pattern, zone_title, marked)]
    if because:
        blocks += [GAP, heading(strings.WHY_HERE)]
        blocks += [Block(Content(in_one_line(reason)), lead="· ") for reason in because]
    blocks += [GAP, heading(strings.CUES), *cue_blocks(pattern)]
    if pattern.look_alikes:
        blocks += [GAP, heading(strings.LOOK_ALIKES)]
        blocks += [
            _item(f"pattern:{one.id}", title_of(one.id), one.separates, "≠ ")
            for one in pattern.look_alikes
        ]
    blocks += [GAP, heading(strings.DOES), *paragraphs(pattern.does)]
    if pattern.load_cases:
        blocks += [GAP, heading(strings.LOADS)]
        for case in pattern.load_cases:
            words = Content.assemble(
                (in_one_line(case.case), "bold"), ": ", in_one_line(case.force), (" → ", "$muted"),
                in_one_line(case.path),
            )  # fmt: skip
            blocks.append(Block(words, lead="→ ", lead_style="$load"))
    blocks += [GAP, heading(strings.WHY), *paragraphs(pattern.rationale)]
    if pattern.trade_offs:
        blocks += [GAP, heading(strings.TRADE_OFFS)]
        for one in pattern.trade_offs:
            words = Content.assemble(
                (strings.AXES[one.axis], "bold"), (": ", "bold"), in_one_line(one.why)
            )
            style = {"better": "$gain", "worse": "$loss"}.get(one.effect, "$muted")
            blocks.append(
                Block(words, lead=f"{strings.EFFECTS[one.effect]} ", lead_style=f"bold {style}")
            )
    if pattern.calculations:
        blocks += [GAP, heading(strings.SUMS)]
        for index, sum_ in enumerate(pattern.calculations):
            ready = sum_.calculator in calculators
            note = "" if ready else f" ({strings.NO_CALCULATOR})"
            words = Content.assemble(
                in_one_line(sum_.question), (f"  {sum_.calculator}{note}", "$muted")
            )
            blocks.append(Block(words, "item" if ready else "text", f"sum:{index}", "∑ "))
    blocks += [GAP, heading(strings.SETTLE)]
    for step in pattern.settle:
        words = Content.assemble(
            (strings.BY[step.by], "bold"), ": ", in_one_line(step.do), (" → ", "$muted"),
            in_one_line(step.decides),
        )  # fmt: skip
        blocks.append(Block(words, lead="☐ "))
    blocks += _builds(pattern)
    if pattern.cautions:
        blocks += [GAP, heading(strings.CAUTIONS)]
        blocks += [
            Block(Content(in_one_line(text)), lead="⚠ ", lead_style="bold $warning")
            for text in pattern.cautions
        ]
    return [*blocks, *_sources(pattern)]


def _head(pattern: Pattern, zone_title: str, marked: bool) -> Iterable[Block]:
    status = strings.STATUS[pattern.provenance.status]
    yield Block(
        Content.assemble(
            (in_one_line(pattern.title), "bold $primary"), ("  ★" if marked else "", "$accent")
        ),
        key="head",
    )
    yield Block(Content.styled(f"{zone_title or pattern.zone} · {status}", "$muted"))
    yield Block(Content(in_one_line(pattern.summary)))
    if pattern.other_names:
        names = ", ".join(in_one_line(name) for name in pattern.other_names)
        yield Block(Content.styled(strings.ALSO_CALLED + names, "$muted"))


def cue_blocks(pattern: Pattern) -> list[Block]:
    """What one sees, the most telling first; each shows its part of the sketch."""
    cues = sorted(pattern.cues, key=lambda cue: _ORDER.index(cue.telling))
    return [_cue(index, cue) for index, cue in enumerate(cues)]


def _cue(index: int, cue: Cue) -> Block:
    words = Content.assemble(
        in_one_line(cue.see),
        (f"  {strings.LOOKS[cue.look]}, {strings.TELLING[cue.telling]}", "$muted"),
    )
    marks = frozenset({cue.mark}) if cue.mark else frozenset()
    return Block(words, key=f"cue:{index}", lead=_TELLING[cue.telling], marks=marks)


def _item(key: str, title: str, text: str, lead: str) -> Block:
    words = Content.assemble((in_one_line(title), "bold"), ": ", in_one_line(text))
    return Block(words, "item", key, lead)


def _builds(pattern: Pattern) -> list[Block]:
    if not pattern.builds:
        return []
    blocks = [GAP, heading(strings.BUILDS)]
    for build in pattern.builds:
        gauge = ""
        if build.gauge_mm is not None:
            low, high = build.gauge_mm
            form = strings.GAUGE if low != high else strings.GAUGE_ONE
            gauge = ", " + form.format(low=low, high=high)
        words = Content.assemble(
            (in_one_line(build.material), "bold"),
            f", {in_one_line(build.process)}; {in_one_line(build.joint)}", (gauge, "$muted"),
        )  # fmt: skip
        blocks.append(Block(words, lead="· "))
    return blocks


def _sources(pattern: Pattern) -> list[Block]:
    blocks = [GAP, heading(strings.SOURCES)]
    for source in pattern.sources:
        kind = strings.SOURCE_KINDS[source.kind]
        text = in_one_line(source.text)
        note = f" ({kind})" if kind and kind.casefold() not in text.casefold() else ""
        address = f" {in_one_line(source.address)}" if source.address else ""
        blocks.append(Block(Content.styled(text + note + address, "$muted"), lead="· "))
    for name in pattern.provenance.seen_in:
        blocks.append(Block(Content.styled(strings.SEEN_IN + in_one_line(name), "$muted")))
    if pattern.provenance.superseded_by:
        newer = pattern.provenance.superseded_by
        blocks.append(Block(Content(strings.SUPERSEDED + newer), "item", f"pattern:{newer}", "↦ "))
    return blocks


def paragraphs(text: str) -> list[Block]:
    """Blocks of a long text: one each paragraph, its line breaks left to the window's width."""
    pieces = [" ".join(piece.split()) for piece in visible(text).split("\n\n")]
    return [Block(Content(piece)) for piece in pieces if piece]
