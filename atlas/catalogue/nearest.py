"""What somebody probably meant to type."""

from collections.abc import Iterable


def suggestion(typed: str, known: Iterable[str], otherwise: str) -> str:
    """The remedy for a name that does not exist: the nearest that does, or ``otherwise``.

    >>> suggestion("colum", ["column", "section"], "'atlas calc' lists them")
    "did you mean 'column'?"
    >>> suggestion("xyz", ["column", "section"], "'atlas calc' lists them")
    "'atlas calc' lists them"
    """
    from rapidfuzz import fuzz, process

    names = list(known)
    for scorer, cutoff in ((fuzz.ratio, 70), (fuzz.token_set_ratio, 80)):
        found = process.extractOne(typed.lower(), names, scorer=scorer, score_cutoff=cutoff)
        if found:
            return f"did you mean {found[0]!r}?"
    return otherwise
