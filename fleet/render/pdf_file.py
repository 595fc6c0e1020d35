"""A PDF file that is written as its pages come, whatever their number.

The PDF library keeps all pages in memory until the end, and takes as long over the
keeping as over the drawing. So the few objects that a sheet is made of are written
here (clauses are those of ISO 32000-1:2008); the fonts, by far the harder part, are
left to the library.
"""

from __future__ import annotations

import hashlib
import re
import zlib
from datetime import date
from pathlib import Path
from typing import Any, NamedTuple

_CATALOG, _PAGES, _RESOURCES, _INFO, _OUTLINE = range(1, 6)
_AT_A_TIME = 1_000_000  # bytes
_LEVEL = 3  # twice as fast as the usual 6, for a tenth more bytes
_ESCAPED = re.compile(r"[()\\]")


class About(NamedTuple):
    """What a file says of itself."""

    title: str
    made_by: str
    on: date
    language: str


class PdfFile:
    """Objects written one after another, and at the end where each stands.

    Parameters
    ----------
    paper : tuple of float
        Width and height of all pages. [pt]
    """

    def __init__(self, path: Path, paper: tuple[float, float], about: About) -> None:
        from reportlab.pdfbase.pdfdoc import PDFDocument

        self._path = path
        self._about = about
        self._box = f"[0 0 {paper[0]:.4f} {paper[1]:.4f}]"
        self._waiting: list[bytes] = []
        self._waits = 0
        self._size = 0
        self._offsets: dict[int, int] = {}
        self._last = _OUTLINE
        self._pages: list[int] = []
        self._marks: list[tuple[str, int]] = []  # title, page
        self._forms: dict[str, int] = {}
        # Knows which letters of which font are used, and makes the fonts of them.
        self.fonts: Any = PDFDocument(compression=1, invariant=1)
        path.write_bytes(b"")
        self._write(b"%PDF-1.4\n%\xe2\xe3\xcf\xd3\n")  # 7.5.2

    # -- while drawing

    def form(self, name: str, box: tuple[float, float, float, float], ops: str) -> None:
        """Keep a part that many pages show, as ``/name Do`` (8.10)."""
        corners = " ".join(f"{corner:.2f}" for corner in box)
        self._forms[name] = self._stream(
            ops,
            f"/Type /XObject /Subtype /Form /BBox [{corners}] "
            f"/Resources {_RESOURCES} 0 R ",
        )

    def picture(self, name: str, size: tuple[int, int], pixels: bytes) -> None:
        """Keep a picture, 8 bits a colour, as ``/name Do``: a unit square (8.9.5).

        Parameters
        ----------
        size : tuple of int
            Width and height. [pixels]
        pixels : bytes
            Rows from the top; a byte each in grey, or three for red, green, blue.
        """
        wide, high = size
        grey = len(pixels) == wide * high
        self._forms[name] = self._stream(
            pixels,
            f"/Type /XObject /Subtype /Image /Width {wide} /Height {high} "
            f"/ColorSpace /Device{'Gray' if grey else 'RGB'} /BitsPerComponent 8 ",
        )

    def page(self, ops: str, marks: list[str]) -> None:
        """Write a page and the titles of bookmarks that lead to it."""
        content = self._stream(ops)
        number = self._add(
            f"<</Type /Page /Parent {_PAGES} 0 R /MediaBox {self._box} "
            f"/Resources {_RESOURCES} 0 R /Contents {content} 0 R>>"
        )
        self._pages.append(number)
        self._marks += [(title, number) for title in marks]

    def save(self) -> None:
        """Write what comes last: fonts, outline, and the table of all objects."""
        self._put(_RESOURCES, self._resources())
        kids = " ".join(f"{number} 0 R" for number in self._pages)
        self._put(_PAGES, f"<</Type /Pages /Count {len(self._pages)} /Kids [{kids}]>>")
        self._write_outline()
        self._write_catalog()
        self._write_table()
        self._flush()

    # -- at the end

    def _resources(self) -> str:
        """Write the fonts; return all that pages draw with."""
        from reportlab.pdfbase.pdfdoc import PDFIndirectObject

        fonts = self.fonts
        fonts.objectcounter = first = self._last  # its numbers go on from ours
        for font in fonts.delayedFonts:
            font.addObjects(fonts)
        names = list(fonts.idToObject["BasicFonts"].dict)
        number = first
        while (number := number + 1) in fonts.numberToId:
            name = fonts.numberToId[number]
            made = PDFIndirectObject(name, fonts.idToObject[name]).format(fonts)
            self._offsets[number] = self._size
            self._write(made)
        self._last = number - 1
        numbers = fonts.idToObjectNumberAndVersion
        listed = " ".join(f"/{name} {numbers[name][0]} 0 R" for name in names)
        forms = " ".join(f"/{name} {n} 0 R" for name, n in self._forms.items())
        return f"<</Font <<{listed}>> /XObject <<{forms}>>>>"

    def _write_outline(self) -> None:
        """Write the bookmarks, each with those before and after it (12.3.3)."""
        count = len(self._marks)
        first = self._last + 1
        for place, (title, page) in enumerate(self._marks):
            before = f"/Prev {first + place - 1} 0 R " if place else ""
            after = f"/Next {first + place + 1} 0 R " if place < count - 1 else ""
            self._add(
                f"<</Title {_text(title)} /Parent {_OUTLINE} 0 R {before}{after}"
                f"/Dest [{page} 0 R /Fit]>>"
            )
        ends = f" /First {first} 0 R /Last {self._last} 0 R" if count else ""
        self._put(_OUTLINE, f"<</Type /Outlines /Count {count}{ends}>>")

    def _write_catalog(self) -> None:
        about = self._about
        day = f"(D:{about.on:%Y%m%d}000000+00'00')"
        made_by, title = _text(about.made_by), _text(about.title)
        self._put(
            _INFO,
            f"<</Title {title} /Subject {title} /Author {made_by} /Creator {made_by} "
            f"/Producer {made_by} /CreationDate {day} /ModDate {day}>>",
        )
        self._put(
            _CATALOG,
            f"<</Type /Catalog /Pages {_PAGES} 0 R /Outlines {_OUTLINE} 0 R "
            f"/Lang {_text(about.language)} "
            "/ViewerPreferences <</DisplayDocTitle true>>>>",
        )

    def _write_table(self) -> None:
        """Write where each object stands, and where to begin (7.5.4, 7.5.5)."""
        count = self._last + 1
        rows = [f"{self._offsets[n]:010} 00000 n \n" for n in range(1, count)]
        table = f"xref\n0 {count}\n0000000000 65535 f \n{''.join(rows)}"
        # Equal content must give equal bytes, so the name of the file is no part.
        about = repr((self._about, table)).encode("utf-8", "surrogatepass")
        mark = hashlib.sha256(about).hexdigest()[:32]
        start = self._size
        self._write(
            f"{table}trailer\n<</Size {count} /Root {_CATALOG} 0 R /Info {_INFO} 0 R "
            f"/ID [<{mark}> <{mark}>]>>\nstartxref\n{start}\n%%EOF\n".encode()
        )

    # -- objects

    def _stream(self, ops: str | bytes, more: str = "") -> int:
        data = ops.encode("latin-1") if isinstance(ops, str) else ops
        packed = zlib.compress(data, _LEVEL)
        head = f"<<{more}/Filter /FlateDecode /Length {len(packed)}>>\nstream\n"
        return self._add(head.encode() + packed + b"\nendstream")

    def _add(self, body: str | bytes) -> int:
        self._last += 1
        self._put(self._last, body)
        return self._last

    def _put(self, number: int, body: str | bytes) -> None:
        self._offsets[number] = self._size
        data = body.encode("ascii") if isinstance(body, str) else body
        self._write(b"%d 0 obj\n%b\nendobj\n" % (number, data))

    def _write(self, data: bytes) -> None:
        self._waiting.append(data)
        self._waits += len(data)
        self._size += len(data)
        if self._waits > _AT_A_TIME:
            self._flush()

    def _flush(self) -> None:
        with self._path.open("ab") as file:
            file.writelines(self._waiting)
        self._waiting.clear()
        self._waits = 0


def _text(text: str) -> str:
    """Return a text string (7.9.2.2): as it is in ASCII, else in UTF-16."""
    if text.isascii() and text.isprintable():
        return "(" + _ESCAPED.sub(r"\\\g<0>", text) + ")"
    return f"<FEFF{text.encode('utf-16-be', 'replace').hex().upper()}>"
