"""All vehicles: shipped ones and the library's own."""

from dataclasses import dataclass
from typing import ClassVar

from textual import on, work
from textual.app import ComposeResult
from textual.binding import Binding
from textual.content import Content
from textual.message import Message
from textual.screen import Screen
from textual.widgets import Footer

from atlas.catalogue.visible import visible
from atlas.errors import AtlasError
from atlas.ui import strings
from atlas.ui.desk import Desk
from atlas.ui.page import Block, Page
from atlas.ui.places import Go, Place, WayBack
from atlas.ui.top_bar import TopBar
from atlas.vehicles.loading import all_vehicles, vehicle_files
from atlas.vehicles.model import Vehicle


class VehiclesScreen(Screen[None]):
    """A list to choose from."""

    BINDINGS: ClassVar = [
        Binding("escape", "outward", strings.LEAVE, id="vehicles.out", show=False,
                tooltip=strings.LEAVE_TIP),
    ]  # fmt: skip

    @dataclass
    class Read(Message):
        """The files are read."""

        vehicles: tuple[Vehicle, ...]
        own: frozenset[str]
        problems: tuple[AtlasError, ...]

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self._desk = desk

    def compose(self) -> ComposeResult:
        """One page."""
        yield TopBar("vehicles")
        page = Page(id="vehicles", classes="pane")
        page.border_title = strings.VEHICLES
        yield page
        yield Footer(show_command_palette=False)

    def on_mount(self) -> None:
        """Read the files in a thread."""
        self.query_one(Page).show([Block(Content(strings.READING_VEHICLES))])
        self.query_one(Page).focus()
        self._read()

    @work(thread=True)
    def _read(self) -> None:
        library = self._desk.library
        found, problems = all_vehicles(library)
        own = frozenset(
            name for name, path in vehicle_files(library).items()
            if library is not None and path.parent == library.vehicles
        )  # fmt: skip
        self.post_message(self.Read(tuple(found.values()), own, problems))

    @on(Read)
    def _show(self, event: Read) -> None:
        blocks = [
            Block(_words(one, one.id in event.own), "item", f"vehicle:{one.id}", "▦ ")
            for one in event.vehicles
        ]
        blocks += [
            Block(Content.styled(visible(str(problem)), "$warning"), lead="! ")
            for problem in event.problems
        ]
        blocks.append(Block(Content.styled(strings.NEW_VEHICLE, "$muted")))
        self.query_one(Page).show(blocks)

    @on(Page.Chosen)
    def _open(self, event: Page.Chosen) -> None:
        self.post_message(Go(Place("vehicle", event.block.key.partition(":")[2])))

    def action_outward(self) -> None:
        """Back to where one came from."""
        self.post_message(WayBack())

    @property
    def place(self) -> Place:
        """Where one is."""
        return Place("vehicles")


def _words(one: Vehicle, own: bool) -> Content:
    size = one.dimensions
    meta = strings.VEHICLE_LINE.format(
        kind=one.kind, cradle=strings.CRADLES[one.cradle], length=size.length, mass=size.mass,
        members=len(one.members),
    )  # fmt: skip
    whose = strings.OWN_VEHICLE if own else strings.SHIPPED_VEHICLE
    about = " ".join(visible(one.about).split())
    return Content.assemble(
        (visible(one.title, lines=False), "bold"), f"  {one.id}",
        (f"\n{meta} · {whose}", "$muted"), f"\n{about}",
    )  # fmt: skip
