"""Photos in a report: what is marked on them, and what has become of them."""

import base64
import io
import re

import numpy as np
import pytest
from PIL import Image

from atlas.casework.cases import Cases
from atlas.casework.marks import Mark, Marks
from atlas.casework.photo_lengths import keep, measure
from atlas.catalogue.load import load
from atlas.drawing.photo import read_photo
from atlas.reports.case import case_report
from tests.plate_picture import CORNERS, ENDS, camera, picture


@pytest.fixture
def marked(library, tmp_path):
    """A case with a measured photo whose file holds metadata and a hostile name."""
    path = tmp_path / "plate <b>.jpg"
    exif = Image.Exif()
    exif[0x010E] = "SECRET PLACE"
    picture().save(path, exif=exif)
    cases = Cases(library, "ab")
    case = cases.new("plate")
    marks = Marks()
    for (x, y), (a, b) in zip(camera(CORNERS), CORNERS, strict=True):
        marks = marks.add_known(Mark(float(x), float(y)), (float(a), float(b)))
    for x, y in camera(ENDS):
        marks = marks.add_wanted(Mark(float(x), float(y)))
    photo = read_photo(path)
    measured = measure(marks.named(0, "bar </svg>"), photo.sha256)
    return cases, keep(cases, case.id, measured, str(path), photo.sha256), path


def test_a_report_shows_the_photo_with_its_marks_and_lengths(marked, library):
    _, case, _ = marked
    html = case_report(case, load(library), "html", library).decode()
    assert "plate &lt;b&gt;.jpg" in html
    assert "bar &lt;/svg&gt; 360" in html
    (data,) = re.findall(r"data:image/jpeg;base64,([^\"]+)", html)
    content = base64.b64decode(data)
    assert b"SECRET" not in content
    with Image.open(io.BytesIO(content)) as small:
        assert small.size == (960, 540)
        theirs = np.asarray(picture(), dtype=float)
        assert np.mean(np.abs(np.asarray(small, dtype=float) - theirs)) < 3
    signs = re.findall(r"fill=.#fff.>([1-4AB])</text>", html)
    assert signs == ["1", "2", "3", "4", "A", "B"]
    x, y = camera(ENDS)[0]
    assert f"M{x:.1f} {y:.1f}L" in html
    text = case_report(case, load(library), "md", library).decode()
    assert "## Photos" in text
    assert "360" in text


def test_a_large_photo_is_made_smaller_with_its_marks(library, tmp_path):
    path = tmp_path / "large.png"
    Image.new("RGB", (2400, 1500), (90, 90, 90)).save(path)
    cases = Cases(library, "ab")
    case = cases.new("large")
    marks = Marks()
    for x, y in ((400, 400), (2000, 400), (2000, 1200), (400, 1200)):
        marks = marks.add_known(Mark(x, y), (x / 2, y / 2))
    marks = marks.add_wanted(Mark(800, 600)).add_wanted(Mark(1600, 600))
    photo = read_photo(path)
    case = keep(cases, case.id, measure(marks, photo.sha256), str(path), photo.sha256)
    html = case_report(case, load(library), "html", library).decode()
    (data,) = re.findall(r"data:image/jpeg;base64,([^\"]+)", html)
    with Image.open(io.BytesIO(base64.b64decode(data))) as small:
        assert small.size == (1000, 625)
    assert "M333.3 250.0L666.7 250.0" in html  # the length, at 1000 / 2400
    for corner in ((400, 400), (2000, 1200)):  # an upright cross through each known point
        assert _crossings(html, corner[0] / 2.4, corner[1] / 2.4) == {(1, 0), (0, 1)}
    # and a slanting one through each end
    assert _crossings(html, 800 / 2.4, 250) == {(1, 1), (1, -1)}


def _crossings(html, x, y):
    """Directions of the strokes of a sign whose middle is at a place."""
    found = set()
    for path in re.findall(r'<path d="([^"]+)"', html):
        for x0, y0, kind, rest in re.findall(r"M([\d.]+) ([\d.]+)([hvl])([-\d. ]+)", path):
            step = [float(one) for one in rest.split()]
            dx, dy = step if kind == "l" else (step[0], 0) if kind == "h" else (0, step[0])
            if np.hypot(float(x0) + dx / 2 - x, float(y0) + dy / 2 - y) < 0.2:
                found.add((int(np.sign(dx)), int(np.sign(dy))))
    return found


def test_photos_beyond_what_a_report_holds_are_named(marked, library, monkeypatch):
    cases, case, path = marked
    second = path.with_name("second.jpg")
    picture().save(second)
    case = cases.note(case.id, "from behind", about="plate", photo=str(second))
    monkeypatch.setattr("atlas.reports.photos._MOST", 0)
    html = case_report(case, load(library), "html", library).decode()
    assert "a report holds 0 photos: plate &lt;b&gt;.jpg, second.jpg</figcaption>" in html
    assert "data:image/jpeg" not in html
    text = case_report(case, load(library), "md", library).decode()
    assert "- second.jpg: from behind" in text and "a report holds" not in text


def test_a_photo_that_is_gone_or_changed_is_said(marked, library):
    _, case, path = marked
    path.write_bytes(b"something else")
    html = case_report(case, load(library), "html", library).decode()
    assert "is no longer the photo that was noted" in html
    assert "data:image/jpeg" not in html
    path.unlink()
    assert (
        "plate &lt;b&gt;.jpg is missing"
        in case_report(case, load(library), "html", library).decode()
    )
