"""Vehicles' structures drawn: conventions, use without colour, movement, loads, picking."""

from dataclasses import replace
from xml.etree import ElementTree

import msgspec
import numpy as np
import pytest

from atlas.drawing.picture import RANK, Note, Path, Symbol, Text
from atlas.drawing.structure import structure_picture
from atlas.drawing.structure_bands import BANDS, band_of
from atlas.drawing.structure_key import key_lines, key_picture, movement_words, with_key
from atlas.drawing.structure_picking import middles, nearest_mark, neighbour
from atlas.drawing.structure_shape import Shown, deflected, magnified
from atlas.drawing.structure_views import VIEWS, on_sheet
from atlas.drawing.svg import to_svg
from atlas.drawing.terminal import draw, point_at
from atlas.vehicles.carrying import carry
from atlas.vehicles.framing import frame_of
from atlas.vehicles.loading import load_vehicle, vehicle_files
from atlas.vehicles.loads import load_cases

NAMES = [name for name in vehicle_files() if name.startswith("demo-")]


@pytest.fixture(scope="module")
def whole():
    return frame_of(load_vehicle("demo-pickup"))


@pytest.fixture(scope="module")
def corner(whole):
    return carry(whole, [load_cases()["corner"]])[0]


def lines(picture):
    return {i.mark: np.array(i.points) for i in picture.items if isinstance(i, Path) and i.mark}


def test_views_follow_the_axes_of_iso_8855():
    # ISO 8855: x forward, y to the left, z up. Whoever looks down with forward up has the left on
    # the left; whoever stands before the vehicle has its left on the right (plain geometry).
    forward, left, up = np.eye(3)
    assert on_sheet(forward, "plan")[1] == 1
    assert on_sheet(left, "plan")[0] == -1
    assert on_sheet(forward, "side")[0] == -1
    assert on_sheet(up, "side")[1] == on_sheet(up, "front")[1] == 1
    assert on_sheet(left, "front")[0] == 1
    for view in VIEWS:  # a view turns space and never mirrors it
        axes = on_sheet(np.eye(3), view)
        assert np.allclose(axes @ axes.T, np.eye(3))
        assert np.linalg.det(axes.T) == pytest.approx(1.0)


@pytest.mark.parametrize("name", NAMES)
def test_every_vehicle_is_drawn_in_every_view(name):
    framed = frame_of(load_vehicle(name))
    cases = [load_cases()[case] for case in ("corner", "pothole", "drive-torque")]
    for number, case in enumerate(carry(framed, cases)):
        shown = Shown(framed, case)
        for index, view in enumerate(VIEWS):
            picture = structure_picture(shown, view)
            assert set(lines(picture)) == set(framed.member_names)
            for item in picture.items:
                spots = item.points if isinstance(item, Path) else (item.at,)
                for x, y in spots:
                    assert 0 <= x <= picture.width
                    assert 0 <= y <= picture.height
            texts = [i.text for i in picture.items if isinstance(i, Note)]
            assert any("kN" in text or "N m" in text for text in texts)
            if (index + number) % 3:
                continue  # each load case in one view, each view with one load case
            shown_text = draw(picture, 100, 30).text()
            assert all(text in shown_text for text in texts), "no label is covered or left out"


def test_left_and_right_of_a_symmetric_structure_are_mirror_images(whole):
    found = lines(structure_picture(Shown(whole), "plan"))
    centre = found["beam"].mean(axis=0)[0]
    for name, line in found.items():
        if name.endswith("-l"):
            twin = found[f"{name[:-2]}-r"]
            assert np.allclose(line[:, 0] - centre, centre - twin[:, 0])
            assert np.allclose(line[:, 1], twin[:, 1])


@pytest.mark.parametrize("largest", [1e-4, 0.013, 0.7, 1.4, 9.99, 80.0, 4000.0])
def test_the_largest_movement_is_drawn_at_about_a_twentieth(largest):
    drawn = magnified(2400.0, largest) * largest / 2400.0
    assert 0.039 < drawn < 0.062


