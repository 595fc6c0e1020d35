"""Rows of the Work sheet -> work done."""

from __future__ import annotations

import re
from typing import Any, NamedTuple

from fleet import problems
from fleet.read.dates import DateColumn
from fleet.read.grid import Row, blank, blank_row
from fleet.read.log import Log, Texts, shown
from fleet.read.numbers import NUMBER
from fleet.read.quantities import Quantity, quantity
from fleet.read.readings import date_columns
from fleet.read.row_keys import day_of, tell_tank
from fleet.read.rows import Counter
from fleet.read.table import Language, Table, id_text
from fleet.read.tank_ids import TankIds
from fleet.read.units import QUANTITIES
from fleet.records import CellAddress, SheetCount, Work
from fleet.spelling import fold, tidy

# Amounts are kept in these, whatever they are written in.
_KEPT = {"volume": "L", "mass": "g", "rate": "g/day", "share": "%"}
_KINDS = ("share", "rate", "volume", "mass")
_AMOUNT = re.compile(rf"(?<![\w.,])({NUMBER})\s*(%|[a-z³/]+(?: [a-z]+)?)")
_SMALL_WORDS = {"of", "with", "a", "an", "the", "and", "some", "in", "to"}
_ALL = {"all", "alltanks", "every", "everytank", "each", "eachtank", "allsystems"}


class _Amount(NamedTuple):
    amount: float | None
    unit: str


def read_work(
    table: Table, tanks: TankIds, language: Language, log: Log, texts: Texts
) -> tuple[list[Work], SheetCount]:
    """Return the work of one sheet; a row for several tanks is work at each."""
    return _Rows(table, tanks, language, log, texts).all()


