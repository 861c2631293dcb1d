"""A description as evidence: which terms it names, affirms, denies or doubts, and in which role."""

from msgspec import Struct

from .lexicon import RELATIONS, Lexicon
from .plain_words import EMPTY, EVERYDAY
from .stance import Stance, stances
from .words import ARTICLES, NUMBERS, PAUSES, Token, normal, tokens

# Words that make what follows a thing beside the one described.
_NEIGHBOURLY = """
    on to of from between behind under into at in by near through beside past over above against
    inside onto toward towards off beyond below beneath underneath around along aft across
    carries carry carrying holds holding supports where next within atop
"""
_BEFORE_CONTEXT = frozenset(_NEIGHBOURLY.split())
_AFTER_CAN = """
be i you we it see not tell get come take have bend push dent press move turn only just rotate fit
"""
_VERBS_AFTER_CAN = frozenset(_AFTER_CAN.split())
_COUNTED = {
    "bolt": ("bolt", "bolt-group", "through-bolted", "bolted"),
    "feet": ("foot", "feet", "leg", "attachment", "body-mount"),
    "mount": ("body-mount", "unit-mount", "bush"),
    "ball-joint": ("ball-joint",),
    "link": ("link", "lower-arm", "arm"),
    "cross-member": ("cross-member", "front-bar"),
    "leg": ("cradle-leg", "branches"),
}
_HOLDS = frozenset(("stick", "hold", "grab", "cling", "stuck", "attract", "bit", "snap"))
_PHRASE_DENIERS = frozenset(("no", "not", "without", "nothing", "never"))
# A phrase of so many words also says, more quietly, what its words say.
_LONG_PHRASE = 3
_INSIDE = 0.5
_TOLD_INSIDE = frozenset(("part", "joint", "material", "process"))
# What has arms of its own, and how many words before them it is named.
_BRANCHING = frozenset(("brace", "plate", "panel", "x-shape", "v-shape"))
_NEAR = 9
_SMALL = {1: "one", 2: "two", 3: "three", 4: "four"}
_LEFT_RIGHT = frozenset(("left", "right", "driver", "passenger", "nearside", "offside"))


class Evidence(Struct, frozen=True):
    """One thing that the text says.

    ``terms`` are alternatives: the words can mean any of them. ``weight`` is 1 for a plain
    statement and falls with doubt. ``context`` marks a part that the described thing is fixed to,
    next to or part of.
    """

    terms: tuple[str, ...]
    words: str
    denied: bool = False
    weight: float = 1.0
    context: bool = False


class Reading(Struct, frozen=True):
    """Everything read from one text."""

    evidence: tuple[Evidence, ...]
    words: dict[str, float]  # stems for full-text search, with weights
    typed: dict[str, str] = {}  # stem -> the word as it stood in the text
    mended: dict[str, str] = {}
    unknown: tuple[str, ...] = ()


class _Hit(Struct):
    start: int
    size: int
    terms: list[str]
    kind: str


def read(text: str, lexicon: Lexicon, others: frozenset[str] = frozenset()) -> Reading:
    """Read a description.

    Args:
        text: as typed; markup and control characters are plain characters.
        lexicon: the vocabulary.
        others: words and stems of the patterns' own texts and of what was said of them, which need
            no mending.
    """
    run, mended, unknown = _mended(tokens(normal(text)), lexicon, others)
    run = [token for token in run if token.word not in ARTICLES]
    hits = _own_arms(_hits(run, lexicon), run)
    moods = stances(run, {hit.start: hit.start + hit.size for hit in hits})
    evidence = [
        _evidence(hit, place, hits, run, moods) for place, hit in enumerate(hits) if hit.terms
    ]
    evidence += _places(hits, run, moods, lexicon)
    evidence += _counts(hits, run, moods, lexicon)
    evidence += _sides(run, moods, lexicon)
    evidence += _inner_denials(hits, run, lexicon)
    evidence += _inside(hits, run, moods, lexicon)
    evidence += _metals(evidence, lexicon) or _choosy_magnet(run, lexicon)
    typed = {token.stem: token.word for token in run}
    return Reading(_strongest(evidence), _search_words(run, moods), typed, mended, tuple(unknown))


