import pytest

from atlas.catalogue.load import load
from atlas.catalogue.model import Pattern
from atlas.catalogue.reading import read_record
from atlas.catalogue.shipped import shipped
from atlas.errors import BadInput, NotThere

GOOD = shipped("patterns") / "rear-mount" / "rear-x-plate.toml"


def altered(tmp_path, old, new, name="rear-x-plate.toml"):
    text = GOOD.read_text(encoding="utf-8")
    assert old in text
    path = tmp_path / name
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
    return path


@pytest.mark.parametrize(
    ("old", "new", "names"),
    [
        ('zone = "rear-mount"', "zone = 3", ["zone", "str"]),
        ("summary =", "sumary =", ["sumary"]),
        ('telling = "settles"', 'telling = "sure"', ["cues[", "telling"]),
        ("[[cues]]", "[[cues]", [".toml"]),
        ('id = "rear-x-plate"', 'id = "Rear X"', ["id"]),
    ],
    ids=["type", "unknown-field", "unknown-option", "syntax", "id-form"],
)
def test_a_bad_pattern_is_refused_by_file_and_field(tmp_path, old, new, names):
    path = altered(tmp_path, old, new)
    with pytest.raises(BadInput) as caught:
        read_record(path, Pattern)
    line = str(caught.value)
    assert str(path) in line
    assert "\n" not in line
    for name in names:
        assert name in line


def test_text_that_is_not_utf8_is_refused(tmp_path):
    path = tmp_path / "x.toml"
    path.write_bytes(b'title = "\xff"')
    with pytest.raises(BadInput, match="UTF-8"):
        read_record(path, Pattern)


def test_a_missing_file_is_not_there(tmp_path):
    with pytest.raises(NotThere):
        read_record(tmp_path / "none.toml", Pattern)


def test_a_damaged_team_pattern_is_named_and_the_rest_opens(library):
    folder = library.patterns / "rear-mount"
    folder.mkdir(parents=True)
    (folder / "broken.toml").write_text("id = ")
    (folder / "misnamed.toml").write_text(GOOD.read_text(encoding="utf-8"))
    catalogue = load(library)
    assert len(catalogue.patterns) == len(load().patterns)
    assert [p.where.rsplit("/", 1)[-1] for p in catalogue.problems] == [
        "broken.toml",
        "misnamed.toml: id",
    ]


def test_a_team_pattern_replaces_the_shipped_one(library):
    folder = library.patterns / "rear-mount"
    folder.mkdir(parents=True)
    text = GOOD.read_text(encoding="utf-8")
    start = text.index('title = "')
    end = text.index("\n", start)
    (folder / GOOD.name).write_text(text[:start] + 'title = "Ours"' + text[end:])
    catalogue = load(library)
    assert catalogue.pattern("rear-x-plate").title == "Ours"
    assert catalogue.patterns.path("rear-x-plate").parent == folder


def test_an_unknown_id_offers_the_nearest():
    with pytest.raises(NotThere, match="rear-x-plate"):
        load().pattern("rear-x-plat")


def test_patterns_come_in_the_order_of_the_zones():
    catalogue = load()
    order = list(catalogue.zones)
    places = [order.index(catalogue.patterns.zone(name)) for name in catalogue.patterns]
    assert places == sorted(places)
