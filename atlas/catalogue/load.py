"""The whole catalogue: shipped patterns, with the team's own laid over them."""

import hashlib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import TypeVar

import msgspec

from atlas.catalogue import model
from atlas.catalogue.derived import Item, derive, scan
from atlas.catalogue.library import Library, cache_folder
from atlas.catalogue.model import Observable, Pattern, Term, Zone
from atlas.catalogue.nearest import suggestion
from atlas.catalogue.reading import read_record, read_table
from atlas.catalogue.shipped import shipped
from atlas.errors import AtlasError, BadInput, NotThere

_DECODER = msgspec.msgpack.Decoder(Pattern)
# Files of the patterns folder that are not patterns.
HEARD = "heard.toml"
SHARED = ("zones.toml", "observables.toml", "vocabulary.toml", HEARD)

Kind = TypeVar("Kind", Zone, Observable, Term)


class Patterns(Mapping[str, Pattern]):
    """Patterns by id, in catalogue order; each is decoded when first asked for."""

    def __init__(
        self, items: Mapping[str, Item], decoded: dict[str, Pattern] | None = None
    ) -> None:
        self._items = items
        self._decoded: dict[str, Pattern] = {} if decoded is None else decoded

    def __getitem__(self, name: str) -> Pattern:
        pattern = self._decoded.get(name)
        if pattern is None:
            pattern = self._decoded[name] = _DECODER.decode(self._items[name].body)
        return pattern

    def __iter__(self) -> Iterator[str]:
        return iter(self._items)

    def __len__(self) -> int:
        return len(self._items)

    def passing(self) -> Iterator[tuple[str, Pattern]]:
        """Every pattern in turn, none of them kept: work over ten thousand fits in memory."""
        for name, item in self._items.items():
            yield name, self._decoded.get(name) or _DECODER.decode(item.body)

    def title(self, name: str) -> str:
        """Title of a pattern, without decoding it."""
        return self._items[name].head[1]

    def called(self, name: str) -> str:
        """Title of a pattern, or what it was named by where none of that id is held any more."""
        return self.title(name) if name in self else name

    def zone(self, name: str) -> str:
        """Zone of a pattern, without decoding it."""
        return self._items[name].head[2]

    def current(self, name: str) -> str:
        """Id of what stands for a pattern today: itself, or what replaced it in the end.

        Where people who did not know of each other made a circle, its first id in order stands.
        """
        path: list[str] = []
        while name not in path:
            path.append(name)
            newer = self._items[name].head[3] if name in self._items else ""
            if newer not in self._items:
                return name
            name = newer
        return min(path[path.index(name) :])

    @property
    def replaced(self) -> dict[str, str]:
        """What was replaced, by id, with what stands for it today."""
        olds = (name for name, item in self._items.items() if item.head[3])
        today = {name: self.current(name) for name in olds}
        return {name: newer for name, newer in today.items() if newer != name}

    def in_use(self) -> "Patterns":
        """The patterns that nothing has replaced."""
        gone = self.replaced
        if not gone:
            return self
        kept = {name: item for name, item in self._items.items() if name not in gone}
        return Patterns(kept, self._decoded)

    def path(self, name: str) -> Path:
        """File that holds the pattern."""
        return self._items[name].path


def each_pattern(patterns: Mapping[str, Pattern]) -> Iterator[Pattern]:
    """Every pattern in order, kept no longer than it is looked at."""
    if isinstance(patterns, Patterns):
        yield from (pattern for _, pattern in patterns.passing())
    else:
        yield from patterns.values()


