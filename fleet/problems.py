"""One constant per kind of workbook problem: what was found, and what to do."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import cache
from typing import Literal

from fleet.records import CellAddress, Problem

Effect = Literal["row left out", "value left out", "read as", "note"]
Severity = Literal["error", "warning", "note"]


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of problem; ``at`` makes one at a cell."""

    key: str
    severity: Severity
    effect: Effect
    found: str  # str.format fields, filled with the writer's own characters
    do: str

    def at(self, where: CellAddress, value: object = "", **facts: object) -> Problem:
        """Return this kind of problem at ``where``; facts fill the message."""
        shown = _short(value)
        fill = {"value": shown, **{k: _short(v) for k, v in facts.items()}}
        message = f"{self.found.format(**fill)} {self.do.format(**fill)}".strip()
        return Problem(self.key, where, shown, message, self.effect, self.severity)


@cache
def without_row(kind: Kind) -> Kind:
    """Return the kind for a cell without which its whole row says nothing."""
    return replace(kind, effect="row left out")


@cache
def without_value(kind: Kind) -> Kind:
    """Return the kind for a cell without which the rest of its row still counts."""
    return replace(kind, effect="value left out")


def _short(value: object) -> str:
    """Cut long text first, then flatten it: a cell may hold a megabyte."""
    if value is None:
        return ""
    text = value if isinstance(value, str) else str(value)
    if len(text) > 120:
        text = text[:117] + "..."
    return " ".join(text.split())


# ----------------------------------------------------------------------- cells

VALUE_UNREADABLE = Kind(
    "value-unreadable", "error", "value left out",
    "'{value}' is not a value that can be read for {parameter}.",
    "Write a number, a range such as 5-10, '<' or '>' and a number, or ND.",
)  # fmt: skip
VALUE_AMBIGUOUS = Kind(
    "value-ambiguous", "error", "value left out",
    "'{value}' can be read as {one} or as {other}.",
    "Write {one} or {other}.",
)  # fmt: skip
VALUE_IS_DATE = Kind(
    "value-is-date", "error", "value left out",
    "This cell of {parameter} holds the date {value}: a range such as 5-10 turns "
    "into a date when it is typed.",
    "Format the cell as text, then write the value again.",
)  # fmt: skip
CELL_ERROR = Kind(
    "cell-error", "error", "value left out",
    "The formula in this cell gives {value}.",
    "Mend the formula, or write the value itself.",
)  # fmt: skip
FORMULA_WITHOUT_VALUE = Kind(
    "formula-without-value", "error", "value left out",
    "This cell holds a formula whose result was never saved.",
    "Open the workbook in a spreadsheet program, save it, and run this again.",
)  # fmt: skip
UNIT_UNKNOWN = Kind(
    "unit-unknown", "error", "value left out",
    "'{written}' is not a unit known for {parameter}.",
    "Write one of: {accepted}.",
)  # fmt: skip
NUMBER_UNREADABLE = Kind(
    "number-unreadable", "error", "value left out",
    "'{value}' is not a number that can be read for {what}.",
    "Write a number{accepted}.",
)  # fmt: skip
NUMBER_IMPOSSIBLE = Kind(
    "number-impossible", "error", "value left out",
    "'{value}' cannot be: {what} must be {must}.",
    "Correct the cell.",
)  # fmt: skip
WORD_UNKNOWN = Kind(
    "word-unknown", "warning", "value left out",
    "'{value}' is not a word known for {what}.",
    "Write one of: {accepted}.",
)  # fmt: skip
EQUIPMENT_MISSPELT = Kind(
    "equipment-misspelt", "warning", "value left out",
    "'{value}' is no equipment known here, so no rule counts it.",
    "{near} Write it so, if that is meant.",
)  # fmt: skip
EQUIPMENT_UNKNOWN = Kind(
    "equipment-unknown", "note", "note",
    "No rule counts this equipment, which is kept as a remark: {value}.",
    "Nothing to do, unless it is one of: {accepted}.",
)  # fmt: skip
COMMA_READ = Kind(
    "comma-read", "note", "read as",
    "'{value}' was read as {read}, as is the rest of this column.",
    "Nothing to do if that is right.",
)  # fmt: skip
UNIT_READ = Kind(
    "unit-read", "note", "read as",
    "This column names no unit; its numbers can only be {unit}, and were read so.",
    "Put the unit into the header, as in '{header}'.",
)  # fmt: skip
UNIT_LIKELIER = Kind(
    "unit-likelier", "note", "read as",
    "This column names no unit; its numbers are usual in {unit} and would be far too "
    "low in {default}, so they were read as {unit}.",
    "Put the unit into the header, as in '{header}'.",
)  # fmt: skip
COLUMN_UNIT_OPEN = Kind(
    "column-unit-open", "error", "value left out",
    "This column names no unit, and its whole numbers can be {units}, which lie far "
    "apart; those above 0 were not used.",
    "Put the unit into the header, as in '{header}'.",
)  # fmt: skip
UNIT_NEEDED = Kind(
    "unit-needed", "warning", "value left out",
    "'{value}' of {parameter} names no unit, and can be {default} or {meant}.",
    "Write the unit behind the number or into the header.",
)  # fmt: skip
NUMBER_READ = Kind(
    "number-read", "note", "read as",
    "'{value}' was read as {read}.",
    "Nothing to do if that is right.",
)  # fmt: skip
MARK_READ = Kind(
    "mark-read", "note", "read as",
    "'{value}' was read as {read}; '{mark}' was passed over.",
    "Put remarks into the Notes column.",
)  # fmt: skip
GALLONS_READ = Kind(
    "gallons-read", "note", "read as",
    "'{value}': gallons were read as US gallons.",
    "Write 'imp gal' if they are imperial ones.",
)  # fmt: skip

