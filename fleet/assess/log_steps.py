"""The log row by row: what each piece of work should do to which parameter.

Rows of one kind between the same two tests cannot be told apart by those tests, so
``pooled`` makes one of them: it carries the first day and the amounts together.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import date, timedelta
from typing import NamedTuple

from fleet.assess.evidence import feed_on
from fleet.assess.supplied import change_water, given_by_feed
from fleet.logged import Dose, change_share, dose_of, nutrient_rises
from fleet.records import Settings, ShelfItem, Tank, Work
from fleet.reference import Reference
from fleet.spelling import fold

NUTRIENTS = ("nitrate", "phosphate")
FILTERS = ("media in", "media out", "equipment in", "equipment out")


class Step(NamedTuple):
    """One logged row and what it should do to one parameter."""

    work: Work
    parameter: str
    kind: str  # "dose", "water change", "feed change" or one of the filter words
    rise: float | None  # given at once; a water change's is worked out with the level
    share: float = 0.0  # of the water, for a water change
    fill: float = 0.0  # in the new water
    a_day: float = 0.0  # given each day from then on, for feed
    lacking: str = ""


class Context(NamedTuple):
    """What reading the log of one tank takes."""

    tank: Tank
    work: tuple[Work, ...]
    shelf: tuple[ShelfItem, ...]
    settings: Settings
    reference: Reference
    as_of: date


def steps_of(done: Work, c: Context) -> Iterable[Step]:
    """Yield what a row should do, one step for each parameter it acts on."""
    if done.work == "dose":
        dose = dose_of(done, c.tank, c.shelf, c.reference)
        yield from _dose_steps(done, dose)
    elif done.work == "water change":
        share = change_share(done, c.tank)
        for parameter in NUTRIENTS:
            fill = change_water(c.settings, parameter)
            lacking = "" if share is not None else "share"
            yield Step(
                done, parameter, done.work, None, share or 0.0, fill, lacking=lacking
            )
    elif done.work == "feed change":
        yield from _feed_steps(done, c)
    elif done.work in FILTERS:
        acts = c.reference.causes["over-filtration"]
        acts_on = [p for p in NUTRIENTS if done.equipment in acts[p]]
        acts_on += ["phosphate"] if done.equipment == "phosphate media" else []
        for parameter in acts_on:
            yield Step(done, parameter, done.work, None)


def _dose_steps(done: Work, dose: Dose) -> Iterable[Step]:
    if dose.salt is None:
        return
    yield Step(done, dose.salt.raises, "dose", dose.rise, lacking=dose.lacking)
    if dose.salt.raises == "ammonia":
        # Ends as nitrate, or is eaten first: anything from none to all of it.
        for parameter, rise in nutrient_rises(dose):
            yield Step(done, parameter, "ammonium", rise)


def _feed_steps(done: Work, c: Context) -> Iterable[Step]:
    before = feed_on(c.tank, c.work, c.reference, done.on - timedelta(days=1), c.as_of)
    after = feed_on(c.tank, c.work, c.reference, done.on, c.as_of)
    known = c.tank.volume_l and before and before.noted and after and after.noted
    for parameter in NUTRIENTS:
        if not known or before is None or after is None:
            yield Step(done, parameter, done.work, None, lacking="feed")
            continue
        more = after.g_day - before.g_day
        a_day = given_by_feed(parameter, more, c.tank, c.reference)
        yield Step(done, parameter, done.work, 0.0, a_day=a_day)


def pooled(rows: list[Work]) -> Work:
    """Return rows as one: the first day, the amounts together where they add."""
    first = rows[0]
    if len(rows) == 1:
        return first
    alike = all(
        fold(w.substance) == fold(first.substance) and w.unit == first.unit
        for w in rows
    )
    amounts = [w.amount for w in rows]
    together = sum(a for a in amounts if a is not None)
    adds = alike and None not in amounts and first.work == "dose"
    names = dict.fromkeys(w.substance for w in rows if w.substance)
    return replace(
        first,
        substance=" + ".join(names),
        amount=together if adds else None,
        unit=first.unit if adds else "",
    )
