"""Workbooks -> one Book: all tanks, readings and work, and every problem met."""

from __future__ import annotations

import gc
from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path

from fleet import problems
from fleet.errors import DataTableError, UnreadableError
from fleet.read.all_tanks import Workbook, join_tanks, tanks_from_readings
from fleet.read.bands import read_bands
from fleet.read.blocks import blocks
from fleet.read.grid import Sheet
from fleet.read.grouped import Found, is_grouped, read_grouped, visits_of
from fleet.read.layout_spec import SheetSpec, specs_of
from fleet.read.log import Log, Texts, content_rows
from fleet.read.methods import read_methods
from fleet.read.open import fingerprint, read_bytes, sheets_of
from fleet.read.readings import Visit, read_readings
from fleet.read.settings import (
    Told,
    read_settings,
    settings_of,
    tell_unknown_methods,
    told_by_headers,
)
from fleet.read.shelf import read_shelf
from fleet.read.sources import CSV_FILES, Source, expand, layout_beside, one_line
from fleet.read.table import Language, Table, language_of
from fleet.read.tank_ids import TankIds
from fleet.read.tanks import read_tanks
from fleet.read.titles import heed_titles
from fleet.read.understand import (
    Alone,
    first_look,
    generic,
    may_name_tanks,
    readings_table,
    tell_not_used,
    tell_opened,
    tell_unused,
)
from fleet.read.work import read_work
from fleet.read.written_once import fill_written_once
from fleet.records import (
    Band,
    Book,
    ColumnUse,
    Method,
    SheetCount,
    ShelfItem,
    SourceFile,
    Tank,
    Work,
)
from fleet.reference import Reference

MOST_LAYOUT = 2 * 2**20  # bytes of a layout file


def read_books(
    paths: Sequence[Path], reference: Reference, *, layout: Path | None = None
) -> Book:
    """Return all that the workbooks hold, as one.

    A file that cannot be read is a `SourceFile` with ``failed`` set; the rest goes on.

    Parameters
    ----------
    paths
        Workbooks, .csv files, or folders of them; the .csv files of a folder are
        the sheets of one workbook.
    layout
        A layout file for all of them. Without it, each takes the one beside it.

    Raises
    ------
    DataTableError
        ``layout`` does not hold what it must.
    """
    run = _Run(reference, _specs(layout) if layout else None)
    # What is made here refers to nothing that refers back: the collector of cycles
    # would find none, and walk the growing book again and again.
    collecting = gc.isenabled()
    gc.disable()
    try:
        return run.read(paths)
    finally:
        if collecting:
            gc.enable()


def _specs(path: Path) -> list[SheetSpec]:
    name = one_line(path.name)
    try:
        return specs_of(name, read_bytes(name, path, MOST_LAYOUT).decode("utf-8"))
    except UnicodeDecodeError as err:
        raise DataTableError(f"{name}: it cannot be read as text.") from err


