"""The terms in which people describe a pattern: its own signature, or one read off its texts."""

from atlas.catalogue.model import Pattern, Signature, Term

from .lexicon import Lexicon
from .words import ARTICLES, PAUSES, Token, tokens

_FIELD = {
    "place": "place",
    "shape": "shape",
    "test": "shape",
    "measure": "shape",
    "joint": "joint",
    "material": "material",
    "process": "process",
    "serves": "serves",
    "load": "serves",
    "count": "count",
    "ties": "ties",
}


def signature_of(pattern: Pattern, lexicon: Lexicon) -> Signature:
    """The signature that was written for it, else one from title, other names and cues."""
    if pattern.signature != Signature():
        return pattern.signature
    fields: dict[str, list[str]] = {}
    named = [pattern.title, *pattern.other_names]
    for text in named:
        terms = _terms(text, lexicon)
        parts = [t for t in terms if t.kind == "part"]
        for term in terms:
            if term.kind != "part":
                fields.setdefault(_FIELD[term.kind], []).append(term.id)
            else:
                fields.setdefault("part" if term is parts[-1] else "ties", []).append(term.id)
    for text in (pattern.summary, *(cue.see for cue in pattern.cues)):
        for term in _terms(text, lexicon):
            field = _FIELD.get(term.kind, "ties")
            fields.setdefault(field, []).append(term.id)
    known: set[str] = set()
    kept: dict[str, tuple[str, ...]] = {}
    for field in ("part", *dict.fromkeys(_FIELD.values())):
        kept[field] = tuple(t for t in dict.fromkeys(fields.get(field, ())) if t not in known)
        known.update(kept[field])
    return Signature(**kept)


def _terms(text: str, lexicon: Lexicon) -> list[Term]:
    """Terms in a plain text, in order; a word after 'no' or 'not' is left out."""
    run: list[Token] = [t for t in tokens(text.lower()) if t.word not in ARTICLES]
    stems = [token.stem for token in run]
    found: list[Term] = []
    at = 0
    skip = 0
    while at < len(run):
        if run[at].word in PAUSES:
            skip = 0
        elif run[at].word in {"no", "not", "without", "never", "nor"}:
            skip = 4
        size, names = lexicon.match(stems, at)
        if size and not skip and not (size == 1 and run[at].word == "can"):
            found += [lexicon.terms[name] for name in names]
        at += max(size, 1)
        skip = max(0, skip - 1)
    return found
