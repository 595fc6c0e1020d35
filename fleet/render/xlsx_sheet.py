"""Sheets of a workbook, row by row: headers, cells, titles and units."""

from __future__ import annotations

import re
from datetime import date
from math import ceil, isfinite
from pathlib import Path

from fleet.records import Measurement, Report
from fleet.reference import Reference
from fleet.render.display import LITRES_PER_US_GALLON
from fleet.render.json_findings import number
from fleet.render.json_report import substance_name
from fleet.render.safe import for_sheet
from fleet.render.summary import as_read, best_value
from fleet.render.wording import Wording
from fleet.render.xlsx_file import (
    LINE,
    STYLE,
    About,
    Column,
    Kind,
    SheetPart,
    inline,
    letters_of,
    serial,
    write,
)

Value = str | float | date | None

LONGEST_TITLE = 31  # characters of a sheet's name
MOST_LINES = 27  # a row can be 409 points high


class Sheet:
    """One sheet, whose rows are put together here, top to bottom."""

    def __init__(self, title: str, columns: list[Column], texts: Texts) -> None:
        self._title, self._columns, self._texts = title, columns, texts
        # Address and style of a cell stand round the number of its row.
        self._cells = [
            (
                f'<c r="{letters_of(place)}',
                f'" s="{STYLE[column.kind]}"',
                column.kind == "box",
            )
            for place, column in enumerate(columns, start=1)
        ]
        self._long = [(n, c.width) for n, c in enumerate(columns) if c.kind == "long"]
        self._rows: list[str] = []

    def add(self, *values: Value) -> None:
        """Add a row, one value a column; None leaves a cell blank."""
        row = len(self._rows) + 2
        parts = [f'<row r="{row}"{self._height(values)}>']
        for (cell, style, box), value in zip(self._cells, values, strict=True):
            if value is None:
                if box:
                    parts.append(f"{cell}{row}{style}/>")
            elif isinstance(value, str):
                text = self._texts[value]
                parts.append(f'{cell}{row}{style} t="inlineStr">{text}</c>')
            elif isinstance(value, date):
                parts.append(f"{cell}{row}{style}><v>{serial(value)}</v></c>")
            else:
                parts.append(f"{cell}{row}{style}><v>{value!r}</v></c>")
        parts.append("</row>")
        self._rows.append("".join(parts))

    def _height(self, values: tuple[Value, ...]) -> str:
        """Return the height that wrapped text needs; not every program works it out."""
        lines = max((ceil(len(str(values[n])) / w) for n, w in self._long), default=1)
        if lines <= 1:
            return ""
        return f' ht="{LINE * min(lines, MOST_LINES)}" customHeight="1"'

    def part(self) -> SheetPart:
        """Return all of it, to be written."""
        return SheetPart(self._title, self._columns, self._rows)


class Texts(dict[str, str]):
    """Texts as a cell holds them; most come again and again, in every row."""

    def __missing__(self, text: str) -> str:
        self[text] = made = inline(for_sheet(text))
        return made


class Book:
    """The workbook of one report, in the report's own words and units."""

    def __init__(self, report: Report, wording: Wording, reference: Reference) -> None:
        self.report = report
        self.wording = wording
        self.reference = reference
        self._sheets: dict[str, Sheet] = {}
        self._texts = Texts()

    def save(self, path: Path) -> None:
        """Write the workbook; equal reports give equal bytes."""
        settings, made_by = self.report.settings, self.report.made_by
        about = About(for_sheet(settings.organisation), made_by, self.report.as_of)
        write(path, [sheet.part() for sheet in self._sheets.values()], about)

    def sheet(self, title: str, *columns: Column) -> Sheet:
        """Add a sheet; its title is a label, held to what a workbook allows."""
        label = for_sheet(self.wording.label(title, "tab"))
        label = " ".join(re.sub(r"[\[\]:*?/\\]", " ", label).split())
        label = label[:LONGEST_TITLE].strip("' ")
        number = 1
        while not label or label.casefold() in self._sheets:
            number += 1
            label = f"{title} {number}"
        made = Sheet(label, list(columns), self._texts)
        self._sheets[label.casefold()] = made
        return made

    def column(
        self, name: str, width: float, kind: Kind = "text", unit: str = ""
    ) -> Column:
        """Return a column headed by the label ``name``, and its unit."""
        header = self.label(name, "column")
        return Column(f"{header} ({unit})" if unit else header, width, kind)

    def label(self, word: str, kind: str) -> str:
        """Return the words for ``word``."""
        return self.wording.label(word, kind)

    def substance(self, key: str) -> str:
        """Return a salt's full name; any other substance as it is."""
        if key in self.reference.salts:
            shown = self.label(key, "salt")
            return shown if shown != key else substance_name(key, self.reference)
        return key

    # -- numbers in the shown unit

    @property
    def volume_unit(self) -> str:
        """The unit that volumes of water are shown in."""
        us = self.report.settings.units == "US"
        return self.label("US gal", "unit") if us else "L"

    def volume(self, litres: float | None) -> float | None:
        """Return a volume of water in that unit."""
        if litres is None or self.report.settings.units != "US":
            return number(litres)
        return number(litres / LITRES_PER_US_GALLON)

    def shown(self, parameter: str, value: float | None) -> float | None:
        """Return a kept value in the shown unit."""
        if value is None:
            return None
        shown = self.wording.display.shown(parameter, value)
        if not isfinite(shown):
            return None
        # Two decimals more than the sheets print: nothing is lost, nothing pretended.
        return round(shown, self.wording.display.decimals(parameter) + 2)

    def result(self, measured: Measurement) -> Value:
        """Return a number, or a text such as ``<2`` where there is none."""
        value = best_value(measured)
        if value is None:
            return as_read(measured, self.wording.display)
        return self.shown(measured.parameter, value)
