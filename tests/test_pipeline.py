"""Which tank is meant, however its id is typed."""

import unicodedata

import pytest

from fleet.errors import UsageError
from fleet.pipeline import inputs_of, read
from fleet.reference import load_reference


@pytest.fixture
def book(tmp_path):
    rows = "Tank,Volume (L)\nÄrmel 1,200\nB2,300\n"
    (tmp_path / "Tanks.csv").write_text(rows, "utf-8")
    return read([tmp_path], load_reference())


@pytest.mark.parametrize(
    "typed",
    [
        "Ärmel 1",
        unicodedata.normalize("NFD", "Ärmel 1"),  # as some keyboards and disks give it
        " ärmel  1 ",
        "Ärmel\u00a01",
    ],
)
def test_one_tank_is_found_however_its_id_is_typed(book, typed):
    (entry,) = inputs_of(book, [typed])
    assert entry.tank.id == "Ärmel 1"


def test_what_is_no_tank_is_said_with_what_there_is(book):
    with pytest.raises(UsageError) as told:
        inputs_of(book, ["B 2"])
    assert str(told.value) == "No tank is called 'B 2'. Did you mean 'B2'?"


def test_several_tanks_may_be_asked_for(book):
    assert [entry.tank.id for entry in inputs_of(book, ["b2", "ärmel 1"])] == [
        "Ärmel 1", "B2",
    ]  # fmt: skip
    with pytest.raises(UsageError, match="'C3'"):
        inputs_of(book, ["b2", "C3"])
