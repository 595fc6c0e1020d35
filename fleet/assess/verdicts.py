"""What can be said about each parameter of one tank, and no more than that."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date
from itertools import takewhile
from typing import Literal, NamedTuple

from fleet.assess.bands import NOT_NOTED, as_read_by, bands_for
from fleet.assess.evidence import up_to
from fleet.assess.judging import (
    UNKNOWN,
    beyond_second_limit,
    chance_of,
    verdict_of,
)
from fleet.assess.reasons import (
    better_method_for,
    why_cannot_tell,
    why_no_band,
    why_stale,
)
from fleet.assess.trends import crossing_of, direction, drift_of, heading_of
from fleet.records import (
    Band,
    Finding,
    Measured,
    Measurement,
    Results,
    Sentence,
    Settings,
    ShelfItem,
    Stage,
    Tank,
    VerdictWord,
    Work,
    say,
)
from fleet.reference import Reference
from fleet.science.resolution import Chance

FREE_AMMONIA = "free_ammonia"
_HELD = ("within", "cannot tell")  # where a drift may be taken for a rise


class _Case(NamedTuple):
    """What judging one tank takes."""

    tank: Tank
    stage: Stage
    work: tuple[Work, ...]
    shelf: tuple[ShelfItem, ...]
    settings: Settings
    reference: Reference
    as_of: date
    needed: float  # chance a verdict needs
    stale_after: float  # days


class _Judged(NamedTuple):
    """A verdict with its chances and, where it needs one, its reason."""

    verdict: VerdictWord
    chance: Chance
    why: Sentence | None
    better_method: str = ""


def findings_of(
    tank: Tank,
    stage: Stage,
    measured: Measured,
    work: Sequence[Work],
    bands: Sequence[Band],
    settings: Settings,
    reference: Reference,
    as_of: date,
    shelf: tuple[ShelfItem, ...] = (),
) -> tuple[Finding, ...]:
    """Return one finding a parameter, in the order of parameters.toml.

    Free ammonia follows ammonia. Nitrate and phosphate always have a finding; other
    parameters only where they were ever tested. ``bands`` are the workbook's own, in
    kept units (``normalise.units.kept_bands``).
    """
    needed = settings.chance_needed
    case = _Case(
        tank=tank,
        stage=stage,
        work=tuple(w for w in work if w.on <= as_of),
        shelf=shelf,
        settings=settings,
        reference=reference,
        as_of=as_of,
        needed=reference.limit("chance-needed") if needed is None else needed,
        stale_after=reference.old_after(settings.round_days),
    )
    chosen = bands_for(tank, stage.name, bands, reference)
    findings = []
    for parameter in _in_order(reference):
        known = reference.parameters.get(parameter)
        results = measured.of(parameter)
        if results.every or (known is not None and known.nutrient):
            findings.append(_finding(parameter, results, chosen.get(parameter), case))
    return tuple(findings)


def _in_order(reference: Reference) -> Iterable[str]:
    for parameter in reference.parameters:
        yield parameter
        if parameter == "ammonia":
            yield FREE_AMMONIA


def _finding(
    parameter: str, results: Results, band: Band | None, case: _Case
) -> Finding:
    believed = up_to(case.as_of, results.believed)
    own = up_to(case.as_of, results.own)
    latest = _latest(believed, own, case)
    later = takewhile(lambda m: m is not latest, reversed(results.every))
    doubted = tuple([m for m in later if m.doubt is not None])[::-1]
    age = (case.as_of - latest.taken_on).days if latest is not None else None
    stale = age is not None and age > case.stale_after
    if band is not None:
        band = as_read_by(band, latest.method if latest else None, case.reference)
    against = tuple(m for m in doubted if m.doubt and m.doubt.kind != "future date")
    judged = _judge(parameter, latest, stale, age, against, band, case)
    log = case.tank, case.work, case.settings, case.reference, case.as_of, case.shelf
    trend = None
    if parameter != FREE_AMMONIA and len(own) > 1:
        trend = drift_of(own, *log)
    crossing = heading = None
    second: Literal["", "low", "high"] = ""
    if latest is not None and judged.verdict != "not judged" and band is not None:
        heading = heading_of(trend, own, *log)
        crossing = crossing_of(latest, heading, band, case.reference, case.as_of)
        second = beyond_second_limit(latest, band)
    why = judged.why
    if heading is None and direction(trend) and judged.verdict in _HELD and trend:
        held = say(
            "verdicts.held-level",
            parameter=parameter,
            gains=trend.per_week > 0,
            ends=(min(abs(trend.low), abs(trend.high)), max(trend.high, -trend.low)),
        )
        why = _joined(why, held) if why else held
    zeros = _flat_zeros(parameter, own, case.reference)
    flat = bool(zeros) and own[-1] is latest and not stale
    return Finding(
        parameter=parameter,
        verdict=judged.verdict,
        why=why,
        latest=latest,
        band=band,
        under=judged.chance.under,
        within=judged.chance.within,
        over=judged.chance.over,
        age_days=age,
        stale=stale,
        previous=_previous(believed, latest),
        trend=trend,
        crossing=crossing,
        better_method=judged.better_method,
        doubted=doubted,
        history=results.every,
        flat_zero=flat,
        flat_zero_visits=zeros if flat else 0,
        registered_before=any(m.registers for m in own if m is not latest),
        second_limit=second,
        heading=heading,
    )


def _latest(
    believed: Sequence[Measurement], own: Sequence[Measurement], case: _Case
) -> Measurement | None:
    """Return the newest believed result.

    Total phosphorus stands in, as an upper limit, only where phosphate itself was
    not tested of late.
    """
    newest = believed[-1] if believed else None
    if newest is None or not own or own[-1] is newest:
        return newest
    days = (case.as_of - own[-1].taken_on).days
    return own[-1] if days <= case.stale_after else newest


def _previous(
    believed: Sequence[Measurement], latest: Measurement | None
) -> Measurement | None:
    """Return the believed result of the same kind before the latest."""
    if latest is None:
        return None
    total = latest.method.kind == "total"
    older = False
    for result in reversed(believed):
        if older and (result.method.kind == "total") == total:
            return result
        older = older or result is latest
    return None


def _flat_zeros(
    parameter: str, own: Sequence[Measurement], reference: Reference
) -> int:
    """Return how many visits in a row, up to now, read nothing by an able method."""
    limit = reference.limits.get(f"{parameter}-can-tell")
    if limit is None:
        return 0
    days = set()
    for result in reversed(own):
        lowest = result.method.lowest
        able = lowest is not None and lowest <= limit.value >= result.high
        if result.registers is not False or not able:
            break
        days.add(result.taken_on)
    return len(days)


# ----------------------------------------------------------------------- judging


def _judge(
    parameter: str,
    latest: Measurement | None,
    stale: bool,
    age: int | None,
    doubted: tuple[Measurement, ...],
    band: Band | None,
    case: _Case,
) -> _Judged:
    """Return the verdict, or why there is none; the first reason found counts."""
    known = case.reference.parameters.get(parameter)
    if case.stage.name == "cycling" and known is not None and known.nutrient:
        return _not_judged(say("verdicts.while-cycling", parameter=parameter))
    if latest is None:
        if doubted:
            return _not_judged(_only_doubted(parameter, doubted[-1]))
        return _not_judged(say("verdicts.never-tested", parameter=parameter))
    if stale:
        why = why_stale(latest, age or 0, case.settings)
        return _not_judged(_beside(why, doubted))
    if band is None or (band.low is None and band.high is None):
        why = why_no_band(parameter, case.tank, case.stage)
        return _not_judged(_beside(why, doubted))
    chance = chance_of(latest, band, case.reference)
    verdict = verdict_of(chance, case.needed, latest.upper_limit_only)
    note = latest.note
    if band.livestock == NOT_NOTED:
        note = _joined(say("verdicts.livestock-assumed"), note)
    if verdict != "cannot tell":
        return _Judged(verdict, chance, _beside(note, doubted))
    better = better_method_for(latest, band, case.needed, case.reference)
    why = _joined(why_cannot_tell(latest, band, chance, better), note)
    return _Judged(verdict, chance, _beside(why, doubted), better)


def _not_judged(why: Sentence | None) -> _Judged:
    return _Judged("not judged", UNKNOWN, why)


def _only_doubted(parameter: str, newest: Measurement) -> Sentence:
    assert newest.doubt is not None
    return say("verdicts.only-doubted", parameter=parameter, doubt=newest.doubt.why)


def _beside(why: Sentence | None, doubted: tuple[Measurement, ...]) -> Sentence | None:
    """Return a reason, after word that a newer result was left out of it."""
    if not doubted:
        return why
    newest = doubted[-1]
    assert newest.doubt is not None
    left_out = say(
        "verdicts.judged-without",
        parameter=newest.parameter,
        on=newest.taken_on,
        doubt=newest.doubt.why,
    )
    return _joined(left_out, why)


def _joined(first: Sentence, second: Sentence | None) -> Sentence:
    if second is None:
        return first
    return say("verdicts.both", first=first, second=second)