def test_a_bent_member_follows_the_handbook():
    # Roark's Formulas for Stress and Strain, beams, from memory; E I = 1.
    length, force = 0.7, 3.0
    x = np.linspace(0, length, 15)
    # Cantilever held at its first end with a force at its tip: v = F x^2 (3 L - x) / 6 below the
    # line that its tip moved along, F L^3 / 3.
    below = force * x**2 * (3 * length - x) / 6 - x / length * force * length**3 / 3
    assert np.allclose(deflected(x, force * length, 0.0), -below, atol=1e-15)
    # On two supports, force at a: v = F b x (L^2 - b^2 - x^2) / 6 L before it; at the middle of
    # the beam it comes to F L^3 / 48.
    a = 0.3 * length
    x = np.unique([*x, a])
    b = length - a
    before = x <= a
    bow = deflected(x, 0.0, 0.0, [(a, force)])
    expected = force * b * x * (length**2 - b**2 - x**2) / (6 * length)
    assert np.allclose(bow[before], expected[before])
    middle = deflected([0.0, length / 2, length], 0.0, 0.0, [(length / 2, force)])[1]
    assert middle == pytest.approx(force * length**3 / 48)
    # Both ends held, force in the middle: end moments F L / 8, middle F L^3 / 192.
    held = force * length / 8
    middle = deflected([0.0, length / 2, length], -held, held, [(length / 2, force)])[1]
    assert middle == pytest.approx(force * length**3 / 192)


def test_lines_meet_the_nodes_and_turn_with_them(whole, corner):
    shown = Shown(whole, corner)
    for name in whole.member_names:
        index = whole.member(name)
        first, second = np.asarray(whole.frame.members)[index]
        line = shown.line(name)
        assert np.allclose(line[[0, -1]], shown.drawn_at[[first, second]])
        if whole.members[index].ends == "rigid" and len(line) == 9:  # nothing stands on it
            along = shown.at[second] - shown.at[first]
            share = np.linspace(0, 1, 9)
            moved = (line - shown.at[first] - share[:, None] * along) / shown.factor
            # A cubic through the points has the slope of the node that it begins at.
            slope = np.polyfit(share, moved, 3)[2] / np.linalg.norm(along)
            unit = along / np.linalg.norm(along)
            turned = np.cross(shown.moved[first, 3:], unit)
            assert np.allclose(slope - (slope @ unit) * unit, turned, atol=1e-9), name


def test_bands_are_told_apart_without_colour(whole, corner):
    assert [band.weight for band in BANDS] == sorted(band.weight for band in BANDS)
    looks = {(band.weight, band.dash) for band in BANDS}
    assert len(looks) == len({band.plain for band in BANDS}) == len(BANDS)
    assert [RANK[band.style] for band in BANDS] == sorted(RANK[band.style] for band in BANDS)
    harder = replace(corner, use=corner.use / corner.use.max() * 1.6)
    picture = structure_picture(Shown(whole, harder), "plan")
    by_mark = {i.mark: i for i in picture.items if isinstance(i, Path) and i.mark}
    for name, use in zip(whole.member_names, harder.use[0], strict=True):
        assert by_mark[name].style == band_of(use).style
    plain = draw(picture, 90, 30, ascii_only=True).text()
    assert plain.isascii()
    assert {"!", "%", "="} <= set(plain), "the letters of the bands"
    # Wider strokes put more dots down.
    inks = []
    for band in BANDS[:4]:
        path = Path(((10, 50), (90, 50)), band.style, band.dash, weight=band.weight)
        one = type(picture)(100, 100, (path,))
        cells = "".join(draw(one, 40, 20).chars)
        inks.append(sum(bin(ord(c) - 0x2800).count("1") for c in cells if c != " "))
    assert inks == sorted(inks)
    assert inks[0] * 3.5 < inks[3]


def test_what_is_brought_out_needs_no_colour(whole, corner):
    shown = Shown(whole, corner, chosen={"leg-1-l"})
    picture = structure_picture(shown, "plan")
    ends = [i for i in picture.items if isinstance(i, Symbol) and i.kind == "point"]
    assert len(ends) == 2
    text = draw(picture, 90, 30, lit={"leg-1-l"}).text()
    assert "●" in text
    assert f"leg-1-l {shown.use['leg-1-l']:.2f}" in text


def test_the_most_used_member_is_named_with_its_use(whole, corner):
    name = whole.member_names[corner.worst]
    text = draw(structure_picture(Shown(whole, corner), "plan"), 90, 30).text()
    assert f"{name} {corner.peak[0]:.2f}" in text


def test_what_was_taken_away_stays_in_sight_dashed(whole):
    rest = frame_of(whole.vehicle, ["rear-x-plate"])
    picture = structure_picture(Shown(rest, whole=whole), "plan")
    dashed = [i for i in picture.items if isinstance(i, Path) and i.style == "hidden"]
    assert len(dashed) == len(whole.member_names) - len(rest.member_names)
    words = ["".join(text for text, _ in line) for line in key_lines(Shown(rest, whole=whole), 80)]
    assert any("taken away" in line for line in words)


