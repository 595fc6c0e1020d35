"""From a finished report to files: which file is made by which function."""

from __future__ import annotations

from collections.abc import Callable
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from fleet.records import Report
    from fleet.reference import Reference
    from fleet.render.wording import Wording

    Write = Callable[[Report, Wording, Reference, Path], None]

# File name -> module:function. Named, not imported: whoever asks for one format
# does not wait for the libraries of the others.
FORMATS: dict[str, str] = {
    "action-sheets.pdf": "fleet.render.pdf_sheets:write",
    "round.pdf": "fleet.render.pdf_round:write",
    "reading-slips.pdf": "fleet.render.pdf_slips:write",
    "summary.xlsx": "fleet.render.xlsx:write",
    "summary.csv": "fleet.render.tables:write",
    "report.html": "fleet.render.html:write",
    "report.json": "fleet.render.json_report:write",
    "retests.ics": "fleet.render.calendar:write",
}


def renderer(name: str) -> Write:
    """Return the function that writes the file ``name``, a key of ``FORMATS``."""
    module, _, function = FORMATS[name].partition(":")
    write: Write = getattr(import_module(module), function)
    return write
