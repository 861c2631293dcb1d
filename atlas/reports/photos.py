"""A case's photos in a report: small enough to send, with what is marked and measured on them."""

import base64
import io
from html import escape

from atlas.casework.marks import Marks, ends
from atlas.casework.model import Case
from atlas.casework.photo_lengths import kept_marks
from atlas.casework.photos import Photo as Noted
from atlas.casework.photos import photos
from atlas.catalogue.library import Library
from atlas.catalogue.visible import visible
from atlas.drawing.photo import Photo, read_photo
from atlas.errors import AtlasError
from atlas.reports.parts import Drawing

_LONGEST = 1000  # pixels of the longer side: fills a printed page's width at 150 dots an inch
_MOST = 12


def marked_photos(case: Case, library: Library | None) -> tuple[Drawing, ...]:
    """Photos of the case that are still what was noted; the others by name and what is wrong."""
    drawings: list[Drawing] = []
    left_out: list[str] = []
    for one in photos(case, library) if library is not None else ():
        if one.path is None:
            drawings.append(Drawing(_title(case, one), "", ""))
            continue
        if sum(bool(drawing.svg) for drawing in drawings) >= _MOST:
            left_out.append(_name(one))
            continue
        try:
            photo = read_photo(one.path)
        except AtlasError as error:
            drawings.append(Drawing(f"{_name(one)} {error.what}", "", ""))
            continue
        marks = kept_marks(case, one.evidence.sha256) or Marks()
        drawings.append(Drawing(_title(case, one), _svg(photo, marks, _name(one)), ""))
    if left_out:
        said = f"Not shown, since a report holds {_MOST} photos: {', '.join(left_out)}"
        drawings.append(Drawing(said, "", ""))
    return tuple(drawings)


def named_photos(case: Case, library: Library | None) -> tuple[Drawing, ...]:
    """Every photo by name and what it shows, or what is wrong with it, for a report of text."""
    found = photos(case, library) if library is not None else ()
    return tuple(Drawing(_title(case, one), "", "") for one in found)


def _name(one: Noted) -> str:
    return visible(one.evidence.path.replace("\\", "/").rpartition("/")[2], lines=False)


def _title(case: Case, one: Noted) -> str:
    if one.path is None:
        return f"{_name(one)} {one.why}"
    said = [visible(one.evidence.text, lines=False), *_lengths(case, one.evidence.sha256)]
    return f"{_name(one)}: {'; '.join(part for part in said if part)}".rstrip(": ")


def _lengths(case: Case, sha256: str) -> list[str]:
    return [
        f"{visible(one.text, lines=False)} {one.measured}"
        for one in case.evidence.values()
        if one.kind == "point" and one.sha256 == sha256
    ]


def _svg(photo: Photo, marks: Marks, name: str) -> str:
    """The picture without its metadata, and the marks as signs with a light and a dark line."""
    share = min(1.0, _LONGEST / max(photo.width, photo.height))
    width, height = max(1, round(photo.width * share)), max(1, round(photo.height * share))
    small = photo.sizes[0].resize((width, height))
    packed = io.BytesIO()
    small.save(packed, "JPEG", quality=82)
    data = base64.b64encode(packed.getvalue()).decode()
    size = max(width, height) / 60
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" role="img" '
        f'aria-label="{escape(name)}">',
        f'<image href="data:image/jpeg;base64,{data}" width="{width}" height="{height}"/>',
    ]
    for i, one in enumerate(marks.wanted):
        if one.end is not None:
            line = f"M{one.start.x * share:.1f} {one.start.y * share:.1f}"
            line += f"L{one.end.x * share:.1f} {one.end.y * share:.1f}"
            parts += _twice(line, size / 8, "–".join(ends(i)))
    for label, mark in marks.labels.items():
        x, y = mark.x * share, mark.y * share
        arm = size / 2
        sign = (
            f"M{x - arm:.1f} {y:.1f}h{2 * arm:.1f}M{x:.1f} {y - arm:.1f}v{2 * arm:.1f}"
            if label.isdigit()
            else f"M{x - arm:.1f} {y - arm:.1f}l{2 * arm:.1f} {2 * arm:.1f}"
            f"M{x - arm:.1f} {y + arm:.1f}l{2 * arm:.1f} {-2 * arm:.1f}"
        )
        parts += _twice(sign, size / 8, label)
        right = x < width - 2 * size
        at = x + arm if right else x - arm
        anchor = "start" if right else "end"
        up = y - arm if y > 2 * size else y + 2 * arm
        where = f'x="{at:.1f}" y="{up:.1f}" font-size="{1.4 * size:.1f}" text-anchor="{anchor}"'
        where += ' font-weight="bold" font-family="sans-serif"'
        outline = f'stroke="#000" stroke-width="{size / 5:.1f}" aria-hidden="true"'
        parts.append(f"<text {where} {outline}>{escape(label)}</text>")
        parts.append(f'<text {where} fill="#fff">{escape(label)}</text>')
    return "".join([*parts, "</svg>"])


def _twice(path: str, width: float, title: str) -> list[str]:
    """A light line in a dark one, which shows on any picture."""
    return [
        f'<path d="{path}" fill="none" stroke="#000" stroke-width="{3 * width:.1f}">'
        f"<title>{escape(title)}</title></path>",
        f'<path d="{path}" fill="none" stroke="#fff" stroke-width="{width:.1f}"/>',
    ]
