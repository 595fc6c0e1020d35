"""All that assess says of one tank, joined."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from fleet.assess.budget import budgets_of
from fleet.assess.causes import causes_of
from fleet.assess.effect_words import last_work
from fleet.assess.effects import effects_of, uptake_of
from fleet.assess.equipment import running, taken_off
from fleet.assess.evidence import animals_in, best, corals_in, last_looks, up_to
from fleet.assess.maturity import stage_of
from fleet.assess.verdicts import findings_of
from fleet.records import (
    Band,
    Finding,
    Findings,
    Measured,
    Reading,
    Sentence,
    Settings,
    ShelfItem,
    Tank,
    Work,
    say,
)
from fleet.reference import Reference
from fleet.science.concentration import molar_ratio


def find(
    tank: Tank,
    readings: tuple[Reading, ...],
    measured: Measured,
    work: tuple[Work, ...],
    bands: tuple[Band, ...],
    shelf: tuple[ShelfItem, ...],
    settings: Settings,
    reference: Reference,
    as_of: date,
) -> Findings:
    """Judge one tank as of a day; readings and work of later days are not used.

    ``bands`` are the workbook's own, in kept units.
    """
    readings = tuple(r for r in readings if r.taken_on <= as_of)
    work = tuple(w for w in work if w.on <= as_of)
    stage = stage_of(tank, readings, measured, work, reference, as_of)
    findings = findings_of(
        tank, stage, measured, work, bands, settings, reference, as_of, shelf
    )
    looks = last_looks(readings, as_of)
    tested = _last_tests(measured, as_of)
    nutrients = [p.key for p in reference.parameters.values() if p.nutrient]
    effects = effects_of(tank, measured, work, shelf, settings, reference, as_of)
    draft = Findings(
        tank=tank,
        as_of=as_of,
        stage=stage,
        findings=findings,
        causes=(),
        budgets=budgets_of(tank, measured, work, shelf, settings, reference, as_of),
        effects=effects,
        ratio_n_to_p=_ratio(findings),
        looks=looks[0].words if looks else (),
        looks_before=looks[1].words if len(looks) > 1 else (),
        looked_on=looks[0].on if looks else None,
        animals=animals_in(tank, work, as_of),
        corals=corals_in(tank, looks),
        last_visit=max((r.taken_on for r in readings), default=None),
        last_tested=max(tested.values(), default=None),
        nutrients_tested=max(
            (tested[name] for name in nutrients if name in tested), default=None
        ),
        work=work,
        missing=_missing(tank),
        running=tuple(running(tank, work, reference, as_of).items()),
        taken_off=tuple(taken_off(work, as_of).items()),
        uptake=uptake_of(effects, reference),
        last_work=last_work(effects, reference, as_of),
    )
    return replace(draft, causes=causes_of(draft, settings, reference))


def _last_tests(measured: Measured, as_of: date) -> dict[str, date]:
    """Return the last day each parameter was tested, whatever came of it."""
    tested = {}
    for parameter in measured.parameters:
        results = up_to(as_of, measured.of(parameter).every)
        if results:
            tested[parameter] = results[-1].taken_on
    return tested


def _ratio(findings: tuple[Finding, ...]) -> float | None:
    """Return molar N:P where both surely register and neither is old."""
    found = {f.parameter: f for f in findings}
    nitrate, phosphate = found.get("nitrate"), found.get("phosphate")
    for finding in (nitrate, phosphate):
        latest = finding.latest if finding else None
        if finding is None or finding.stale or latest is None:
            return None
        if not latest.registers or latest.upper_limit_only or not latest.value:
            return None
        if latest.method.kind == "total":
            return None
    assert nitrate and nitrate.latest and phosphate and phosphate.latest
    return molar_ratio(best(nitrate.latest), best(phosphate.latest))


def _missing(tank: Tank) -> tuple[Sentence, ...]:
    """Name the facts of the Tanks sheet that would have helped."""
    lacking: list[Sentence] = []
    if not tank.volume_l:
        lacking.append(say("tanks.no-volume"))
    if not tank.livestock:
        lacking.append(say("tanks.no-livestock"))
    if tank.feed_g_day is None:
        key = "tanks.no-feed" if tank.fish is None else "tanks.no-feed-amount"
        lacking.append(say(key))
    return tuple(lacking)