@dataclass(frozen=True)
class Catalogue:
    """Everything that is known, and which files could not be read."""

    patterns: Patterns
    folders: tuple[Path, ...]
    problems: tuple[AtlasError, ...]

    @cached_property
    def zones(self) -> dict[str, Zone]:
        """Zones by id, in browsing order."""
        return self._records("zones.toml", "zone", Zone)

    @cached_property
    def observables(self) -> dict[str, Observable]:
        """Observables by id."""
        return self._records("observables.toml", "observable", Observable)

    @cached_property
    def terms(self) -> dict[str, Term]:
        """Vocabulary by id."""
        return self._records("vocabulary.toml", "term", Term)

    def pattern(self, name: str) -> Pattern:
        """The pattern of that id.

        Raises:
            NotThere: there is none; the message offers the nearest id.
        """
        if name in self.patterns:
            return self.patterns[name]
        remedy = suggestion(name[:100], self.patterns, "'atlas list' shows the ids")
        raise NotThere(f"no pattern {name[:60]!r}", remedy=remedy)

    def in_zone(self, zone: str) -> tuple[str, ...]:
        """Ids of the patterns of a zone.

        Raises:
            BadInput: there is no such zone.
        """
        if zone not in self.zones:
            raise BadInput(f"no zone {zone!r}", "--zone", f"zones are {', '.join(self.zones)}")
        return tuple(name for name in self.patterns if self.patterns.zone(name) == zone)

    def _records(self, name: str, key: str, kind: type[Kind]) -> dict[str, Kind]:
        """Records of one shared file; a later folder's replace or add to an earlier one's."""
        found: dict[str, Kind] = {}
        for folder in self.folders:
            path = folder / name
            if not path.is_file():
                continue
            rows = read_table(path).get(key, [])
            try:
                records: list[Kind] = msgspec.convert(rows, list[kind])  # type: ignore[valid-type]
            except msgspec.ValidationError as error:
                what, field = model.path_of(error)
                raise BadInput(what, f"{path}: {key}{field}") from None
            found.update((record.id, record) for record in records)
        return found


def read_heard(path: Path) -> dict[str, tuple[str, ...]]:
    """What people have said of patterns, by id: a file of descriptions.

    Raises:
        NotThere, Refused, BadInput: as ``read_table``; BadInput also where it holds anything else.
    """
    try:
        return msgspec.convert(read_table(path), dict[str, tuple[model.Text, ...]])
    except msgspec.ValidationError as error:
        what, field = model.path_of(error)
        raise BadInput(what, f"{path}: {field}") from None


def load(library: Library | None = None, *, cached: bool = True) -> Catalogue:
    """Read the shipped catalogue and lay the library's patterns over it.

    Args:
        library: the team's folder; None for the shipped catalogue alone.
        cached: whether to keep and use a derived cache.

    Returns:
        The catalogue; its ``problems`` name the files that were set aside.
    """
    folders = [shipped("patterns")]
    if library is not None and library.patterns.is_dir():
        folders.append(library.patterns)
    by_id: dict[str, Item] = {}
    problems: list[AtlasError] = []
    for folder in folders:
        files = [file for file in scan(folder, ".toml") if Path(file[0]).name not in SHARED]
        cache = _cache_of(folder) if cached else None
        items, faults = derive(files, cache, _read, _salt())
        problems.extend(faults)
        problems.extend(_twice(items))
        by_id.update((item.head[0], item) for item in items)
    for folder in folders[1:]:  # the search reads it later, and passes over what cannot be read
        try:
            read_heard(folder / HEARD)
        except NotThere:
            pass
        except AtlasError as error:
            problems.append(error)
    catalogue = Catalogue(Patterns(by_id), tuple(folders), tuple(problems))
    order = {zone: place for place, zone in enumerate(catalogue.zones)}
    ordered = sorted(by_id.items(), key=lambda pair: (order.get(pair[1].head[2], 99), pair[0]))
    return Catalogue(Patterns(dict(ordered)), tuple(folders), tuple(problems))


def _twice(items: Iterable[Item]) -> Iterator[BadInput]:
    """Patterns that stand in two zones of one folder; the later file counts."""
    places: dict[str, str] = {}
    for item in items:
        name = item.head[0]
        if name in places:
            yield BadInput(f"{name} stands in two files", f"{item.path}, {places[name]}",
                           "keep the one in its zone's folder")  # fmt: skip
        places[name] = str(item.path)


def _read(path: Path) -> tuple[tuple[str, ...], bytes]:
    pattern = read_record(path, Pattern)
    if path.stem != pattern.id:
        raise BadInput(
            f"holds the pattern {pattern.id!r}", f"{path}: id", f"name the file {pattern.id}.toml"
        )
    newer = pattern.provenance.superseded_by
    return (pattern.id, pattern.title, pattern.zone, newer), msgspec.msgpack.encode(pattern)


def _cache_of(folder: Path) -> Path:
    name = hashlib.blake2b(str(folder).encode(), digest_size=8).hexdigest()
    return cache_folder() / f"patterns-{name}"


def _salt() -> str:
    """Changes with the model, so that a newer atlas never decodes an older one's cache."""
    source = Path(model.__file__)
    stamp = source.stat()
    return f"{stamp.st_size}-{stamp.st_mtime_ns}"
