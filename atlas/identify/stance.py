"""What the speaker holds of each word: affirmed, denied, doubted, or somebody's first guess."""

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from .words import PAUSES, Token

_SCOPE = 7  # words that one "not" can reach


_Words = tuple[str, ...]
_Phrases = Mapping[str, Sequence[_Words]]


def _by_first_word(*phrases: _Words) -> _Phrases:
    index: dict[str, list[_Words]] = {}
    for phrase in phrases:
        index.setdefault(phrase[0], []).append(phrase)
    return index


class Stance(NamedTuple):
    """How one word is meant."""

    denied: bool
    weight: float


_DENYING = """
    not no never without neither nor none nothing lacks lacking minus sans non isnt arent wasnt
    doesnt dont didnt aint wont hasnt havent cant cannot hardly w/o nobody nowhere
"""
_DENIERS = frozenset(_DENYING.split())
_ENDING = """
    but just only it it's which that because so however though although is are there with while
    instead and then they he she we i has have was were yet since where when
"""
_ENDERS = frozenset(_ENDING.split())
# Prepositions end what a "no" reaches ("no bolts on the bar"), but not after a verb of fixing
# ("does not sit on the bar"): there the place is what is denied.
_TURNING = """
on to for from behind under below in at by near around with above along beside beneath needed need
"""
_TURNS = frozenset(_TURNING.split())
_FIXING = """
sit sits touch touches go goes hang hangs reach reaches connect connects connected attach attached
mount mounted fix fixed bolt bolted extend extends run runs get gets tied land lands anchored join
joined welded held touching going reaching connected come comes fastened screwed
"""
_FIXES = frozenset(_FIXING.split())
# Words after a denier that turn it into something else.
_NOT_DENIAL = _by_first_word(
    ("not", "only"),
    ("not", "just"),
    ("no", "doubt"),
    ("no", "wonder"),
    ("no", "more", "than"),
    ("nothing", "but"),
    ("not", "far"),
    ("no", "longer"),
    ("not", "quite"),
    ("no", "bigger"),
    ("not", "much"),
    ("not", "very"),
    ("none", "too"),
)
# "Does not stop at" says that it goes on.
_GOES_ON = frozenset(("quit", "stop", "end", "finish", "stops", "ends"))
_DOUBT = {
    ("not", "sure"): 0.3,
    ("no", "idea"): 0.3,
    ("don't", "know"): 0.3,
    ("dont", "know"): 0.3,
    ("dunno",): 0.3,
    ("can't", "tell"): 0.25,
    ("cannot", "tell"): 0.25,
    ("can", "not", "tell"): 0.25,
    ("can't", "see"): 0.25,
    ("cant", "see"): 0.25,
    ("cant", "tell"): 0.25,
    ("cannot", "see"): 0.25,
    ("can't", "make", "out"): 0.25,
    ("hard", "to", "tell"): 0.3,
    ("hard", "to", "say"): 0.3,
    ("unclear",): 0.3,
    ("not", "clear"): 0.3,
    ("not", "certain"): 0.3,
    ("unsure",): 0.3,
    ("maybe",): 0.6,
    ("perhaps",): 0.6,
    ("possibly",): 0.6,
    ("might",): 0.6,
    ("could", "be"): 0.6,
    ("may", "be"): 0.6,
    ("probably",): 0.85,
    ("i", "think"): 0.85,
    ("guess",): 0.8,
    ("seems",): 0.9,
    ("supposedly",): 0.5,
}
_DOUBTING = _by_first_word(*_DOUBT)
# Doubts that are as often of the name as of the thing.
_IGNORANCE = frozenset(
    (
        ("not", "sure"),
        ("no", "idea"),
        ("don't", "know"),
        ("dont", "know"),
        ("dunno",),
        ("unsure",),
    )
)
_NAMING = frozenset(
    ("it", "is", "that", "they", "are", "you", "we", "call", "called", "to", "thing", "one")
)
_ASKING = frozenset(
    ("if", "whether", "about", "how", "what", "which", "where", "of", "who", "why", "when", "for")
)
# What somebody took it for: usually wrong, or it would not be told so.
_FIRST_GUESS = _by_first_word(
    ("thought", "it"),
    ("thought", "this"),
    ("thought", "that"),
    ("first", "thought"),
    ("i", "thought"),
    ("assumed",),
    ("took", "it", "for"),
    ("mistook",),
    ("mistaken", "for"),
    ("confused", "with"),
    ("told", "me"),
    ("tells", "me"),
    ("told", "us"),
    ("says", "it"),
    ("says", "it's"),
    ("said", "it"),
    ("says", "this"),
    ("said", "it's"),
    ("insists",),
    ("reckons",),
    ("swears",),
    ("calls", "it"),
    ("called", "it"),
    ("label", "says"),
    ("labelled",),
    ("according", "to"),
    ("you'd", "think"),
    ("supposed", "to", "be"),
)
_INSTEAD = _by_first_word(
    ("instead", "of"),
    ("rather", "than"),
    ("in", "place", "of"),
    ("unlike",),
    ("as", "opposed", "to"),
    ("where", "you'd", "expect"),
    ("not", "like"),
    ("other", "than"),
    ("different", "from"),
)


