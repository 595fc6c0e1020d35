"""What has to be known first: tests that cannot tell, slips, old and missing ones."""

from __future__ import annotations

from datetime import timedelta

from fleet.plan.case import (
    EARLY,
    NUTRIENTS,
    Case,
    Degree,
    Wanted,
    assumed_band,
    doubts,
)
from fleet.plan.retests import better_method, next_round, retest, retests, week
from fleet.records import Action, Measurement, Method, Sentence, say

# Where a wrong value, if it were right, would harm animals within a day.
_GRAVE = ("ammonia", "salinity", "temperature", "ph")
# What a first full test holds, and what is enough while a tank cycles.
_FIRST = ("salinity", "temperature", "ph", "alkalinity", "ammonia", "nitrite")
_CYCLE = ("ammonia", "nitrite")
# Something to put right in the workbook: it waits until the tank has what it needs.
_DATE = "check-date-"
PAPERWORK = (_DATE, "check-livestock")


def cannot_tell_nitrate(case: Case) -> Wanted | None:
    """Nitrate by a test that cannot tell nothing from enough."""
    return _cannot_tell(case, "nitrate", "cannot-tell-nitrate")


def cannot_tell_phosphate(case: Case) -> Wanted | None:
    """Phosphate by a test that cannot tell nothing from enough."""
    return _cannot_tell(case, "phosphate", "cannot-tell-phosphate")


def _cannot_tell(case: Case, parameter: str, rule: str) -> Wanted | None:
    finding = case.judged(parameter)
    if finding is None or finding.latest is None or finding.verdict != "cannot tell":
        return None
    if finding.latest.upper_limit_only:
        return None
    hungry = bool(case.looks_of("mature-and-starving"))
    if parameter not in case.blind and not hungry:
        # It registers, near an edge: the next round will tell.
        return None
    early_zero = case.films and bool(case.zeros)
    degree: Degree = "grave" if hungry or early_zero else ""
    when = case.after("ugly-retest") if case.films else week(case)
    if degree:
        when = case.after("urgent-retest")
    method = better_method(case, parameter) or finding.better_method
    again = retest(case, rule, parameter, when, method_class=method)
    return Wanted(
        rule,
        say("headlines.cannot-tell", parameter=parameter),
        meaning=(
            say(
                "meaning.cannot-tell",
                parameter=parameter,
                ends=(finding.latest.low, finding.latest.high),
                written=finding.latest.written,
                method=_own_name(finding.latest.method),
            ),
        ),
        actions=(again,),
        leave=(
            say("leave.act-on-cannot-tell", parameter=parameter),
            *((say("leave.clean-all"),) if case.films else ()),
        ),
        degree=degree,
    )


def _own_name(method: Method) -> str:
    """Return a method's name as somebody wrote it; "" where none was named."""
    return "" if method.name == method.class_key else method.name


def swapped_or_typo(case: Case) -> Wanted | None:
    """Doubted: a value that cannot be, or that jumped; correct it or test again."""
    doubted = [m for f in case.findings.findings for m in doubts(f)[-1:]]
    ahead = _dated_ahead(case)
    if not doubted and not ahead:
        return None
    rule = "swapped-or-typo"
    grave = case.findings.animals is not False and any(_grave(m) for m in doubted)
    degree: Degree = "grave" if grave else "" if doubted else "mild"
    return Wanted(
        rule,
        say(
            "headlines.swapped-or-typo",
            parameters=tuple(m.parameter for m in doubted),
        ),
        meaning=tuple(_doubt(m) for m in (*doubted, *ahead)[:3]),
        actions=(
            *(_check_date(case, rule, m) for m in ahead),
            *(_again(case, rule, m) for m in doubted),
        ),
        leave=(say("leave.act-on-doubted"),) if doubted else (),
        degree=degree,
    )


def _dated_ahead(case: Case) -> tuple[Measurement, ...]:
    """Return one result of each row that is dated ahead."""
    rows: dict[tuple[str, str, int], Measurement] = {}
    for finding in case.findings.findings:
        against = set(doubts(finding))
        for measured in finding.doubted:
            if measured not in against:
                rows.setdefault(measured.source[:3], measured)
    return tuple(rows.values())


def _check_date(case: Case, rule: str, measured: Measurement) -> Action:
    source = measured.source
    return Action(
        id=f"{_DATE}{source.row}",
        kind="check",
        rule=rule,
        what=say("actions.check-date", sheet=source.sheet, row=source.row),
        why=say("actions.check-date-why"),
        when=case.today,
    )


def _grave(measured: Measurement) -> bool:
    """Say whether it may be true, and would harm: a jump with no likely slip."""
    doubt = measured.doubt
    return (
        measured.parameter in _GRAVE
        and doubt is not None
        and doubt.kind in ("jump", "differing")
        and doubt.would_be is None
    )


def _doubt(measured: Measurement) -> Sentence:
    assert measured.doubt is not None
    if measured.doubt.kind == "differing":
        return say("doubts.judged-without", why=measured.doubt.why)
    return say(
        "meaning.doubted",
        parameter=measured.parameter,
        written=measured.written,
        sheet=measured.source.sheet,
        cell=measured.source.cell,
        why=measured.doubt.why,
    )


