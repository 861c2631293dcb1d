"""What people have said of each pattern before, in words that its own text would never use.

A word counts for a pattern by how much more often it was said of that pattern than of all others,
in descriptions that are on record for both; a prior of ``_PRIOR`` average descriptions keeps a
handful of them from being believed too much (a Dirichlet prior centred on the average, as language
models of documents use it; from memory: Zhai and Lafferty, ACM Transactions on Information Systems
22(2), 2004). A pattern with no description on record gains and loses nothing.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from hashlib import blake2b
from pathlib import Path

import msgspec
import numpy as np
from numpy.typing import NDArray

from atlas.catalogue.derived import derive, scan
from atlas.catalogue.library import cache_folder
from atlas.catalogue.load import HEARD, read_heard

from .reading import search_words

Floats = NDArray[np.float32]

_PRIOR = 4.0
_TELLING = 1.0  # log-ratio from which a word is worth telling as a reason


class Counts(msgspec.Struct, array_like=True):
    """Descriptions on record of one pattern, and in how many of them each stem is said."""

    said: int
    words: dict[str, int]


class Heard:
    """For each word, how much more often it was said of each pattern than on average.

    Args:
        ids: patterns, in the order of the scores.
        counts: what is on record, by pattern; ids that are no pattern's are passed over.
    """

    def __init__(self, ids: Sequence[str], counts: Mapping[str, Counts]) -> None:
        said = np.zeros(len(ids), np.float32)
        held: dict[str, dict[int, int]] = defaultdict(dict)
        for row, name in enumerate(ids):
            if name in counts:
                said[row] = counts[name].said
                for key, count in counts[name].words.items():
                    held[key][row] = count
        total = float(said.sum())
        self._unsaid = np.log(_PRIOR / (said + _PRIOR)).astype(np.float32)
        self._postings: dict[str, tuple[NDArray[np.int32], Floats]] = {}
        for key, where in held.items():
            times = np.fromiter(where.values(), np.float32, len(where))
            share = (float(np.sum(times)) + 0.5) / (total + 1.0)
            ratios = np.log1p(times / (share * _PRIOR)).astype(np.float32)
            self._postings[key] = (np.fromiter(where, np.int32, len(where)), ratios)

    def score(self, words: Mapping[str, float]) -> Floats:
        """Log-odds of every pattern for weighted stems.

        >>> on_record = {"x": Counts(2, {"cross": 1, "feet": 1}), "v": Counts(2, {"feet": 2})}
        >>> shares = Heard(["x", "v"], on_record).score({"cross": 1.0, "feet": 1.0})
        >>> [round(float(share), 2) for share in shares]
        [0.1, -0.27]
        """
        total = np.zeros(len(self._unsaid), np.float32)
        for key, weight in words.items():
            posting = self._postings.get(key)
            if posting is not None:
                total += self._unsaid * weight
                total[posting[0]] += posting[1] * weight
        return total

    @property
    def stems(self) -> frozenset[str]:
        """Everything that was said of any pattern."""
        return frozenset(self._postings)

    def telling(self, words: Iterable[str], row: int) -> list[str]:
        """The stems that speak for a pattern because others said them of it, strongest first."""
        found: list[tuple[float, str]] = []
        for key in words:
            at, ratios = self._postings.get(key, (None, None))
            if at is not None and ratios is not None and row in at:
                value = float(ratios[at == row][0] + self._unsaid[row])
                found.append((value, key))
        return [key for value, key in sorted(found, reverse=True) if value > _TELLING]


def on_record(folders: Iterable[Path]) -> dict[str, Counts]:
    """Counts of all descriptions in folders of patterns, from a derived cache where it is fresh.

    Raises:
        BadInput, Refused: a file of descriptions cannot be read.
    """
    counts: dict[str, Counts] = {}
    for folder in folders:
        name = blake2b(str(folder).encode(), digest_size=8).hexdigest()
        files = [one for one in scan(folder, HEARD, deep=False) if Path(one[0]).name == HEARD]
        items, faults = derive(files, cache_folder() / f"heard-{name}", _counted, _salt())
        if faults:
            raise faults[0]
        for item in items:
            for pattern_id, more in _DECODER.decode(item.body).items():
                known = counts.setdefault(pattern_id, Counts(0, {}))
                known.said += more.said
                for key, count in more.words.items():
                    known.words[key] = known.words.get(key, 0) + count
    return counts


_READERS = ("plain_words.py", "reading.py", "stance.py", "words.py")
_DECODER = msgspec.msgpack.Decoder(dict[str, Counts])


def _counted(path: Path) -> tuple[tuple[str, ...], bytes]:
    counts: dict[str, Counts] = {}
    for name, texts in read_heard(path).items():
        counts[name] = Counts(len(texts), {})
        for text in texts:
            for key in search_words(text):
                counts[name].words[key] = counts[name].words.get(key, 0) + 1
    return (), msgspec.msgpack.encode(counts)


def _salt() -> str:
    """Changes with the modules that say which stems a text holds."""
    here = Path(__file__).parent
    stamps = [(here / name).stat() for name in _READERS]
    return " ".join(f"{stamp.st_size}-{stamp.st_mtime_ns}" for stamp in stamps)
