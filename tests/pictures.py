"""Takes the README's pictures from the application's own screens.

``python -m tests.pictures [NAME ...]``
"""

import asyncio
import re
import sys
import tempfile
from collections.abc import Awaitable, Callable
from pathlib import Path
from typing import Any

from atlas.casework.cases import Cases
from atlas.catalogue.drafting import described
from atlas.catalogue.drafts import Drafts
from atlas.catalogue.library import Library
from atlas.ui.app import AtlasApp
from atlas.ui.desk import Desk
from atlas.ui.photo_view import PhotoView
from atlas.ui.places import Place
from tests.plate_picture import CORNERS, ENDS, camera, picture

FOLDER = Path(__file__).parents[1] / ".pictures"
SIZE = (132, 40)
WORDS = "flat pressed plate like a cross behind the motor, two feet on the body"
Scene = Callable[[Any, Any], Awaitable[None]]


async def find(app: Any, pilot: Any) -> None:
    await pilot.press("f2", *(("space" if sign == " " else sign) for sign in WORDS))
    await asyncio.sleep(1.5)
    await pilot.press("enter")


async def calculator(app: Any, pilot: Any) -> None:
    app.go(Place("calculator", "front-bar"))
    await asyncio.sleep(3)


async def case(app: Any, pilot: Any) -> None:
    cases = Cases(app.desk.library, "AB")
    made = cases.new("Large electric pick-up, front", vehicle="demo-pickup", place="lift 2")
    cases.note(made.id, WORDS, about="rear plate")
    cases.suspect(made.id, "skid-plate-metal", 0.5, about="rear plate", why="scraped below")
    cases.suspect(made.id, "rear-x-plate", 0.8, about="rear plate", why="feet on the body")
    found = "3 mm steel, M12 at all four feet"
    cases.settle(made.id, "rear-x-plate", about="rear plate", found=found, how="unbolt")
    await pilot.press("f7", "down", "f4")
    await asyncio.sleep(1)


async def vehicle(app: Any, pilot: Any) -> None:
    inputs = (("load", "pothole"), ("member", "upper-2-l"))
    app.go(Place("vehicle", "demo-pickup", inputs=inputs))
    while not app.screen._rows.get("pothole", {}).get("rear-x-plate"):
        await asyncio.sleep(0.2)
    await asyncio.sleep(4)


async def append(app: Any, pilot: Any) -> None:
    seen = "one flat strap a side from the cradle's rear corner to the torque box, each twisted"
    name = Drafts(app.desk.library).begin(described("Twisted rear strap", "rear-mount", seen))
    app.go(Place("append", f"draft:{name}"))
    await asyncio.sleep(3)
    await pilot.press("f4", "down")
    await asyncio.sleep(1)


async def photo(app: Any, pilot: Any) -> None:
    path = app.desk.library.root / "plate.png"
    picture().save(path)
    app.go(Place("photo", str(path)))
    await asyncio.sleep(1)
    view = app.screen.query_one(PhotoView)
    view.mode = "colour"
    view.action_loupe()
    for x, y in [*camera(CORNERS), *camera(ENDS)]:
        view.point_at(float(x), float(y))
        await pilot.press("g", "enter")
    view.action_whole()
    await pilot.press("s")
    await asyncio.sleep(0.5)
    app.screen.query_one("#field-first").value = "700"
    app.screen.query_one("#field-second").value = "300"
    await pilot.click("#do")
    await asyncio.sleep(2)


SCENES: dict[str, Scene] = {
    "find": find, "calculator": calculator, "photo": photo, "case": case, "vehicle": vehicle,
    "append": append,
}  # fmt: skip


async def take(name: str, scene: Scene) -> None:
    with tempfile.TemporaryDirectory() as folder:
        app = AtlasApp(Desk(Library(Path(folder)), "AB"))
        async with app.run_test(size=SIZE) as pilot:
            await pilot.pause()
            await pilot.press("escape")  # the tour
            await scene(app, pilot)
            await pilot.pause()
            svg = app.export_screenshot(title="atlas")
    # A picture in a README fetches nothing: the reader's own monospaced font serves.
    svg = re.sub(r"@font-face\s*\{[^}]*\}", "", svg)
    svg = re.sub(r"<g transform=[^>]*>\s*(<circle[^>]*/>\s*)+</g>", "", svg)  # no window's buttons
    svg = svg.replace("Fira Code, monospace", "DejaVu Sans Mono, Menlo, Consolas, monospace")
    svg = svg.replace("font-family: Fira Code;", "font-family: DejaVu Sans Mono, monospace;")
    FOLDER.mkdir(exist_ok=True)
    (FOLDER / f"{name}.svg").write_text(svg, encoding="utf-8")


def main() -> None:
    for name in sys.argv[1:] or SCENES:
        asyncio.run(take(name, SCENES[name]))


if __name__ == "__main__":
    main()
