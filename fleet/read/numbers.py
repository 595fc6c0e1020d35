"""A number as people write it: decimal comma, thousands marks, signs."""

from __future__ import annotations

import re
from collections.abc import Iterable
from math import isfinite
from typing import NamedTuple

NUMBER = r"[+\-−]?(?:\d+(?:[.,'’ ]\d+)*[.,]?|[.,]\d+)(?:e[+\-−]?\d{1,3})?"
# Most texts of a .csv file: a number with no mark that could be of thousands.
PLAIN = re.compile(r"-?\d{1,9}(?:\.(?:\d{1,2}|\d{4,9}))?", re.A)
_NUMBER = re.compile(NUMBER)
_GROUPS = re.compile(r"\d{1,3}(?:[,.'’ ]\d{3})+$")


class Either(NamedTuple):
    """A number that can be read in two ways: ``1,350``."""

    decimal: float
    thousands: float


def number_of(text: str) -> float | Either | None:
    """Return the number that ``text`` is, both if it can be two, or None.

    ``text`` is a match of `NUMBER`. A single mark before three digits is the only
    doubt there can be: ``1,350`` is 1.35 or 1350, ``0,350`` can only be 0.35. A point
    there is taken for a decimal point unless the column shows otherwise. A number too
    large to be held is none.
    """
    body, sign = text.replace("−", "-"), 1.0
    if body[:1] in "+-":
        sign, body = (-1.0 if body[0] == "-" else 1.0), body[1:]
    body, _, power = body.partition("e")
    body = body.rstrip(".,")
    found = _unsigned(body)
    # As text, for 10.0 ** 400 is an error where 1e400 is only too large.
    scale = sign * float(f"1e{power}") if power else sign
    if isinstance(found, Either):
        both = Either(found.decimal * scale, found.thousands * scale)
        return both if isfinite(both.thousands) else None
    if found is None or not isfinite(found * scale):
        return None
    return found * scale


def _unsigned(body: str) -> float | Either | None:
    marks = {c for c in body if not c.isdigit()}
    if not marks:
        return float(body)
    if len(marks) > 2:
        return None
    if marks <= {".", ","}:
        if len(marks) == 1:
            return _one_mark(body, marks.pop())
        decimal = max(marks, key=body.rindex)
        whole, _, part = body.rpartition(decimal)
        thousands = (marks - {decimal}).pop()
        return _grouped(whole, thousands, part)
    (space,) = marks - {".", ","} if len(marks - {".", ","}) == 1 else ("",)
    if not space:
        return None
    decimals = marks & {".", ","}
    if not decimals:
        return _grouped(body, space, "")
    whole, _, part = body.rpartition(decimals.pop())
    return _grouped(whole, space, part)


def _one_mark(body: str, mark: str) -> float | Either | None:
    if body.count(mark) > 1:
        return _grouped(body, mark, "")
    whole, _, part = body.partition(mark)
    decimal = float(f"{whole or '0'}.{part}")
    if len(part) == 3 and _GROUPS.match(body) and not whole.startswith("0"):
        return Either(decimal, float(whole + part))
    return decimal


def _grouped(whole: str, mark: str, part: str) -> float | None:
    """Join groups of three; other groupings are no number."""
    groups = whole.split(mark)
    sound = 1 <= len(groups[0]) <= 3 and all(len(group) == 3 for group in groups[1:])
    if not sound or not all(group.isdigit() for group in groups):
        return None
    if part and not part.isdigit():
        return None
    return float(f"{''.join(groups)}.{part or '0'}")


def mark_for_decimals(texts: Iterable[str]) -> str:
    """Return ``,`` or ``.`` if the numbers in ``texts`` show which is the decimal mark.

    Only numbers that can be read in one way count. "" if none or both are seen.
    """
    seen: set[str] = set()
    for text in texts:
        if PLAIN.fullmatch(text):
            seen |= {"."} & set(text)
            continue
        if len(seen) == 2:
            return ""
        for found in _NUMBER.findall(text.casefold()):
            body = found.lstrip("+-−").partition("e")[0].rstrip(".,")
            marks = {c for c in body if c in ".,"}
            number = _unsigned(body) if marks else None
            if number is None or isinstance(number, Either):
                continue
            mark = max(marks, key=body.rindex)
            if body.count(mark) == 1:
                seen.add(mark)
    return seen.pop() if len(seen) == 1 else ""


def settle(number: float | Either, decimal_mark: str, text: str) -> float | Either:
    """Settle a number that can be read in two ways by what the column shows."""
    if not isinstance(number, Either):
        return number
    mark = next(c for c in text if c in ".,'’ ")
    if mark not in ".,":
        return number.thousands
    if decimal_mark:
        return number.decimal if mark == decimal_mark else number.thousands
    return number
