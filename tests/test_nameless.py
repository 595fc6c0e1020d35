"""Names are taken out wherever they stand, and nothing else is."""

import csv
import re
from dataclasses import fields, is_dataclass, replace
from datetime import date, timedelta
from importlib import import_module
from pathlib import Path

import pytest
from click.testing import CliRunner
from openpyxl import Workbook
from pypdf import PdfReader

from fleet import mentoring, nameless, pipeline, records
from fleet.cli import main
from fleet.nameless import Names
from fleet.records import (
    Book,
    CellAddress,
    Sentence,
    Settings,
    Tank,
    Work,
)
from fleet.reference import load_reference

ROOT = Path(__file__).resolve().parents[1]
CLUB = ROOT / "example_workbooks" / "club.xlsx"
SHOP = ROOT / "example_workbooks" / "shop.xlsx"
DAY = date(2026, 3, 29)
CELL = CellAddress("tanks.xlsx", "Tanks", 2, 1)


def texts(value):
    """Yield every text of a record; addresses and keys are never shown."""
    if isinstance(value, CellAddress):
        return
    if isinstance(value, str):
        yield value
    elif isinstance(value, Sentence):
        for _, of in value.facts:
            yield from texts(of)
    elif is_dataclass(value):
        for field in fields(value):
            if field.name != "key" and (type(value), field.name) != (Work, "tank"):
                yield from texts(getattr(value, field.name))
    elif isinstance(value, tuple):
        for part in value:
            yield from texts(part)


def skeleton(value):
    """Return a record with its texts emptied, but with its keys and its numbers."""
    if isinstance(value, str):
        return ""
    if isinstance(value, Sentence):
        return value.key, tuple(skeleton(of) for _, of in value.facts)
    if is_dataclass(value):
        return tuple(skeleton(getattr(value, field.name)) for field in fields(value))
    if isinstance(value, tuple):
        return tuple(map(skeleton, value))
    return value


def named_everywhere(book, name):
    """Return a book with a keeper's name in every text somebody wrote."""

    def signed(text):
        return f"{text}, {name}" if text else text

    def at(address):
        return address._replace(file=signed(address.file), sheet=signed(address.sheet))

    return replace(
        book,
        tanks=tuple(
            replace(
                tank, id=f"{tank.id} {name}", keeper=name, name=f"{name}'s",
                place=signed("Hall"), notes=signed("by the window"),
                group=signed(tank.group), source=at(tank.source),
                displays=(signed("left"),),
            )
            for tank in book.tanks
        ),
        readings=tuple(
            reading._replace(
                taken_by=name, notes=signed("seen"), source=at(reading.source),
                results=tuple(
                    r._replace(method=signed(r.method), source=at(r.source))
                    for r in reading.results
                ),
            )
            for reading in book.readings
        ),
        methods=tuple(replace(m, name=signed(m.name)) for m in book.methods),
        work=tuple(
            replace(done, done_by=name, notes=signed("done"),
                    substance=signed(done.substance), source=at(done.source))
            for done in book.work
        ),
        settings=replace(
            book.settings, organisation=f"{name}'s circle", contact=name,
            default_methods=tuple(
                (k, signed(m)) for k, m in book.settings.default_methods
            ),
        ),
        sources=tuple(replace(s, name=f"{name}_{s.name}") for s in book.sources),
    )  # fmt: skip


@pytest.fixture(scope="module")
def club():
    return pipeline.read([CLUB], load_reference())


@pytest.fixture(scope="module")
def shop():
    return pipeline.read([SHOP], load_reference())


@pytest.fixture(scope="module", params=["Orla Quimby", "Rock Sand", "Clear"])
def shown(request, club):
    """Return a name that stands in every text, and the view with it and without it."""
    book = named_everywhere(club, request.param)
    made, _ = mentoring.followed(book, load_reference(), DAY)
    return request.param, made, Names(book).out_of_progress(made)


def test_no_name_is_left_in_any_text(shown):
    name, made, nameless = shown
    assert sum(name in text for text in texts(made)) > 200
    for text in texts(nameless):
        assert name not in text
        if name == "Orla Quimby":  # parts of the others are words of the program
            assert "Orla" not in text
            assert "Quimby" not in text


