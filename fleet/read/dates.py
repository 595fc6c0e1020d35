"""A column of dates: cells, serial numbers, ISO and local text -> days.

The order of day and month is decided for the whole column from what stands in it.
An order that cannot be decided is a question for the writer, never a guess.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import date, datetime, timedelta
from typing import NamedTuple

from fleet import problems
from fleet.problems import Kind
from fleet.read.clock import CLOCK, seconds_of
from fleet.read.date_order import NUMBERS
from fleet.read.grid import Trouble, blank
from fleet.read.words import Words
from fleet.spelling import fold, tidy, too_long

FIRST_DAY = date(1980, 1, 1)  # no reading is older, no plan reaches further
LAST_DAY = date(2100, 12, 31)
LIKELY_SERIALS = (29221, 73415)  # FIRST_DAY and LAST_DAY counted from 1899-12-30
EPOCH = datetime(1899, 12, 30)  # serial 0 of workbooks, for days after February 1900
DAYS_TO_1904 = 1462  # ECMA-376 part 1, 18.17.4.1: the two date systems

_YEAR_FIRST = re.compile(r"(\d{4})\s?([-/.])\s?(\d{1,2})\s?\2\s?(\d{1,2})$")
_COMPACT = re.compile(r"(\d{4})(\d{2})(\d{2})$")
_SIX = re.compile(r"(\d{2})(\d{2})(\d{2})$")
_SERIAL = re.compile(r"\d{5}(?:\.\d+)?$")


class Moment(NamedTuple):
    """A day, and the seconds of it where a clock time was given."""

    day: date
    seconds: int = 0


class Fault(NamedTuple):
    """Why a cell is no date."""

    kind: Kind
    facts: tuple[tuple[str, str], ...] = ()


class Texts(NamedTuple):
    """A date written with numbers only, not yet put in order."""

    parts: tuple[int, int, int]
    separator: str
    short_year: bool
    seconds: int


class DateColumn:
    """Reads the cells of one column; built from all of them, in sheet order."""

    def __init__(
        self, cells: Iterable[object], words: Words, *, date1904: bool, order: str = ""
    ) -> None:
        self._words = words
        self._since = DAYS_TO_1904 if date1904 else 0
        self.order = order
        self.why = ""  # said where the order was found out, not told
        self.sample = ""  # a text that the order decided
        self._read: dict[object, Moment | Fault] = {}
        self._decide(list(cells))

    def read(self, cell: object) -> Moment | Fault:
        """Return the day in ``cell``, or why there is none."""
        if type(cell) is bool:  # True would find the entry of 1.0
            return Fault(problems.DATE_UNREADABLE)
        found = self._read.get(cell)
        if found is None:
            found = self._checked(self._one(cell))
            if len(self._read) < 100_000:
                self._read[cell] = found
        return found

    def all(self, cells: list[object]) -> list[Moment | Fault]:
        """Return the days of many cells; equal cells are read once."""
        different = {cell: self.read(cell) for cell in set(cells)}
        return [different[cell] for cell in cells]

    # -- one cell

    def _one(self, cell: object) -> Moment | Fault:
        if isinstance(cell, datetime):
            clock = cell.hour * 3600 + cell.minute * 60 + cell.second
            return Moment(cell.date(), clock)
        if isinstance(cell, date):
            return Moment(cell)
        if isinstance(cell, float | int):
            return self._from_number(float(cell))
        if isinstance(cell, Trouble):
            kind = problems.CELL_ERROR if cell.text else problems.FORMULA_WITHOUT_VALUE
            return Fault(kind)
        if blank(cell):
            return Fault(problems.DATE_MISSING)
        if not isinstance(cell, str):
            return Fault(problems.DATE_UNREADABLE)
        found = self._from_text(cell)
        return self._ordered(found) if isinstance(found, Texts) else found

    def _checked(self, found: Moment | Fault) -> Moment | Fault:
        if isinstance(found, Moment) and not FIRST_DAY <= found.day <= LAST_DAY:
            return Fault(problems.DATE_UNLIKELY, (("read", found.day.isoformat()),))
        return found

    def _from_number(self, number: float) -> Moment | Fault:
        if number != number or abs(number) > 1e9:
            return Fault(problems.DATE_UNREADABLE)
        if number.is_integer():
            digits = f"{number:.0f}"
            compact = _COMPACT.match(digits)
            if compact and FIRST_DAY.year <= int(compact[1]) <= LAST_DAY.year:
                return _day(*_ints(compact))
            if self.order == "year first" and len(digits) in (5, 6):
                short = int(number)  # the leading 0 of 090612 is lost in a number
                return _day(2000 + short // 10000, short // 100 % 100, short % 100)
        serial = number + self._since
        if serial < 0 or serial > 2_958_465:  # 9999-12-31
            return Fault(problems.DATE_UNREADABLE)
        moment = EPOCH + timedelta(days=serial)
        return Moment(moment.date(), moment.hour * 3600 + moment.minute * 60)

    def _from_text(self, text: str) -> Moment | Fault | Texts:
        if too_long(text):
            return Fault(problems.DATE_UNREADABLE)
        flat = tidy(text).strip(" .,;")
        seconds = 0
        clock = CLOCK.search(flat)
        if clock:
            seconds = seconds_of(clock)
            if seconds < 0:
                return Fault(problems.DATE_UNREADABLE)
            flat = flat[: clock.start()].strip(" .,;t")
        iso = _YEAR_FIRST.match(flat)
        if iso:
            return _day(int(iso[1]), int(iso[3]), int(iso[4]), seconds)
        compact = _COMPACT.match(flat)
        if compact and FIRST_DAY.year <= int(compact[1]) <= LAST_DAY.year:
            return _day(*_ints(compact), seconds)
        numbers = NUMBERS.match(flat)
        if numbers:
            first, separator, second, year = numbers.groups()
            short = len(year) == 2
            full = int(year) + (2000 if short else 0)
            return Texts((int(first), int(second), full), separator, short, seconds)
        six = _SIX.match(flat)
        if six and self.order:
            return self._from_six(*_ints(six))
        if _SERIAL.match(flat) and _likely_serial(float(flat)):
            return self._from_number(float(flat))
        return self._from_month_name(flat, seconds)

    def _from_six(self, first: int, second: int, third: int) -> Moment | Fault:
        if self.order == "year first":
            return _day(2000 + first, second, third)
        if self.order == "month first":
            return _day(2000 + third, first, second)
        return _day(2000 + third, second, first)

    def _from_month_name(self, flat: str, seconds: int) -> Moment | Fault:
        months = self._words.spellings("month")
        fillers = self._words.spellings("date-filler")
        month, numbers = 0, []
        tokens = re.findall(r"[^\W\d_]+|\d+", flat)
        named = [t for t in tokens if not t.isdigit() and fold(t) in months]
        for token in tokens:
            if token.isdigit():
                numbers.append(token)
            elif token in named and not (len(named) > 1 and fold(token) in fillers):
                month, previous = int(months[fold(token)]), month
                if previous:
                    return Fault(problems.DATE_UNREADABLE)
            elif fold(token) not in fillers:
                return Fault(problems.DATE_UNREADABLE)
        if not month or len(numbers) != 2:
            return Fault(problems.DATE_UNREADABLE)
        first, second = numbers
        if len(first) == 4:
            return _day(int(first), month, int(second), seconds)
        year = int(second) + (2000 if len(second) == 2 else 0)
        return _day(year, month, int(first), seconds)

    # -- day first or month first

    def _ordered(self, found: Texts) -> Moment | Fault:
        (first, second, year), seconds = found.parts, found.seconds
        day_first = _day(year, second, first, seconds)
        month_first = _day(year, first, second, seconds)
        if self.order == "year first" and found.short_year:
            return _day(2000 + first, second, year - 2000, seconds)
        if self.order == "day first":
            return day_first
        if self.order == "month first":
            return month_first
        readings = {m for m in (day_first, month_first) if isinstance(m, Moment)}
        if self._may_lead_with_year(found):
            led = _day(2000 + first, second, year - 2000, seconds)
            readings |= {led} if isinstance(led, Moment) else set()
        if len(readings) == 1:
            return readings.pop()
        if not readings:
            return Fault(problems.DATE_UNREADABLE)
        one, other = sorted(moment.day for moment in readings)[:2]
        return Fault(
            problems.DATE_AMBIGUOUS,
            (
                ("one", f"{one.day} {one:%B %Y}"),
                ("other", f"{other.day} {other:%B %Y}"),
                ("one_iso", one.isoformat()),
                ("other_iso", other.isoformat()),
            ),
        )

    def _may_lead_with_year(self, found: Texts) -> bool:
        """Say whether a date such as 25-03-04 may be 4 March 2025."""
        return self._year_leads and found.short_year and found.separator == "-"

    def _decide(self, cells: list[object]) -> None:
        self._year_leads = True
        texts: list[tuple[str, Texts]] = []
        for text in dict.fromkeys(c for c in cells if type(c) is str and c):
            found = self._from_text(text)
            if isinstance(found, Texts):
                texts.append((text, found))
        if not texts:
            return
        self._year_leads = all(
            20 <= t.parts[0] <= 31 and t.parts[1] <= 12 and 1 <= t.parts[2] % 100 <= 31
            for _, t in texts
            if t.separator == "-" and t.short_year
        )
        if self.order:
            return
        day = [(text, t) for text, t in texts if t.parts[0] > 12 >= t.parts[1]]
        month = [(text, t) for text, t in texts if t.parts[1] > 12 >= t.parts[0]]
        if self._year_leads:
            day = [entry for entry in day if not self._may_lead_with_year(entry[1])]
        decided = [t for _, t in texts if t.parts[0] <= 12 and t.parts[1] <= 12]
        if day and not month:
            self.order, self.why = "day first", f"'{day[0][0]}' can only be that"
        elif month and not day:
            self.order, self.why = "month first", f"'{month[0][0]}' can only be that"
        elif not day and not month and all(t.separator == "." for _, t in texts):
            self.order, self.why = "day first", "dates with points are written so"
        elif not day and not month:
            self._decide_by_run(cells)
        if not decided:
            self.why = ""  # nothing hung on it
        self.sample = texts[0][0]

    def _decide_by_run(self, cells: list[object]) -> None:
        """Take the order in which the column runs forward in time, if only one does."""
        runs = []
        for order in ("day first", "month first"):
            self.order = order
            moments = [self._one(cell) for cell in cells if not blank(cell)]
            days = [m.day for m in moments if isinstance(m, Moment)]
            if len(set(days)) >= 3 and days == sorted(days):
                runs.append(order)
        self.order = runs[0] if len(runs) == 1 else ""
        if self.order:
            self.why = "only so does the column run forward in time"


def _day(year: int, month: int, day: int, seconds: int = 0) -> Moment | Fault:
    try:
        return Moment(date(year, month, day), seconds)
    except (ValueError, OverflowError):
        return Fault(problems.DATE_UNREADABLE)


def _ints(found: re.Match[str]) -> tuple[int, int, int]:
    return int(found[1]), int(found[2]), int(found[3])


def _likely_serial(number: float) -> bool:
    return LIKELY_SERIALS[0] <= number <= LIKELY_SERIALS[1]
