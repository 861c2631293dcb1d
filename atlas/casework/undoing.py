"""Which change is taken back next, and what that does to records that others changed since."""

from atlas.casework.model import Case, Edit
from atlas.casework.storage import Tables
from atlas.errors import Conflict, NotThere


def unchanged_since(case: Case, revision: int) -> None:
    """Refuse where somebody changed the case since it was read.

    Raises:
        Conflict: somebody did.
    """
    if case.revision != revision:
        last = case.latest
        raise Conflict(
            f"{last.by or 'somebody'} changed it since you read it ({last.what})",
            case.id, "look at the new state, then repeat your change",
        )  # fmt: skip


def last_done(case: Case) -> int:
    """Key of the latest change that was not taken back yet, whoever made it.

    Raises:
        NotThere: only the opening of the case is left.
    """
    undone = {one.undoes for one in case.history.values()}
    for key, change in sorted(case.history.items(), reverse=True):
        opening = any(e.table == "head" and e.before is None for e in change.edits)
        if not (change.undoes or key in undone or opening):
            return key
    raise NotThere("nothing is left to take back", case.id)


def taken_back(edit: Edit, tables: Tables) -> Edit:
    """The reverse of an edit, of those fields only that still are as it left them."""
    now = tables.get(edit.table, {}).get(str(edit.key))
    before, after = edit.before, edit.after
    if after is None:  # it was taken out: it comes back, unless somebody brought it back already
        return Edit(edit.table, edit.key, now, before if now is None else now)
    if before is None or now is None:
        return Edit(edit.table, edit.key, now, None)
    merged = {name: now[name] for name in now if name not in after or now[name] != after[name]}
    merged |= {k: v for k, v in before.items() if now.get(k) == after.get(k)}
    return Edit(edit.table, edit.key, now, merged)
