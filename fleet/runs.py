"""``fleet report``: what the stages and the renderers do together."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import date
from functools import partial
from pathlib import Path

from fleet import made_from, pipeline, stops
from fleet.errors import UnreadableError, UnwritableError, UsageError
from fleet.records import Book, Report, Sentence, say
from fleet.reference import Reference, load_reference
from fleet.render import FORMATS, renderer
from fleet.render.needed import needed
from fleet.render.publish import check_target, publish
from fleet.render.safe import for_terminal
from fleet.render.wording import Wording, shipped_templates
from fleet.workers import sensible, shared, uncollected, without

Say = Callable[[str], None]

# In this order they are taken by several processes; what is not here is done soon.
_LONGEST_FIRST = (
    "action-sheets.pdf", "report.html", "summary.xlsx", "report.json",
    "reading-slips.pdf", "retests.ics", "round.pdf",
)  # fmt: skip
_BEGINNING = 20_000  # bytes of a report.json that say when and from what it was made


@dataclass(frozen=True, slots=True)
class ReportRequest:
    """What the command line asked ``report`` for."""

    books: tuple[Path, ...]
    today: date
    out: Path | None = None
    as_of: date | None = None
    paper: str | None = None
    only: tuple[str, ...] = ()
    tanks: tuple[str, ...] = ()
    formats: tuple[str, ...] = ()
    templates: Path | None = None
    layout: Path | None = None
    earlier: Path | None = None
    jobs: int | None = None  # processes; None: as many as pay
    all: bool = False  # write every file anew, also one that would stay as it is


@dataclass(frozen=True, slots=True)
class ReportDone:
    """What a finished ``report`` says on the terminal."""

    folder: Path
    summary: str
    notes: tuple[str, ...]


def report(
    request: ReportRequest, progress: pipeline.Progress | None = None
) -> ReportDone:
    """Read, judge, plan and write one report folder.

    Raises
    ------
    FleetError
        With the one line to show; nothing was written then.
    """
    with uncollected():
        return _report(request, progress)


def report_alone(
    request: ReportRequest, progress: pipeline.Progress | None = None
) -> ReportDone:
    """As ``report``, in a process that makes no other and has no other threads."""
    with without("numpy"):
        return report(request, progress)


def _report(request: ReportRequest, progress: pipeline.Progress | None) -> ReportDone:
    reference = load_reference()
    as_of = request.as_of or request.today
    folder = request.out or Path(f"fleet-report-{as_of.isoformat()}")
    files = chosen_files(request.formats)
    check_target(folder, request.books, "report")
    if request.out is None:
        _check_same_books(folder, request.books)
    inputs = decided_by(request, folder, as_of)
    book = pipeline.read(request.books, reference, layout=request.layout)
    book = pipeline.with_settings(book, paper=request.paper)
    jobs = sensible(len(book.tanks), request.jobs)
    made = pipeline.report(
        book,
        reference,
        as_of,
        only_tanks=request.tanks,
        only=request.only,
        progress=progress,
        keep=needed,
        jobs=jobs,
    )
    notes = [source.failed for source in made.sources if source.failed]
    made = compared(made, request, folder, notes.append)
    made = with_logo(made, request.books, notes.append)
    inputs = made_from.with_logo(inputs, made.settings.logo, made.logo)
    wording = Wording(reference, book.settings, request.templates)
    notes += map(wording.plain, _hint(book, as_of))
    del book  # half of the memory, and of no more use
    publish(
        folder,
        writers(files, made, wording, reference),
        request.books,
        command="report",
        made_from=inputs,
        anew=request.all,
        together=partial(_together, jobs=jobs),
    )
    from fleet.render.terminal import summary

    return ReportDone(folder, summary(made, wording), tuple(notes))


def _together(tasks: Sequence[Callable[[], str]], jobs: int) -> list[str]:
    """Do tasks in several processes; nothing is put in place after an order to stop."""
    results = shared(tasks, jobs)
    stops.check()
    return results


def with_logo(made: Report, books: Sequence[Path], note: Say) -> Report:
    """Return the report with the logo that its settings name, if it can be used."""
    if not made.settings.logo:
        return made
    from fleet.render.logo import load_logo

    logo, why = load_logo(made.settings.logo, made_from.folders_of(books))
    if why:
        note(why)
    return replace(made, logo=logo)


def decided_by(request: ReportRequest, folder: Path, as_of: date) -> str:
    """Return the digest of all that decides what the files of a report say."""
    earlier = request.earlier or earlier_beside(folder, as_of, request.books)
    if earlier is not None and earlier.is_dir():
        earlier = earlier / "report.json"
    return made_from.digest_of(
        request.books,
        request.layout,
        [folder for folder in (shipped_templates(), request.templates) if folder],
        earlier,
        (as_of, request.paper, request.only, request.tanks),
    )


def chosen_files(formats: Sequence[str]) -> tuple[str, ...]:
    """Return the files asked for by name, ending or kind; all when none is.

    Raises
    ------
    UsageError
        A name fits none of the files.
    """
    if not formats:
        return tuple(FORMATS)
    chosen = []
    for wanted in formats:
        fits = [name for name in FORMATS if _fits(wanted, name)]
        if not fits:
            known = ", ".join(FORMATS)
            raise UsageError(
                f"'{wanted}' is no file of a report. Choose from: {known}."
            )
        chosen += [name for name in fits if name not in chosen]
    return tuple(chosen)


def _fits(wanted: str, name: str) -> bool:
    asked = wanted.strip().casefold()
    stem, _, ending = name.rpartition(".")
    return asked in (name, stem, ending)


def writers(
    files: Sequence[str], made: Report, wording: Wording, reference: Reference
) -> Mapping[str, Callable[[Path], None]]:
    """Return, for each file name, what writes it to a path."""
    ordered = [name for name in _LONGEST_FIRST if name in files]
    ordered += [name for name in files if name not in ordered]
    return {name: partial(_write, name, made, wording, reference) for name in ordered}


def _write(
    name: str, made: Report, wording: Wording, reference: Reference, path: Path
) -> None:
    renderer(name)(made, wording, reference, path)


def compared(made: Report, request: ReportRequest, folder: Path, note: Say) -> Report:
    """Return the report with what changed since the earlier one, if there is one."""
    from fleet.render.since import compare

    path = request.earlier or earlier_beside(folder, made.as_of, request.books)
    if path is None:
        return made
    if path.is_dir():
        path = path / "report.json"
    if not path.is_file():
        raise UnreadableError(f"{path}: there is no such report to compare with.")
    whole = not (request.only or request.tanks)
    since, changes = compare(
        path, made, load_reference(), note if request.earlier else None, whole=whole
    )
    return replace(made, since=since, changes=changes)


def earlier_beside(folder: Path, as_of: date, books: Sequence[Path]) -> Path | None:
    """Return the newest report of an earlier day that stands beside ``folder``.

    Looked for are the report that is about to be replaced, and folders that have
    kept the name ``fleet-report-DATE``; one of the same workbooks is taken first, for
    a shop's and a club's reports may stand side by side.
    """
    dated = []
    for path in folder.resolve().parent.glob("fleet-report-*/report.json"):
        with suppress(ValueError):
            day = date.fromisoformat(path.parent.name.removeprefix("fleet-report-"))
            if day < as_of:
                dated.append((_same_books(path, books), day, path))
    if dated:
        return max(dated)[2]
    here = folder / "report.json"
    return here if here.is_file() and _is_before(here, as_of) else None


def _is_before(report: Path, as_of: date) -> bool:
    """Say whether a report may be of an earlier day, by how it begins."""
    begins = re.search(r'"as_of":"(\d{4}-\d\d-\d\d)"', _beginning(report))
    return begins is None or begins[1] < as_of.isoformat()


def _same_books(report: Path, books: Sequence[Path]) -> bool:
    """Say whether a report names one of these workbooks, by how it begins."""
    named = set(_sources(report))
    inside = (path.name for book in books if book.is_dir() for path in book.iterdir())
    return any(name in named for name in (*(book.name for book in books), *inside))


def _check_same_books(folder: Path, books: Sequence[Path]) -> None:
    """Let no report of other workbooks be replaced without being asked to."""
    report = folder / "report.json"
    if not report.is_file() or _same_books(report, books):
        return
    named = ", ".join(_sources(report)[:3]) or "other workbooks"
    raise UnwritableError(
        f"{folder} holds the report of {for_terminal(named)}. "
        "Choose another folder with --out."
    )


def _sources(report: Path) -> list[str]:
    """Return the files that a report names, by how it begins."""
    listed = re.search(r'"sources":(\[[^\]]*\])', _beginning(report))
    try:
        names = json.loads(listed[1]) if listed else []
    except ValueError:
        return []
    return [name for name in names if isinstance(name, str)]


def _beginning(report: Path) -> str:
    with report.open("rb") as file:
        return file.read(_BEGINNING).decode("utf-8", "replace")


def _hint(book: Book, as_of: date) -> tuple[Sentence, ...]:
    """Say so where every reading is old: most likely another day was meant."""
    newest = pipeline.newest_day(book, as_of)
    days = (as_of - newest).days
    if days <= 2 * book.settings.round_days:
        return ()
    return (say("terminal.old-report", newest=newest, days=days),)
