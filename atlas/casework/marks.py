"""What is marked on a photo: points whose places are known, and lengths that are wanted."""

import math
import re
from collections.abc import Iterable
from typing import Literal

from msgspec import Struct
from msgspec.structs import replace

from atlas.errors import BadInput

Surface = Literal["plane", "line"]
Position = tuple[float, float]
MOST_KNOWN = 40
MOST_WANTED = 6
LEAST: dict[Surface, int] = {"plane": 4, "line": 3}
_NUMBER = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)")
# One standard deviation with which a steady hand sets a mark on a sharp edge [px]; common practice.
HAND = 1.5


class Mark(Struct, frozen=True):
    """A point of the picture.

    Args:
        x, y: its position [px].
        coarse: pixels to a dot of the screen on which it was set; 0 where it was typed.
    """

    x: float
    y: float
    coarse: float = 0.0


class Known(Struct, frozen=True):
    """A mark whose true place is known; ``place`` is empty until somebody says it [mm]."""

    mark: Mark
    place: tuple[float, ...] = ()


class Wanted(Struct, frozen=True):
    """A length between two marks; the second is not there until it is set."""

    start: Mark
    end: Mark | None = None
    name: str = ""


class Marks(Struct, frozen=True):
    """All marks on one photo. Every change gives a new one, so that undo is a list of them.

    ``scatter`` is empty where it follows from how near the marks were set.
    """

    on: Surface = "plane"
    known: tuple[Known, ...] = ()
    wanted: tuple[Wanted, ...] = ()
    scatter: str = ""
    reference: str = "1+-0.002"

    # ------------------------------------------------------------------------------- marking
    def add_known(self, mark: Mark, place: tuple[float, ...] = ()) -> "Marks":
        """One more known point.

        Raises:
            BadInput: there are as many as a photo takes.
        """
        if len(self.known) >= MOST_KNOWN:
            raise BadInput(f"{MOST_KNOWN} known points are marked", remedy="take one away first")
        return replace(self, known=(*self.known, Known(mark, place)))

    def add_wanted(self, mark: Mark) -> "Marks":
        """One more end of a length: the second of one that is begun, else the first of a new one.

        Raises:
            BadInput: there are as many lengths as one run takes.
        """
        if self.wanted and self.wanted[-1].end is None:
            ended = replace(self.wanted[-1], end=mark)
            return replace(self, wanted=(*self.wanted[:-1], ended))
        if len(self.wanted) >= MOST_WANTED:
            raise BadInput(f"{MOST_WANTED} lengths are marked", remedy="take one away first")
        return replace(self, wanted=(*self.wanted, Wanted(mark)))

    def add_next(self, mark: Mark) -> "Marks":
        """Whatever is due: known points until there are enough, then ends of lengths."""
        due = len(self.known) < LEAST[self.on]
        return self.add_known(mark) if due else self.add_wanted(mark)

    @property
    def labels(self) -> dict[str, Mark]:
        """Every mark by its label: 1, 2, ... known; A and B, C and D, ... ends of lengths."""
        named = {str(i): one.mark for i, one in enumerate(self.known, 1)}
        for i, one in enumerate(self.wanted):
            start, end = ends(i)
            named[start] = one.start
            if one.end is not None:
                named[end] = one.end
        return named

    def moved(self, label: str, mark: Mark) -> "Marks":
        """The mark of that label somewhere else."""
        if label.isdigit():
            known = list(self.known)
            known[int(label) - 1] = replace(known[int(label) - 1], mark=mark)
            return replace(self, known=tuple(known))
        index, second = divmod(ord(label) - ord("A"), 2)
        wanted = list(self.wanted)
        one = wanted[index]
        wanted[index] = replace(one, end=mark) if second else replace(one, start=mark)
        return replace(self, wanted=tuple(wanted))

    def without(self, label: str) -> "Marks":
        """Less one known point, or one whole length."""
        if label.isdigit():
            at = int(label) - 1
            return replace(self, known=(*self.known[:at], *self.known[at + 1 :]))
        at = (ord(label) - ord("A")) // 2
        return replace(self, wanted=(*self.wanted[:at], *self.wanted[at + 1 :]))

    def placed(self, label: str, place: tuple[float, ...]) -> "Marks":
        """A known point with its true place [mm]."""
        known = list(self.known)
        known[int(label) - 1] = replace(known[int(label) - 1], place=place)
        return replace(self, known=tuple(known))

    def named(self, index: int, name: str) -> "Marks":
        """A length with a name."""
        wanted = list(self.wanted)
        wanted[index] = replace(wanted[index], name=" ".join(name.split())[:60])
        return replace(self, wanted=tuple(wanted))

    def shaped(self, places: Iterable[tuple[float, ...]]) -> "Marks":
        """The known points with places of a shape, in the order in which they were marked."""
        given = list(places)
        known = [
            replace(one, place=given[i]) if i < len(given) else one
            for i, one in enumerate(self.known)
        ]
        return replace(self, known=tuple(known))

    def lying(self, on: Surface) -> "Marks":
        """The same on a plane or on a line; a place keeps what of it still means something."""
        known = [
            replace(one, place=one.place[:1] if on == "line" else (*one.place, 0.0)[:2])
            if one.place else one
            for one in self.known
        ]  # fmt: skip
        return replace(self, on=on, known=tuple(known))

    # ------------------------------------------------------------------------------ measuring
    @property
    def complete(self) -> tuple[int, ...]:
        """Which lengths have both ends."""
        return tuple(i for i, one in enumerate(self.wanted) if one.end is not None)

    @property
    def missing(self) -> str:
        """What is still to be done before a length comes out, in words; nothing where it does."""
        least = LEAST[self.on]
        if len(self.known) < least:
            count = least - len(self.known)
            return f"mark {count} more known point{'s' if count > 1 else ''}"
        lacking = [str(i) for i, one in enumerate(self.known, 1) if not one.place]
        if lacking:
            several = "s" if len(lacking) > 1 else ""
            return (
                f"say where point{several} {', '.join(lacking)} really lie{'' if several else 's'}"
            )
        if not self.complete:
            return "mark both ends of a length"
        return ""

    @property
    def assumed_scatter(self) -> float:
        """How far off a mark may be: the hand's, and half a dot of the coarsest screen [px].

        Source: a position known to lie evenly within a width w has the standard deviation
        w / sqrt(12); JCGM 100:2008 (GUM), 4.3.7.
        """
        coarse = max((mark.coarse for mark in self.labels.values()), default=0.0)
        return math.hypot(HAND, coarse / math.sqrt(12))

    @property
    def coarsest(self) -> str:
        """The mark that was set on the coarsest screen, where that adds to the scatter."""
        label, mark = max(
            self.labels.items(), key=lambda pair: pair[1].coarse, default=("", Mark(0, 0))
        )
        return label if mark.coarse / math.sqrt(12) > HAND else ""

    def inputs(self) -> dict[str, str]:
        """The marks as the calculator photo-scale reads them."""
        known = [f"{_at(one.mark)}={','.join(_plain(v) for v in one.place)}" for one in self.known]
        wanted = [
            f"{_at(one.start)} to {_at(one.end)}" for one in self.wanted if one.end is not None
        ]
        return {
            "on": self.on,
            "known": "; ".join(known),
            "wanted": "; ".join(wanted),
            "scatter": self.scatter or f"{self.assumed_scatter:.3g}",
            "reference": self.reference,
        }


