"""The stage of each tank, from readings, age, rock and looks; how sure, and why.

The first rule of ``RULES`` that fits decides. Each says which of three kinds of
fact (age, tests, look) agree with it; how many do makes how sure the stage is.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import NamedTuple

from fleet.assess import stage_words as words
from fleet.assess.evidence import ANIMAL_LOOKS
from fleet.assess.stage_facts import Facts, facts_of
from fleet.records import (
    Measured,
    Reading,
    Sentence,
    Stage,
    StageName,
    Tank,
    Work,
    say,
)
from fleet.reference import Reference


class Fit(NamedTuple):
    """A stage that fits; True agrees, False speaks against, None is not known."""

    name: StageName
    because: tuple[Sentence, ...]
    age: bool | None = None
    tests: bool | None = None
    look: bool | None = None
    never_started: bool = False


def stage_of(
    tank: Tank,
    readings: tuple[Reading, ...],
    measured: Measured,
    work: tuple[Work, ...],
    reference: Reference,
    as_of: date,
) -> Stage:
    """Return the stage of one tank as of a day."""
    facts = facts_of(tank, readings, measured, work, reference, as_of)
    fit = next(found for rule in RULES if (found := rule(facts)) is not None)
    cycling = fit.name == "cycling"
    incident = not cycling and _incident(facts)
    because = fit.because
    if incident:
        because += (words.present(facts)[0], say("stages.incident"))
    cycle = facts.cycle
    stalled = cycling and cycle.stalled_days is not None
    if stalled:
        because += (say("stages.stalled", days=cycle.stalled_days),)
    return Stage(
        name=fit.name,
        sure=_sure(fit, facts),
        because=because + words.pace(facts),
        missing=words.missing(facts, readings),
        days_since_filled=facts.days,
        days_since_cycled=(as_of - cycle.ended_on).days if cycle.ended_on else None,
        incident=incident,
        never_started=fit.never_started,
        stalled=stalled,
        films=bool(facts.films),
    )


# ------------------------------------------------------------------- rules


def _cycling(f: Facts) -> Fit | None:
    """Ammonia or nitrite stands at its limit in a tank that is still young."""
    cycle = f.cycle
    if not cycle.high or f.tail_of_cycle or f.coralline:
        return None
    over = cycle.ended == "noted" and (f.since_cycle or 0) > f("just-cycled")
    if over or f.least_age >= f("mature-from"):
        return None
    young = f.least_age < f("cycling-age")
    # A tank never seen clean is still on its first cycle, however slow.
    if not young and (cycle.ended == "noted" or cycle.cleaned):
        return None
    because = (*words.present(f), *words.age(f))
    if cycle.ended == "noted":
        because += (say("stages.ammonia-back", on=cycle.ended_on),)
    return Fit(
        "cycling",
        because,
        age=None if f.age is None else young,
        tests=f.recent or None,
        look=True if f.looks and f.age is not None else None,
    )


def _never_started(f: Facts) -> Fit | None:
    """All reads zero, and nothing shows that a cycle ever ran."""
    cycle = f.cycle
    if cycle.ended == "noted" or cycle.began or cycle.nitrate_seen or cycle.fed:
        return None
    if f.coralline or f.least_age >= f("mature-from") or _life_seen(f):
        return None
    new = f.days is not None and f.days < f("settling-from")
    zeros = cycle.nitrate_tested and (new or f.animals is False)
    if cycle.tested_on is None and not zeros:
        return None
    because: tuple[Sentence, ...] = (
        say("stages.never-started"),
        say("stages.no-proof-of-cycle"),
    )
    if cycle.seeded:
        because += (say("stages.seed-not-proof"),)
    return Fit(
        "cycling",
        (*because, *words.age(f)),
        tests=True if cycle.tested_on else None,
        never_started=True,
    )


def _too_young(f: Facts) -> Fit | None:
    """Fit a tank so young that its cycle is hardly over, unless shown to be."""
    cycle = f.cycle
    if f.age is None or f.age >= f("cycling-untested-age") or cycle.ended:
        return None
    if cycle.nitrate_seen and cycle.clean_visits:
        return None
    if cycle.clean_twice and cycle.seeded:
        return None
    return Fit("cycling", (*words.age(f), say("stages.too-young")), age=True)


def _no_sign_at_all(f: Facts) -> Fit | None:
    """Nothing measured, no date and nothing living: the beginning, as a guess."""
    if f.animals is not False or f.days is not None or f.cycle.ended:
        return None
    if f.cycle.tested_on or f.cycle.nitrate_seen or f.films or f.coralline:
        return None
    return Fit("cycling", (say("stages.nothing-known"),))


def _ugly(f: Facts) -> Fit | None:
    """Films and threads grow in a tank of a few weeks or months."""
    if not f.films or f.least_age > f("ugly-until"):
        return None
    if f.age is not None and f.age < f("ugly-from"):
        return None
    if f.coralline and f.least_age >= f("mature-from"):
        return None
    because = (say("stages.films", looks=f.films, on=f.looks[0].on), *words.age(f))
    if "brown strings" in f.films:
        because += (say("stages.strings-not-proven"),)
    return Fit(
        "ugly phase",
        because,
        age=True if f.age is not None else None,
        tests=True if f.cycle.ended or f.cycle.clean_visits else None,
        look=True,
    )


def _just_cycled(f: Facts) -> Fit | None:
    """Fit a tank whose cycle ended in the last weeks, before any films."""
    if f.since_cycle is not None:
        if f.since_cycle >= f("just-cycled"):
            return None
    elif f.age is None or f.age >= f("settling-from"):
        return None
    tests: bool | None = None
    if f.cycle.clean_visits or f.cycle.nitrate_seen:
        tests = True
    elif f.cycle.high:
        tests = False
    # Age alone says little while a slow cycle could still be running.
    tells = f.cycle.ended or tests or (f.age or 0) >= f("just-cycled")
    return Fit(
        "just cycled",
        (*words.end_of_cycle(f), *words.age(f), *words.no_films(f)),
        age=f.age < f("ugly-until") if f.age is not None and tells else None,
        tests=tests,
        look=_clear_look(f),
    )


def _mature(f: Facts) -> Fit | None:
    """Half a year and more, with coralline or steady readings, or a full year."""
    if f.new_rock:
        return None
    steady = f.swings == "small"
    known_age = f.least_age >= f("mature-from")
    if known_age:
        if not (f.coralline or steady or f.least_age >= f("mature-by-age")):
            return None
    elif f.age is not None or not (f.coralline and steady):
        return None
    because = words.age(f)
    because += (say("stages.coralline"),) if f.coralline else ()
    because += (say("stages.steady"),) if steady else ()
    because += (say("stages.large-swings"),) if f.swings == "large" else ()
    if f.films and not f.coralline:
        because += (say("stages.growth-in-old-tank", looks=f.films),)
    return Fit(
        "mature",
        because,
        age=True if known_age else None,
        tests={"small": True, "large": False}.get(f.swings),
        look=True if f.coralline or (f.looks and not f.films) else None,
    )


def _settling(f: Facts) -> Fit:
    """Neither young nor proven steady: what is left."""
    because = (*words.age(f), *words.end_of_cycle(f), *words.no_films(f))
    because += (say("stages.large-swings"),) if f.swings == "large" else ()
    because += (say("stages.new-rock"),) if f.new_rock else ()
    if f.films:
        because += (say("stages.growth-in-old-tank", looks=f.films),)
    if f.days is None and not because:
        because = (say("stages.nothing-known"),)
    return Fit(
        "settling",
        because,
        age=None if f.age is None else f.age >= f("just-cycled"),
        tests=True if f.cycle.clean_visits or f.swings else None,
        look=_clear_look(f),
    )


RULES: tuple[Callable[[Facts], Fit | None], ...] = (
    _cycling,
    _never_started,
    _too_young,
    _no_sign_at_all,
    _ugly,
    _just_cycled,
    _mature,
    _settling,
)


# ----------------------------------------------------- parts of the rules


def _life_seen(f: Facts) -> bool:
    """Say whether the looks bear out the livestock that the sheet names."""
    if f.animals is not True:
        return False
    return bool(f.films) or any(word in ANIMAL_LOOKS for word in f.words)


def _incident(f: Facts) -> bool:
    return bool(f.cycle.high) and f.recent and not f.tail_of_cycle


def _clear_look(f: Facts) -> bool | None:
    return None if not f.looks else not f.films


def _sure(fit: Fit, f: Facts) -> float:
    facts = (fit.age, fit.tests, fit.look)
    agree = sum(fact is True for fact in facts)
    sure = f(("sure-none", "sure-one", "sure-two", "sure-three")[agree])
    sure -= f("sure-against") * sum(fact is False for fact in facts)
    return max(sure, f("sure-least"))
