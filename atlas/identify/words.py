"""Words of a text: normal form, tokens, stems."""

import re
import unicodedata
from functools import lru_cache
from typing import NamedTuple

_TOKEN = re.compile(r"\d+(?:[.,]\d+)?|[^\W\d_]+\d*(?:'[^\W\d_]+)?|[.,;:!?()\[\]]")
_JOINED = re.compile(r"(?<=\w)[-‐‑–—_/&+](?=\w)")
# The letter of "A-arm" and "A-pillar", which would else be taken for the article.
_LETTER_A = re.compile(r"\ba[-‐‑–](?=\w)|\ba (?=(?:arm|pillar|post|column|frame|shape)s?\b)")
_APOSTROPHES = str.maketrans({"’": "'", "‘": "'", "`": "'", "´": "'"})

ARTICLES = frozenset(
    ("a", "an", "the", "its", "it's", "their", "this", "these", "those", "some", "my", "your")
)
PAUSES = frozenset(".,;:!?()[]")

NUMBERS = {
    "zero": 0,
    "one": 1,
    "two": 2,
    "three": 3,
    "four": 4,
    "five": 5,
    "six": 6,
    **{str(value): value for value in range(1, 17)},
    "single": 1,
    "pair": 2,
    "twin": 2,
    "both": 2,
    "dual": 2,
    "double": 2,
    "couple": 2,
    "triple": 3,
    "seven": 7,
    "eight": 8,
    "ten": 10,
    "dozen": 12,
    "several": 5,
    "many": 9,
    "multiple": 5,
}


class Token(NamedTuple):
    """A word as typed (in lower case), its stem, and where it stood in the text."""

    word: str
    stem: str
    start: int
    end: int


def normal(text: str) -> str:
    """Lower case, composed, one kind of apostrophe; controls become blanks.

    >>> normal("Fork\\x1b[31m isn\\u2019t")
    "fork [31m isn't"
    """
    text = unicodedata.normalize("NFKC", text[:20_000]).translate(_APOSTROPHES).casefold()
    return text if text.isprintable() else "".join(c if c.isprintable() else " " for c in text)


def letters_joined(text: str) -> str:
    """Text with the letter A joined to its noun: 'a-arm' gives 'aarm'."""
    return _LETTER_A.sub("a", text)


def tokens(text: str) -> list[Token]:
    """Words, numbers and pauses of a text in normal form; hyphens and slashes part words.

    >>> [t.word for t in tokens("e-coat, 2.5 mm; don't")]
    ['e', 'coat', ',', '2.5', 'mm', ';', "don't"]
    """
    text = _JOINED.sub(" ", letters_joined(text))
    return [
        Token(found.group(), stem(found.group()), found.start(), found.end())
        for found in _TOKEN.finditer(text)
    ]


# Words whose stem would be that of another word.
_WORDS_AS_THEY_ARE = """
base bite bore case cases closed core felt felts fine fore handed lowered lowers mated saw sawed
separated turned
"""
_ITSELF = frozenset(_WORDS_AS_THEY_ARE.split())


@lru_cache(maxsize=50_000)
def stem(word: str) -> str:
    """The word without its inflection, so that 'bolts', 'bolted' and 'bolting' are one.

    >>> [stem(w) for w in ("bolts", "bolted", "bolting", "ribbed", "bushes", "forge", "forged")]
    ['bolt', 'bolt', 'bolt', 'rib', 'bush', 'forg', 'forg']
    """
    if word.endswith("'s"):
        word = word[:-2]
    if len(word) <= 3 or word in _ITSELF or not word.isalpha():
        return word
    if word.endswith("ies") and len(word) > 4:
        word = word[:-3] + "y"
    elif word.endswith(("ches", "shes", "sses", "xes", "zes")):
        word = word[:-2]
    elif word.endswith("s") and not word.endswith(("ss", "us", "is")):
        word = word[:-1]
    for ending in ("ing", "ed"):
        body = word[: -len(ending)]
        if word.endswith(ending) and len(body) > 2 and any(v in body for v in "aeiouy"):
            word = body
            if len(word) > 3 and word[-1] == word[-2] and word[-1] not in "lsz":
                word = word[:-1]
            break
    if len(word) > 3 and word.endswith("e"):
        word = word[:-1]
    return word
