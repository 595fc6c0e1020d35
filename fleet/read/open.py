"""A file from outside -> sheets of cells, or one clear line on why not."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Sequence
from pathlib import Path
from stat import S_ISREG

from fleet.errors import UnreadableError
from fleet.read.csv_files import sheet_of_csv
from fleet.read.grid import Sheet
from fleet.read.ods import sheets_of_ods
from fleet.read.xlsx import sheets_of_xlsx
from fleet.read.zipped import (
    LOCKED,
    MOST_PACKED,
    members,
    of_library,
    unreadable,
)

Known = Callable[[Sequence[str]], int]

CSV_ENDINGS = (".csv", ".tsv", ".txt")
_SAVE = "Open it in a spreadsheet program and save it as 'Excel Workbook (*.xlsx)'."
_OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
_STARTS = (
    (b"%PDF", "it is a PDF, not a workbook. Choose the workbook it was printed from."),
    (b"{\\rtf", "it is a text document, not a workbook."),
    (b"\x89PNG", "it is a picture, not a workbook."),
    (b"\xff\xd8\xff", "it is a picture, not a workbook."),
    (b"GIF8", "it is a picture, not a workbook."),
    (b"\x1f\x8b", "it is packed (gzip). Unpack it first."),
    (b"7z\xbc\xaf", "it is packed (7z). Unpack it first."),
    (b"Rar!", "it is packed (rar). Unpack it first."),
)


def read_bytes(name: str, path: Path, most: int = 0) -> bytes:
    """Return the bytes of a file, read once: up to ``most``, or of a workbook.

    Raises
    ------
    UnreadableError
        It cannot be opened, is no file (a pipe, a device), or is too large.
    """
    most = most or MOST_PACKED
    try:
        about = path.stat()
        if not S_ISREG(about.st_mode):
            # A pipe would be waited for without end, a device read without end.
            raise unreadable(name, "it is no file. Save the workbook as a file first.")
        if about.st_size > most:
            raise unreadable(
                name,
                f"it is {about.st_size // 2**20} MB large; the most that is read "
                f"is {most // 2**20} MB.",
            )
        with path.open("rb") as file:
            data = file.read(most + 1)  # it may grow while it is read
        if len(data) > most:
            raise unreadable(name, "it grows while it is read. Close it elsewhere.")
        return data
    except FileNotFoundError as err:
        raise unreadable(name, "there is no such file.") from err
    except PermissionError as err:
        raise unreadable(name, "you may not read it. Is it open elsewhere?") from err
    except OSError as err:
        raise unreadable(name, f"it cannot be opened ({err.strerror}).") from err


def sheets_of(name: str, path: Path, data: bytes, known: Known) -> list[Sheet]:
    """Return the sheets of one file, by what it holds and not by its name.

    Raises
    ------
    UnreadableError
        The file cannot be read; the message says why and what to do. Whatever goes
        wrong in a library ends here, so that no file can stop the others.
    """
    try:
        return _sheets_of(name, path, data, known)
    except UnreadableError:
        raise
    except MemoryError as err:
        raise unreadable(name, "it is too large to be read here. Split it.") from err
    except BaseException as err:
        if not of_library(err):
            raise
        raise unreadable(
            name, f"it is damaged or holds something that cannot be read. {_SAVE}"
        ) from err


def _sheets_of(name: str, path: Path, data: bytes, known: Known) -> list[Sheet]:
    if not data.strip(b"\0\r\n\t "):
        raise unreadable(name, "the file is empty.")
    if data.startswith(b"PK"):
        return _zipped(name, data)
    if data.startswith(_OLE):
        if "EncryptedPackage".encode("utf-16-le") in data:
            raise unreadable(name, LOCKED)
        raise unreadable(name, f"it is an old binary workbook (.xls). {_SAVE}")
    for start, why in _STARTS:
        if data.startswith(start):
            raise unreadable(name, why)
    head = data[:2000].lstrip(b"\xef\xbb\xbf \r\n\t").lower()
    if head.startswith((b"<!doctype html", b"<html", b"<head", b"<table")):
        raise unreadable(name, f"it is a web page, whatever its name says. {_SAVE}")
    if head.startswith(b"<?xml") or b"<office:document" in head:
        raise unreadable(name, f"it is an XML file, not a workbook. {_SAVE}")
    if path.suffix.lower() not in CSV_ENDINGS:
        raise unreadable(
            name,
            "it is not a workbook. Choose an .xlsx or .ods file; if it is text with "
            "commas, let its name end in .csv.",
        )
    return [sheet_of_csv(name, path.stem, data, known)]


def _zipped(name: str, data: bytes) -> list[Sheet]:
    parts = members(name, data)
    lower = {part.lower() for part in parts}
    if "xl/workbook.xml" in lower:
        return sheets_of_xlsx(name, data)
    if "xl/workbook.bin" in lower:
        raise unreadable(name, f"it is a binary workbook (.xlsb). {_SAVE}")
    if any(part.startswith("word/") for part in lower):
        raise unreadable(name, "it is a text document (.docx), not a workbook.")
    if any(part.startswith("ppt/") for part in lower):
        raise unreadable(name, "it is a set of slides, not a workbook.")
    if "mimetype" in parts and "content.xml" in parts:
        return sheets_of_ods(name, data)
    if any(part.startswith("index/") or part.endswith(".iwa") for part in lower):
        raise unreadable(name, f"it is a workbook of another kind. {_SAVE}")
    raise unreadable(name, "it is a zip file, not a workbook. Unpack it first.")


def fingerprint(data: bytes) -> str:
    """Return the SHA-256 of a file's bytes."""
    return hashlib.sha256(data).hexdigest()
