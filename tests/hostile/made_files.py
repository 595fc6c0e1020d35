"""Building blocks of the hostile set: workbooks written part by part, by hand.

No writing library is used, for none would write what these files must hold. The
plain workbook has two tanks; whatever a file does to ``A2`` or around it, the results
of ``A1`` must come through as they are.
"""

from __future__ import annotations

import io
import zipfile
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Literal, NamedTuple
from xml.sax.saxutils import escape

AS_OF = date(2026, 3, 30)
KEPT = {"nitrate": 8.0, "phosphate": 0.06}  # what A1 reads on its last day
LAST = date(2026, 3, 29)

Outcome = Literal["read", "refused", "nothing", "either"]


class Raw(str):
    """The XML of a whole cell's inside, with ``{r}`` where its reference goes."""


Cell = str | int | float | date | bool | None | Raw
Rows = Sequence[Sequence[Cell]]
Sheets = Mapping[str, Rows]
Parts = dict[str, bytes]


@dataclass(frozen=True)
class Case:
    """One hostile file (or folder), and what must come of it.

    Parameters
    ----------
    name
        File or folder name.
    make
        Writes it to the path it is given.
    outcome
        ``read``: a report is made, and A1 is in it unharmed; ``refused``: one line,
        status 3; ``nothing``: one line, status 1; ``either``: read or refused.
    says
        Words that ``check`` must print.
    keeps
        Whether A1 must be in the report with its own numbers.
    """

    name: str
    make: Callable[[Path], None]
    outcome: Outcome = "read"
    says: str = ""
    keeps: bool = True


class Entry(NamedTuple):
    """One member of a zip, as odd as wanted."""

    name: str
    data: bytes
    method: int = zipfile.ZIP_DEFLATED


TANKS: Rows = (
    ("Tank", "Name", "Place", "Keeper", "Volume (L)", "Livestock", "Rock",
     "Filled on", "Equipment", "Fish", "Notes"),
    ("A1", "Long wall", "Front", "Ana", 400, "mixed coral", "cured live",
     date(2023, 5, 1), "skimmer", 6, "by the door"),
    ("A2", "Low shelf", "Front", "Ben", 200, "soft coral", "dry",
     date(2024, 2, 1), "filter sock", 3, ""),
)  # fmt: skip
READINGS: Rows = (
    ("Date", "Tank", "Taken by", "Nitrate (mg/L)", "Nitrate method",
     "Phosphate (mg/L)", "Phosphate method", "Salinity (PSU)", "Temperature (°C)",
     "pH", "Alkalinity (dKH)", "Look", "Notes"),
    (date(2026, 3, 15), "A1", "Ana", 7, "drops", 0.05, "meter", 34.8, 25.1, 8.1, 8.4,
     "clear", ""),
    (date(2026, 3, 22), "A1", "Ana", 7.5, "drops", 0.05, "meter", 34.9, 25.2, 8.1, 8.3,
     "coralline", ""),
    (LAST, "A1", "Ana", 8, "drops", 0.06, "meter", 34.8, 25.0, 8.2, 8.4, "clear", ""),
    (date(2026, 3, 22), "A2", "Ben", 4, "drops", 0.04, "meter", 34.5, 25.4, 8.0, 8.1,
     "clear", ""),
    (LAST, "A2", "Ben", 5, "drops", 0.04, "meter", 34.6, 25.3, 8.1, 8.0, "clear", ""),
)  # fmt: skip
METHODS: Rows = (
    ("Method", "Measures", "Unit", "Lowest", "Step", "Accuracy (±)", "Accuracy (%)"),
    ("drops", "nitrate", "mg/L", 0.5, 0.5, 0.5, 10),
    ("meter", "phosphate", "mg/L", 0.02, 0.01, 0.02, 4),
)
WORK: Rows = (
    ("Date", "Tank", "Work", "Substance", "Amount", "Unit", "Done by"),
    (date(2026, 3, 20), "A1", "water change", "", 10, "%", "Ana"),
    (date(2026, 3, 23), "A2", "clean", "", None, "", "Ben"),
)
PLAIN: Sheets = {
    "Tanks": TANKS, "Readings": READINGS, "Methods": METHODS, "Work": WORK,
}  # fmt: skip

_MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
_OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
_PACKAGE = "http://schemas.openxmlformats.org/package/2006"
_TYPE = "application/vnd.openxmlformats-officedocument.spreadsheetml."
XML = '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n'


def changed(sheet: str, rows: Rows) -> Sheets:
    """Return the plain sheets with one put in place of another, or added."""
    return {**PLAIN, sheet: rows}


def added(sheet: str, *rows: Sequence[Cell]) -> Sheets:
    """Return the plain sheets with rows added at the foot of one."""
    return {**PLAIN, sheet: (*PLAIN.get(sheet, ()), *rows)}


def reading(**cells: Cell) -> list[Cell]:
    """Return a row of Readings for A2, with cells put in by a word of the header."""
    row: list[Cell] = [date(2026, 3, 28), "A2", "Ben", *[None] * 10]
    heads = [str(head).casefold() for head in READINGS[0]]
    for word, cell in cells.items():
        wanted = word.replace("_", " ").casefold()
        row[next(n for n, head in enumerate(heads) if head.startswith(wanted))] = cell
    return row


def tank(**cells: Cell) -> list[Cell]:
    """Return a row of Tanks, likewise; ``A3`` unless named otherwise."""
    row: list[Cell] = ["A3", "", "Front", "Cy", 100, "soft coral", "dry",
                       date(2024, 6, 1), "", 1, ""]  # fmt: skip
    heads = [str(head).casefold() for head in TANKS[0]]
    for word, cell in cells.items():
        wanted = word.replace("_", " ").casefold()
        row[next(n for n, head in enumerate(heads) if head.startswith(wanted))] = cell
    return row


# ------------------------------------------------------------------------- xlsx


def letters(column: int) -> str:
    """Return the letters of a column that counts from 0."""
    text = ""
    column += 1
    while column:
        column, rest = divmod(column - 1, 26)
        text = chr(65 + rest) + text
    return text


def _c(cell: Cell, reference: str, strings: dict[str, int]) -> str:
    if isinstance(cell, Raw):
        return cell.replace("{r}", reference)
    if cell is None or cell == "":
        return ""
    if isinstance(cell, bool):
        return f'<c r="{reference}" t="b"><v>{int(cell)}</v></c>'
    if isinstance(cell, date):
        serial = (cell - date(1899, 12, 30)).days
        return f'<c r="{reference}" s="1"><v>{serial}</v></c>'
    if isinstance(cell, str):
        number = strings.setdefault(cell, len(strings))
        return f'<c r="{reference}" t="s"><v>{number}</v></c>'
    return f'<c r="{reference}"><v>{cell!r}</v></c>'


def sheet_xml(rows: Rows, strings: dict[str, int]) -> str:
    """Return one worksheet part; its texts are put into ``strings``."""
    made = []
    for number, row in enumerate(rows, start=1):
        cells = "".join(
            _c(cell, f"{letters(column)}{number}", strings)
            for column, cell in enumerate(row)
        )
        made.append(f'<row r="{number}">{cells}</row>')
    body = "".join(made)
    return f'{XML}<worksheet xmlns="{_MAIN}"><sheetData>{body}</sheetData></worksheet>'


def strings_xml(texts: Sequence[str]) -> bytes:
    """Return the part of shared texts; ``_x001B_`` and the like stay as written."""
    made = "".join(f'<si><t xml:space="preserve">{escape(t)}</t></si>' for t in texts)
    count = len(texts)
    text = (
        f'{XML}<sst xmlns="{_MAIN}" count="{count}" uniqueCount="{count}">{made}</sst>'
    )
    return text.encode("utf-8", "surrogatepass")


