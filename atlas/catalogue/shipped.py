"""Where the shipped data lies: beside the package in a checkout, inside it in a wheel."""

from pathlib import Path


def shipped(name: str) -> Path:
    """Folder of shipped records, ``patterns`` or ``demo_vehicles``.

    Raises:
        FileNotFoundError: the installation holds no such folder.

    >>> shipped("patterns").name
    'patterns'
    """
    package = Path(__file__).resolve().parents[1]
    for folder in (package / "data" / name, package.parent / name):
        if folder.is_dir():
            return folder
    raise FileNotFoundError(f"this installation has no {name} folder")
