"""Foreign text leaves by one place for each output; nothing leaves for a network.

What each place does to a text is tested beside it (tests/render/test_safe.py); here
the whole source is searched for another way out.
"""

import ast
import re
from pathlib import Path

import pytest

import fleet

ROOT = Path(fleet.__file__).parent

# What a module may call or import, and the only modules that may.
ONLY = {
    # terminal
    "print": set(),
    "click.echo": {"cli", "endings"},
    "click.secho": set(),
    "sys.stdout.write": set(),
    "sys.stderr.write": set(),
    "logging": set(),
    # CSV: every text through for_csv
    "csv.writer": {"render.tables", "render.chain", "render.letter_mail"},
    "csv.DictWriter": set(),
    ".to_csv": {"render.assessments"},
    # workbooks: every text through for_sheet
    ".to_excel": set(),
    "openpyxl.Workbook": {
        "render.blank",
        "render.form_book",
        "render.marked_copy",
        "render.same_bytes",
        "render.xlsx_sheet",
    },
    # PDF: no library that reads markup in a text
    "reportlab.platypus": set(),
    "Paragraph": set(),
    # HTML and sentences: no text is read as a template
    "from_string": set(),
    "jinja2.Template": set(),
    # files: only what publishes, and what is handed a path by it
    "tempfile": {"render.beside"},
    "shutil.copyfile": {"render.publish"},
    "shutil.move": set(),
    "os.system": set(),
    # networks and other programs
    "socket": set(),
    "ssl": set(),
    "http": set(),
    "ftplib": set(),
    "smtplib": set(),
    "requests": set(),
    "httpx": set(),
    "aiohttp": set(),
    "webbrowser": set(),
    "urllib.request": set(),
    "subprocess": set(),
    "distributed": {"batch"},  # to the address that the user names
    # texts run as code
    "eval": set(),
    "exec": set(),
    "__import__": set(),
    "marshal": set(),
    "shelve": set(),
    "yaml": set(),
    "pickle": {"workers", "render.assessments"},
    # the clock and chance
    "datetime.now": set(),
    "datetime.datetime.now": set(),
    ".utcnow": set(),
    "date.today": {"cli"},
    "datetime.today": set(),
    "datetime.date.today": set(),
    "time.time": set(),
    "random": set(),
    "uuid": set(),
    "secrets": set(),
}
WRITERS = {"write_text", "write_bytes"}


def module_of(path):
    return ".".join(path.relative_to(ROOT).with_suffix("").parts)


def used(tree):
    """Yield every name that is imported, called or reached for, with dots."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            for alias in node.names:
                yield from parts(alias.name)
        elif isinstance(node, ast.ImportFrom) and node.module:
            yield from parts(node.module)
            for alias in node.names:
                yield from parts(f"{node.module}.{alias.name}")
                yield alias.name
        elif isinstance(node, ast.Attribute):
            yield f".{node.attr}"
            yield node.attr
            dotted = name_of(node)
            if dotted:
                yield from parts(dotted)
        elif isinstance(node, ast.Name):
            yield node.id


def parts(dotted):
    """Yield ``a``, ``a.b`` and ``a.b.c`` for ``a.b.c``."""
    names = dotted.split(".")
    yield from (".".join(names[: n + 1]) for n in range(len(names)))


def name_of(node):
    if isinstance(node, ast.Name):
        return node.id
    if isinstance(node, ast.Attribute):
        before = name_of(node.value)
        return before and f"{before}.{node.attr}"
    return None


def breaches(source, module):
    return sorted(
        name
        for name in set(used(ast.parse(source)))
        if name in ONLY and module not in ONLY[name]
    )


MODULES = sorted(ROOT.rglob("*.py"))


@pytest.mark.parametrize("path", MODULES, ids=module_of)
def test_module_uses_no_other_way_out(path):
    assert breaches(path.read_text("utf-8"), module_of(path)) == []


@pytest.mark.parametrize(
    "source",
    [
        "import socket",
        "from urllib.request import urlopen",
        "import urllib.request as r",
        "print(tank.name)",
        "def f():\n    import subprocess",
        "from csv import writer\nimport csv\ncsv.writer(file)",
        "frame.to_csv(path)",
        "from reportlab.platypus import Paragraph",
        "eval(cell)",
        "environment.from_string(cell)",
        "from datetime import datetime\ndatetime.now()",
        "import datetime\ndatetime.datetime.now()",
        "import tempfile",
    ],
)
def test_search_finds_another_way_out(source):
    assert breaches(source, "render.new")


def test_only_what_renders_writes_files():
    for path in MODULES:
        called = {
            node.func.attr
            for node in ast.walk(ast.parse(path.read_text("utf-8")))
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute)
        }
        if called & WRITERS:
            assert module_of(path).startswith("render."), path


def test_what_writes_csv_guards_its_texts():
    for name in ONLY["csv.writer"] | ONLY[".to_csv"]:
        source = (ROOT / f"{name.replace('.', '/')}.py").read_text("utf-8")
        assert re.search(r"render\.safe import .*\bfor_csv\b", source), name


def test_what_writes_a_cell_guards_its_texts():
    """A value is given to a cell in two places, and both clean a text first."""
    given = {}
    for path in MODULES:
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            for target in getattr(node, "targets", []):
                if isinstance(target, ast.Attribute) and target.attr == "value":
                    given.setdefault(module_of(path), []).append(
                        ast.unparse(node.value)
                    )
    assert {name: sorted(values) for name, values in given.items()} == {
        "render.form_book": ["for_sheet(value)", "value"],
        "render.xlsx_sheet": ["for_sheet(column.header)"],
    }


def test_errors_reach_the_terminal_through_one_function():
    """``tell`` makes each line printable; what else is echoed was made so before."""
    told = []
    functions = [
        node
        for name in ("cli", "endings")
        for node in ast.walk(ast.parse((ROOT / f"{name}.py").read_text("utf-8")))
    ]
    for function in functions:
        if not isinstance(function, ast.FunctionDef):
            continue
        for node in ast.walk(function):
            if isinstance(node, ast.Call) and name_of(node.func) == "click.echo":
                to_error = any(keyword.arg == "err" for keyword in node.keywords)
                told.append((function.name, to_error, ast.unparse(node.args[0])))
    assert {name for name, to_error, _ in told if to_error} <= {
        "tell", "progress_line", "show",
    }  # fmt: skip
    assert ("tell", True, "printable(line)") in told
