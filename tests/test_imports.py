"""Imports go one way; this one dict is the whole rule."""

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1] / "fleet"

# module or package under fleet/ -> what of fleet it may import
ALLOWED = {
    "__init__": set(),
    "__main__": {"cli"},
    "cli": {
        "runs", "chain", "byhand", "mentoring", "stops", "errors", "__init__",
    },
    "stops": set(),
    "chain": {
        "runs", "batch", "read", "render", "records", "reference", "errors", "workers",
        "made_from", "problems", "__init__",
    },
    "runs": {
        "pipeline", "render", "read", "assess", "plan", "records",
        "reference", "errors", "problems", "byhand", "progress", "made_from", "workers",
    },
    "made_from": {"read", "render", "records"},
    "mentoring": {
        "pipeline", "assess", "render", "records", "reference", "errors", "nameless",
        "problems",
    },
    "nameless": {"records"},
    "batch": {"errors"},
    "pipeline": {
        "read", "normalise", "assess", "plan", "records", "problems", "reference",
        "errors", "workers", "__init__",
    },
    "workers": set(),
    "byhand": {"science", "records", "reference", "errors"},
    "reference": {"records", "errors", "science"},
    "records": set(),
    "problems": {"records"},
    "errors": set(),
    "science": set(),
    "read": {"records", "problems", "reference", "errors"},
    "normalise": {"records", "problems", "reference", "science"},
    "assess": {"records", "reference", "science"},
    "plan": {"records", "reference", "science"},
    "render": {
        "byhand", "records", "problems", "reference", "science", "errors", "__init__",
    },
}  # fmt: skip

# A library stays where it is named: the rest of the code does not lean on it.
ONLY_IN = {
    "click": {"cli"},
    "reportlab": {"render"},
    "jinja2": {"render"},
    "openpyxl": {"render", "read"},
    "python_calamine": {"read"},
    "icalendar": {"render"},
    "joblib": {"batch"},
    "distributed": {"batch"},
    "pandas": {"render"},
    "pyarrow": {"render"},
}


def part_of(path: Path) -> str:
    inside = path.relative_to(ROOT)
    return inside.parts[0] if len(inside.parts) > 1 else inside.stem


def imported(path: Path) -> set[str]:
    names: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: relative import"
            names.add(node.module or "")
            if node.module == "fleet":
                names |= {f"fleet.{alias.name}" for alias in node.names}
    return names


MODULES = sorted(ROOT.rglob("*.py"))


@pytest.mark.parametrize("path", MODULES, ids=lambda p: str(p.relative_to(ROOT)))
def test_module_imports_only_what_lies_below_it(path):
    mine = part_of(path)
    assert mine in ALLOWED, f"{path.name}: name it in ALLOWED"
    for name in imported(path):
        if not name.startswith("fleet."):
            continue
        other = name.split(".")[1]
        if other.startswith("__version__"):
            other = "__init__"
        assert other == mine or other in ALLOWED[mine], f"{path}: imports {name}"


@pytest.mark.parametrize("path", MODULES, ids=lambda p: str(p.relative_to(ROOT)))
def test_library_is_used_only_where_it_is_named(path):
    mine = part_of(path)
    for name in imported(path):
        library = name.split(".")[0]
        assert mine in ONLY_IN.get(library, {mine}), f"{path}: imports {library}"


def test_only_the_joining_modules_load_the_tables():
    for path in MODULES:
        if part_of(path) in ("runs", "mentoring", "chain", "reference"):
            continue
        assert "load_reference" not in path.read_text("utf-8"), path
