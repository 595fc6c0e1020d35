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
