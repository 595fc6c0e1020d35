"""``fleet explain`` and ``fleet dose``: numbers with the working shown."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from pathlib import Path

from fleet import byhand, pipeline
from fleet.records import Settings
from fleet.reference import load_reference
from fleet.render.dose_text import dose_text
from fleet.render.explain import explain as explained
from fleet.render.wording import Wording


def explain(
    books: Sequence[Path],
    tank: str,
    as_of: date,
    *,
    layout: Path | None = None,
    templates: Path | None = None,
) -> str:
    """Return every number on one tank's sheet and how it came about."""
    reference = load_reference()
    book = pipeline.read(books, reference, layout=layout)
    made = pipeline.report(book, reference, as_of, only_tanks=(tank,))
    wording = Wording(reference, book.settings, templates)
    return "\n".join(explained(entry, made, wording) for entry in made.tanks)


def dose(asked: byhand.DoseAsked, templates: Path | None = None) -> str:
    """Return one dose by hand with its working as text."""
    reference = load_reference()
    wording = Wording(reference, Settings(), templates)
    return dose_text(byhand.dose(asked, reference), wording)
