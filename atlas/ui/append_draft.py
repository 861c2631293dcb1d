"""A draft as a page that is walked and written entry by entry."""

from collections.abc import Mapping, Sequence
from typing import Any

from textual.content import Content as Words

from atlas.catalogue.checking import Fault
from atlas.catalogue.draft_faults import top
from atlas.catalogue.drafts import Content
from atlas.catalogue.visible import in_one_line
from atlas.ui import append_strings as words
from atlas.ui.append_forms import ENTRIES, LINES, TEXTS
from atlas.ui.desk import Desk
from atlas.ui.page import GAP, Block, heading

WRONG, THIN = "wrong", "thin"  # how the keys of faults begin


def clean(value: object) -> str:
    """One line of text that steers nothing."""
    return in_one_line(str(value))


def draft_blocks(
    content: Content, faults: Sequence[Fault], revises: bool, desk: Desk
) -> list[Block]:
    """A draft as a page that is walked and written entry by entry.

    Args:
        content: the draft.
        faults: what is missing or wrong, to be shown where it is.
        revises: whether it changes a pattern that the catalogue has.
        desk: for titles and questions.
    """
    blocks = [_standing(content, revises, desk), _score(faults)]
    for field in words.FIELDS:
        blocks += [GAP, heading(words.FIELDS[field], field)]
        here = [fault for fault in faults if top(fault.field) == field]
        blocks += _field(field, content, here, desk)
    strange = [one for one in faults if top(one.field) not in words.FIELDS]
    blocks += [_fault(one) for one in strange]
    return blocks


def _standing(content: Content, revises: bool, desk: Desk) -> Block:
    provenance = content.get("provenance")
    provenance = provenance if isinstance(provenance, dict) else {}
    origin = str(provenance.get("variant_of", ""))
    kinds = [words.REVISES] if revises else []
    if origin:
        kinds.append(words.VARIANT_OF.format(title=clean(desk.title(origin))))
    kind = "; ".join(kinds) or words.NEW_ONE
    title = Words.styled(clean(content.get("title", "")), "bold $primary")
    return Block(Words.assemble(title, (f"\n{clean(content.get('id', ''))} · {kind}", "$muted")))


def _score(faults: Sequence[Fault]) -> Block:
    severe = sum(fault.severe for fault in faults)
    lines = [words.LACKING.format(count=severe)] if severe else [words.COMPLETE]
    if len(faults) > severe:
        lines.append(words.THIN.format(count=len(faults) - severe))
    return Block(Words("\n".join(lines)), lead="✗ " if severe else "✓ ", lead_style="bold $accent")


def _fault(fault: Fault) -> Block:
    part = fault.field.rpartition("]")[2].lstrip(".") if "[" in fault.field else ""
    text = f"{words.PARTS.get(part, part)}: {fault.what}" if part else fault.what
    style = "bold $warning" if fault.severe else "$muted"
    kind = WRONG if fault.severe else THIN
    return Block(Words.styled(clean(text), style), "item", f"{kind}:{entry_at(fault.field)}",
                 "✗ " if fault.severe else "◦ ", lead_style=style)  # fmt: skip


def entry_at(path: str) -> str:
    """Field and entry in which a fault's path lies, as keys name them.

    >>> entry_at("cues[2].see"), entry_at("likelihoods.magnet.sticks"), entry_at("signature.part")
    ('cues:2', 'likelihoods:magnet', 'signature:')
    """
    field = top(path)
    rest = path.removeprefix(field)
    if rest.startswith("["):
        return f"{field}:{rest[1:].partition(']')[0]}"
    return f"{field}:{rest[1:].partition('.')[0] if field == 'likelihoods' else ''}"