# -------------------------------------------------------- flags beside a value

FLAG_LIMIT = Kind(
    "flag-limit", "note", "read as",
    "{count} of {parameter}: the flag beside says below detection, so the number "
    "was read as 'less than' ({cells}).",
    "Nothing to do if that is right.",
)  # fmt: skip
FLAG_SUSPECT = Kind(
    "flag-suspect", "note", "note",
    "{count} of {parameter}: the flag beside calls the value suspect; it was used "
    "({cells}).",
    "Clear the value if it should not count.",
)  # fmt: skip
FLAG_MISSING = Kind(
    "flag-missing", "warning", "value left out",
    "The flag '{flag}' beside {value} says that there is no good value.",
    "Clear the flag if the value should count.",
)  # fmt: skip
FLAG_UNKNOWN = Kind(
    "flag-unknown", "note", "note",
    "The flags {value} beside {parameter} are not known and were passed over.",
    "Say in a layout file what they mean, if they matter.",
)  # fmt: skip

# ----------------------------------------------------------------------- dates

DATE_MISSING = Kind(
    "date-missing", "error", "row left out",
    "This row has no date.",
    "Write the day, as in 2026-11-21.",
)  # fmt: skip
DATE_UNREADABLE = Kind(
    "date-unreadable", "error", "row left out",
    "'{value}' is not a date that can be read.",
    "Write it as 2026-11-21.",
)  # fmt: skip
DATE_AMBIGUOUS = Kind(
    "date-ambiguous", "error", "row left out",
    "'{value}' can be {one} or {other}, and nothing in this column says which.",
    "Write {one_iso} or {other_iso}.",
)  # fmt: skip
DATE_UNLIKELY = Kind(
    "date-unlikely", "error", "row left out",
    "'{value}' gives the date {read}, which cannot be.",
    "Write the day, as in 2026-11-21.",
)  # fmt: skip
DATE_ORDER_READ = Kind(
    "date-order-read", "note", "read as",
    "Dates such as '{value}' were read with the {order}, as {why}.",
    "Nothing to do if that is right.",
)  # fmt: skip
DATES_SWAPPED = Kind(
    "dates-swapped", "warning", "note",
    "This column has texts with a day over 12 ({value}), while no real date cell has "
    "one: a spreadsheet program may have swapped day and month in the others.",
    "Compare some dates with the paper notes.",
)  # fmt: skip

# ----------------------------------------------------------------------- tanks

