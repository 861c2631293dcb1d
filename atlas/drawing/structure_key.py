"""What the lines and signs of a structure's drawing mean, for the terminal and for paper."""

from dataclasses import replace

from atlas.drawing.picture import Item, Path, Picture, Symbol, SymbolKind, Text, moved
from atlas.drawing.structure_bands import BANDS
from atlas.drawing.structure_shape import Shown
from atlas.drawing.structure_signs import mount_items
from atlas.drawing.svg import SHEET
from atlas.drawing.terminal import plain_words

Run = tuple[str, str]  # text and its style
_ROW = 5.0  # height of a row on paper [mm]
_LETTER = 1.62  # room for one letter on paper [mm]
_SIGNS: tuple[tuple[SymbolKind, str, str, str, str], ...] = (
    ("head", "load", "▶", ">", "load"),
    ("towards", "load", "⊙⊗", "OX", "to and from the eye"),
    ("body", "bolt", "▣", "M", "body goes on"),
    ("bolt", "bolt", "⊕", "@", "bolted through"),
    ("rubber", "bolt", "◎", "o", "rubber"),
    ("point", "chosen", "●", "*", "chosen"),
)


def key_runs(shown: Shown, ascii_only: bool = False) -> list[list[Run]]:
    """The key as entries of runs (text, style), which the caller sets in lines of its width."""
    entries: list[list[Run]] = []
    if shown.carried is not None:
        entries.append([("use of the elastic limit", "label")])
        entries += [
            [
                (band.plain if ascii_only else band.sample, band.style),
                (f" {plain_words(band.words, ascii_only)}", "label"),
            ]
            for band in BANDS
        ]
        if shown.deformed:
            ghost = "..." if ascii_only else "⠂⠄⠂"
            entries.append([(ghost, "ghost"), (f" {movement_words(shown, ascii_only)}", "label")])
    if _missing(shown):
        entries.append([("---" if ascii_only else "⠒⠂⠒", "hidden"), (" taken away", "label")])
    entries += [
        [(letter if ascii_only else sign, style), (f" {words}", "label")]
        for kind, style, sign, letter, words in _SIGNS
        if kind in _present(shown)
    ]
    return entries


def key_lines(shown: Shown, width: int, ascii_only: bool = False) -> list[list[Run]]:
    """The key set in lines of at most ``width`` cells where its entries allow that."""
    lines: list[list[Run]] = []
    room = 0
    for entry in key_runs(shown, ascii_only):
        length = sum(len(text) for text, _ in entry)
        if lines and length + 2 <= room:
            lines[-1] += [("  ", ""), *entry]
            room -= length + 2
        else:
            lines.append(list(entry))
            room = width - length
    return lines


def movement_words(shown: Shown, ascii_only: bool = False) -> str:
    """How movements are drawn: by which factor, and how large they are."""
    times = "x" if ascii_only else "×"
    return f"as built; moved shape drawn {times}{shown.factor:g}, largest {shown.largest:.2g} mm"


def key_picture(shown: Shown, width: float = SHEET[0]) -> Picture:
    """The key as a picture of its own, in millimetres of paper."""
    rows: list[list[tuple[Item | None, str]]] = [[]]
    if shown.carried is not None:
        rows = [[(None, "Use of the elastic limit:")]]
        for band in BANDS:
            line = Path(((0, 0), (9, 0)), band.style, band.dash, weight=band.weight)
            rows[0].append((line, band.words))
        if shown.deformed:
            line = Path(((0, 0), (9, 0)), "ghost", "sparse")
            rows.append([(line, movement_words(shown))])
    if _missing(shown):
        rows[-1].append((Path(((0, 0), (9, 0)), "hidden", "dashed"), "taken away"))
    signs: list[tuple[Item | None, str]] = []
    for kind, style, _, _, words in _SIGNS:
        if kind in _present(shown):
            size = 1.6 if kind == "bolt" else 1.9 if kind == "head" else 0.0
            signs.append((Symbol(kind, (4.5, 0), style, size=size), words))
    rows.append(signs)
    laid: list[list[tuple[Item | None, str]]] = []
    for row in rows:
        room = 0.0
        for entry in row:
            need = _entry_width(entry)
            if need > room or not laid:
                laid.append([])
                room = width
            laid[-1].append(entry)
            room -= need
    height = _ROW * len(laid)
    items: list[Item] = []
    for number, row in enumerate(laid):
        x, y = 0.0, height - _ROW * (number + 0.5)
        for item, words in row:
            if item is not None:
                items.append(moved(item, (x, y)))
            start = x + (11.0 if item is not None else 0.0)
            items.append(Text((start, y), words, "label", "start"))
            x += _entry_width((item, words))
    return Picture(width, height, tuple(items), title="key to the lines and signs")


def with_key(picture: Picture, shown: Shown) -> Picture:
    """The picture with its key below, to be handed over as one sheet."""
    key = key_picture(shown)
    tall = key.height + 3.0
    unit = max(picture.width / SHEET[0], picture.height / (SHEET[1] - tall))  # per mm of paper
    lift = tall * unit
    items = [moved(item, (0.0, lift)) for item in picture.items]
    items += [moved(item, (0.0, 0.0), unit) for item in key.items]
    return replace(
        picture,
        width=max(picture.width, key.width * unit),
        height=picture.height + lift,
        items=tuple(items),
    )


def _entry_width(entry: tuple[Item | None, str]) -> float:
    item, words = entry
    return (11.0 if item is not None else 0.0) + _LETTER * len(words) + 4.0


def _missing(shown: Shown) -> bool:
    return shown.whole is not None and bool(
        set(shown.whole.member_names) - set(shown.framed.member_names)
    )


def _present(shown: Shown) -> set[str]:
    """Kinds of signs that some view of this structure shows."""
    found: set[str] = {
        item.kind for item in mount_items(shown.framed, shown.at, "plan")
        if isinstance(item, Symbol)
    }  # fmt: skip
    if shown.carried is not None:
        found |= {"head", "towards"}
    if set(shown.chosen) & set(shown.framed.member_names):
        found.add("point")
    return found
