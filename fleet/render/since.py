"""How each tank stands beside an earlier ``report.json``, and what was done since."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path
from typing import Any, Literal, NamedTuple

from fleet.records import ATTENTION_ORDER, Report, TankChange, TankReport, Work
from fleet.reference import Reference
from fleet.render.safe import for_terminal
from fleet.spelling import tank_key
from fleet.substances import SaltNames

LARGEST = 500_000_000  # bytes; a report of 10 000 tanks is a tenth of it

# Kind of action -> the works of the Work sheet that do it. What is not written
# down there (waiting, holding off, looking) is neither done nor not done.
_WORK = {
    "dose": ("dose",),
    "water change": ("water change",),
    "take out": ("equipment out", "media out"),
    "add life": ("livestock in",),
    "seed": ("seeding",),
    "feed": ("feed change",),
}


class Asked(NamedTuple):
    """One action of the earlier report."""

    id: str
    kind: str
    parameters: tuple[str, ...]  # () any
    substance: str  # as the report names it
    salt: str  # key in salts.toml; "" where the substance is none
    when: date


class Before(NamedTuple):
    """One tank of the earlier report."""

    tank: str
    attention: str
    asked: tuple[Asked, ...]
    logged: tuple[tuple[str, str], ...]  # work and substance of the report's own day


class Earlier(NamedTuple):
    """What is needed of the earlier report; tanks by the key ids are compared by."""

    as_of: date
    tanks: dict[str, Before]


def compare(
    earlier: bytes | Path,
    report: Report,
    reference: Reference,
    note: Callable[[str], None] | None = None,
    *,
    whole: bool = True,
) -> tuple[date | None, tuple[TankChange, ...]]:
    """Return the day of the earlier report, and how each tank changed since.

    Parameters
    ----------
    earlier
        A ``report.json``, or its content. Where it cannot be read, is no report or
        is not earlier, nothing is returned and ``note`` is told in one line. Without
        a ``note`` it was found rather than named, and must share a tank.
    whole
        False where ``report`` holds only some of its tanks, so that one which is
        missing is not taken for gone.
    """
    name = earlier.name if isinstance(earlier, Path) else "report.json"
    try:
        before = read_earlier(earlier, reference)
        if before.as_of >= report.as_of:
            raise ValueError(f"it is as of {before.as_of}, not before {report.as_of}")
    except (OSError, ValueError) as err:
        if note:
            why = err.strerror if isinstance(err, OSError) else str(err)
            note(f"{for_terminal(name)}: not compared with, since {why}.")
        return None, ()
    keys = {entry.tank.key for entry in report.tanks}
    if note is None and keys.isdisjoint(before.tanks):
        return None, ()  # found, not named: it is of other tanks altogether
    return before.as_of, tuple(_changes(before, report, whole))


def _changes(before: Earlier, report: Report, whole: bool) -> Iterator[TankChange]:
    seen = set()
    for entry in report.tanks:
        seen.add(entry.tank.key)
        then = before.tanks.get(entry.tank.key)
        if then is None:
            yield TankChange(entry.tank.id, "new", "")
            continue
        done, not_done = _done(then, entry, before.as_of)
        word = _word(then.attention, entry.plan.attention)
        yield TankChange(entry.tank.id, word, then.attention, done, not_done)
    if whole:
        for key, then in before.tanks.items():
            if key not in seen:
                yield TankChange(then.tank, "gone", then.attention)


def _word(then: str, now: str) -> Literal["better", "worse", "same"]:
    order: tuple[str, ...] = ATTENTION_ORDER
    if then not in order or then == now:
        return "same"
    return "better" if order.index(now) > order.index(then) else "worse"


# --------------------------------------------------------------- was it done since


def _done(
    then: Before, entry: TankReport, since: date
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Return the ids of what was asked: done since, and due but not done."""
    work = _work_since(then, entry, since)
    done, not_done = [], []
    for asked in then.asked:
        found = _found(asked, entry, work, since)
        if found:
            done.append(asked.id)
        elif found is False and asked.when < entry.findings.as_of:
            not_done.append(asked.id)
    return tuple(done), tuple(not_done)


