"""Building blocks of the hostile set: OpenDocument and CSV, and folders of files."""

from __future__ import annotations

import re
import zipfile
from collections.abc import Callable, Mapping
from datetime import date
from pathlib import Path
from xml.sax.saxutils import escape

from made_files import PLAIN, XML, Cell, Entry, Raw, Rows, zipped

# --------------------------------------------------------------------------- ods

_ODS = "urn:oasis:names:tc:opendocument:xmlns:"
ODS_HEAD = (
    f'{XML}<office:document-content xmlns:office="{_ODS}office:1.0" '
    f'xmlns:table="{_ODS}table:1.0" xmlns:text="{_ODS}text:1.0" '
    'office:version="1.3"><office:body><office:spreadsheet>'
)
ODS_FOOT = "</office:spreadsheet></office:body></office:document-content>"


def ods_cell(cell: Cell) -> str:
    """Return one cell of a content.xml."""
    if isinstance(cell, Raw):
        return cell
    if cell is None or cell == "":
        return "<table:table-cell/>"
    if isinstance(cell, date):
        kind = f'office:value-type="date" office:date-value="{cell.isoformat()}"'
    elif isinstance(cell, str):
        kind = 'office:value-type="string"'
    else:
        kind = f'office:value-type="float" office:value="{cell}"'
    text = escape(str(cell))
    return f"<table:table-cell {kind}><text:p>{text}</text:p></table:table-cell>"


def ods_table(name: str, rows: Rows, foot: str = "") -> str:
    """Return one sheet of a content.xml, ``foot`` being XML after its rows."""
    made = "".join(
        f"<table:table-row>{''.join(map(ods_cell, row))}</table:table-row>"
        for row in rows
    )
    return f'<table:table table:name="{escape(name)}">{made}{foot}</table:table>'


def ods(content: str | None = None, **more: bytes) -> bytes:
    """Return an .ods workbook; of the plain sheets unless ``content`` is given."""
    if content is None:
        content = "".join(ods_table(name, rows) for name, rows in PLAIN.items())
    kind = b"application/vnd.oasis.opendocument.spreadsheet"
    entries = [
        Entry("mimetype", kind, zipfile.ZIP_STORED),
        Entry("content.xml", (ODS_HEAD + content + ODS_FOOT).encode()),
    ]
    return zipped([*entries, *(Entry(name, data) for name, data in more.items())])


# --------------------------------------------------------------------------- csv


def csv_text(rows: Rows, separator: str = ",", comma: str = ".") -> str:
    """Return rows as CSV text, numbers with the decimal mark asked for."""
    return "".join(
        separator.join(_field(cell, separator, comma) for cell in row) + "\r\n"
        for row in rows
    )


def _field(cell: Cell, separator: str, comma: str) -> str:
    text = "" if cell is None else str(cell)
    if isinstance(cell, float):
        text = text.replace(".", comma)
    if re.search(rf'[{re.escape(separator)}"\r\n]', text):
        return '"' + text.replace('"', '""') + '"'
    return text


def folder(files: Mapping[str, bytes]) -> Callable[[Path], None]:
    """Return what makes a folder with these files."""

    def make(path: Path) -> None:
        path.mkdir()
        for name, data in files.items():
            (path / name).write_bytes(data)

    return make


def csv_folder(
    encoding: str = "utf-8", separator: str = ",", comma: str = ".", start: bytes = b""
) -> Callable[[Path], None]:
    """Return what makes a folder of CSV sheets in an encoding."""
    return folder(
        {
            f"{name}.csv": start
            + csv_text(rows, separator, comma).encode(encoding, "replace")
            for name, rows in PLAIN.items()
        }
    )
