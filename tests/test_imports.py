"""Imports go one way; this one dict is the whole rule."""

import ast
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1] / "fleet"

# module or package under fleet/ -> what of fleet it may import, and does
ALLOWED = {
    "__init__": set(),
    "__main__": {"cli"},
    "cli": {
        "runs", "chain", "byhand", "checking", "mentoring", "starting", "workings",
        "options", "endings", "errors", "__init__",
    },
    "options": set(),
    "endings": {"stops", "errors", "render"},
    "stops": set(),
    "chain": {
        "runs", "batch", "read", "render", "records", "reference", "errors", "workers",
        "made_from", "problems", "__init__",
    },
    "runs": {
        "pipeline", "render", "records", "reference", "errors", "made_from", "workers",
        "stops",
    },
    "checking": {
        "pipeline", "read", "render", "records", "reference", "errors", "problems",
    },
    "starting": {"pipeline", "render", "records", "reference", "errors"},
    "workings": {"pipeline", "byhand", "render", "records", "reference"},
    "made_from": {"read", "render", "records"},
    "mentoring": {
        "pipeline", "assess", "render", "records", "reference", "errors", "nameless",
        "problems", "workers",
    },
    "nameless": {"records"},
    "batch": {"errors"},
    "pipeline": {
        "read", "normalise", "assess", "plan", "records", "reference", "errors",
        "workers", "spelling", "__init__",
    },
    "workers": set(),
    "byhand": {"science", "substances", "records", "reference", "errors"},
    "reference": {"records", "errors", "science"},
    "spelling": set(),
    "records": set(),
    "problems": {"records"},
    "errors": set(),
    "science": set(),
    "substances": {"reference"},
    "logged": {"records", "reference", "science"},
    "intervals": {"records", "science"},
    "read": {
        "substances", "spelling", "records", "problems", "reference", "errors",
    },
    "normalise": {
        "logged", "intervals", "spelling", "records", "problems", "reference",
        "science",
    },
    "assess": {
        "logged", "intervals", "spelling", "records", "reference", "science",
    },
    "plan": {"records", "reference", "science"},
    "render": {
        "byhand", "substances", "spelling", "records", "problems", "reference",
        "errors", "__init__",
    },
}  # fmt: skip

# A library stays where it is named: the rest of the code does not lean on it.
ONLY_IN = {
    "click": {"cli", "options", "endings"},
    "reportlab": {"render"},
    "jinja2": {"render"},
    "openpyxl": {"render"},
    "defusedxml": {"read"},
    "PIL": {"render"},
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


def of_fleet(path: Path) -> set[str]:
    """Return the modules and packages under fleet/ that a module imports."""
    others = {
        name.split(".")[1] for name in imported(path) if name.startswith("fleet.")
    }
    return {"__init__" if other == "__version__" else other for other in others}


@pytest.mark.parametrize("path", MODULES, ids=lambda p: str(p.relative_to(ROOT)))
def test_module_imports_only_what_lies_below_it(path):
    mine = part_of(path)
    assert mine in ALLOWED, f"{path.name}: name it in ALLOWED"
    assert of_fleet(path) <= ALLOWED[mine] | {mine}


@pytest.mark.parametrize("mine", ALLOWED)
def test_nothing_is_allowed_that_nothing_does(mine):
    """Else the table would say less and less of how the house is built."""
    used = [of_fleet(path) for path in MODULES if part_of(path) == mine]
    assert used, "there is no such module"
    assert ALLOWED[mine] <= set().union(*used)


@pytest.mark.parametrize("path", MODULES, ids=lambda p: str(p.relative_to(ROOT)))
def test_library_is_used_only_where_it_is_named(path):
    mine = part_of(path)
    for name in imported(path):
        library = name.split(".")[0]
        assert mine in ONLY_IN.get(library, {mine}), f"{path}: imports {library}"


@pytest.mark.parametrize("library", ONLY_IN)
def test_a_library_is_used_wherever_it_is_named(library):
    used = {
        part_of(path)
        for path in MODULES
        if library in {name.split(".")[0] for name in imported(path)}
    }
    assert ONLY_IN[library] <= used


JOINING = {
    "runs", "mentoring", "chain", "checking", "starting", "workings", "reference",
}  # fmt: skip


def test_only_the_joining_modules_load_the_tables():
    load = {p for p in MODULES if "load_reference" in p.read_text("utf-8")}
    assert {part_of(path) for path in load} == JOINING


REPORT = """
import sys
from importlib.util import find_spec
from fleet.cli import main
try:
    main(sys.argv[1:])
except SystemExit as ended:
    assert not ended.code
print(*sorted({"numpy", "pandas", "scipy", "pyarrow", "joblib"} & {*sys.modules}))
find_spec("numpy")  # an error where it were still hidden
"""


def test_plain_report_loads_no_library_of_arrays(tmp_path):
    """Each takes longer to load than the report of a few tanks to be written."""
    book = ROOT.parent / "example_workbooks" / "shop.xlsx"
    asked = ["report", book, "--as-of", "2026-03-30", "--out", tmp_path / "out"]
    done = subprocess.run(
        [sys.executable, "-c", REPORT, *asked],
        capture_output=True,
        text=True,
        check=True,
    )
    assert done.stdout.splitlines()[-1] == ""
