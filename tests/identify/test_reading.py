import pytest

from atlas.catalogue.load import load
from atlas.identify.lexicon import Lexicon
from atlas.identify.reading import read
from atlas.identify.words import normal, stem, tokens

LEXICON = Lexicon.of(load(cached=False).terms)


def said(text, denied=False):
    evidence = read(text, LEXICON).evidence
    return {term for one in evidence if one.denied is denied for term in one.terms}


@pytest.mark.parametrize(
    ("text", "denied", "affirmed"),
    [
        ("not welded", "welded", None),
        ("it ain't bolted, it is welded", "bolted", "welded"),
        ("no welds, bolts at both ends", "welded", "bolt"),
        ("not cast, not forged, just pressed", "forged", "pressed"),
        ("neither cast nor forged", "forged", None),
        ("without rubber between", "rubber", None),
        ("bolts instead of welds", "welded", "bolt"),
        ("never welded but riveted", "welded", "rivet"),
        ("the legs don't stop at the front, steel", None, "steel"),
        ("no bolts on the crossbar", "bolt", "cross-member"),
        ("not only welded but bolted", None, "welded"),
    ],
)
def test_denials_and_how_far_they_reach(text, denied, affirmed):
    assert denied is None or denied in said(text, denied=True)
    assert denied is None or denied not in said(text)
    assert affirmed is None or affirmed in said(text)


@pytest.mark.parametrize(
    "text",
    ["magnet does not stick", "a magnet falls off", "magnet won't hold", "no magnet holds on it"],
)
def test_a_magnet_that_fails_is_a_denial(text):
    assert "magnetic" in said(text, denied=True)


def test_a_magnet_that_holds_here_and_not_there_means_two_metals():
    assert "mixed-metal" in said("magnet sticks to the bar but the magnet drops off the legs")


@pytest.mark.parametrize(
    ("text", "most"),
    [
        ("can't tell whether it is welded", 0.3),
        ("don't know if it is welded", 0.3),
        ("dunno welded or bolted", 0.3),
        ("maybe welded", 0.6),
        ("probably welded", 0.9),
        ("I thought it was welded but no", 0.2),
    ],
)
def test_doubt_and_first_guesses_weigh_less(text, most):
    weights = [one.weight for one in read(text, LEXICON).evidence if "welded" in one.terms]
    assert weights and max(weights) <= most


@pytest.mark.parametrize(
    "doubt", ["don't know, ", "dunno ", "no idea what it is, ", "not sure what to call it, "]
)
def test_not_knowing_its_name_is_no_doubt_of_what_is_seen(doubt):
    (one,) = (e for e in read(f"{doubt}a welded box", LEXICON).evidence if "welded" in e.terms)
    assert one.weight == 1.0


@pytest.mark.parametrize(
    ("slip", "term"),
    [
        ("wleded", "welded"),
        ("cradel", "cradle"),
        ("alumininum", "aluminium"),
        ("crossmembr", "cross-member"),
        ("balljoint", "ball-joint"),
        ("steeringrack", "steering-gear"),
    ],
)
def test_slips_and_joined_words_are_mended(slip, term):
    assert term in said(f"a {slip} here")


@pytest.mark.parametrize("word", ["later", "rather", "reckon", "photo", "there", "right"])
def test_everyday_words_are_left_alone(word):
    assert not read(word, LEXICON).mended


@pytest.mark.parametrize(
    ("text", "term"),
    [
        ("wedge ahead of the front wheel", "ahead-of-wheel"),
        ("ramp just behind the tyre", "behind-wheel"),
        ("bar under the gearbox", "below-of-drive-unit"),
        ("three bolts on the foot", "three-bolts"),
        ("2 bolts", "two-bolts"),
        ("a pair of ball joints", "two-ball-joints"),
        ("only on the left side", "one-sided"),
    ],
)
def test_places_counts_and_sides(text, term):
    assert term in said(text)


def test_the_neighbour_is_told_from_the_thing():
    evidence = read("bracket bolted to the cradle", LEXICON).evidence
    role = {term: one.context for one in evidence for term in one.terms}
    assert role["cradle"] and not role["bracket"]


@pytest.mark.parametrize(
    "text", ["CROSS-MEMBER, BOLTED", "cross member bolted", "Cross\tmember  bolted!"]
)
def test_case_and_spacing_do_not_matter(text):
    assert {"cross-member", "bolted"} <= said(text)


@pytest.mark.parametrize(
    "text",
    ["[/b] [bold]", "\x1b[31mred\x1b[0m", "\u202ereversed", "\x00\x07", "a" * 50_000, "…", "🚗"],
)
def test_markup_controls_and_junk_are_plain_characters(text):
    assert all(c.isprintable() for c in normal(text))
    read(text, LEXICON)


@pytest.mark.parametrize(
    ("words", "root"),
    [
        # Inflections of one verb or noun share a stem; words of other meaning do not.
        (("weld", "welds", "welded", "welding"), "weld"),
        (("bush", "bushes", "bushing", "bushings"), "bush"),
        (("casting", "castings", "cast"), "cast"),
        (("body", "bodies"), "body"),
    ],
)
def test_inflections_share_a_stem(words, root):
    assert {stem(word) for word in words} == {root}
    assert stem("closed") != stem("close")


def test_letter_a_is_not_the_article():
    assert "hinge-pillar" in said("plate behind the A-pillar")
    assert [t.word for t in tokens("a pillar-box")] == ["apillar", "box"]