TANK_MISSING = Kind(
    "tank-missing", "error", "row left out",
    "This row names no tank.",
    "Write the tank's id.",
)  # fmt: skip
TANK_UNKNOWN = Kind(
    "tank-unknown", "error", "row left out",
    "No tank '{value}' is in the sheet of tanks.",
    "{near}",
)  # fmt: skip
TANK_BY_NAME = Kind(
    "tank-by-name", "note", "read as",
    "'{value}' is no tank id; it was read as tank {read}.",
    "Nothing to do if that is right.",
)  # fmt: skip
TANK_TWICE = Kind(
    "tank-twice", "note", "read as",
    "'{value}' is the same tank as '{other}' in {cell}; the two were joined.",
    "Write its id in one way.",
)  # fmt: skip
TANK_TWICE_DIFFERS = Kind(
    "tank-twice-differs", "warning", "value left out",
    "'{value}' is the same tank as '{other}' in {cell}, but {what} differs; the "
    "first was kept.",
    "Give each tank one row, or its own id.",
)  # fmt: skip
TANK_CLASH = Kind(
    "tank-clash", "warning", "read as",
    "Another tank '{value}' is in {file}; this one is called '{renamed}' here.",
    "Give each tank its own id over all workbooks.",
)  # fmt: skip
TANK_SHARED = Kind(
    "tank-shared", "note", "read as",
    "Tank '{value}' is also in {file}; the two were joined.",
    "Nothing to do if it is the same tank.",
)  # fmt: skip
TANKS_FROM_READINGS = Kind(
    "tanks-from-readings", "note", "note",
    "There is no sheet of tanks; the readings name {value}. Without a volume no "
    "amount can be worked out.",
    "Add a sheet 'Tanks' with Tank, Volume (L) and Filled on.",
)  # fmt: skip
TANK_FROM_SHEET = Kind(
    "tank-from-sheet", "note", "read as",
    "No column names the tank; all rows were read as tank {value}.",
    "Nothing to do if that is right.",
)  # fmt: skip
VOLUME_MISSING = Kind(
    "volume-missing", "warning", "note",
    "Tank '{value}' has no volume, so no amount can be worked out for it.",
    "Write the volume of its water.",
)  # fmt: skip
FILLED_AFTER_READING = Kind(
    "filled-after-reading", "note", "note",
    "Tank '{tank}' is said to be filled on {value}, but was tested on {tested}.",
    "Correct whichever date is wrong.",
)  # fmt: skip
CYCLED_BEFORE_FILLED = Kind(
    "cycled-before-filled", "warning", "note",
    "Tank '{tank}' is said to be cycled on {value}, before it was filled.",
    "Correct whichever date is wrong.",
)  # fmt: skip

# ------------------------------------------------------------ rows and columns

