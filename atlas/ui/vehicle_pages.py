"""A solved vehicle as blocks: its load case, a member, a pattern, and what each pattern buys."""

from collections.abc import Callable, Collection, Mapping

import numpy as np
from textual.content import Content

from atlas.calculators.declare import figures
from atlas.calculators.running import Result
from atlas.catalogue.visible import visible
from atlas.errors import AtlasError
from atlas.ui import strings, vehicle_strings
from atlas.ui.desk import Desk
from atlas.ui.lists import bar
from atlas.ui.page import GAP, Block, heading
from atlas.ui.vehicle_study import Solved
from atlas.vehicles.carrying import Carried
from atlas.vehicles.figures import (
    Bought,
    member_results,
    mount_forces,
    profile_words,
    rank,
    results_of,
    state_words,
)
from atlas.vehicles.framing import Framed
from atlas.vehicles.model import Member, Vehicle

Title = Callable[[str], str]
_MOST = 6
_LABEL = 15
# [kN, mm]; less than a hand's push or a coat of paint is no figure of a structure.
_NOTHING = 0.005
_SIGNED = ("front bar", "axial force")  # pull or push


def load_blocks(solved: Solved | None, title_of: Title) -> list[Block]:
    """The load case and what it does to the structure as it is now."""
    if solved is None:
        return [Block(Content(vehicle_strings.SOLVING))]
    case = solved.whole.case
    blocks: list[Block] = []
    if solved.error is not None:
        blocks.append(
            Block(Content(visible(str(solved.error))), lead="! ", lead_style="bold $error")
        )
    if solved.asked.without:
        names = ", ".join(title_of(name) for name in solved.asked.without)
        blocks.append(
            Block(Content.assemble((vehicle_strings.WITHOUT, "bold"), f": {names}"), lead="✕ ")
        )
    carried = solved.carried
    if carried is not None:
        changed = bool(solved.asked.without)
        whole = results_of(solved.whole)
        blocks.append(heading(strings.RESULTS))
        blocks += [
            _result(name, result, whole.get(name) if changed and name != "load" else None)
            for name, result in results_of(carried).items()
        ]
        blocks += [
            Block(Content(visible(note)), lead="! ", lead_style="bold $warning")
            for note in carried.notes
        ]
        blocks += _most_used(carried)
        blocks += _mounts(carried)
        if solved.samples:
            words = vehicle_strings.RANGE_NOTE.format(samples=solved.samples)
            blocks.append(Block(Content.styled(words, "$muted")))
    blocks += [
        GAP, heading(vehicle_strings.STANDS_ON), Block(Content(visible(case.why))),
        Block(Content(f"{strings.LEAVES_OUT}: {visible(case.leaves_out)}")),
        Block(Content(vehicle_strings.SCREENING), lead="⚠ ", lead_style="bold $warning"),
    ]  # fmt: skip
    return blocks


def _result(name: str, result: Result, whole: Result | None) -> Block:
    parts: list[tuple[str, str]] = [(_words(result, signed=name in _SIGNED), "bold")]
    if whole is not None:
        before = vehicle_strings.WHOLE_WAS.format(
            words=_words(whole, signed=name in _SIGNED, ranged=False)
        )
        parts.append((f"\n{before}{_change(result, whole)}", "$muted"))
    return _labelled(name, Content.assemble(*parts))


def _labelled(name: str, words: Content) -> Block:
    return Block(words, key=f"result:{name}", lead=name.ljust(_LABEL), lead_style="$muted")


def _words(result: Result, *, signed: bool = False, ranged: bool = True) -> str:
    """A figure with its unit and range; a force along a bar as pull or push."""
    low, high = result.low, result.high
    middle = float(result.value)
    if _nothing(result):
        return vehicle_strings.ABOUT_NOTHING.format(unit=result.unit)
    pushed = signed and middle < 0 and (high is None or high <= 0)
    sign = -1.0 if pushed else 1.0
    digits = 2 if max(abs(v) for v in (middle, low or 0.0, high or 0.0)) < 0.1 else 3
    words = figures(sign * middle, digits) + (f" {result.unit}" if result.unit else "")
    if signed and middle:
        words = f"{vehicle_strings.PUSH if middle < 0 else vehicle_strings.PULL} {words}"
    if ranged and low is not None and high is not None:
        ends = sorted((figures(sign * v, digits) for v in (low, high)), key=_plain)
        if ends[0] != ends[1]:
            words += f"  {ends[0]} to {ends[1]}"
    return words