class _Rows:
    """Reads the rows of one sheet of work."""

    def __init__(
        self, table: Table, tanks: TankIds, language: Language, log: Log, texts: Texts
    ) -> None:
        self._table, self._tanks, self._words = table, tanks, language.words
        self._salts = language.salts
        self._log, self._texts = log, texts
        self._columns = {c.what: c for c in reversed(table.columns)}
        self._dates: list[tuple[int, DateColumn]] = date_columns(table, language, log)
        amount = self._columns.get("amount")
        self._header_unit = self._unit(amount.unit) if amount else ""
        self.counter = Counter()

    def all(self) -> tuple[list[Work], SheetCount]:
        done: list[Work] = []
        for number, row in enumerate(self._table.rows, start=self._table.first):
            if blank_row(row):
                continue
            found = self._row(number, row)
            self.counter.read += bool(found)
            self.counter.left_out += not found
            done.extend(found)
        return done, self.counter.count(self._table)

    def _at(self, number: int, what: str) -> CellAddress:
        column = self._columns.get(what)
        return self._table.sheet.at(number, column.index if column else -1)

    def _cell(self, row: Row, what: str) -> Any:
        column = self._columns.get(what)
        return row[column.index] if column else ""

    def _text(self, row: Row, what: str) -> str:
        return self._texts.of(self._cell(row, what))

    def _row(self, number: int, row: Row) -> list[Work]:
        day = day_of(self._table, self._dates, number, row, self._log)
        keys = self._tank_keys(number, row)
        work = self._work(number, row)
        if day is None or not keys or not work:
            return []
        amount, unit = self._amount(number, row)
        substance = self._text(row, "substance")
        if amount is None and blank(self._cell(row, "amount")):
            amount, unit, substance = self._told(number, row, work, unit, substance)
        return [
            Work(
                on=day.day,
                tank=key,
                work=work,
                source=self._at(number, "work"),
                substance=substance,
                salt=self._salts.of(substance),
                equipment=self._words.named("equipment", substance),
                amount=amount,
                unit=unit,
                done_by=self._text(row, "done by"),
                notes=self._text(row, "notes"),
            )
            for key in keys
        ]

    def _tank_keys(self, number: int, row: Row) -> list[str]:
        cell = self._cell(row, "tank") if "tank" in self._columns else self._table.tank
        where = self._at(number, "tank")
        found = self._tanks.find(cell)
        written = id_text(cell)
        if found:
            if found.by_name:
                read = self._tanks.ids[found.key]
                self._log.at(problems.TANK_BY_NAME, where, written, read=read)
            return [found.key]
        keys: list[str] = []
        if fold(written) in _ALL:
            keys = list(self._tanks.ids)
        else:
            parts = [p for p in re.split(r"[,;&+/\n]| and ", written) if p.strip()]
            matches = [self._tanks.find(part) for part in parts]
            if len(parts) > 1 and all(matches):
                keys = list(dict.fromkeys(m.key for m in matches if m))
        if keys:
            count = str(len(keys))
            self._log.at(problems.WORK_FOR_SEVERAL, where, written, count=count)
            return keys
        index = where.column - 1
        tell_tank(self._table, number, index, cell, self._tanks, self._log)
        return []

    def _work(self, number: int, row: Row) -> str:
        text = self._text(row, "work")
        if text:
            word = self._words.word("work", text)
            found = (word,) if word else self._words.words_in("work", text)
            if len(found) == 1:
                return found[0]
        kind = problems.WORK_UNKNOWN if text else problems.WORK_MISSING
        accepted = self._words.accepted("work")
        self._log.at(kind, self._at(number, "work"), text, accepted=accepted)
        return ""

    def _amount(self, number: int, row: Row) -> _Amount:
        """Return the amount in L, mL, g, g/day or %, else as written."""
        cell, written = self._cell(row, "amount"), self._text(row, "unit")
        unit = self._unit(written) or self._header_unit
        found = quantity(cell, _KINDS, unit, self._words)
        if found is None:
            return _Amount(None, written)
        if not isinstance(found, Quantity):
            self._log.at(
                found.kind,
                self._at(number, "amount"),
                shown(cell),
                what="amount",
                accepted=", with the unit in the Unit column",
            )
            return _Amount(None, written)
        if not found.unit:
            return _Amount(found.number, written)
        return _kept(found)

    def _told(
        self, number: int, row: Row, work: str, unit: str, substance: str
    ) -> tuple[float | None, str, str]:
        """Return amount, unit and substance told in words: ``dosed 2 ml nitrate``."""
        text = self._text(row, "work")
        if self._words.word("work", text):
            return None, unit, substance
        flat, amount = tidy(text), None
        for found in _AMOUNT.finditer(flat):
            for behind in (found[2], found[2].partition(" ")[0]):
                known = self._unit(behind)
                read = quantity(found[1], _KINDS, known, self._words) if known else None
                if isinstance(read, Quantity):
                    amount, unit = _kept(read)
                    end = found.start() + len(found[0]) - len(found[2]) + len(behind)
                    flat = f"{flat[: found.start()]} {flat[end:]}"
                    break
            if amount is not None:
                break
        if work == "dose" and not substance:
            own = {
                token
                for spelling, word in self._words.spellings("work").items()
                if word == work
                for token in (spelling, *work.split())
            }
            kept = [t for t in flat.split() if fold(t) not in own | _SMALL_WORDS]
            substance = " ".join(kept)
        told = [work, f"{amount:g} {unit}" if amount is not None else "", substance]
        if amount is not None or work == "dose":
            where, said = self._at(number, "work"), ", ".join(filter(None, told))
            self._log.at(problems.WORK_READ, where, text, read=said)
        return amount, unit, substance

    def _unit(self, text: str) -> str:
        for kind in _KINDS:
            unit = self._words.word(QUANTITIES[kind][0], tidy(text)) if text else None
            if unit:
                return unit
        return ""


def _kept(found: Quantity) -> _Amount:
    for kind in _KINDS:
        _, factors = QUANTITIES[kind]
        factor = factors.get(found.unit)
        if factor is None:
            continue
        if kind == "share":
            return _Amount(found.number, "%")
        if found.unit == "mL":
            return _Amount(found.number, "mL")
        return _Amount(found.number * factor, _KEPT[kind])
    return _Amount(found.number, found.unit)