def test_arrows_point_as_the_forces_do(whole):
    cases = load_cases()
    names = ["cornering", "pothole", "drive-torque"]
    cornering, pothole, torque = carry(whole, [cases[name] for name in names])
    heads = arrows(structure_picture(Shown(whole, cornering), "plan"))
    # Cornering to the right: the ground pushes the wheels to the vehicle's right, in plan +x.
    assert heads
    assert all(abs(angle) < 1 for angle in heads)
    up = arrows(structure_picture(Shown(whole, pothole), "front"))
    assert any(abs(angle - 90) < 1 for angle in up)
    down = structure_picture(Shown(whole, pothole), "plan")
    assert any(i.kind == "towards" for i in down.items if isinstance(i, Symbol))
    texts = [i.text for i in structure_picture(Shown(whole, torque), "side").items
             if isinstance(i, Note)]  # fmt: skip
    assert any("N m" in text for text in texts)
    # Drive torque turns about -y, which whoever looks at the left side sees turn clockwise.
    (pushed, *_) = cases["drive-torque"].pushes
    assert pushed.moment[1] < 0
    for one in structure_picture(Shown(whole, torque), "side").items:
        if isinstance(one, Path) and one.style == "load" and len(one.points) > 5:
            x, y = (np.array(one.points) - one.points[0]).T
            assert np.sum(x[:-1] * y[1:] - x[1:] * y[:-1]) < 0
            break
    else:
        pytest.fail("no turned arrow")


def test_loads_are_named_with_their_size(whole):
    """The case puts two times the weight on the front, most of it on one can."""
    (moderate,) = carry(whole, [load_cases()["moderate"]])
    notes = structure_picture(Shown(whole, moderate), "plan").items
    said = [i.text for i in notes if isinstance(i, Note) and i.text.endswith(" kN")]
    weight = whole.vehicle.dimensions.mass * 9.81 / 1e3
    assert sum(float(text.removesuffix(" kN")) for text in said) == pytest.approx(
        2 * weight, rel=3e-3
    )
    assert len(said) == 2


def test_wheels_are_as_large_as_stated_and_stand_where_they_do(whole):
    size = whole.vehicle.dimensions
    for view, reach in (("plan", (size.tyre_width, size.tyre_diameter)),
                        ("front", (size.tyre_width, size.tyre_diameter))):  # fmt: skip
        wheels = [
            np.array(i.points) for i in structure_picture(Shown(whole), view).items
            if isinstance(i, Path) and i.style == "context" and i.closed
        ]  # fmt: skip
        assert len(wheels) == 2
        for one in wheels:
            assert np.ptp(one, axis=0) == pytest.approx(reach)
        middles_apart = abs(wheels[0].mean(axis=0) - wheels[1].mean(axis=0))
        assert middles_apart == pytest.approx([size.track, 0.0])


def test_a_torque_is_an_axis_with_two_heads_where_it_is_seen_from_beside(whole):
    """Right hand rule: drive torque about -y points to the vehicle's right, in plan along +x."""
    (torque,) = carry(whole, [load_cases()["drive-torque"]])
    items = structure_picture(Shown(whole, torque), "plan").items
    axes = [np.array(i.points) for i in items if isinstance(i, Path) and i.style == "load"]
    axes = [one for one in axes if abs(np.ptp(one[:, 1])) < 1e-6 and len(one) == 2]
    assert axes
    size = Shown(whole).size
    for tail, tip in axes:
        assert tip[0] - tail[0] == pytest.approx(0.1 * size)
        heads = [i for i in items if isinstance(i, Symbol) and i.kind == "head"
                 and np.hypot(*(np.array(i.at) - tail)) <= 0.1 * size + 1e-6
                 and abs(i.at[1] - tail[1]) < 1e-6]  # fmt: skip
        assert {round(float((i.at[0] - tail[0]) / size), 3) for i in heads} == {0.07, 0.1}
        assert all(abs(i.angle) < 1 for i in heads)


def test_the_turned_arrow_s_head_runs_on_where_the_line_ends(whole):
    (torque,) = carry(whole, [load_cases()["drive-torque"]])
    items = structure_picture(Shown(whole, torque), "side").items
    turned = [np.array(i.points) for i in items
              if isinstance(i, Path) and i.style == "load" and len(i.points) > 5]  # fmt: skip
    heads = [i for i in items if isinstance(i, Symbol) and i.kind == "head"]
    assert turned
    for line in turned:
        here = [i for i in heads if np.allclose(i.at, line[-1])]
        dx, dy = line[-1] - line[-2]
        ahead = np.degrees(np.arctan2(dy, dx)) % 360
        assert here and all(i.angle % 360 == pytest.approx(ahead, abs=1e-6) for i in here)


def test_what_is_chosen_is_named_where_no_load_stands(whole):
    notes = structure_picture(Shown(whole, chosen={"bar"}), "plan").items
    assert "bar" in [i.text for i in notes if isinstance(i, Note)]


