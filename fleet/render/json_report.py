"""``report.json``: everything that was found and planned, for other programs.

Kept units only; alkalinity in meq/L. Six significant digits, so that no number
looks surer than the printed one. What is not known is ``null``. The file's schema
is ``fleet/data/report.schema.json``.
"""

from __future__ import annotations

import json
import re
from pathlib import Path

from fleet.records import Action, Plan, Problem, Report, TankChange, TankReport
from fleet.reference import Reference
from fleet.render.json_findings import Entry, day, findings_entry, number, texts
from fleet.render.wording import Wording

SCHEMA = "fleet-report/1"


def write(report: Report, wording: Wording, reference: Reference, path: Path) -> None:
    """Write ``report.json``, one tank a line so that two reports can be compared."""
    changes = {change.tank: change for change in report.changes}
    head = _dump(_head(report))[:-1]
    tanks = ",\n".join(
        _dump(_tank(entry, changes.get(entry.tank.id), wording, reference))
        for entry in report.tanks
    )
    tail = _dump(_tail(report, reference))[1:]
    path.write_text(f'{head},\n"tanks":[\n{tanks}\n],\n{tail}\n', "utf-8", newline="\n")


# JSON keeps a text exactly, but escapes what would steer a terminal that shows the
# file. Half of a surrogate pair is no character: it becomes the mark for one.
_STEERING = re.compile(r"[\x7f-\x9f\u2028-\u202e\u2066-\u2069\ufeff]")
_HALVES = re.compile(r"[\ud800-\udfff]")
_encode = json.JSONEncoder(
    ensure_ascii=False, check_circular=False, allow_nan=False, separators=(",", ":")
).encode


def _dump(entry: Entry) -> str:
    text = _encode(entry)
    if text.isprintable():
        return text
    text = _HALVES.sub("\ufffd", text)
    return _STEERING.sub(lambda found: f"\\u{ord(found[0]):04x}", text)


def _head(report: Report) -> Entry:
    return {
        "schema": SCHEMA,
        "as_of": report.as_of.isoformat(),
        "made_by": report.made_by,
        "organisation": report.settings.organisation or None,
        "sources": [source.name for source in report.sources],
        "source_files": [
            {
                "name": source.name,
                "sha256": source.sha256 or None,
                "failed": source.failed or None,
            }
            for source in report.sources
        ],
        "since": day(report.since),
        "gone": [change.tank for change in report.changes if change.word == "gone"],
    }


def _tail(report: Report, reference: Reference) -> Entry:
    return {
        "shopping": [
            {
                "substance": substance_name(line.substance, reference),
                "total_g": number(line.total_g),
                "on_hand_g": number(line.on_hand_g),
                "per_tank": {tank: number(grams) for tank, grams in line.per_tank},
                "stocks": [
                    {
                        "g_per_l": number(bottle.strength),
                        "weigh_g": number(bottle.weigh_g),
                        "ml_a_day": {
                            portion.tank: number(portion.day_ml)
                            for portion in bottle.portions
                        },
                    }
                    for bottle in line.bottles
                ],
            }
            for line in report.shopping
        ],
        "rows": [
            {
                "file": count.file,
                "sheet": count.sheet,
                "rows": count.rows,
                "read": count.read,
                "left_out": count.left_out,
            }
            for count in report.counts
        ],
        "problems": [_problem(problem) for problem in report.problems],
    }


def _tank(
    entry: TankReport,
    change: TankChange | None,
    wording: Wording,
    reference: Reference,
) -> Entry:
    tank, plan = entry.tank, entry.plan
    return {
        "tank": tank.id,
        "name": tank.name or None,
        "place": tank.place or None,
        "keeper": tank.keeper or None,
        "group": tank.group or None,
        "displays": list(tank.displays),
        "livestock": tank.livestock or None,
        "volume_l": number(tank.volume_l),
        "attention": plan.attention,
        "score": plan.score,
        "score_parts": [
            {
                "what": part.what,
                "points": number(part.points),
                "because": wording.plain(part.because),
            }
            for part in plan.score_parts
        ],
        "situations": list(plan.situations),
        "headline": wording.plain(plan.headline),
        "meaning": texts(plan.meaning, wording),
        **findings_entry(entry.findings, wording, reference),
        "actions": [_action(a, wording, reference) for a in _in_order(plan)],
        "leave_alone": texts(plan.leave_alone, wording),
        "retest": {parameter: day(on) for parameter, on in plan.retests},
        "since": _change(change),
    }


def _in_order(plan: Plan) -> list[Action]:
    return sorted(plan.actions, key=lambda action: action.priority)


# ------------------------------------------------------------------------ planned


def _action(action: Action, wording: Wording, reference: Reference) -> Entry:
    return {
        "id": action.id,
        "kind": action.kind,
        "what": wording.plain(action.what),
        "why": wording.plain(action.why),
        "when": action.when.isoformat(),
        "until": day(action.until),
        "priority": action.priority,
        "parameter": action.parameter or None,
        "substance": substance_name(action.substance, reference) or None,
        "amount_g": number(action.amount_g),
        "amount_ml": number(action.amount_ml),
        "stock_g_per_l": number(action.stock_g_per_l),
        "days": action.days,
        "per_day_g": number(action.per_day_g),
        "per_day_ml": number(action.per_day_ml),
        "expected": {parameter: number(rise) for parameter, rise in action.expected},
        "water_change_l": number(action.water_change_l),
        "water_change_share": number(action.water_change_share),
        "new_water": action.new_water,
        "new_water_salinity": number(action.new_water_salinity),
        "method_class": action.method_class or None,
        "stock": wording.plain(action.stock) if action.stock else None,
        "stop_if": wording.plain(action.stop_if) if action.stop_if else None,
        "cautions": texts(action.cautions, wording),
        "rule": action.rule,
        "sources": list(action.sources),
    }


def substance_name(key: str, reference: Reference) -> str:
    """Return a salt as a shelf names it; any other substance as it is."""
    salt = reference.salts.get(key)
    return salt.spellings[0] if salt else key


def _change(change: TankChange | None) -> Entry | None:
    if change is None:
        return None
    return {
        "word": change.word,
        "before": change.before or None,
        "done": list(change.done),
        "not_done": list(change.not_done),
    }


def _problem(problem: Problem) -> Entry:
    return {
        "file": problem.where.file,
        "sheet": problem.where.sheet,
        "cell": problem.where.cell,
        "value": problem.value,
        "message": problem.message,
        "effect": problem.effect,
        "severity": problem.severity,
        "kind": problem.kind,
    }