def _field(field: str, content: Content, faults: Sequence[Fault], desk: Desk) -> list[Block]:
    value = content.get(field)
    if field in ("title", "zone", *TEXTS):
        shown = clean(value) if value else words.EMPTY
        if field == "zone" and str(value) in desk.catalogue.zones:
            shown = desk.catalogue.zones[str(value)].title
        style = "" if value else "$muted italic"
        return [Block(Words.styled(shown, style), "item", f"edit:{field}:", "✎ "),
                *map(_fault, faults)]  # fmt: skip
    if field in LINES:
        listed = value if isinstance(value, list | tuple) else []
        shown = "\n".join(f"· {clean(one)}" for one in listed) or words.EMPTY
        return [Block(Words.styled(shown, "" if listed else "$muted italic"), "item",
                      f"edit:{field}:", "✎ "), *map(_fault, faults)]  # fmt: skip
    if field == "provenance":
        table = value if isinstance(value, dict) else {}
        seen = ", ".join(clean(one) for one in table.get("seen_in", ()))
        return [Block(Words(seen or "–")), *map(_fault, faults)]
    if field == "signature":
        return _signature(value, faults)
    rows = _rows(field, value, desk)
    blocks = []
    left = list(faults)
    for at, text in rows:
        blocks.append(Block(text, "item", f"edit:{field}:{at}", "✎ "))
        prefix = f"{field}.{at}" if field == "likelihoods" else f"{field}[{at}]"
        here = [one for one in left if one.field == prefix or one.field.startswith(
            (f"{prefix}.", f"{prefix}["))]  # fmt: skip
        left = [one for one in left if one not in here]
        blocks += map(_fault, here)
    if field == "sketches":
        blocks.append(Block(Words.styled(words.SKETCH_ABOUT, "$muted")))
    add = words.SKETCH_HOW if field == "sketches" else f"{words.ADD} {words.ONE[field]}"
    blocks.append(Block(Words.styled(add, "$accent"), "item", f"add:{field}:", "+ "))
    return [*blocks, *map(_fault, left)]


def _rows(field: str, value: Any, desk: Desk) -> list[tuple[str, Words]]:
    if field == "likelihoods":
        table = value if isinstance(value, dict) else {}
        return [(name, _shares(name, shares, desk)) for name, shares in table.items()]
    listed = value if isinstance(value, list | tuple) else []
    if field == "sketches":
        return [(str(place), _sketch(one)) for place, one in enumerate(listed)]
    return [(str(place), _entry(field, one, desk)) for place, one in enumerate(listed)]


def _entry(field: str, entry: Any, desk: Desk) -> Words:
    table = entry if isinstance(entry, Mapping) else {}
    told, chosen = [], []
    for part in ENTRIES[field]:
        value = table.get(part.name)
        if value in (None, "", [], {}):
            continue
        if part.options is not None:
            chosen.append(part.options.get(str(value), str(value)))
        elif part.name == "id":
            told.append(desk.title(str(value)))
        elif part.name == "inputs":
            chosen += [f"{name} = {one}" for name, one in dict(value).items()]
        elif part.name == "expect":
            chosen += [f"{one.get('result')} {sign} {one[key]:g}" for one in value
                       for key, sign in (("above", ">"), ("below", "<"))
                       if one.get(key) is not None]  # fmt: skip
        elif part.name == "gauge_mm":
            chosen.append(f"{' to '.join(f'{one:g}' for one in dict.fromkeys(value))} mm")
        elif part.name == "mark":
            chosen.append(f"▸ {value}")
        else:
            told.append(str(value))
    first, rest = (told or [words.EMPTY])[0], told[1:]
    pieces: list[Any] = [(clean(first), "bold")]
    pieces += [f"; {clean(one)}" for one in rest]
    if chosen:
        pieces.append((f"  {', '.join(clean(one) for one in chosen)}", "$muted"))
    return Words.assemble(*pieces)


def _shares(name: str, shares: Any, desk: Desk) -> Words:
    observable = desk.catalogue.observables.get(name)
    states = {one.id: one.text for one in observable.states} if observable else {}
    table = shares if isinstance(shares, Mapping) else {}
    listed = [
        f"{clean(states.get(state, state))} {share:.0%}"
        for state, share in table.items()
        if isinstance(share, float | int)
    ]
    question = observable.question if observable else name
    return Words.assemble((clean(question), "bold"), (f"  {', '.join(listed)}", "$muted"))


def _sketch(sketch: Any) -> Words:
    table = sketch if isinstance(sketch, Mapping) else {}
    shapes = table.get("shapes", ())
    return Words(clean(words.SKETCH_TEXT.format(
        view=table.get("view", "–"), title=table.get("title", "–"),
        count=len(shapes) if isinstance(shapes, list | tuple) else 0,
    )))  # fmt: skip


def _signature(value: Any, faults: Sequence[Fault]) -> list[Block]:
    table = value if isinstance(value, Mapping) else {}
    listed = [
        f"{words.ROLES.get(role, role)}: {', '.join(str(one) for one in named)}"
        for role, named in table.items()
        if named
    ]
    text = clean(" · ".join(listed)) if listed else words.SIGNATURE_ABOUT
    style = "" if listed else "$muted italic"
    return [Block(Words.styled(text, style), "item", "edit:signature:", "✎ "),
            *map(_fault, faults)]  # fmt: skip