ROW_TWICE = Kind(
    "row-twice", "note", "note",
    "This row is the same as row {value}; both are kept.",
    "Delete one if it was entered twice.",
)  # fmt: skip
ROWS_WITHOUT_VALUES = Kind(
    "rows-without-values", "note", "row left out",
    "No value yet in {value} of this sheet ({cells}).",
    "Nothing to do.",
)  # fmt: skip
HEADER_AGAIN = Kind(
    "header-again", "note", "row left out",
    "This row repeats the headers.",
    "Nothing to do.",
)  # fmt: skip
HEADERS_CHANGE = Kind(
    "headers-change", "note", "read as",
    "Here other headers begin ({value}); the rows below were read by them.",
    "Nothing to do if that is right.",
)  # fmt: skip
HEADERS_UNREAD = Kind(
    "headers-unread", "error", "row left out",
    "Here other headers begin ({value}), and the rows below ({rows}) cannot be read by "
    "them.",
    "Put these rows into a sheet of their own.",
)  # fmt: skip
TANK_COLUMN_READ = Kind(
    "tank-column-read", "note", "read as",
    "'{value}' holds ids of tanks, and was read as the column of tanks.",
    "Head it 'Tank'.",
)  # fmt: skip
TANK_COLUMN_OPEN = Kind(
    "tank-column-open", "error", "row left out",
    "No column of this sheet is known to name the tank, but '{value}' may; the rows "
    "were not used.",
    "Head the column of tanks 'Tank', or say in a layout file which it is.",
)  # fmt: skip
ROW_TOO_LONG = Kind(
    "row-too-long", "error", "row left out",
    "This row has {value} values under {headers} headers; a decimal comma may have "
    "parted one of them.",
    "Write decimals with a point, or put the number into quotation marks.",
)  # fmt: skip
TITLE_UNIT_READ = Kind(
    "title-unit-read", "note", "read as",
    "'{value}' was read as the unit of the {parameter} column, {unit}.",
    "Put the unit into the header.",
)  # fmt: skip
TITLE_NAMES_UNIT = Kind(
    "title-names-unit", "warning", "note",
    "'{value}' seems to name a unit, but not plainly of which column; it was not "
    "used.",
    "Put units into the headers.",
)  # fmt: skip
TITLE_NOT_USED = Kind(
    "title-not-used", "note", "note",
    "Above the headers and not used: {value}.",
    "Nothing to do, unless it says how to read the values.",
)  # fmt: skip
LOOKS_UNKNOWN = Kind(
    "looks-unknown", "note", "note",
    "No rule knows these words of the look, which are kept as a remark: {value}.",
    "Known are: {accepted}.",
)  # fmt: skip
HEADER_READ = Kind(
    "header-read", "note", "read as",
    "The header '{value}' was read as {parameter}, {unit}.",
    "Nothing to do if that is right.",
)  # fmt: skip
WRITTEN_ONCE = Kind(
    "written-once", "note", "read as",
    "The {what} stands once for several rows: {value} down to {to} were read as the "
    "{what} above them.",
    "Nothing to do if that is right.",
)  # fmt: skip
COLUMN_TWICE = Kind(
    "column-twice", "warning", "value left out",
    "Two columns are {meaning}: {first} was used, '{value}' was not.",
    "Rename one, or say in a layout file which is meant.",
)  # fmt: skip
COLUMN_UNIT_UNKNOWN = Kind(
    "column-unit-unknown", "error", "value left out",
    "The header '{value}' names '{written}', which is not a unit known for "
    "{parameter}; the column was not used.",
    "Write one of: {accepted}.",
)  # fmt: skip
WORK_UNKNOWN = Kind(
    "work-unknown", "error", "row left out",
    "'{value}' is not a kind of work known here.",
    "Write one of: {accepted}.",
)  # fmt: skip
WORK_READ = Kind(
    "work-read", "note", "read as",
    "'{value}' was read as: {read}.",
    "Nothing to do if that is right.",
)  # fmt: skip
WORK_MISSING = Kind(
    "work-missing", "error", "row left out",
    "This row does not say what was done.",
    "Write one of: {accepted}.",
)  # fmt: skip
WORK_FOR_SEVERAL = Kind(
    "work-for-several", "note", "read as",
    "'{value}' was read as {count} tanks, each with this work.",
    "Nothing to do if that is right.",
)  # fmt: skip
METHOD_UNNAMED = Kind(
    "method-unnamed", "error", "row left out",
    "This row names no method.",
    "Write the name used in the readings.",
)  # fmt: skip
MEASURES_UNKNOWN = Kind(
    "measures-unknown", "error", "row left out",
    "'{value}' is not a quantity known here.",
    "Write one of: {accepted}.",
)  # fmt: skip
METHOD_TWICE = Kind(
    "method-twice", "warning", "row left out",
    "The method '{value}' for {parameter} stands above already.",
    "Give each method one row.",
)  # fmt: skip
ROW_UNIT_UNKNOWN = Kind(
    "row-unit-unknown", "error", "row left out",
    "'{written}' is not a unit known for {parameter}.",
    "Write one of: {accepted}.",
)  # fmt: skip
BAND_SUBJECT_UNKNOWN = Kind(
    "band-subject-unknown", "error", "row left out",
    "'{value}' is neither a tank nor a kind of livestock known here.",
    "Write a tank's id or one of: {accepted}.",
)  # fmt: skip
BAND_EMPTY = Kind(
    "band-empty", "error", "row left out",
    "This row has neither a low nor a high.",
    "Write at least one of the two.",
)  # fmt: skip
BAND_UPSIDE_DOWN = Kind(
    "band-upside-down", "error", "row left out",
    "The low, {value}, is above the high, {high}.",
    "Correct one of the two.",
)  # fmt: skip
STAGE_UNKNOWN = Kind(
    "stage-unknown", "error", "row left out",
    "'{value}' is not a stage known here.",
    "Write one of: {accepted}; or leave it blank for all.",
)  # fmt: skip
SUBSTANCE_UNKNOWN = Kind(
    "substance-unknown", "warning", "row left out",
    "'{value}' is not a substance known here, so it is never asked for.",
    "Known are: {accepted}.",
)  # fmt: skip
SETTING_UNKNOWN = Kind(
    "setting-unknown", "note", "row left out",
    "'{value}' is not a setting known here.",
    "{near}",
)  # fmt: skip
SETTING_UNREADABLE = Kind(
    "setting-unreadable", "error", "row left out",
    "'{value}' cannot be read for the setting {setting}.",
    "Write {accepted}.",
)  # fmt: skip
DEFAULT_METHOD_UNKNOWN = Kind(
    "default-method-unknown", "warning", "value left out",
    "'{value}' is no method of {parameter}: no sheet of methods names it, and its "
    "words do not say what kind of test it is.",
    "{near}",
)  # fmt: skip
BOTTLE_IMPOSSIBLE = Kind(
    "bottle-impossible", "error", "value left out",
    "'{value}' cannot be relied on: more than {most} g/L of {substance} may not stay "
    "dissolved in a cool bottle.",
    "Do not dose from this bottle before its strength is known; correct the cell.",
)  # fmt: skip
SETTINGS_DIFFER = Kind(
    "settings-differ", "warning", "value left out",
    "The setting {setting} differs from that in {file}; the first was kept.",
    "Give both workbooks the same.",
)  # fmt: skip

