"""Within the band, but perhaps no longer at the next round."""

from __future__ import annotations

from datetime import date, timedelta

from fleet.plan.case import NUTRIENTS, Case, Wanted
from fleet.plan.export import ease, easing
from fleet.plan.life import feed_less, feed_more
from fleet.plan.meaning import reasons
from fleet.plan.retests import next_round, retest
from fleet.records import Crossing, say


def falling(case: Case) -> Wanted | None:
    """Will cross the low edge: ease the export first, or feed a little more."""
    found = _crossing(case, "low")
    if found is None:
        return None
    name, crossing = found
    rule = "falling"
    # Easing export or feeding more would raise the other one too.
    step = (
        ()
        if case.over
        else ease(case, rule, easing(case, name)) or feed_more(case, rule)
    )
    return Wanted(
        rule,
        say("headlines.falling", parameter=name, on=crossing.on),
        meaning=(
            say(
                "meaning.falling",
                parameter=name,
                on=crossing.on,
                earliest=crossing.earliest,
                latest=crossing.latest,
            ),
            *reasons(case, "low"),
        ),
        actions=(
            *step,
            retest(case, rule, name, _test_day(case, crossing)),
        ),
        leave=(say("leave.dose-yet"),),
    )


def rising(case: Case) -> Wanted | None:
    """Will cross the high edge: ease the feeding first."""
    found = _crossing(case, "high")
    if found is None:
        return None
    name, crossing = found
    rule = "rising"
    return Wanted(
        rule,
        say("headlines.rising", parameter=name, on=crossing.on),
        meaning=(
            say(
                "meaning.rising",
                parameter=name,
                on=crossing.on,
                earliest=crossing.earliest,
                latest=crossing.latest,
            ),
            *reasons(case, "high"),
        ),
        actions=(
            # Less feed would take from the other one too.
            *(() if case.short else feed_less(case, rule)),
            retest(case, rule, name, _test_day(case, crossing)),
        ),
        leave=(say("leave.media-yet"),),
    )


def _crossing(case: Case, bound: str) -> tuple[str, Crossing] | None:
    """Return the nutrient that may reach that edge before the next round."""
    found = [
        (finding.parameter, finding.crossing)
        for name in NUTRIENTS
        if (finding := case.judged(name))
        and finding.verdict == "within"
        and finding.crossing
        and finding.crossing.bound == bound
        and finding.crossing.earliest <= next_round(case)
    ]
    return min(found, key=lambda pair: pair[1].on, default=None)


def _test_day(case: Case, crossing: Crossing) -> date:
    """Return the day it crosses, not sooner than a test can show a difference."""
    days = int(case.reference.limit("few-retests-apart"))
    soonest = case.today + timedelta(days=days)
    return min(max(crossing.on, soonest), next_round(case))
