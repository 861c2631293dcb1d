"""Outside checks as data: each test module lists its own in ``CHECKS``.

``python tests/validation.py`` writes ``tests/VALIDATION.md``; ``test_validation.py`` runs them all.
"""

import importlib.util
import re
import sys
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from types import ModuleType

TESTS = Path(__file__).resolve().parent


@dataclass(frozen=True)
class Check:
    """One value from outside the project, and how to get ours.

    ``tolerance`` is relative to ``expected``; ``absolute`` is in its unit. The wider one holds.
    """

    id: str
    calculator: str  # id of the calculator that rests on it
    source: str  # standard, table, worked example or library, so that a reader can find it
    expected: float
    tolerance: float
    compute: Callable[[], float]
    unit: str = ""
    absolute: float = 0.0

    def got(self) -> float:
        """What this project computes."""
        return float(self.compute())

    def allowed(self) -> float:
        """Largest difference from ``expected`` that passes."""
        return max(self.tolerance * abs(self.expected), self.absolute)

    def holds(self, got: float) -> bool:
        """Whether ``got`` is near enough; NaN is not."""
        return abs(got - self.expected) <= self.allowed() * (1 + 1e-12)


KINDS = ("published", "library", "from memory", "by hand")


def kind(check: Check) -> str:
    """Where a check's value comes from: looked up, computed by a library, remembered, by hand."""
    source = check.source.lower()
    if re.search(r"\b(pynite\w*|anastruct|sectionproperties|scipy|\(library\))", source):
        return "library"
    if "by hand" in source or "common practice" in source:
        return "by hand"
    return "from memory" if "from memory" in source else "published"


def checks() -> Iterator[Check]:
    """Every check of every test module, in the order of the file names.

    Raises:
        ValueError: two checks share an id, or one has no source.
    """
    seen: dict[str, str] = {}
    for path in sorted(TESTS.rglob("test_*.py")):
        if path.name == "test_validation.py":
            continue
        if not any(line.startswith("CHECKS") for line in path.read_text("utf-8").splitlines()):
            continue
        for check in _module(path).CHECKS:
            if check.id in seen:
                raise ValueError(f"check {check.id!r} is in {seen[check.id]} and in {path.name}")
            if not check.source.strip():
                raise ValueError(f"check {check.id!r} in {path.name} names no source")
            seen[check.id] = path.name
            yield check


def report(listed: list[Check]) -> str:
    """The checks as a table in Markdown, by calculator."""
    lines = [
        "# Validation",
        "",
        "Written by `python tests/validation.py`. Each row compares this program with something",
        "outside it; `tests/test_validation.py` fails where a row leaves its tolerance.",
    ]
    names = sorted({check.calculator for check in listed})
    lines += ["", "| calculator | " + " | ".join(KINDS) + " |", "|---|" + "---|" * len(KINDS)]
    for name in names:
        found = Counter(kind(check) for check in listed if check.calculator == name)
        lines.append(f"| {name} | " + " | ".join(str(found[one]) for one in KINDS) + " |")
    for name in names:
        rows = [check for check in listed if check.calculator == name]
        lines += ["", f"## {name}", "", "| check | source | expected | got | error | allowed |"]
        lines += ["|---|---|---|---|---|---|"]
        lines += [_row(check) for check in rows]
    return "\n".join(lines) + "\n"


def _row(check: Check) -> str:
    got = check.got()
    error = got - check.expected
    if check.expected and check.tolerance * abs(check.expected) >= check.absolute:
        shown, allowed = f"{error / abs(check.expected):+.2%}", f"{check.tolerance:.2g}"
    else:
        shown, allowed = f"{error:+.2g}", f"{check.absolute:.2g} {check.unit}".strip()
    mark = "" if check.holds(got) else " **out**"
    source = check.source.replace("|", "/")
    return (
        f"| {check.id} | {source} | {check.expected:.6g} {check.unit} | {got:.6g} {check.unit} "
        f"| {shown}{mark} | {allowed} |"
    )


def _module(path: Path) -> ModuleType:
    name = "checks_of_" + "_".join(path.relative_to(TESTS).with_suffix("").parts)
    if name in sys.modules:
        return sys.modules[name]
    spec = importlib.util.spec_from_file_location(name, path)
    if spec is None or spec.loader is None:
        raise ImportError(f"cannot load {path}")
    module = importlib.util.module_from_spec(spec)
    sys.modules[name] = module
    spec.loader.exec_module(module)
    return module


def main() -> int:
    """Write the table; exit status 1 where a check fails."""
    listed = list(checks())
    (TESTS / "VALIDATION.md").write_text(report(listed), "utf-8")
    failed = [check.id for check in listed if not check.holds(check.got())]
    print(f"{len(listed)} checks, {len(failed)} out of tolerance", *failed, sep="\n  ")
    return 1 if failed else 0


if __name__ == "__main__":
    # Imported under its own name, so that the checks' class is this module's and not __main__'s.
    from validation import main as main_by_name

    sys.exit(main_by_name())