def stances(run: list[Token], ends: Mapping[int, int] | None = None) -> list[Stance]:
    """One stance for each word of a text.

    Args:
        run: the words.
        ends: for each place where a phrase of the vocabulary begins, where it ends. A "not" that
            opens such a phrase ("not in one plane") is used up by it.
    """
    ends = ends or {}
    words = [token.word for token in run]
    denied = [False] * len(run)
    weight = [1.0] * len(run)
    for at, word in enumerate(words):
        denies = (word in _DENIERS or word.endswith("n't")) and not _excused(words, at)
        if denies or _phrase(words, at, _INSTEAD):
            end = ends.get(at, 0)
            used_up = end > at + 1 and words[end : end + 1] not in (["or"], ["nor"])
            _deny(words[:end] if used_up else words, at, denied)
        doubt = _phrase(words, at, _DOUBTING)
        if doubt and (doubt not in _IGNORANCE or not _of_the_name(words, at, at + len(doubt))):
            _weigh(words, at, weight, _DOUBT[doubt])
        if _phrase(words, at, _FIRST_GUESS):
            _weigh(words, at + 1, weight, 0.15 if _contradicted(words, at) else 0.5)
        if word == "as" and words[at + 1 : at + 2] in (["if"], ["though"]):
            _weigh(words, at + 1, weight, 0.5)
        if word == "none" and at and words[at - 1] not in PAUSES:
            denied[at - 1] = True
    return [Stance(d, w) for d, w in zip(denied, weight, strict=True)]


def _phrase(words: list[str], at: int, phrases: _Phrases) -> _Words | None:
    """The phrase that begins at a place, if one of them does."""
    for phrase in phrases.get(words[at], ()):
        if tuple(words[at : at + len(phrase)]) == phrase:
            return phrase
    return None


def _excused(words: list[str], at: int) -> bool:
    if at + 1 < len(words) and words[at + 1] in _GOES_ON:
        return True
    return bool(_phrase(words, at, _NOT_DENIAL) or _phrase(words, at, _DOUBTING))


def _deny(words: list[str], at: int, denied: list[bool]) -> None:
    for i in range(at + 1, min(at + 1 + _SCOPE, len(words))):
        if words[i] in PAUSES or (i > at + 1 and words[i] in _ENDERS):
            break
        if i > at + 1 and words[i] in _TURNS and words[i - 1] not in _FIXES:
            break
        denied[i] = True


def _of_the_name(words: list[str], at: int, after: int) -> bool:
    """Whether a doubt is of what the thing is called, and so not of what is said of it next.

    "Don't know, some tube across the front" and "no idea what it is, a plate with holes".
    """
    rest = words[after:]
    if rest[:1] == ["what"]:
        named = next((i for i, w in enumerate(rest[1:], 1) if w not in _NAMING), len(rest))
        return named > 1
    opens = words[:at] in ([], ["i"]) and words[after - 1] not in {"sure", "unsure"}
    asks = not rest or rest[0] in _ASKING
    return rest[:1] == [","] or (opens and not asks and "or" not in rest[:6])


def _weigh(words: list[str], at: int, weight: list[float], factor: float) -> None:
    for i in range(at, min(at + 10, len(words))):
        if words[i] in ".;:!?()" or words[i] in {"but", "however", "though"}:
            break
        if words[i] == "," and i > at + 3:
            break
        weight[i] = min(weight[i], factor)


def _contradicted(words: list[str], at: int) -> bool:
    rest = words[at : at + 25]
    return any(
        w in _DENIERS or w in {"but", "however", "though"} or w.endswith("n't") for w in rest
    )
