"""Rows of the Shelf sheet -> what there is to dose with."""

from __future__ import annotations

import math

from fleet import problems
from fleet.read.grid import Row
from fleet.read.log import Log, Texts, shown
from fleet.read.quantities import converted, share
from fleet.read.rows import RowReader
from fleet.read.table import Language, Table
from fleet.records import SheetCount, ShelfItem

_ROUNDING = 1e-9


def read_shelf(
    table: Table, language: Language, log: Log, texts: Texts
) -> tuple[list[ShelfItem], SheetCount]:
    """Return what there is to dose with."""
    rows = RowReader(table, language, log, texts)
    items = []
    for number, row in rows.rows():
        item = _item(rows, number, row)
        rows.counter.read += item is not None
        rows.counter.left_out += item is None
        items += [item] if item else []
    return items, rows.counter.count(table)


def _item(rows: RowReader, number: int, row: Row) -> ShelfItem | None:
    written = rows.text(row, "substance")
    key = rows.language.salts.of(written)
    where = rows.at(number, "substance")
    if not key:
        names = ", ".join(
            salt.spellings[0]
            for salt in rows.language.reference.salts.values()
            if salt.dose
        )
        rows.log.at(problems.SUBSTANCE_UNKNOWN, where, written, accepted=names)
        return None
    purity = rows.number(number, row, "purity", ("share",))
    pure = 1.0
    if purity:
        pure = share(purity)
        if not 0 < pure <= 1:
            rows.log.at(
                problems.NUMBER_IMPOSSIBLE,
                rows.at(number, "purity"),
                shown(rows.cell(row, "purity")),
                what="purity",
                must="from 0 to 100 %",
            )
            return None
    on_hand = rows.number(number, row, "on hand", ("mass",))
    strength = rows.number(number, row, "strength", ("strength", "share"))
    grams_per_litre = None
    if strength and strength.number > 0:
        # A solution of 10 % by volume holds 100 g in a litre.
        percent = strength.unit == "%"
        grams_per_litre = (
            strength.number * 10 if percent else converted(strength, "strength")
        )
        _tell_too_strong(rows, number, row, key, grams_per_litre)
    return ShelfItem(
        substance=key,
        written=written,
        purity=pure,
        on_hand_g=converted(on_hand, "mass") if on_hand else None,
        stock_g_per_l=grams_per_litre,
        source=where,
    )


def _tell_too_strong(
    rows: RowReader, number: int, row: Row, key: str, strength: float
) -> None:
    """Say that a bottle cannot hold what its label says.

    The strength is kept: who doses from such a bottle has to be told to stop.
    """
    salt = rows.language.reference.salts[key]
    if strength > salt.strongest_stock * (1 + _ROUNDING):
        rows.log.at(
            problems.BOTTLE_IMPOSSIBLE,
            rows.at(number, "strength"),
            shown(rows.cell(row, "strength")),
            substance=key,
            most=math.floor(salt.strongest_stock),
        )
