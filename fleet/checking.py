"""``fleet check``: what cannot be read, cell by cell, and how columns were read."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from functools import partial
from pathlib import Path

from fleet import pipeline
from fleet.errors import UsageError
from fleet.problems import left_out
from fleet.records import Problem
from fleet.reference import Reference, load_reference
from fleet.render.checklist import Checked, checklist
from fleet.render.wording import Wording


def check(
    books: Sequence[Path],
    today: date,
    *,
    layout: Path | None = None,
    templates: Path | None = None,
    marked: Path | None = None,
) -> tuple[str, int]:
    """Return what the check prints and its exit status; write the marked copy.

    Raises
    ------
    FleetError
        A file cannot be read or the copy cannot be written.
    """
    reference = load_reference()
    book = pipeline.read(books, reference, layout=layout)
    problems = pipeline.all_problems(book, reference, today)
    if marked is not None:
        _write_marked(books, problems, marked, reference, templates)
    wording = Wording(reference, book.settings, templates)
    text = checklist(
        Checked(
            book.sources,
            pipeline.counts_beside(book, problems),
            book.columns,
            problems,
        ),
        wording,
    )
    failed = any(source.failed for source in book.sources)
    return text, int(failed or left_out(problems) > 0)


def _write_marked(
    books: Sequence[Path],
    problems: Sequence[Problem],
    marked: Path,
    reference: Reference,
    templates: Path | None,
) -> None:
    from fleet.read.plain_cells import plain_cells
    from fleet.render.marked import write_marked
    from fleet.render.publish import write_whole

    if len(books) != 1:
        raise UsageError("--marked makes a copy of one workbook: name just one.")
    if marked.suffix.lower() != ".xlsx":
        raise UsageError(f"{marked.name}: let the name of the copy end in .xlsx.")
    cells = partial(plain_cells, books[0], reference)
    write = partial(write_marked, books[0], problems, cells=cells, own=templates)
    write_whole(marked, write, inputs=books)


def suggest_layout(books: Sequence[Path]) -> str:
    """Return a first draft of a layout file for one workbook."""
    from fleet.read.layout_file import suggest_layout as draft

    if len(books) != 1:
        raise UsageError("--suggest-layout drafts for one workbook: name just one.")
    return draft(books[0], load_reference())
