"""Text above or beside the headers: what it says of units, and that it was not used."""

from __future__ import annotations

import re

from fleet import problems
from fleet.read.grid import blank
from fleet.read.log import Log, shown
from fleet.read.table import Column, Language, Table
from fleet.spelling import fold, tidy

LONGEST_TITLE = 200
LONGEST_MERE_TITLE = 60  # characters; a longer one may explain something
_SEGMENT = re.compile(r"[,;.:|()\[\]\n]|\band\b|\bund\b|\bet\b")
_MOST_WORDS = 12


def heed_titles(table: Table, language: Language, log: Log) -> None:
    """Take units from texts above or beside the headers; list what is not used.

    ``All nitrate as N`` is the unit of a nitrate column that names none itself. A
    text that seems to name a unit in some other way is said to be looked at.
    """
    if table.parameter or any(c.tank or c.day for c in table.columns):
        return  # a wide sheet is told by its title
    passed = []
    for row, index, text in _texts(table):
        where = table.sheet.at(row, index)
        bare = [c for c in table.all("value") if c.parameter and not c.unit]
        told = _units_told(text, language)
        of_bare = [c for c in bare if c.parameter in told]
        for column in of_bare:
            column.unit = told[column.parameter]
            facts = {"parameter": column.parameter, "unit": column.unit}
            log.at(problems.TITLE_UNIT_READ, where, text, **facts)
        rest = [c for c in bare if c not in of_bare]
        if not of_bare and _names_a_unit(text, rest, language):
            log.at(problems.TITLE_NAMES_UNIT, where, text)
        elif not of_bare and row < table.header[0] and not _mere_title(table, row):
            passed.append((where, text))
    if passed:
        named = ", ".join(f"'{text[:40]}'" for _, text in passed[:3])
        more = f" and {len(passed) - 3} more" if len(passed) > 3 else ""
        log.at(problems.TITLE_NOT_USED, passed[0][0], named + more)


def _texts(table: Table) -> list[tuple[int, int, str]]:
    """Return what stands above the headers, and beside them with nothing below."""
    sheet = table.sheet
    top, bottom = table.header[0], table.header[-1]
    found = [
        (row, index, shown(cell)[:LONGEST_TITLE])
        for row in range(top)
        for index, cell in enumerate(sheet.rows[row])
        if not blank(cell)
    ]
    empty = {
        c.index
        for c in table.columns
        if c.header and not c.what and not c.set_aside
        if all(blank(row[c.index]) for row in table.rows)
    }
    return found + [(bottom, i, table.columns[i].header) for i in sorted(empty)]


def _mere_title(table: Table, row: int) -> bool:
    """Say whether a row above the headers is one short text, as titles are."""
    cells = [cell for cell in table.sheet.rows[row] if not blank(cell)]
    return len(cells) == 1 and len(shown(cells[0])) <= LONGEST_MERE_TITLE


def _units_told(text: str, language: Language) -> dict[str, str]:
    """Return the unit key of each parameter that a text names with its unit."""
    told: dict[str, str] = {}
    for segment in _SEGMENT.split(tidy(text)):
        words = segment.split()[-_MOST_WORDS:]
        for start in range(len(words)):
            meaning = language.headers.parameter(" ".join(words[start:]))
            if meaning and meaning.unit and not meaning.unknown_unit:
                if not meaning.method:
                    told.setdefault(meaning.parameter, meaning.unit)
                break
    return told


def _names_a_unit(text: str, columns: list[Column], language: Language) -> bool:
    """Say whether a text names a unit that a column without one is not read in."""
    words = re.split(r"[^\w/°µμ%‰.-]+", tidy(text))
    runs = [words[i : i + n] for n in (1, 2) for i in range(len(words) - n + 1)]
    parameters = language.reference.parameters
    for column in columns:
        for run in runs:
            if len(fold("".join(run))) < 2:
                continue  # a single letter is no unit by itself
            unit = language.units.of(column.parameter, " ".join(run))
            if unit and unit != parameters[column.parameter].default_unit:
                return True
    return False
