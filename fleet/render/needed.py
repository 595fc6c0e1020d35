"""What the outputs need of a judged tank; the rest need not be kept in memory."""

from __future__ import annotations

from dataclasses import fields, replace
from datetime import date, timedelta
from operator import attrgetter

from fleet.records import Finding, Measurement, TankReport
from fleet.render.chart_facts import DESCRIBED, WEEKS
from fleet.render.summary import CHARTED

# `replace` takes twice as long, and there are nine findings a tank.
_BUT_HISTORY = attrgetter(*(f.name for f in fields(Finding) if f.name != "history"))


def needed(entry: TankReport) -> TankReport:
    """Return a tank without the older results that no output shows."""
    as_of = entry.findings.as_of
    findings = tuple(_needed(finding, as_of) for finding in entry.findings.findings)
    return replace(entry, findings=replace(entry.findings, findings=findings))


def _needed(finding: Finding, as_of: date) -> Finding:
    history = finding.history
    first = len(history)  # of those shown whether they are listed or not
    if finding.parameter in CHARTED:
        since = as_of - timedelta(days=7 * WEEKS)
        # One before the chart begins, so that it is seen to go on from there.
        before = sum([measured.taken_on < since for measured in history]) - 1
        first = max(min(before, first - DESCRIBED), 0)
    shown = *_listed(finding, history[:first]), *history[first:]
    facts = *_BUT_HISTORY(finding), shown
    return Finding(*facts)


def listed(finding: Finding) -> tuple[Measurement, ...]:
    """Return what is listed of a parameter: what it rests on, and every doubt."""
    return tuple(_listed(finding, finding.history))


def _listed(finding: Finding, results: tuple[Measurement, ...]) -> list[Measurement]:
    latest, previous = finding.latest, finding.previous
    return [m for m in results if m.doubt is not None or m is latest or m is previous]
