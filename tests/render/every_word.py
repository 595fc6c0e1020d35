"""Change every word of the shipped templates, to see what words stand elsewhere.

Vowels get two dots, and what was freely written into the workbook has none: a plain
word that a report still prints is one of a list, or it sits in code.
"""

import re
from pathlib import Path

import openpyxl
from jinja2 import Environment

DOTTED = str.maketrans("aeiouAEIOU", "äëïöüÄËÏÖÜ")
_FORM = re.compile(r"(\{\w+\}|\\.)")
_MARKUP = re.compile(r"(<[^>]*>|&\w+;)")
_ENTRY = re.compile(r'("[^"]+"|[\w.-]+) = "(.*)"')


def change_every_word(shipped, own):
    """Write all of ``shipped`` to ``own`` with its words changed."""
    own.mkdir()
    for path in filter(Path.is_file, shipped.iterdir()):
        text = path.read_text("utf-8")
        if path.suffix == ".toml":
            text = "\n".join(map(_label, text.splitlines())) + "\n"
        elif path.suffix == ".j2":
            text = _template(text, markup=path.name.endswith(".html.j2"))
        (own / path.name).write_text(text, "utf-8")


def _changed(text, kept):
    return "".join(
        part if kept.fullmatch(part) else part.translate(DOTTED)
        for part in kept.split(text)
    )


def _label(line):
    entry = _ENTRY.fullmatch(line)
    return f'{entry[1]} = "{_changed(entry[2], _FORM)}"' if entry else line


def _template(source, markup):
    """Change what a template prints; what it asks for by name stays."""
    parts, before = [], ""
    for _, kind, value in Environment().lexer.tokeniter(source, None):
        if kind == "data" and not markup:
            value = _changed(value, _MARKUP)
        elif kind == "string" and before in ("{{", "else"):
            value = value.translate(DOTTED)
        parts.append(value)
        if kind != "whitespace":
            before = value
    return "".join(parts)


# Columns that hold names, places and free notes, and settings that do; all others
# hold numbers or the words of a list.
_FREE = {
    "name", "displays", "place", "keeper", "group", "notes", "note", "taken by",
    "done by", "method", "nitrate method", "phosphate method", "ammonia method",
}  # fmt: skip
_FREE_SETTINGS = {
    "Organisation", "Contact", "Default nitrate method", "Default phosphate method",
}  # fmt: skip
NONSENSE = str.maketrans("aeiouAEIOU", "wvzqxWVZQX")


def write_nonsense(book, copy):
    """Copy a workbook with whatever somebody wrote freely as words without vowels.

    So no output can hold a word that is in the workbook by chance and in code as well.
    """
    found = openpyxl.load_workbook(book)
    for sheet in found:
        heads = [str(cell.value or "").casefold() for cell in sheet[1]]
        for row in sheet.iter_rows(min_row=2):
            for head, cell in zip(heads, row, strict=True):
                setting = sheet.title == "Settings" and row[0].value in _FREE_SETTINGS
                free = head in _FREE or (setting and head == "value")
                if free and isinstance(cell.value, str):
                    cell.value = cell.value.translate(NONSENSE)
    found.save(copy)
