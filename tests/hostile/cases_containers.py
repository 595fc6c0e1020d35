"""Files that are no workbook, or a workbook whose zip is damaged or lies."""

from __future__ import annotations

import os
import random
import struct
import zipfile
from pathlib import Path

from made_files import READINGS, Case, Entry, holds, parts_of, xlsx, zipped
from made_others import csv_text, folder, ods

GOOD = xlsx()
OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(504)
DAMAGED = "incomplete or damaged"


def with_central(field: str, value: int, number: int = 3) -> bytes:
    """Return the workbook with a field of one entry of its zip directory changed."""
    at = -1
    for _ in range(number + 1):
        at = GOOD.index(b"PK\x01\x02", at + 1)
    offset, form = {
        "flags": (8, "<H"), "method": (10, "<H"), "crc": (16, "<I"),
        "packed": (20, "<I"), "unpacked": (24, "<I"), "local": (42, "<I"),
    }[field]  # fmt: skip
    new = struct.pack(form, value)
    return GOOD[: at + offset] + new + GOOD[at + offset + len(new) :]


def noise(size: int, seed: int = 7) -> bytes:
    """Return bytes that mean nothing, the same each time."""
    return random.Random(seed).randbytes(size)


def extra(*entries: Entry) -> bytes:
    """Return the workbook with more members in its zip."""
    own = [Entry(name, data) for name, data in parts_of().items()]
    return zipped([*own, *entries])


def twice() -> bytes:
    """Return a workbook that holds a sheet part twice."""
    parts = parts_of()
    part = "xl/worksheets/sheet2.xml"
    entries = [Entry(name, data) for name, data in parts.items()]
    # The writer warns of a name met twice; the test of the set lets that pass.
    odd = Entry("xl/worksheets/sheeU2.xml", parts[part].replace(b">8<", b">80<"))
    return zipped([*entries, odd]).replace(b"sheeU2.xml", b"sheet2.xml")


def renamed(old: bytes, new: bytes) -> bytes:
    """Return the workbook with a member called otherwise (same length)."""
    assert len(old) == len(new)
    return GOOD.replace(old, new)


def central_renamed(old: bytes, new: bytes) -> bytes:
    """Return the same, but only in the directory at the end of the zip."""
    at = GOOD.rindex(old)
    return GOOD[:at] + new + GOOD[at + len(old) :]


def many_members() -> bytes:
    """Return a workbook with 20 000 members."""
    return extra(*(Entry(f"junk/{n}", b"", zipfile.ZIP_STORED) for n in range(20_000)))


def bad_magic() -> bytes:
    """Return the workbook with a spoilt directory of its zip."""
    at = GOOD.index(b"PK\x01\x02")
    return GOOD[:at] + b"PX\x01\x02" + GOOD[at + 4 :]


def large(path: Path) -> None:
    """Make a file that is large, though it takes no room on the disk."""
    with path.open("wb") as file:
        file.truncate(5_000_000_000)


def csv_as(name: str) -> Case:
    """Return readings as CSV text under a name that promises a workbook."""
    text = csv_text(READINGS).encode()
    return Case(name, holds(text), "refused", "let its name end in .csv")


NOT_WORKBOOKS = (
    Case("empty.xlsx", holds(b""), "refused", "the file is empty"),
    Case("zeros.xlsx", holds(bytes(4096)), "refused", "the file is empty"),
    Case("blanks.xlsx", holds(b" \r\n" * 500), "refused", "the file is empty"),
    Case("noise.xlsx", holds(noise(5000)), "refused", "not a workbook"),
    Case("one-byte.xlsx", holds(b"P"), "refused", "not a workbook"),
    Case("pk-only.xlsx", holds(b"PK"), "refused", DAMAGED),
    Case("old-binary.xls", holds(OLE), "refused", "old binary workbook (.xls)"),
    Case("old-binary-renamed.xlsx", holds(OLE), "refused", "old binary workbook"),
    Case(
        "password.xlsx",
        holds(OLE + "EncryptedPackage".encode("utf-16-le") + bytes(400)),
        "refused",
        "protected by a password",
    ),
    Case("page.xlsx", holds(b"<!DOCTYPE html><table>"), "refused", "it is a web page"),
    Case("page.xls", holds(b"\xef\xbb\xbf<html><body>"), "refused", "it is a web page"),
    Case("xml-2003.xlsx", holds(b"<?xml version='1.0'?><Workbook/>"), "refused",
         "it is an XML file"),
    Case("flat.ods", holds(b"<?xml version='1.0'?><office:document/>"), "refused",
         "it is an XML file"),
    Case("print.xlsx", holds(b"%PDF-1.7\n"), "refused", "it is a PDF"),
    Case("letter.xlsx", holds(b"{\\rtf1 }"), "refused", "text document"),
    Case("photo.xlsx", holds(b"\x89PNG\r\n\x1a\n"), "refused", "it is a picture"),
    Case("squeezed.xlsx", holds(b"\x1f\x8b\x08" + noise(90)), "refused", "gzip"),
    Case("seven.xlsx", holds(b"7z\xbc\xaf\x27\x1c" + noise(90)), "refused", "7z"),
    csv_as("text.xlsx"),
    Case("text-document.xlsx", holds(zipped({"word/document.xml": b"<w/>"})),
         "refused", "text document (.docx)"),
    Case("slides.xlsx", holds(zipped({"ppt/presentation.xml": b"<p/>"})),
         "refused", "set of slides"),
    Case("binary.xlsb", holds(zipped({"xl/workbook.bin": b"\x83\x01"})), "refused",
         "binary workbook (.xlsb)"),
    Case("other.numbers", holds(zipped({"Index/Document.iwa": b"\0"})), "refused",
         "workbook of another kind"),
    Case("zip.xlsx", holds(zipped({"a.txt": b"a"})), "refused", "a zip file"),
    Case("zip-in-zip.xlsx", holds(zipped({"book.xlsx": GOOD})), "refused",
         "a zip file"),
    Case("hollow.xlsx", holds(b"PK\x05\x06" + bytes(18)), "refused", "a zip file"),
    Case("empty-folder", folder({}), "refused", "holds no workbook"),
    Case("pipe.xlsx", os.mkfifo, "refused", "it is no file"),
    Case("device.csv", lambda path: path.symlink_to("/dev/zero"), "refused",
         "it is no file"),
    Case("no-such.xlsx", lambda path: path.symlink_to("nowhere"), "refused",
         "no such file"),
    Case("folder-called.xlsx", folder({"a.txt": b""}), "refused",
         "holds no workbook"),
    Case("large.csv", large, "refused", "MB large"),
)  # fmt: skip

