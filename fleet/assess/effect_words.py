"""What to say of one piece of work: shown, kept in part, not seen, not to be told."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, timedelta
from typing import NamedTuple

from fleet.records import Effect, Measurement, Sentence, Work, say
from fleet.reference import Reference


class Seen(NamedTuple):
    """One effect before it is put into words."""

    parameter: str
    kind: str
    rows: tuple[Work, ...]
    expected: float | None
    lacking: str
    before: Measurement | None
    after: Measurement | None
    seen: tuple[float, float, float] | None  # other known work taken out
    alone: bool  # nothing of unknown size was done between the same tests
    apart: bool  # the tests lie too far from the work
    other: float = 0.0  # what the other known work did to the reading meanwhile


def effect_verdict(s: Seen, reference: Reference) -> Sentence:
    """Return the verdict on one effect."""
    return _not_known(s) or _not_to_be_told(s) or _told(s, reference)


def _not_known(s: Seen) -> Sentence | None:
    """Say what the log lacks to know what to expect."""
    if s.kind == "dose" and s.lacking:
        return say(f"effects.no-{s.lacking}", substance=s.rows[0].substance)
    if s.kind == "water change" and s.lacking:
        return say("effects.no-share")
    return None


def _not_to_be_told(s: Seen) -> Sentence | None:
    """Say what the tests lack to see anything."""
    if s.after is None:
        return say("effects.too-early", parameter=s.parameter, on=s.rows[-1].on)
    if s.before is None:
        return say("effects.no-test-before", parameter=s.parameter)
    if s.apart:
        return say(
            "effects.too-far-apart",
            parameter=s.parameter,
            before=s.before.taken_on,
            after=s.after.taken_on,
        )
    if s.seen is None:
        return say("effects.off-the-scale", parameter=s.parameter)
    if not s.alone and s.kind in ("dose", "water change"):
        return say("effects.not-alone", parameter=s.parameter)
    return None


def _told(s: Seen, reference: Reference) -> Sentence:
    assert s.seen is not None and s.after is not None
    if s.parameter == "ammonia" and s.kind == "dose":
        return _ammonia(s, s.after, reference)
    if s.kind in ("dose", "water change"):
        return _beside_expected(s)
    return _moved(s)


def _ammonia(s: Seen, after: Measurement, reference: Reference) -> Sentence:
    """Say whether added ammonia is gone: that is the filter at work."""
    days = (after.taken_on - s.rows[-1].on).days
    gone = after.registers is False or after.high < reference.limit("ammonia-look")
    key = "effects.ammonia-used" if gone else "effects.ammonia-left"
    return say(key, rise=s.expected, days=days)


def _beside_expected(s: Seen) -> Sentence:
    assert s.seen is not None
    expected, seen, low, high = s.expected or 0.0, *s.seen
    name = "dose"
    if expected < 0:
        # A fall is judged as a rise turned over.
        expected, seen, low, high = -expected, -seen, -high, -low
        name = "change"
    facts: dict[str, object] = {
        "parameter": s.parameter,
        "expected": expected,
        "first": s.rows[0].on,
        "last": s.rows[-1].on,
    }
    # A change of water happens every week: what the tests may be off by explains a
    # difference better than one too small for them.
    too_small = name == "change" and expected < (high - low) / 2
    if too_small or (low <= 0 and high >= expected):
        return say("effects.cannot-tell", parameter=s.parameter, expected=expected)
    moved: dict[str, object] = {
        "seen": seen,
        "read": s.seen[0] + s.other if s.other else None,
        "other": abs(s.other),
        "took": s.other < 0,
    }
    if low > expected:
        return say(f"effects.{name}-more", **facts, **moved)
    if high >= expected:
        return say(f"effects.{name}-shown", **facts, **moved)
    if low <= 0:
        most = max(high, 0.0)
        if name == "dose" and seen > 0:
            return say("effects.dose-hardly", **facts, seen=seen, most=most)
        return say(f"effects.{name}-nothing", **facts, most=most)
    kept = (low / expected, high / expected)
    return say(f"effects.{name}-part", **facts, seen=seen, least=kept[0], most=kept[1])


def _moved(s: Seen) -> Sentence:
    """Say whether the reading moved since a filter or the feed was changed."""
    assert s.seen is not None
    seen, low, high = s.seen
    what = s.rows[0].substance if s.kind != "feed change" else ""
    if low <= 0 <= high:
        return say(
            "effects.no-move-to-tell",
            parameter=s.parameter,
            work=s.kind,
            what=what,
            on=s.rows[0].on,
        )
    return say(
        "effects.moved",
        parameter=s.parameter,
        work=s.kind,
        what=what,
        on=s.rows[0].on,
        change=seen,
        alone=s.alone,
    )


# --------------------------------------------------------- few words for the sheet

_OPEN = ("cannot-tell", "not-alone", "no-move-to-tell", "too-far-apart",
         "off-the-scale", "no-test-before")  # fmt: skip


def last_work(
    effects: Iterable[Effect], reference: Reference, as_of: date
) -> tuple[Sentence, ...]:
    """Return what is worth saying of the last weeks' work, newest first.

    What the tests could tell comes first and alone; where they could tell nothing,
    one sentence says so, however many changes of water there were.
    """
    rules = reference.causes["effect"]
    since = as_of - timedelta(days=rules["said_days"])
    newest = sorted(
        (e for e in effects if e.verdict and e.work.on >= since),
        key=lambda e: e.work.on,
        reverse=True,
    )
    told = dict.fromkeys(e.verdict for e in newest if not _is_open(e) and e.verdict)
    if told:
        return tuple(told)[: rules["said_most"]]
    if not newest:
        return ()
    work = newest[0].work
    return (say("effects.nothing-to-tell", work=work.work, on=work.on),)


def _is_open(effect: Effect) -> bool:
    assert effect.verdict is not None
    word = effect.verdict.key.removeprefix("effects.")
    # That a dose waits for its test is news; a weekly change of water always does.
    return word in _OPEN or (word == "too-early" and effect.work.work == "water change")