# ------------------------------------------------------------ sheets and files

SHEET_HIDDEN = Kind(
    "sheet-hidden", "note", "note",
    "This sheet is hidden; it was read all the same.",
    "Delete it if it should not count.",
)  # fmt: skip
ROWS_HIDDEN = Kind(
    "rows-hidden", "note", "note",
    "This sheet has {value} hidden; they were read all the same.",
    "Delete rows that should not count: hiding or filtering is not enough.",
)  # fmt: skip
SHEET_NOT_USED = Kind(
    "sheet-not-used", "note", "note",
    "Nothing was recognised in this sheet ({value}); it was not used.",
    "Say in a layout file what it holds, if it matters.",
)  # fmt: skip
SHEET_OF_RESULTS_NOT_USED = Kind(
    "sheet-of-results-not-used", "warning", "row left out",
    "Nothing was recognised in this sheet ({value}), though it seems to hold results; "
    "it was not used.",
    "Say in a layout file what it holds, or that it holds nothing to be read.",
)  # fmt: skip
COLUMNS_NOT_USED = Kind(
    "columns-not-used", "note", "note",
    "Not used, as no meaning was found for the header: {value}.",
    "Correct the header, or say in a layout file what it means, if it matters.",
)  # fmt: skip
RESULTS_NOT_USED = Kind(
    "results-not-used", "warning", "value left out",
    "Numbers that were not used, as no meaning was found for the header: {value}.",
    "Correct the header, or say in a layout file what it means, or that it is not to "
    "be read.",
)  # fmt: skip
SHEET_WITHOUT_COLUMN = Kind(
    "sheet-without-column", "error", "row left out",
    "No column of this sheet of {kind} is headed {missing}; it was not used.",
    "Add the header, or say in a layout file which column it is.",
)  # fmt: skip
LAYOUT_COLUMN_MISSING = Kind(
    "layout-column-missing", "warning", "note",
    "The layout file names a column '{value}' that this sheet does not have.",
    "Write the header as it stands in the sheet.",
)  # fmt: skip
CELLS_TOO_FAR = Kind(
    "cells-too-far", "error", "value left out",
    "Far from the rest of this sheet and not read: {value} ({cells}).",
    "Delete them, or move them to the others.",
)  # fmt: skip
TEXTS_CUT = Kind(
    "texts-cut", "note", "read as",
    "{value} were longer than {length} characters and were cut.",
    "Shorten them.",
)  # fmt: skip
ENCODING_READ = Kind(
    "encoding-read", "note", "read as",
    "This file is not UTF-8; its letters were read as {value}.",
    "Save it as 'CSV UTF-8' if accents look wrong.",
)  # fmt: skip
FILE_UNREAD = Kind(
    "file-unread", "error", "row left out",
    "Nothing of this file could be read: {value}",
    "",
)  # fmt: skip
FILE_TWICE = Kind(
    "file-twice", "note", "note",
    "This file is the same as {value}; it was read once.",
    "Nothing to do.",
)  # fmt: skip
MORE_OF_THIS = Kind(
    "more-of-this", "error", "value left out",
    "{value} more cells of this column, down to row {row}, have the same fault as "
    "the ones named before them.",
    "Correct them alike.",
)  # fmt: skip


# ------------------------------------------------ results that are not believed

