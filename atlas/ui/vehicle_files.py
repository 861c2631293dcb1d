"""A vehicle's drawing and report as files in the working folder; what is there is left alone."""

from collections.abc import Collection
from pathlib import Path

from atlas.drawing.structure_shape import Shown
from atlas.drawing.structure_views import View
from atlas.ui.desk import Desk
from atlas.ui.outcome_page import write_here
from atlas.ui.vehicle_study import Asked
from atlas.vehicles.loads import LoadCase
from atlas.vehicles.model import Vehicle


def write_sheet(shown: Shown, view: View) -> Path:
    """Write one view with its key.

    Raises:
        AtlasError: the folder does not take it.
    """
    from atlas.drawing.structure_sheet import sheet

    return write_here(f"{shown.framed.vehicle.id}-{view}", ".svg", sheet(shown, view))


def write_page(shown: Shown, asked: Asked, cases: Collection[LoadCase], desk: Desk) -> Path:
    """Write the vehicle under a load as a page; takes a while, so it is work for a thread.

    Raises:
        AtlasError: the folder does not take it, or what is left cannot stand.
    """
    from atlas.reports.vehicle import vehicle_report

    vehicle = shown.framed.vehicle
    case = next(one for one in cases if one.id == asked.load)
    page = vehicle_report(vehicle, case, tuple(cases), desk.title, "html", asked.without)
    return write_here(f"{vehicle.id}-{case.id}", ".html", page.decode())


def write_comparison(vehicles: Collection[Vehicle], desk: Desk) -> Path:
    """Write vehicles side by side as a page; takes a while, so it is work for a thread.

    Raises:
        AtlasError: fewer than two or more than eight, or the folder does not take it.
    """
    from atlas.reports.comparison import comparison_report
    from atlas.vehicles.comparing import compare
    from atlas.vehicles.loads import load_cases

    found = compare(tuple(vehicles), list(load_cases().values()))
    page = comparison_report(found, desk.title, "html")
    names = "-".join(side.vehicle.id for side in found.sides)
    return write_here(f"comparison-{names}"[:120], ".html", page.decode())
