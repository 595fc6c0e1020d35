"""Many workbooks: the same result here, on local processes and on a cluster."""

from __future__ import annotations

import csv
import os
import shutil
import signal
import time
from datetime import date
from pathlib import Path

import pytest
from click.testing import CliRunner

from fleet import batch, runs
from fleet.cli import main
from tests.situations.build import AS_OF, tank, visit, write

SHOP = Path(__file__).resolve().parents[1] / "example_workbooks" / "shop.xlsx"


@pytest.fixture
def stores(tmp_path):
    """Four small workbooks, one of them no workbook at all."""
    folder = tmp_path / "stores"
    folder.mkdir()
    for number in range(3):
        rows = [visit(d, 8 + number, 0.05, tank=f"T{number}") for d in (14, 7, 0)]
        one = tank(id=f"T{number}", filled=date(2025, 1, 1))
        write(folder / f"store{number}.xlsx", [one], rows)
    (folder / "broken.xlsx").write_bytes(b"no workbook")
    return folder


def asked(folder: Path, out: Path, jobs: int = 1) -> runs.ReportRequest:
    return runs.ReportRequest(
        (folder,), AS_OF, out=out, as_of=AS_OF, jobs=jobs, formats=("csv", "json")
    )


def files(folder: Path) -> dict[str, bytes]:
    return {
        str(path.relative_to(folder)): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file() and path.name != "manifest.json"
    }


def test_each_workbook_has_a_report_and_the_chain_its_tables(stores, tmp_path):
    out = tmp_path / "out"
    done = batch.each(asked(stores, out))
    assert {path.name for path in out.iterdir()} == {
        "store0", "store1", "store2", "chain",
    }  # fmt: skip
    (note,) = [note for note in done.notes if "broken.xlsx" in note]
    assert "\n" not in note
    with (out / "chain" / "books.csv").open(encoding="utf-8-sig", newline="") as file:
        books = list(csv.DictReader(file))
    assert [row["book"] for row in books] == [
        "broken.xlsx", "store0.xlsx", "store1.xlsx", "store2.xlsx",
    ]  # fmt: skip
    assert books[0]["failed"]


def test_parquet_holds_every_assessment(stores, tmp_path):
    import pandas

    batch.each(asked(stores, tmp_path / "out"))
    frame = pandas.read_parquet(tmp_path / "out" / "chain" / "assessments.parquet")
    assert tuple(frame.columns) == batch.COLUMNS
    nitrate = frame[frame.parameter == "nitrate"].set_index("tank")
    assert nitrate.value.to_dict() == {"T0": 8, "T1": 9, "T2": 10}
    assert set(nitrate.verdict) == {"within"}


def test_two_processes_give_the_same_bytes(stores, tmp_path):
    batch.each(asked(stores, tmp_path / "one"))
    batch.each(asked(stores, tmp_path / "two", jobs=2))
    assert files(tmp_path / "one") == files(tmp_path / "two")


def test_lists_and_globs_name_the_same_workbooks(stores, tmp_path):
    listed = tmp_path / "list.txt"
    listed.write_text("stores/store0.xlsx\n\nstores/store2.xlsx\n", "utf-8")
    assert [name for name, _ in batch.workbooks([Path(f"@{listed}")])] == [
        "store0.xlsx", "store2.xlsx",
    ]  # fmt: skip
    found = batch.workbooks([stores / "store*.xlsx"])
    assert [name for name, _ in found] == ["store0.xlsx", "store1.xlsx", "store2.xlsx"]


def test_workbooks_of_one_name_do_not_overwrite_each_other(stores, tmp_path):
    for below in ("north", "south"):
        (tmp_path / below).mkdir()
        shutil.copy(stores / "store0.xlsx", tmp_path / below / "week.xlsx")
    request = asked(stores, tmp_path / "out")
    books = (tmp_path / "north", tmp_path / "south")
    done = batch.each(runs.replace(request, books=books))
    assert len({outcome.folder for outcome in done.outcomes}) == 2


class Flaky:
    """Fails the first time a task of that name is seen (marked by a file)."""

    def __init__(self, mark: Path, name: str, how: str) -> None:
        self.mark, self.name, self.how = mark, name, how

    def __call__(self, task: batch.Task) -> batch.Outcome:
        if task.name == self.name and not self.mark.exists():
            self.mark.touch()
            if self.how == "die":
                os.kill(os.getpid(), signal.SIGKILL)
            return batch.Outcome(task.name, failed="the disk was full", again=True)
        return batch.one_workbook(task)


def test_task_that_fails_is_tried_once_more(stores, tmp_path):
    make = Flaky(tmp_path / "mark", "store1.xlsx", "fail")
    done = batch.each(asked(stores, tmp_path / "out"), make=make)
    assert [o.name for o in done.outcomes if o.failed] == ["broken.xlsx"]


def test_task_that_always_fails_is_one_line(stores, tmp_path):
    def make(task: batch.Task) -> batch.Outcome:
        if task.name == "store1.xlsx":
            return batch.Outcome(task.name, failed="store1.xlsx: no", again=True)
        return batch.one_workbook(task)

    done = batch.each(asked(stores, tmp_path / "out"), make=make)
    assert [note for note in done.notes if "store1" in note] == ["store1.xlsx: no"]


@pytest.mark.slow
# loky says so when a worker is killed, which is what this test does.
@pytest.mark.filterwarnings("ignore:A worker stopped while some jobs")
def test_local_worker_that_dies_loses_nothing(stores, tmp_path):
    batch.each(asked(stores, tmp_path / "one"))
    make = Flaky(tmp_path / "mark", "store1.xlsx", "die")
    batch.each(asked(stores, tmp_path / "two", jobs=2), make=make)
    assert (tmp_path / "mark").exists()
    assert files(tmp_path / "one") == files(tmp_path / "two")


@pytest.mark.slow
# distributed's own start-up and a killed worker warn; neither is ours to mend.
@pytest.mark.filterwarnings("ignore")
def test_cluster_whose_worker_is_killed_gives_the_same(stores, tmp_path):
    from distributed import LocalCluster

    batch.each(asked(stores, tmp_path / "one"))
    make = Flaky(tmp_path / "mark", "store1.xlsx", "die")
    with LocalCluster(
        n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None
    ) as cluster:
        started = time.monotonic()
        batch.each(
            asked(stores, tmp_path / "two"), cluster.scheduler_address, make=make
        )
        assert time.monotonic() - started < 120
    assert (tmp_path / "mark").exists()
    assert files(tmp_path / "one") == files(tmp_path / "two")


def test_command_makes_the_chain(stores, tmp_path):
    out = tmp_path / "out"
    done = CliRunner().invoke(
        main,
        ["report", str(stores), "--each", "--as-of", AS_OF.isoformat(), "--out",
         str(out), "--format", "csv", "--jobs", "1"],
    )  # fmt: skip
    assert done.exit_code == 0, done.output
    assert "store0.xlsx" in done.stdout
    assert "broken.xlsx" in done.stderr


def test_cluster_goes_with_each_and_must_answer(stores):
    alone = CliRunner().invoke(main, ["report", str(SHOP), "--cluster", "tcp://x:1"])
    assert alone.exit_code == 2
    assert "--each" in alone.stderr
