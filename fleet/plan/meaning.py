"""Sentences of meaning that several situations share."""

from __future__ import annotations

from typing import Literal

from fleet.plan.case import Case
from fleet.records import Sentence, say
from fleet.science.concentration import molar_ratio

_MOST_CAUSES = 3


def reasons(case: Case, side: Literal["low", "high"]) -> tuple[Sentence, ...]:
    """Return the likely causes of one side with their shares of it, or nothing."""
    least = case.reference.limit("cause-said-share")
    for listed in case.findings.cause_lists:
        causes = tuple(
            (cause.cause, cause.share)
            for cause in listed.causes
            if cause.share >= least
        )[:_MOST_CAUSES]
        if listed.side != side or not causes:
            continue
        rest = 1 - sum(share for _, share in causes)
        others = rest if len(causes) < len(listed.causes) else 0.0
        return (say("meaning.reasons", causes=causes, others=others),)
    return ()


def rock_and_phosphate(case: Case) -> tuple[Sentence, ...]:
    """Return what rock does to phosphate and not to nitrate, where it counts."""
    rock = case.findings.tank.rock
    if "phosphate" not in (*case.zeros, *case.blind) or rock in ("none", "cured live"):
        return ()
    return (say("meaning.rock-and-phosphate"),)


def ratio_words(case: Case, missing: str) -> tuple[Sentence, ...]:
    """Return the molar ratio as a bound, where one of the two reads zero."""
    nitrate, phosphate = case.usable("nitrate"), case.usable("phosphate")
    if not (nitrate and phosphate and nitrate.latest and phosphate.latest):
        return ()
    if missing == "phosphate":
        n, p, key = nitrate.latest.low, phosphate.latest.high, "meaning.ratio-least"
    else:
        n, p, key = nitrate.latest.high, phosphate.latest.low, "meaning.ratio-most"
    if not (0 < p < float("inf") and 0 < n < float("inf")):
        return ()
    return (say(key, ratio=molar_ratio(n, p)),)