def ends(index: int) -> tuple[str, str]:
    """Labels of a length's two ends.

    >>> ends(0), ends(2)
    (('A', 'B'), ('E', 'F'))
    """
    return chr(ord("A") + 2 * index), chr(ord("A") + 2 * index + 1)


def span_label(index: int) -> str:
    """What a length is called after its ends."""
    return "–".join(ends(index))


def read_marks(inputs: dict[str, str], names: tuple[str, ...] = ()) -> Marks:
    """Marks from what the calculator photo-scale reads.

    Raises:
        BadInput: a point or a length is not written as it should be.

    >>> read_marks({"known": "1,2=0,0; 9,2=50,0", "wanted": "3,3 to 4,4"}).inputs()["known"]
    '1,2=0,0; 9,2=50,0'
    """
    on: Surface = "line" if inputs.get("on") == "line" else "plane"
    known = []
    for part in _parts(inputs.get("known", "")):
        pixel, _, place = part.partition("=")
        known.append(Known(read_mark(pixel, "known"), read_place(place, on, "known")))
    wanted = []
    for part in _parts(inputs.get("wanted", "")):
        start, to, end = part.partition("to")
        if not to:
            raise BadInput(f"cannot read {part[:40]!r}", "wanted", "write 400,300 to 700,310")
        wanted.append(Wanted(read_mark(start, "wanted"), read_mark(end, "wanted")))
    made = Marks(
        on, tuple(known[:MOST_KNOWN]), tuple(wanted[:MOST_WANTED]), inputs.get("scatter", ""),
        inputs.get("reference", "1+-0.002"),
    )  # fmt: skip
    for i, name in enumerate(names[: len(made.wanted)]):
        made = made.named(i, name)
    return made


