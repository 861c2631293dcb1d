"""The order of the packages, read from their import statements."""

import ast
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1] / "atlas"
ORDER = [
    "errors",
    "mechanics",
    "catalogue",
    "identify",
    "calculators",
    "vehicles",
    "casework",
    "study",
    "drawing",
    "reports",
    "cli",
    "ui",
]
# ``atlas.drawing`` draws what calculators and vehicles describe, so it stands below them.
HEAVY = {"textual", "pint", "scipy", "jinja2", "weasyprint", "pandas", "matplotlib", "PIL"}


def imports_of(path: Path) -> list[tuple[str, bool]]:
    """Modules that a file imports, and whether at the top level of the module."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    top = {id(node) for node in tree.body}
    found = []
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            found += [(alias.name, id(node) in top) for alias in node.names]
        elif isinstance(node, ast.ImportFrom) and node.module:
            assert node.level <= 1, f"{path}: climbs out of its package"
            package = ".".join(path.relative_to(ROOT.parent).parts[:-1])
            prefix = f"{package}." if node.level else ""
            found.append((prefix + node.module, id(node) in top))
    return found


def layer_of(path: Path) -> str:
    return path.relative_to(ROOT).parts[0].removesuffix(".py")


FILES = [p for p in sorted(ROOT.rglob("*.py")) if layer_of(p) not in {"__init__", "__main__"}]


@pytest.mark.parametrize("path", FILES, ids=lambda p: str(p.relative_to(ROOT)))
def test_imports_point_upward_only(path):
    layer = layer_of(path)
    for module, _ in imports_of(path):
        if not module.startswith("atlas."):
            continue
        other = module.split(".")[1]
        if layer == "mechanics":
            assert other == "mechanics", f"mechanics imports {module}"
        if layer == "cli" and other == "ui":
            assert path.name == "main.py"
            continue
        assert ORDER.index(other) <= ORDER.index(layer), f"{layer} imports {module}"


@pytest.mark.parametrize("path", FILES, ids=lambda p: str(p.relative_to(ROOT)))
def test_heavy_libraries_load_inside_functions(path):
    if layer_of(path) == "ui":
        return
    for module, top in imports_of(path):
        assert not (top and module.split(".")[0] in HEAVY), f"{module} at the top of {path.name}"


def test_find_never_loads_what_it_does_not_need():
    probe = (
        "import sys; from atlas.cli.main import status;"
        "status(['find', 'thick bar across the front of the subframe', '--json']);"
        "print(sorted(set(sys.modules) & {'textual', 'pint', 'scipy', 'jinja2', 'tinydb',"
        " 'filelock', 'rich', 'PIL'}), file=sys.stderr)"
    )
    done = subprocess.run([sys.executable, "-c", probe], capture_output=True, text=True, timeout=60)
    assert done.stderr.strip().splitlines()[-1] == "[]", done.stderr
