"""Rows of the Bands sheet -> own limits."""

from __future__ import annotations

from fleet import problems
from fleet.read.grid import Row, blank
from fleet.read.log import Log, Texts, shown
from fleet.read.rows import RowReader
from fleet.read.table import Language, Table, id_text
from fleet.read.tank_ids import TankIds
from fleet.records import Band, SheetCount
from fleet.spelling import fold


def read_bands(
    table: Table, tanks: TankIds, language: Language, log: Log, texts: Texts
) -> tuple[list[Band], SheetCount]:
    """Return the own limits of one sheet, their numbers in the unit written."""
    rows = RowReader(table, language, log, texts)
    bands = []
    for number, row in rows.rows():
        band = _band(rows, tanks, number, row)
        rows.counter.read += band is not None
        rows.counter.left_out += band is None
        bands += [band] if band else []
    return bands, rows.counter.count(table)


def _band(rows: RowReader, tanks: TankIds, number: int, row: Row) -> Band | None:
    subject = _subject(rows, tanks, number, row)
    measured = rows.measured(number, row, "parameter")
    stage = ""
    written = rows.text(row, "stage")
    if written and fold(written) not in ("all", "any", "every"):
        stage = rows.language.words.word("stage", written) or ""
        if not stage:
            stages = rows.language.words.accepted("stage")
            where = rows.at(number, "stage")
            rows.log.at(problems.STAGE_UNKNOWN, where, written, accepted=stages)
            return None
    if subject is None or measured is None:
        return None
    low, high = rows.number(number, row, "low"), rows.number(number, row, "high")
    if low is None and high is None:
        rows.log.at(problems.BAND_EMPTY, rows.at(number, "low"))
        return None
    if low and high and low.number > high.number:
        where = rows.at(number, "low")
        top = f"{high.number:g}"
        rows.log.at(problems.BAND_UPSIDE_DOWN, where, f"{low.number:g}", high=top)
        return None
    meaning, unit = measured
    livestock, tank = subject
    return Band(
        parameter=meaning.parameter,
        low=low.number if low else None,
        high=high.number if high else None,
        livestock=livestock,
        tank=tank,
        stage=stage,
        basis="workbook",
        written_at=rows.at(number, "parameter"),
        unit=unit,
    )


def _subject(
    rows: RowReader, tanks: TankIds, number: int, row: Row
) -> tuple[str, str] | None:
    """Return livestock and tank key that a band is for; both blank for all."""
    livestock = tank = ""
    for what in ("subject", "livestock", "tank"):
        cell = rows.cell(row, what)
        if blank(cell) or fold(id_text(cell)) in ("all", "any", "every", "alltanks"):
            continue
        found = tanks.find(cell) if what != "livestock" else None
        word = rows.language.words.word("livestock", id_text(cell))
        if found:
            tank = found.key
        elif word and what != "tank":
            livestock = word
        else:
            rows.log.at(
                problems.BAND_SUBJECT_UNKNOWN,
                rows.at(number, what),
                shown(cell),
                accepted=rows.language.words.accepted("livestock"),
            )
            return None
    return livestock, tank
