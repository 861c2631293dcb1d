"""Study as the blocks of a page: zones, a learner's standing, a card, its answer, a path."""

from collections.abc import Collection
from datetime import date

from textual.content import Content

from atlas.catalogue.model import Pattern
from atlas.catalogue.visible import in_one_line
from atlas.identify.chances import told
from atlas.study.boxes import WAITS
from atlas.study.items import Item
from atlas.study.overview import Overview, Row
from atlas.study.path import Asked
from atlas.study.practice import Queue, Study
from atlas.study.progress import Answer, Progress
from atlas.study.reasons import Reasons, separations
from atlas.study.sitting import Sitting
from atlas.ui import strings, study_strings
from atlas.ui.lists import bar
from atlas.ui.page import GAP, Block, heading
from atlas.ui.pattern_page import cue_blocks, paragraphs

_BAR = 20


def card_of(
    sitting: Sitting, found: Overview, day: date, why: Reasons | None
) -> tuple[str, str, list[Block]]:
    """Title, note and blocks of what lies on the table."""
    study, item, given = sitting.study, sitting.item, sitting.given
    zones = study.catalogue.zones
    if sitting.doing == "asking" and item is not None:
        box = sitting.progress.standing(item.id).box
        return zones[item.zone].title, item.id, card_blocks(item, sitting.shown, box)
    if sitting.doing == "answered" and item is not None and given is not None:
        now = sitting.progress.standing(item.id)
        said = study.catalogue.patterns.called(given.said) if given.said else ""
        title = study.catalogue.patterns.called(item.pattern)
        blocks = answered_blocks(item, given, title, said, now.box, now.due, why)
        return zones[item.zone].title, item.id, blocks
    zone = zones[sitting.zone].title if sitting.zone else study_strings.ALL
    if sitting.doing == "reading":
        path = study.paths[sitting.zone]
        return zone, "", step_blocks(sitting.pattern, path.index(sitting.step) + 1, len(path))
    asked = sitting.question if sitting.doing == "questioned" else None
    if asked is not None:
        return zone, "", question_blocks(asked, study, sitting.wrong)
    if sitting.doing == "stepped":
        return zone, "", stepped_blocks(sitting.pattern, study, sitting.following)
    rows = {row.zone: row for row in (found.whole, *found.zones)}
    blocks = zone_blocks(study, found, rows[sitting.zone], sitting.progress, sitting.queue(day))
    return study_strings.SEEN, "", blocks


# ------------------------------------------------------------------------------------- the list
def list_blocks(found: Overview) -> list[Block]:
    """All zones together, then each of them, with what is due."""
    return [_listed(row) for row in (found.whole, *found.zones)]


def _listed(row: Row) -> Block:
    meta = study_strings.ROW.format(
        due=row.due, read=row.read, path=row.path, seen=row.seen, items=row.items
    )
    title = row.title if row.zone else study_strings.ALL
    words = Content.assemble((in_one_line(title), "bold"), (f"\n{meta}", "$muted"))
    return Block(words, "item", f"zone:{row.zone}", "● " if row.due else "  ")


# ------------------------------------------------------------------------------------ standing
def zone_blocks(
    study: Study, found: Overview, row: Row, progress: Progress, queue: Queue
) -> list[Block]:
    """What there is to do in a zone and how it goes there."""
    blocks = [Block(Content.styled(in_one_line(row.title), "bold $primary"))]
    if row.zone:
        about = study.catalogue.zones[row.zone].about
        blocks.append(Block(Content.styled(in_one_line(about), "$muted")))
    blocks.append(_practise(queue))
    if row.zone:
        step = study.next_step(progress, row.zone)
        if step:
            words = Content.assemble(
                (study_strings.PATH, "bold"),
                (f"  {in_one_line(study.catalogue.patterns.title(step))}", "$muted"),
            )
            blocks.append(Block(words, "item", "path", "▸ "))
        else:
            blocks.append(Block(Content.styled(study_strings.PATH_DONE, "$muted"), lead="✓ "))
    blocks += _standing(row)
    if row.zone:
        blocks += [GAP, heading(study_strings.ON_PATH)]
        for name in study.paths[row.zone]:
            mark = "✓ " if name in progress.read else "· "
            title = in_one_line(study.catalogue.patterns.title(name))
            blocks.append(Block(Content(title), "item", f"pattern:{name}", mark))
    else:
        blocks += _whole(found)
    return blocks


def _practise(queue: Queue) -> Block:
    if not queue.next:
        return Block(Content(study_strings.NOTHING_DUE))
    meta = study_strings.DUE.format(due=len(queue.due), new=len(queue.new))
    if queue.open:
        meta = f"{study_strings.LEFT_OFF.format(count=len(queue.open))}, {meta}"
    words = Content.assemble((study_strings.PRACTISE, "bold"), (f"  {meta}", "$muted"))
    return Block(words, "item", "practise", "▸ ")


