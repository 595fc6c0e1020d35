"""The commands as a user types them, on the example workbooks."""

from __future__ import annotations

import hashlib
import json
import shlex
from pathlib import Path

import jsonschema
import pytest
from click.testing import CliRunner, Result

from fleet.cli import main
from fleet.records import ATTENTION_ORDER
from fleet.render import FORMATS

ROOT = Path(__file__).resolve().parents[1]
SHOP = ROOT / "example_workbooks" / "shop.xlsx"
DAY = ("--as-of", "2026-03-30")


def fleet(*arguments: object) -> Result:
    return CliRunner().invoke(main, [str(a) for a in arguments])


@pytest.fixture(scope="module")
def shop(tmp_path_factory):
    out = tmp_path_factory.mktemp("cli") / "shop"
    before = hashlib.sha256(SHOP.read_bytes()).digest()
    done = fleet("report", SHOP, *DAY, "--out", out)
    assert done.exit_code == 0, done.output
    assert hashlib.sha256(SHOP.read_bytes()).digest() == before
    return out, done


def test_report_makes_the_whole_folder(shop):
    out, done = shop
    assert {path.name for path in out.iterdir()} == {*FORMATS, "manifest.json"}
    assert "24 tanks" in done.stdout
    assert "Written to" in done.stderr
    assert "Written to" not in done.stdout


def test_report_json_keeps_to_its_schema(shop):
    schema = json.loads((ROOT / "fleet/data/report.schema.json").read_text("utf-8"))
    made = json.loads((shop[0] / "report.json").read_text("utf-8"))
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.Draft202012Validator(schema).validate(made)
    assert made["schema"] == "fleet-report/1"
    assert made["as_of"] == "2026-03-30"


@pytest.mark.parametrize(
    ("tank", "situation"),
    [
        ("A1", "steady"), ("A2", "mature-and-lean"),
        ("A3", "mature-flat-zero-looks-good"), ("A4", "mature-and-starving"),
        ("A5", "over"), ("A6", "falling"), ("A7", "rising"),
        ("B2", "dosed-and-nothing-seen"), ("B3", "dosed-and-over"),
        ("B4", "one-sided"), ("B5", "one-sided"), ("B6", "cannot-tell-phosphate"),
        ("C1", "zero-in-ugly-phase"), ("C2", "zero-after-cycle"), ("C3", "stripped"),
        ("C4", "trace-in-ugly-phase"), ("C5", "pests"), ("C6", "cycling"),
        ("Q1", "cycle-with-animals"), ("S1", "welfare"), ("D1", "stale"),
        ("D2", "half-tested"), ("D3", "swapped-or-typo"),
    ],
)  # fmt: skip
def test_shop_shows_each_situation_it_was_made_for(shop, tank, situation):
    made = json.loads((shop[0] / "report.json").read_text("utf-8"))
    (entry,) = [t for t in made["tanks"] if t["tank"] == tank]
    assert situation in entry["situations"]


def test_two_runs_give_the_same_bytes(shop, tmp_path):
    out = tmp_path / "again"
    assert fleet("report", SHOP, *DAY, "--out", out).exit_code == 0
    for name in FORMATS:
        assert (out / name).read_bytes() == (shop[0] / name).read_bytes(), name


def test_only_and_tank_and_format(tmp_path):
    out = tmp_path / "few"
    done = fleet(
        "report", SHOP, *DAY, "--out", out, "--only", "today", "--format", "csv",
        "--format", "report.json",
    )  # fmt: skip
    assert done.exit_code == 0
    assert {p.name for p in out.iterdir()} == {
        "summary.csv", "report.json", "manifest.json",
    }  # fmt: skip
    made = json.loads((out / "report.json").read_text("utf-8"))
    assert {t["attention"] for t in made["tanks"]} == {"today"}


def test_what_changed_since_last_week_is_said(tmp_path):
    earlier = tmp_path / "fleet-report-2026-03-23"
    assert (
        fleet("report", SHOP, "--as-of", "2026-03-23", "--out", earlier).exit_code == 0
    )
    done = fleet("report", SHOP, *DAY, "--out", tmp_path / "fleet-report-2026-03-30")
    assert "Since the report of Mon 23 Mar 2026" in done.stdout


