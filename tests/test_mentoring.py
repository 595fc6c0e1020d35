"""``fleet progress`` on the club of the examples, as a mentor would run it."""

import csv
import re
from contextlib import closing
from pathlib import Path

import pytest
from click.testing import CliRunner
from openpyxl import Workbook, load_workbook
from pypdf import PdfReader

from fleet.cli import main

ROOT = Path(__file__).resolve().parents[1]
CLUB = ROOT / "example_workbooks" / "club.xlsx"
SMALL = ROOT / "example_workbooks" / "small-intake"
DAY = "2026-03-29"
KINDS = ("pdf", "html", "txt")


def run(folder, *args, book=CLUB):
    out = folder / "out"
    asked = ["progress", str(book), "--as-of", DAY, "--out", str(out), *args]
    return CliRunner().invoke(main, asked), out


def words_of(path):
    if path.suffix == ".pdf":
        return "\n".join(page.extract_text() for page in PdfReader(path).pages)
    return path.read_text("utf-8-sig")


@pytest.fixture(scope="module")
def club(tmp_path_factory):
    return run(tmp_path_factory.mktemp("club"), "--letters")


@pytest.fixture(scope="module")
def nameless(tmp_path_factory):
    return run(tmp_path_factory.mktemp("nameless"), "--letters", "--no-names")


@pytest.fixture(scope="module")
def members():
    """Tank -> keeper and group, as the workbook has them."""
    with closing(load_workbook(CLUB, read_only=True)) as book:
        head, *rows = book["Tanks"].iter_rows(values_only=True)
    named = (dict(zip(head, row, strict=True)) for row in rows)
    return {row["Tank"]: (row["Keeper"], row["Group"]) for row in named if row["Tank"]}


def holds(word, text):
    return re.search(rf"(?<!\w){re.escape(word)}(?!\w)", text) is not None


def test_the_whole_set_is_written(club, members):
    result, out = club
    assert result.exit_code == 0
    letters = {f"letter-{tank}.{kind}" for tank in members for kind in KINDS}
    assert {path.name for path in out.iterdir()} == {
        "progress.pdf", "intake.pdf", "letters.csv", "manifest.json", *letters,
    }  # fmt: skip
    assert f"Written to {out}" in result.stderr


def test_terminal_says_who_is_where_and_who_needs_a_visit(club, members):
    text = club[0].stdout
    for tank, (keeper, group) in members.items():
        assert holds(tank, text)
        assert holds(keeper, text)
        assert group in text
    assert "Who needs you first, and why" in text
    assert "What is usual here" in text
    # M09 and M14 stop sending in the story of the example.
    silent = text.split("Who has not sent readings")[1].split("Who may skip")[0]
    assert holds("M09", silent)
    assert holds("M14", silent)


def test_stalled_and_never_begun_cycles_are_named_for_a_visit(club):
    visits = club[0].stdout.split("Who needs you first")[1].split("Who has not")[0]
    mine = {
        tank: " ".join(re.split(r"\n\d+\. ", visits.split(f" {tank}, ")[1])[0].split())
        for tank in ("M15", "M16")
    }
    assert "ammonia risen and gone" in mine["M15"]
    assert "ammonia risen and gone" in mine["M16"]
    assert "a cup of sand from" in mine["M16"]
    assert "cured rubble" in mine["M16"]
    # Nothing was ever fed in M15: first ammonia, by which its filter can be tested,
    # and no sand yet that would eat it.
    assert "ammonium bicarbonate solution" in mine["M15"]
    assert "a cup of sand from" not in mine["M15"]


def test_mentors_pages_hold_every_tank_and_what_is_usual(club, members):
    text = words_of(club[1] / "progress.pdf")
    for tank, (keeper, _) in members.items():
        assert holds(tank, text)
        assert holds(keeper, text)
    for heading in (
        "Mentor's round",
        "Autumn intake",
        "New Year intake",
        "What is usual",
    ):
        assert heading in text


