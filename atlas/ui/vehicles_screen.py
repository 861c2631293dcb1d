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

from atlas.catalogue.visible import in_one_line, visible
from atlas.errors import AtlasError
from atlas.ui import strings, vehicle_strings
from atlas.ui.desk import Desk
from atlas.ui.page import Block, Page
from atlas.ui.places import Go, Place, WayBack
from atlas.ui.top_bar import TopBar
from atlas.ui.written import say_written
from atlas.vehicles.loading import all_vehicles, vehicle_files
from atlas.vehicles.model import Vehicle


class VehiclesScreen(Screen[None]):
    """A list to choose from."""

    BINDINGS: ClassVar = [
        Binding("space", "tick", vehicle_strings.TICK, id="vehicles.tick",
                tooltip=vehicle_strings.TICK_TIP),
        Binding("c", "compare", vehicle_strings.SIDE_BY_SIDE, id="vehicles.compare",
                tooltip=vehicle_strings.SIDE_BY_SIDE_TIP),
        Binding("escape", "outward", strings.LEAVE, id="vehicles.out", show=False,
                tooltip=strings.BACK_TIP),
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
        self._read_vehicles: tuple[Vehicle, ...] = ()
        self._own: frozenset[str] = frozenset()
        self._problems: tuple[AtlasError, ...] = ()
        self._ticked: dict[str, Vehicle] = {}  # in the order of ticking

    def compose(self) -> ComposeResult:
        """One page."""
        yield TopBar("vehicles")
        page = Page(id="vehicles", classes="pane")
        page.border_title = strings.VEHICLES
        yield page
        yield Footer(show_command_palette=False)

    def on_mount(self) -> None:
        """Read the files in a thread."""
        self.query_one(Page).show([Block(Content(vehicle_strings.READING_VEHICLES))])
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
    def _keep(self, event: Read) -> None:
        self._read_vehicles, self._own = event.vehicles, event.own
        self._problems = event.problems
        self._show()

    def _show(self, at: str | None = None) -> None:
        blocks = [
            Block(
                _words(one, one.id in self._own), "item", f"vehicle:{one.id}",
                "✓ " if one.id in self._ticked else "▦ ",
            )
            for one in self._read_vehicles
        ]  # fmt: skip
        blocks += [
            Block(Content.styled(self._desk.told(problem), "$warning"), lead="! ")
            for problem in self._problems
        ]
        blocks.append(Block(Content.styled(vehicle_strings.NEW_VEHICLE, "$muted")))
        page = self.query_one(Page)
        page.show(blocks, at, keep=at is not None)
        count = len(self._ticked)
        page.border_subtitle = vehicle_strings.TICKED.format(count=count) if count else ""

    @on(Page.Chosen)
    def _open(self, event: Page.Chosen) -> None:
        self.post_message(Go(Place("vehicle", event.block.key.partition(":")[2])))

    def action_tick(self) -> None:
        """Take the vehicle under the cursor into the comparison, or out of it."""
        block = self.query_one(Page).current
        name = block.key.partition(":")[2] if block is not None else ""
        one = next((one for one in self._read_vehicles if one.id == name), None)
        if one is None or block is None:
            return
        if self._ticked.pop(name, None) is None:
            self._ticked[name] = one
        self._show(block.key)

    @work(thread=True, exclusive=True, group="compare")
    def action_compare(self) -> None:
        """Write the ticked vehicles side by side as a page to the working folder."""
        from atlas.ui.vehicle_files import write_comparison

        chosen = tuple(self._ticked.values())
        self.notify(vehicle_strings.WRITING, markup=False)
        say_written(self, self._desk, lambda: write_comparison(chosen, self._desk))

    def action_outward(self) -> None:
        """Back to where one came from."""
        self.post_message(WayBack())

    @property
    def place(self) -> Place:
        """Where one is."""
        return Place("vehicles")


def _words(one: Vehicle, own: bool) -> Content:
    size = one.dimensions
    meta = vehicle_strings.VEHICLE_LINE.format(
        kind=one.kind, cradle=vehicle_strings.CRADLES[one.cradle], length=size.length,
        mass=size.mass, members=len(one.members),
    )  # fmt: skip
    whose = vehicle_strings.OWN_VEHICLE if own else vehicle_strings.SHIPPED_VEHICLE
    about = in_one_line(one.about)
    return Content.assemble(
        (visible(one.title, lines=False), "bold"), f"  {one.id}",
        (f"\n{meta} · {whose}", "$muted"), f"\n{about}",
    )  # fmt: skip
