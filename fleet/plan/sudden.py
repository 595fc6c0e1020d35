"""A zero that nothing leads up to: likelier one test's mistake than most."""

from __future__ import annotations

from collections.abc import Iterator

from fleet.plan.case import Case
from fleet.plan.last_doses import newest
from fleet.records import Finding, Measurement, Sentence, say


def unexpected_zero(case: Case, finding: Finding) -> Sentence | None:
    """Return why a flat zero is worth a second test; None where it is not.

    Either the last test that could tell still saw something and nothing led down from
    there, or a dose given since should show.
    """
    latest = finding.latest
    if latest is None or not finding.flat_zero:
        return None
    dose = newest(case, finding.parameter)
    if dose is not None and dose.seen_on == latest.taken_on:
        rise = dose.expected_rise or 0.0
        if rise < latest.high:
            return None
        return say("actions.check-zero-why-dosed", on=dose.work.on)
    told = _told(finding, latest)
    before = next(told, None)
    if before is None or before.value is None or not before.registers:
        return None
    earlier = next(told, None)
    if earlier is not None and earlier.value is not None:
        step = earlier.value - before.value
        if step > 0 and before.value - step <= 0:
            return None  # two steps down of one size: this one was to be expected
    if _export_since(case, before):
        return None
    return say("actions.check-zero-why", written=before.written, on=before.taken_on)


def _told(finding: Finding, latest: Measurement) -> Iterator[Measurement]:
    """Yield earlier results, newest first, that saw something or could have."""
    able = latest.method.lowest or 0.0
    for result in reversed(finding.history):
        if result is latest or result.doubt is not None or result.upper_limit_only:
            continue
        sharp = result.method.lowest is not None and result.method.lowest <= able
        if result.registers or (result.registers is False and sharp):
            yield result


def _export_since(case: Case, before: Measurement) -> bool:
    """Say whether export that takes it went in since it last registered."""
    listed = case.reference.situations["stripped"][f"takes_{before.parameter}"]
    return any(
        since is not None and since >= before.taken_on and name in listed
        for name, since in case.findings.running
    )