def test_who_has_kept_the_band_may_skip_weekly_tests(club):
    eased = club[0].stdout.split("Who may skip")[1].split("What is usual")[0]
    assert holds("M11", eased)


def test_what_doses_did_is_pooled_over_the_members(club):
    text = " ".join(words_of(club[1] / "intake.pdf").split())
    # Seven members dosed nitrate in the story of the example.
    assert "in 7 tanks: in the middle tank" in text.replace("\u00a0", " ")


def test_committees_page_names_nobody(club, members):
    text = words_of(club[1] / "intake.pdf")
    for tank, (keeper, _) in members.items():
        assert not holds(tank, text)
        assert not holds(keeper, text)
    for heading in ("Tanks by stage", "Readings received", "Both nutrients in band",
                    "What worked", "Tests in use"):  # fmt: skip
        assert heading in text
    # Seven members of the example test phosphate with a card that tells 0.08 mg/L.
    assert "7 of 16 cannot tell a zero phosphate" in text


def test_a_group_of_three_shows_no_numbers(club):
    pages = [page.extract_text() for page in PdfReader(club[1] / "intake.pdf").pages]
    late = next(page for page in pages if "New Year intake" in page)
    assert "3 tanks: too few for numbers" in late
    assert "%" not in late
    assert "Tanks by stage" not in late


def test_a_club_of_three_tanks_shows_nothing_of_what_is_usual(tmp_path):
    result, out = run(tmp_path, "--letters", book=SMALL)
    assert result.exit_code == 0
    assert "What is usual is not shown" in " ".join(result.stdout.split())
    for path in out.iterdir():
        if path.name.startswith("letter-"):
            text = " ".join(words_of(path).split())
            assert "There are not yet 5 tanks like yours to compare with" in text
            assert "three in four" not in text
            assert "there by your week" not in text
    pages = words_of(out / "progress.pdf")
    assert "Three in four" not in pages
    assert " % of " not in pages
    assert "too few for numbers" in words_of(out / "intake.pdf")


def test_no_letter_names_another_member(club, members):
    for tank in members:
        for kind in KINDS:
            text = words_of(club[1] / f"letter-{tank}.{kind}")
            for other, (keeper, _) in members.items():
                if other != tank:
                    assert not holds(other, text), (tank, kind, other)
                    assert not holds(keeper, text), (tank, kind, keeper)


def test_every_letter_is_one_page_and_says_its_parts(club, members):
    for tank, (keeper, _) in members.items():
        assert len(PdfReader(club[1] / f"letter-{tank}.pdf").pages) == 1
        for kind in KINDS:
            text = words_of(club[1] / f"letter-{tank}.{kind}")
            for part in ("Where your tank is", "Why it reads what it reads",
                         "What most tanks like yours did", "What to do this week",
                         "What not to buy", "When to test next", keeper):  # fmt: skip
                assert part.casefold() in text.casefold(), (tank, kind, part)


def test_list_for_mail_merge_leads_to_every_letter(club, members):
    text = (club[1] / "letters.csv").read_text("utf-8-sig")
    rows = list(csv.DictReader(text.splitlines()))
    assert [row["tank"] for row in rows] == list(members)
    assert rows[0]["keeper"] == members[rows[0]["tank"]][0]
    for row in rows:
        for kind in ("pdf", "html", "text"):
            assert (club[1] / row[kind]).is_file()


def test_without_names_no_keeper_stands_anywhere(nameless, members):
    result, out = nameless
    assert result.exit_code == 0
    texts = {path.name: words_of(path) for path in out.iterdir()}
    texts["terminal"] = result.output
    for name, text in texts.items():
        for tank, (keeper, _) in members.items():
            assert not holds(keeper, text), (name, tank)
    assert "keeper" not in texts["letters.csv"].splitlines()[0]
    assert holds("M10", texts["progress.pdf"])