def search_words(text: str) -> dict[str, float]:
    """Stems that a text affirms, with weights; nothing in it is looked up or mended.

    >>> search_words("flat plate, no rubber")
    {'flat': 0.6, 'plat': 1.0}
    """
    run = [token for token in tokens(normal(text)) if token.word not in ARTICLES]
    return _search_words(run, stances(run))


def _mended(
    run: list[Token], lexicon: Lexicon, others: frozenset[str]
) -> tuple[list[Token], dict[str, str], list[str]]:
    kept: list[Token] = []
    mended: dict[str, str] = {}
    unknown: list[str] = []
    for token in run:
        better = () if token.stem in others else lexicon.mend(token.word, others)
        if better:
            mended[token.word] = " ".join(better)
            for word in better:
                kept += [token._replace(word=t.word, stem=t.stem) for t in tokens(word)]
            continue
        if not lexicon.knows(token.word) and not {token.word, token.stem} & others:
            unknown.append(token.word)
        kept.append(token)
    return kept, mended, unknown


def _hits(run: list[Token], lexicon: Lexicon) -> list[_Hit]:
    stems = [token.stem for token in run]
    hits: list[_Hit] = []
    at = 0
    while at < len(run):
        size, terms = lexicon.match(stems, at)
        if size == 1 and run[at].word == "can" and _is_verb(run, at):
            size = 0
        if size == 0:
            at += 1
            continue
        hits.append(_Hit(at, size, terms, lexicon.terms[terms[0]].kind))
        at += size
    return hits


def _own_arms(hits: list[_Hit], run: list[Token]) -> list[_Hit]:
    """Without the arms of a brace or plate, which are its branches and no control arms."""
    kept: list[_Hit] = []
    for hit in hits:
        words = {token.word for token in run[hit.start : hit.start + hit.size]}
        if words & {"arm", "arms"} and words <= {*NUMBERS, "arm", "arms"}:
            before = [one for one in kept if hit.start - one.start <= _NEAR]
            if any(set(one.terms) & _BRANCHING for one in before):
                continue
        kept.append(hit)
    return kept


def _is_verb(run: list[Token], at: int) -> bool:
    """Whether 'can' is the verb here and not the crush can."""
    before = run[at - 1].word if at else ""
    after = run[at + 1].word if at + 1 < len(run) else ""
    return after in _VERBS_AFTER_CAN or before in {"i", "you", "we", "it", "they", "that", "one"}


def _evidence(
    hit: _Hit, place: int, hits: list[_Hit], run: list[Token], moods: list[Stance]
) -> Evidence:
    mood = moods[hit.start]
    inside = {run[i].word for i in range(hit.start, hit.start + hit.size)}
    denied = mood.denied and not inside & _PHRASE_DENIERS
    if hit.terms == ["magnetic"]:
        denied = denied or _magnet_fails(hit, run)
    words = " ".join(run[i].word for i in range(hit.start, hit.start + hit.size))
    return Evidence(
        tuple(hit.terms), words, denied, mood.weight, _is_context(hit, place, hits, run)
    )


def _magnet_fails(hit: _Hit, run: list[Token]) -> bool:
    """Whether the words after 'magnet' say that it does not hold."""
    held = False
    for at, token in enumerate(run[hit.start : hit.start + 8]):
        held = held or token.stem in _HOLDS
        if at and (token.word == "magnet" or (held and token.word in {"but", "while", ","})):
            return False
        if token.word in PAUSES and token.word != ",":
            return False
        if token.stem in {"not", "fall", "drop", "slid", "ignor", "no", "never", "off"}:
            return True
        if token.word.endswith("n't") or token.word in {"fell", "wont", "doesnt", "cant", "slips"}:
            return True
    return False


