"""``summary.xlsx``: the round as a workbook to filter, hand out and tick off.

Numbers are numbers, in the unit their header names; verdicts are words, not
colours. Every text is written as text: what a cell of the input held is never a
formula here.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from fleet.records import Action, Measurement, Report, TankReport
from fleet.reference import Reference
from fleet.render.json_findings import number
from fleet.render.needed import listed
from fleet.render.stock_words import bottle_words
from fleet.render.summary import Line, as_written, best_value, lines
from fleet.render.tables import parameters
from fleet.render.wording import Wording
from fleet.render.xlsx_sheet import Book, Column, Value


def write(report: Report, wording: Wording, reference: Reference, path: Path) -> None:
    """Write ``summary.xlsx``."""
    book = Book(report, wording, reference)
    _summary(book)
    _actions(book)
    _weighing(book)
    _shopping(book)
    _readings(book)
    _problems(book)
    _about(book)
    book.save(path)


def _summary(book: Book) -> None:
    """One line a tank, worst first."""
    column, label = book.column, book.label
    used = _used(book)
    columns = [
        column("attention", 11),
        column("tank", 11),
        column("name", 18),
        column("place", 18),
        column("keeper", 12),
        column("group", 14),
        column("livestock", 13),
        column("stage", 12),
        column("score", 7, "number"),
        column("headline", 50, "long"),
        column("first", 50, "long"),
        column("when", 12, "day"),
        column("retest", 12, "day"),
        column("since", 12),
        column("volume", 10, "number", book.volume_unit),
    ]
    for name in used:
        head, unit = label(name, "parameter"), book.wording.display.unit(name)
        columns.append(Column(f"{head} ({unit})" if unit else head, 13, "number"))
        columns.append(Column(f"{head}: {label('verdict', 'column')}", 14))
    sheet = book.sheet("summary", *columns)
    for line in lines(book.report, book.wording):
        sheet.add(*_line(book, line), *_values(book, line.entry, used))


def _used(book: Book) -> list[str]:
    """Return the parameters that any tank was tested for; the nutrients always."""
    found = {
        finding.parameter
        for entry in book.report.tanks
        for finding in entry.findings.findings
        if finding.latest or finding.doubted
    }
    found |= {"nitrate", "phosphate"}
    return [name for name in parameters(book.reference) if name in found]


def _line(book: Book, line: Line) -> list[Value]:
    label, tank, plan = book.label, line.tank, line.entry.plan
    return [
        label(plan.attention, "attention"),
        tank.id,
        tank.name,
        tank.place,
        tank.keeper,
        tank.group,
        label(tank.livestock, "livestock") if tank.livestock else None,
        label(line.entry.findings.stage.name, "stage"),
        plan.score,
        line.headline,
        line.first_what,
        line.first.when if line.first else None,
        line.next_retest,
        label(line.change.word, "change") if line.change else None,
        book.volume(tank.volume_l),
    ]


def _values(book: Book, entry: TankReport, used: list[str]) -> Iterator[Value]:
    for name in used:
        finding = entry.findings.of(name)
        if finding is None:
            yield from (None, None)
            continue
        yield book.result(finding.latest) if finding.latest else None
        yield book.label(finding.verdict, "verdict")


def _actions(book: Book) -> None:
    """One line a thing to do, with boxes to sign: the list to hand out."""
    column, label, plain = book.column, book.label, book.wording.plain
    sheet = book.sheet(
        "actions",
        column("tank", 11),
        column("place", 18),
        column("keeper", 12),
        column("attention", 11),
        column("order", 7, "number"),
        column("when", 12, "day"),
        column("until", 12, "day"),
        column("kind", 13),
        column("what", 60, "long"),
        column("why", 50, "long"),
        column("stop-if", 40, "long"),
        column("done-by", 14, "box"),
        column("done-on", 12, "box"),
    )
    for entry, action in _in_order(book.report):
        sheet.add(
            entry.tank.id,
            entry.tank.place,
            entry.tank.keeper,
            label(entry.plan.attention, "attention"),
            action.priority,
            action.when,
            action.until,
            label(action.kind, "kind"),
            plain(action.what),
            plain(action.why),
            plain(action.stop_if) if action.stop_if else None,
            None,
            None,
        )


def _in_order(report: Report) -> Iterator[tuple[TankReport, Action]]:
    for entry in report.tanks:
        for action in sorted(entry.plan.actions, key=lambda a: a.priority):
            yield entry, action


def _weighing(book: Book) -> None:
    """One line a dose, substance by substance: mL, since few grams can be weighed."""
    column = book.column
    sheet = book.sheet(
        "weighing",
        column("substance", 26),
        column("tank", 11),
        column("place", 18),
        column("from-day", 12, "day"),
        column("days", 8, "number"),
        column("each-day", 12, "number", "mL"),
        column("stock-strength", 12, "number", "g/L"),
        column("in-all", 12, "number", "mL"),
        column("measured", 12, "box"),
    )
    doses = [dose for dose in _in_order(book.report) if dose[1].kind == "dose"]
    for entry, action in sorted(doses, key=lambda dose: dose[1].substance):
        sheet.add(
            book.substance(action.substance),
            entry.tank.id,
            entry.tank.place,
            action.when,
            action.days,
            number(action.per_day_ml),
            number(action.stock_g_per_l),
            number(action.amount_ml),
            None,
        )


def _shopping(book: Book) -> None:
    """One line a substance: needed, at hand, to get."""
    column = book.column
    sheet = book.sheet(
        "shopping",
        column("substance", 34),
        column("needed", 12, "number", "g"),
        column("on-hand", 12, "number", "g"),
        column("to-get", 12, "number", "g"),
        column("solution", 60, "long"),
    )
    for line in book.report.shopping:
        known = line.on_hand_g is not None
        short = max(line.weighed_g - (line.on_hand_g or 0.0), 0.0)
        sheet.add(
            book.substance(line.substance),
            number(line.weighed_g),
            number(line.on_hand_g),
            number(short) if known else None,
            " ".join(book.wording.plain(bottle_words(b)) for b in line.bottles) or None,
        )


def _readings(book: Book) -> None:
    """One line a result that counts, and one that is doubted: how it was understood.

    What was read before that is in the workbook itself. Half a year of weekly tests
    of some thousands of tanks would not fit on a sheet (1 048 576 rows).
    """
    column = book.column
    sheet = book.sheet(
        "readings",
        column("tank", 11),
        column("taken-on", 12, "day"),
        column("parameter", 22),
        column("written", 12),
        column("value", 10, "number"),
        column("lowest", 10, "number"),
        column("highest", 10, "number"),
        column("unit", 9),
        column("method", 30),
        column("cell", 24),
        column("doubt", 50, "long"),
    )
    for entry in book.report.tanks:
        for finding in entry.findings.findings:
            for measured in listed(finding):
                sheet.add(entry.tank.id, *_result(book, measured))


def _result(book: Book, measured: Measurement) -> list[Value]:
    name, where = measured.parameter, measured.source
    return [
        measured.taken_on,
        book.label(name, "parameter"),
        as_written(measured, book.wording),
        book.shown(name, best_value(measured)),
        book.shown(name, measured.low),
        book.shown(name, measured.high),
        book.wording.display.unit(name),
        _method(book, measured),
        f"{where.sheet}!{where.cell}",
        book.wording.plain(measured.doubt.why) if measured.doubt else None,
    ]


def _method(book: Book, measured: Measurement) -> str:
    """Return a test method as the workbook names it, or the kind it was taken for."""
    method = measured.method
    known = method.class_key if method.assumed and method.class_key else method.name
    return book.wording.label(known, "method")


def _problems(book: Book) -> None:
    """One line a cell that was left out, or read as something else."""
    column = book.column
    sheet = book.sheet(
        "problems",
        column("file", 22),
        column("sheet", 14),
        column("cell", 8),
        column("written", 20),
        column("effect", 18),
        column("message", 90, "long"),
    )
    for problem in book.report.problems:
        where = problem.where
        sheet.add(
            where.file,
            where.sheet,
            where.cell,
            problem.value,
            book.label(problem.effect, "effect-text"),
            problem.message,
        )


def _about(book: Book) -> None:
    """Which report this is and what it was made from."""
    report = book.report
    sheet = book.sheet(
        "about", book.column("fact", 26), book.column("content", 90, "long")
    )
    facts = [
        ("organisation", report.settings.organisation),
        ("contact", report.settings.contact),
        ("as-of", report.as_of.isoformat()),
        ("compared-with", report.since.isoformat() if report.since else ""),
        ("made-by", report.made_by),
    ]
    facts += [
        ("file", f"{source.name}: {source.failed or f'SHA-256 {source.sha256}'}")
        for source in report.sources
    ]
    facts += [
        ("rows-read", f"{count.file}, {count.sheet}: {count.read} / {count.rows}")
        for count in report.counts
    ]
    for name, content in facts:
        if content:
            sheet.add(book.label(name, "column"), content)