CLUB = SHOP.with_name("club.xlsx")


def test_a_club_beside_a_shop_is_compared_with_the_club(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    for book, day in ((CLUB, "2026-03-16"), (SHOP, "2026-03-23")):
        assert fleet("report", book, "--as-of", day, "--format", "json").exit_code == 0
    done = fleet("report", CLUB, *DAY, "--format", "json")
    assert "Since the report of Mon 16 Mar 2026" in done.stdout


def test_no_report_of_another_workbook_is_replaced_unasked(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert fleet("report", SHOP, *DAY, "--format", "json").exit_code == 0
    kept = Path("fleet-report-2026-03-30/report.json").read_bytes()
    done = fleet("report", CLUB, *DAY, "--format", "json")
    assert done.exit_code == 3
    assert "holds the report of shop.xlsx" in done.stderr
    assert "--out" in done.stderr
    assert Path("fleet-report-2026-03-30/report.json").read_bytes() == kept
    assert fleet("report", SHOP, *DAY, "--format", "json").exit_code == 0


@pytest.mark.parametrize(
    ("arguments", "status", "says"),
    [
        (["report"], 2, "Missing argument"),
        (["report", "nothing.xlsx"], 3, "nothing.xlsx"),
        (["report", SHOP, "--as-of", "30.3.2026"], 2, "Write it as 2026-11-21"),
        (["report", SHOP, "--format", "docx"], 2, "docx"),
        (["report", SHOP, "--tank", "Z9"], 2, "Z9"),
        (["report", SHOP, "--out", SHOP.parent], 3, "example_workbooks"),
        (["explain", SHOP, "Z9"], 2, "Z9"),
        (["report", SHOP, "--earlier", "nothing"], 3, "no such report"),
        (["report", SHOP, "--layout", "nothing.toml"], 3, "nothing.toml"),
        (["check", SHOP, "--marked", "copy.csv"], 2, "end in .xlsx"),
        (["start"], 2, "my-tanks.xlsx"),
        (["start", SHOP], 2, "is there already"),
        (["start", "tanks.doc"], 2, ".xlsx"),
        (["dose", "KNO3", "--volume", "1,000", "--rise", "2"], 2, "1 or 1000"),
        (["dose", "KNO3", "--volume", "10", "--rise", "1,000"], 2, "1 or as 1000"),
        (["dose", "KNO3", "--volume", "10", "--rise", "much"], 2, "is no number"),
        (["dose", "KNO3", "--volume", "10", "--rise", "2000"], 2, "cannot be meant"),
        (["dose", "sugar", "--volume", "100", "--rise", "1"], 2, "sugar"),
    ],
)
def test_what_goes_wrong_is_one_clear_line(arguments, status, says):
    done = fleet(*arguments)
    assert done.exit_code == status, done.output
    assert says in done.stderr
    assert "Traceback" not in done.output


def test_a_decimal_comma_is_read_in_a_dose_by_hand():
    comma, point = (
        fleet("dose", "K2HPO4", "--volume", "400", "--rise", rise).stdout
        for rise in ("0,05", "0.05")
    )
    assert comma == point != ""


def test_a_file_that_may_not_be_read_is_no_wrong_usage(tmp_path, monkeypatch):
    def refused(*_, **__):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr("os.access", lambda *_, **__: False)
    monkeypatch.setattr(Path, "open", refused)
    done = fleet("check", SHOP)
    assert done.exit_code == 3
    assert "you may not read it" in done.stderr


def test_a_folder_that_may_not_be_looked_into_is_said(tmp_path, monkeypatch):
    def refused(self):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "iterdir", refused)
    done = fleet("check", tmp_path)
    assert done.exit_code == 3
    assert "cannot be looked into" in done.stderr


def test_marked_copy_is_said_to_be_written(tmp_path):
    done = fleet("check", SHOP, "--marked", tmp_path / "marked.xlsx")
    assert f"Written: {tmp_path / 'marked.xlsx'}" in done.stderr
    assert (tmp_path / "marked.xlsx").exists()


def test_workbook_with_nothing_to_judge(tmp_path):
    book = tmp_path / "blank.xlsx"
    assert fleet("start", book).exit_code == 0
    done = fleet("report", book, "--out", tmp_path / "out")
    assert done.exit_code == 1
    assert not (tmp_path / "out").exists()
    assert "no tank was found" in done.stderr


def test_one_bad_book_does_not_stop_the_others(tmp_path):
    bad = tmp_path / "bad.xlsx"
    bad.write_bytes(b"no workbook at all")
    out = tmp_path / "out"
    done = fleet("report", SHOP, bad, *DAY, "--out", out, "--format", "json")
    assert done.exit_code == 0
    assert "bad.xlsx" in done.stderr
    made = json.loads((out / "report.json").read_text("utf-8"))
    assert len(made["tanks"]) == 24
    (unread,) = (p for p in made["problems"] if p["file"] == "bad.xlsx")
    assert "not a workbook" in unread["message"]
    alone = fleet("report", bad, "--out", tmp_path / "none")
    assert alone.exit_code == 3


def test_check_lists_by_cell_and_says_so_by_its_status():
    done = fleet("check", SHOP)
    assert done.exit_code == 1
    assert "HOW THE COLUMNS WERE UNDERSTOOD" in done.stdout
    assert "left out" in done.stdout
    rows, used, left = 0, 0, 0
    for line in done.stdout.splitlines():
        if " rows used, " in line:
            words = line.replace(",", "").split()
            used, rows, left = int(words[0]), int(words[2]), int(words[5])
    assert rows > 0
    assert rows == used + left
    # Every row left out is named by a cell, also the one dated in the future.
    listed = done.stdout.partition("ROWS LEFT OUT")[2].partition("VALUES LEFT OUT")[0]
    cells = [line.split()[-1] for line in listed.splitlines() if " · " in line]
    assert cells == ["A275", "A312", "B337", "B338"]
    assert left == len(cells)


def test_readings_of_the_future_alone_judge_nothing(tmp_path):
    (tmp_path / "Tanks.csv").write_text("Tank,Volume (L)\nA1,200\n", "utf-8")
    rows = "Date,Tank,Nitrate (mg/L)\n2026-04-02,A1,5\n"
    (tmp_path / "Readings.csv").write_text(rows, "utf-8")
    done = fleet("report", tmp_path, *DAY, "--out", tmp_path / "out")
    assert done.exit_code == 1
    assert "dated after 2026-03-30" in done.stderr
    assert not (tmp_path / "out").exists()


def test_tanks_there_are_are_not_said_to_be_five_of_twenty_four():
    done = fleet("report", SHOP, "--tank", "zz")
    assert "'A5' and 19 more." in done.stderr


def test_next_round_can_be_judged(tmp_path):
    book = tmp_path / "next.xlsx"
    assert fleet("start", book, "--from", SHOP).exit_code == 0
    done = fleet("report", book, *DAY, "--out", tmp_path / "o", "--format", "json")
    assert done.exit_code == 0, done.output
    made = json.loads((tmp_path / "o" / "report.json").read_text("utf-8"))
    assert len(made["tanks"]) == 24


def test_help_of_only_names_what_may_be_asked_for():
    said = " ".join(fleet("report", "--help").stdout.split())
    for attention in ATTENTION_ORDER:
        asked = f"'{attention}'" if " " in attention else attention
        assert asked in said
    done = fleet("report", SHOP, "--only", "tomorrow")
    assert done.exit_code == 2
    assert "'this week'" in done.stderr


@pytest.mark.parametrize("name", sorted(main.commands))
def test_every_command_has_help_and_stands_in_the_readme(name):
    done = fleet(name, "--help")
    assert done.exit_code == 0
    examples = [line.strip() for line in done.stdout.splitlines() if "fleet " in line]
    assert any(shlex.split(line)[:2] == ["fleet", name] for line in examples)
    assert f"`fleet {name} " in (ROOT / "README.md").read_text("utf-8")


def test_no_color_and_a_pipe_leave_no_escape_codes(shop):
    assert "\x1b" not in shop[1].output
