"""A vehicle file to start from: commented TOML from ten readings and a cradle type."""

from collections.abc import Mapping
from dataclasses import fields
from typing import get_args

from atlas.errors import BadInput
from atlas.vehicles.model import Cradle, Kind
from atlas.vehicles.templates import CRADLES, Piece, Tape, template

_KINDS: tuple[Kind, ...] = get_args(Kind)
SECTIONS: dict[str, tuple[str, str]] = {
    "rail": ('shape = "box", width = 60, height = 110, gauge = 2.0', "front rail"),
    "torque-box": ('shape = "box", width = 90, height = 90, gauge = 1.8', "rail root, tower"),
    "sill": ('shape = "box", width = 100, height = 130, gauge = 1.8', "sill"),
    "dash": ('shape = "box", width = 70, height = 90, gauge = 1.5', "cross members of the body"),
    "post": ('shape = "box", width = 70, height = 60, gauge = 1.8', "hinge pillar"),
    "upper": ('shape = "box", width = 50, height = 70, gauge = 1.2', "upper rail"),
    "beam": ('shape = "box", width = 50, height = 110, gauge = 1.8', "bumper beam"),
    "can": ('shape = "box", width = 70, height = 100, gauge = 1.8', "crush can"),
    "leg": ('shape = "box", width = 65, height = 70, gauge = 2.5', "cradle leg"),
    "cross": ('shape = "box", width = 80, height = 70, gauge = 2.5', "cradle cross member"),
    "stand-off": ('shape = "box", width = 70, height = 70, gauge = 2.5', "post to the mount"),
    "front-bar": ('shape = "box", width = 50, height = 50, gauge = 2.5', "bar across the front"),
}
_HEAD = """\
# {name}: a rough model from ten readings, made by 'atlas vehicle new'.
# Measure what matters, change it here, and run:  atlas vehicle {name}
# Axes: x forward from the front wheel's centre, y to the left, z up from the ground, in mm.
# Names that end in -l are left parts; the right twin is made from each. Give a right part
# (-r) of its own only where the two sides differ.
id = "{name}"
title = "{title}"
kind = "{kind}"        # {kinds}
cradle = "{cradle}"    # {about_cradle}
about = "What this vehicle is, and where and when it was measured."
described = "What the underside looks like, in the words of whoever took the photo."
{front_bar}
# Readings:
{readings}
[dimensions]           # mm and kg; the ones marked ? are guesses
length = {length:.0f}          # ?
width = {width:.0f}
height = 1500          # ?
wheelbase = {wheelbase:.0f}
track = {track:.0f}           # ?
mass = {mass:.0f}            # ? kerb mass
front_share = 0.58     # ? share of the mass on the front axle

# Sections: shape is box, round-tube, multi-cell, hat, closed-hat, channel, i-section, flat or rod.
# gauge_spread is one standard deviation as a share; 0.15 says "not measured yet".
[sections]
"""


def parse_tape(values: Mapping[str, str]) -> Tape:
    """Readings from ``NAME=VALUE`` texts in millimetres.

    Raises:
        BadInput: an unknown name, or text that is no number.
    """
    known = {one.name for one in fields(Tape)}
    numbers = {}
    for name, text in values.items():
        if name not in known:
            raise BadInput(f"no reading {name[:40]!r}", "NAME=VALUE", f"give {', '.join(known)}")
        try:
            numbers[name] = float(text.strip().removesuffix("mm"))
        except ValueError:
            raise BadInput(f"{text[:40]!r} is no number", name, "give millimetres") from None
    return Tape(**numbers)


def skeleton(name: str, cradle: str, tape: Tape, kind: str = "hatchback", mass: float = 0) -> str:
    """The text of a vehicle file.

    Raises:
        BadInput: an unknown cradle type or kind, or readings that cannot be.
    """
    if cradle not in CRADLES:
        raise BadInput(
            f"no cradle type {cradle[:40]!r}", "--cradle", f"one of {', '.join(CRADLES)}"
        )
    if kind not in _KINDS:
        raise BadInput(f"no kind {kind[:40]!r}", "--kind", f"one of {', '.join(_KINDS)}")
    chosen: Cradle = cradle  # type: ignore[assignment]
    made = template(tape, chosen)
    length = tape.wheelbase + tape.nose + 150 + 0.26 * tape.wheelbase
    text = _HEAD.format(
        name=name, title=name.replace("-", " ").capitalize(), kind=kind, kinds=", ".join(_KINDS),
        cradle=cradle, about_cradle=CRADLES[cradle],
        front_bar=f'front_bar = "{made.front_bar}"\n' if made.front_bar else "",
        readings="".join(
            f"#   {one.name} = {getattr(tape, one.name):g} mm, {one.metadata['help']}\n"
            for one in fields(tape)
        ),
        length=length, width=tape.width, wheelbase=tape.wheelbase, track=tape.width - 260,
        mass=mass or 0.17 * length * tape.width / 1e3,
    )  # fmt: skip
    used = {piece.section for piece in made.members.values()}
    for label, (shape, about) in SECTIONS.items():
        if label in used:
            text += f"{label} = {{ {shape}, gauge_spread = 0.15 }}  # {about}\n"
    text += "\n[nodes]\n"
    for node, place in made.nodes.items():
        text += f"{node} = [{', '.join(f'{c:.0f}' for c in place)}]\n"
    text += (
        "\n# Members. ends: rigid (welded), semi (bolted), pinned. strength: yield strength, MPa.\n"
        "# patterns: catalogue ids that the member belongs to; it goes when all of them are taken\n"
        "# away, or one that has no member of its own.\n"
        "[members]\n"
    )
    text += "".join(f"{label} = {_member(piece)}\n" for label, piece in made.members.items())
    text += (
        "\n# Where the rest of the body holds it: kN/mm along x, y, z; kN m/rad.\n"
        "# spread: one standard deviation of the stiffness as a share, 0.25 where not given.\n"
        "[mounts]\n"
    )
    for label, node in made.mounts.items():
        text += f'{label} = {{ node = "{node}", stiffness = [250, 250, 250], turning = 2000 }}\n'
    if made.ties:
        text += "\n# Cradle to body. Rubber: about [1.5, 3, 2] kN/mm; solid: above 100.\n[ties]\n"
        for label, (first, second) in made.ties.items():
            text += (
                f'{label} = {{ first = "{first}", second = "{second}", '
                "stiffness = [80, 80, 160], turning = 40 }\n"
            )
    text += (
        "\n# Where load cases push and where movements are read. Where there are such, add\n"
        '# corner-l = "the outer end of a front bar, wing or deflector" and\n'
        '# brace = "the lowest member behind the axle".\n[points]\n'
    )
    text += "".join(f'{role} = "{node}"\n' for role, node in made.points.items())
    return text + _TAIL


def _member(piece: Piece) -> str:
    patterns = ", ".join(f'"{name}"' for name in piece.patterns)
    return (
        f'{{ start = "{piece.start}", end = "{piece.end}", section = "{piece.section}", '
        f'material = "steel", process = "stamped", joint = "welded", ends = "{piece.ends}", '
        f"strength = 350, patterns = [{patterns}] }}"
    )


_TAIL = """
# One table for each structure that was described; the first is an example to copy.
# [[structures]]
# about = "front bar"
# described = "what it looked like before anything came off"
# first_guess = "front-bar-welded"
# pattern = "front-bar-bolted"
# found = "what the teardown showed"
# how = "unbolt"
# looks = { end-held = "fastened" }
"""