def _is_context(hit: _Hit, place: int, hits: list[_Hit], run: list[Token]) -> bool:
    """Whether the words name a neighbour of the described thing, or only qualify a noun."""
    if place + 1 < len(hits):
        after = hits[place + 1]
        if hit.kind == after.kind == "part" and after.start == hit.start + hit.size:
            return True
    floor = hits[place - 1].start + hits[place - 1].size if place else 0
    if place and hits[place - 1].kind != "part":
        floor = hits[place - 2].start + hits[place - 2].size if place > 1 else 0
    window = run[max(floor, hit.start - 4) : hit.start]
    for token in reversed(window):
        if token.word in PAUSES:
            return False
        if token.word in _BEFORE_CONTEXT:
            return True
    return bool(place and "between" in hits[place - 1].terms)


def _places(
    hits: list[_Hit], run: list[Token], moods: list[Stance], lexicon: Lexicon
) -> list[Evidence]:
    """Relation and landmark as one place: 'ahead of' with 'wheel'."""
    made: list[Evidence] = []
    for place, hit in enumerate(hits):
        relation = next((term for term in hit.terms if term in RELATIONS), None)
        if relation is None:
            continue
        for after in hits[place + 1 : place + 4]:
            if after.start - (hit.start + hit.size) > 3:
                break
            landmarks = [
                f"{relation}-{t}" for t in after.terms if f"{relation}-{t}" in lexicon.terms
            ]
            if landmarks:
                words = " ".join(t.word for t in run[hit.start : after.start + after.size])
                mood = moods[hit.start]
                made.append(Evidence(tuple(landmarks), words, mood.denied, mood.weight))
                break
    return made


def _counts(
    hits: list[_Hit], run: list[Token], moods: list[Stance], lexicon: Lexicon
) -> list[Evidence]:
    """Number and counted thing as one term: 'three' with 'bolts'."""
    made: list[Evidence] = []
    for at, token in enumerate(run):
        value = NUMBERS.get(token.word)
        if value is None or value == 0:
            continue
        for hit in hits:
            if not at <= hit.start <= at + 3 or hit.start + hit.size <= at:
                continue
            if any(t.word in PAUSES for t in run[at : hit.start]):
                break
            # "One big bolt" may be read as a mount, and is a bolt all the same.
            bolts = any(t.stem == "bolt" for t in run[hit.start : hit.start + hit.size])
            names = _count_terms(value, [*hit.terms, "bolt"] if bolts else hit.terms, lexicon)
            if names:
                words = " ".join(t.word for t in run[at : hit.start + hit.size])
                mood = moods[at]
                made.append(Evidence(names, words, mood.denied, mood.weight))
                break
        else:
            made += _feet(value, at, run, moods, lexicon)
    return made


def _feet(
    value: int, at: int, run: list[Token], moods: list[Stance], lexicon: Lexicon
) -> list[Evidence]:
    after = {token.stem for token in run[at + 1 : at + 3]}
    name = f"{_SMALL.get(value, 'several')}-feet"
    if after & {"foot", "feet", "fix", "place", "end", "corner"} and name in lexicon.terms:
        words = " ".join(t.word for t in run[at : at + 3])
        return [Evidence((name,), words, moods[at].denied, moods[at].weight)]
    return []


def _count_terms(value: int, terms: list[str], lexicon: Lexicon) -> tuple[str, ...]:
    number = _SMALL.get(value, "several")
    found: list[str] = []
    for noun, counted in _COUNTED.items():
        if not set(terms) & set(counted):
            continue
        plural = noun if noun == "feet" else f"{noun}s"
        name = f"{number}-{noun}" if number == "one" and noun != "feet" else f"{number}-{plural}"
        if name in lexicon.terms:
            found.append(name)
    return tuple(found)


def _sides(run: list[Token], moods: list[Stance], lexicon: Lexicon) -> list[Evidence]:
    """'Only on the left' in its many orders."""
    if "one-sided" not in lexicon.terms:
        return []
    for at, token in enumerate(run):
        if token.word in {"only", "just"}:
            near = [t.stem for t in run[max(0, at - 5) : at + 5]]
            side = {stem.removesuffix("'s") for stem in near} & _LEFT_RIGHT
            if side and not {"left", "right"} <= side:
                return [Evidence(("one-sided",), f"only {min(side)}", weight=moods[at].weight)]
    return []


