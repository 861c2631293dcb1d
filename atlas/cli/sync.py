"""``atlas sync``: take in what the others did, hand on one's own."""

from dataclasses import asdict
from typing import Any

import click

from atlas.catalogue.library import Library
from atlas.cli.case import initials
from atlas.cli.common import print_json, say, shared, warn
from atlas.errors import BadInput


@click.command(epilog="Example: atlas sync /srv/team/library.git --by AB")
@click.argument("remote", required=False, default="")
@click.option("--conflicts", "only_list", is_flag=True, help="List what waits for a choice.")
@click.option("--choose", metavar="CONFLICT=N", default="", help="Keep version N of a conflict.")
@click.option(
    "--by", metavar="INITIALS", envvar="ATLAS_INITIALS", help="Who does it (else the user's name)."
)
@shared
def sync(
    remote: str, only_list: bool, choose: str, by: str | None, as_json: bool, library: Library
) -> int:
    """Exchange the library with the team's git repository, merging field by field.

    REMOTE is a folder or an address; it is remembered. Without a connection the work is recorded
    here and goes out with the next sync. Where two people changed one field, or settled one
    structure differently, both versions are kept until one is chosen.
    """
    if choose:
        return _choose(choose, initials(by), as_json, library)
    if only_list:
        return _list(as_json, library)
    from atlas.casework.conflicts import open_conflicts
    from atlas.casework.syncing import Syncing

    if not library.root.is_dir():
        from atlas.catalogue.writing import make_folder

        make_folder(library.root)
    report = Syncing(library, initials(by)).sync(remote)
    waiting, _ = open_conflicts(library)
    if as_json:
        print_json(asdict(report) | {"waiting": len(waiting)})
        return 0
    _say_records("Recorded", report.recorded)
    if not report.remote:
        say("No remote is known yet: the history is kept here. Name one: atlas sync REMOTE")
    elif report.reached:
        _say_records("Taken in", report.pulled)
        _say_records("Merged field by field", report.merged)
        if report.pushed:
            say(f"Handed on: {report.pushed} commit{'' if report.pushed == 1 else 's'}.")
        if not (report.recorded or report.pulled or report.merged or report.pushed):
            say("Nothing had changed on either side.")
    else:
        say(f"{report.remote} was not reached ({report.why_not}). Nothing is lost: the changes are "
            f"recorded here and go out with the next sync.")  # fmt: skip
    for line in report.set_aside:
        say(f"Set aside: {line}", hang=2)
    for line in report.conflicts:
        say(f"Both kept until one is chosen: {line}", hang=2)
    if waiting:
        say(f"{len(waiting)} waiting for a choice: atlas sync --conflicts")
    return 0


def _say_records(what: str, names: list[str]) -> None:
    if names:
        more = f" and {len(names) - 8} more" if len(names) > 8 else ""
        say(f"{what}: {', '.join(names[:8])}{more}.", hang=2)


def _list(as_json: bool, library: Library) -> int:
    from atlas.casework.conflicts import open_conflicts

    waiting, problems = open_conflicts(library)
    warn(problems)
    rows = [_row(one) for one in waiting]
    if as_json:
        print_json({"conflicts": rows})
        return 0
    if not rows:
        say("Nothing waits for a choice.")
    for one, row in zip(waiting, rows, strict=True):
        print()
        say(f"{row['record']}: {row['field'] or 'whole file'}", hang=2)
        for version in row["versions"]:
            held = "holds now" if version["version"] == row["kept"] else ""
            marks = [held, f"by {version['by']}" if version["by"] else ""]
            mark = ", ".join(part for part in marks if part)
            text = one.told(version["version"] - 1)
            say(f"{version['version']}  {f'({mark}) ' if mark else ''}{text}", hang=3)
        others = "".join(f"  or  ={version['version']}" for version in row["versions"][1:])
        say(f"Choose: atlas sync --choose {row['id']}=1{others}")
    return 0


def _row(one: Any) -> dict[str, Any]:
    """A conflict as ``--json`` prints it; ``kept`` is 0 where neither version holds until then."""
    versions: list[dict[str, Any]] = [
        {"version": i + 1, "by": one.names[i], "text": one.shown(i)} for i in range(len(one.values))
    ]
    for version, (_, verdict) in zip(versions, one.verdicts, strict=False):
        version |= {"pattern": verdict.pattern, "found": verdict.found, "how": verdict.how,
                    "at": verdict.at}  # fmt: skip
    return {"id": one.id, "record": one.record, "field": one.field, "kept": one.kept + 1,
            "versions": versions}  # fmt: skip


def _choose(text: str, who: str, as_json: bool, library: Library) -> int:
    from atlas.casework.conflicts import choose

    conflict, _, version = text.partition("=")
    if not (version.isascii() and version.isdigit() and len(version) < 4):
        raise BadInput(f"cannot read {text[:60]!r}", "--choose", "write CONFLICT=1 or CONFLICT=2")
    one = choose(library, conflict.strip(), int(version), who)
    if as_json:
        print_json({"record": one.record, "field": one.field, "chosen": int(version)})
    else:
        field = one.field or "whole file"
        say(f"{one.record}: {field} is now {one.told(int(version) - 1)}", hang=2)
    return 0