def test_no_name_is_left_in_whatever_can_be_said_of_a_tank(shop):
    """A shop has nearly every situation there is, and so nearly every sentence."""
    book = named_everywhere(shop, "Orla Quimby")
    made, _ = mentoring.followed(book, load_reference(), date(2026, 3, 30))
    for text in texts(Names(book).out_of_progress(made)):
        assert "Quimby" not in text


def test_nothing_else_is_changed(shown):
    _, made, nameless = shown
    assert skeleton(replace(made, names=False)) == skeleton(nameless)


def test_public_words_stay_though_a_keeper_is_called_so(club):
    named = named_everywhere(club, "Mature Nitrate")
    made, _ = mentoring.followed(named, load_reference(), DAY)
    bare = Names(named).out_of_progress(made)
    for before, after in zip(made.groups, bare.groups, strict=True):
        for one, other in zip(before.members, after.members, strict=True):
            assert other.report.findings.stage.name == one.report.findings.stage.name
            found, same = one.report.findings.findings, other.report.findings.findings
            assert [f.parameter for f in found] == [f.parameter for f in same]
            assert other.report.plan.headline == one.report.plan.headline


def book_of(*tanks, work=(), **settings):
    return Book(
        tanks, (), (), work, (), (), Settings(**settings), (), (), (), ()
    )  # fmt: skip


def tank(id_, **facts):
    return Tank(id_, id_.casefold(), CELL, **facts)


def test_each_part_of_a_name_is_looked_for_as_a_whole_word():
    names = Names(book_of(tank("T1", keeper="Ada Lovage"), tank("T2", keeper="Bo")))
    assert names.out_of("ask ada, or Lovage; adamant") == "ask …, or …; adamant"
    assert names.out_of("Bo's sand from Bora Bora") == "…'s sand from Bora Bora"
    assert names.out_of("ada_tanks.xlsx") == "…_tanks.xlsx"


def test_helpers_count_as_well():
    done = Work(DAY, "t1", "seeding", CELL, done_by="Cyr Vane")
    names = Names(book_of(tank("T1"), work=(done,)))
    assert names.out_of("brown, says Vane") == "brown, says …"


def test_an_id_that_holds_a_name_becomes_an_unused_number(club):
    ids = {"M01": "Ada", "M02": "T1", "M03": "Bo-2"}
    keepers = {"M01": "Ada Lovage", "M03": "Bo"}
    tanks = tuple(
        replace(t, id=ids.get(t.id, t.id), keeper=keepers.get(t.id, ""))
        for t in club.tanks
    )
    book = replace(club, tanks=tanks)
    made, _ = mentoring.followed(book, load_reference(), DAY)
    bare = Names(book).out_of_progress(made)
    first = [m.report.tank for m in bare.groups[0].members[:3]]
    assert [t.id for t in first] == ["T2", "T1", "T3"]
    assert [t.key for t in first] == ["m01", "m02", "m03"]


def test_whose_sand_it_is_is_said_by_its_number_alone(shown):
    _, _, nameless = shown
    ids = {m.report.tank.id for group in nameless.groups for m in group.members}
    said = [s for visit in nameless.visits for s in visit.bring]
    sand = [dict(s.facts) for s in said if s.key == "progress.bring-sand"]
    assert sand
    assert {facts["keeper"] for facts in sand} == {""}
    assert {facts["tank"] for facts in sand} <= ids


# ------------------------------------------------------- whole runs, awkward names