class _Run:
    """One call of `read_books`: first all tanks, then what refers to them."""

    def __init__(self, reference: Reference, specs: list[SheetSpec] | None) -> None:
        self.language: Language = language_of(reference)
        self.specs = specs
        self.log = Log()
        self.texts = Texts(self.log)
        self.sources: list[SourceFile] = []
        self.books: dict[str, Workbook] = {}
        self.tanks: dict[str, Tank] = {}
        self.counts: list[SheetCount] = []
        self.parted: set[tuple[str, str]] = set()  # sheets with rows cut on opening
        self.columns: list[ColumnUse] = []
        self.methods: list[Method] = []
        self.work: list[Work] = []
        self.bands: list[Band] = []
        self.shelf: list[ShelfItem] = []
        self.told: list[Told] = []
        self.visits: list[Visit] = []

    def read(self, paths: Sequence[Path]) -> Book:
        self._open(expand(paths))
        for book in self.books.values():
            self._first(book)
        self.tanks = join_tanks(self.books.values(), self.log)
        from_readings = not self.tanks
        tables = [
            (book, table)
            for book in self.books.values()
            for table in self._second(book)
        ]
        if from_readings:
            named = (table for _, table in tables)
            self.tanks = tanks_from_readings(named, self.texts, self.log)
        for book in self.books.values():
            self._third(book, [table for owner, table in tables if owner is book])
        self.told += told_by_headers((table for _, table in tables), self.told)
        return self._book()

    # -- opening

    def _open(self, sources: Iterable[Source]) -> None:
        seen: dict[tuple[str, str], str] = {}
        for source in sources:
            digest = ""
            try:
                if source.missing:
                    raise UnreadableError(f"{source.name}: {source.missing}")
                data = read_bytes(source.name, source.path)
                digest = fingerprint(data)
                # Two sheets of a .csv workbook may hold the same and be of two tests.
                sheet = source.path.stem if source.path.suffix in CSV_FILES else ""
                first = seen.get((digest, sheet))
                if first:
                    self._same_file(source, digest, first)
                    continue
                known = self.language.headers.known
                sheets = sheets_of(source.name, source.path, data, known)
                drafts = first_look(sheets, self._layout(source), self.language)
            except (UnreadableError, DataTableError) as err:
                self.sources.append(SourceFile(source.name, digest, str(err)))
                said = str(err).removeprefix(f"{source.name}: ")
                where = Sheet(source.name, "", []).whole
                self.log.at(problems.FILE_UNREAD, where, said)
                continue
            seen[digest, sheet] = source.name
            self.sources.append(SourceFile(source.name, digest))
            book = self.books.setdefault(source.book, Workbook(source.book))
            book.drafts += drafts

    def _same_file(self, source: Source, digest: str, first: str) -> None:
        self.sources.append(SourceFile(source.name, digest))
        where = Sheet(source.name, "", []).whole
        self.log.at(problems.FILE_TWICE, where, first)

    def _layout(self, source: Source) -> list[SheetSpec]:
        if self.specs is not None:
            return self.specs
        beside = layout_beside(source.path)
        return _specs(beside) if beside else []

    # -- sheets that refer to nothing

    def _first(self, book: Workbook) -> None:
        for draft in book.drafts:
            if draft.table is None:
                continue
            table = draft.table
            if table.kind in ("tanks", "methods", "shelf", "settings"):
                self._keep(book, table)
            if table.kind == "tanks":
                tanks, count = read_tanks(table, self.language, self.log, self.texts)
                book.own_tanks += tanks
            elif table.kind == "methods":
                methods, count = read_methods(
                    table, self.language, self.log, self.texts
                )
                self.methods += methods
            elif table.kind == "shelf":
                items, count = read_shelf(table, self.language, self.log, self.texts)
                self.shelf += items
            elif table.kind == "settings":
                told, count = read_settings(table, self.language, self.log, self.texts)
                self.told += told
            else:
                continue
            self.counts.append(count)

    def _keep(self, book: Workbook, table: Table) -> None:
        table.fill_merged()
        if table.kind == "readings":
            fill_written_once(table, self.language, self.log)
        tell_opened(table.sheet, self.log)
        self._count_parted(table.sheet)
        self.log.extend(table.problems)
        heed_titles(table, self.language, self.log)
        tell_not_used(table, self.language, self.log)
        book.tables.append(table)
        self.columns += table.uses(self.language.reference)

    def _count_parted(self, sheet: Sheet) -> None:
        """Count the rows that were left out on opening; once for all its tables."""
        key = sheet.file, sheet.name
        rows = sum(p.kind == problems.ROW_TOO_LONG.key for p in sheet.problems)
        if rows and key not in self.parted:
            self.parted.add(key)
            self.counts.append(SheetCount(sheet.file, sheet.name, rows, 0, rows))

    def _ids(self, book: Workbook) -> TankIds:
        return TankIds(self.tanks.values(), book.renamed)

    # -- sheets that refer to tanks

    def _second(self, book: Workbook) -> list[Table]:
        """Return the sheets of readings, once the tanks are known."""
        tables = []
        tanks = self._ids(book)
        for draft in book.drafts:
            other = draft.table and draft.table.kind != "readings"
            if other or draft.kind == "nothing":
                continue
            alone = self._alone(book, draft.sheet)
            found = readings_table(draft, tanks, alone, self.language, self.log)
            if found is None:
                rows = tell_unused(draft, self.language, self.log)
                if rows:
                    sheet = draft.sheet
                    count = SheetCount(sheet.file, sheet.name, rows, 0, rows)
                    self.counts.append(count)
                continue
            by_headers = draft.table is None
            parts, unread = blocks(
                found, self.language, self.log, by_headers=by_headers
            )
            self.counts += unread
            for table in parts:
                if self._of_tests(table) and self._named(table, tanks):
                    self._keep(book, table)
                    tables.append(table)
        return tables

    def _alone(self, book: Workbook, sheet: Sheet) -> Alone:
        """Return the tank of a sheet that names none: the only one there is."""
        if len(self.tanks) == 1:
            return Alone(next(iter(self.tanks.values())).id, guessed=False)
        if self.tanks:
            return Alone("", guessed=False)
        plain = generic(sheet.name) or self.language.words.word("sheet", sheet.name)
        untold = [d for d in book.drafts if d.kind == "readings" and not d.names_tanks]
        # One workbook a tank is called after it; of several sheets each is a tank.
        of_book = plain and len(untold) == 1
        name = Path(book.name).stem if of_book else sheet.name
        return Alone(name, guessed=len(untold) < 2)

    def _of_tests(self, table: Table) -> bool:
        """Say whether a sheet says what its values are of; report it if not."""
        told = table.parameter or table.column("parameter")
        values = table.all("value") + table.all("result")
        if told or all(column.parameter for column in values):
            return True
        missing = "with a test, such as 'Nitrate (mg/L)'"
        self._leave_out(table, missing)
        return False

    def _leave_out(self, table: Table, missing: str) -> None:
        sheet = table.sheet
        facts = {"kind": "readings", "missing": missing}
        self.log.at(problems.SHEET_WITHOUT_COLUMN, sheet.whole, **facts)
        rows = content_rows(replace(sheet, rows=table.rows))
        self.counts.append(SheetCount(sheet.file, sheet.name, rows, 0, rows))

    def _named(self, table: Table, tanks: TankIds) -> bool:
        """Say whether a sheet of readings names its tanks; report it if not."""
        if table.tank or table.column("tank") or any(c.tank for c in table.columns):
            return True
        sheet = table.sheet
        column = may_name_tanks(table)
        if column is not None:
            where = sheet.at(table.header[-1], column.index)
            self.log.at(problems.TANK_COLUMN_OPEN, where, column.header or where.cell)
            rows = content_rows(replace(sheet, rows=table.rows))
            self.counts.append(SheetCount(sheet.file, sheet.name, rows, 0, rows))
            return False
        if generic(sheet.name) or self.language.words.word("sheet", sheet.name):
            self._leave_out(table, "'Tank'")
            return False
        near = tanks.near(sheet.name)
        self.log.at(problems.TANK_UNKNOWN, sheet.whole, sheet.name, near=near)
        rows = content_rows(replace(sheet, rows=table.rows))
        self.counts.append(SheetCount(sheet.file, sheet.name, rows, 0, rows))
        return False

    def _third(self, book: Workbook, tables: list[Table]) -> None:
        """Read what refers to tanks: readings, work and bands."""
        tanks = self._ids(book)
        gathered: list[Found] = []
        for table in tables:
            if is_grouped(table):
                found, count = read_grouped(
                    table, tanks, self.language, self.log, self.texts
                )
                gathered += found
            else:
                visits, count = read_readings(
                    table, tanks, self.language, self.log, self.texts
                )
                self.visits += visits
            self.counts.append(count)
            table.sheet.rows = []  # a large grid is not needed any more
        self.visits += visits_of(gathered, self.language)
        others = [draft.table for draft in book.drafts if draft.table]
        for table in others:
            if table.kind not in ("work", "bands"):
                continue
            self._keep(book, table)
            if table.kind == "work":
                done, count = read_work(
                    table, tanks, self.language, self.log, self.texts
                )
                self.work += done
            else:
                bands, count = read_bands(
                    table, tanks, self.language, self.log, self.texts
                )
                self.bands += bands
            self.counts.append(count)

    # -- the whole

    def _book(self) -> Book:
        self.visits.sort(key=_order)
        self.work.sort(key=lambda work: (work.tank, work.on))
        self._check_days()
        tell_unknown_methods(self.told, self.methods, self.language, self.log)
        return Book(
            tanks=tuple(self.tanks.values()),
            readings=tuple([visit.reading for visit in self.visits]),
            methods=tuple(self.methods),
            work=tuple(self.work),
            bands=tuple(self.bands),
            shelf=tuple(self.shelf),
            settings=settings_of(self.told, self.log),
            problems=self.log.all(),
            counts=_one_a_sheet(self.counts),
            columns=tuple(self.columns),
            sources=tuple(self.sources),
        )

    def _check_days(self) -> None:
        """Note tanks that were tested before they were filled."""
        first: dict[str, date] = {}
        for visit in self.visits:
            first.setdefault(visit.reading.tank, visit.reading.taken_on)
        for key, tested in first.items():
            tank = self.tanks[key]
            if tank.filled_on and tested < tank.filled_on:
                self.log.at(
                    problems.FILLED_AFTER_READING,
                    tank.source,
                    tank.filled_on,
                    tank=tank.id,
                    tested=tested.isoformat(),
                )


def _one_a_sheet(counts: Iterable[SheetCount]) -> tuple[SheetCount, ...]:
    """Join the counts of the tables of one sheet."""
    joined: dict[tuple[str, str], SheetCount] = {}
    for one in counts:
        key = one.file, one.sheet
        first = joined.get(key)
        joined[key] = one if first is None else first.plus(one)
    return tuple(joined.values())


def _order(visit: Visit) -> tuple[str, date, int]:
    return visit.reading.tank, visit.reading.taken_on, visit.seconds
