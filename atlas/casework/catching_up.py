"""A draft of a pattern that somebody else changed in the library since the work on it began."""

from dataclasses import dataclass

from atlas.casework.conflicts import put_at
from atlas.casework.merging import ABSENT, merged, parse, value_found
from atlas.catalogue.appending import as_toml
from atlas.catalogue.drafts import Content, Drafts, bytes_of
from atlas.catalogue.model import Pattern


@dataclass(frozen=True)
class Caught:
    """The draft with what the others changed.

    Args:
        content: where both changed a field, it has the draft's.
        both: those fields.
    """

    content: Content
    both: tuple[str, ...]


def catch_up(drafts: Drafts, name: str, content: Content, now: Pattern | None) -> Caught | None:
    """Merge into a draft what its pattern has become; None where nothing did.

    Raises:
        Conflict: somebody changed the draft itself meanwhile; nothing was written.
    """
    was = drafts.before(name)
    if was is None or now is None or now == was:
        return None
    path = f"patterns/{now.zone}/{name}.toml"
    ours = bytes_of(content, name)
    merge = merged(path, as_toml(was).encode(), ours, as_toml(now).encode())
    table = parse(path, merge.content)
    both = []
    for clash in merge.clashes:
        both.append(".".join(clash.path))
        own = value_found(path, ours, clash.path)
        if own is not ABSENT:
            table = put_at(table, clash.path, own)
    return Caught(drafts.catch_up(name, content, table, now), tuple(both))
