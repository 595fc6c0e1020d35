"""The findings of one tank in ``report.json``."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from datetime import date
from functools import lru_cache
from typing import Any

from fleet.records import (
    Budget,
    Effect,
    Finding,
    Findings,
    Measurement,
    Sentence,
    Stage,
)
from fleet.reference import Reference
from fleet.render.summary import WORKED_OUT, best_value
from fleet.render.wording import Wording

ALWAYS = ("nitrate", "phosphate")  # listed also where never tested
_NUTRIENTS = {"nitrate": "nitrogen", "phosphate": "phosphorus"}

Entry = dict[str, Any]


def findings_entry(found: Findings, wording: Wording, reference: Reference) -> Entry:
    """Return what was found at a tank, from its stage to the last work."""
    return {
        "stage": _stage(found.stage, wording),
        "parameters": _parameters(found.findings, wording, reference),
        "ratio_n_to_p": number(found.ratio_n_to_p),
        "causes": _causes(found, wording),
        "budget": _budgets(found.budgets, wording),
        "looks": list(found.looks),
        "looked_on": day(found.looked_on),
        "last_visit": day(found.last_visit),
        "last_tested": day(found.last_tested),
        "missing": texts(found.missing, wording),
        "last_work": [_effect(effect, wording) for effect in found.effects],
        "logged_that_day": [
            {"work": work.work, "substance": work.substance or None}
            for work in found.work
            if work.on == found.as_of
        ],
    }


def _stage(stage: Stage, wording: Wording) -> Entry:
    return {
        "name": stage.name,
        "sure": number(stage.sure),
        "because": texts(stage.because, wording),
        "missing": texts(stage.missing, wording),
        "days_since_filled": stage.days_since_filled,
        "days_since_cycled": stage.days_since_cycled,
    }


def _parameters(
    findings: Sequence[Finding], wording: Wording, reference: Reference
) -> Entry:
    entries = {
        finding.parameter: _parameter(finding, wording, reference)
        for finding in findings
        if finding.latest or finding.doubted or finding.parameter in ALWAYS
    }
    for parameter in ALWAYS:
        if parameter not in entries:
            untested = Finding(parameter, "not judged", None, None, None, 0, 0, 0)
            entries[parameter] = _parameter(untested, wording, reference)
    return entries


def _parameter(finding: Finding, wording: Wording, reference: Reference) -> Entry:
    latest, band, trend = finding.latest, finding.band, finding.trend
    crossing = finding.crossing
    # Where nothing could be judged there are no chances, rather than none at all.
    judged = finding.under + finding.within + finding.over > 0
    return {
        **_reading(latest, finding.age_days),
        "unit": _unit(finding.parameter, reference),
        "band": [number(band.low), number(band.high)] if band else None,
        "band_source": (band.basis or None) if band else None,
        "verdict": finding.verdict,
        "why": wording.plain(finding.why) if finding.why else None,
        "chance": _chances(finding) if judged else None,
        "per_week": number(trend.per_week) if trend else None,
        "per_week_low": number(trend.low) if trend else None,
        "per_week_high": number(trend.high) if trend else None,
        "reaches": {
            "bound": crossing.bound,
            "on": crossing.on.isoformat(),
            "earliest": crossing.earliest.isoformat(),
            "latest": day(crossing.latest),
        }
        if crossing
        else None,
        "doubted": [_doubted(measured, wording) for measured in finding.doubted],
    }


def _reading(measured: Measurement | None, age_days: int | None) -> Entry:
    if measured is None:
        names = ("value", "low", "high", "written", "method", "taken_on", "cell")
        return {**dict.fromkeys(names), "method_assumed": None, "age_days": None}
    return {
        "value": number(best_value(measured)),
        "low": number(measured.low),
        "high": number(measured.high),
        "written": measured.written if measured.parameter != WORKED_OUT else None,
        "method": measured.method.name or None,
        "method_assumed": measured.method.assumed,
        "taken_on": measured.taken_on.isoformat(),
        "age_days": age_days,
        "cell": _cell(measured),
    }


def _cell(measured: Measurement) -> Entry:
    where = measured.source
    return {"file": where.file, "sheet": where.sheet, "cell": where.cell}


def _doubted(measured: Measurement, wording: Wording) -> Entry:
    doubt = measured.doubt
    return {
        "written": measured.written,
        "value": number(measured.value),
        "taken_on": measured.taken_on.isoformat(),
        "kind": doubt.kind if doubt else None,
        "why": wording.plain(doubt.why) if doubt else None,
        "would_be": number(doubt.would_be) if doubt else None,
        "cell": _cell(measured),
    }


def _chances(finding: Finding) -> Entry:
    """Return the chances to four decimals; the largest takes up the rounding."""
    chances = {
        "under": round(finding.under, 4),
        "within": round(finding.within, 4),
        "over": round(finding.over, 4),
    }
    largest = max(chances, key=chances.__getitem__)
    others = sum(chances.values()) - chances[largest]
    chances[largest] = round(1 - others, 4)
    return chances


def _unit(parameter: str, reference: Reference) -> str:
    known = reference.parameters.get(parameter)
    return known.kept if known else "mg/L"  # free_ammonia is worked out, not read


def _causes(found: Findings, wording: Wording) -> list[Entry]:
    of_side = {
        (cause.cause, cause.side, cause.parameter): cause.share
        for listed in found.cause_lists
        for cause in listed.causes
    }
    return [
        {
            "cause": cause.cause,
            "share": number(cause.share),
            "share_of_side": number(of_side[cause.cause, cause.side, cause.parameter]),
            "because": texts(cause.because, wording),
            "side": cause.side,
            "parameter": cause.parameter or None,
        }
        for cause in found.causes
    ]


def _budgets(budgets: Sequence[Budget], wording: Wording) -> Entry:
    entries: Entry = dict.fromkeys(_NUTRIENTS.values())
    for budget in budgets:
        entries[_NUTRIENTS[budget.parameter]] = {
            "of": budget.parameter,
            "weeks": number(budget.weeks),
            "input_mg_l_week": number(budget.input_mg_l_week),
            "measured_mg_l_week": number(budget.measured_mg_l_week),
            "added_mg_l_week": number(budget.added_mg_l_week),
            "removed_by_change_mg_l_week": number(budget.removed_by_change_mg_l_week),
            "taken_up_mg_l_week": number(budget.taken_up_mg_l_week),
            "low": number(budget.low),
            "high": number(budget.high),
            "note": wording.plain(budget.note) if budget.note else None,
        }
    return entries


def _effect(effect: Effect, wording: Wording) -> Entry:
    work = effect.work
    return {
        "work": work.work,
        "on": work.on.isoformat(),
        "substance": work.substance or None,
        "amount": number(work.amount),
        "amount_unit": work.unit or None,
        # Calcium chloride, trace elements, bacteria: nothing that is judged rises.
        "parameter": effect.parameter or None,
        "expected_rise": number(effect.expected_rise),
        "seen_rise": number(effect.seen_rise),
        "seen_low": number(effect.seen_low),
        "seen_high": number(effect.seen_high),
        "seen_on": day(effect.seen_on),
        "kept_share": number(effect.kept_share),
        "kept_low": number(effect.kept_low),
        "kept_high": number(effect.kept_high),
        "verdict": wording.plain(effect.verdict) if effect.verdict else None,
    }


# -------------------------------------------------------------------- small forms


def number(amount: float | None) -> float | None:
    """Return a number to six significant digits; what is not finite is unknown."""
    return None if amount is None else _to_six(amount)


# What tests can read, and the ends of bands, come again at every tank.
@lru_cache(maxsize=16384)
def _to_six(amount: float) -> float | None:
    if not math.isfinite(amount):
        return None
    return float(f"{amount:.6g}") + 0.0  # no -0.0, which is equal to 0.0 here


def day(on: date | None) -> str | None:
    """Return an ISO date."""
    return on.isoformat() if on else None


def texts(sentences: Iterable[Sentence], wording: Wording) -> list[str]:
    """Return sentences as plain text."""
    return [wording.plain(sentence) for sentence in sentences]
