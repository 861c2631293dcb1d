"""What taking a change back does to a record that others may have changed since."""

from atlas.casework.model import Edit
from atlas.casework.storage import Tables


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