def _inner_denials(hits: list[_Hit], run: list[Token], lexicon: Lexicon) -> list[Evidence]:
    """What a phrase such as 'no rubber' denies, beside what it says."""
    made: list[Evidence] = []
    for hit in hits:
        if hit.size < 2 or run[hit.start].word not in _PHRASE_DENIERS:
            continue
        stems = [t.stem for t in run[hit.start + 1 : hit.start + hit.size]]
        at = 0
        while at < len(stems):
            size, terms = lexicon.match(stems, at)
            if size:
                words = " ".join(t.word for t in run[hit.start : hit.start + hit.size])
                made.append(Evidence(tuple(terms), words, denied=True, weight=0.8))
            at += max(size, 1)
    return made


def _inside(
    hits: list[_Hit], run: list[Token], moods: list[Stance], lexicon: Lexicon
) -> list[Evidence]:
    """What the words of a long phrase say one by one: 'bolted to the cradle' names a cradle."""
    made: list[Evidence] = []
    for hit in hits:
        counts = hit.size > 1 and hit.kind == "count"
        if (hit.size < _LONG_PHRASE and not counts) or run[hit.start].word in _PHRASE_DENIERS:
            continue
        stems = [token.stem for token in run[hit.start : hit.start + hit.size]]
        at = 0
        while at < len(stems):
            size, terms = lexicon.match(stems[: hit.size - (at == 0)], at)
            kept = [
                t for t in terms if lexicon.terms[t].kind in _TOLD_INSIDE and t not in hit.terms
            ]
            if size and kept:
                words = " ".join(t.word for t in run[hit.start + at : hit.start + at + size])
                mood = moods[hit.start]
                weight = _INSIDE * mood.weight
                made.append(Evidence(tuple(kept), words, mood.denied, weight, context=True))
            at += max(size, 1)
    return made


def _metals(evidence: list[Evidence], lexicon: Lexicon) -> list[Evidence]:
    """Two metals named, or a magnet that both holds and does not: a joint of unlike metals."""
    if "mixed-metal" not in lexicon.terms:
        return []

    def said(*terms: str, denied: bool = False) -> Evidence | None:
        chosen = (one for one in evidence if one.denied is denied and set(one.terms) & set(terms))
        return next(chosen, None)

    ferrous, light = said("steel", "magnetic", "high-strength-steel"), said("aluminium")
    fails = said("magnetic", denied=True)
    other = light or (fails if said("magnetic") else None)
    if ferrous is None or other is None:
        return []
    words = f"{ferrous.words} and {'no ' if other.denied else ''}{other.words}"
    return [Evidence(("mixed-metal",), words, weight=0.7 * min(ferrous.weight, other.weight))]


def _choosy_magnet(run: list[Token], lexicon: Lexicon) -> list[Evidence]:
    """'Magnet sticks to the bar, not to the legs': two metals in few words."""
    words = [token.word for token in run]
    if "magnet" not in words or "mixed-metal" not in lexicon.terms:
        return []
    rest = words[words.index("magnet") : words.index("magnet") + 14]
    for at, word in enumerate(rest[3:], start=3):
        if word == "not" and rest[at - 1] in {"but", ",", "and"} and "not" not in rest[:at]:
            return [Evidence(("mixed-metal",), " ".join(rest[: at + 1]), weight=0.7)]
    return []


def _strongest(evidence: list[Evidence]) -> tuple[Evidence, ...]:
    """Each set of terms once in each role; what was both said and denied stays as both."""
    best: dict[tuple[tuple[str, ...], bool, bool], Evidence] = {}
    for one in evidence:
        key = (one.terms, one.denied, one.context)
        if key not in best or one.weight > best[key].weight:
            best[key] = one
    return tuple(best.values())


def _search_words(run: list[Token], moods: list[Stance]) -> dict[str, float]:
    words: dict[str, float] = {}
    for token, mood in zip(run, moods, strict=True):
        if token.word in PAUSES or token.word in EMPTY or mood.denied or len(token.word) < 2:
            continue
        weight = mood.weight * (0.6 if token.word in EVERYDAY else 1.0)
        words[token.stem] = max(weight, words.get(token.stem, 0.0))
    return words
