"""Why a pattern was offered, in words."""

from collections.abc import Sequence
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from atlas.catalogue.model import Pattern, Signature

from .lexicon import Lexicon
from .plain_words import EMPTY, EVERYDAY
from .reading import Evidence, Reading
from .words import NUMBERS, PAUSES, stem, tokens

_FOR = 0.35  # log-ratio from which a term is worth a line
_AGAINST = -0.9
_MOST = 4


def reasons(
    pattern: Pattern,
    row: int,
    reading: Reading,
    shares: Sequence[tuple[Evidence, NDArray[np.float32]]],
    lexicon: Lexicon,
    heard: Sequence[str] = (),
) -> tuple[str, ...]:
    """What in the text speaks for the pattern, what against, and what was mended.

    Args:
        pattern: the pattern offered.
        row: its place in the index.
        reading: what was read.
        shares: each piece of evidence with what it gave to every pattern.
        lexicon: the vocabulary, for the terms' plain names.
        heard: stems of the text that others said of this pattern, strongest first.
    """
    weighed = sorted(((float(share[row]), one) for one, share in shares), key=lambda w: -w[0])
    lines: list[str] = []
    told: set[str] = set()
    shown: set[str] = set()
    for value, one in weighed:
        if value < _FOR or len(lines) >= _MOST:
            break
        if one.words in told:
            continue
        told.add(one.words)
        lines.append(_for(one, pattern, lexicon, shown))
    before = _said_before(heard, told, reading)
    if before and len(lines) < _MOST:
        lines.append(before)
    if not lines:
        held = _held(reading, pattern)
        if held:
            lines.append(f"its own text says {held}")
    against = [(value, one) for value, one in reversed(weighed) if value < _AGAINST]
    lines += [_against(one, pattern, lexicon) for _, one in against[:2]]
    # Only where the mended word took part; what was mended and left aside convinces nobody.
    used = {word for words in told for word in words.split()}
    used |= {word for _, one in against[:2] for word in one.words.split()}
    lines += [
        f"'{typed}' was read as '{meant}'"
        for typed, meant in reading.mended.items()
        if used & {typed, *meant.split()}
    ]
    return tuple(lines)


def _said_before(heard: Sequence[str], told: set[str], reading: Reading) -> str:
    """That others used the same words, where the vocabulary does not say as much already."""
    known = {stem(word) for words in told for word in words.split()}
    new = [reading.typed.get(key, key) for key in heard if key not in known]
    new = [word for word in new if word not in EVERYDAY and word not in NUMBERS]
    return f"others who saw it also said {', '.join(map(repr, new[:3]))}" if len(new) > 1 else ""


def _for(one: Evidence, pattern: Pattern, lexicon: Lexicon, shown: set[str]) -> str:
    term = _term_here(one, pattern)
    name = lexicon.terms[term].term if term in lexicon.terms else term
    if one.denied:
        return f"'{one.words}' is denied, and {name} would speak against this"
    said = f"'{one.words}'"
    if stem(name) != stem(one.words) and name != one.words:
        said += f" means {name}"
    if one.weight < 0.7:
        said += " (said with doubt)"
    cue = _cue(one, name, pattern)
    if cue and cue not in shown:
        shown.add(cue)
        return f"{said}: meets the cue '{_short(cue)}'"
    role = " as its neighbour" if one.context and term in _ids(pattern.signature.ties) else ""
    return f"{said}: fits{role}"


def _against(one: Evidence, pattern: Pattern, lexicon: Lexicon) -> str:
    term = _term_here(one, pattern)
    name = lexicon.terms[term].term if term in lexicon.terms else term
    if one.denied:
        return f"against: the text denies '{one.words}', which belongs to it"
    if term in _ids(pattern.signature.absent):
        return f"against: '{one.words}' ({name}) is not seen on it"
    return f"against: '{one.words}' ({name}) is not part of its picture"


def _term_here(one: Evidence, pattern: Pattern) -> str:
    """Of the terms that the words can mean, the one that this pattern lists."""
    return next((term for term in one.terms if term in _listed(pattern.signature)), one.terms[0])


def _ids(terms: Sequence[str]) -> set[str]:
    return {term.rstrip("!") for term in terms}


@lru_cache(maxsize=512)
def _listed(signature: Signature) -> frozenset[str]:
    fields = ("part", "ties", "place", "shape", "joint", "material", "process", "serves", "count")
    listed = {term.rstrip("!") for field in fields for term in getattr(signature, field)}
    return frozenset(listed | _ids(signature.absent))


@lru_cache(maxsize=4096)
def _stems(text: str) -> frozenset[str]:
    return frozenset(
        token.stem
        for token in tokens(text.lower())
        if token.word not in PAUSES and token.word not in EMPTY
    )


def _cue(one: Evidence, name: str, pattern: Pattern) -> str:
    """The cue that shares most words with the evidence or its term; empty where none does."""
    wanted = _stems(one.words) | _stems(name)
    best = max(pattern.cues, key=lambda cue: len(wanted & _stems(cue.see)), default=None)
    if best is None or not wanted & _stems(best.see):
        return ""
    return best.see


def _held(reading: Reading, pattern: Pattern) -> str:
    stems = _stems(pattern.summary).union(*(_stems(cue.see) for cue in pattern.cues))
    both = [key for key in reading.words if key in stems]
    return ", ".join(f"'{key}'" for key in both[:5])


def _short(text: str, most: int = 110) -> str:
    if len(text) <= most:
        return text.rstrip(".")
    return text[:most].rsplit(" ", 1)[0].rstrip(",;.") + " …"
