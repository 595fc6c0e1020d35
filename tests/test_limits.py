"""Every number of limits.toml is one that something rests on."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from fleet.reference import load_reference

ROOT = Path(__file__).resolve().parents[1] / "fleet"
# What is asked of Reference.limit, Case.after and Reference.limits.
_ASKED = {"limit", "after", "get"}


def keys(asked: ast.expr) -> Iterator[str]:
    """Yield what a key may be, as patterns: a word, either of two, or one with gaps."""
    if isinstance(asked, ast.Constant) and isinstance(asked.value, str):
        yield re.escape(asked.value)
    elif isinstance(asked, ast.IfExp):
        yield from keys(asked.body)
        yield from keys(asked.orelse)
    elif isinstance(asked, ast.JoinedStr):
        parts = [
            re.escape(part.value) if isinstance(part, ast.Constant) else "[a-z-]+"
            for part in asked.values
        ]
        if any(isinstance(part, ast.Constant) for part in asked.values):
            yield "".join(parts)


def asked(path: Path) -> Iterator[str]:
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.Call):
            name = getattr(node.func, "attr", getattr(node.func, "id", ""))
            if name in _ASKED and node.args:
                yield from keys(node.args[0])
        elif isinstance(node, ast.Subscript):
            name = getattr(node.value, "attr", getattr(node.value, "id", ""))
            if name == "limits":
                yield from keys(node.slice)


READ = [re.compile(p) for path in ROOT.rglob("*.py") for p in set(asked(path))]


@pytest.mark.parametrize("key", load_reference().limits)
def test_every_limit_is_read_somewhere(key):
    assert any(pattern.fullmatch(key) for pattern in READ)
