"""The form people fill in, as data: its sheets, columns, lists and words."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from importlib.resources import files
from pathlib import Path
from typing import Any

from fleet.errors import DataTableError
from fleet.reference import Reference
from fleet.render.wording import shipped_templates


@dataclass(frozen=True, slots=True)
class Column:
    """One column of the form, or the value cell of one setting."""

    key: str
    header: str
    kind: str  # id, text, day, number, whole, result, choice, choices
    width: float = 12
    required: bool = False
    list: str = ""
    least: float | None = None
    most: float | None = None


@dataclass(frozen=True, slots=True)
class FormSheet:
    """One sheet of the form; ``rows`` is how many the helps reach down to."""

    name: str
    rows: int
    columns: tuple[Column, ...]

    def place(self, key: str) -> int:
        """Return the column number of ``key``, counted from 1."""
        return 1 + [column.key for column in self.columns].index(key)


@dataclass(frozen=True, slots=True)
class Form:
    """The whole form, in one system of units and one language."""

    sheets: tuple[FormSheet, ...]
    settings: tuple[Column, ...]
    lists: dict[str, tuple[str, ...]]
    words: dict[str, Any]  # templates/form.toml

    def sheet(self, name: str) -> FormSheet:
        """Return the sheet called ``name``."""
        return next(sheet for sheet in self.sheets if sheet.name == name)

    def note(self, sheet: str, key: str) -> str:
        """Return what a column is for."""
        if key.startswith("before-"):
            return str(self.words["next"]["note"])
        return str(self.words["column"][sheet][key])


def load_form(
    reference: Reference, units: str = "metric", own: Path | None = None
) -> Form:
    """Return the form for ``units``; ``own`` is a folder of the user's wording.

    Raises
    ------
    DataTableError
        ``form.toml`` (the table or the wording) does not hold what it must.
    """
    table = tomllib.loads((files("fleet") / "data" / "form.toml").read_text("utf-8"))
    us = units == "US"
    sheets = tuple(
        FormSheet(
            entry["name"],
            entry["rows"],
            tuple(_column(column, us) for column in entry["column"]),
        )
        for entry in table["sheet"]
    )
    settings = tuple(
        Column(
            entry["key"], entry["label"], entry["kind"], list=entry.get("list", ""),
            least=entry.get("least"), most=entry.get("most"),
        )
        for entry in table["setting"]
    )  # fmt: skip
    form = Form(sheets, settings, _lists(table, reference, sheets), form_words(own))
    for sheet in sheets:
        for column in sheet.columns:
            if column.key not in form.words["column"].get(sheet.name, {}):
                raise DataTableError(
                    f"templates/form.toml [column.{sheet.name}]: no {column.key}"
                )
    return form


def _lists(
    table: dict[str, Any], reference: Reference, sheets: tuple[FormSheet, ...]
) -> dict[str, tuple[str, ...]]:
    """Return the words of every list a cell offers, save those of the workbook."""
    words = {kind: tuple(of) for kind, of in reference.vocabulary.items()}
    words |= {name: tuple(of) for name, of in table["lists"].items()}
    words["measures"] = tuple(reference.parameters)
    words["substances"] = tuple(
        salt.spellings[0] for salt in reference.salts.values() if salt.dose
    )
    used = [column.list for sheet in sheets for column in sheet.columns]
    used += [entry.get("list", "") for entry in table["setting"]]
    return {name: words[name] for name in dict.fromkeys(used) if name in words}


def _column(entry: dict[str, Any], us: bool) -> Column:
    plain = {key: value for key, value in entry.items() if not key.startswith("us_")}
    if us:
        plain |= {k.removeprefix("us_"): v for k, v in entry.items() if k[:3] == "us_"}
    return Column(**plain)


def form_words(own: Path | None = None) -> dict[str, Any]:
    """Return the wording of the form; a user's own file wins, word by word."""
    words: dict[str, Any] = {}
    for folder in (shipped_templates(), own):
        path = folder / "form.toml" if folder else None
        if path is None or not path.is_file():
            continue
        try:
            _merge(words, tomllib.loads(path.read_text("utf-8")))
        except (tomllib.TOMLDecodeError, UnicodeDecodeError) as err:
            raise DataTableError(f"{path}: {err}") from err
    return words


def _merge(into: dict[str, Any], table: dict[str, Any]) -> None:
    for key, value in table.items():
        if isinstance(value, dict) and isinstance(into.get(key), dict):
            _merge(into[key], value)
        else:
            into[key] = value
