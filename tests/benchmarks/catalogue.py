"""Loading the shipped catalogue and 10,000 patterns: ``python tests/benchmarks/catalogue.py``.

Cold is a new process without a cache, warm one with it. The peer is reading and parsing the same
files with the standard library's ``tomllib`` alone, in the same run (on a sample, scaled up).
"""

import os
import subprocess
import sys
import tempfile
import time
import tomllib
from pathlib import Path

from atlas.catalogue.shipped import shipped

COUNT = 10_000
PROBE = """
import sys, time
from pathlib import Path
from atlas.catalogue.library import Library
from atlas.catalogue.load import load
start = time.perf_counter()
catalogue = load(Library(Path(sys.argv[1])) if len(sys.argv) > 1 else None)
count = len(catalogue.patterns)
print(time.perf_counter() - start, count)
"""


def measured(environment: dict[str, str], *arguments: str) -> tuple[float, int]:
    done = subprocess.run(
        [sys.executable, "-c", PROBE, *arguments],
        env=environment, capture_output=True, text=True, check=True,
    )  # fmt: skip
    seconds, count = done.stdout.split()
    return float(seconds), int(count)


def library(root: Path) -> None:
    """Synthetic patterns: shipped ones under other ids."""
    files = sorted(shipped("patterns").glob("*/*.toml"))
    texts = [(path.parent.name, path.stem, path.read_text(encoding="utf-8")) for path in files]
    for i in range(COUNT):
        zone, name, text = texts[i % len(texts)]
        folder = root / "patterns" / zone
        folder.mkdir(parents=True, exist_ok=True)
        made = f"made-{i:05d}"
        (folder / f"{made}.toml").write_text(
            text.replace(f'id = "{name}"', f'id = "{made}"', 1), encoding="utf-8"
        )


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        root = Path(folder)
        environment = {**os.environ, "XDG_CACHE_HOME": str(root / "cache")}
        library(root / "library")
        time.sleep(0.2)
        sample = sorted((root / "library").rglob("*.toml"))[:500]
        start = time.perf_counter()
        for path in sample:
            tomllib.loads(path.read_text(encoding="utf-8"))
        peer = (time.perf_counter() - start) * COUNT / len(sample)
        print(f"{'':24}{'seconds':>10}{'of tomllib':>12}")
        for name, arguments in (("shipped", ()), ("10,000 patterns", (str(root / "library"),))):
            cold, count = measured(environment, *arguments)
            warm = min(measured(environment, *arguments)[0] for _ in range(3))
            scaled = peer * count / COUNT
            print(f"{name + ', cold':24}{cold:10.3f}{cold / scaled:12.3f}")
            print(f"{name + ', warm':24}{warm:10.3f}{warm / scaled:12.3f}")


if __name__ == "__main__":
    main()