def write(path, keepers):
    """Write a club whose tanks differ in their keepers' names only."""
    book = Workbook()
    book.remove(book.active)
    sheets = {
        "Tanks": [["Tank", "Volume (L)", "Filled on", "Livestock", "Group", "Keeper",
                   "Place", "Rock", "Fish"]],
        "Readings": [["Date", "Tank", "Nitrate (mg/L)", "Nitrate method",
                      "Phosphate (mg/L)", "Phosphate method", "Ammonia (mg/L)",
                      "Look", "Notes"]],
        "Methods": [["Method", "Measures", "Unit", "Lowest", "Step"]],
        "Work": [["Date", "Tank", "Work", "Substance", "Done by"]],
        "Settings": [["Setting", "Value"], ["Contact", keepers[0]]],
    }  # fmt: skip
    filled = date(2026, 1, 4)
    for number, keeper in enumerate(keepers, start=1):
        name, test = f"A{number}", f"{keeper}'s clear vial"
        seed = "live rock" if number % 2 else "bottled food"
        sheets["Methods"].append([test, "nitrate", "mg/L", 0.5, 0.5])
        sheets["Tanks"].append([name, 200, filled, "mixed coral", "Spring", keeper,
                                f"At {keeper}'s", "dry", 2])  # fmt: skip
        sheets["Work"].append(["2026-01-10", name, "seeding", seed, keeper])
        sheets["Work"].append(["2026-02-10", name, "dose", "sodium nitrate", keeper])
        for week in range(12):
            look = "brown film" if week % 2 else "clear"
            sheets["Readings"].append(
                [filled + timedelta(weeks=week, days=6), name, week / 2, test,
                 0.01 * week, "", max(0, 2 - week), look, f"{keeper}: clear sand"]
            )  # fmt: skip
    for title, rows in sheets.items():
        sheet = book.create_sheet(title)
        for row in rows:
            sheet.append(row)
    book.save(path)


def run(book, out, *more):
    asked = ["progress", str(book), "--as-of", "2026-03-29", "--out", str(out)]
    done = CliRunner().invoke(main, [*asked, "--letters", *more])
    assert done.exit_code == 0, done.output
    return done


AWKWARD = ["Rock Mills", "Sand", "Clear", "Brown Film", "Low", "Live"] * 2


@pytest.fixture(scope="module")
def runs(tmp_path_factory):
    home = tmp_path_factory.mktemp("awkward")
    write(home / "tanks.xlsx", AWKWARD)
    return {
        names: (run(home / "tanks.xlsx", home / names, *more), home / names)
        for names, more in (("with", ()), ("without", ("--no-names",)))
    }


def numbers(out):
    text = (out / "letters.csv").read_text("utf-8-sig")
    rows = list(csv.DictReader(text.splitlines()))
    columns = ("week", "stage", "next_test_on")
    return [[row[name] for name in columns] for row in rows]


def test_the_judgement_is_the_same_with_names_and_without(runs):
    (named, out), (bare, bare_out) = runs["with"], runs["without"]
    assert numbers(out) == numbers(bare_out)
    texts = [(named.stdout, bare.stdout)]
    for path in sorted(out.glob("letter-*.txt")):
        texts.append(
            (path.read_text("utf-8"), (bare_out / path.name).read_text("utf-8"))
        )
    assert len(texts) == 13
    for one, other in texts:
        assert re.findall(r"\d+", one) == re.findall(r"\d+", other)
    # Living rock went into every other tank, and that is no keeper's name.
    assert "6 tanks not seeded" in bare.stdout


def test_no_awkward_name_stands_in_any_file(runs):
    bare, out = runs["without"]
    found = {"terminal": bare.output}
    for path in out.iterdir():
        if path.suffix == ".pdf":
            pages = (page.extract_text() for page in PdfReader(path).pages)
            found[path.name] = " ".join(pages)
        else:
            found[path.name] = path.read_text("utf-8-sig")
    assert len(found) > 20
    for where, text in found.items():
        for name in AWKWARD:
            assert f"{name}'s" not in text, where
            assert f"{name}:" not in text, where
        for name in ("Mills", "Brown Film"):
            assert name not in text, where


def test_every_record_that_a_view_may_hold_is_looked_into():
    """One that is added to a module of records is not passed by."""
    folder = Path(records.__file__).parent
    for path in folder.glob("*.py"):
        if path.stem in ("__init__", "shops"):  # no view holds a shop
            continue
        module = import_module(f"fleet.records.{path.stem}")
        for kind in vars(module).values():
            if isinstance(kind, type) and kind.__module__ == module.__name__:
                assert kind in nameless._RECORDS.values(), kind
