"""``atlas case pack`` and ``unpack``: a case with its photos as one file."""

import sys
from pathlib import Path

import click

from atlas.casework.cases import Cases
from atlas.catalogue.library import Library
from atlas.catalogue.visible import visible
from atlas.cli.common import file_to_write, print_json, say, say_file, shared
from atlas.cli.completion import Known


@click.command("pack", epilog="Example: atlas case pack CASE --output /mnt/stick/case.zip")
@click.argument("case_id", metavar="CASE", type=Known("case"))
@click.option(
    "--output", "--out", "out", metavar="FILE", default="", help="Where to write it (CASE.zip)."
)
@shared
def pack(case_id: str, out: str, as_json: bool, library: Library) -> int:
    """Write a case and its photos as one archive for another library.

    Photos whose file is gone or has changed since they were noted are named and left out; the exit
    status is then 1.
    """
    from atlas.casework import packing

    cases = Cases(library)
    name = cases.id_of(case_id)
    path = file_to_write(out or f"{name}.zip", "--output")
    packed = packing.pack(cases, name, path)
    if as_json:
        print_json(
            {
                "case": packed.case,
                "file": str(path),
                "photos": packed.photos,
                "left_out": list(packed.left_out),
            }
        )
    else:
        say_file(path)
    _name(packed.left_out, "left out")
    return 1 if packed.left_out else 0


@click.command("unpack", epilog="Example: atlas case unpack /mnt/stick/case.zip")
@click.argument("file")
@click.option("--merge", is_flag=True, help="Merge with another state of the same case.")
@shared
def unpack(file: str, merge: bool, as_json: bool, library: Library) -> None:
    """Take a case with its photos out of an archive into the library.

    What is not exactly such an archive is refused by name, and nothing of it is kept.
    """
    from atlas.casework import packing

    found = packing.unpack(library, Path(file).expanduser(), merge=merge)
    _name(found.left_out, "not in the archive")
    if as_json:
        print_json(
            {
                "case": found.case,
                "done": found.done,
                "photos": found.photos,
                "left_out": list(found.left_out),
                "conflicts": list(found.conflicts),
            }
        )
        return
    new = f"; {found.photos} photos kept in {library.photos}" if found.photos else ""
    say(f"{found.case}: {found.done}{new}")
    for field in found.conflicts:
        say(f"both changed {field}: 'atlas sync --conflicts' shows the versions", 2, 2)


def _name(left_out: tuple[str, ...], how: str) -> None:
    for line in left_out:
        print(f"atlas: {how}: {visible(line, lines=False)}", file=sys.stderr)
