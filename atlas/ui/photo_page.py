"""What the marks on a photo give, as the blocks of a page, as a hint, and as plain text."""

from pathlib import Path

from textual.content import Content

from atlas.calculators.declare import figures
from atlas.casework.marks import Marks, ends, near_edge
from atlas.casework.photo_lengths import Length, Measured
from atlas.catalogue.visible import visible
from atlas.drawing.photo import Photo
from atlas.errors import AtlasError
from atlas.ui import photo_strings, strings
from atlas.ui.page import GAP, Block, heading


def picture_title(path: str, photo: Photo | None, in_short: str) -> Content:
    """Name and size of the picture, what was done to it, and the first result in short."""
    parts = [visible(Path(path).name, lines=False)]
    if photo is not None:
        facts = photo_strings.PHOTO_FACTS.format(width=photo.width, height=photo.height)
        facts += photo_strings.PHOTO_TURNED if photo.turned else ""
        if photo.reduced > 1:
            facts += photo_strings.PHOTO_REDUCED.format(reduced=photo.reduced)
        parts += [facts, in_short]
    return Content(" · ".join(part for part in parts if part))


def length_blocks(
    photo: Photo | None, marks: Marks, measured: Measured | None, error: AtlasError | None
) -> list[Block]:
    """Lengths with their ranges, what to doubt, and what would make them better."""
    blocks: list[Block] = []
    if error is not None:
        line = Content(visible(str(error)))
        blocks.append(Block(line, lead="! ", lead_style="bold $error"))
    if photo is None:
        return blocks
    if measured is None:
        if error is None:
            words = Content.assemble((photo_strings.TO_DO, "bold"), marks.missing)
            blocks += [Block(words), Block(Content.styled(strings.SHAPE_HELP, "$muted"))]
        return blocks
    blocks += [_length(one) for one in measured.lengths]
    results = measured.outcome.results
    scale = photo_strings.SCALE_LINE.format(value=figures(float(results["per_pixel"].value), 3))
    spare = len(marks.known) > (4 if marks.on == "plane" else 3)
    if spare:
        misfit = figures(float(results["misfit"].value), 2)
        scale += f"; {photo_strings.MISFIT_LINE.format(value=misfit)}"
    blocks.append(Block(Content.styled(scale, "$muted")))
    blocks.append(GAP)
    blocks += [Block(Content(line), lead="· ") for line in _advice(photo, marks, measured)]
    blocks += [Block(Content(visible(line)), lead="· ") for line in measured.outcome.findings]
    one = measured.outcome.calculator
    blocks += [GAP, heading(strings.LEAVES_OUT), Block(Content(one.leaves_out))]
    blocks += [GAP, heading(strings.CAUTIONS)]
    blocks += [Block(Content(line), lead="! ") for line in one.cautions]
    return blocks


def _length(one: Length) -> Block:
    value, low, high = (figures(v, 4) for v in (one.value, one.low, one.high))
    words = Content.assemble(
        visible(one.name, lines=False), " " if one.name else "", (f"{value} mm", "bold"),
        (f"  {low} to {high}", "$muted"), (f"\n{one.reading}", "$muted"),
    )  # fmt: skip
    return Block(words, "item", f"length:{one.index}", f"{one.label} ", lead_style="bold $accent")


def _advice(photo: Photo, marks: Marks, measured: Measured) -> list[str]:
    """Which mark to set better, and which lie where lenses distort."""
    lines = []
    worst = marks.coarsest
    if worst and not marks.scatter:
        lines.append(photo_strings.SCATTER_HELP.format(
            scatter=marks.assumed_scatter, label=worst, coarse=marks.labels[worst].coarse,
        ))  # fmt: skip
    elif measured.outcome.drivers:
        first = measured.outcome.drivers[0]
        label = _mark_of(first.input, measured)
        if label and first.total > 0.15:
            name = measured.lengths[0].name or measured.lengths[0].label
            lines.append(
                photo_strings.DRIVER_HELP.format(length=visible(name, lines=False), label=label)
            )
    edge = near_edge(marks, photo.width, photo.height)
    if edge:
        lines.append(photo_strings.EDGE_HELP.format(labels=", ".join(edge)))
    return lines


def _mark_of(cause: str, measured: Measured) -> str:
    """The mark that a cause of spread speaks of: ``known 2 x``, ``end 1 y``."""
    kind, _, rest = cause.partition(" ")
    number = rest.split(" ")[0]
    if not number.isdigit():
        return ""
    if kind == "known":
        return number
    if kind in ("start", "end"):
        return ends(measured.lengths[int(number) - 1].index)[kind == "end"]
    return ""


def mark_hint(marks: Marks, current: str, held: str, refused: AtlasError | None) -> Content:
    """What is to be done, and what the current mark is."""
    lines: list[Content] = []
    if refused is not None:
        lines.append(Content.styled(f"! {visible(str(refused), lines=False)}", "bold $error"))
    if held:
        lines.append(Content.styled(photo_strings.HELD_MARK.format(label=held), "bold"))
    elif current:
        kind = "known" if current.isdigit() else "end"
        lines.append(Content.styled(photo_strings.MARK_HELP[kind].format(label=current), "$muted"))
    missing = marks.missing
    lines.append(
        Content.assemble((photo_strings.TO_DO, "bold"), missing)
        if missing
        else Content(photo_strings.ALL_SET)
    )
    return Content("\n").join(lines)


def plain_lengths(path: str, photo: Photo | None, measured: Measured) -> str:
    """The lengths as text for a clipboard."""
    lines = [visible(path, lines=False), f"SHA-256 {photo.sha256 if photo else ''}"]
    for one in measured.lengths:
        name = visible(one.name, lines=False)
        span = f"{figures(one.low, 4)} to {figures(one.high, 4)}"
        lines.append(f"{one.label} {name}: {figures(one.value, 4)} mm ({span}); {one.reading}")
    lines += [f"{name}={value}" for name, value in measured.marks.inputs().items()]
    return "\n".join(lines) + "\n"
