"""What the logged doses mean for the next one: seen, not seen, not yet tested."""

from __future__ import annotations

from fleet.plan.case import Case, best
from fleet.records import Effect


def newest(case: Case, parameter: str) -> Effect | None:
    """Return the newest logged dose of ``parameter`` that a later test looked at."""
    oldest = case.reference.limit("looks-count")
    for effect in reversed(case.findings.effects):
        if (
            effect.parameter == parameter
            and effect.work.work == "dose"
            and effect.expected_rise
            and effect.expected_rise > 0
            and effect.seen_on is not None
            and (case.today - effect.work.on).days <= oldest
        ):
            return effect
    return None


def unseen(case: Case, parameter: str) -> Effect | None:
    """Return the newest dose if less of it was seen than the tests can explain."""
    effect = newest(case, parameter)
    if effect is None or effect.kept_share is None:
        return None
    if effect.kept_share >= case.reference.limit("kept-little"):
        return None
    # A test too coarse to rule the full rise out has not shown that it is gone.
    if effect.kept_high is not None and effect.kept_high >= 1:
        return None
    return effect


def went_over(case: Case, parameter: str) -> bool:
    """Say whether it would lie in its band without the last dose."""
    effect, finding = newest(case, parameter), case.judged(parameter)
    if effect is None or finding is None or finding.band is None:
        return False
    high = finding.band.high
    without = best(finding) - (effect.expected_rise or 0.0)
    return high is not None and without <= high


def uptake_day(case: Case, parameter: str) -> float:
    """Return what the tank took of the last dose [mg/L a day]; 0 if not known."""
    if unseen(case, parameter) is None:
        return 0.0
    return next(
        (best for name, best, *_ in case.findings.uptake if name == parameter), 0.0
    )


def pending(case: Case, parameter: str) -> float | None:
    """Return the rise [mg/L] of doses logged since the last test; None: not known.

    A dose of the same day counts: tests are taken before the dose. A dose that
    is pending is in the water though no reading shows it yet.
    """
    finding = case.of(parameter)
    if finding is None or finding.latest is None:
        return 0.0
    since = finding.latest.taken_on
    rise = 0.0
    for effect in case.findings.effects:
        if effect.parameter != parameter or effect.work.on < since:
            continue
        if effect.work.work == "dose" and effect.seen_on is None:
            if effect.expected_rise is None:
                return None
            rise += max(effect.expected_rise, 0.0)
    return rise
