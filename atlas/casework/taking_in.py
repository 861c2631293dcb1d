"""A case from elsewhere into the library: added, there already, or merged with the state there."""

import json
from pathlib import Path
from typing import Literal

from atlas.casework.storage import DurableStorage, Tables, as_json, case_of, read_tables
from atlas.catalogue.library import Library
from atlas.catalogue.writing import write_durably
from atlas.errors import Conflict

Done = Literal["added", "there already", "merged"]


def same_or_refuse(target: Path, tables: Tables, *, merge: bool) -> bool:
    """Whether the case is in the library already, in the same state.

    Raises:
        Conflict: it is there in another state, and the two are not to be merged.
    """
    if not target.exists():
        return False
    if read_tables(target) == tables:
        return True
    if not merge:
        raise Conflict(
            "the library has another state of this case", target.stem,
            "--merge takes both states together, record by record",
        )  # fmt: skip
    return False


def put_case(library: Library, target: Path, tables: Tables) -> tuple[Done, tuple[str, ...]]:
    """Write the case, or merge it with the state that is there; whoever calls holds the lock.

    Returns:
        What was done, and the fields that both sides had changed; those wait for a choice.
    """
    if not target.exists():
        DurableStorage(target).write(tables)
        return "added", ()
    ours = read_tables(target)
    if ours == tables:
        return "there already", ()
    from atlas.casework.conflicts import keep_clashes
    from atlas.casework.disputes import arisen
    from atlas.casework.merging import merged

    record = f"cases/{target.name}"
    result = merged(record, as_json(_shared_past(ours, tables)), as_json(ours), as_json(tables))
    case_of(json.loads(result.content), target)
    keep_clashes(library, record, result.clashes)
    write_durably(target, result.content)
    fields = [".".join(clash.path) for clash in result.clashes]
    abouts = arisen(target, as_json(ours), result.content)
    return "merged", (*fields, *(f"verdict on {about}" for about in abouts))


def _shared_past(ours: Tables, theirs: Tables) -> Tables:
    """The state that both have in common, from the changes that both histories hold."""
    past: Tables = {"history": {}}
    other = theirs.get("history", {})
    for key, change in sorted(ours.get("history", {}).items(), key=lambda pair: int(pair[0])):
        if other.get(key) != change:
            continue
        past["history"][key] = change
        for edit in change["edits"]:
            rows = past.setdefault(edit["table"], {})
            rows.pop(str(edit["key"]), None)
            if edit["after"] is not None:
                rows[str(edit["key"])] = edit["after"]
    return past
