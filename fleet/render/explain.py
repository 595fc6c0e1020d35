"""Every number on one tank's sheet, how it came about and the source behind it."""

from __future__ import annotations

from dataclasses import dataclass

from fleet.records import (
    Action,
    Budget,
    Finding,
    Measurement,
    Report,
    TankReport,
    say,
)
from fleet.render.safe import for_terminal
from fleet.render.wording import Wording, plain
from fleet.render.working import dose_lines

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


def explain(entry: TankReport, report: Report, wording: Wording) -> str:
    """Return the explanation of one tank as plain text."""
    template = wording.environment.get_template("explain.txt.j2")
    findings, plan = entry.findings, entry.plan
    text = template.render(
        tank=entry.tank,
        report=report,
        findings=findings,
        cause_lists=tuple(
            (say("causes.of-side", side=a.side, parameters=a.parameters), a.causes)
            for a in findings.cause_lists
        ),
        plan=plan,
        foreign=for_terminal,
        parameters=[
            _parameter(f, wording)
            for f in findings.findings
            if f.history or f.latest or f.doubted
        ],
        budgets=[_budget(b, wording) for b in findings.budgets],
        actions=[_action(a, wording) for a in plan.actions],
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
        chances=_chances(finding, wording),
        why=wording.plain(finding.why) if finding.why else "",
        trend=(
            f"{display.change(trend.per_week, name)} "
            f"({display.change(trend.low, name)} … "
            f"{display.change(trend.high, name)}), "
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


def _chances(finding: Finding, wording: Wording) -> str:
    if finding.verdict == "not judged":
        return ""
    chances = (
        ("under", finding.under),
        ("within", finding.within),
        ("over", finding.over),
    )
    return ", ".join(
        f"{wording.label(word, 'verdict')} {wording.display.share(chance)}"
        for word, chance in chances
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
    method = for_terminal(wording.label(measured.method.name, "method"))
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


def _action(action: Action, wording: Wording) -> ActionLines:
    sums: tuple[str, ...] = ()
    if action.working is not None and action.amount_g is not None:
        stock = None
        if action.per_day_ml and action.stock_g_per_l:
            stock = action.stock_g_per_l, action.per_day_ml
        sums = dose_lines(
            action.working,
            action.per_day_g or action.amount_g,
            action.days or 1,
            stock,
            wording.display,
        )
    return ActionLines(
        what=wording.plain(action.what),
        why=wording.plain(action.why),
        rule=action.rule,
        sums=sums,
        sources=action.sources,
    )
