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