def _found(
    asked: Asked, entry: TankReport, work: list[Work], since: date
) -> bool | None:
    """Say whether it was done; None where nothing written down could show it."""
    if asked.kind == "retest":
        return all(_tested(name, entry, since) for name in asked.parameters or ("",))
    if asked.kind not in _WORK:
        return None
    gone = asked.substance and asked.substance not in entry.tank.equipment
    if asked.kind == "take out" and gone:
        return True
    return any(
        done.work in _WORK[asked.kind]
        and (asked.kind != "dose" or _same_dose(asked, done, entry))
        for done in work
    )


def _work_since(then: Before, entry: TankReport, since: date) -> list[Work]:
    """Return the work after the earlier report, without what it knew of its day."""
    known = Counter(then.logged)
    found = []
    for work in entry.findings.work:
        if work.on < since:
            continue
        if work.on == since and known[work.work, work.substance]:
            known[work.work, work.substance] -= 1
            continue
        found.append(work)
    return found


def _same_dose(asked: Asked, done: Work, entry: TankReport) -> bool:
    """Say whether a logged dose is the one asked for, however it was spelt."""
    if not done.substance or (done.salt and done.salt == asked.salt):
        return True
    return any(
        effect.work == done and effect.parameter in asked.parameters
        for effect in entry.findings.effects
    )


def _tested(parameter: str, entry: TankReport, since: date) -> bool:
    return any(
        measured.taken_on > since
        for finding in entry.findings.findings
        if parameter in ("", finding.parameter)
        for measured in (*finding.history, *finding.doubted, finding.latest)
        if measured
    )


# --------------------------------------------------------------- the earlier report


def read_earlier(source: bytes | Path, reference: Reference) -> Earlier:
    """Return what is needed of an earlier report.

    Raises
    ------
    OSError
        It cannot be read.
    ValueError
        It is no report; the message says why, to stand after "since".
    """
    if isinstance(source, Path):
        if source.stat().st_size > LARGEST:
            raise ValueError("it is larger than any report")
        source = source.read_bytes()
    try:
        read = json.loads(source)
    except (ValueError, RecursionError) as err:
        raise ValueError("it is not whole JSON") from err
    if not isinstance(read, dict) or read.get("schema") != "fleet-report/1":
        raise ValueError("it is no report of this program")
    as_of = _day(read.get("as_of"))
    if as_of is None:
        raise ValueError("it does not say for which day it was made")
    salts = SaltNames(reference)
    tanks = {}
    for entry in _dicts(read.get("tanks")):
        tank = _text(entry.get("tank"))
        tanks[tank_key(tank)] = Before(
            tank=tank,
            attention=_text(entry.get("attention")),
            asked=tuple(_asked(entry.get("actions"), entry.get("retest"), salts)),
            logged=tuple(
                (_text(work.get("work")), _text(work.get("substance")))
                for work in _dicts(entry.get("logged_that_day"))
            ),
        )
    return Earlier(as_of, tanks)


def _asked(actions: object, retest: object, salts: SaltNames) -> Iterator[Asked]:
    days = retest.items() if isinstance(retest, dict) else ()
    for action in _dicts(actions):
        when = _day(action.get("when"))
        if when is None:
            continue
        parameter = _text(action.get("parameter"))
        substance = _text(action.get("substance"))
        # Several tests on one day are one action; the days say which.
        joint = (name for name, day in days if _day(day) == when)
        yield Asked(
            id=_text(action.get("id")),
            kind=_text(action.get("kind")),
            parameters=(parameter,) if parameter else tuple(joint),
            substance=substance,
            salt=salts.of(substance),
            when=when,
        )


def _dicts(value: object) -> list[dict[str, Any]]:
    if not isinstance(value, list):
        return []
    return [entry for entry in value if isinstance(entry, dict)]


def _text(value: object) -> str:
    return value if isinstance(value, str) else ""


def _day(value: object) -> date | None:
    try:
        return date.fromisoformat(value) if isinstance(value, str) else None
    except ValueError:
        return None
