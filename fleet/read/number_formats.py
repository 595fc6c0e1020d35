"""What a spreadsheet shows round a number by its format: ``5 ppb`` for a 5."""

from __future__ import annotations

import re
from typing import NamedTuple

from defusedxml import ElementTree

_MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
# ECMA-376 part 1, 18.8.30 and 18.8.31: built-in 0% and 0.00%; parts of a format.
_BUILT_IN = {9: "0%", 10: "0.00%"}
_PART = re.compile(
    r'"(?P<quoted>[^"]*)"|\\(?P<escaped>.)|\[\$(?P<symbol>[^\]-]*)[^\]]*\]|\[[^\]]*\]'
    r"|[_*].|(?P<digits>general|[0#?][0#?.,]*(?:e[+-][0#?]+)?)|(?P<plain>.)",
    re.I | re.S,
)
LONGEST = 255  # characters of a format; no spreadsheet program writes more
_AS_A_DATE = set("ymdhsb")
_TEXT = re.compile(r"(\D*?)[-−]?\d(?:[\d.,'’\s]*\d)?(?:e[+-]?\d+)?((?:\D.*)?)", re.I)
_TELLS = re.compile(r"[^\W\d_]|[<>~≈≤≥°‰]")  # a unit, or a "less than"


class Shown(NamedTuple):
    """The text a format puts before and behind a number."""

    before: str
    behind: str
    percent: bool = False

    def of(self, number: float) -> str:
        """Return a number as a reader of the sheet sees it, in full."""
        scaled = number * 100 if self.percent else number
        return f"{self.before}{scaled:.10g}{self.behind}"


def shown_by(code: str) -> Shown | None:
    """Return what a format adds to a positive number; None if nothing that tells."""
    before, behind, seen, percent = "", "", False, False
    for part in _PART.finditer(_first_section(code[:LONGEST])):
        if part["digits"]:
            seen = True
            continue
        plain = part["plain"] or ""
        percent = percent or plain == "%"  # in quotes it is only shown
        if plain.casefold() in _AS_A_DATE or plain == "@":
            return None
        text = part["quoted"] or part["escaped"] or part["symbol"] or plain
        before, behind = (before, behind + text) if seen else (before + text, behind)
    if not seen or not (percent or _TELLS.search(before + behind)):
        return None
    if percent:
        return Shown("", "%", percent=True)
    return Shown(before, behind)


def shown_in(text: str) -> Shown | None:
    """Return what stands round the number in a text shown; None as above."""
    found = _TEXT.fullmatch(text.strip()[:LONGEST])
    if not found or not _TELLS.search(found[1] + found[2]):
        return None
    return Shown(found[1], found[2])


def _first_section(code: str) -> str:
    """Return the section for positive numbers: up to a semicolon outside quotes."""
    at = 0
    for part in _PART.finditer(code):
        if part["plain"] == ";":
            break
        at = part.end()
    return code[:at]


def shown_by_styles(styles: bytes) -> dict[int, Shown]:
    """Return the styles of cells whose format shows more than the number."""
    if not styles:
        return {}
    root = ElementTree.fromstring(styles, forbid_dtd=True)
    codes = _BUILT_IN | {
        int(entry.get("numFmtId", 0)): entry.get("formatCode", "")
        for entry in root.iter(f"{_MAIN}numFmt")
    }
    formats = {key: found for key, code in codes.items() if (found := shown_by(code))}
    cells = root.find(f"{_MAIN}cellXfs")
    return {
        number: formats[key]
        for number, entry in enumerate(cells if cells is not None else ())
        if (key := int(entry.get("numFmtId", 0))) in formats
    }
