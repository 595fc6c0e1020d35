"""What ``fleet check`` prints: what was read, and what could not be, by cell."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from fleet.records import ColumnUse, Problem, SheetCount, SourceFile
from fleet.render.safe import for_terminal
from fleet.render.wording import Wording, plain

SHAPES_LISTED = 20  # of one fault in one column; the rest stand under one of them
CELLS_LISTED = 12  # in a group; the marked copy has them all

_ORDER = ("row left out", "value left out", "read as", "note")


@dataclass(frozen=True, slots=True)
class Group:
    """Problems of one kind with one message shape in one column."""

    effect: str
    place: str  # file and sheet
    cells: tuple[str, ...]
    count: int
    message: str


@dataclass(frozen=True, slots=True)
class Checked:
    """Everything the check has to say."""

    sources: tuple[SourceFile, ...]
    counts: tuple[SheetCount, ...]
    columns: tuple[ColumnUse, ...]
    problems: tuple[Problem, ...]


def groups(problems: Sequence[Problem]) -> list[Group]:
    """Return problems worst first; the same fault in one column is one group."""
    gathered: dict[tuple[str, ...], list[Problem]] = {}
    shapes: Counter[tuple[str, ...]] = Counter()
    for problem in problems:
        where = problem.where
        # The value differs from cell to cell; the fault is the same without it.
        shape = problem.message.replace(problem.value, "…", 1)
        fault = (
            problem.effect, where.file, where.sheet, problem.kind, str(where.column),
        )  # fmt: skip
        key = (*fault, shape)
        if key not in gathered and shapes[fault] >= SHAPES_LISTED:
            key = (*fault, "")  # a column of ten thousand prints no ten thousand lines
        elif key not in gathered:
            shapes[fault] += 1
        gathered.setdefault(key, []).append(problem)
    made = []
    for (effect, file, sheet, *_), members in gathered.items():
        cells = tuple(p.where.cell for p in members)
        made.append(
            Group(
                effect=effect,
                place=" · ".join(part for part in (file, sheet) if part),
                cells=cells[:CELLS_LISTED],
                count=len(members),
                message=members[0].message,
            )
        )
    made.sort(key=lambda group: _ORDER.index(group.effect))
    return made


def checklist(checked: Checked, wording: Wording) -> str:
    """Return the whole check as plain text."""
    found = groups(checked.problems)
    template = wording.environment.get_template("check.txt.j2")
    text = template.render(
        sources=checked.sources,
        counts=checked.counts,
        columns=_columns(checked.columns),
        groups=found,
        effects=[
            (effect, [g for g in found if g.effect == effect]) for effect in _ORDER
        ],
        totals={
            "rows": sum(c.rows for c in checked.counts),
            "read": sum(c.read for c in checked.counts),
            "left_out": sum(c.left_out for c in checked.counts),
            "single": sum(1 for p in checked.problems if p.effect == "value left out"),
        },
        listed=CELLS_LISTED,
        foreign=for_terminal,
    )
    return plain(str(text)).strip() + "\n"


def _columns(columns: Sequence[ColumnUse]) -> list[tuple[str, list[ColumnUse]]]:
    by_sheet: dict[str, list[ColumnUse]] = {}
    for column in columns:
        place = f"{column.file} · {column.sheet}"
        by_sheet.setdefault(place, []).append(column)
    return list(by_sheet.items())
