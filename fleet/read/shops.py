"""The workbooks of many shops: from folders, patterns and lists of them."""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from glob import has_magic
from pathlib import Path

from fleet.errors import UnreadableError, UsageError
from fleet.read.sources import CSV_FILES, WORKBOOKS

_REPORT = b'"schema": "fleet-manifest/'


def workbooks_of(named: Sequence[Path]) -> list[Path]:
    """Return each workbook that ``named`` stands for, once, as a whole path.

    A folder stands for all workbooks in it and below, a pattern such as
    ``shops/*/tanks.xlsx`` for what it fits, ``@list.txt`` for what the lines of that
    file name. The .csv files of one folder are one workbook. What Fleet wrote itself
    is not looked into.

    Raises
    ------
    UsageError
        A pattern or a folder gives no workbook.
    UnreadableError
        A list cannot be read.
    """
    found = [path.resolve() for name in named for path in _one(os.fspath(name))]
    return list(dict.fromkeys(found))


def _one(name: str, home: Path | None = None) -> list[Path]:
    """Return what one name stands for, seen from the folder of the list it is in."""
    path = Path(name) if home is None else home / name
    if not path.exists() and name.startswith("@"):
        return list(_listed(Path(name[1:]) if home is None else home / name[1:]))
    if path.is_dir():
        inside = list(_inside(path))
        if not inside:
            raise UsageError(f"{name}: no workbook lies in this folder or below it.")
        return inside
    if not path.exists() and has_magic(name):
        fits = sorted(Path(path.anchor).glob(os.fspath(path.relative_to(path.anchor))))
        if not fits:
            raise UsageError(f"{name}: no file fits this pattern.")
        return [each for fit in fits for each in _fitting(fit)]
    return [path]


def _fitting(path: Path) -> list[Path]:
    return list(_inside(path)) if path.is_dir() else [path]


def _listed(path: Path) -> Iterator[Path]:
    try:
        lines = path.read_text("utf-8-sig").splitlines()
    except (OSError, UnicodeDecodeError) as err:
        raise UnreadableError(f"{path}: the list cannot be read as text.") from err
    for line in lines:
        name = line.strip()
        if name and not name.startswith("#"):
            yield from _one(name, path.parent)


def _inside(folder: Path) -> Iterator[Path]:
    """Yield the workbooks of a folder and of those below it, in order of name."""
    if _is_report(folder):
        return
    try:
        inside = sorted(folder.iterdir())
    except OSError:  # one folder that may not be looked into hides no other
        return
    seen = [path for path in inside if not path.name.startswith((".", "~$"))]
    files = [path for path in seen if path.is_file()]
    books = [path for path in files if path.suffix.lower() in WORKBOOKS]
    yield from books
    # A folder is read whole, so one that holds both stands for each workbook alone,
    # and its .csv files are left to whoever names them.
    if not books and any(path.suffix.lower() in CSV_FILES for path in files):
        yield folder
    for path in seen:
        if path.is_dir() and not path.is_symlink():
            yield from _inside(path)


def _is_report(folder: Path) -> bool:
    """Say whether a folder was written by a report."""
    try:
        with (folder / "manifest.json").open("rb") as file:
            return _REPORT in file.read(200)
    except OSError:
        return False
