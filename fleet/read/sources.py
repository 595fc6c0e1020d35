"""The files to read: single workbooks, folders of them, folders of .csv sheets."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from fleet.spelling import visible

WORKBOOKS = (".xlsx", ".xlsm", ".xltx", ".xltm", ".ods")
CSV_FILES = (".csv", ".tsv")
# Not read, but somebody who puts one into a folder must be told so.
OLD_WORKBOOKS = (".xls", ".xlsb", ".numbers", ".fods")
LAYOUT = ".layout.toml"
FOLDER_LAYOUT = "fleet-layout.toml"


@dataclass(frozen=True, slots=True)
class Source:
    """One file, and the workbook it is a part of."""

    path: Path
    name: str  # as shown: the file name, with its folder where two are alike
    book: str  # the .csv files of a folder are the sheets of one workbook
    missing: str = ""  # why there is nothing to read


def expand(paths: Sequence[Path]) -> list[Source]:
    """Return the files that ``paths`` name, folders looked into, in order."""
    found: list[tuple[Path, Path, str]] = []  # file, workbook, why not
    for path in paths:
        if not path.is_dir():
            found.append((path, path, ""))
            continue
        try:
            inside = sorted(p for p in path.iterdir() if p.is_file() and not _skip(p))
        except OSError as err:
            found.append((path, path, f"it cannot be looked into ({err.strerror})."))
            continue
        books = [p for p in inside if p.suffix.lower() in WORKBOOKS + OLD_WORKBOOKS]
        sheets = [p for p in inside if p.suffix.lower() in CSV_FILES]
        found += [(p, p, "") for p in books] + [(p, path, "") for p in sheets]
        if not books and not sheets:
            found.append((path, path, "the folder holds no workbook and no .csv file."))
    unique = list(
        {file.resolve(): entry for entry in found for file in entry[:1]}.values()
    )
    names = _names([file for file, _, _ in unique])
    books_named = _names(list(dict.fromkeys(book for _, book, _ in unique)))
    return [
        Source(file, names[file], books_named[book], why) for file, book, why in unique
    ]


def _skip(path: Path) -> bool:
    """Say whether a file of a folder is a lock file or hidden."""
    return path.name.startswith(("~$", ".", "._"))


def _names(paths: Iterable[Path]) -> dict[Path, str]:
    """Return how each path is shown: one line, and no two the same."""
    every = list(paths)
    plain = {path: one_line(path.name) for path in every}
    alike = Counter(name.casefold() for name in plain.values())
    taken: set[str] = set()
    for path, name in plain.items():
        if alike[name.casefold()] > 1:
            name = f"{one_line(path.resolve().parent.name)}/{name}"
        unlike, number = name, 2
        while unlike.casefold() in taken:
            unlike, number = f"{name} ({number})", number + 1
        taken.add(unlike.casefold())
        plain[path] = unlike
    return plain


def one_line(name: str) -> str:
    """Return a file name without what steers a terminal or hides."""
    return " ".join(visible(name).split()) or "(a name that cannot be shown)"


def layout_beside(path: Path) -> Path | None:
    """Return the layout file of a workbook or .csv file, if one lies beside it."""
    for candidate in (
        path.parent / f"{path.stem}{LAYOUT}",
        path.parent / FOLDER_LAYOUT,
        path.parent.parent / f"{path.parent.name}{LAYOUT}",
    ):
        if candidate.is_file():
            return candidate
    return None
