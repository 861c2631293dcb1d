"""Values from outside the project that several tests share, one file a topic."""

import tomllib
from functools import lru_cache
from pathlib import Path
from typing import Any

FOLDER = Path(__file__).resolve().parent / "data" / "reference"


@lru_cache
def rows(topic: str, prefix: str = "") -> tuple[dict[str, Any], ...]:
    """Rows of ``data/reference/<topic>.toml`` whose id begins with ``prefix``."""
    with (FOLDER / f"{topic}.toml").open("rb") as file:
        found = tomllib.load(file)["value"]
    return tuple(row for row in found if row["id"].startswith(prefix))


def source(row: dict[str, Any]) -> str:
    """The row's source; says so where the number was recalled and not looked up."""
    return str(row["source"]) + (" (from memory)" if row["provenance"] == "memory" else "")


def band(row: dict[str, Any]) -> tuple[float, float]:
    """Relative and absolute tolerance of a row."""
    return row["tolerance"].get("rel", 0.0), row["tolerance"].get("abs", 0.0)


@lru_cache
def every_row() -> dict[str, dict[str, Any]]:
    """All rows of all topics by their id."""
    found: dict[str, dict[str, Any]] = {}
    for path in sorted(FOLDER.glob("*.toml")):
        with path.open("rb") as file:
            found |= {row["id"]: row for row in tomllib.load(file)["value"]}
    return found
