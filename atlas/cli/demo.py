"""``atlas demo``: the whole loop on an invented vehicle, without a question."""

from pathlib import Path
from typing import Any

import click

from atlas.casework.cases import Cases
from atlas.catalogue.library import Library
from atlas.catalogue.load import Catalogue
from atlas.cli.common import heading, print_json, say, write_plain
from atlas.errors import BadInput
from atlas.identify.chances import told
from atlas.vehicles.model import Structure, Vehicle

_LOOKS = 5


@click.command(epilog="Example: atlas demo --output /tmp/demo")
@click.option("--vehicle", "vehicle_id", default="demo-pickup", show_default=True)
@click.option(
    "--output",
    "--out",
    "output",
    default="atlas-demo",
    show_default=True,
    metavar="DIR",
    help="Where the case and its report go.",
)
@click.option("--library", "folder", metavar="DIR", help="Library for the case (DIR/library).")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON document.")
@click.option("--plain", is_flag=True, help="For a screen reader: no drawings, no columns.")
@click.pass_context
def demo(
    ctx: click.Context, vehicle_id: str, output: str, folder: str | None, as_json: bool, plain: bool
) -> None:
    """Walk the loop on an invented vehicle: describe, match, look, compute, record, settle."""
    from atlas.catalogue.library import open_library
    from atlas.catalogue.load import load
    from atlas.catalogue.writing import make_folder, refusal, write_durably
    from atlas.identify.narrowing import Narrowing
    from atlas.identify.text import Finder
    from atlas.reports.case import case_report
    from atlas.vehicles.loading import load_vehicle

    write_plain(plain)
    target = Path(output).expanduser()
    if target.exists() and not target.is_dir():
        raise BadInput(f"{output} is a file", "--output", "name a folder")
    named = folder or ctx.find_root().obj
    if named:
        library = open_library(named)
    else:
        try:
            make_folder(target / "library")
        except OSError as error:
            raise refusal(error, target) from None
        library = Library((target / "library").resolve())
    catalogue = load(library)
    vehicle = load_vehicle(vehicle_id, library)
    walk = _Walk(catalogue, vehicle, Finder(catalogue), Narrowing(catalogue), library, not as_json)
    walk.introduce()
    steps = [walk.structure(one) for one in vehicle.structures]
    found = walk.cases.get(walk.case_id)
    report = target / f"{walk.case_id}.html"
    write_durably(report, case_report(found, catalogue, "html", library))
    if as_json:
        print_json({"case": walk.case_id, "report": str(report), "structures": steps})
        return
    heading("Handed over")
    right = sum(step["right"] for step in steps)
    guessed = sum(step["guess_right"] for step in steps)
    say(
        f"Of {len(steps)} structures the first guess had {guessed} right, the case {right}. "
        f"Case {walk.case_id} is {found.status}."
    )
    say(f"Report: {report}")


class _Walk:
    """One vehicle, walked through structure by structure."""

    def __init__(
        self,
        catalogue: Catalogue,
        vehicle: Vehicle,
        finder: Any,
        narrowing: Any,
        library: Library,
        aloud: bool,
    ) -> None:
        self.catalogue, self.vehicle = catalogue, vehicle
        self.finder, self.narrowing = finder, narrowing
        self.library, self.aloud = library, aloud
        self.cases = Cases(library, "demo")
        self.case_id = self.cases.new(vehicle.title, vehicle=vehicle.id, place="demo lift").id

    def tell(self, text: str = "", indent: int = 0, hang: int = 0) -> None:
        if self.aloud:
            say(text, indent, hang)

    def title(self, text: str) -> None:
        if self.aloud:
            heading(text)

    def introduce(self) -> None:
        self.tell(f"{self.vehicle.title}, an invented vehicle. What somebody saw of its underside:")
        self.tell(self.vehicle.described, 2)

    def structure(self, one: Structure) -> dict[str, Any]:
        """Describe, match, look, compute, record and settle one structure."""
        titles = self.catalogue.patterns.title
        self.title(one.about)
        self.tell(f'Described: "{one.described}"')
        self.cases.note(self.case_id, one.described, about=one.about)
        found = self.finder.find(one.described, limit=3)
        for match in found.matches:
            self.tell(f"{told(match.score):>4}  {match.title} [{match.pattern_id}]", 2, 6)
            for reason in match.because[:2]:
                self.tell(reason, 8, 2)
        self.tell(f"First guess of a beginner: {titles(one.first_guess)}.")
        prior = self.finder.prior(one.described)
        before = self.narrowing.given(prior, {})
        lead = next(iter(before.candidates))
        self.suspect(one, lead, before.candidates[lead], "the description")
        state = self.look(one, prior, before)
        computed = self.compute(one)
        lead = next(iter(state.candidates))
        self.suspect(one, lead, state.candidates[lead], "looks taken")
        self.cases.settle(self.case_id, one.pattern, about=one.about, found=one.found, how=one.how)
        right = lead == one.pattern
        self.tell(
            f"At teardown: {titles(one.pattern)}. {one.found} "
            f"{'The case had it' if right else 'The case had it wrong'}, at "
            f"{told(state.candidates.get(one.pattern, 0.0))}."
        )
        return {
            "about": one.about,
            "matches": [{"id": m.pattern_id, "score": round(m.score, 4)} for m in found.matches],
            "first_guess": one.first_guess,
            "suspected": lead,
            "probability": round(state.candidates[lead], 4),
            "calculation": computed,
            "verdict": one.pattern,
            "right": right,
            "guess_right": one.first_guess == one.pattern,
        }

    def suspect(self, one: Structure, pattern: str, probability: float, why: str) -> None:
        self.cases.suspect(self.case_id, pattern, round(probability, 3), about=one.about, why=why)

    def look(self, one: Structure, prior: Any, state: Any) -> Any:
        """Take the looks that the program asks for, as far as the vehicle answers them."""
        answers: dict[str, str] = {}
        asked = 0
        while asked < _LOOKS:
            questions = self.narrowing.next_questions(state, 40)
            question = next((q for q in questions if q.observable.id in one.looks), None)
            if question is None:
                break
            asked += 1
            observable = question.observable
            answers[observable.id] = one.looks[observable.id]
            state = self.narrowing.given(prior, answers)
            said = next(s.text for s in observable.states if s.id == one.looks[observable.id])
            lead = next(iter(state.candidates))
            self.tell(f"Look: {observable.question} {said}.", 2, 2)
            self.tell(
                f"now {self.catalogue.patterns.title(lead)} at {told(state.candidates[lead])}",
                8,
            )
        for line in state.contradictions:
            self.tell(f"Contradiction: {line}", 2, 2)
        return state

    def compute(self, one: Structure) -> dict[str, Any] | None:
        """Run the structure's calculation and say whether it bears the first guess out."""
        look = one.calculation
        if look is None:
            return None
        from atlas.casework.calculations import record_of
        from atlas.vehicles.bearing import bear_out

        borne = bear_out(look, self.vehicle.id, self.library)
        outcome = borne.outcome
        record = record_of(outcome, borne.typed, one.about, look.question)
        self.cases.calculate(self.case_id, record)
        self.tell(f"Number: {look.question}", 2, 2)
        for finding in outcome.findings:
            self.tell(f"- {finding}", 4, 2)
        self.tell(f"{borne.says} ({borne.share:.0%} of samples)", 4, 2)
        share = round(borne.share, 4)
        return {"calculator": look.calculator, "share": share, "says": borne.says}
