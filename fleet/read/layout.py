"""Finds the header row of a sheet and says which sheet and column means what."""

from __future__ import annotations

from typing import NamedTuple

from fleet.read.grid import Sheet, blank
from fleet.read.headers import KINDS, Meaning
from fleet.read.table import Language

CLEAR = 3  # columns recognised that make a header beyond doubt
ROWS_SEARCHED = 40  # a header stands within them, below titles
LONGEST_HEADER = 160

# What a sheet must at least have to count as one of this kind: all of the first,
# one of the second. The name of a sheet asks for less than its looks alone.
_BY_NAME: dict[str, tuple[set[str], set[str]]] = {
    "tanks": ({"tank"}, set()),
    "readings": (set(), {"date", "timestamp"}),
    "methods": ({"method"}, set()),
    "work": ({"work"}, {"date", "timestamp"}),
    "bands": ({"parameter"}, {"low", "high"}),
    "shelf": ({"substance"}, set()),
    "settings": ({"setting", "value"}, set()),
}
_BY_LOOKS: dict[str, tuple[set[str], set[str]]] = {
    "tanks": ({"tank"}, {"volume", "filled on", "livestock"}),
    "readings": ({"values"}, {"date", "timestamp"}),
    "methods": ({"method", "measures"}, {"lowest", "step", "accuracy", "highest"}),
    "work": ({"work", "tank"}, {"date", "timestamp"}),
    "bands": ({"parameter"}, {"low", "high"}),
    "shelf": ({"substance"}, {"purity", "on hand", "strength"}),
    "settings": ({"setting", "value"}, set()),
}


_TIDY = {"parameter", "result"}  # one row a result


class Header(NamedTuple):
    """A header row (or two, the upper one merged) and what its cells mean."""

    rows: tuple[int, ...]
    texts: list[str]
    meanings: list[Meaning | None]

    @property
    def whats(self) -> set[str]:
        """The different meanings found; "values" where results can be read."""
        found = {m.what for m in self.meanings if m}
        return found | {"values"} if "value" in found or found >= _TIDY else found

    @property
    def score(self) -> int:
        """How many different things the row names."""
        return len({(m.what, m.parameter, m.method) for m in self.meanings if m})


def recognise(sheet: Sheet, language: Language) -> tuple[str, Header | None]:
    """Return the kind of a sheet and its header; kind "" if nothing fits.

    "nothing" is a sheet whose name says that it holds no data. A kind without a
    header is one that the name promises and the columns do not keep.
    """
    named = language.words.word("sheet", sheet.name.rstrip("0123456789 ")) or ""
    if named == "nothing":
        return "nothing", None
    if named:
        header = best_header(sheet, named, language)
        if header and _has(header.whats, _BY_NAME[named]):
            return named, header
    headers = [(kind, best_header(sheet, kind, language)) for kind in KINDS]
    fitting = [
        (header.score, kind, header)
        for kind, header in headers
        if header and _has(header.whats, _BY_LOOKS[kind])
    ]
    if fitting:
        _, kind, header = max(fitting, key=lambda entry: entry[0])
        return kind, header
    return named, None


def _has(whats: set[str], wanted: tuple[set[str], set[str]]) -> bool:
    needed, one_of = wanted
    return needed <= whats and (not one_of or bool(one_of & whats))


def missing(kind: str) -> str:
    """Return the headers a sheet of this kind cannot do without, for a message."""
    needed, one_of = _BY_NAME[kind]
    named = sorted(needed) or sorted(one_of)[:1]
    return " and ".join(f"'{name.capitalize()}'" for name in named)


# ------------------------------------------------------------------- header row


def best_header(sheet: Sheet, kind: str, language: Language) -> Header | None:
    """Return the row, or pair of rows, that names most columns of ``kind``."""
    best: Header | None = None
    for row in range(min(len(sheet.rows), ROWS_SEARCHED)):
        if best and best.score >= CLEAR and row > best.rows[-1] + 2:
            break  # below a clear header come its data
        # A merged cell with texts under its parts says only half of their headers.
        single = None if _goes_on(sheet, row) else single_header
        for find in (single, double_header):
            header = find(sheet, row, kind, language) if find else None
            if header and header.score > (best.score if best else 0):
                best = header
    return best


def _goes_on(sheet: Sheet, row: int) -> bool:
    """Say whether the headers of a row are parted further in the row below."""
    below = row + 1
    if below >= len(sheet.rows) or not all(
        isinstance(c, str) for c in sheet.rows[below]
    ):
        return False
    return any(
        top == row == bottom
        and right > left
        and not blank(sheet.rows[row][left])
        and sum(not blank(cell) for cell in sheet.rows[below][left : right + 1]) > 1
        for top, left, bottom, right in sheet.merged
        if left < len(sheet.rows[row])
    )


def text_cells(sheet: Sheet, row: int) -> list[str]:
    """Return the texts of a row, cut to the length of a header; "" for others."""
    return [
        " ".join(cell[:LONGEST_HEADER].split()) if isinstance(cell, str) else ""
        for cell in sheet.rows[row]
    ]


def single_header(
    sheet: Sheet, row: int, kind: str, language: Language
) -> Header | None:
    """Return a row taken as header, or None if it holds no text."""
    texts = text_cells(sheet, row)
    if len(texts) - texts.count("") < 2:
        return None  # a title, or data
    find = language.headers.meaning
    return Header((row,), texts, [find(kind, text) if text else None for text in texts])


def double_header(
    sheet: Sheet, row: int, kind: str, language: Language
) -> Header | None:
    """Return a row and the merged one above it taken as header, or None."""
    if row == 0 or not all(isinstance(cell, str) for cell in sheet.rows[row]):
        return None
    own, lower = text_cells(sheet, row - 1), text_cells(sheet, row)
    if not any(own) or not any(lower):
        return None
    upper = spread(sheet, row - 1, own, lower)
    find = language.headers.meaning
    texts, meanings = [], []
    for above, over, below in zip(own, upper, lower, strict=True):
        joined = f"{over} {below}".strip() if below else above
        found = find(kind, joined) if joined else None
        if not found and below:
            found = find(kind, below)
        texts.append(joined)
        meanings.append(found)
    return Header((row - 1, row), texts, meanings)


def spread(sheet: Sheet, row: int, own: list[str], lower: list[str]) -> list[str]:
    """Return the upper header row with each text over all columns it stands for.

    Merged areas say how far; without any, a text reaches up to the next one, as far
    as something stands below.
    """
    ranges = {
        (top, left): right
        for top, left, bottom, right in sheet.merged
        if top <= row <= bottom and right > left
    }
    result = list(own)
    if ranges:
        for (top, left), right in ranges.items():
            text = own[left] if top == row else ""
            for column in range(left, min(right + 1, len(result))):
                result[column] = result[column] or text
        return result
    current = ""
    for column, text in enumerate(own):
        current = text or (current if lower[column] else "")
        result[column] = current
    return result
