"""Rows of the Tanks sheet -> tanks."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import date
from typing import Any

from fleet import problems
from fleet.problems import Kind
from fleet.read.date_order import hint_of
from fleet.read.dates import DateColumn, Moment
from fleet.read.grid import Row, blank
from fleet.read.log import Log, Texts, shown
from fleet.read.numbers import mark_for_decimals
from fleet.read.quantities import (
    Notation,
    Quantity,
    accepted,
    converted,
    quantity,
    share,
)
from fleet.read.row_keys import tell_tank
from fleet.read.rows import Counter, date_notes
from fleet.read.table import Column, Language, Table, id_text
from fleet.read.tank_ids import TankIds
from fleet.read.words import SHORT_ENTRY, split_list
from fleet.records import CellAddress, SheetCount, Tank
from fleet.spelling import fold, tank_key

_TEXTS = ("name", "place", "keeper", "group", "notes")
_NO_EQUIPMENT = {"none", "no", "na", "nothing", ""}
_QUANTITIES: dict[str, tuple[str, tuple[str, ...], float, float]] = {
    # field: header, kinds of unit, above, most
    "volume_l": ("volume", ("volume",), 0.0, 1e7),
    "rock_kg": ("rock mass", ("mass",), -1e-9, 1e5),
    "feed_g_day": ("feed", ("rate", "mass"), -1e-9, 1e5),
    "protein": ("protein", ("share",), -1e-9, 1.0),
}
_MUST = {
    "volume_l": "at least {least:g} L",
    "rock_kg": "0 or more",
    "feed_g_day": "0 or more",
    "protein": "from 0 to 100 %",
}


def read_tanks(
    table: Table, language: Language, log: Log, texts: Texts
) -> tuple[list[Tank], SheetCount]:
    """Return the tanks of one sheet; the same tank twice is joined with a note."""
    reader = _Rows(table, language, log, texts)
    tanks: dict[str, Tank] = {}
    for number, row in enumerate(table.rows, start=table.first):
        tank = reader.tank(number, row)
        if tank is None:
            continue
        first = tanks.get(tank.key)
        tanks[tank.key] = _joined(first, tank, log) if first else tank
    reader.tell_strange_equipment()
    for tank in tanks.values():
        if tank.volume_l is None:
            log.at(problems.VOLUME_MISSING, tank.source, tank.id)
        if tank.filled_on and tank.cycled_on and tank.cycled_on < tank.filled_on:
            day = tank.cycled_on.isoformat()
            log.at(problems.CYCLED_BEFORE_FILLED, tank.source, day, tank=tank.id)
    return list(tanks.values()), reader.counter.count(table)


class _Rows:
    """Reads the rows of one sheet of tanks."""

    def __init__(
        self, table: Table, language: Language, log: Log, texts: Texts
    ) -> None:
        self._table, self._words = table, language.words
        self._log, self._texts = log, texts
        self._columns = {column.what: column for column in table.columns}
        self._least = language.reference.limit("smallest-volume")
        self._most_feed = language.reference.limit("largest-feed")
        most = language.reference.limit("largest-volume")
        self._notation = {
            what: Notation(
                self._decimal_mark(what),
                *((self._least, most) if what == "volume" else ()),
            )
            for what, *_ in _QUANTITIES.values()
        }
        self._dates = {
            what: self._date_column(column)
            for what, column in self._columns.items()
            if what in ("filled on", "cycled on")
        }
        self._strange: dict[str, CellAddress] = {}  # equipment no rule counts
        self.counter = Counter()

    def _tell_equipment(self, number: int, unknown: Sequence[str]) -> None:
        """Name in its cell what seems misspelt; keep the rest for one line."""
        for entry in unknown:
            column = self._columns["equipment"]
            where = self._table.sheet.at(number, column.index)
            short = len(entry.split()) <= SHORT_ENTRY
            if short and not self._words.strange("equipment", entry):
                continue  # "no skimmer": said not to be there
            meant = self._words.near("equipment", entry)
            if meant:
                near = f"Did you mean {' or '.join(map(repr, meant))}?"
                self._log.at(problems.EQUIPMENT_MISSPELT, where, entry, near=near)
            elif fold(entry) not in _NO_EQUIPMENT:
                self._strange.setdefault(entry, where)

    def tell_strange_equipment(self) -> None:
        """Name, in one line, the equipment that no rule counts."""
        if not self._strange:
            return
        cells = [f"'{e[:40]}' ({w.cell})" for e, w in self._strange.items()]
        more = f" and {len(cells) - 4} more" if len(cells) > 4 else ""
        self._log.at(
            problems.EQUIPMENT_UNKNOWN,
            next(iter(self._strange.values())),
            ", ".join(cells[:4]) + more,
            accepted=self._words.accepted("equipment"),
        )

    def _decimal_mark(self, what: str) -> str:
        column = self._columns.get(what)
        cells = [row[column.index] for row in self._table.rows] if column else []
        return mark_for_decimals(cell for cell in cells if isinstance(cell, str))

    def _date_column(self, column: Column) -> DateColumn:
        dates = DateColumn(
            [row[column.index] for row in self._table.rows],
            self._words,
            date1904=self._table.sheet.date1904,
            order=self._table.date_order or hint_of(column.header),
        )
        date_notes(self._table, column, dates, self._log)
        return dates

    def tank(self, number: int, row: Row) -> Tank | None:
        if all(blank(cell) for cell in row):
            return None
        id_column = self._columns["tank"]
        cell = row[id_column.index]
        where = self._table.sheet.at(number, id_column.index)
        written = self._texts.of(cell, 100) if isinstance(cell, str) else id_text(cell)
        key = tank_key(written)
        if not key:
            self.counter.left_out += 1
            index = id_column.index
            tell_tank(self._table, number, index, cell, TankIds(), self._log)
            return None
        if written == id_column.header:
            self.counter.left_out += 1
            self._log.at(problems.HEADER_AGAIN, where, written)
            return None
        self.counter.read += 1
        fields: dict[str, Any] = {
            what: self._texts.of(self._cell(row, what)) for what in _TEXTS
        }
        for field, (what, kinds, low, high) in _QUANTITIES.items():
            fields[field] = self._quantity(number, row, field, what, kinds, low, high)
        self._doubt_feed(number, fields)
        livestock = self._word(number, row, "livestock", "livestock")
        equipment = self._texts.of(self._cell(row, "equipment"))
        known, unknown = self._words.items("equipment", equipment)
        self._tell_equipment(number, unknown)
        # Equipment that no rule asks about is still equipment: kept as written.
        return Tank(
            id=written.strip(),
            key=key,
            source=where,
            displays=tuple(split_list(self._texts.of(self._cell(row, "displays")))),
            round_order=self._whole(number, row, "round order"),
            livestock=livestock,
            rock=self._word(number, row, "rock", "rock"),
            filled_on=self._day(number, row, "filled on"),
            cycled_on=self._day(number, row, "cycled on"),
            equipment=known + unknown,
            fish=self._whole(number, row, "fish"),
            in_use=self._word(number, row, "in use", "yes-no") != "no",
            **fields,
        )

    # -- one cell

    def _cell(self, row: Row, what: str) -> Any:
        column = self._columns.get(what)
        return row[column.index] if column else ""

    def _left_out(self, number: int, what: str, kind: Kind, /, **facts: object) -> None:
        column = self._columns[what]
        cell = self._table.sheet.rows[number][column.index]
        where = self._table.sheet.at(number, column.index)
        self._log.at(kind, where, shown(cell), **facts)

    def _quantity(
        self,
        number: int,
        row: Row,
        field: str,
        what: str,
        kinds: tuple[str, ...],
        low: float,
        high: float,
    ) -> float | None:
        column = self._columns.get(what)
        if column is None:
            return None
        notation = self._notation[what]
        found = quantity(row[column.index], kinds, column.unit, self._words, notation)
        if found is None:
            return None
        ways: dict[str, object] = {}
        value: float | None = None
        kind = problems.NUMBER_UNREADABLE
        if isinstance(found, Quantity):
            value = _in_kept_unit(field, found, kinds)
        else:
            kind, ways = found.kind, dict(found.facts)
        if value is None or not isinstance(found, Quantity):
            units = accepted(kinds)
            self._left_out(number, what, kind, what=what, accepted=units, **ways)
            return None
        if not low < value <= high or (field == "volume_l" and value < self._least):
            must = _MUST[field].format(least=self._least)
            self._left_out(
                number, what, problems.NUMBER_IMPOSSIBLE, what=what, must=must
            )
            return None
        if found.settled:
            read = f"{found.number:.10g}"
            self._left_out(number, what, problems.NUMBER_READ, read=read)
        if found.unit == "US gal" and self._bare_gallons(row[column.index], column):
            self._left_out(number, what, problems.GALLONS_READ)
        return value

    def _doubt_feed(self, number: int, fields: dict[str, Any]) -> None:
        """Leave out feed that no water of that volume could take."""
        feed, volume = fields["feed_g_day"], fields["volume_l"]
        if not feed or not volume or feed <= self._most_feed * volume:
            return
        fields["feed_g_day"] = None
        must = f"at most {self._most_feed * volume:g} g a day in {volume:g} L"
        self._left_out(
            number, "feed", problems.NUMBER_IMPOSSIBLE, what="feed", must=must
        )

    @staticmethod
    def _bare_gallons(cell: Any, column: Column) -> bool:
        written = f"{cell if isinstance(cell, str) else ''} {column.header}".casefold()
        return "us" not in written

    def _whole(self, number: int, row: Row, what: str) -> int | None:
        column = self._columns.get(what)
        if column is None:
            return None
        cell = row[column.index]
        if isinstance(cell, str) and cell.strip().casefold().endswith("fish"):
            cell = cell.strip()[:-4]
        found = quantity(cell, (), "", self._words)
        if found is None:
            return 0 if what == "fish" and str(cell).casefold() == "none" else None
        if isinstance(found, Quantity) and 0 <= found.number < 1e6:
            return round(found.number)
        self._left_out(number, what, problems.NUMBER_UNREADABLE, what=what, accepted="")
        return None

    def _word(self, number: int, row: Row, what: str, name: str) -> str:
        text = self._texts.of(self._cell(row, what))
        if not text or set(text) <= set("-– "):
            return ""
        word = self._words.word(name, text)
        found = (word,) if word else self._words.words_in(name, text)
        if len(found) == 1:
            return found[0]
        self._left_out(
            number,
            what,
            problems.WORD_UNKNOWN,
            what=what,
            accepted=self._words.accepted(name),
        )
        return ""

    def _day(self, number: int, row: Row, what: str) -> date | None:
        dates = self._dates.get(what)
        cell = self._cell(row, what)
        if dates is None or blank(cell):
            return None
        if isinstance(cell, str) and self._words.word("result", cell) == "not tested":
            return None
        found = dates.read(cell)
        if isinstance(found, Moment):
            return found.day
        kind = problems.without_value(found.kind)
        self._left_out(number, what, kind, **dict(found.facts))
        return None


def _in_kept_unit(field: str, found: Quantity, kinds: tuple[str, ...]) -> float | None:
    if field == "protein":
        return share(found)
    for kind in kinds:
        try:
            value = converted(found, kind)
        except KeyError:
            continue  # the unit is of another kind that fits
        # Masses are kept in grams; rock alone is counted in kilograms.
        return value / 1000 if field == "rock_kg" and found.unit else value
    return None


# --------------------------------------------------------------- the same tank twice

_FIELDS = (
    "volume_l", "name", "place", "keeper", "group", "displays", "round_order",
    "livestock", "rock", "rock_kg", "filled_on", "cycled_on", "equipment", "fish",
    "feed_g_day", "protein", "notes",
)  # fmt: skip
_TELLING = {"volume_l": "the volume", "filled_on": "the day it was filled"}


def _joined(first: Tank, second: Tank, log: Log) -> Tank:
    differs = [
        said
        for field, said in _TELLING.items()
        if None not in (getattr(first, field), getattr(second, field))
        and getattr(first, field) != getattr(second, field)
    ]
    kind = problems.TANK_TWICE_DIFFERS if differs else problems.TANK_TWICE
    log.at(
        kind,
        second.source,
        second.id,
        other=first.id,
        cell=first.source.cell,
        what=" and ".join(differs),
    )
    return filled_up(first, second)


def filled_up(first: Tank, second: Tank) -> Tank:
    """Return the first tank, its blanks filled from the second."""
    blanks: Sequence[Any] = ("", None, ())
    return replace(
        first,
        **{
            field: getattr(second, field)
            for field in _FIELDS
            if getattr(first, field) in blanks
        },
    )


def same_tank(first: Tank, second: Tank) -> bool:
    """Say whether nothing speaks against two rows being of one tank."""
    pairs: list[Callable[[Tank], Any]] = [lambda t: t.volume_l, lambda t: t.filled_on]
    return all(
        get(first) is None or get(second) is None or get(first) == get(second)
        for get in pairs
    )