def small(path, *readings):
    """Write one tank with its readings."""
    book = Workbook()
    sheet = book.active
    sheet.title = "Tanks"
    sheet.append(["Tank", "Volume (L)", "Filled on", "Livestock", "Keeper"])
    sheet.append(["A1", 400, "2026-01-25", "mixed coral", "Ann Low"])
    sheet = book.create_sheet("Readings")
    sheet.append(["Date", "Tank", "Nitrate (mg/L)", "Phosphate (mg/L)"])
    for row in readings:
        sheet.append(row)
    book.save(path)
    return path


def test_only_what_someone_meant_to_count_is_called_left_out(tmp_path):
    """A row that is not filled in yet loses nothing: ``check`` does not say so."""
    good, open_row = ["2026-03-22", "A1", 5, 0.05], [None, "A1", None, None]
    book = small(tmp_path / "open.xlsx", good, open_row)
    assert CliRunner().invoke(main, ["check", str(book)]).exit_code == 0
    result, _ = run(tmp_path / "open", book=book)
    assert result.exit_code == 0
    assert "left out" not in result.stderr
    book = small(
        tmp_path / "lost.xlsx", good, open_row, ["2026-03-15", "A1", "?x", 0.05]
    )
    result, _ = run(tmp_path / "lost", book=book)
    assert '1 row or value was left out; "fleet check" lists each' in result.stderr


def test_a_workbook_that_cannot_be_read_is_named(tmp_path):
    home = tmp_path / "Low"
    home.mkdir()
    small(home / "good.xlsx", ["2026-03-22", "A1", 5, 0.05])
    (home / "Ann Low.xlsx").write_text("hello")
    result, _ = run(tmp_path, book=home)
    assert result.exit_code == 0
    assert "Ann Low.xlsx: it is not a workbook" in result.stderr
    result, _ = run(tmp_path, "--no-names", book=home)
    assert "….xlsx: it is not a workbook" in result.stderr.replace("\\u2026", "…")


def test_one_group_only(tmp_path):
    result, out = run(tmp_path, "--group", "new year intake")
    assert result.exit_code == 0
    assert "Autumn intake" not in result.stdout
    assert {path.name for path in out.iterdir()} == {
        "progress.pdf", "intake.pdf", "manifest.json",
    }  # fmt: skip
    # What is usual still rests on the whole club.
    assert "From the 19 tanks" in " ".join(result.stdout.split())


def test_a_report_is_not_replaced_by_the_mentors_pages(tmp_path):
    out = tmp_path / "out"
    asked = ["report", str(CLUB), "--as-of", DAY, "--out", str(out), "--format", "csv"]
    assert CliRunner().invoke(main, asked).exit_code == 0
    before = (out / "summary.csv").read_bytes()
    result, _ = run(tmp_path)
    assert result.exit_code == 3
    assert result.stderr.endswith(
        "out holds what `fleet report` wrote: choose another folder with --out.\n"
    )
    assert (out / "summary.csv").read_bytes() == before


def test_unknown_group_is_one_line_and_writes_nothing(tmp_path):
    result, out = run(tmp_path, "--group", "Summer intake")
    assert result.exit_code == 2
    assert result.stderr == (
        "fleet: No tank is of the group 'Summer intake'. Groups there are: "
        "'Autumn intake', 'New Year intake'.\n"
    )
    assert not out.exists()


def test_the_same_run_gives_the_same_bytes(tmp_path, club):
    _, again = run(tmp_path, "--letters", "--group", "New Year intake")
    for path in again.glob("letter-*"):
        assert (club[1] / path.name).read_bytes() == path.read_bytes(), path.name


def test_a_folder_that_is_not_ours_is_left_alone(tmp_path):
    out = tmp_path / "out"
    out.mkdir()
    (out / "mine.txt").write_text("keep")
    result, _ = run(tmp_path)
    assert result.exit_code == 3
    assert [path.name for path in out.iterdir()] == ["mine.txt"]
