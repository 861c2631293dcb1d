"""Practice and path line by line, from a terminal or from a pipe."""

from datetime import date
from typing import TextIO

from atlas.catalogue.visible import visible
from atlas.cli.common import heading, is_plain, say
from atlas.cli.study_text import print_reasons
from atlas.errors import AtlasError
from atlas.study.items import Item
from atlas.study.path import Asked, question
from atlas.study.practice import Study, matching, stated
from atlas.study.reasons import Answers, Words, reasons

_LEAVE = ("q", "quit", "exit")


class Left(Exception):
    """The learner left, or the input ended."""


class Lines:
    """Lines from whoever answers; a prompt is shown only to a person."""

    def __init__(self, stream: TextIO) -> None:
        self._stream = stream
        self.asks = stream.isatty()

    def ask(self, prompt: str) -> str:
        """The next line, stripped.

        Raises:
            Left: there is none, or it says to leave.
        """
        if self.asks:
            print(f"{prompt} > ", end="", flush=True)
        try:
            line = self._stream.readline()
        except UnicodeDecodeError:
            return "?"  # bytes that are no text answer nothing
        if not line or line.strip().casefold() in _LEAVE:
            raise Left
        return line.strip()


def practise_aloud(study: Study, zone: str, day: date, stream: TextIO) -> int:
    """Item after item until nothing is left or the learner leaves; 1 where there was nothing."""
    lines = Lines(stream)
    count, right = 0, 0
    queue = study.queue(study.learner.get(), day, zone)
    where = f" in {study.catalogue.zones[zone].title}" if zone else ""
    if not queue.next:
        say(f"Nothing is due{where} today, and nothing is new.")
        return 1
    say(f"{len(queue.open) + len(queue.due)} due and {len(queue.new)} new{where}.")
    say("Enter shows the next cue. Part of a name answers. ? lists them, pass gives up, q leaves.")
    words, answers = _matchers(study)
    try:
        while name := study.queue(study.learner.get(), day, zone).next:
            right += _practise(study, study.items[name], day, lines, words, answers)
            count += 1
            if lines.asks:  # a person reads the reasons before the next item pushes them up
                print()
                lines.ask("enter: next, q leaves")
    except Left:
        pass
    print()
    say(f"{right} of {count} right. Progress of {study.learner.who} is kept in the library.")
    return 0


def _matchers(study: Study) -> tuple[Words, Answers]:
    from atlas.identify.narrowing import Narrowing
    from atlas.identify.text import Finder

    return Finder(study.catalogue), Narrowing(study.catalogue)


def _practise(
    study: Study, item: Item, day: date, lines: Lines, words: Words, answers: Answers
) -> bool:
    progress = study.learner.get()
    shown = max(progress.shown(item.id), 1)
    heading(study.catalogue.zones[item.zone].title)
    box = progress.standing(item.id).box
    what = ": ".join(part for part in (item.where, item.about) if part) or "From the catalogue"
    say(f"{what}  [{item.id}, {f'box {box}' if box else 'new'}]")
    for number in range(shown):
        _print_cue(item, number)
    names = study.choices(item.zone)
    while True:
        more = "enter: next cue, or " if shown < len(item.cues) else ""
        typed = lines.ask(f"{more}what is it?")
        if not typed and shown < len(item.cues):
            shown += 1
            study.learner.uncover(item.id, shown)
            _print_cue(item, shown - 1)
            continue
        if typed.casefold() == "pass":
            said, sure = "", None
            break
        said = _chosen(study, names, typed)
        if said:
            say(f"{study.catalogue.patterns.title(said)}.")
            sure = _probability(lines)
            if sure is not None:
                break
    progress = study.answer(item, said, sure, shown, day)
    why = reasons(item, said, study.catalogue, study.library, words, answers)
    print_reasons(item, why, sure, shown, progress.standing(item.id))
    return why.right


def _print_cue(item: Item, number: int) -> None:
    cue = item.cues[number]
    look = f" ({cue.look.replace('-', ' ')})" if cue.look else ""
    say(f"{number + 1} of {len(item.cues)}: {cue.text}{look}", 2, 4)


