"""What decides all that a report says, to know one that stands already."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Sequence
from functools import cache
from pathlib import Path

from fleet.read.sources import expand, layout_beside
from fleet.records import Picture
from fleet.render import manifest
from fleet.render.logo import load_logo

_LARGEST = 500_000_000  # bytes; whatever is larger is refused by its reader
_PACKAGE = Path(__file__).resolve().parent


def digest_of(
    books: Sequence[Path],
    layout: Path | None,
    folders: Iterable[Path],
    earlier: Path | None,
    options: object,
) -> str:
    """Return the digest of the inputs, the program and what was asked for.

    Parameters
    ----------
    books
        Workbooks, or folders of them, as for reading.
    layout
        A layout file for all of them, if one was named.
    folders
        Folders of templates.
    earlier
        The report that this one is compared with.
    options
        Whatever else decides; told apart by how it prints.
    """
    whole = hashlib.sha256()

    def add(*parts: object) -> None:
        whole.update(repr(parts).encode("utf-8", "surrogatepass"))

    for source in expand(books):
        add(source.name, source.book, _digest(source.path))
        beside = layout_beside(source.path) if layout is None else layout
        add(_digest(beside) if beside else "")
    add(_program(), *(_folder(folder) for folder in folders))
    add(_digest(earlier) if earlier else "", options)
    return whole.hexdigest()


def with_logo(inputs: str, named: str, logo: Picture | None) -> str:
    """Return a digest with the logo that the workbook names, found or not.

    The name stays readable in it: so one can look again for what it names without
    reading the workbook.
    """
    if not named:
        return inputs
    return f"{inputs} {logo.digest if logo else 'none'} {named}"


def stands(
    folder: Path, files: Iterable[str], inputs: str, books: Sequence[Path]
) -> bool:
    """Say whether all ``files`` stand in a folder, made from the same.

    ``inputs`` is the digest without the logo, as no workbook is read here.
    """
    known = manifest.read(folder)
    if known is None:
        return False
    before, _, logo = known.made_from.partition(" ")
    named = logo.partition(" ")[2]
    if before != inputs:
        return False
    now = with_logo(inputs, named, load_logo(named, folders_of(books))[0])
    return set(files) == set(manifest.unchanged(folder, now))


def folders_of(books: Sequence[Path]) -> list[Path]:
    """Return the folders that a logo may lie in."""
    return [book if book.is_dir() else book.parent for book in books]


def _digest(path: Path) -> str:
    """Return the SHA-256 of a file; what cannot be read says so when it is read."""
    try:
        if not path.is_file() or path.stat().st_size > _LARGEST:
            return ""  # a pipe or a device has no end, and neither is read later
        with path.open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except OSError:
        return ""


@cache
def _program() -> str:
    """Return the digest of the program and its tables: a version is not enough.

    Who changes a rule or a limit at home must not be given yesterday's sheets.
    """
    return _folder(_PACKAGE)


def _folder(folder: Path) -> str:
    whole = hashlib.sha256()
    for path in sorted(folder.rglob("*")):
        if path.is_file() and "__pycache__" not in path.parts:
            named = str(path.relative_to(folder)), _digest(path)
            whole.update(repr(named).encode("utf-8", "surrogatepass"))
    return whole.hexdigest()
