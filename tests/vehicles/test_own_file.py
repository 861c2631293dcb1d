"""A user's own vehicle file: what is wrong with it, in one line that names node and member."""

import pytest

from atlas.catalogue.shipped import shipped
from atlas.errors import BadInput
from atlas.vehicles.carrying import carry, loose
from atlas.vehicles.framing import frame_of, patterns_of
from atlas.vehicles.loading import other, read_vehicle
from atlas.vehicles.loads import load_cases
from atlas.vehicles.skeleton import skeleton
from atlas.vehicles.templates import CRADLES, Tape
from atlas.vehicles.worth import worths

GOOD = (
    (shipped("demo_vehicles") / "demo-saloon.toml")
    .read_text(encoding="utf-8")
    .replace('id = "demo-saloon"', 'id = "my-car"')
)
WING = "wing-l = [400, 665, 235]"
BOX = 'wing = { shape = "box", width = 60, height = 60, gauge = 3.0 }'

# id, what stands in the file, what stands there instead, what the line must name
BAD = [
    ("no-such-node", 'end = "wing-l"', 'end = "wnig-l"', "members.wing-l.end", "'wing-l'"),
    ("no-such-section", 'section = "wing"', 'section = "wnig"', "members.wing-l.section", "wing"),
    ("to-itself", 'end = "wing-l"', 'end = "leg-a-l"', "members.wing-l", "one node"),
    ("no-length", WING, "wing-l = [310, 465, 235]", "members.wing-l", "tie"),
    ("two-coordinates", WING, "wing-l = [400, 665]", "nodes.wing-l", "[x, y, z]"),
    ("text-coordinate", WING, 'wing-l = [400, "665", 235]', "nodes.wing-l[1]", "millimetres"),
    ("not-a-number", WING, "wing-l = [400, nan, 235]", "nodes.wing-l", "no place"),
    ("in-metres-of-a-train", WING, "wing-l = [400, 66500, 235]", "nodes.wing-l", "20,000"),
    ("node-alone", WING, f"{WING}\nspare-l = [0, 100, 300]", "nodes.spare-l", "no member"),
    ("no-such-metal", 'material = "steel"', 'material = "stele"', ".material", "aluminium"),
    ("no-such-joint", 'joint = "cast"', 'joint = "glued"', "members.cast-socket-l.joint", "bonded"),
    ("field-misspelt", 'ends = "semi"', 'edns = "semi"', "members.ring-post-l", "'ends'"),
    ("negative-strength", "strength = 460", "strength = -460", "members.wing-l.strength", "0"),
    ("no-such-shape", BOX, BOX.replace("box", "bxo"), "sections.wing.shape", "round-tube"),
    ("no-width", BOX, BOX.replace("width = 60", "width = 0"), "sections.wing.width", "0"),
    ("all-wall", BOX, BOX.replace("3.0", "35"), "sections.wing", "gauge"),
    ("no-wall", BOX, BOX.replace(", gauge = 3.0", ""), "sections.wing", "gauge"),
    ("mount-on-nothing", 'node = "floor-b-l"', 'node = "flor-b-l"', "mounts.floor-b-l", "floor-b"),
    ("two-on-one", 'node = "floor-b-l"', 'node = "sill-b-l"', "mounts.floor-b-l", "sill-b-l"),
    ("mount-that-pushes", "[300, 300, 300]", "[-300, 300, 300]", "mounts.floor-b-l", "-300"),
    ("tie-apart", "mount-f-l = [250, 455", "mount-f-l = [250, 450", "ties.mount-f-l", "5 mm apart"),
    ("tie-to-itself", 'second = "rail-b-l"', 'second = "mount-f-l"', "ties.mount-f-l", "itself"),
    ("no-such-instead", "instead.cradle-s", "instead.cardle-s", "mount-f-l.instead", "cradle"),
    ("point-on-nothing", 'brace = "panel-mid"', 'brace = "panl-mid"', "points.brace", "panel-mid"),
    ("no-rail-tip", 'rail-tip-l = "can-l"\n', "", "points", "rail-tip-l"),
    ("no-such-bar", 'front_bar = "cross"', 'front_bar = "crss"', "front_bar", "'cross'"),
    ("all-mass-ahead", "front_share = 0.48", "front_share = 1.48", "front_share", "0.8"),
    ("no-such-kind", 'kind = "saloon"', 'kind = "tank"', "kind", "tank"),
    ("another-id", 'id = "my-car"', 'id = "your-car"', "my-car.toml", "your-car"),
    ("not-toml", "[members]", "[members", "my-car.toml", "not TOML"),
    ("too-long-for-itself", BOX, 'wing = { shape = "rod", width = 0.2 }', "wing-l", "stouter"),
]  # fmt: skip