def _again(case: Case, rule: str, measured: Measurement) -> Action:
    if measured.doubt is not None and measured.doubt.kind == "differing":
        asked = say("doubts.test-today", parameter=measured.parameter)
        why = say("doubts.test-today-why")
        return retest(case, rule, measured.parameter, case.today, what=asked, why=why)
    urgent = case.findings.animals is not False and _grave(measured)
    when = case.today if urgent else case.after("urgent-retest")
    what = say(
        "actions.retest-doubted",
        parameter=measured.parameter,
        sheet=measured.source.sheet,
        cell=measured.source.cell,
        when=when,
    )
    return retest(case, rule, measured.parameter, when, what=what)


def nitrite_interferes(case: Case) -> Wanted | None:
    """Colour nitrate read beside nitrite: an upper limit, no more."""
    finding = case.usable("nitrate")
    if finding is None or finding.latest is None:
        return None
    if not finding.latest.upper_limit_only or finding.latest.registers is False:
        return None  # where nothing was seen, nothing was read too high
    rule = "nitrite-interferes"
    when = case.after("cycling-retest")
    later = retest(
        case,
        rule,
        "nitrate",
        next_round(case),
        what=say("actions.retest-nitrate-after-nitrite"),
    )
    return Wanted(
        rule,
        say("headlines.nitrite-interferes"),
        meaning=(say("meaning.nitrite-interferes", most=finding.latest.high),),
        actions=(*retests(case, rule, ("nitrite",), when), later),
        leave=(say("leave.change-for-nitrate-beside-nitrite"),),
    )


def never_tested(case: Case) -> Wanted | None:
    """No test that counts is there yet: ask for a first one."""
    cycling = case.stage == "cycling"
    wanted = _CYCLE if cycling else NUTRIENTS
    if any((f := case.of(name)) and (f.latest or doubts(f)) for name in wanted):
        return None
    rule = "never-tested"
    first = (*_CYCLE, "salinity", "temperature", "ph") if cycling else (
        *NUTRIENTS, *_FIRST
    )  # fmt: skip
    missing = tuple(n for n in first if not ((f := case.of(n)) and f.latest))
    when = case.today
    return Wanted(
        rule,
        say("headlines.never-tested", ever=case.findings.last_tested is not None),
        meaning=(say("meaning.never-tested"),),
        actions=retests(case, rule, missing, when),
        leave=() if cycling else (say("leave.act-untested"),),
    )


def stale(case: Case) -> Wanted | None:
    """Nothing that counts was tested for longer than the round: test first."""
    names = _CYCLE if case.stage == "cycling" else NUTRIENTS
    tested = [f for name in names if (f := case.of(name)) and f.latest]
    if not tested or not all(f.stale for f in tested):
        return None
    rule = "stale"
    newest = max(f.latest.taken_on for f in tested if f.latest)
    when = case.today
    return Wanted(
        rule,
        say("headlines.stale", on=newest, days=(case.today - newest).days),
        meaning=(say("meaning.stale", on=newest),),
        actions=retests(case, rule, names, when),
        leave=(say("leave.act-on-old"),),
    )


def half_tested(case: Case) -> Wanted | None:
    """Only one of nitrate and phosphate was tested: judge it, ask for the other."""
    if case.stage == "cycling":
        return None
    there = tuple(name for name in NUTRIENTS if case.usable(name))
    if len(there) != 1:
        return None
    missing = "phosphate" if there[0] == "nitrate" else "nitrate"
    other = case.of(missing)
    if other is not None and doubts(other):
        return None
    rule = "half-tested"
    soon = case.stage in EARLY or bool(case.zeros)
    days = case.reference.limit("urgent-retest" if soon else "few-retests-apart")
    when = min(case.today + timedelta(days=int(days)), next_round(case))
    return Wanted(
        rule,
        say("headlines.half-tested", there=there[0], missing=missing),
        meaning=(say("meaning.half-tested", there=there[0], missing=missing),),
        actions=retests(case, rule, (missing,), when),
        leave=(say("leave.guess", parameter=missing),),
    )


def livestock_unknown(case: Case) -> Wanted | None:
    """Nutrients were tested, but nobody says for which animals."""
    tested = [f for name in NUTRIENTS if (f := case.usable(name))]
    if case.findings.tank.livestock or not tested or case.stage == "cycling":
        return None
    known = (f for f in tested if f.verdict != "not judged" and not assumed_band(f))
    if any(known):
        return None
    rule = "livestock-unknown"
    check = Action(
        id="check-livestock",
        kind="check",
        rule=rule,
        what=say("actions.check-livestock"),
        why=say("actions.check-livestock-why"),
        when=case.today,
    )
    return Wanted(
        rule,
        say("headlines.livestock-unknown"),
        meaning=(say("meaning.livestock-unknown"),),
        actions=(check,),
    )
