"""Which screen a place is; each is imported when one goes there."""

from textual.screen import Screen

from atlas.errors import AtlasError
from atlas.ui import strings
from atlas.ui.desk import Desk, Preset
from atlas.ui.places import Place
from atlas.ui.terminal_graphics import Graphics


def screen_of(
    place: Place, desk: Desk, preset: Preset | None, ascii_only: bool, graphics: Graphics | None
) -> Screen[None] | None:
    """The screen of a place; None for the one that is always there below the others.

    Raises:
        AtlasError: what it is a place of is not there, or needs a library.
    """
    match place.kind:
        case "calculator":
            from atlas.calculators.registry import calculator
            from atlas.ui.calculator_screen import CalculatorScreen

            one = calculator(place.id)
            return CalculatorScreen(desk, one, dict(place.inputs), preset, ascii_only)
        case "calculators":
            from atlas.ui.calculators_screen import CalculatorsScreen

            return CalculatorsScreen(desk)
        case "vehicles":
            from atlas.ui.vehicles_screen import VehiclesScreen

            return VehiclesScreen(desk)
        case "vehicle":
            from atlas.ui.vehicle_screen import VehicleScreen
            from atlas.vehicles.loading import load_vehicle

            vehicle = load_vehicle(place.id, desk.library)
            return VehicleScreen(desk, vehicle, dict(place.inputs), ascii_only)
        case "cases":
            if desk.cases is None:
                raise AtlasError(strings.NO_LIBRARY)
            from atlas.ui.cases_screen import CasesScreen

            return CasesScreen(desk, place.id)
        case "photo":
            from atlas.ui.photo_screen import PhotoScreen

            given = dict(place.inputs)
            case, marks = given.get("case", ""), given.get("marks", "")
            return PhotoScreen(desk, place.id, case, marks, ascii_only, graphics)
        case "study":
            if desk.library is None:
                raise AtlasError(strings.NO_LIBRARY)
            from atlas.ui.study_screen import StudyScreen

            return StudyScreen(desk, place.id, place.text, ascii_only)
        case "append":
            if desk.library is None:
                raise AtlasError(strings.NO_LIBRARY)
            from atlas.ui.append_screen import AppendScreen

            return AppendScreen(desk, place.id, ascii_only)
        case "glossary":
            from atlas.ui.glossary_screen import GlossaryScreen

            return GlossaryScreen(desk, place.id, place.text)
        case _:
            if place.id:
                desk.catalogue.pattern(place.id)  # refuses where it is gone
            return None
