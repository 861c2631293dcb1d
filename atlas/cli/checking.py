"""``atlas check``: what is wrong with the catalogue, and what it still lacks."""

from dataclasses import replace
from pathlib import Path

import click

from atlas.catalogue.checking import Fault, check_pattern, check_together
from atlas.catalogue.draft_faults import faults_of, pattern_of
from atlas.catalogue.library import Library
from atlas.catalogue.load import SHARED, Catalogue, load
from atlas.catalogue.model import Pattern
from atlas.catalogue.reading import MOST_RECORD, read_table
from atlas.cli.common import print_json, say, shared
from atlas.errors import AtlasError, BadInput, NotThere


@click.command(epilog="Example: atlas check ~/library/patterns --strict")
@click.argument("paths", nargs=-1, metavar="[PATH]...")
@click.option("--strict", is_flag=True, help="What is incomplete counts as a failure as well.")
@click.option("--presets/--no-presets", default=True, help="Run every pattern's calculations.")
@shared
def check(
    paths: tuple[str, ...], strict: bool, presets: bool, as_json: bool, library: Library
) -> int:
    """Check pattern files, or the whole catalogue with the library laid over it."""
    catalogue = load(library)
    faults: list[Fault] = []
    if paths:
        patterns = _named(paths, catalogue, faults)
    else:
        patterns = list(catalogue.patterns.values())
        faults += [Fault(error.where, "file", error.what) for error in catalogue.problems]
        faults += check_together(catalogue)
    for pattern in patterns:
        faults += check_pattern(pattern, catalogue)
        if presets:
            from atlas.calculators.presets import check_presets

            faults += check_presets(pattern)
    counted = [fault for fault in faults if fault.severe or strict]
    whole = len(patterns) - len({f.record for f in faults} & {p.id for p in patterns})
    if as_json:
        print_json(
            {
                "checked": len(patterns),
                "complete": whole,
                "faults": [
                    {"record": f.record, "field": f.field, "what": f.what, "severe": f.severe}
                    for f in faults
                ],
            }
        )
    else:
        for fault in faults:
            say(f"{'fault' if fault.severe else 'lacks'}  {fault}", hang=7)
        say(f"{len(patterns)} patterns checked, {whole} complete, {len(counted)} faults counted")
    return 1 if counted else 0


def _named(paths: tuple[str, ...], catalogue: Catalogue, faults: list[Fault]) -> list[Pattern]:
    """The patterns of files and folders; of one that is not complete, all that it lacks."""
    files: list[Path] = []
    for name in paths:
        path = Path(name).expanduser()
        if not path.exists():
            raise NotThere("no such file or folder", name)
        files += sorted(path.rglob("*.toml")) if path.is_dir() else [path]
    patterns = []
    for file in files:
        if file.name in SHARED:
            continue
        try:
            content = read_table(file, MOST_RECORD)
        except AtlasError as error:
            faults.append(Fault(error.where or str(file), "file", error.what))
            continue
        try:
            patterns.append(pattern_of(content, str(file)))
        except BadInput:
            found = faults_of(content, catalogue)
            faults += [replace(fault, record=str(file)) for fault in found]
    return patterns
