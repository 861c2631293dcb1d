"""What people have said of each pattern before, in words that its own text would never use.

A word counts for a pattern by how much more often it was said of that pattern than of all others,
in descriptions that are on record for both; a prior of ``_PRIOR`` average descriptions keeps a
handful of them from being believed too much (a Dirichlet prior centred on the average, as language
models of documents use it; from memory: Zhai and Lafferty, ACM Transactions on Information Systems
22(2), 2004). A pattern with no description on record gains and loses nothing.
"""

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


class OnRecord(msgspec.Struct, array_like=True):
    """Descriptions on record: how many of each pattern, and how many of them hold each stem."""

    said: dict[str, int] = {}
    times: dict[str, dict[str, int]] = {}  # stem -> pattern -> descriptions

    def add(self, name: str, stems: Iterable[str]) -> None:
        """Count one more description of a pattern."""
        self.said[name] = self.said.get(name, 0) + 1
        for key in stems:
            times = self.times.setdefault(key, {})
            times[name] = times.get(name, 0) + 1

    def join(self, other: "OnRecord") -> None:
        """Count what another folder has on record as well."""
        for name, count in other.said.items():
            self.said[name] = self.said.get(name, 0) + count
        for key, times in other.times.items():
            mine = self.times.setdefault(key, {})
            for name, count in times.items():
                mine[name] = mine.get(name, 0) + count


class Heard:
    """For each word, how much more often it was said of each pattern than on average.

    Args:
        ids: patterns, in the order of the scores.
        record: what is on record; ids that are no pattern's are passed over.
        replaced: ids under which some of it was said, with the patterns that stand for them today.
    """

    def __init__(
        self, ids: Sequence[str], record: OnRecord, replaced: Mapping[str, str] | None = None
    ) -> None:
        self._rows = {name: row for row, name in enumerate(ids)}
        self._rows |= {old: self._rows[new] for old, new in (replaced or {}).items()}
        self._times = record.times
        said = np.zeros(len(ids), np.float32)
        for name, count in record.said.items():
            if name in self._rows:
                said[self._rows[name]] += count
        self._total = float(said.sum())
        self._unsaid = np.log(_PRIOR / (said + _PRIOR)).astype(np.float32)
        self.stems = frozenset(record.times)  # everything that was said of any pattern
        self._postings: dict[str, tuple[NDArray[np.int32], Floats]] = {}

    def _posting(self, key: str) -> tuple[NDArray[np.int32], Floats]:
        """Patterns of which a stem was said, and by how much that beats silence; kept once made."""
        found = self._postings.get(key)
        if found is None:
            rows: dict[int, int] = {}
            for name, count in self._times[key].items():
                row = self._rows.get(name)
                if row is not None:
                    rows[row] = rows.get(row, 0) + count
            times = np.fromiter(rows.values(), np.float32, len(rows))
            share = (float(np.sum(times)) + 0.5) / (self._total + 1.0)
            ratios = np.log1p(times / (share * _PRIOR)).astype(np.float32)
            found = self._postings[key] = (np.fromiter(rows, np.int32, len(rows)), ratios)
        return found

    def score(self, words: Mapping[str, float]) -> Floats:
        """Log-odds of every pattern for weighted stems.

        >>> record = OnRecord({"x": 2, "v": 2}, {"cross": {"x": 1}, "feet": {"x": 1, "v": 2}})
        >>> shares = Heard(["x", "v"], record).score({"cross": 1.0, "feet": 1.0})
        >>> [round(float(share), 2) for share in shares]
        [0.1, -0.27]
        """
        total = np.zeros(len(self._unsaid), np.float32)
        for key, weight in words.items():
            if key in self._times:
                rows, ratios = self._posting(key)
                total += self._unsaid * weight
                total[rows] += ratios * weight
        return total

    def telling(self, words: Iterable[str], row: int) -> list[str]:
        """The stems that speak for a pattern because others said them of it, strongest first."""
        found: list[tuple[float, str]] = []
        for key in words:
            if key in self._times:
                rows, ratios = self._posting(key)
                found += [(float(r + self._unsaid[row]), key) for r in ratios[rows == row]]
        return [key for value, key in sorted(found, reverse=True) if value > _TELLING]


def on_record(folders: Iterable[Path]) -> OnRecord:
    """Counts of all descriptions in folders of patterns, from a derived cache where it is fresh.

    A file that cannot be read is passed over: loading the catalogue has named it.
    """
    records: list[OnRecord] = []
    for folder in folders:
        name = blake2b(str(folder).encode(), digest_size=8).hexdigest()
        files = [one for one in scan(folder, HEARD, deep=False) if Path(one[0]).name == HEARD]
        items, _ = derive(files, cache_folder() / f"heard-{name}", _counted, _salt())
        records += [_DECODER.decode(item.body) for item in items]
    record, *others = records or [OnRecord()]
    for other in others:
        record.join(other)
    return record


_READERS = ("plain_words.py", "reading.py", "stance.py", "words.py")
_DECODER = msgspec.msgpack.Decoder(OnRecord)


def _counted(path: Path) -> tuple[tuple[str, ...], bytes]:
    record = OnRecord()
    for name, texts in read_heard(path).items():
        for text in texts:
            record.add(name, search_words(text))
    return (), msgspec.msgpack.encode(record)


def _salt() -> str:
    """Changes with the modules that say which stems a text holds."""
    here = Path(__file__).parent
    stamps = [(here / name).stat() for name in _READERS]
    return " ".join(f"{stamp.st_size}-{stamp.st_mtime_ns}" for stamp in stamps)
