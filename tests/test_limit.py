"""Plastic collapse against textbook cases, mechanisms and a full linear programme."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from reference import band, rows, source
from scipy.optimize import linprog
from validation import Check

from atlas.mechanics.limit import collapse, yield_facets

BENDING = yield_facets("bending only")


def portal(H, V, h, L, Mp, base="fixed", at=0.5, facets=BENDING, squash=1e6):
    H, V, h, L, Mp, at = (np.atleast_1d(v).astype(float) for v in np.broadcast_arrays(
        H, V, h, L, Mp, at))  # fmt: skip
    nodes = np.zeros((len(H), 5, 2))
    nodes[:, [1, 2, 3], 1] = h[:, None]
    nodes[:, 2, 0], nodes[:, 3, 0], nodes[:, 4, 0] = L * at, L, L
    free = np.ones((5, 3), bool)
    free[[0, 4]] = [False, False, base == "pinned"]
    load = np.zeros((len(H), 5, 3))
    load[:, 1, 0], load[:, 2, 1] = H, -V
    plastic = np.repeat(Mp[:, None], 4, axis=1)
    members = [(0, 1), (1, 2), (2, 3), (3, 4)]
    return collapse(nodes, members, free, load, plastic * squash, plastic, [facets] * 4)


def beam(support, spread):
    """Load coefficient of a beam: P L / Mp or w L^2 / Mp."""
    pieces = 40 if spread else 2
    nodes = np.zeros((1, pieces + 1, 2))
    nodes[0, :, 0] = np.linspace(0, 1, pieces + 1)
    free = np.ones((pieces + 1, 3), bool)
    free[0] = [False, False, support == "ss"]
    free[-1] = [True, False, support != "ff"]
    load = np.zeros((1, pieces + 1, 3))
    load[0, 1:-1, 1] = -1 / pieces if spread else 0
    if not spread:
        load[0, pieces // 2, 1] = -1
    ones = np.ones((1, pieces))
    members = [(n, n + 1) for n in range(pieces)]
    return float(
        collapse(nodes, members, free, load, ones * 1e6, ones, [BENDING] * pieces).factor[0]
    )


def axial_and_moment(surface, n, web=0.5):
    """Moment share that the surface leaves at an axial share n: a cantilever under both."""
    nodes = np.array([[[0.0, 0], [1, 0]]])
    free = np.array([[False] * 3, [True] * 3])
    low, high = 0.0, 1.0
    for _ in range(50):
        m = (low + high) / 2
        load = np.array([[[0.0, 0, 0], [n, 0, m]]])
        one = np.ones((1, 1))
        factor = collapse(
            nodes, [(0, 1)], free, load, one, one, [yield_facets(surface, web)]
        ).factor
        low, high = (m, high) if factor[0] > 1 else (low, m)
    return low


def reference_checks():
    for row in rows("limit"):
        relative = band(row)[0]
        given_ = row["inputs"]
        if row["id"].startswith("plastic.beam"):
            yield Check(row["id"], "limit-load", source(row),
                        row["expected"]["coefficient"], relative,
                        lambda g=given_: beam(g["support"], g["load"] == "udl"))  # fmt: skip
        elif row["id"].startswith("plastic.portal"):
            yield Check(row["id"], "limit-load", source(row),
                        row["expected"]["load_factor"], relative,
                        lambda g=given_: portal(g["H"], g["V"], g["h"], g["L"], g["Mp"],
                                                g["base"]).factor[0])  # fmt: skip
    row = next(r for r in rows("limit") if r["id"] == "plastic.MN.ec3_rhs")
    web = (1670 - 2 * 60 * 5) / 1670
    yield Check(row["id"], "limit-load", source(row), row["expected"]["ratio"], 1e-4,
                lambda: axial_and_moment("box", 0.3, web))  # fmt: skip
    row = next(r for r in rows("limit") if r["id"] == "plastic.MN.ec3_chs")
    yield Check(row["id"], "limit-load", source(row), row["expected"]["ratio"], 0.005,
                lambda: axial_and_moment("tube", 0.3))  # fmt: skip


def hinge_by_hinge(H, V, h, L, Mp, base):
    """Load factor at which a portal has become a mechanism, a frame library giving each step.

    Loads grow until the next section yields, which then turns freely; nothing of ours takes part.
    """
    from Pynite import FEModel3D

    places = {"A": (0, 0), "B": (0, h), "C": (L / 2, h), "D": (L, h), "E": (L, 0)}
    sections = {"AB": (0,), "BC": (0, 1), "CD": (1,), "DE": (1,) if base == "fixed" else ()}
    moments = {(name, end): 0.0 for name, ends in sections.items() for end in ends}
    turning: set[tuple[str, int]] = set()
    factor, first = 0.0, None
    while True:
        model = FEModel3D()
        model.add_material("m", 210e6, 80e6, 0.3, 0.0)
        model.add_section("s", 1.0, 1e-4, 1e-4, 1e-4)
        for name, (x, y) in places.items():
            model.add_node(name, x, y, 0.0)
            foot = name in "AE"
            model.def_support(name, foot, foot, True, True, True, foot and base == "fixed")
        for name in sections:
            model.add_member(name, name[0], name[1], "m", "s")
            loose = [(name, end) in turning for end in (0, 1)]
            model.def_releases(name, *[False] * 5, loose[0], *[False] * 5, loose[1])
        model.add_node_load("B", "FX", H)
        model.add_node_load("C", "FY", -V)
        try:
            model.analyze_linear(check_stability=False, check_statics=False, sparse=False)
        except Exception as stop:  # the library's own
            if "singular" not in str(stop):
                raise
            return factor
        moved = max(abs(node.DX["Combo 1"]) + abs(node.DY["Combo 1"])
                    for node in model.nodes.values())  # fmt: skip
        first = first or moved
        if moved > 1e6 * first:
            return factor
        step = {
            (name, end): float(model.members[name].moment("Mz", model.members[name].L() * end))
            for name, end in moments
        }
        reach = {
            key: (Mp - np.sign(step[key]) * moments[key]) / abs(step[key])
            for key in moments if key not in turning and abs(step[key]) > 1e-9
        }  # fmt: skip
        key = min(reach, key=reach.__getitem__)
        factor += reach[key]
        moments = {one: moments[one] + reach[key] * step[one] for one in moments}
        turning.add(key)


LIBRARY = "PyNiteFEA (library): elastic steps from hinge to hinge until nothing holds"


CHECKS = [
    *reference_checks(),
    *(
        Check(f"plastic.hinge_by_hinge.{name}", "limit-load", LIBRARY, hinge_by_hinge(*case), 1e-6,
              lambda case=case: portal(*case[:5], case[5]).factor[0])
        for name, case in {
            "sway": (30.0, 8.0, 5.0, 6.0, 60.0, "fixed"),
            "combined": (12.0, 30.0, 4.0, 6.0, 60.0, "fixed"),
            "beam": (2.0, 50.0, 3.0, 7.0, 80.0, "fixed"),
            "pinned": (10.0, 25.0, 4.0, 8.0, 100.0, "pinned"),
        }.items()
    ),
    Check("plastic.rectangle", "limit-load", "Horne: solid rectangle, m = 1 - n^2 (from memory)",
          1 - 0.36, 0.005, lambda: axial_and_moment("rectangle", 0.6)),
    Check("plastic.beam.prop_udl", "limit-load", "Neal: propped cantilever, uniform load, 11.66 "
          "Mp/L^2 (from memory)", 11.66, 0.003, lambda: beam("prop", True)),
]  # fmt: skip


@settings(max_examples=40, deadline=None)
@given(
    st.floats(0.1, 30), st.floats(0.1, 30), st.floats(1, 6), st.floats(1, 8), st.floats(0.2, 0.8)
)
def test_portals_fail_by_the_weakest_of_their_three_mechanisms(H, V, h, L, at):
    """Source: Neal; sway 4Mp/Hh, beam by virtual work, combined by virtual work."""
    found = portal(H, V, h, L, 60.0, at=at).factor[0]
    a, b = at * L, (1 - at) * L
    sway = 4 * 60 / (H * h)
    turn = a / b  # of the right part of the beam, per unit of the left
    only_beam = (1 + (1 + turn) + turn) * 60 / (V * a)
    combined = (1 + (1 + turn) + (1 + turn) + 1) * 60 / (H * h + V * a)
    assert found == pytest.approx(min(sway, only_beam, combined), rel=1e-6)


def test_every_sample_equals_its_own_programme():
    """Source: scipy.optimize.linprog (library) on the equilibrium equations as they stand."""
    rng = np.random.default_rng(4)
    count = 300
    H, V = rng.uniform(1, 20, (2, count))
    h, L, Mp = rng.uniform(2, 6, count), rng.uniform(3, 8, count), rng.uniform(20, 80, count)
    facets = yield_facets("tube")
    found = portal(H, V, h, L, Mp, "pinned", facets=facets, squash=1.5)
    assert found.programmes < 60
    for sample in range(0, count, 25):
        assert found.factor[sample] == pytest.approx(
            whole_programme(H[sample], V[sample], h[sample], L[sample], Mp[sample], facets),
            rel=1e-6,
        )


def whole_programme(H, V, h, L, Mp, facets):
    """Unknowns: the factor, then axial force, shear and first moment of each of four members."""
    places = np.array([(0, 0), (0, h), (L / 2, h), (L, h), (L, 0)])
    equal, right = np.zeros((15, 13)), np.zeros(15)
    walls, most = [], []
    for index in range(4):
        a, b = places[index], places[index + 1]
        length = np.linalg.norm(b - a)
        c, s = (b - a) / length
        n, q, m = 1 + 3 * index, 2 + 3 * index, 3 + 3 * index
        # Internal moment grows by shear times length from the first end to the second.
        for node, sign in ((index, 1), (index + 1, -1)):
            equal[3 * node, [n, q]] += [sign * c, -sign * s]
            equal[3 * node + 1, [n, q]] += [sign * s, sign * c]
            equal[3 * node + 2, m] += sign
        equal[3 * (index + 1) + 2, q] -= length
        for end in (0.0, length):
            for fa, fb in facets:
                for sn in (1, -1):
                    for sm in (1, -1):
                        row = np.zeros(13)
                        row[n] = sn * fa / (1.5 * Mp)
                        row[m], row[q] = sm * fb / Mp, sm * fb * end / Mp
                        walls.append(row)
                        most.append(1.0)
    equal[3, 0], equal[7, 0] = H, -V
    kept = [2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 14]
    goal = np.zeros(13)
    goal[0] = -1
    return linprog(goal, walls, most, equal[kept], right[kept], (None, None)).x[0]


def test_hinges_of_the_combined_mechanism_stand_where_the_textbook_has_them():
    """Source: Neal, combined mechanism: right knee, mid-beam and both bases."""
    found = portal(10, 20, 4, 6, 60)
    turning = {(m, e) for m, e in zip(*np.nonzero(found.hinges[0]), strict=True)}
    assert (0, 0) in turning and (3, 1) in turning
    assert np.abs(found.moments[0, 1, 1]) == pytest.approx(1)
    assert np.abs(found.moments).max() <= 1 + 1e-9


@pytest.mark.parametrize(
    ("change", "words"),
    [({"H": 0, "V": 0}, "give a load"), ({"h": 0}, "no length")],
)
def test_refusals(change, words):
    good = {"H": 1, "V": 1, "h": 1, "L": 1, "Mp": 1}
    with pytest.raises(ValueError, match=words):
        portal(**{**good, **change})


def test_a_mechanism_is_refused():
    nodes = np.array([[[0.0, 0], [1, 0], [2, 0]]])
    free = np.array([[False, False, True], [True] * 3, [True, True, True]])
    load = np.ones((1, 3, 3))
    with pytest.raises(ValueError, match="mechanism before any hinge"):
        collapse(
            nodes, [(0, 1), (1, 2)], free, load, np.ones((1, 2)), np.ones((1, 2)), [BENDING] * 2
        )


def test_an_unknown_surface_is_named():
    with pytest.raises(ValueError, match="surface must be one of"):
        yield_facets("sphere")