def read_mark(text: str, where: str) -> Mark:
    """A position as typed: two numbers [px].

    Raises:
        BadInput: not two numbers.

    >>> read_mark("640, 760.5", "known")
    Mark(x=640.0, y=760.5, coarse=0.0)
    """
    x, y = _numbers(text, 2, where, "two pixel numbers: 640,760")
    return Mark(x, y)


def read_place(text: str, on: Surface, where: str) -> tuple[float, ...]:
    """A true place as typed [mm]: two numbers on a plane, one on a line; nothing for no text.

    Raises:
        BadInput: not so many numbers.

    >>> read_place("700, 0", "plane", "known"), read_place("", "plane", "known")
    ((700.0, 0.0), ())
    """
    if not text.strip():
        return ()
    if on == "line":
        return _numbers(text, 1, where, "one number in mm: 450")
    return _numbers(text, 2, where, "two numbers in mm: 700,300")


def check_inside(marks: Marks, width: int, height: int) -> None:
    """Refuse marks beside the picture.

    Raises:
        BadInput: the first that lies outside, by its label.
    """
    for label, mark in marks.labels.items():
        if not (0 <= mark.x <= width and 0 <= mark.y <= height):
            raise BadInput(
                f"{_at(mark)} lies outside the picture", f"mark {label}",
                f"it has {width} x {height} pixels",
            )  # fmt: skip


def near_edge(marks: Marks, width: int, height: int) -> tuple[str, ...]:
    """Labels of marks in the outer part of the picture, where lens distortion tells most.

    Three quarters of the way from the middle to a corner; common practice.
    """
    half = math.hypot(width, height) / 2
    return tuple(
        label
        for label, mark in marks.labels.items()
        if math.hypot(mark.x - width / 2, mark.y - height / 2) > 0.75 * half
    )


def _numbers(text: str, count: int, where: str, form: str) -> tuple[float, ...]:
    parts = re.split(r"[,;\s]+", text.strip())
    if len(parts) != count or not all(_NUMBER.fullmatch(part) for part in parts):
        raise BadInput(f"cannot read {text.strip()[:40]!r}", where, f"write {form}")
    values = tuple(float(part) for part in parts)
    if any(abs(value) > 1e6 for value in values):
        raise BadInput(f"{text.strip()[:40]} is too large", where, "keep below a million")
    return values


def _parts(text: str) -> list[str]:
    return [part for part in re.split(r"[;\n]", text) if part.strip()]


def _at(mark: Mark) -> str:
    return f"{_plain(mark.x)},{_plain(mark.y)}"


def _plain(value: float) -> str:
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text