VALUE_IMPOSSIBLE = Kind(
    "value-impossible", "error", "value left out",
    "'{value}' cannot be a {parameter} in {unit}.",
    "Correct the cell, or test again.",
)  # fmt: skip
VALUE_BELOW_ZERO = Kind(
    "value-below-zero", "error", "value left out",
    "'{value}' is further below zero than the test for {parameter} errs.",
    "Set the instrument to zero and test again.",
)  # fmt: skip
VALUE_SAYS_LITTLE = Kind(
    "value-says-little", "warning", "value left out",
    "'{value}' {unit} of {parameter} only says that it is not more, and leaves nearly "
    "everything open.",
    "Write the number the test showed, with its unit.",
)  # fmt: skip
VALUE_ZERO_OR_BLANK = Kind(
    "value-zero-or-blank", "error", "value left out",
    "'{value}' cannot be the {parameter} of a saltwater tank.",
    "Leave the cell blank where nothing was tested.",
)  # fmt: skip
VALUE_OTHER_UNIT = Kind(
    "value-other-unit", "warning", "value left out",
    "'{value}' {unit} of {parameter} does not fit; as {meant} it would be "
    "{would_be} {kept}.",
    "Write the unit behind the number, or test again.",
)  # fmt: skip
VALUE_LOST_POINT = Kind(
    "value-lost-point", "warning", "value left out",
    "'{value}' of {parameter} does not fit; with the decimal point moved it would "
    "be {would_be} {kept}.",
    "Correct the cell, or test again.",
)  # fmt: skip
VALUE_JUMP = Kind(
    "value-jump", "warning", "value left out",
    "'{value}' of {parameter} is far from the '{before}' of {on}, and no logged work "
    "explains it.",
    "Test again: a second result like it settles it.",
)  # fmt: skip
VALUE_SWAPPED = Kind(
    "value-swapped", "warning", "value left out",
    "'{value}' of {parameter} stands beside {beside} of {other}; each would fit the "
    "other's cell.",
    "If they were swapped, swap them back; if not, test both again.",
)  # fmt: skip
SAME_DAY_AGREES = Kind(
    "same-day-agrees", "note", "read as",
    "{parameter} was tested more than once on {on} ({results}); the results agree "
    "and were taken as one, by the finest test.",
    "Nothing to do if that is right.",
)  # fmt: skip
SAME_DAY_OUTVOTED = Kind(
    "same-day-outvoted", "warning", "value left out",
    "{parameter} was tested more than once on {on} ({results}); most of the results "
    "agree and were taken as one, the rest was left out.",
    "Correct the one that is wrong.",
)  # fmt: skip
SAME_DAY_WORST = Kind(
    "same-day-worst", "warning", "value left out",
    "{parameter} was tested more than once on {on} ({results}) and the results "
    "differ; to be safe, the one that is worse for animals was used.",
    "Test again.",
)  # fmt: skip
SAME_DAY_DIFFERS = Kind(
    "same-day-differs", "warning", "value left out",
    "{parameter} was tested more than once on {on} ({results}) and the results "
    "differ by more than the tests can be off; none of them was used.",
    "Test again.",
)  # fmt: skip
READING_IN_FUTURE = Kind(
    "reading-in-future", "error", "row left out",
    "The date {on} lies after the day of the report, {as_of}.",
    "Correct the date.",
)  # fmt: skip
WORK_IN_FUTURE = Kind(
    "work-in-future", "error", "row left out",
    "The date {on} lies after the day of the report, {as_of}: work still to come is "
    "not counted.",
    "Correct the date, if it is done.",
)  # fmt: skip
LIMIT_AS_VALUE = Kind(
    "limit-as-value", "note", "note",
    "{number} is both the smallest and the commonest {parameter} of this column "
    "({times} times).",
    "If it is the least the test can show, write '<{number}' instead.",
)  # fmt: skip


def left_out(problems: Iterable[Problem]) -> int:
    """Return how many rows and values are left out that someone meant to count.

    Rows that are only notes (not filled in yet, headers said again) lose nothing.
    """
    lost = [
        problem
        for problem in problems
        if problem.effect.endswith("left out") and problem.severity != "note"
    ]
    # A row may be left out for two reasons, and is one row.
    rows = {
        (problem.where.file, problem.where.sheet, problem.where.row)
        for problem in lost
        if problem.effect == "row left out"
    }
    return len(rows) + sum(p.effect == "value left out" for p in lost)
