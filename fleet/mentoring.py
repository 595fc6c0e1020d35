"""``fleet progress``: what reading, judging and the mentor's pages do together."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date
from functools import partial
from pathlib import Path

from fleet import pipeline
from fleet.assess.progress import progress_of
from fleet.errors import UsageError
from fleet.nameless import Names
from fleet.problems import left_out
from fleet.records import Book, Report, Sentence, say
from fleet.records.mentoring import Progress, TankHistory
from fleet.reference import Reference, load_reference
from fleet.render.publish import check_target, publish
from fleet.render.wording import Wording
from fleet.workers import uncollected

Write = Callable[[Path], None]


@dataclass(frozen=True, slots=True)
class ProgressRequest:
    """What the command line asked ``progress`` for."""

    books: tuple[Path, ...]
    today: date
    out: Path | None = None
    as_of: date | None = None
    group: str | None = None
    letters: bool = False
    names: bool = True
    paper: str | None = None
    templates: Path | None = None
    layout: Path | None = None


@dataclass(frozen=True, slots=True)
class ProgressDone:
    """What a finished ``progress`` says on the terminal."""

    folder: Path
    progress: Progress
    summary: str
    notes: tuple[str, ...]  # for standard error


def progress(
    request: ProgressRequest, done: pipeline.Progress | None = None
) -> ProgressDone:
    """Read, judge and follow every tank, and write the mentor's pages.

    ``done`` is told how many tanks are judged.

    Raises
    ------
    FleetError
        With the one line to show; nothing was written then.
    """
    with uncollected():
        return _progress(request, done)


def _progress(request: ProgressRequest, done: pipeline.Progress | None) -> ProgressDone:
    reference = load_reference()
    as_of = request.as_of or request.today
    folder = request.out or Path(f"fleet-progress-{as_of.isoformat()}")
    check_target(folder, request.books, "progress")
    book = pipeline.read(request.books, reference, layout=request.layout)
    book = pipeline.with_settings(book, paper=request.paper)
    group = chosen_group(book, request.group)
    made, report = followed(book, reference, as_of, group, done)
    # Only now: a keeper may be called as a word that decides something.
    nameless = Names(book).out_of_progress(made)
    made = made if request.names else nameless
    wording = Wording(reference, book.settings, request.templates)
    files = pages(made, nameless, wording, reference)
    if request.letters:
        files |= letters(made, wording, reference)
    publish(folder, files, request.books, command="progress")
    from fleet.render.progress_text import progress_text

    summary = progress_text(made, wording, reference)
    failed = [source.failed for source in made.sources if source.failed]
    notes = map(wording.plain, _notes(book, as_of, left_out(report.problems)))
    return ProgressDone(folder, made, summary, (*failed, *notes))


def followed(
    book: Book,
    reference: Reference,
    as_of: date,
    group: str | None = None,
    done: pipeline.Progress | None = None,
) -> tuple[Progress, Report]:
    """Return how far the tanks of a group (None: of all) have come, and the report."""
    report = pipeline.report(book, reference, as_of, progress=done)
    judged = {entry.tank.key: entry for entry in report.tanks}
    made = progress_of(
        [
            TankHistory(judged[entry.tank.key], entry.readings)
            for entry in pipeline.inputs_of(book)
        ],
        book.bands,
        book.shelf,
        book.settings,
        reference,
        as_of,
        group=group,
        made_by=report.made_by,
        sources=book.sources,
    )
    return made, report


def chosen_group(book: Book, wanted: str | None) -> str | None:
    """Return the group as the workbook writes it; None for all.

    Raises
    ------
    UsageError
        No tank in use is of that group.
    """
    if wanted is None:
        return None
    groups = list(dict.fromkeys(tank.group for tank in book.tanks if tank.in_use))
    for group in groups:
        if group.strip().casefold() == wanted.strip().casefold():
            return group
    listed = ", ".join(f"'{group}'" for group in groups if group) or "none"
    raise UsageError(f"No tank is of the group '{wanted}'. Groups there are: {listed}.")


def pages(
    made: Progress, nameless: Progress, wording: Wording, reference: Reference
) -> dict[str, Write]:
    """Return what writes the mentor's and the committee's pages."""
    from fleet.render import progress_intake, progress_pdf

    return {
        "progress.pdf": partial(progress_pdf.write, made, wording, reference),
        "intake.pdf": partial(progress_intake.write, nameless, wording, reference),
    }


def letters(made: Progress, wording: Wording, reference: Reference) -> dict[str, Write]:
    """Return what writes each member's page in three forms, and their list."""
    from fleet.render import letter_mail, letter_pdf
    from fleet.render.letter import letter_of
    from fleet.render.safe import for_file_name

    files: dict[str, Write] = {}
    listed = []
    taken: set[str] = set()
    for group in made.groups:
        for member in group.members:
            letter = letter_of(member, made, wording, reference)
            stem = f"letter-{for_file_name(member.report.tank.id, taken)}"
            files[f"{stem}.pdf"] = partial(
                letter_pdf.write, letter, made, wording, reference
            )
            files[f"{stem}.html"] = partial(
                letter_mail.write_html, letter, made, wording
            )
            files[f"{stem}.txt"] = partial(
                letter_mail.write_text, letter, made, wording
            )
            listed.append(letter_mail.Files(letter, stem))
    files["letters.csv"] = partial(letter_mail.write_list, listed, made, wording)
    return files


def _notes(book: Book, as_of: date, lost: int) -> Iterator[Sentence]:
    """Yield what else the mentor should know of the workbooks."""
    if lost:
        yield say("terminal.left-out", number=lost)
    newest = pipeline.newest_day(book, as_of)
    days = (as_of - newest).days
    if days > 2 * book.settings.round_days:
        yield say("terminal.old-view", newest=newest, days=days)
