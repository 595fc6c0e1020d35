"""Save a workbook so that equal content gives equal bytes."""

from __future__ import annotations

import io
import re
import zipfile
from datetime import date, datetime
from pathlib import Path

from openpyxl import Workbook

# The earliest day a zip archive can hold: used where a workbook has no day of its own.
NO_DAY = date(1980, 1, 1)
_MODIFIED = re.compile(rb"(<dcterms:modified[^>]*>)[^<]*")


def save(book: Workbook, path: Path, day: date | None = NO_DAY) -> None:
    """Write ``book``, dated ``day`` instead of by the clock.

    openpyxl writes the time of saving into the document's properties and into
    every entry of the archive; both are replaced. Without a day the workbook
    keeps the dates it was opened with.
    """
    made = datetime(day.year, day.month, day.day) if day else book.properties.modified
    if day:
        book.properties.created = made
    raw = io.BytesIO()
    book.save(raw)
    dated = max(day or NO_DAY, NO_DAY)
    stamp = (dated.year, dated.month, dated.day, 0, 0, 0)
    with zipfile.ZipFile(raw) as old, zipfile.ZipFile(path, "w") as new:
        for entry in old.infolist():
            data = old.read(entry)
            if entry.filename == "docProps/core.xml":
                text = f"{made:%Y-%m-%dT%H:%M:%S}Z".encode()
                data = _MODIFIED.sub(rb"\g<1>" + text, data)
            same = zipfile.ZipInfo(entry.filename, stamp)
            same.external_attr = 0o600 << 16
            new.writestr(same, data, zipfile.ZIP_DEFLATED)
