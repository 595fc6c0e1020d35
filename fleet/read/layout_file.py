"""A first draft of a layout file, written from what the reader makes of a workbook."""

from __future__ import annotations

import json
from pathlib import Path

from fleet.read.grid import blank
from fleet.read.layout import best_header
from fleet.read.log import Log, Texts, shown
from fleet.read.open import read_bytes, sheets_of
from fleet.read.sources import expand, one_line
from fleet.read.table import Language, Table, language_of
from fleet.read.tank_ids import TankIds
from fleet.read.tanks import read_tanks
from fleet.read.understand import Alone, Draft, first_look, readings_table
from fleet.reference import Reference

EXAMPLES = 3  # values shown beside a column that was not recognised

_HEAD = """\
# Which sheets and columns of {name} mean what: a first draft, to be corrected.
# Keep it beside the workbook as {stem}.layout.toml, or as fleet-layout.toml in the
# folder. holds: tanks, readings, methods, work, bands, shelf, settings or nothing.
# Meanings: date, tank, taken by, look, notes, a parameter with its unit as in
# "nitrate, mg/L NO3-N", "nitrate method", "nitrate flag", or "not used".
"""


def suggest_layout(path: Path, reference: Reference) -> str:
    """Return the text of a layout file for a workbook, as it was understood.

    Raises
    ------
    UnreadableError
        The workbook cannot be read.
    """
    language = language_of(reference)
    drafts: list[Draft] = []
    for source in expand([path]):
        data = read_bytes(source.name, source.path)
        known = language.headers.known
        sheets = sheets_of(source.name, source.path, data, known)
        drafts += first_look(sheets, [], language)
    log = Log()
    texts = Texts(log)
    tanks = [
        tank
        for draft in drafts
        if draft.table and draft.table.kind == "tanks"
        for tank in read_tanks(draft.table, language, log, texts)[0]
    ]
    ids = TankIds(tanks)
    parts = [_HEAD.format(name=one_line(path.name), stem=one_line(path.stem))]
    for draft in drafts:
        table = draft.table
        if table is None and draft.kind != "nothing":
            table = readings_table(draft, ids, Alone("", guessed=False), language, log)
        parts.append(_sheet(draft, table, language))
    return "\n".join(parts)


def _sheet(draft: Draft, table: Table | None, language: Language) -> str:
    lines = ["[[sheet]]", f"name = {_quoted(draft.sheet.name)}"]
    if table is None:
        lines.append('holds = "nothing"  # nothing was recognised here')
        found = best_header(draft.sheet, "readings", language)
        if found and draft.kind != "nothing":
            lines += [
                "",
                '# To read it, write holds = "readings" and say what is what:',
            ]
            lines += ["# [sheet.columns]"]
            for header, means in zip(found.texts, found.meanings, strict=True):
                said = means.what if means and not means.parameter else "not used"
                lines += [f"# {_quoted(header)} = {_quoted(said)}"] if header else []
        return "\n".join(lines) + "\n"
    lines.append(f"holds = {_quoted(table.kind)}")
    if table.first:
        rows = ", ".join(str(row + 1) for row in table.header)
        lines.append(f"header = [{rows}]")
    if table.tank:
        lines.append(f"tank = {_quoted(table.tank)}")
    if table.parameter:
        unit = f", {table.unit}" if table.unit else ""
        lines.append(f"parameter = {_quoted(table.parameter + unit)}")
    lines += ["", "[sheet.columns]"]
    written: set[str] = set()
    for column in table.columns:
        if not column.header and not column.what:
            continue
        key = column.header
        if not key or key.casefold() in written:
            key = f"column {table.sheet.at(0, column.index).cell.rstrip('0123456789')}"
        written.add(key.casefold())
        meaning = column.meaning(language.reference)
        line = f"{_quoted(key)} = {_quoted(meaning)}"
        if not column.what:
            line += _examples(table, column.index)
        lines.append(line)
    return "\n".join(lines) + "\n"


def _examples(table: Table, index: int) -> str:
    """Return a comment with the first values of a column."""
    found: dict[str, None] = {}
    for row in table.rows[:500]:
        if not blank(row[index]):
            found[" ".join(shown(row[index])[:30].split())] = None
        if len(found) == EXAMPLES:
            break
    printable = ["".join(c for c in text if c.isprintable()) for text in found]
    return f"  # such as {'; '.join(printable)}" if printable else ""


def _quoted(text: str) -> str:
    # A JSON string is a TOML basic string, but for the characters JSON lets through.
    return "".join(
        c if c.isprintable() else f"\\u{ord(c):04x}" if ord(c) < 0x10000 else ""
        for c in json.dumps(text, ensure_ascii=False)
    )