DAMAGED_ZIPS = (
    *(
        Case(f"cut-at-{share}.xlsx", holds(GOOD[: len(GOOD) * share // 100]),
             "refused", DAMAGED)
        for share in (5, 30, 60, 90, 99)
    ),
    Case("cut-start.xlsx", holds(GOOD[100:]), "refused", "not a workbook"),
    Case("cut-ods.ods", holds(ods()[:-40]), "refused", DAMAGED),
    Case("junk-before.xlsx", holds(noise(64) + GOOD), "refused", "not a workbook"),
    Case("junk-behind.xlsx", holds(GOOD + noise(64))),
    Case("wrong-crc.xlsx", holds(with_central("crc", 0x12345678)), "refused", DAMAGED),
    Case("bad-directory.xlsx", holds(bad_magic()), "refused", DAMAGED),
    Case("locked-flag.xlsx", holds(with_central("flags", 1)), "refused", "password"),
    Case("method-99.xlsx", holds(with_central("method", 99)), "refused", DAMAGED),
    Case("size-lies-large.xlsx", holds(with_central("unpacked", 2**31)), "refused",
         "MB when unpacked"),
    Case("size-lies-small.xlsx", holds(with_central("unpacked", 10)), "refused",
         DAMAGED),
    Case("packed-lies.xlsx", holds(with_central("packed", 5)), "refused", DAMAGED),
    Case("place-lies.xlsx", holds(with_central("local", 5)), "refused", DAMAGED),
    Case("texts-renamed.xlsx",
         holds(renamed(b"xl/sharedStrings.xml", b"xl/sharedStringz.xml")), "refused",
         DAMAGED),
    Case("texts-renamed-in-directory.xlsx",
         holds(central_renamed(b"xl/sharedStrings.xml", b"xl/sharedStringz.xml")),
         "refused", DAMAGED),
    Case("styles-renamed.xlsx", holds(renamed(b"xl/styles.xml", b"xl/stylez.xml")),
         "refused", DAMAGED),
    Case("sheet-renamed.xlsx",
         holds(renamed(b"xl/worksheets/sheet2.xml", b"xl/worksheets/sheez2.xml")),
         "refused", DAMAGED),
    Case("part-twice.xlsx", holds(twice), "refused", "holds a part twice"),
    Case("part-twice-but-for-case.xlsx", holds(extra(Entry("xl/STYLES.xml", b""))),
         "refused", "holds a part twice"),
    Case("many-members.xlsx", holds(many_members), "refused", "too many parts"),
    Case("climbs-out.xlsx", holds(extra(Entry("../../climbed.txt", b"out"),
                                        Entry("/tmp/climbed.txt", b"out")))),
    Case("member-names.xlsx", holds(extra(Entry("a\x1b[31mb\n.txt", b""),
                                          Entry("x" * 5000, b"")))),
    Case("macro.xlsm", holds(extra(Entry("xl/vbaProject.bin", noise(2000))))),
    Case("workbook-in-capitals.xlsx",
         holds(renamed(b"xl/workbook.xml", b"XL/WORKBOOK.XML"))),
    Case("texts-in-capitals.xlsx",
         holds(renamed(b"xl/sharedStrings.xml", b"xl/SHAREDSTRINGS.xml"))),
)  # fmt: skip

CASES = (Case("good.xlsx", holds(GOOD)), *NOT_WORKBOOKS, *DAMAGED_ZIPS)
