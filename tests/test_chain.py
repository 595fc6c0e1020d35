"""Many workbooks: a report for each, and one summary of all."""

import csv
import json
import os
import signal
import sys
import time
from datetime import date
from pathlib import Path

import pandas
import pytest
from click.testing import CliRunner
from openpyxl import Workbook, load_workbook
from PIL import Image

from fleet import chain, runs
from fleet.cli import main
from fleet.render import assessments
from tests.bench import books

DAY = books.LAST_DAY.date()
FORMATS = ("html", "csv")


def fleet(*arguments):
    asked = ["report", "--each", "--as-of", DAY, *arguments]
    for name in FORMATS:
        asked += ["--format", name]
    return CliRunner().invoke(main, [str(a) for a in asked])


def whole(folder):
    return {
        str(path.relative_to(folder)): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


def table(path):
    with path.open(encoding="utf-8-sig", newline="") as file:
        return list(csv.DictReader(file))


@pytest.fixture(scope="module")
def shops(tmp_path_factory):
    """Three shops in folders of their own, and a file that is no workbook."""
    home = tmp_path_factory.mktemp("chain") / "shops"
    for number, name in enumerate(("north", "south", "west")):
        (home / name).mkdir(parents=True)
        path = home / name / f"{name}.xlsx"
        books.write(path, tanks=4, weeks=4, seed=number, first=1 + 4 * number)
    (home / "broken.xlsx").write_text("hello")
    return home


@pytest.fixture(scope="module")
def made(shops):
    out = shops.parent / "out"
    return out, fleet(shops, "--out", out, "--jobs", 1)


def test_each_workbook_has_its_report_and_a_broken_one_a_line(made):
    out, done = made
    assert done.exit_code == 0
    assert {path.name for path in out.iterdir()} == {"chain", "north", "south", "west"}
    files = {path.name for path in (out / "north").iterdir()}
    assert files == {"report.html", "summary.csv", "report.json", "manifest.json"}
    assert done.stderr.count("broken.xlsx: it is not a workbook") == 1
    assert "3 workbooks, 12 tanks" in done.stdout


def test_the_report_is_the_one_its_workbook_would_get_alone(made, shops, tmp_path):
    alone = runs.ReportRequest(
        books=(shops / "west" / "west.xlsx",), today=DAY, as_of=DAY,
        out=tmp_path / "alone", formats=(*FORMATS, "report.json"),
    )  # fmt: skip
    runs.report(alone)
    assert whole(tmp_path / "alone") == whole(made[0] / "west")


def test_the_table_of_assessments_says_what_the_reports_say(made):
    out, _ = made
    frame = pandas.read_parquet(out / "chain" / "assessments.parquet")
    assert list(frame) == list(assessments.COLUMNS)
    assert list(frame["book"].unique()) == [
        f"{n}.xlsx" for n in ("north", "south", "west")
    ]
    for name in ("north", "west"):
        report = json.loads((out / name / "report.json").read_bytes())
        rows = frame[frame["report"] == name]
        expected = [
            (tank["tank"], parameter, found["verdict"], found["value"], found["low"])
            for tank in report["tanks"]
            for parameter, found in tank["parameters"].items()
        ]
        columns = ["tank", "parameter", "verdict", "value", "low"]
        seen = rows[columns].astype(object).where(rows[columns].notna(), None)
        assert list(seen.itertuples(index=False, name=None)) == expected
    assert frame["as_of"].unique() == [DAY]
    assert frame["chance_under"].dropna().between(0, 1).all()


def test_the_table_of_workbooks_counts_and_lists_the_broken_one(made):
    out, _ = made
    rows = {row["book"]: row for row in table(out / "chain" / "books.csv")}
    assert rows["broken.xlsx"]["failed"].startswith("broken.xlsx: it is not a workbook")
    assert rows["broken.xlsx"]["tanks"] == ""
    report = json.loads((out / "south" / "report.json").read_bytes())
    count = [tank["attention"] for tank in report["tanks"]]
    row = rows["south.xlsx"]
    words = {"today": "today", "this week": "this week", "watch": "watch"}
    assert {k: int(row[k]) for k in words} == {
        k: count.count(w) for k, w in words.items()
    }
    assert int(row["tanks"]) == 4


def test_the_page_leads_to_each_report(made):
    out, _ = made
    page = (out / "chain" / "index.html").read_text("utf-8")
    for name in ("north", "south", "west"):
        assert f'href="../{name}/report.html"' in page
        assert (out / "chain" / f"../{name}/report.html").is_file()
    assert "broken.xlsx: it is not a workbook" in page
    assert "script-src" not in page


def test_two_processes_give_the_same_bytes(made, shops, tmp_path):
    assert fleet(shops, "--out", tmp_path / "out", "--jobs", 2).exit_code == 0
    assert whole(tmp_path / "out") == whole(made[0])


def with_logo(path):
    book = load_workbook(path)
    sheet = book.create_sheet("Settings")
    sheet.append(["Setting", "Value"])
    sheet.append(["Logo", "logo.png"])
    book.save(path)


@pytest.fixture
def asked_for(monkeypatch):
    """Return the names of the workbooks that a report is made of, as they come."""
    names, report = [], runs.report

    def counting(request, *more):
        names.append(request.books[0].name)
        return report(request, *more)

    monkeypatch.setattr(runs, "report", counting)
    return names


def test_a_report_is_made_again_only_where_something_has_changed(tmp_path, asked_for):
    """Also with a logo, which nothing but the workbook names."""
    home, out = tmp_path / "in", tmp_path / "out"
    home.mkdir()
    for number in range(2):
        books.write(home / f"s{number}.xlsx", tanks=1, weeks=2, seed=number)
    with_logo(home / "s0.xlsx")

    def made(*more):
        asked_for.clear()
        assert fleet(home, "--out", out, "--jobs", 1, *more).exit_code == 0
        return asked_for.copy()

    assert made() == ["s0.xlsx", "s1.xlsx"]
    assert made() == []
    books.write(home / "s1.xlsx", tanks=1, weeks=2, seed=9)
    assert made() == ["s1.xlsx"]
    Image.new("RGB", (60, 20), "red").save(home / "logo.png")
    assert made() == ["s0.xlsx"]
    assert made() == []
    Image.new("RGB", (60, 20), "blue").save(home / "logo.png")
    assert made() == ["s0.xlsx"]
    (home / "logo.png").unlink()
    assert made() == ["s0.xlsx"]
    assert made() == []
    assert made("--all") == ["s0.xlsx", "s1.xlsx"]


def test_each_is_compared_with_its_report_of_the_week_before(shops, tmp_path):
    book = shops / "north" / "north.xlsx"
    earlier = tmp_path / "fleet-reports-2025-09-22"
    asked = ["report", "--each", str(book), "--as-of", "2025-09-22", "--format", "csv"]
    done = CliRunner().invoke(main, [*asked, "--out", str(earlier)])
    assert done.exit_code == 0
    out = tmp_path / "fleet-reports-2025-09-29"
    assert fleet(book, "--out", out).exit_code == 0
    assert json.loads((out / "north" / "report.json").read_bytes())["since"] == (
        "2025-09-22"
    )


def test_workbooks_of_the_same_name_are_told_apart(shops, tmp_path):
    for name in ("north", "south"):
        (tmp_path / name).mkdir()
        source = shops / name / f"{name}.xlsx"
        (tmp_path / name / "tanks.xlsx").write_bytes(source.read_bytes())
    out = tmp_path / "out"
    assert fleet(tmp_path, "--out", out, "--jobs", 1).exit_code == 0
    rows = table(out / "chain" / "books.csv")
    assert [row["book"] for row in rows] == ["north/tanks.xlsx", "south/tanks.xlsx"]
    assert len({row["report"] for row in rows}) == 2


def test_hostile_names_stay_text_and_inside_the_folder(tmp_path):
    (tmp_path / "in").mkdir()
    name = "=1+1 <script>alert(1)<img src=x>"
    books.write(tmp_path / "in" / "plain.xlsx", tanks=1, weeks=2, seed=1)
    (tmp_path / "in" / "plain.xlsx").rename(tmp_path / "in" / f"{name}.xlsx")
    (tmp_path / "in" / "chain.xlsx").write_text("no")
    out = tmp_path / "out"
    assert fleet(tmp_path / "in", "--out", out, "--jobs", 1).exit_code == 0
    page = (out / "chain" / "index.html").read_text("utf-8")
    assert "<script>" not in page
    assert "&lt;script&gt;" in page
    hostile, named_chain = table(out / "chain" / "books.csv")
    assert hostile["book"].startswith("'=1+1")
    assert named_chain["failed"].startswith("chain.xlsx: it is not a workbook")
    assert {path.name for path in out.iterdir()} == {"chain", hostile["report"]}


def test_the_table_is_csv_too_and_that_alone_without_pyarrow(
    made, shops, tmp_path, monkeypatch
):
    monkeypatch.setattr(assessments, "has_parquet", lambda: False)
    out = tmp_path / "out"
    assert fleet(shops, "--out", out, "--jobs", 1).exit_code == 0
    assert not (out / "chain" / "assessments.parquet").exists()
    frame = pandas.read_parquet(made[0] / "chain" / "assessments.parquet")
    rows = table(out / "chain" / "assessments.csv")
    assert len(rows) == len(frame)
    assert list(rows[0]) == list(assessments.COLUMNS)
    for row, value, low in zip(rows, frame["value"], frame["low"], strict=True):
        assert row["value"] == ("" if pandas.isna(value) else f"{value}")
        assert row["low"] == ("" if pandas.isna(low) else f"{low}")


def empty(path):
    """Write a workbook with a tank and an open row, but nothing to judge."""
    book = Workbook()
    book.active.title = "Tanks"
    book.active.append(["Tank", "Volume (L)", "Filled on"])
    book.active.append(["A1", 400, "2025-01-01"])
    sheet = book.create_sheet("Readings")
    sheet.append(["Date", "Tank", "Nitrate (mg/L)"])
    sheet.append(["2025-09-01", "A1", None])
    book.save(path)


def test_where_nothing_can_be_judged_the_status_is_that_of_one_report(tmp_path):
    for name in ("one", "two"):
        empty(tmp_path / f"{name}.xlsx")
    alone = CliRunner().invoke(
        main, ["report", str(tmp_path / "one.xlsx"), "--out", str(tmp_path / "alone")]
    )
    assert alone.exit_code == 1
    done = fleet(tmp_path, "--out", tmp_path / "out", "--jobs", 1)
    assert done.exit_code == 1
    for name in ("one", "two"):
        assert f"{name}.xlsx: no reading could be used" in done.stderr
    (tmp_path / "broken.xlsx").write_text("hello")
    assert fleet(tmp_path, "--out", tmp_path / "out", "--jobs", 1).exit_code == 3


def test_rows_not_filled_in_yet_are_not_counted_as_left_out(tmp_path):
    for name, written in (("open", None), ("lost", "?x")):
        path = tmp_path / "in" / f"{name}.xlsx"
        path.parent.mkdir(exist_ok=True)
        books.write(path, tanks=1, weeks=2, seed=1)
        book = load_workbook(path)
        head = [cell.value for cell in book["Readings"][1]]
        row = dict.fromkeys(head) | {"Tank": "T1", "Nitrate (mg/L)": written}
        row["Date"] = written and "2025-09-01"
        book["Readings"].append(list(row.values()))
        book.save(path)
    out = tmp_path / "out"
    assert fleet(tmp_path / "in", "--out", out, "--jobs", 1).exit_code == 0
    rows = {row["report"]: row for row in table(out / "chain" / "books.csv")}
    assert rows["open"]["left_out"] == "0"
    assert int(rows["lost"]["left_out"]) > 0


def test_where_nothing_can_be_read_nothing_is_written(shops, tmp_path):
    done = fleet(shops / "broken.xlsx", "--out", tmp_path / "out")
    assert done.exit_code == 3
    assert "broken.xlsx: it is not a workbook" in done.stderr
    assert not (tmp_path / "out" / "chain").exists()


@pytest.mark.parametrize(
    ("arguments", "line"),
    [
        (["--each", "--tank", "T1"], "leave out --each"),
        (["--cluster", "tcp://x:1"], "goes with --each"),
        (["--each", "--format", "nothing"], "'nothing' is no file of a report"),
    ],
)
def test_what_makes_no_sense_is_one_line(shops, tmp_path, arguments, line):
    asked = ["report", str(shops), "--out", str(tmp_path / "o"), *arguments]
    done = CliRunner().invoke(main, asked)
    assert done.exit_code == 2
    assert line in done.stderr
    assert len(done.stderr.splitlines()) == 1


def test_a_worker_of_another_version_is_told(shops, tmp_path):
    asked = runs.ReportRequest(books=(shops,), today=DAY, out=tmp_path / "out")
    one = chain.Asked("north", "north", asked, version="0.0.0")
    with pytest.raises(Exception, match=r"holds fleet .*, not 0\.0\.0"):
        chain.report_of(one)


# ------------------------------------------------------------------------ cluster


@pytest.mark.slow
@pytest.mark.skipif(sys.platform == "win32", reason="processes are ended by signal")
def test_a_cluster_whose_worker_is_killed_midway_gives_the_same(tmp_path):
    from distributed import Client, LocalCluster

    home = tmp_path / "in"
    home.mkdir()
    for number in range(24):
        path = home / f"shop-{number:02}.xlsx"
        books.write(path, tanks=6, weeks=8, seed=number)
    assert fleet(home, "--out", tmp_path / "one", "--jobs", 1).exit_code == 0
    killed = []

    def kill(done, _of):
        if done == 5:
            pids = client.run(os.getpid)
            killed.append(min(pids.values()))
            os.kill(killed[0], signal.SIGKILL)

    asked = runs.ReportRequest(
        books=(home,), today=DAY, as_of=DAY, out=tmp_path / "many", formats=FORMATS
    )
    with (
        LocalCluster(
            n_workers=2, threads_per_worker=1, dashboard_address=None, silence_logs=50
        ) as cluster,
        Client(cluster) as client,
    ):
        done = chain.each(asked, cluster.scheduler_address, kill)
        deadline = time.monotonic() + 30
        while time.monotonic() < deadline and len(client.run(os.getpid)) < 2:
            time.sleep(0.2)
        assert killed
        assert killed[0] not in client.run(os.getpid).values()
    assert done.notes == ()
    assert whole(tmp_path / "many") == whole(tmp_path / "one")


@pytest.mark.slow
def test_two_hundred_workbooks(tmp_path):
    home = tmp_path / "in"
    home.mkdir()
    for number in range(200):
        path = home / f"shop-{number:03}.xlsx"
        books.write(path, tanks=3, weeks=4, seed=number, first=1 + 3 * number)
    assert fleet(home, "--out", tmp_path / "out").exit_code == 0
    frame = pandas.read_parquet(tmp_path / "out" / "chain" / "assessments.parquet")
    assert frame["tank"].nunique() == 600
    assert date(2025, 1, 1) < frame["taken_on"].dropna().max() <= DAY


def test_an_empty_workbook_is_a_line(tmp_path):
    Workbook().save(tmp_path / "empty.xlsx")
    books.write(tmp_path / "good.xlsx", tanks=1, weeks=2, seed=1)
    done = fleet(tmp_path, "--out", tmp_path / "out", "--jobs", 1)
    assert done.exit_code == 0
    assert "empty.xlsx: no tank was found" in done.stderr
    assert Path(tmp_path / "out" / "good" / "summary.csv").is_file()