def _standing(row: Row) -> list[Block]:
    blocks = [GAP, heading(study_strings.SEEN)]
    blocks.append(Block(Content(study_strings.READ.format(read=row.read, path=row.path))))
    blocks.append(Block(Content(study_strings.ITEMS.format(seen=row.seen, items=row.items))))
    if row.hits is not None:
        words = study_strings.HITS.format(hits=row.hits, answers=row.answers, cues=row.cues)
        blocks.append(Block(Content(words)))
    if row.seen:
        blocks += [GAP, heading(study_strings.BOXES)]
        for number, (count, days) in enumerate(zip(row.boxes, WAITS, strict=True), 1):
            wait = study_strings.WAIT_ONE if days == 1 else study_strings.WAIT.format(days=days)
            name = study_strings.BOX.format(box=number, wait=wait)
            lead = f"{bar(count / max(row.seen, 1), _BAR // 2)}{count:4} "
            blocks.append(Block(Content(name), lead=lead))
    return [*blocks, *_calibration(row)]


def _calibration(row: Row) -> list[Block]:
    from atlas.casework.calibration import verdict_in_words

    blocks = [GAP, heading(study_strings.CALIBRATION)]
    if row.score is None:
        return [*blocks, Block(Content(study_strings.NO_STATED))]
    blocks.append(Block(Content(verdict_in_words(row.score))))
    for one in row.score.bins:
        words = study_strings.BIN.format(
            low=one.low, high=one.low + 0.1, right=one.right, count=one.count
        )
        blocks.append(Block(Content(words), lead=f"{bar(one.right, _BAR // 2)} "))
    return blocks


def _whole(found: Overview) -> list[Block]:
    blocks: list[Block] = []
    if found.next:
        blocks += [GAP, heading(study_strings.NEXT)]
        blocks += [Block(Content(in_one_line(line)), lead="→ ") for line in found.next]
    if found.confusions:
        blocks += [GAP, heading(study_strings.TAKEN)]
        for one in found.confusions:
            words = Content.assemble(
                (in_one_line(one.title), "bold"), (study_strings.TAKEN_FOR, "$muted"),
                in_one_line(one.said_title),
                (f"\n{in_one_line(one.separates)}" if one.separates else "", ""),
            )  # fmt: skip
            blocks.append(Block(words, "item", f"pattern:{one.pattern}", f"{one.count} × "))
    return blocks


# ---------------------------------------------------------------------------------------- a card
def card_blocks(item: Item, shown: int, box: int) -> list[Block]:
    """An item with the cues that are uncovered; nothing in it names the answer."""
    state = study_strings.IN_BOX.format(box=box) if box else study_strings.NEW
    about = [item.where or study_strings.CATALOGUE, item.about, state]
    blocks = [
        Block(Content.styled(study_strings.WHAT, "bold $primary")),
        Block(Content.styled(" · ".join(in_one_line(part) for part in about if part), "$muted")),
        GAP,
    ]
    for number, cue in enumerate(item.cues[:shown], 1):
        look = f"  {strings.LOOKS[cue.look]}" if cue.look else ""
        words = Content.assemble(in_one_line(cue.text), (look, "$muted"))
        blocks.append(Block(words, key=f"cue:{number}", lead=f"{number} "))
    blocks.append(GAP)
    if shown < len(item.cues):
        count = study_strings.CUE.format(number=shown, count=len(item.cues))
        words = Content.assemble((study_strings.MORE, "bold"), (f"  {count}", "$muted"))
        blocks.append(Block(words, "item", "more", "▸ "))
    else:
        blocks.append(Block(Content.styled(study_strings.ALL_SHOWN, "$muted")))
    blocks.append(Block(Content.styled(study_strings.ANSWER, "bold"), "item", "answer", "▸ "))
    return blocks


def answered_blocks(
    item: Item, given: Answer, title: str, said: str, box: int, due: date | None,
    why: Reasons | None,
) -> list[Block]:  # fmt: skip
    """The answer, and the reasons as soon as they are worked out."""
    if given.right:
        verdict, style = study_strings.RIGHT.format(title=title), "bold $gain"
    elif given.said:
        verdict, style = study_strings.WRONG.format(said=said, title=title), "bold $loss"
    else:
        verdict, style = study_strings.PASSED.format(title=title), "bold"
    notes = [study_strings.AFTER.format(cues=given.cues, of=given.of)]
    if given.sure is not None:
        notes.insert(0, study_strings.STATED.format(sure=given.sure))
    if due is not None:
        notes.append(study_strings.BACK_ON.format(box=box, due=due.isoformat()))
    mark = "✓ " if given.right else "✗ " if given.said else "· "
    blocks = [
        Block(
            Content.styled(in_one_line(verdict), style), key="verdict", lead=mark, lead_style=style
        ),
        Block(Content.styled(" · ".join(notes), "$muted")),
    ]
    for words, text in (
        (study_strings.FOUND, item.found),
        (study_strings.GUESSED, why.first_guess if why else ""),
    ):
        if text:
            blocks.append(Block(Content.assemble((words, "bold"), in_one_line(text))))
    blocks.append(Block(Content.styled(study_strings.GO_ON, "bold"), "item", "next", "▸ "))
    if why is None:
        return [*blocks, GAP, Block(Content.styled(study_strings.WORKING, "$muted"))]
    return [*blocks, *_reasons(item, given, why)]