def _chosen(study: Study, names: tuple[str, ...], typed: str) -> str:
    """The pattern that was meant; empty after saying what it could be."""
    title = study.catalogue.patterns.title
    if typed.isdecimal() and 1 <= int(typed[:9]) <= len(names):
        return names[int(typed) - 1]
    found = names if typed in ("", "?") else matching(typed, names, study.catalogue)
    exact = [name for name in names if typed.casefold() in (name, title(name).casefold())]
    if len(exact) == 1 or (typed not in ("", "?") and len(found) == 1):
        return (exact or list(found))[0]
    if not found:
        say(
            f"No pattern of this zone is called {visible(typed[:60], lines=False)!r}; ? lists them."
        )
        return ""
    for number, name in enumerate(names, 1):
        if name in found:
            say(f"{number:2} {title(name)} [{name}]", 2, 5)
    say("Say its number or more of its name.")
    return ""


def _probability(lines: Lines) -> float | None:
    """The stated probability; None where the learner thinks again (an empty line)."""
    while True:
        typed = lines.ask("how sure? 0 to 100 %, enter to think again")
        if not typed:
            return None
        try:
            return stated(typed)
        except AtlasError as error:
            say(f"{error.what}; {error.remedy}")


# ------------------------------------------------------------------------------------------- path
def read_aloud(
    study: Study, zone: str, day: date, stream: TextIO, *, ascii_only: bool = False
) -> int:  # fmt: skip
    """Pattern after pattern along a path until its end or until the learner leaves."""
    lines = Lines(stream)
    try:
        while name := study.next_step(study.learner.get(), zone):
            _read(study, zone, name, ascii_only)
            _ask(study, zone, name, day, lines)
    except Left:
        return 0
    say(f"The path through {study.catalogue.zones[zone].title} is walked: practise it now.")
    return 0


def _read(study: Study, zone: str, name: str, ascii_only: bool) -> None:
    pattern = study.catalogue.pattern(name)
    path = study.paths[zone]
    heading(f"{path.index(name) + 1} of {len(path)}: {pattern.title}")
    say(pattern.summary)
    if not is_plain():
        from atlas.drawing.sketch import picture_of
        from atlas.drawing.terminal import draw

        for view in pattern.sketches[:1]:
            print(draw(picture_of(view), 72, 18, ascii_only=ascii_only).text())
    heading("What one sees")
    for cue in pattern.cues:
        say(f"- {cue.see} ({cue.look.replace('-', ' ')}, {cue.telling})", 0, 2)
    heading("Why it is built so")
    for paragraph in pattern.rationale.strip().split("\n\n"):
        say(paragraph)
    for caution in pattern.cautions:
        say(f"Mind: {caution}", 0, 2)


def _ask(study: Study, zone: str, name: str, day: date, lines: Lines) -> None:
    pattern = study.catalogue.pattern(name)
    asked = question(pattern, study.catalogue)
    if asked is None:
        study.take_step(zone, name, day)
        return
    heading("Before going on")
    say(f'Which of these shows this: "{asked.text}"?')
    title = study.catalogue.patterns.title
    for number, one in enumerate(asked.options, 1):
        say(f"{number} {title(one)}", 2, 4)
    while True:
        said = _option(study, asked, lines.ask(f"1 to {len(asked.options)}, q leaves"))
        if not said:
            continue
        right = study.take_step(zone, said, day)
        if right:
            say("Right.")
            break
        say(f"Not {title(said)}. Look at the cues once more and say again.")
    for alike in pattern.look_alikes:
        if alike.id in study.catalogue.patterns:
            say(f"From {title(alike.id)}: {alike.separates}", 2, 4)


def _option(study: Study, asked: Asked, typed: str) -> str:
    if typed.isdecimal() and 1 <= int(typed[:9]) <= len(asked.options):
        return asked.options[int(typed) - 1]
    found = matching(typed, asked.options, study.catalogue) if typed else ()
    if len(found) == 1:
        return found[0]
    say("Say its number.")
    return ""
