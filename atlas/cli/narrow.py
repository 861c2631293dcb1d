"""``atlas narrow``: answers in, probabilities and the next question out."""

import click

from atlas.catalogue.library import Library
from atlas.cli.common import heading, print_json, say, shared, table, warn
from atlas.errors import BadInput


@click.command(epilog='Example: atlas narrow --from "bar across the front" magnet=sticks')
@click.option("--from", "text", metavar="TEXT", default="", help="Description to start from.")
@click.option("--limit", default=8, show_default=True, type=click.IntRange(1, 1000))
@click.argument("answers", nargs=-1, metavar="[OBSERVABLE=STATE]...")
@shared
def narrow(
    text: str, limit: int, answers: tuple[str, ...], as_json: bool, library: Library
) -> None:
    """Narrow down by observations, and learn which look to take next."""
    from atlas.catalogue.load import load
    from atlas.identify.narrowing import Narrowing
    from atlas.identify.text import Finder

    catalogue = load(library)
    warn(catalogue.problems)
    given: dict[str, str] = {}
    for answer in answers:
        observable, equals, seen = answer.partition("=")
        if not equals:
            raise BadInput(
                f"cannot read {answer[:60]!r}", "OBSERVABLE=STATE", "write magnet=sticks"
            )
        if observable.strip() in given:
            raise BadInput("answered twice", observable.strip()[:60], "give one answer")
        given[observable.strip()] = seen.strip()
    narrowing = Narrowing(catalogue)
    prior = Finder(catalogue).prior(text) if text.strip() else None
    state = narrowing.given(prior, given)
    questions = narrowing.next_questions(state, 5)
    if as_json:
        print_json(
            {
                "candidates": [
                    {"id": name, "probability": round(p, 6)}
                    for name, p in list(state.candidates.items())[:limit]
                ],
                "none_of_these": round(state.none_of_these, 6),
                "contradictions": list(state.contradictions),
                "next": [
                    {
                        "observable": one.observable.id,
                        "question": one.observable.question,
                        "states": {s.id: s.text for s in one.observable.states},
                        "look": one.observable.look,
                        "gain_bits": round(one.gain_bits, 4),
                        "why": one.why,
                    }
                    for one in questions
                ],
            }
        )
        return
    rows = [
        (f"{p:5.1%}", catalogue.patterns.title(name), name)
        for name, p in list(state.candidates.items())[:limit]
        if p >= 0.005
    ]
    table([*rows, (f"{state.none_of_these:5.1%}", "none of these", "")])
    for line in state.contradictions:
        say(f"Contradiction: {line}", hang=2)
    heading("Look next")
    for one in questions[:3]:
        say(f"{one.observable.question}  ({one.observable.id}, {one.gain_bits:.2f} bit)")
        for option in one.observable.states:
            say(f"{one.observable.id}={option.id}  {option.text}", indent=4, hang=4)
        say(one.why, indent=4)