def _nothing(result: Result) -> bool:
    ends = (float(result.value), result.low or 0.0, result.high or 0.0)
    return result.unit in ("kN", "mm") and max(map(abs, ends)) < _NOTHING


def _plain(text: str) -> float:
    return float(text.replace(",", ""))


def _change(now: Result, whole: Result) -> str:
    a, b = float(now.value), float(whole.value)
    if abs(b) < 1e-12 or _nothing(now) or _nothing(whole):
        return ""
    if a * b < 0:
        return f", {strings.SIGN_TURNS}"
    change = a / b - 1
    return f", {change:+.1%}" if abs(change) < 0.1 else f", {change:+.0%}"


def _most_used(carried: Carried) -> list[Block]:
    blocks = [GAP, heading(vehicle_strings.MOST_USED)]
    for name, use in list(carried.uses.items())[:_MOST]:
        words = Content.assemble((bar(min(use, 1.0), 8), "$accent"), f" {use:.2f} ", (name, "bold"))
        blocks.append(Block(words, "item", f"member:{name}"))
    return blocks


def _mounts(carried: Carried) -> list[Block]:
    blocks = [GAP, heading(vehicle_strings.MOUNTS)]
    for name, force in list(mount_forces(carried).items())[:_MOST]:
        blocks.append(_labelled(name, Content.styled(_words(force), "bold")))
    return blocks


def member_blocks(solved: Solved, name: str, title_of: Title) -> list[Block]:
    """What a member is, and what the load does to it."""
    vehicle = solved.framed.vehicle
    member = vehicle.members[name]
    blocks = [Block(Content.styled(visible(name), "bold $primary"), key="head")]
    there = name in solved.framed.member_names
    if not there:
        blocks.append(Block(Content.styled(vehicle_strings.MEMBER_GONE, "bold"), lead="✕ "))
    elif solved.carried is not None:
        for label, result in member_results(solved.carried, name).items():
            words = _words(result, signed=label in _SIGNED)
            blocks.append(_labelled(label, Content.styled(words, "bold")))
    blocks += [Block(Content(line), lead="· ") for line in _make(vehicle, member)]
    if there:
        blocks.append(Block(Content(_weight(solved.framed, name)), lead="· "))
    if member.note:
        blocks.append(Block(Content(visible(member.note)), lead="· "))
    return [*blocks, *_belongs(member, title_of)]


def _make(vehicle: Vehicle, member: Member) -> list[str]:
    return [
        f"{visible(member.section)}: {profile_words(vehicle.sections[member.section])}",
        vehicle_strings.YIELD.format(material=member.material, strength=member.strength),
        f"{visible(member.process)}; {member.joint}, {vehicle_strings.ENDS[member.ends]}",
        f"{visible(member.start)} → {visible(member.end)}",
    ]


def _weight(framed: Framed, name: str) -> str:
    index = framed.member(name)
    ends = np.asarray(framed.frame.nodes)[np.asarray(framed.frame.members)[index]]
    mass = float(np.median(np.atleast_2d(framed.mass)[:, index]))
    length = float(np.linalg.norm(ends[1] - ends[0])) * 1e3
    return vehicle_strings.LENGTH_MASS.format(length=length, mass=mass)


def _belongs(member: Member, title_of: Title) -> list[Block]:
    if not member.patterns:
        return [Block(Content.styled(vehicle_strings.NO_PATTERN, "$muted"))]
    blocks = [GAP, heading(vehicle_strings.BELONGS)]
    return blocks + [
        Block(Content(title_of(name)), "item", f"pattern:{name}", "▸ ") for name in member.patterns
    ]


