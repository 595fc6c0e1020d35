"""Where every text of a printed page stands, read back from the finished PDF.

Only the operators our own pages use are understood, so that a test can hold that no
text leaves the page or runs into another.
"""

import re
from itertools import combinations
from typing import NamedTuple

from pypdf import PdfReader

_MOVE = re.compile(r"q 1 0 0 1 (\S+) (\S+) cm")
_TEXT = re.compile(r"BT (\S+) (\S+) Td (.*?) ?ET$")
_FORM = re.compile(r"q 1 0 0 1 (\S+) (\S+) cm /(\S+) Do Q")
_PART = re.compile(r"(\S+) (\S+) Tf\(((?:[^()\\]|\\.)*)\)Tj")
_OCTAL = re.compile(r"\\(\d{3})")


class Placed(NamedTuple):
    """One shown text: its left end, baseline, right end and size."""

    x: float
    y: float
    end: float
    size: float
    text: str


def pages(path):
    """Return, for each page, what text stands where."""
    return [_texts(page) for page in PdfReader(path).pages]


def content(page):
    """Return the operators of a page."""
    return page.get_contents().get_data().decode("latin-1")


def _widths(resources):
    """Return, for each font name, the width of each code and what it means."""
    fonts = {}
    for name, reference in resources["/Font"].items():
        font = reference.get_object()
        if "/ToUnicode" not in font:
            continue
        table = font["/ToUnicode"].get_object().get_data().decode("latin-1")
        pairs = re.findall(r"<([0-9A-F]{2})> <[0-9A-F]{2}> <([0-9A-F]{4})>", table)
        names = {int(code, 16): chr(int(point, 16)) for code, point in pairs}
        if not names:  # one list for a whole range
            listed = re.findall(r"<([0-9A-F]{4})>", table.split("endcodespacerange")[1])
            names = {code: chr(int(point, 16)) for code, point in enumerate(listed)}
        fonts[name] = (font["/Widths"], names)
    return fonts


def _texts(page):
    fonts = _widths(page["/Resources"])
    found = []
    _walk(content(page), (0.0, 0.0), page, fonts, found)
    return found


def _walk(operators, origin, page, fonts, found):
    stack = [origin]
    for line in operators.splitlines():
        line = line.strip()
        moved = _MOVE.match(line)
        if moved and not line.endswith("Q"):
            x, y = stack[-1]
            stack.append((x + float(moved[1]), y + float(moved[2])))
        elif line == "Q" and len(stack) > 1:
            stack.pop()
        form = _FORM.fullmatch(line)
        if form:
            x, y = stack[-1]
            at = (x + float(form[1]), y + float(form[2]))
            inner = page["/Resources"]["/XObject"]["/" + form[3]].get_object()
            _walk(inner.get_data().decode("latin-1"), at, page, fonts, found)
        shown = _TEXT.match(line)
        if shown:
            found.append(_placed(shown, stack[-1], fonts))


def _placed(shown, origin, fonts):
    x, y = origin[0] + float(shown[1]), origin[1] + float(shown[2])
    end, largest, text = x, 0.0, ""
    for name, size, coded in _PART.findall(shown[3]):
        widths, names = fonts[name]
        codes = [ord(c) for c in _OCTAL.sub(lambda m: chr(int(m[1], 8)), coded)]
        end += sum(widths[code] for code in codes) * float(size) / 1000
        text += "".join(names.get(code, "") for code in codes)
        largest = max(largest, float(size))
    return Placed(x, y, end, largest, text)


def overlaps(texts):
    """Return the pairs of texts that run into each other."""
    return [
        (one.text, two.text)
        for one, two in combinations(texts, 2)
        if abs(one.y - two.y) < 0.6 * min(one.size, two.size)
        and one.x < two.end - 0.5
        and two.x < one.end - 0.5
    ]
