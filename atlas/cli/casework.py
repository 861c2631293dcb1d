"""``atlas teardown`` and ``atlas calibration``: what open and settled cases ask for and teach."""

from typing import Any

import click

from atlas.casework.calibration import (
    Score,
    by,
    misleading,
    score,
    statements,
    verdict_in_words,
)
from atlas.casework.cases import Cases
from atlas.casework.model import Case
from atlas.casework.teardown import STAGES, teardown_list
from atlas.catalogue.library import Library
from atlas.catalogue.visible import sentence
from atlas.cli.common import heading, print_json, say, shared, warn
from atlas.cli.completion import Known
from atlas.cli.dispute_text import dispute_rows, say_disputes
from atlas.cli.score_text import print_bins
from atlas.errors import AtlasError


@click.command(epilog="Example: atlas teardown > list.txt")
@click.argument("case_ids", nargs=-1, metavar="[CASE]...", type=Known("case"))
@shared
def teardown(case_ids: tuple[str, ...], as_json: bool, library: Library) -> int:
    """List the fewest looks, weighings and cuts that settle the open suspicions, in order."""
    from atlas.catalogue.load import load
    from atlas.identify.narrowing import Narrowing

    cases, problems = _cases(library, case_ids)
    warn(problems)
    catalogue = load(library)
    steps = teardown_list(cases, catalogue, Narrowing(catalogue))
    if as_json:
        print_json(
            {
                "steps": [
                    {"case": s.case, "about": s.about, "stage": STAGES[s.stage][0], "do": s.do,
                     "decides": s.decides, "gain_bits": round(s.gain_bits, 4),
                     "in_dispute": s.in_dispute}
                    for s in steps
                ]
            }
        )  # fmt: skip
        return 0
    if not steps:
        say("Nothing is open: no case has an undecided suspicion.")
        return 0
    for stage, (title, _) in enumerate(STAGES):
        rows = [step for step in steps if step.stage == stage]
        if not rows:
            continue
        heading(title)
        for step in rows:
            disputed = ", in dispute" if step.in_dispute else ""
            say(f"[ ] {step.about} ({step.case}){disputed}", hang=4)
            say(sentence(step.do), 4)
            say(sentence(step.decides), 8)
    print()
    say(
        "Before anything comes off: support drive unit and cradle, make springs, restraint system "
        "and high voltage safe; local rules and licensed practice hold."
    )
    return 0


@click.command(epilog="Example: atlas calibration --by zone")
@click.option("--by", "key", type=click.Choice(["person", "zone", "pattern"]), default="person")
@shared
def calibration(key: str, as_json: bool, library: Library) -> None:
    """Hold stated probabilities against verdicts."""
    from atlas.catalogue.load import load

    cases, problems = _cases(library, ())
    warn(problems)
    catalogue = load(library)
    said = statements(cases, catalogue.patterns.current)
    keys = {
        "person": lambda one: one.by or "unnamed",
        "zone": lambda one: (
            catalogue.patterns.zone(one.pattern) if one.pattern in catalogue.patterns else "?"
        ),
        "pattern": lambda one: one.pattern,
    }
    whole = score(said)
    groups = by(said, keys[key])
    misled = _misled(catalogue, said, {case.id: case for case in cases}) if said else []
    if as_json:
        print_json(
            {
                "all": _document(whole),
                "in_dispute": dispute_rows(cases),
                "by": key,
                "groups": {name: _document(found) for name, (found, _) in groups.items()},
                "misleading": [
                    {"pattern": p, "reason": reason, "count": count} for p, reason, count in misled
                ],
            }
        )
        return
    say_disputes(cases)
    if whole is None:
        say("No suspicion has been settled yet: there is nothing to hold statements against.")
        return
    say(verdict_in_words(whole))
    print_bins(whole)
    say(
        f"Brier {whole.brier:.3f} = reliability {whole.reliability:.3f} - resolution "
        f"{whole.resolution:.3f} + uncertainty {whole.uncertainty:.3f} + within bins "
        f"{whole.within:+.3f}"
    )
    heading(f"By {key}")
    for name, (found, _) in groups.items():
        say(f"{name}: {verdict_in_words(found)}", hang=2)
    if misled:
        heading("What misled")
        for pattern, reason, count in misled[:8]:
            say(f"{count} x {pattern}: {reason}", hang=4)


def _cases(library: Library, names: tuple[str, ...]) -> tuple[list[Case], list[AtlasError]]:
    store = Cases(library)
    if names:
        return [store.get(store.id_of(name)) for name in names], []
    found, faults = store.every()
    return list(found), list(faults)


def _misled(catalogue: Any, said: Any, cases: dict[str, Case]) -> list[tuple[str, str, int]]:
    from atlas.identify.text import Finder

    finder = Finder(catalogue)

    def explain(text: str, pattern: str) -> tuple[str, ...]:
        for match in finder.find(text, limit=20).matches:
            if match.pattern_id == pattern:
                reasons: tuple[str, ...] = match.because
                return reasons
        return ()

    return misleading(said, cases, explain)


def _document(found: Score | None) -> dict[str, Any] | None:
    if found is None:
        return None
    return {
        "count": found.count,
        "few": found.few,
        "brier": found.brier,
        "reliability": found.reliability,
        "resolution": found.resolution,
        "uncertainty": found.uncertainty,
        "within": found.within,
        "bins": [
            {"low": b.low, "count": b.count, "stated": b.stated, "right": b.right}
            for b in found.bins
        ],
    }
