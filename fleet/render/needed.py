"""What the outputs need of a judged tank; the rest need not be kept in memory."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

from fleet.records import Finding, Measurement, TankReport
from fleet.render.chart_facts import DESCRIBED, WEEKS
from fleet.render.summary import CHARTED


def needed(entry: TankReport) -> TankReport:
    """Return a tank without the older results that no output shows."""
    as_of = entry.findings.as_of
    findings = tuple(_needed(finding, as_of) for finding in entry.findings.findings)
    return replace(entry, findings=replace(entry.findings, findings=findings))


def _needed(finding: Finding, as_of: date) -> Finding:
    history = listed(finding)
    if finding.parameter in CHARTED:
        since = as_of - timedelta(days=7 * WEEKS)
        first = sum(measured.taken_on < since for measured in finding.history)
        # One before the chart begins, so that it is seen to go on from there.
        first = max(min(first - 1, len(finding.history) - DESCRIBED), 0)
        shown = finding.history[first:]
        known = set(map(id, shown))
        history = (*(m for m in history if id(m) not in known), *shown)
    return replace(finding, history=history)


def listed(finding: Finding) -> tuple[Measurement, ...]:
    """Return what is listed of a parameter: what it rests on, and every doubt."""
    rests = [id(measured) for measured in (finding.latest, finding.previous)]
    return tuple(
        measured
        for measured in finding.history
        if measured.doubt is not None or id(measured) in rests
    )
