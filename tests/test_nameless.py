"""Names are taken out wherever they stand, and nothing else is."""

from dataclasses import fields, is_dataclass
from datetime import date

from fleet.nameless import Names
from fleet.records import (
    Book,
    CellAddress,
    Method,
    Reading,
    Result,
    Settings,
    SourceFile,
    Tank,
    Work,
)

CELL = CellAddress("ada_tanks.xlsx", "Tanks", 2, 1)
DAY = date(2026, 3, 1)


def tank(id_, **facts):
    return Tank(id_, id_.casefold(), CELL, **facts)


def result(method):
    return Result("nitrate", "5", "value", 5.0, None, "mg/L", method, CELL)


BOOK = Book(
    tanks=(
        tank("Ada", keeper="Ada Lovage", name="Ada's cube", group="Spring, with Ada"),
        tank("T1", keeper="Bo", place="At Ada Lovage's", notes="ask ada"),
        tank("Bo-2", keeper="Bo", displays=("Bo's left", "Right")),
    ),
    readings=(
        Reading("ada", DAY, (result("Ada's photometer"),), CELL, taken_by="Cyr Vane",
                look_written="brown, says Vane", notes="Bora Bora sand"),
    ),
    methods=(Method("Ada's photometer", "nitrate", "meter", 1, 1, 1, None, 75),),
    work=(
        Work(DAY, "t1", "seeding", CELL, "sand from Ada's tank", done_by="Bo",
             notes="adamant"),
    ),
    bands=(), shelf=(),
    settings=Settings(
        organisation="Harbour Circle", contact="Cyr Vane, 0123",
        default_methods=(("nitrate", "Ada's photometer"),),
    ),
    problems=(), counts=(), columns=(),
    sources=(SourceFile("ada_tanks.xlsx", "0" * 64),),
)  # fmt: skip


def texts(value):
    """Yield every text a record shows; addresses and keys are never shown."""
    if isinstance(value, CellAddress):
        return
    if isinstance(value, str):
        yield value
    elif isinstance(value, tuple):
        for part in value:
            yield from texts(part)
    elif is_dataclass(value):
        for field in fields(value):
            if field.name not in ("key", "tank", "source"):
                yield from texts(getattr(value, field.name))


def test_no_name_is_left_in_any_text():
    shown = " | ".join(texts(Names(BOOK).out_of_book(BOOK)))
    for name in ("Ada", "Lovage", "Vane", "Cyr"):
        assert name not in shown.replace("adamant", "")
    assert "ada_" not in shown


def test_longer_words_that_begin_like_a_name_stay():
    book = Names(BOOK).out_of_book(BOOK)
    assert book.readings[0].notes == "Bora Bora sand"
    assert book.work[0].notes == "adamant"


def test_an_id_that_holds_a_name_becomes_an_unused_number():
    book = Names(BOOK).out_of_book(BOOK)
    assert [tank.id for tank in book.tanks] == ["T2", "T1", "T3"]
    assert [tank.key for tank in book.tanks] == [tank.key for tank in BOOK.tanks]


def test_a_reading_still_finds_its_method():
    book = Names(BOOK).out_of_book(BOOK)
    assert book.readings[0].results[0].method == book.methods[0].name
    assert book.settings.default_methods == (("nitrate", book.methods[0].name),)


def test_without_names_in_the_workbook_nothing_changes():
    bare = Book(
        (tank("A1", place="Hall"),), (), (), (), (), (), Settings(), (), (), (), ()
    )
    assert Names(bare).out_of_book(bare) == bare
