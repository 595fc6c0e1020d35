"""Every number on one tank's sheet, how it came about and the source behind it."""

from __future__ import annotations

from dataclasses import dataclass

from fleet.records import (
    Action,
    Budget,
    DoseWorking,
    Finding,
    Measurement,
    Report,
    TankReport,
)
from fleet.reference import Reference
from fleet.render.safe import for_terminal
from fleet.render.wording import Wording, plain

SHOWN_RESULTS = 8  # a parameter; older ones are in summary.xlsx


@dataclass(frozen=True, slots=True)
class ResultLine:
    """One result as written and as understood."""

    day: str
    written: str
    cell: str
    method: str
    means: str
    doubt: str


@dataclass(frozen=True, slots=True)
class ParameterLines:
    """One parameter: its results, band, chances and trend in shown words."""

    name: str
    results: tuple[ResultLine, ...]
    older: int
    band: str
    basis: str
    verdict: str
    chances: str
    why: str
    trend: str
    crossing: str


@dataclass(frozen=True, slots=True)
class ActionLines:
    """One action with its sum written out."""

    what: str
    why: str
    rule: str
    sums: tuple[str, ...]
    sources: tuple[str, ...]


def explain(
    entry: TankReport, report: Report, wording: Wording, reference: Reference
) -> str:
    """Return the explanation of one tank as plain text."""
    template = wording.environment.get_template("explain.txt.j2")
    findings, plan = entry.findings, entry.plan
    text = template.render(
        tank=entry.tank,
        report=report,
        findings=findings,
        plan=plan,
        foreign=for_terminal,
        parameters=[
            _parameter(f, wording)
            for f in findings.findings
            if f.history or f.latest or f.doubted
        ],
        budgets=[_budget(b, wording) for b in findings.budgets],
        actions=[_action(a, wording, reference) for a in plan.actions],
        say=wording.plain,
        display=wording.display,
    )
    return plain(str(text)).strip() + "\n"


def _parameter(finding: Finding, wording: Wording) -> ParameterLines:
    display = wording.display
    name = finding.parameter
    seen = finding.history or tuple(m for m in (finding.latest,) if m)
    band = finding.band
    trend = finding.trend
    crossing = finding.crossing
    return ParameterLines(
        name=wording.label(name, "parameter"),
        results=tuple(_result(m, wording) for m in seen[-SHOWN_RESULTS:]),
        older=max(len(seen) - SHOWN_RESULTS, 0),
        band=_band(finding, wording),
        basis=band.basis if band else "",
        verdict=wording.label(finding.verdict, "verdict"),
        chances=", ".join(
            f"{wording.label(word, 'verdict')} {display.share(chance)}"
            for word, chance in (
                ("under", finding.under),
                ("within", finding.within),
                ("over", finding.over),
            )
        ),
        why=wording.plain(finding.why) if finding.why else "",
        trend=(
            f"{display.change(trend.per_week, name)} "
            f"({display.change(trend.low, name)} … {display.change(trend.high, name)}), "
            f"n = {trend.visits}"
            if trend
            else ""
        ),
        crossing=(
            f"{wording.label(crossing.bound, 'bound')}: {display.day(crossing.on)} "
            f"({display.short_day(crossing.earliest)} … "
            f"{display.short_day(crossing.latest) if crossing.latest else '?'})"
            if crossing
            else ""
        ),
    )


def _band(finding: Finding, wording: Wording) -> str:
    band = finding.band
    if band is None:
        return ""
    low = band.low if band.low is not None else 0.0
    high = band.high if band.high is not None else float("inf")
    return wording.display.span((low, high), finding.parameter)


def _result(measured: Measurement, wording: Wording) -> ResultLine:
    where = measured.source
    method = for_terminal(measured.method.name)
    return ResultLine(
        day=wording.display.day(measured.taken_on),
        written=for_terminal(measured.written),
        cell=for_terminal(f"{where.sheet}!{where.cell}"),
        method=f"{method} *" if measured.method.assumed else method,
        means=wording.display.can_mean(measured),
        doubt=wording.plain(measured.doubt.why) if measured.doubt else "",
    )


def _budget(budget: Budget, wording: Wording) -> dict[str, str]:
    display = wording.display
    name = budget.parameter

    def shown(value: float | None) -> str:
        return "?" if value is None else display.change(value, name)

    removed = budget.removed_by_change_mg_l_week
    return {
        "name": wording.label(name, "parameter"),
        "weeks": display.number(budget.weeks, 1),
        "input": shown(budget.input_mg_l_week),
        "added": shown(budget.added_mg_l_week),
        "removed": shown(-removed if removed else 0.0),
        "measured": shown(budget.measured_mg_l_week),
        "taken": shown(budget.taken_up_mg_l_week),
        "low": shown(budget.low),
        "high": shown(budget.high),
        "note": wording.plain(budget.note) if budget.note else "",
    }


def _action(action: Action, wording: Wording, reference: Reference) -> ActionLines:
    sums = ()
    if action.working is not None and action.amount_g is not None:
        sums = dose_sums(action, action.working, wording)
    return ActionLines(
        what=wording.plain(action.what),
        why=wording.plain(action.why),
        rule=action.rule,
        sums=sums,
        sources=action.sources,
    )


def dose_sums(
    action: Action, working: DoseWorking, wording: Wording
) -> tuple[str, ...]:
    """Return the sum of one dose, a line a step, so that it can be redone by hand."""
    show = wording.display.significant
    per_day = action.per_day_g or 0.0
    days = action.days or 1
    ion = working.rise_day * working.volume_l / 1000
    lines = [
        f"{show(working.rise_day, 4)} mg/L × {show(working.volume_l, 5)} L ÷ 1000 "
        f"= {show(ion, 4)} g",
        f"{show(ion, 4)} g ÷ {show(working.ion_share, 4)} ÷ {show(working.purity, 4)} "
        f"= {show(per_day, 4)} g",
        f"{show(per_day, 4)} g × {days} = {show(action.amount_g or 0.0, 4)} g",
    ]
    if action.per_day_ml and action.stock_g_per_l:
        lines.append(
            f"{show(per_day, 4)} g ÷ {show(action.stock_g_per_l, 4)} g/L × 1000 "
            f"= {show(action.per_day_ml, 4)} mL"
        )
    return tuple(lines)