def members_of(vehicle: Vehicle, pattern: str) -> list[str]:
    """Names of the members that belong to a pattern."""
    return [name for name, one in vehicle.members.items() if pattern in one.patterns]


def _summary(desk: Desk, pattern: str) -> str:
    """A pattern in a sentence; a vehicle may speak of one that this catalogue does not hold."""
    try:
        return desk.catalogue.pattern(pattern).summary
    except AtlasError:
        return ""


def pattern_about(solved: Solved, pattern: str, row: Bought | None, desk: Desk) -> list[Block]:
    """A pattern of the vehicle: what it is, what it buys, and its members."""
    blocks = [
        Block(Content.styled(desk.title(pattern), "bold $primary"), key="head"),
        Block(Content(vehicle_strings.ITS_PAGE), "item", f"pattern:{pattern}", "▸ "),
    ]
    if pattern in solved.asked.without:
        blocks.append(Block(Content.styled(vehicle_strings.TAKEN, "bold"), lead="✕ "))
    if row is not None:
        blocks += [Block(Content(line), lead="▪ ") for line in _buys(row, desk.title)]
        blocks += [Block(Content(visible(note)), lead="! ") for note in row.notes if note]
    if summary := _summary(desk, pattern):
        blocks.append(Block(Content(visible(summary))))
    blocks += [GAP, heading(vehicle_strings.ITS_MEMBERS)]
    use = solved.carried.uses if solved.carried is not None else {}
    for name in members_of(solved.framed.vehicle, pattern):
        words = f"{name}  {use[name]:.2f}" if name in use else name
        blocks.append(Block(Content(words), "item", f"member:{name}", "· "))
    return blocks


def worth_blocks(
    patterns: Collection[str],
    rows: Mapping[str, Bought],
    without: Collection[str],
    title_of: Title,
    case_title: str,
) -> list[Block]:
    """Each pattern with what it buys; those taken away are marked."""
    blocks = [heading(vehicle_strings.BUYS.format(case=case_title))]
    for name in _ordered(patterns, rows):
        gone = name in without
        row = rows.get(name)
        lines = " · ".join(_buys(row, title_of)) if row is not None else vehicle_strings.BUYS_WAIT
        words = Content.assemble(
            (title_of(name), "bold"),
            (f"  {vehicle_strings.TAKEN}" if gone else "", "bold $warning"),
            (f"\n{lines}", "$muted" if row is None or row.ratio is None else ""),
        )  # fmt: skip
        blocks.append(Block(words, "item", f"pattern:{name}", "✕ " if gone else "■ "))
    return blocks


def _ordered(patterns: Collection[str], rows: Mapping[str, Bought]) -> list[str]:
    """Most gain in stiffness first once all are there; as in the file until then."""
    if any(name not in rows for name in patterns):
        return list(patterns)

    return sorted(patterns, key=lambda name: rank(rows[name]))


def _buys(row: Bought, title_of: Title) -> list[str]:
    parts = [f"{figures(float(row.mass.value), 2)} kg"]
    ranged = ""
    if row.ratio is not None and row.ratio.low is not None and row.ratio.high is not None:
        ranged = f" ({figures(row.ratio.low)} to {figures(row.ratio.high)})"
    words = state_words(row)
    if row.ratio is not None:
        words = vehicle_strings.BUYS_STIFFNESS.format(words=words + ranged)
    parts.append(words)
    if row.per_kilogram is not None:
        unit = row.per_kilogram.unit.removesuffix("/kg")
        each = f"{figures(float(row.per_kilogram.value), 2)} {unit}"
        parts.append(vehicle_strings.BUYS_EACH.format(words=each))
    if row.peak is not None and row.peak_without is not None:
        now, bare = (figures(float(r.value), 2) for r in (row.peak, row.peak_without))
        parts.append(vehicle_strings.BUYS_PEAK.format(now=now, bare=bare))
    if row.along:
        parts.append(vehicle_strings.SHARED_WITH.format(names=", ".join(map(title_of, row.along))))
    return parts
