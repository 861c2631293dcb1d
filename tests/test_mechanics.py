"""Every public formula says its units, its limits and its source, and shows an example."""

import ast
import re
from pathlib import Path

import pytest

# Names of arrays; any other capitalised annotation is a structure whose fields carry their units.
ARRAYS = {"ArrayLike", "Floats", "NDArray", "Point", "Points", "Sequence", "Rectangle"}
MECHANICS = Path(__file__).resolve().parents[1] / "atlas" / "mechanics"


def _functions():
    for path in sorted(MECHANICS.glob("*.py")):
        if path.stem.startswith("frames_"):  # parts of frames, which is what others call
            continue
        for node in ast.parse(path.read_text("utf-8")).body:
            if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
                yield pytest.param(node, id=f"{path.stem}.{node.name}")


def _section(text, name):
    found = re.search(rf"^{name}:\n((?:[ ]{{4}}.*\n|\n)+)", text + "\n", re.MULTILINE)
    return found.group(1) if found else ""


@pytest.mark.parametrize("node", list(_functions()))
def test_formula_is_documented(node):
    text = ast.get_docstring(node) or ""
    assert text, "no docstring"
    assert re.search(r"^Leaves out: ", text, re.MULTILINE), "says nothing of what it leaves out"
    assert re.search(r"^Source: ", text, re.MULTILINE), "names no source"
    assert ">>> " in text, "shows no example"
    told = _section(text, "Args")
    names = [*node.args.posonlyargs, *node.args.args, *node.args.kwonlyargs]
    if node.args.vararg:
        names.append(node.args.vararg)
    for argument in names:
        entry = re.search(rf"^    {argument.arg}: (.+(?:\n        .*)*)", told, re.MULTILINE)
        assert entry, f"{argument.arg} is not explained"
        plain = ast.unparse(argument.annotation) if argument.annotation else ""
        named = re.findall(r"[A-Z]\w+", plain)
        if any(word in plain for word in ("str", "bool", "Callable", "Generator")):
            continue
        if not named or set(named) & ARRAYS:
            assert "[" in entry.group(1), f"{argument.arg} has no [unit]"
    returns = ast.unparse(node.returns) if node.returns else "None"
    if returns != "None":
        result = _section(text, "Returns") or text.split("\n", 1)[0]
        structured = re.fullmatch(r'"?[A-Z]\w+"?', returns)  # its fields carry the units
        assert structured or "[" in result, "the result has no [unit]"