def read(tmp_path, text):
    path = tmp_path / "my-car.toml"
    path.write_text(text, encoding="utf-8")
    return read_vehicle(path)


def test_the_good_file_is_good(tmp_path):
    assert read(tmp_path, GOOD).id == "my-car"


@pytest.mark.filterwarnings("error")
@pytest.mark.parametrize(
    ("before", "after", "where", "says"), [row[1:] for row in BAD], ids=[row[0] for row in BAD]
)
def test_one_line_says_what_is_wrong_and_where(tmp_path, before, after, where, says):
    assert before in GOOD
    with pytest.raises(BadInput) as caught:
        frame_of(read(tmp_path, GOOD.replace(before, after)))
    line = str(caught.value)
    assert "\n" not in line
    assert where in line and says in line, line


def test_a_member_that_hangs_on_nothing_is_named(tmp_path):
    text = GOOD.replace('patterns = ["rail-extruded"]', "patterns = []").replace(
        'rail-2-l = { start = "rail-a-l", end = "rail-b-l"',
        'rail-2-l = { start = "rail-b-l", end = "rail-c-l"',
    )
    text = text.replace(
        'ring-post-l = { start = "upper-a-l", end = "rail-a-l"',
        'ring-post-l = { start = "upper-a-l", end = "rail-b-l"',
    )
    framed = frame_of(read(tmp_path, text))
    assert {"rail-1-l", "can-l", "beam", "rail-1-r"} <= set(loose(framed))
    with pytest.raises(BadInput, match=r"rail-1-l.*hang on nothing"):
        carry(framed, list(load_cases().values()))


def test_control_characters_of_a_file_stay_text(atlas, library):
    library.vehicles.mkdir()
    path = library.vehicles / "my-car.toml"
    path.write_text(GOOD.replace("Electric saloon", "\\u001b[31mred\\u202e"), encoding="utf-8")
    code, out, _ = atlas("vehicle", "my-car", "--samples", "2", "--no-worth")
    assert code == 0
    assert "\x1b" not in out and "\u202e" not in out


@pytest.mark.parametrize("cradle", CRADLES)
def test_a_skeleton_passes_the_checks_of_a_shipped_vehicle(tmp_path, cradle):
    tape = Tape(width=1790, wheelbase=2580, rail_spacing=880)
    path = tmp_path / "my-car.toml"
    path.write_text(skeleton("my-car", cradle, tape), encoding="utf-8")
    vehicle = read_vehicle(path)
    framed = frame_of(vehicle)
    assert 30 <= len(vehicle.nodes) <= 90
    assert loose(framed) == ()
    for name, (x, y, z) in vehicle.nodes.items():
        assert vehicle.nodes[other(name)] == (x, -y, z)
    for name, member in vehicle.members.items():
        twin = vehicle.members[other(name)]
        assert {twin.start, twin.end} == {other(member.start), other(member.end)}, name
    assert {member.section for member in vehicle.members.values()} == set(vehicle.sections)
    assert 0.03 < framed.mass.sum() / vehicle.dimensions.mass < 0.12
    cases = list(load_cases().values())
    for one in carry(framed, cases):
        movement = abs(float(one.movement[0]))
        assert 1e-6 < movement < 0.03, one.case.id
        assert float(one.peak[0]) < 5, one.case.id
        assert not one.placed.moved
    rows = list(worths(vehicle, cases))
    assert {row.pattern for row in rows} == set(patterns_of(vehicle))


def test_every_pattern_of_a_skeleton_is_in_the_catalogue(tmp_path):
    from atlas.catalogue.library import Library
    from atlas.catalogue.load import load

    known = set(load(Library(tmp_path)).patterns)
    for cradle in CRADLES:
        path = tmp_path / "my-car.toml"
        path.write_text(skeleton("my-car", cradle, Tape()), encoding="utf-8")
        assert set(patterns_of(read_vehicle(path))) <= known, cradle