def parts_of(sheets: Sheets = PLAIN) -> Parts:
    """Return the parts of a workbook, to be spoilt one by one."""
    strings: dict[str, int] = {}
    parts: Parts = {}
    types, relations, listed = [], [], []
    for number, (name, rows) in enumerate(sheets.items(), start=1):
        path = f"xl/worksheets/sheet{number}.xml"
        xml = sheet_xml(rows, strings)
        parts[path] = xml.encode("utf-8", "surrogatepass")
        types.append(
            f'<Override PartName="/{path}" ContentType="{_TYPE}worksheet+xml"/>'
        )
        target = f"worksheets/sheet{number}.xml"
        relations.append(_relation(number, "worksheet", target))
        title = escape(name, {'"': "&quot;"})
        listed.append(f'<sheet name="{title}" sheetId="{number}" r:id="rId{number}"/>')
    next_id = len(relations) + 1
    for number, (kind, file) in enumerate(
        (("styles", "styles.xml"), ("sharedStrings", "sharedStrings.xml")), next_id
    ):
        relations.append(_relation(number, kind, file))
        types.append(
            f'<Override PartName="/xl/{file}" ContentType="{_TYPE}{kind}+xml"/>'
        )
    head = {
        "[Content_Types].xml": (
            f'{XML}<Types xmlns="{_PACKAGE}/content-types"><Default Extension="rels" '
            'ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
            '<Default Extension="xml" ContentType="application/xml"/>'
            '<Override PartName="/xl/workbook.xml" '
            f'ContentType="{_TYPE}sheet.main+xml"/>{"".join(types)}</Types>'
        ),
        "_rels/.rels": (
            f'{XML}<Relationships xmlns="{_PACKAGE}/relationships">'
            f'<Relationship Id="rId1" Type="{_OFFICE}/officeDocument" '
            'Target="xl/workbook.xml"/></Relationships>'
        ),
        "xl/workbook.xml": (
            f'{XML}<workbook xmlns="{_MAIN}" xmlns:r="{_OFFICE}"><workbookPr/>'
            f"<sheets>{''.join(listed)}</sheets></workbook>"
        ),
        "xl/_rels/workbook.xml.rels": (
            f'{XML}<Relationships xmlns="{_PACKAGE}/relationships">'
            f"{''.join(relations)}</Relationships>"
        ),
        "xl/styles.xml": STYLES,
    }
    parts = {name: text.encode() for name, text in head.items()} | parts
    parts["xl/sharedStrings.xml"] = strings_xml(list(strings))
    return parts


def _relation(number: int, kind: str, target: str) -> str:
    return f'<Relationship Id="rId{number}" Type="{_OFFICE}/{kind}" Target="{target}"/>'


STYLES = (
    f'{XML}<styleSheet xmlns="{_MAIN}"><fonts count="1"><font/></fonts>'
    '<fills count="1"><fill><patternFill patternType="none"/></fill></fills>'
    '<borders count="1"><border/></borders>'
    '<cellStyleXfs count="1"><xf numFmtId="0"/></cellStyleXfs>'
    '<cellXfs count="3"><xf numFmtId="0" xfId="0"/>'
    '<xf numFmtId="14" xfId="0" applyNumberFormat="1"/>'
    '<xf numFmtId="9" xfId="0" applyNumberFormat="1"/></cellXfs></styleSheet>'
)


def spoilt(part: str, old: str, new: str, sheets: Sheets = PLAIN) -> Parts:
    """Return the parts with ``old`` in one of them put for ``new``, once."""
    parts = parts_of(sheets)
    text = parts[part].decode("utf-8", "surrogatepass")
    assert old in text, f"{old!r} is not in {part}"
    parts[part] = text.replace(old, new, 1).encode("utf-8", "surrogatepass")
    return parts


# -------------------------------------------------------------------------- zips


def zipped(parts: Mapping[str, bytes] | Sequence[Entry]) -> bytes:
    """Return a zip with the same bytes for the same parts."""
    entries = (
        [Entry(name, data) for name, data in parts.items()]
        if isinstance(parts, Mapping)
        else parts
    )
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        for entry in entries:
            info = zipfile.ZipInfo(entry.name, (1980, 1, 1, 0, 0, 0))
            archive.writestr(info, entry.data, entry.method)
    return packed.getvalue()


def xlsx(sheets: Sheets = PLAIN) -> bytes:
    """Return a workbook."""
    return zipped(parts_of(sheets))


# ------------------------------------------------------------------------ writers


def holds(data: bytes | Callable[[], bytes]) -> Callable[[Path], None]:
    """Return what writes these bytes; a large file is made only when asked for."""

    def make(path: Path) -> None:
        path.write_bytes(data() if callable(data) else data)

    return make
