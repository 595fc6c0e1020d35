"""One constant per kind of workbook problem: what was found, and what to do."""

from __future__ import annotations

from dataclasses import dataclass
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


def _short(value: object) -> str:
    """Cut long text first, then flatten it: a cell may hold a megabyte."""
    if value is None:
        return ""
    text = value if isinstance(value, str) else str(value)
    if len(text) > 120:
        text = text[:117] + "..."
    return " ".join(text.split())


VALUE_UNREADABLE = Kind(
    "value-unreadable", "error", "value left out",
    "'{value}' is not a value that can be read for {parameter}.",
    "Write a number, or '<' and a number.",
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
