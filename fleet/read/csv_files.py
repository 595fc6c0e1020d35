"""A .csv file -> one sheet of texts."""

from __future__ import annotations

import codecs
import csv
import io
from collections.abc import Callable, Sequence
from itertools import pairwise

from fleet import problems
from fleet.read.grid import Sheet
from fleet.read.sheet_xml import MOST_CELLS
from fleet.read.zipped import unreadable

MOST_BYTES = 50_000_000
LONGEST_FIELD = 1_000_000  # characters; longer is no cell
ROWS_TRIED = 40  # looked at to find the separator
FEWEST_HEADERS = 2  # known ones that make a row one of headers
_SEPARATORS = (",", ";", "\t", "|")


def sheet_of_csv(
    name: str, stem: str, data: bytes, known: Callable[[Sequence[str]], int]
) -> Sheet:
    """Return the rows of a .csv file, all cells as text.

    ``known`` counts the headers known in a row: the separator is chosen by it.

    Raises
    ------
    UnreadableError
        It is too large, or is no text.
    """
    if len(data) > MOST_BYTES:
        raise unreadable(
            name, f"it is larger than {MOST_BYTES // 1_000_000} MB. Split it."
        )
    text, encoding = _decoded(name, data)
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    told, text = _told_separator(text)
    separator = told or _separator(text, known)
    rows = _rows(name, text, separator)
    while rows and not any(rows[-1]):
        rows.pop()  # the lines below the last one that holds anything
    width = max(map(len, rows), default=0)
    if width * len(rows) > MOST_CELLS:
        raise unreadable(
            name,
            f"it holds more than {MOST_CELLS // 1_000_000} million cells. Split it.",
        )
    parted = _parted(rows, known) if separator == "," else {}
    for row in rows:
        row.extend([""] * (width - len(row)))
    sheet = Sheet(name, stem, list(rows))
    for number, (found, wanted) in parted.items():
        sheet.rows[number] = [""] * width
        where = sheet.at(number, wanted)
        sheet.problems.append(problems.ROW_TOO_LONG.at(where, found, headers=wanted))
    if encoding == "cp1252" and not data.isascii():
        sheet.problems.append(
            problems.ENCODING_READ.at(sheet.whole, "Western European (cp1252)")
        )
    return sheet


def _parted(
    rows: Sequence[Sequence[str]], known: Callable[[Sequence[str]], int]
) -> dict[int, tuple[int, int]]:
    """Return the rows with more cells than headers that a decimal comma may explain.

    By their place from 0: how many cells a row has, and how many headers there are.
    """
    counts = [known(row) for row in rows[:ROWS_TRIED]]
    if max(counts, default=0) < FEWEST_HEADERS:
        return {}
    header = counts.index(max(counts))
    wanted = len(rows[header])
    return {
        number: (len(row), wanted)
        for number, row in enumerate(rows[header + 1 :], start=header + 1)
        if len(row) > wanted
        and any(cell.strip() for cell in row[wanted:])
        and any(
            left.strip().isdecimal() and right.strip().isdecimal()
            for left, right in pairwise(row)
        )
    }


def _decoded(name: str, data: bytes) -> tuple[str, str]:
    """Return the text and its encoding: by its mark, else UTF-8, else cp1252."""
    for mark, encoding in (
        (codecs.BOM_UTF8, "utf-8-sig"),
        (codecs.BOM_UTF16_LE, "utf-16"),
        (codecs.BOM_UTF16_BE, "utf-16"),
    ):
        if data.startswith(mark):
            return data.decode(encoding, "replace"), encoding
    if b"\0" in data:
        # UTF-16 without a mark: every other byte of plain text is 0.
        for encoding, zeros in (
            ("utf-16-le", data[1:400:2]),
            ("utf-16-be", data[:400:2]),
        ):
            if zeros.count(0) > 0.6 * len(zeros):
                text = data.decode(encoding, "replace")
                if "\0" not in text:
                    return text, encoding
        raise unreadable(name, "it is not a text file. Save it again as .csv (UTF-8).")
    try:
        return data.decode("utf-8"), "utf-8"
    except UnicodeDecodeError:
        return data.decode("cp1252", "replace"), "cp1252"


def _told_separator(text: str) -> tuple[str, str]:
    """Return the separator of a first line such as ``sep=;``, and the text after it."""
    first, _, rest = text.partition("\n")
    line = first.strip('"').strip(" ")
    if line.lower().startswith("sep=") and len(line) <= 5:
        return line[4:] or "\t", rest
    return "", text


def _separator(text: str, known: Callable[[Sequence[str]], int]) -> str:
    """Return the separator under which most headers are known, then most cells."""
    start = "\n".join(text[:200_000].split("\n", ROWS_TRIED)[:ROWS_TRIED])
    best, best_score = ",", (-1, -1)
    for separator in _SEPARATORS:
        try:
            rows = list(csv.reader(io.StringIO(start), delimiter=separator))
        except csv.Error:
            continue
        if not rows:
            continue
        cells = max(len(row) for row in rows)
        score = (max(known(row) for row in rows), cells if cells > 1 else 0)
        if score > best_score:
            best, best_score = separator, score
    return best


def _rows(name: str, text: str, separator: str) -> list[list[str]]:
    limit = csv.field_size_limit(LONGEST_FIELD)
    rows: list[list[str]] = []
    try:
        # Strict first: an open quotation mark would swallow all rows after it.
        rows.extend(csv.reader(io.StringIO(text), delimiter=separator, strict=True))
        return rows
    except csv.Error as err:
        if "unexpected end" in str(err) or "larger than" in str(err):
            raise unreadable(
                name,
                f"a quotation mark in row {len(rows) + 1} is not closed, so the rest "
                "cannot be told apart. Close it, or take it away.",
            ) from err
        loose = list(csv.reader(io.StringIO(text), delimiter=separator))
        for number, row in enumerate(loose, start=1):
            if any("\n" in cell for cell in row):
                # Two stray marks, rows apart, would hide what lies between them.
                raise unreadable(
                    name,
                    f"a quotation mark in or before row {number} stands where none "
                    "belongs; it hides where rows end. Double it, or take it away.",
                ) from err
        return loose
    finally:
        csv.field_size_limit(limit)
