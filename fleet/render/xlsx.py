"""``summary.xlsx``: the round as a workbook to filter, hand out and tick off.

Numbers are numbers, in the unit their header names; verdicts are words, not
colours. Every text is written as text: what a cell of the input held is never a
formula here.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Literal, NamedTuple

from openpyxl import Workbook
from openpyxl.cell import WriteOnlyCell
from openpyxl.styles import Alignment, Border, Font, PatternFill, Side
from openpyxl.utils import get_column_letter

from fleet.records import Action, Measurement, Report, TankReport
from fleet.reference import Reference
from fleet.render.display import LITRES_PER_US_GALLON
from fleet.render.json_findings import number
from fleet.render.json_report import substance_name
from fleet.render.safe import for_sheet
from fleet.render.same_bytes import save
from fleet.render.summary import Line, as_read, best_value, lines
from fleet.render.tables import parameters
from fleet.render.wording import Wording

if TYPE_CHECKING:
    from openpyxl.worksheet._write_only import WriteOnlyWorksheet

Value = str | float | date | None

FACE = "Calibri"  # a font without a name comes out with serifs in LibreOffice
_TOP = Alignment(vertical="top")
_WRAP = Alignment(wrap_text=True, vertical="top")
_HEAD = Alignment(wrap_text=True, vertical="center")
_BOX = Border(*(Side("thin", color="808080") for _ in range(4)))


class Column(NamedTuple):
    """One column of a sheet: its header, width in characters, and what it holds."""

    header: str
    width: float
    kind: Literal["text", "long", "number", "day", "box"] = "text"


class Sheet:
    """One sheet: a frozen header that filters, then rows, top to bottom."""

    def __init__(self, book: Workbook, title: str, columns: list[Column]) -> None:
        self._sheet: WriteOnlyWorksheet = book.create_sheet(title)
        self._last = get_column_letter(len(columns))
        self._rows = 1
        for place, column in enumerate(columns, start=1):
            letter = get_column_letter(place)
            self._sheet.column_dimensions[letter].width = column.width
        self._sheet.freeze_panes = "B2"
        self._sheet.print_title_rows = "1:1"
        self._sheet.page_setup.orientation = "landscape"
        self._sheet.page_setup.fitToHeight = 0
        self._sheet.sheet_properties.pageSetUpPr.fitToPage = True
        self._sheet.append([_header(self._sheet, column) for column in columns])
        # Styling a cell costs more than writing it: one cell a column is styled,
        # and filled anew for each row.
        self._cells = [_cell(self._sheet, column) for column in columns]

    def add(self, values: Iterable[Value]) -> None:
        """Add a row; ``None`` and the empty text leave a cell blank."""
        self._rows += 1
        self._sheet.append(self._filled(values))

    def _filled(self, values: Iterable[Value]) -> Iterator[WriteOnlyCell | None]:
        for cell, value in zip(self._cells, values, strict=True):
            if isinstance(value, str):
                cell.value = for_sheet(value)
                cell.data_type = "s"  # openpyxl takes "=…" for a formula
            elif value is None and not cell.border.left.style:
                yield None
                continue
            else:
                cell.value = value
            yield cell

    def close(self) -> None:
        """Let the header filter all the rows."""
        self._sheet.auto_filter.ref = f"A1:{self._last}{self._rows}"


def _header(sheet: WriteOnlyWorksheet, column: Column) -> WriteOnlyCell:
    cell = WriteOnlyCell(sheet, for_sheet(column.header))
    cell.data_type = "s"
    cell.font = Font(name=FACE, bold=True)
    cell.fill = PatternFill("solid", fgColor="E4E4E4")
    cell.alignment = _HEAD
    return cell


def _cell(sheet: WriteOnlyWorksheet, column: Column) -> WriteOnlyCell:
    cell = WriteOnlyCell(sheet)
    cell.font = Font(name=FACE)
    cell.alignment = _WRAP if column.kind == "long" else _TOP
    if column.kind == "day":
        cell.number_format = "yyyy-mm-dd"
    if column.kind == "box":
        cell.border = _BOX
    return cell


def write(report: Report, wording: Wording, reference: Reference, path: Path) -> None:
    """Write ``summary.xlsx``; equal reports give equal bytes."""
    Book(report, wording, reference).write(path)


class Book:
    """The workbook of one report, sheet by sheet."""

    def __init__(self, report: Report, wording: Wording, reference: Reference) -> None:
        self._report = report
        self._wording = wording
        self._reference = reference
        self._book = Workbook(write_only=True)
        self._titles: set[str] = set()

    def write(self, path: Path) -> None:
        """Write all sheets."""
        self._summary()
        self._actions()
        self._weighing()
        self._shopping()
        self._readings()
        self._problems()
        self._about()
        properties = self._book.properties
        properties.creator = self._report.made_by
        properties.title = for_sheet(self._report.settings.organisation) or None
        save(self._book, path, self._report.as_of)

    # -- small forms

    def _sheet(self, title: str, *columns: Column) -> Sheet:
        """Add a sheet; its title is a label, held to what a workbook allows."""
        label = for_sheet(self._wording.label(title, "tab"))
        for character in "[]:*?/\\":
            label = label.replace(character, " ")
        label = label.strip("' ")[:31]
        if not label or label.casefold() in self._titles:
            label = title
        self._titles.add(label.casefold())
        return Sheet(self._book, label, list(columns))

    def _column(
        self,
        name: str,
        width: float,
        kind: Literal["text", "long", "number", "day", "box"] = "text",
        unit: str = "",
    ) -> Column:
        header = self._wording.label(name, "column")
        return Column(f"{header} ({unit})" if unit else header, width, kind)

    def _litres(self, litres: float | None) -> float | None:
        if litres is None or self._report.settings.units != "US":
            return number(litres)
        return number(litres / LITRES_PER_US_GALLON)

    @property
    def _volume_unit(self) -> str:
        return "US gal" if self._report.settings.units == "US" else "L"

    def _shown(self, parameter: str, value: float | None) -> float | None:
        if value is None:
            return None
        return number(self._wording.display.shown(parameter, value))

    # -- the sheets

    def _summary(self) -> None:
        column, label = self._column, self._wording.label
        used = [name for name in parameters(self._reference) if self._has(name)]
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
            column("volume", 10, "number", self._volume_unit),
        ]
        for name in used:
            head = label(name, "parameter")
            unit = self._wording.display.unit(name)
            columns.append(Column(f"{head} ({unit})" if unit else head, 10, "number"))
            columns.append(Column(f"{head}: {label('verdict', 'column')}", 11))
        sheet = self._sheet("summary", *columns)
        for line in lines(self._report, self._wording):
            sheet.add([*self._line(line), *self._values(line.entry, used)])
        sheet.close()

    def _has(self, parameter: str) -> bool:
        return any(
            finding is not None and (finding.latest or finding.doubted)
            for finding in (t.findings.of(parameter) for t in self._report.tanks)
        ) or parameter in ("nitrate", "phosphate")

    def _line(self, line: Line) -> list[Value]:
        label, tank, plan = self._wording.label, line.tank, line.entry.plan
        return [
            label(plan.attention, "attention"),
            tank.id,
            tank.name,
            tank.place,
            tank.keeper,
            tank.group,
            label(tank.livestock, "livestock"),
            label(line.entry.findings.stage.name, "stage"),
            plan.score,
            line.headline,
            line.first_what,
            line.first.when if line.first else None,
            line.next_retest,
            label(line.change.word, "change") if line.change else None,
            self._litres(tank.volume_l),
        ]

    def _values(self, entry: TankReport, used: list[str]) -> Iterator[Value]:
        for name in used:
            finding = entry.findings.of(name)
            if finding is None:
                yield from (None, None)
                continue
            yield self._reading(finding.latest) if finding.latest else None
            yield self._wording.label(finding.verdict, "verdict")

    def _reading(self, measured: Measurement) -> Value:
        """Return a number, or a text such as ``<2`` where there is none."""
        value = best_value(measured)
        if value is None:
            return as_read(measured, self._wording.display)
        return self._shown(measured.parameter, value)

    def _actions(self) -> None:
        column = self._column
        sheet = self._sheet(
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
        label, plain = self._wording.label, self._wording.plain
        for entry, action in self._in_order():
            tank = entry.tank
            sheet.add(
                [
                    tank.id,
                    tank.place,
                    tank.keeper,
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
                ]
            )
        sheet.close()

    def _in_order(self) -> Iterator[tuple[TankReport, Action]]:
        for entry in self._report.tanks:
            for action in sorted(entry.plan.actions, key=lambda a: a.priority):
                yield entry, action

    def _weighing(self) -> None:
        column = self._column
        sheet = self._sheet(
            "weighing",
            column("substance", 26),
            column("tank", 11),
            column("place", 18),
            column("from-day", 12, "day"),
            column("days", 8, "number"),
            column("each-day", 12, "number", "g"),
            column("each-day", 12, "number", "mL"),
            column("stock-strength", 12, "number", "g/L"),
            column("in-all", 12, "number", "g"),
            column("weighed", 12, "box"),
        )
        doses = [(e, a) for e, a in self._in_order() if a.kind == "dose"]
        for entry, action in sorted(doses, key=lambda dose: dose[1].substance):
            sheet.add(
                [
                    self._substance(action.substance),
                    entry.tank.id,
                    entry.tank.place,
                    action.when,
                    action.days,
                    number(action.per_day_g),
                    number(action.per_day_ml),
                    number(action.stock_g_per_l),
                    number(action.amount_g),
                    None,
                ]
            )
        sheet.close()

    def _substance(self, key: str) -> str:
        known = key in self._reference.salts
        name = substance_name(key, self._reference)
        shown = self._wording.label(key, "salt") if known else name
        return name if shown == key else shown

    def _shopping(self) -> None:
        column = self._column
        sheet = self._sheet(
            "shopping",
            column("substance", 34),
            column("needed", 12, "number", "g"),
            column("on-hand", 12, "number", "g"),
            column("to-get", 12, "number", "g"),
        )
        for line in self._report.shopping:
            short = None
            if line.on_hand_g is not None:
                short = number(max(line.total_g - line.on_hand_g, 0.0))
            sheet.add(
                [
                    self._substance(line.substance),
                    number(line.total_g),
                    number(line.on_hand_g),
                    short,
                ]
            )
        sheet.close()

    def _readings(self) -> None:
        """List each result that the report rests on, or does not believe."""
        column = self._column
        sheet = self._sheet(
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
        for entry in self._report.tanks:
            for finding in entry.findings.findings:
                believed = (finding.latest,) if finding.latest else ()
                for measured in (*believed, *finding.doubted):
                    sheet.add(self._result(entry.tank.id, measured))
        sheet.close()

    def _result(self, tank: str, measured: Measurement) -> list[Value]:
        name, where = measured.parameter, measured.source
        doubt = measured.doubt
        return [
            tank,
            measured.taken_on,
            self._wording.label(name, "parameter"),
            measured.written,
            self._shown(name, best_value(measured)),
            self._shown(name, measured.low),
            self._shown(name, measured.high),
            self._wording.display.unit(name),
            measured.method.name,
            f"{where.sheet}!{where.cell}",
            self._wording.plain(doubt.why) if doubt else None,
        ]

    def _problems(self) -> None:
        column = self._column
        sheet = self._sheet(
            "problems",
            column("file", 22),
            column("sheet", 14),
            column("cell", 8),
            column("found", 20),
            column("effect", 18),
            column("message", 90, "long"),
        )
        for problem in self._report.problems:
            where = problem.where
            effect = self._wording.label(problem.effect, "left-out")
            sheet.add(
                [where.file, where.sheet, where.cell, problem.value, effect,
                 problem.message]
            )  # fmt: skip
        sheet.close()

    def _about(self) -> None:
        column, report = self._column, self._report
        sheet = self._sheet("about", column("fact", 24), column("value", 80, "long"))
        label = self._wording.label
        sheet.add([label("organisation", "column"), report.settings.organisation])
        sheet.add([label("contact", "column"), report.settings.contact])
        sheet.add([label("as-of", "column"), report.as_of.isoformat()])
        if report.since:
            sheet.add([label("compared-with", "column"), report.since.isoformat()])
        sheet.add([label("made-by", "column"), report.made_by])
        for source in report.sources:
            fate = source.failed or f"SHA-256 {source.sha256}"
            sheet.add([label("file", "column"), f"{source.name}: {fate}"])
        for count in report.counts:
            place = f"{count.file}, {count.sheet}"
            rows = f"{count.rows}, {count.read}, {count.left_out}"
            sheet.add([label("rows-read", "column"), f"{place}: {rows}"])
        sheet.close()
