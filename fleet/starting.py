"""``fleet start``: a workbook to fill in, or the questions for a form."""

from __future__ import annotations

from pathlib import Path

from fleet import pipeline
from fleet.errors import UsageError
from fleet.records import Settings
from fleet.reference import load_reference
from fleet.render.blank import form_questions, write_blank, write_next
from fleet.render.publish import write_whole


def start(
    book: Path,
    *,
    old: Path | None = None,
    keep_history: bool = True,
    units: str = "metric",
    layout: Path | None = None,
    templates: Path | None = None,
) -> None:
    """Write a blank workbook, or next round's from an old one.

    Raises
    ------
    UsageError
        There is a file of that name already, or it is no ``.xlsx`` name.
    FleetError
        The old workbook cannot be read or the new one not written.
    """
    if book.suffix.casefold() != ".xlsx":
        raise UsageError(f"{book}: give the new workbook a name that ends in .xlsx.")
    if book.exists():
        raise UsageError(
            f"{book} is there already. Choose another name for the new one."
        )
    reference = load_reference()
    if old is None:
        settings = Settings(units=units)
        write_whole(
            book, lambda path: write_blank(path, reference, settings, templates)
        )
        return
    read = pipeline.read([old], reference, layout=layout)
    write_whole(
        book,
        lambda path: write_next(path, read, reference, keep_history, templates),
        inputs=[old],
    )


def form(templates: Path | None = None) -> str:
    """Return the questions for a club's own web form."""
    return form_questions(load_reference(), templates)
