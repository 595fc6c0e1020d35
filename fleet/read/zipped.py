"""A zip from outside, unpacked within bounds; its XML without DTD or odd encoding."""

from __future__ import annotations

import io
import re
import zipfile
import zlib
from collections.abc import Iterable

from fleet.errors import UnreadableError

MOST_PACKED = 100 * 2**20  # bytes on disk
MOST_UNPACKED = 100 * 2**20  # bytes in all
MOST_MEMBERS = 10_000
MOST_RATIO = 100  # unpacked to packed, looked at from RATIO_FROM bytes on
RATIO_FROM = 20_000_000

DAMAGED = "the file is incomplete or damaged. Copy it again from where it came from."
LOCKED = (
    "the file is protected by a password. Open it, take the password off, save it, "
    "and run this again."
)
_ENCODING = re.compile(rb"<\?xml[^>]*encoding\s*=\s*[\"']([^\"']+)[\"']")
_DOCTYPE = b"<!DOCTYPE"


def unreadable(name: str, why: str) -> UnreadableError:
    """Return the error for a file that cannot be read: one line that names it."""
    return UnreadableError(f"{name}: {why}")


def of_library(err: BaseException) -> bool:
    """Say whether an error is a library's, and not an order to stop.

    A panic of the fast reader's Rust code derives from BaseException alone.
    """
    return isinstance(err, Exception) or type(err).__name__ == "PanicException"


def members(name: str, data: bytes) -> dict[str, zipfile.ZipInfo]:
    """Return the members of a zip by name, once it is known to be within bounds.

    Raises
    ------
    UnreadableError
        Damaged, protected, a member named twice, or too large unpacked.
    """
    try:
        infos = zipfile.ZipFile(io.BytesIO(data)).infolist()
    except (zipfile.BadZipFile, ValueError, OSError, NotImplementedError) as err:
        raise unreadable(name, DAMAGED) from err
    if len(infos) > MOST_MEMBERS:
        raise unreadable(name, "it is packed from too many parts to be a workbook.")
    unpacked = sum(info.file_size for info in infos)
    if unpacked > MOST_UNPACKED:
        raise unreadable(
            name,
            f"it holds {unpacked // 2**20} MB when unpacked; the most that is read "
            f"is {MOST_UNPACKED // 2**20} MB. Split it into smaller workbooks.",
        )
    if unpacked > RATIO_FROM and unpacked > MOST_RATIO * len(data):
        raise unreadable(
            name, "it unpacks to far more than a workbook of its size; it is not read."
        )
    by_name = {info.filename: info for info in infos}
    # Nor may two differ by case alone: the names of parts are compared without it.
    if len({part.lower() for part in by_name}) != len(infos):
        raise unreadable(name, "it holds a part twice; nobody can tell which counts.")
    if any(info.flag_bits & 0x1 for info in infos):
        raise unreadable(name, LOCKED)
    return by_name


def unpack(
    name: str, data: bytes, wanted: Iterable[zipfile.ZipInfo]
) -> dict[str, bytes]:
    """Return the wanted members unpacked; XML among them is checked.

    Raises
    ------
    UnreadableError
        A member is damaged, or its XML has a DTD or an encoding other than UTF-8.
    """
    parts = {}
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        for info in wanted:
            try:
                # zipfile stops at the stated size and checks the sum of the bytes, so
                # a directory that lies about sizes cannot make this grow.
                parts[info.filename] = archive.read(info)
            except (
                zipfile.BadZipFile,
                zlib.error,
                EOFError,
                OSError,
                NotImplementedError,
                ValueError,
            ) as err:
                raise unreadable(name, DAMAGED) from err
            except RuntimeError as err:
                raise unreadable(name, LOCKED) from err
    for part, content in parts.items():
        if part.lower().endswith((".xml", ".rels")):
            _check_xml(name, content)
    return parts


def _check_xml(name: str, content: bytes) -> None:
    # What is looked for below is looked for as bytes: only one encoding will do.
    declared = _ENCODING.match(content.lstrip(b"\xef\xbb\xbf \t\r\n")[:200])
    encoding = declared[1].lower() if declared else b"utf-8"
    if encoding not in (b"utf-8", b"utf8", b"us-ascii") or b"\0" in content[:4]:
        raise unreadable(
            name,
            "it is written in an unusual encoding. Open it in a spreadsheet program "
            "and save it again.",
        )
    if _DOCTYPE in content:
        raise unreadable(
            name,
            "it holds XML definitions (a DTD), which no workbook needs; for safety it "
            "is not read. Open it in a spreadsheet program and save it again.",
        )


def pack(parts: dict[str, bytes]) -> io.BytesIO:
    """Return a zip of ``parts``, not compressed: what has been checked, and no more.

    ``parts`` is emptied on the way, for it may hold a hundred megabytes.
    """
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_STORED) as archive:
        for part in list(parts):
            archive.writestr(part, parts.pop(part))
    packed.seek(0)
    return packed
