"""Why a parameter cannot be told or is not judged, and which method could tell."""

from __future__ import annotations

import math

from fleet.assess.bands import as_read_by
from fleet.assess.judging import chance_of, verdict_of
from fleet.intervals import meaning
from fleet.records import (
    Band,
    Measurement,
    Method,
    Sentence,
    Settings,
    Stage,
    Tank,
    say,
)
from fleet.reference import MethodClass, Reference
from fleet.science.resolution import Chance


def why_cannot_tell(
    measured: Measurement, band: Band, chance: Chance, better: str
) -> Sentence:
    """Return what a result leaves open, in plain words."""
    method = measured.method
    edge = band.low if chance.under >= chance.over else band.high
    if measured.parameter == "free_ammonia":
        ends = measured.low, measured.high
        return say("verdicts.free-ammonia-open", ends=ends, edge=edge)
    facts = {
        "parameter": measured.parameter,
        "written": measured.written,
        "kind": method.kind,
        "assumed": method.assumed,
        "ends": (measured.low, measured.high),
    }
    if method.kind == "total":
        return say("verdicts.total-only", **facts)
    if measured.upper_limit_only and measured.registers is not False:
        return say("verdicts.beside-nitrite", **facts)
    if measured.registers is False:
        return say("verdicts.less-than-only", **facts, better=better)
    if math.isinf(measured.high):
        return say("verdicts.more-than-only", **facts)
    if measured.registers is None:
        return say("verdicts.barely-seen", **facts, better=better)
    return say("verdicts.both-sides", **facts, edge=edge)


def why_no_band(parameter: str, tank: Tank, stage: Stage) -> Sentence:
    """Return why nothing says what is right for a parameter of this tank."""
    return say(
        "verdicts.no-band",
        parameter=parameter,
        livestock=tank.livestock,
        stage=stage.name,
    )


def why_stale(measured: Measurement, days: int, settings: Settings) -> Sentence:
    """Return that a value is too old to be judged as today's."""
    return say(
        "verdicts.stale",
        parameter=measured.parameter,
        written=measured.written,
        on=measured.taken_on,
        days=days,
        round_days=settings.round_days,
    )


def better_method_for(
    measured: Measurement, band: Band, needed: float, reference: Reference
) -> str:
    """Return the cheapest class of method that could have told, "" if none.

    Each class is tried on the same water: what it would read where the result in
    hand saw nothing, or the same value, with its own interval. For a value that
    registers, only just beside an edge, nobody need send water to a laboratory.
    """
    if measured.upper_limit_only and measured.method.kind != "total":
        return ""  # no method of its kind tells until the nitrite is gone
    for known in reference.methods.values():
        if known.measures != measured.parameter or known.kind == "total":
            continue
        if known.key == measured.method.class_key or not _finer(known, measured.method):
            continue
        if known.kind == "laboratory" and measured.registers:
            continue
        tried = _read_by(known, measured)
        chance = chance_of(tried, as_read_by(band, tried.method, reference), reference)
        if verdict_of(chance, needed, upper_limit_only=False) != "cannot tell":
            return known.key
    return ""


def _finer(known: MethodClass, method: Method) -> bool:
    """Say whether a class tells more than the method in hand in any way."""
    if method.kind == "total":
        return True
    for finer, given in (
        (known.lowest, method.lowest),
        (known.accuracy, method.accuracy),
        (known.step, method.step),
    ):
        if finer is not None and (given is None or finer < given):
            return True
    return False


def _read_by(known: MethodClass, measured: Measurement) -> Measurement:
    """Return what a class of method would say of the same water."""
    method = Method(
        known.key,
        measured.parameter,
        known.kind,
        known.lowest,
        known.step,
        known.accuracy,
        known.accuracy_share,
        known.highest,
    )
    value, bottom = measured.value, min(measured.low, 0.0)
    if value is None and math.isinf(measured.high):
        value = measured.low
    if value is None or measured.registers is not True:
        read = meaning("none seen", 0.0, None, method, 1.0, bottom)
    else:
        read = meaning("value", value, None, method, 1.0, bottom)
    written, source = measured.written, measured.source
    return Measurement(
        measured.parameter, measured.taken_on, *read, written, method, source
    )
