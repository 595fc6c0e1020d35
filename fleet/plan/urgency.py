"""How soon a tank needs someone, and the named parts of its score."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import NamedTuple

from fleet.plan.case import NUTRIENTS, Case, Wanted
from fleet.records import ATTENTION_ORDER, Attention, ScorePart, say
from fleet.reference import Reference


class Urgency(NamedTuple):
    """Attention and points of one situation at its degree."""

    attention: Attention
    points: float


def urgency_of(wanted: Wanted, reference: Reference) -> Urgency:
    """Return how urgent a situation is at its degree."""
    entry = reference.situations[wanted.id]
    at = entry.get(wanted.degree, entry)
    return Urgency(at["attention"], at["points"])


def top(attention: Attention, reference: Reference) -> float:
    """Return the highest score of an attention, which begins above the one below."""
    return reference.limit(f"score-top-{attention.replace(' ', '-')}")


def ranked(found: Iterable[Wanted], reference: Reference) -> tuple[Wanted, ...]:
    """Return situations, most urgent first, without those that others overrule."""
    all_found = tuple(found)
    overruled = {
        name
        for wanted in all_found
        for name in reference.situations[wanted.id].get("overrules", ())
    }

    def order(wanted: Wanted) -> tuple[int, float]:
        attention, points = urgency_of(wanted, reference)
        return ATTENTION_ORDER.index(attention), -points

    return tuple(sorted((w for w in all_found if w.id not in overruled), key=order))


def score(
    case: Case, situations: tuple[Wanted, ...]
) -> tuple[Attention, int, tuple[ScorePart, ...]]:
    """Return attention, score and parts; the parts are whole and sum to the score."""
    leading = situations[0]
    attention, points = urgency_of(leading, case.reference)
    parts = [ScorePart(leading.id, points, leading.headline)]
    room = top(attention, case.reference) - points
    for part in _more(case, situations) if attention != "steady" else ():
        # A score never leaves its attention: what does not fit is left off.
        given = min(part.points, room)
        if given > 0:
            parts.append(replace(part, points=given))
            room -= given
    return attention, round(sum(part.points for part in parts)), tuple(parts)


def _more(case: Case, situations: tuple[Wanted, ...]) -> tuple[ScorePart, ...]:
    """Return what makes a tank more pressing than its leading situation alone."""
    limit = case.reference.limit
    parts: list[ScorePart] = []
    others = tuple(
        w.id
        for w in situations[1:]
        if urgency_of(w, case.reference).attention != "steady"
    )
    if others:
        points = min(len(others) * limit("score-also"), limit("score-also-most"))
        because = say("score.further-situations", situations=others)
        parts.append(ScorePart("further situations", points, because))
    beyond = tuple(
        name for name in NUTRIENTS if (f := case.judged(name)) and f.second_limit
    )
    if beyond:
        because = say("score.second-limit", parameters=beyond)
        parts.append(ScorePart("second limit", limit("score-second-limit"), because))
    visits = max((_zero_visits(case, name) for name in NUTRIENTS), default=0)
    if visits > 1:
        points = min((visits - 1) * limit("score-visit"), limit("score-visits-most"))
        because = say("score.zero-again", visits=visits)
        parts.append(ScorePart("flat zero again", points, because))
    late = _rounds_late(case)
    if late > 0:
        points = min(late * limit("score-late-round"), limit("score-late-most"))
        because = say("score.rounds-late", rounds=late)
        parts.append(ScorePart("rounds without a test", points, because))
    return tuple(parts)


def _zero_visits(case: Case, parameter: str) -> int:
    finding = case.judged(parameter)
    if finding is None or not finding.flat_zero or finding.verdict != "under":
        return 0
    return finding.flat_zero_visits


def _rounds_late(case: Case) -> int:
    """Return the whole rounds missed since nitrate or phosphate was tested."""
    tested = case.findings.nutrients_tested
    if tested is None:
        return 0
    rounds = (case.today - tested).days // max(case.settings.round_days, 1)
    return max(rounds - 1, 0)
