"""The example workbooks opened and saved by an office program lose nothing."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import pytest
from openpyxl import load_workbook

from fleet.read.books import read_books
from fleet.records import Book
from fleet.reference import load_reference

EXAMPLES = Path(__file__).resolve().parents[2] / "example_workbooks"
OFFICE = shutil.which("soffice") or shutil.which("libreoffice")
REFERENCE = load_reference()

pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(OFFICE is None, reason="needs LibreOffice: libreoffice-calc"),
]


def saved(path: Path, ending: str, folder: Path) -> Path:
    """Return a copy of ``path`` opened and saved by the office program."""
    done = subprocess.run(
        [
            str(OFFICE), "--headless", f"-env:UserInstallation=file://{folder}/profile",
            "--convert-to", ending, "--outdir", str(folder), str(path),
        ],
        capture_output=True, text=True, timeout=180,
    )  # fmt: skip
    made = folder / f"{path.stem}.{ending}"
    assert made.is_file(), done.stdout + done.stderr
    return made


def content(book: Book) -> dict[str, object]:
    """Return what was read, without where it stood."""
    return {
        "tanks": [
            (t.id, t.name, t.place, t.keeper, t.volume_l, t.livestock, t.rock,
             t.rock_kg, t.filled_on, t.cycled_on, t.equipment, t.fish, t.feed_g_day,
             t.protein, t.notes, t.round_order)
            for t in book.tanks
        ],
        "readings": [
            (r.tank, r.taken_on, r.taken_by, r.looks, r.notes,
             tuple((x.parameter, x.form, x.number, x.upper, x.unit, x.method)
                   for x in r.results))
            for r in book.readings
        ],
        "work": [
            (w.on, w.tank, w.work, w.substance, w.amount, w.unit, w.notes)
            for w in book.work
        ],
        "methods": [
            (m.name, m.measures, m.kind, m.lowest, m.step, m.accuracy, m.highest)
            for m in book.methods
        ],
        "shelf": [(s.substance, s.purity, s.on_hand_g) for s in book.shelf],
        "settings": book.settings,
        "problems": sorted(
            (p.kind, p.where.sheet, p.where.cell, p.effect) for p in book.problems
        ),
    }  # fmt: skip


@pytest.mark.parametrize("ending", ["xlsx", "ods"])
@pytest.mark.parametrize("name", ["shop.xlsx", "club.xlsx"])
def test_saved_copy_reads_the_same(name, ending, tmp_path):
    path = EXAMPLES / name
    copy = saved(path, ending, tmp_path)
    before = content(read_books([path], REFERENCE))
    after = content(read_books([copy], REFERENCE))
    for part, expected in before.items():
        assert after[part] == expected, part


def test_rows_filled_in_and_saved_are_read(tmp_path):
    filled = tmp_path / "filled.xlsx"
    book = load_workbook(EXAMPLES / "shop.xlsx")
    sheet = book["Readings"]
    heads = {
        cell.value: cell.column
        for row in sheet.iter_rows(max_row=4)
        for cell in row
        if cell.value
    }
    row = sheet.max_row + 1
    for head, value in (
        ("Date", "2026-03-30"), ("Tank", "A1"), ("Nitrate (mg/L)", "7,5"),
        ("Phosphate (mg/L)", "<0.03"),
    ):  # fmt: skip
        sheet.cell(row, heads[head]).value = value
    book.save(filled)
    copy = saved(filled, "ods", tmp_path)
    old = read_books([EXAMPLES / "shop.xlsx"], REFERENCE).readings
    new = read_books([copy], REFERENCE).readings
    assert len(new) == len(old) + 1
    (added,) = [r for r in new if r.source.row == row]
    got = {x.parameter: (x.form, x.number) for x in added.results}
    assert got == {"nitrate": ("value", 7.5), "phosphate": ("below", 0.03)}
