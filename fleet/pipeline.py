"""read -> normalise -> assess -> plan, for one set of workbooks."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import partial
from pathlib import Path

from fleet import __version__
from fleet.assess.tanks import find
from fleet.errors import NothingToJudgeError, UnreadableError, UsageError
from fleet.normalise.doubts import book_doubts
from fleet.normalise.measurements import measure_tank
from fleet.normalise.methods import MethodLookup
from fleet.normalise.units import kept_bands
from fleet.plan.order import plan_tank
from fleet.plan.shopping import shopping
from fleet.read.books import read_books
from fleet.records import (
    ATTENTION_ORDER,
    Book,
    Problem,
    Reading,
    Report,
    SheetCount,
    Tank,
    TankReport,
    Work,
)
from fleet.reference import Reference
from fleet.spelling import tank_key
from fleet.workers import shared

Progress = Callable[[int, int], None]  # tanks done, tanks in all
Keep = Callable[[TankReport], TankReport]
Judged = tuple[TankReport, tuple[Problem, ...]]

_NAMED = 5  # tanks listed where the one asked for is not there
_IN_FUTURE = frozenset({"reading-in-future", "work-in-future"})
_PART = 40  # tanks judged at a time by one of several processes


@dataclass(frozen=True, slots=True)
class TankInput:
    """One tank with its own readings and work: all that judging it needs."""

    tank: Tank
    readings: tuple[Reading, ...]
    work: tuple[Work, ...]


def read(
    paths: Sequence[Path], reference: Reference, *, layout: Path | None = None
) -> Book:
    """Read the workbooks.

    Raises
    ------
    UnreadableError
        None of the files could be read; the message names each.
    """
    book = read_books(paths, reference, layout=layout)
    failed = [source for source in book.sources if source.failed]
    if book.sources and len(failed) == len(book.sources):
        raise UnreadableError("\n".join(dict.fromkeys(s.failed for s in failed)))
    return book


def newest_day(book: Book, today: date) -> date:
    """Return the day a report is made for: its newest reading, not after today."""
    days = [r.taken_on for r in book.readings if r.taken_on <= today]
    return max(days, default=today)


def inputs_of(book: Book, only_tanks: Sequence[str] = ()) -> list[TankInput]:
    """Return each tank in use with its own readings and work, oldest first."""
    readings: dict[str, list[Reading]] = {}
    for reading in book.readings:
        readings.setdefault(reading.tank, []).append(reading)
    work: dict[str, list[Work]] = {}
    for done in book.work:
        work.setdefault(done.tank, []).append(done)
    tanks = [tank for tank in book.tanks if tank.in_use]
    if only_tanks:
        wanted = {tank_key(written): written for written in only_tanks}
        tanks = [tank for tank in tanks if tank.key in wanted]
        for key in wanted.keys() - {tank.key for tank in tanks}:
            raise UsageError(_no_such_tank(wanted[key], book))
    return [
        TankInput(
            tank,
            tuple(sorted(readings.get(tank.key, ()), key=_by_day)),
            tuple(sorted(work.get(tank.key, ()), key=lambda w: w.on)),
        )
        for tank in tanks
    ]


def _by_day(reading: Reading) -> tuple[date, tuple[str, ...], str]:
    """Return the sort key of a visit; its row does not count."""
    return reading.taken_on, reading.looks, reading.notes


def _no_such_tank(wanted: str, book: Book) -> str:
    from difflib import get_close_matches

    ids = [tank.id for tank in book.tanks]
    near = get_close_matches(wanted, ids, n=3, cutoff=0.4)
    if near:
        meant = " or ".join(f"'{name}'" for name in near)
        return f"No tank is called '{wanted}'. Did you mean {meant}?"
    listed = ", ".join(f"'{name}'" for name in ids[:_NAMED])
    more = f" and {len(ids) - _NAMED} more" if len(ids) > _NAMED else ""
    return f"No tank is called '{wanted}'. Tanks there are: {listed}{more}."


def judge(
    book: Book, reference: Reference, as_of: date, keep: Keep | None = None
) -> Callable[[TankInput], Judged]:
    """Return the function that judges and plans one tank of ``book``."""
    lookup = MethodLookup(book.methods, book.settings, reference)
    bands = kept_bands(book.bands, book.settings, reference)
    volumes = _volumes(book)

    def one(entry: TankInput) -> Judged:
        measured = measure_tank(
            entry.tank,
            entry.readings,
            entry.work,
            lookup,
            book.shelf,
            book.settings,
            reference,
            as_of,
        )
        findings = find(
            entry.tank,
            entry.readings,
            measured,
            entry.work,
            bands,
            book.shelf,
            book.settings,
            reference,
            as_of,
        )
        plan = plan_tank(findings, book.shelf, book.settings, reference, volumes)
        judged = TankReport(entry.tank, findings, plan)
        return keep(judged) if keep else judged, measured.problems

    return one


def _volumes(book: Book) -> tuple[float, ...]:
    """Return the smallest and the largest water volume of the tanks in use."""
    known = [
        tank.volume_l
        for tank in book.tanks
        if tank.in_use and tank.volume_l is not None and 0 < tank.volume_l < math.inf
    ]
    return (min(known), max(known)) if known else ()


def report(
    book: Book,
    reference: Reference,
    as_of: date,
    *,
    only_tanks: Sequence[str] = (),
    only: Sequence[str] = (),
    progress: Progress | None = None,
    keep: Keep | None = None,
    jobs: int = 1,
) -> Report:
    """Judge and plan every tank of ``book``.

    Parameters
    ----------
    only
        Attention words; other tanks are left out of the report.
    keep
        What to keep of each judged tank; all, if not given.
    jobs
        How many processes judge; the report is the same.

    Raises
    ------
    NothingToJudgeError
        There is no tank, or no tank has a single usable reading.
    UsageError
        ``only_tanks`` names one that is no tank of the book.
    """
    entries = inputs_of(book, only_tanks)
    if not any(r.taken_on <= as_of for entry in entries for r in entry.readings):
        raise NothingToJudgeError(_nothing(book, as_of))
    one = judge(book, reference, as_of, keep)
    problems = list(book.problems)
    problems += book_doubts(book, reference)
    size = max(1, min(_PART, len(entries) // (4 * jobs)))
    parts = [entries[at : at + size] for at in range(0, len(entries), size)]

    def told(done: int) -> None:
        if progress:
            progress(min(done * size, len(entries)), len(entries))

    tanks: list[TankReport] = []
    for part in shared([partial(_all, one, part) for part in parts], jobs, told):
        for tank_report, met in part:
            tanks.append(tank_report)
            problems.extend(met)
    return assemble(book, reference, as_of, tanks, problems, only=only)


def _all(
    one: Callable[[TankInput], Judged], entries: Sequence[TankInput]
) -> list[Judged]:
    return [one(entry) for entry in entries]


def all_problems(book: Book, reference: Reference, as_of: date) -> tuple[Problem, ...]:
    """Return what was met in reading and in understanding, worst first."""
    lookup = MethodLookup(book.methods, book.settings, reference)
    problems = [*book.problems, *book_doubts(book, reference)]
    for entry in inputs_of(book):
        measured = measure_tank(
            entry.tank,
            entry.readings,
            entry.work,
            lookup,
            book.shelf,
            book.settings,
            reference,
            as_of,
        )
        problems.extend(measured.problems)
    return tuple(sorted(problems, key=_problem_order))


def counts_beside(book: Book, problems: Iterable[Problem]) -> tuple[SheetCount, ...]:
    """Return the rows of each sheet, those dated after the day left out too."""
    later = Counter(
        (problem.where.file, problem.where.sheet)
        for problem in problems
        if problem.kind in _IN_FUTURE
    )
    return tuple(
        replace(count, read=count.read - more, left_out=count.left_out + more)
        for count in book.counts
        for more in (min(later[count.file, count.sheet], count.read),)
    )


def assemble(
    book: Book,
    reference: Reference,
    as_of: date,
    tanks: Iterable[TankReport],
    problems: Iterable[Problem],
    *,
    only: Sequence[str] = (),
) -> Report:
    """Put judged tanks together, worst first."""
    kept = [t for t in tanks if not only or t.plan.attention in only]
    kept.sort(key=worst_first)
    problems = tuple(sorted(problems, key=_problem_order))
    return Report(
        as_of=as_of,
        made_by=f"fleet {__version__}",
        settings=book.settings,
        sources=book.sources,
        tanks=tuple(kept),
        shopping=shopping([(t.tank, t.plan) for t in kept], book.shelf, reference),
        problems=problems,
        counts=counts_beside(book, problems),
    )


def worst_first(entry: TankReport) -> tuple[int, int, str]:
    """Return the sort key of a tank: attention, then score, then id."""
    plan = entry.plan
    return ATTENTION_ORDER.index(plan.attention), -plan.score, entry.tank.key


_EFFECTS = ("row left out", "value left out", "read as", "note")


def _problem_order(problem: Problem) -> tuple[int, str, str, int, int]:
    where = problem.where
    worst = _EFFECTS.index(problem.effect)
    return worst, where.file, where.sheet, where.row, where.column


def _nothing(book: Book, as_of: date) -> str:
    unread = [source.failed for source in book.sources if source.failed]
    files = ", ".join(source.name for source in book.sources if not source.failed)
    return "\n".join((*dict.fromkeys(unread), f"{files}: {_missing(book, as_of)}"))


def _missing(book: Book, as_of: date) -> str:
    if not book.tanks:
        return (
            "no tank was found. Each tank needs a row in a sheet 'Tanks' "
            "with the headers Tank, Volume (L) and Filled on; `fleet start` writes "
            "a blank workbook, `fleet check` says what was seen."
        )
    if book.readings:
        return (
            f"every reading is dated after {as_of.isoformat()}, so no tank can be "
            "judged. Correct the dates, or give a later day with --as-of."
        )
    return (
        "no reading could be used, so no tank can be judged. Put readings "
        "into a sheet 'Readings' with the headers Date, Tank, Nitrate (mg/L), "
        "Phosphate (mg/L); `fleet check` says what was seen."
    )


def with_settings(book: Book, **changed: object) -> Book:
    """Return ``book`` with some settings replaced by those of the command line."""
    chosen = {name: value for name, value in changed.items() if value is not None}
    return replace(book, settings=replace(book.settings, **chosen))  # type: ignore[arg-type]
