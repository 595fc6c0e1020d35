"""``summary.csv``: one line a tank, for spreadsheets and other programs.

RFC 4180 in UTF-8 with a byte order mark, so that office programs see the letters
right; raw numbers in the kept unit that the header names; ISO dates. Its Table
Schema is ``fleet/data/summary.schema.json``.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from datetime import date
from functools import lru_cache
from pathlib import Path
from typing import NamedTuple

from fleet.records import Finding, Report
from fleet.reference import Reference
from fleet.render.json_findings import number
from fleet.render.safe import for_csv
from fleet.render.summary import WORKED_OUT, Line, best_value, lines
from fleet.render.wording import Wording

Value = str | float | date | None

_UNITS = {"mg/L": "_mg_l", "meq/L": "_meq_l", "PSU": "_psu", "°C": "_c", "pH": ""}


class Column(NamedTuple):
    """One column: its name and what stands in it for a tank."""

    name: str
    value: Callable[[Line], Value]


_TANK = (
    Column("tank", lambda line: line.tank.id),
    Column("name", lambda line: line.tank.name),
    Column("place", lambda line: line.tank.place),
    Column("keeper", lambda line: line.tank.keeper),
    Column("group", lambda line: line.tank.group),
    Column("livestock", lambda line: line.tank.livestock),
    Column("volume_l", lambda line: number(line.tank.volume_l)),
    Column("attention", lambda line: line.entry.plan.attention),
    Column("score", lambda line: line.entry.plan.score),
    Column("stage", lambda line: line.entry.findings.stage.name),
    Column("stage_sure", lambda line: number(line.entry.findings.stage.sure)),
    Column("filled_on", lambda line: line.tank.filled_on),
    Column("last_tested_on", lambda line: line.entry.findings.last_tested),
    Column("headline", lambda line: line.headline),
    Column("first_kind", lambda line: line.first.kind if line.first else None),
    Column("first_what", lambda line: line.first_what),
    Column("first_on", lambda line: line.first.when if line.first else None),
    Column("next_retest_on", lambda line: line.next_retest),
    Column("since", lambda line: line.change.word if line.change else None),
    Column("ratio_n_to_p", lambda line: number(line.entry.findings.ratio_n_to_p)),
)


def columns(reference: Reference) -> list[Column]:
    """Return all columns: the tank, then each parameter that can be tested."""
    made = list(_TANK)
    for name in parameters(reference):
        known = reference.parameters.get(name)
        unit = _UNITS[known.kept if known else "mg/L"]
        made.append(Column(f"{name}{unit}", _of(name, _best)))
        untested = "not judged" if known and known.nutrient else None
        made.append(Column(f"{name}_verdict", _of(name, _verdict, untested)))
        if known and known.nutrient:
            made += [
                Column(f"{name}_low{unit}", _of(name, _low)),
                Column(f"{name}_high{unit}", _of(name, _high)),
                Column(f"{name}_per_week{unit}", _of(name, _trend)),
                Column(f"{name}_method", _of(name, _method)),
                Column(f"{name}_on", _of(name, _day)),
            ]
    return made


def parameters(reference: Reference) -> list[str]:
    """Return what can stand in a report: all that is tested, and free ammonia."""
    names = list(reference.parameters)
    names.insert(names.index("ammonia") + 1, WORKED_OUT)
    return names


def _of(
    name: str, part: Callable[[Finding], Value], untested: Value = None
) -> Callable[[Line], Value]:
    def value(line: Line) -> Value:
        finding = line.entry.findings.of(name)
        return part(finding) if finding else untested

    return value


def _best(finding: Finding) -> Value:
    return number(best_value(finding.latest)) if finding.latest else None


def _verdict(finding: Finding) -> Value:
    return finding.verdict


def _low(finding: Finding) -> Value:
    return number(finding.latest.low) if finding.latest else None


def _high(finding: Finding) -> Value:
    return number(finding.latest.high) if finding.latest else None


def _trend(finding: Finding) -> Value:
    return number(finding.trend.per_week) if finding.trend else None


def _method(finding: Finding) -> Value:
    return finding.latest.method.name if finding.latest else None


def _day(finding: Finding) -> Value:
    return finding.latest.taken_on if finding.latest else None


def write(report: Report, wording: Wording, reference: Reference, path: Path) -> None:
    """Write ``summary.csv``."""
    made = columns(reference)
    text = io.StringIO(newline="")
    rows = csv.writer(text, lineterminator="\r\n")
    rows.writerow([column.name for column in made])
    for line in lines(report, wording):
        rows.writerow([_cell(column.value(line)) for column in made])
    path.write_bytes(text.getvalue().encode("utf-8-sig"))


# Verdicts, methods, places and keepers come again in every line.
_text = lru_cache(maxsize=4096)(for_csv)


def _cell(value: Value) -> str | float:
    if value is None:
        return ""
    if isinstance(value, str):
        return _text(value)
    return value.isoformat() if isinstance(value, date) else value
