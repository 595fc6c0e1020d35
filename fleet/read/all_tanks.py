"""The tanks of all workbooks together: joined where they are the same, else apart."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from pathlib import Path

from fleet import problems
from fleet.read.log import Log, Texts
from fleet.read.table import Table, id_text
from fleet.read.tanks import filled_up, same_tank
from fleet.read.understand import Draft
from fleet.records import CellAddress, Tank
from fleet.spelling import tank_key


@dataclass(slots=True)
class Workbook:
    """One workbook on its way: its sheets, and what they turn out to be."""

    name: str
    drafts: list[Draft] = field(default_factory=list)
    tables: list[Table] = field(default_factory=list)
    own_tanks: list[Tank] = field(default_factory=list)
    renamed: dict[str, str] = field(default_factory=dict)


def join_tanks(books: Iterable[Workbook], log: Log) -> dict[str, Tank]:
    """Return all tanks by key; a tank whose id another one has gets a new id."""
    tanks: dict[str, Tank] = {}
    files: dict[str, str] = {}
    for book in books:
        for tank in book.own_tanks:
            first = tanks.setdefault(tank.key, tank)
            if first is tank:
                files[tank.key] = tank.source.file
            elif same_tank(first, tank):
                if replace(tank, source=first.source) != first:
                    facts = {"file": files[tank.key]}
                    log.at(problems.TANK_SHARED, tank.source, tank.id, **facts)
                tanks[tank.key] = filled_up(first, tank)
            else:
                apart = _renamed(tank, book, tanks)
                tanks[apart.key] = apart
                book.renamed[tank.key] = apart.key
                facts = {"file": files[tank.key], "renamed": apart.id}
                log.at(problems.TANK_CLASH, tank.source, tank.id, **facts)
    return tanks


def _renamed(tank: Tank, book: Workbook, taken: dict[str, Tank]) -> Tank:
    stem = Path(book.name).stem
    name, number = f"{tank.id} ({stem})", 2
    while tank_key(name) in taken:
        name, number = f"{tank.id} ({stem} {number})", number + 1
    return replace(tank, id=name, key=tank_key(name))


def tanks_from_readings(
    tables: Iterable[Table], texts: Texts, log: Log
) -> dict[str, Tank]:
    """Return a tank for each that the readings name; for want of a sheet of tanks."""
    found: dict[str, Tank] = {}
    spelt: dict[tuple[str, str], CellAddress] = {}
    for table in tables:
        column = table.column("tank")
        named = [(table.first, 0, table.tank)] if table.tank else []
        named += [(table.header[0], c.index, c.tank) for c in table.columns]
        if column:
            named += [
                (number, column.index, id_text(row[column.index]))
                for number, row in enumerate(table.rows, start=table.first)
            ]
        header = column.header if column else ""
        for row, index, written in named:
            key = tank_key(written)
            if not key or written.strip() == header:
                continue
            where = table.sheet.at(row, index)
            found.setdefault(key, Tank(texts.of(written, 100), key, where))
            spelt.setdefault((key, written.strip()), where)
    for (key, written), where in spelt.items():
        tank = found[key]
        if where != tank.source:
            facts = {"other": tank.id, "cell": tank.source.cell}
            log.at(problems.TANK_TWICE, where, written, **facts)
    if found:
        first = next(iter(found.values()))
        count = "1 tank" if len(found) == 1 else f"{len(found)} tanks"
        where = first.source._replace(row=0, column=0)
        log.at(problems.TANKS_FROM_READINGS, where, count)
    return found
