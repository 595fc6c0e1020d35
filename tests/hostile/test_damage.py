"""Damage of any kind: a workbook is refused, or says what it said before."""

import datetime as dt
import random
import re

import pytest
from made_files import LAST, READINGS, changed, xlsx
from made_others import ods

from fleet.errors import UnreadableError
from fleet.read.books import read_books
from fleet.read.open import sheets_of
from fleet.read.table import language_of
from fleet.reference import load_reference

REFERENCE = load_reference()
KNOWN = language_of(REFERENCE).headers.known
GOOD = {"xlsx": xlsx(), "ods": ods()}


def said(data, path):
    """Return all that a file says, or None where it is refused."""
    try:
        sheets = sheets_of("book", path, data, KNOWN)
    except UnreadableError as err:
        assert str(err).startswith("book: ")
        assert "\n" not in str(err)
        return None
    return [
        (s.name, s.rows, s.merged, s.hidden, s.hidden_rows, s.date1904, s.problems)
        for s in sheets
    ]


class Trial:
    """Counts what damaged copies of one file say; another value is a failure."""

    def __init__(self, kind, path):
        self.good, self.path = GOOD[kind], path / f"book.{kind}"
        self.truth = said(self.good, self.path)
        self.refused = self.same = 0
        assert self.truth is not None

    def of(self, data, how):
        found = said(data, self.path)
        assert found in (None, self.truth), how
        self.refused += found is None
        self.same += found is not None


def damaged(good, chance):
    """Return a copy damaged in one of the ways that files are, and how."""
    data, at = bytearray(good), chance.randrange(len(good))
    way = chance.randrange(8)
    if way == 0:
        data[at] ^= 1 << chance.randrange(8)
    elif way == 1:
        data[at] = chance.randrange(256)
    elif way == 2:
        del data[at : at + chance.randrange(1, 64)]
    elif way == 3:
        data[at:at] = chance.randbytes(chance.randrange(1, 64))
    elif way == 4:
        del data[at:]
    elif way == 5:  # a sector of a disk that is gone
        data[at : at + 512] = bytes(len(data[at : at + 512]))
    elif way == 6:  # two sectors in the wrong order
        other = chance.randrange(len(good))
        one, two = data[at : at + 128], data[other : other + 128]
        data[at : at + len(two)], data[other : other + len(one)] = two, one
    else:
        for _ in range(chance.randrange(2, 20)):
            data[chance.randrange(len(data))] = chance.randrange(256)
    return bytes(data), (way, at)


def try_many(trial, times, seed):
    chance = random.Random(seed)
    for number in range(times):
        data, how = damaged(trial.good, chance)
        trial.of(data, (seed, number, *how))
    # A test that were to damage nothing, or only what does not matter, shows nothing.
    assert trial.refused > times / 2
    assert trial.same > 0


@pytest.mark.parametrize("kind", GOOD)
def test_damaged_workbook_never_says_another_value(kind, tmp_path):
    try_many(Trial(kind, tmp_path), 1000, seed=3)


@pytest.mark.slow
@pytest.mark.parametrize("kind", GOOD)
def test_ten_thousand_damaged_workbooks_say_no_other_value(kind, tmp_path):
    trial = Trial(kind, tmp_path)
    try_many(trial, 10_000, seed=4)
    print(f"{kind}: {trial.refused} refused, {trial.same} the same")


def frame_of(data):
    """Return the places of all bytes that tell where the parts of a zip lie."""
    places = set()
    for found in re.finditer(rb"PK\x03\x04", data):
        name = int.from_bytes(data[found.start() + 26 : found.start() + 28], "little")
        places |= set(range(found.start(), found.start() + 30 + name))
    return sorted(places | set(range(data.index(b"PK\x01\x02"), len(data))))


@pytest.mark.parametrize("kind", GOOD)
def test_one_bit_of_the_zip_itself_changes_no_value(kind, tmp_path):
    trial = Trial(kind, tmp_path)
    places = [(at, bit) for at in frame_of(trial.good) for bit in range(8)]
    for at, bit in random.Random(5).sample(places, 200):
        data = bytearray(trial.good)
        data[at] ^= 1 << bit
        trial.of(bytes(data), (at, bit))
    assert trial.refused > 20


@pytest.mark.slow
@pytest.mark.parametrize("kind", GOOD)
def test_no_bit_of_the_zip_itself_changes_a_value(kind, tmp_path):
    trial = Trial(kind, tmp_path)
    for at in frame_of(trial.good):
        for bit in range(8):
            data = bytearray(trial.good)
            data[at] ^= 1 << bit
            trial.of(bytes(data), (at, bit))
    print(f"{kind}: {trial.refused} refused, {trial.same} the same")


# ------------------------------------------------- rows read and rows left out

ROWS = {
    "read": lambda n: [dt.date(2026, 1, 1) + dt.timedelta(n % 80), "A2", "", 4 + n % 3],
    "no date": lambda n: ["", "A2", "", 4],
    "bad date": lambda n: [f"3{n % 9}/99", "A2", "", 4],
    "no tank": lambda n: [LAST, "", "", 4],
    "unknown tank": lambda n: [LAST, f"X{n}", "", 4],
    "bad value": lambda n: [LAST, "A2", "", f"no {n}"],
    "no value": lambda n: [LAST, "A2", "Ben"],
    "header": lambda n: ["Date", "Tank", "Taken by", "Nitrate (mg/L)"],
    "blank": lambda n: ["", "", "", ""],
    "spaces": lambda n: ["  ", "\u00a0", "", " "],
    "far": lambda n: [None] * 12 + [f"note {n}"],
}


@pytest.mark.parametrize("seed", range(8))
def test_rows_read_and_left_out_are_all_the_rows_there_are(seed, tmp_path):
    chance = random.Random(seed)
    kinds = chance.choices(list(ROWS), k=60)
    rows = [ROWS[kind](number) for number, kind in enumerate(kinds)]
    path = tmp_path / "book.xlsx"
    path.write_bytes(xlsx(changed("Readings", (*READINGS, *rows))))
    book = read_books([path], REFERENCE)
    (count,) = (c for c in book.counts if c.sheet == "Readings")
    filled = sum(kind not in ("blank", "spaces") for kind in kinds)
    assert count.rows == filled + len(READINGS) - 1
    assert count.rows == count.read + count.left_out
    # Each row left out is named, alone or with others like it.
    named = [p for p in book.problems if p.effect == "row left out"]
    alone = [p for p in named if p.kind != "rows-without-values"]
    (blank,) = [p for p in named if p.kind == "rows-without-values"] or [None]
    together = int(re.search(r"(\d+) rows?", blank.message)[1]) if blank else 0
    assert len({p.where.row for p in alone}) + together == count.left_out