def test_rows_of_the_key_stand_apart_and_on_its_sheet(whole, corner):
    key = key_picture(Shown(whole, corner))
    rows = sorted({i.at[1] for i in key.items if isinstance(i, Text)})
    assert len(rows) >= 3 and rows[0] > 1.5 and key.height - rows[-1] > 1.5
    assert np.diff(rows) == pytest.approx(5.0)  # mm; letters are 3 mm high
    assert key.height == pytest.approx(5.0 * len(rows))


@pytest.mark.parametrize(("view", "sign", "along"), [
    ("plan", "▲ forward", (0, 1)), ("side", "◀ forward", (-1, 0)),
])  # fmt: skip
def test_the_sheet_says_where_forward_is(whole, view, sign, along):
    assert tuple(on_sheet([1, 0, 0], view)[:2]) == along
    notes = [i.text for i in structure_picture(Shown(whole), view).items if isinstance(i, Note)]
    assert sign in notes


def test_rubber_and_bolts_have_their_own_signs(whole):
    def kinds(framed):
        items = structure_picture(Shown(framed), "plan").items
        return {i.kind for i in items if isinstance(i, Symbol)}

    assert "bolt" in kinds(whole) and "rubber" not in kinds(whole)
    assert "rubber" in kinds(frame_of(load_vehicle("demo-crossover")))
    swapped = kinds(frame_of(whole.vehicle, ["cradle-solid-mounted"]))
    assert "rubber" in swapped, "as it holds once its pattern is away"


def arrows(picture):
    return [i.angle for i in picture.items if isinstance(i, Symbol) and i.kind == "head"]


def test_the_key_states_units_factor_and_signs(whole, corner):
    shown = Shown(whole, corner)
    words = "\n".join("".join(text for text, _ in line) for line in key_lines(shown, 76))
    assert movement_words(shown) in words
    assert f"×{shown.factor:g}" in words
    assert "mm" in words
    assert "elastic limit" in words
    assert all(len(line) <= 76 for line in words.splitlines())
    plain = "\n".join("".join(t for t, _ in line) for line in key_lines(shown, 76, True))
    assert plain.isascii()
    assert key_picture(shown).height < 40


def test_a_click_finds_the_member_that_is_seen(whole, corner):
    picture = structure_picture(Shown(whole, corner), "plan")
    columns, rows = 90, 30
    for name, spot in middles(picture).items():
        found, away = nearest_mark(picture, spot)
        line = lines(picture)[found]
        assert away < 1e-6
        assert found == name or np.allclose(line, lines(picture)[name], atol=60)
    grid = draw(picture, columns, rows, lit={"cross-front"})
    cells = [(c, r) for r, row in enumerate(grid.styles) for c, s in enumerate(row) if s == "lit"]
    hits = [nearest_mark(picture, point_at(picture, columns, rows, cell))[0] for cell in cells]
    assert hits.count("cross-front") > 0.7 * len(hits), "but where others cross it"


def test_walking_reaches_every_member(whole):
    spots = middles(structure_picture(Shown(whole), "side"))
    spots = {name: spot for name, spot in spots.items() if not name.endswith("-r")}
    reached, ahead = {"beam"}, ["beam"]
    while ahead:
        here = ahead.pop()
        for way in ((1, 0), (-1, 0), (0, 1), (0, -1)):
            there = neighbour(spots, here, *way)
            if there not in reached:
                reached.add(there)
                ahead.append(there)
    assert len(reached) > 0.9 * len(spots)


@pytest.mark.parametrize("view", VIEWS)
def test_paper_shows_bands_by_width_and_carries_its_key(whole, corner, view):
    shown = Shown(whole, corner, chosen={"leg-1-l"})
    sheet = with_key(structure_picture(shown, view), shown)
    text = to_svg(sheet, lit={"leg-1-l"}, title=True)
    root = ElementTree.fromstring(text)
    widths = {float(e.get("stroke-width")) for e in root.iter() if e.get("stroke-width")}
    assert {0.25, 0.5, 0.8} <= widths
    words = [e.text for e in root.iter("{http://www.w3.org/2000/svg}text")]
    assert movement_words(shown) in words
    for band in BANDS:
        assert band.words in words
    wide, tall = (float(v) for v in root.get("viewBox").split()[2:])
    assert wide <= 175
    assert tall <= 240


def test_names_from_files_cannot_command_the_page(whole):
    odd = frame_of(msgspec.structs.replace(whole.vehicle, title="<script>\x1b[2J</script> & co"))
    text = to_svg(structure_picture(Shown(odd), "plan"), title=True)
    assert "<script" not in text
    assert "\x1b" not in text
    ElementTree.fromstring(text)
