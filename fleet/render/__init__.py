"""From a finished report to files: which file is made by which function."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from fleet.records import Report
    from fleet.reference import Reference
    from fleet.render.wording import Wording

    Write = Callable[[Report, Wording, Reference, Path], None]

# File name -> module:function. Named, not imported: whoever asks for one format
# does not wait for the libraries of the others. What takes longest comes first: that
# is the order in which several processes take them.
FORMATS: dict[str, str] = {
    "action-sheets.pdf": "fleet.render.pdf_sheets:write",
    "report.html": "fleet.render.html:write",
    "summary.xlsx": "fleet.render.xlsx:write",
    "report.json": "fleet.render.json_report:write",
    "reading-slips.pdf": "fleet.render.pdf_slips:write",
    "retests.ics": "fleet.render.calendar:write",
    "round.pdf": "fleet.render.pdf_round:write",
    "summary.csv": "fleet.render.tables:write",
}


def renderer(name: str) -> Write:
    """Return the function that writes the file ``name``, a key of ``FORMATS``."""
    module, _, function = FORMATS[name].partition(":")
    with _without("numpy"):
        write: Write = getattr(import_module(module), function)
    return write


@contextmanager
def _without(library: str) -> Iterator[None]:
    """Let a library that is not loaded yet not be found by those that only may use it.

    openpyxl loads numpy to know its kinds of number, and no table of ours holds one:
    that alone would take longer than to write the workbook of a few tanks.
    """
    hidden = sys.modules.setdefault(library, None) is None  # type: ignore[arg-type]
    try:
        yield
    finally:
        if hidden and sys.modules.get(library) is None:
            sys.modules.pop(library, None)