def _reasons(item: Item, given: Answer, why: Reasons) -> list[Block]:
    blocks: list[Block] = []
    if why.separations:
        blocks += [GAP, heading(study_strings.SEPARATES)]
        for one in why.separations:
            text = in_one_line(one.text) or study_strings.NO_SEPARATION
            words = Content.assemble((in_one_line(one.title), "bold"), ": ", text)
            blocks.append(Block(words, "item", f"pattern:{one.other}", "≠ "))
    blocks += [GAP, heading(study_strings.TOLD)]
    blocks.append(Block(Content.styled(study_strings.COURSE, "$muted")))
    for place, (cue, share) in enumerate(zip(item.cues, why.course[1:], strict=True)):
        style = "bold" if place == why.telling else ""
        words = Content.assemble(
            (in_one_line(cue.text), style),
            (study_strings.NOT_SHOWN if place >= given.cues else "", "$muted"),
        )
        marks = frozenset({cue.mark}) if cue.mark else frozenset()
        lead = f"{'▲' if place == why.telling else ' '}{told(share):>4} "
        blocks.append(Block(words, key=f"told:{place}", lead=lead, marks=marks))
    blocks += [GAP, heading(strings.WHY), *paragraphs(why.pattern.rationale)]
    if why.number is not None:
        own = bool(why.pattern.calculations) and item.calculation is None
        blocks += [GAP, heading(study_strings.NUMBER)]
        question = Content.styled(in_one_line(why.number.question), "bold")
        blocks.append(Block(question, "item" if own else "text", "sum:0" if own else "", "∑ "))
        blocks += [Block(Content(in_one_line(one)), lead="· ") for one in why.number.findings]
        if why.number.says:
            blocks.append(Block(Content(in_one_line(why.number.says))))
        left = study_strings.LEFT_OUT + in_one_line(why.number.leaves_out)
        blocks.append(Block(Content.styled(left, "$muted")))
    if why.cautions:
        blocks += [GAP, heading(strings.CAUTIONS), *_cautions(why.cautions)]
    return blocks


# ---------------------------------------------------------------------------------------- a path
def step_blocks(pattern: Pattern, number: int, count: int) -> list[Block]:
    """A pattern of a path: what one sees and why it is built so."""
    place = study_strings.STEP.format(number=number, count=count)
    blocks = [
        Block(Content.styled(in_one_line(pattern.title), "bold $primary"), key="head"),
        Block(Content.styled(place, "$muted")),
        Block(Content(in_one_line(pattern.summary))),
        GAP,
        heading(strings.CUES),
        *cue_blocks(pattern),
        GAP,
        heading(strings.WHY),
        *paragraphs(pattern.rationale),
    ]
    if pattern.cautions:
        blocks += [GAP, heading(strings.CAUTIONS), *_cautions(pattern.cautions)]
    on = Block(Content.styled(study_strings.QUESTION, "bold"), "item", "question", "▸ ")
    return [*blocks, GAP, on]


def question_blocks(asked: Asked, study: Study, wrong: Collection[str]) -> list[Block]:
    """The question before going on; answers that were wrong say so."""
    blocks = [
        Block(Content.styled(study_strings.BEFORE, "$muted")),
        Block(Content.styled(study_strings.WHICH, "bold $primary")),
        Block(Content(in_one_line(asked.text)), lead="“ "),
        GAP,
    ]
    for number, name in enumerate(asked.options, 1):
        note = f"  ✗ {study_strings.NOT_THAT}" if name in wrong else ""
        words = Content.assemble(in_one_line(study.catalogue.patterns.title(name)), (note, "$loss"))
        blocks.append(Block(words, "item", f"option:{name}", f"{number} "))
    return blocks


def stepped_blocks(pattern: Pattern, study: Study, following: str) -> list[Block]:
    """After a right answer: what separates the pattern, and on."""
    title = study.catalogue.patterns.title
    style = "bold $gain"
    blocks = [
        Block(Content.styled(study_strings.STEP_RIGHT, style), lead="✓ ", lead_style=style),
        Block(Content.styled(in_one_line(pattern.title), "bold $primary")),
    ]
    words = Content(study_strings.PATH_DONE)
    if following:
        words = Content.assemble((study_strings.ON_TO, "bold"), in_one_line(title(following)))
    blocks.append(Block(words, "item", "on" if following else "practise", "▸ "))
    alike = separations(pattern, (), "", study.catalogue)
    if alike:
        blocks += [GAP, heading(study_strings.SEPARATES)]
        for one in alike:
            words = Content.assemble((in_one_line(one.title), "bold"), ": ", in_one_line(one.text))
            blocks.append(Block(words, "item", f"pattern:{one.other}", "≠ "))
    return blocks


def _cautions(texts: Collection[str]) -> list[Block]:
    return [
        Block(Content(in_one_line(text)), lead="⚠ ", lead_style="bold $warning") for text in texts
    ]  # fmt: skip
