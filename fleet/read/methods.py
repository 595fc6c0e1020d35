"""Rows of the Methods sheet -> test methods."""

from __future__ import annotations

from fleet import problems
from fleet.read.grid import Row
from fleet.read.headers import Meaning
from fleet.read.log import Log, Texts
from fleet.read.rows import RowReader
from fleet.read.table import Language, Table
from fleet.read.words import Words
from fleet.records import Method, SheetCount
from fleet.spelling import fold

_NUMBERS = ("lowest", "step", "accuracy", "highest")


def read_methods(
    table: Table, language: Language, log: Log, texts: Texts
) -> tuple[list[Method], SheetCount]:
    """Return the test methods of one sheet, their numbers in the unit written."""
    rows = RowReader(table, language, log, texts)
    methods: dict[tuple[str, str], Method] = {}
    for number, row in rows.rows():
        method = _method(rows, number, row)
        key = (fold(method.name), method.measures) if method else ("", "")
        if method and key in methods:
            log.at(
                problems.METHOD_TWICE,
                rows.at(number, "method"),
                method.name,
                parameter=method.measures,
            )
        if method and key not in methods:
            methods[key] = method
            rows.counter.read += 1
        else:
            rows.counter.left_out += 1
    return list(methods.values()), rows.counter.count(table)


def _method(rows: RowReader, number: int, row: Row) -> Method | None:
    name = rows.text(row, "method")
    if not name:
        rows.log.at(problems.METHOD_UNNAMED, rows.at(number, "method"))
        return None
    what = "measures" if rows.text(row, "measures") else "method"
    measured = rows.measured(number, row, what)
    if measured is None:
        return None
    meaning, unit = measured
    found: dict[str, float | None] = {}
    for what in _NUMBERS:
        kinds = ("share",) if what == "accuracy" else ()
        read = rows.number(number, row, what, kinds)
        found[what] = read.number if read else None
        if read and read.unit == "%":
            found["accuracy"], found["share"] = None, read.number / 100
    percent = rows.number(number, row, "accuracy share", ("share",))
    if percent:
        found["share"] = percent.number / 100
    return Method(
        name=name,
        measures=meaning.parameter,
        kind=_kind(rows.language.words, rows.text(row, "kind"), meaning),
        lowest=found["lowest"],
        step=found["step"],
        accuracy=found["accuracy"],
        accuracy_share=found.get("share"),
        highest=found["highest"],
        source=rows.at(number, "method"),
        unit=unit,
    )


def _kind(words: Words, written: str, meaning: Meaning) -> str:
    """Return the kind of method a row states, "" where only its name can tell."""
    stated = written or meaning.method
    return (words.word("method-kind", stated) or "") if stated else ""
