"""Change every word of the shipped templates, to see what words stand elsewhere.

Vowels get two dots: what a report still prints without them comes from the workbook
or sits in code.
"""

import re

from jinja2 import Environment

DOTTED = str.maketrans("aeiouAEIOU", "äëïöüÄËÏÖÜ")
_FORM = re.compile(r"(\{\w+\}|\\.)")
_MARKUP = re.compile(r"(<[^>]*>|&\w+;)")
_ENTRY = re.compile(r'("[^"]+"|[\w.-]+) = "(.*)"')


def change_every_word(shipped, own):
    """Write all of ``shipped`` to ``own`` with its words changed."""
    own.mkdir()
    for path in shipped.iterdir():
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
