"""One report by several processes: the same bytes, and nothing lost with one."""

import json
import multiprocessing
import os
import signal
import sys
import threading
import time
from datetime import date
from pathlib import Path

import pytest

from fleet import pipeline, runs, workers
from fleet.reference import load_reference
from fleet.render import FORMATS, renderer
from fleet.render.needed import listed, needed
from fleet.render.wording import Wording
from tests.bench import books

ROOT = Path(__file__).resolve().parents[1]
SHOP = ROOT / "example_workbooks" / "shop.xlsx"
DAY = date(2026, 3, 30)

forks = pytest.mark.skipif(
    not hasattr(os, "fork") or sys.platform == "darwin", reason="no safe fork here"
)


def request(out, book=SHOP, **more):
    return runs.ReportRequest(books=(book,), today=DAY, as_of=DAY, out=out, **more)


def whole(folder):
    return {path.name: path.read_bytes() for path in folder.iterdir()}


# ------------------------------------------------------------------- what is shared


@pytest.mark.parametrize("jobs", [1, 2, 3, 9])
def test_results_come_in_the_order_of_the_tasks(jobs):
    tasks = [lambda n=n: n * n for n in range(7)]
    assert workers.shared(tasks, jobs) == [0, 1, 4, 9, 16, 25, 36]


@forks
def test_several_processes_take_part():
    def who():
        time.sleep(0.02)
        return os.getpid()

    assert len(set(workers.shared([who] * 12, 3))) == 3


@forks
def test_what_a_lost_process_had_in_hand_is_done_again():
    first = os.getpid()

    def task(number):
        if os.getpid() != first:
            os.kill(os.getpid(), signal.SIGKILL)
        time.sleep(0.01)
        return number

    tasks = [lambda n=n: task(n) for n in range(6)]
    assert workers.shared(tasks, 3) == [0, 1, 2, 3, 4, 5]


def killed_at(line, first):
    """Return a task that ends its process, if not the first, ``line`` lines later."""

    def task():
        if os.getpid() == first:
            time.sleep(0.01)
            return os.getpid()
        left = line

        def trace(frame, event, _argument):
            nonlocal left
            if event == "line" and frame.f_code.co_filename == workers.__file__:
                left -= 1
                if left < 0:
                    os.kill(os.getpid(), signal.SIGKILL)
            return trace

        sys.settrace(trace)
        return os.getpid()

    return task


@forks
@pytest.mark.parametrize("line", range(12))
def test_a_process_killed_while_it_takes_a_task_holds_up_nobody(line):
    def late(_signal, _frame):
        raise TimeoutError

    before = signal.signal(signal.SIGALRM, late)
    signal.setitimer(signal.ITIMER_REAL, 10)
    try:
        done = workers.shared([killed_at(line, os.getpid())] * 8, 2)
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0)
        signal.signal(signal.SIGALRM, before)
    assert len(done) == 8


@forks
@pytest.mark.parametrize("size", [1000, 3 * workers._ROOM])
def test_results_larger_than_the_pipe_come_whole(size):
    def task(number):
        time.sleep(0.01)
        return number, os.urandom(size)

    done = workers.shared([lambda n=n: task(n) for n in range(8)], 3)
    assert [(number, len(sent)) for number, sent in done] == [
        (n, size) for n in range(8)
    ]


@forks
def test_a_helper_killed_in_the_middle_of_what_it_sends_loses_nothing():
    first = os.getpid()

    def task(number):
        if os.getpid() != first:
            # While it waits for room in the pipe.
            threading.Timer(0.2, os.kill, (os.getpid(), signal.SIGKILL)).start()
            return number, bytes(5 * workers._ROOM)
        time.sleep(0.5)
        return number, b""

    done = workers.shared([lambda n=n: task(n) for n in range(4)], 2)
    assert [number for number, _ in done] == [0, 1, 2, 3]


@forks
def test_a_failure_here_does_not_wait_for_a_helper_that_waits_to_send():
    first = os.getpid()

    def task(number):
        if os.getpid() == first:
            time.sleep(0.3)
            raise KeyError("here")
        return number, bytes(5 * workers._ROOM)

    started = time.monotonic()
    with pytest.raises(KeyError, match="here"):
        workers.shared([lambda n=n: task(n) for n in range(4)], 2)
    assert time.monotonic() - started < 5


@pytest.mark.parametrize("tasks", [0, 1, 1000, 1001, 2500])
def test_any_number_of_tasks_is_done_once(tasks):
    told = []
    work = [lambda n=n: n for n in range(tasks)]
    assert workers.shared(work, 2, told.append) == list(range(tasks))
    assert told[-1:] == ([tasks] if tasks else [])
    assert told == sorted(told)


@pytest.mark.parametrize("jobs", [1, 2])
def test_a_failure_is_raised_as_if_there_were_one_process(jobs):
    def task(number):
        time.sleep(0.01)
        if number == 3:
            raise KeyError("three")
        return number

    with pytest.raises(KeyError, match="three"):
        workers.shared([lambda n=n: task(n) for n in range(6)], jobs)


@forks
def test_no_process_outlives_an_interruption():
    first, seen = os.getpid(), []
    # Another test's pool may still be idle; only ours have to be gone.
    others = set(multiprocessing.active_children())

    def task():
        if os.getpid() == first:
            raise KeyboardInterrupt
        time.sleep(30)

    started = time.monotonic()
    with pytest.raises(KeyboardInterrupt):
        workers.shared([task] * 4, 3, seen.append)
    assert time.monotonic() - started < 5
    assert set(multiprocessing.active_children()) <= others


def test_few_tanks_take_one_process_and_many_what_there_is(monkeypatch):
    monkeypatch.setattr(workers, "processors", lambda: 4)
    monkeypatch.setattr(workers, "can_fork", lambda: True)
    assert [workers.sensible(n) for n in (0, 10, 60, 10_000)] == [1, 1, 2, 4]
    assert workers.sensible(10, asked=3) == 3
    monkeypatch.setattr(workers, "can_fork", lambda: False)
    assert workers.sensible(10_000, asked=3) == 1


# ---------------------------------------------------------------------- one report


@pytest.fixture(scope="module")
def alone(tmp_path_factory):
    out = tmp_path_factory.mktemp("alone") / "report"
    runs.report(request(out, jobs=1))
    return out


@pytest.mark.parametrize("jobs", [2, 3])
def test_any_number_of_processes_gives_the_same_bytes(alone, tmp_path, jobs):
    runs.report(request(tmp_path / "out", jobs=jobs))
    assert whole(tmp_path / "out") == whole(alone)


def test_progress_counts_the_tanks(tmp_path):
    told = []
    asked = request(tmp_path / "out", jobs=1, formats=("csv",))
    runs.report(asked, lambda done, of: told.append((done, of)))
    assert told[-1] == (24, 24)
    assert told == sorted(told)


def test_what_is_kept_of_a_tank_is_all_that_its_outputs_show(tmp_path):
    """Half a year of weekly tests, of which most are dropped once judged."""
    book = tmp_path / "b.xlsx"
    books.write(book, tanks=6, weeks=30, seed=3)
    reference = load_reference()
    read = pipeline.read([book], reference)
    as_of = books.LAST_DAY.date()
    made = pipeline.report(read, reference, as_of)
    less = pipeline.report(read, reference, as_of, keep=needed)
    wording = Wording(reference, read.settings)
    for name in FORMATS:
        for folder, report in (("all", made), ("less", less)):
            (tmp_path / folder).mkdir(exist_ok=True)
            renderer(name)(report, wording, reference, tmp_path / folder / name)
    assert whole(tmp_path / "less") == whole(tmp_path / "all")

    def results(report):
        findings = [f for entry in report.tanks for f in entry.findings.findings]
        return sum(len(finding.history) for finding in findings)

    assert results(less) < results(made) / 3


def test_every_doubted_result_is_listed(tmp_path):
    reference = load_reference()
    made = pipeline.report(pipeline.read([SHOP], reference), reference, DAY)
    findings = [f for entry in made.tanks for f in entry.findings.findings]
    doubted = [m for f in findings for m in f.history if m.doubt]
    assert doubted
    assert [m for f in findings for m in listed(f) if m.doubt] == doubted


# ---------------------------------------------------------- only what has changed


def stamps(folder):
    return {path.name: path.stat().st_ino for path in folder.iterdir()}


def test_a_report_that_would_come_out_the_same_is_left_as_it_stands(alone, tmp_path):
    runs.report(request(tmp_path / "out"))
    before = stamps(tmp_path / "out")
    runs.report(request(tmp_path / "out"))
    assert stamps(tmp_path / "out") == before
    assert whole(tmp_path / "out") == whole(alone)


def test_all_writes_every_file_anew(tmp_path):
    runs.report(request(tmp_path / "out"))
    before, bytes_before = stamps(tmp_path / "out"), whole(tmp_path / "out")
    runs.report(request(tmp_path / "out", all=True))
    after = stamps(tmp_path / "out")
    assert not {name for name in before if before[name] == after[name]}
    assert whole(tmp_path / "out") == bytes_before


def test_only_missing_files_are_written(alone, tmp_path):
    runs.report(request(tmp_path / "out", formats=("csv", "json")))
    before = stamps(tmp_path / "out")
    runs.report(request(tmp_path / "out"))
    after = stamps(tmp_path / "out")
    kept = {name for name in before if before[name] == after[name]}
    assert kept == {"summary.csv", "report.json"}
    assert whole(tmp_path / "out") == whole(alone)


@pytest.mark.parametrize("what", ["workbook", "option", "words", "day", "layout"])
def test_what_decides_a_report_makes_it_anew(tmp_path, what):
    book = tmp_path / "in" / "b.xlsx"
    book.parent.mkdir()
    books.write(book, tanks=2, weeks=3, seed=1)
    words = tmp_path / "words"
    words.mkdir()
    more = {"formats": ("csv",), "templates": words, "paper": "A4"}
    day = books.LAST_DAY.date()

    def made():
        asked = runs.ReportRequest(
            books=(book,), today=day, out=tmp_path / "out", **{"as_of": day} | more
        )
        runs.report(asked)
        return json.loads((tmp_path / "out" / "manifest.json").read_text())["made_from"]

    first = made()
    assert made() == first
    if what == "workbook":
        books.write(book, tanks=2, weeks=3, seed=2)
    elif what == "option":
        more["paper"] = "Letter"
    elif what == "words":
        (words / "labels.toml").write_text('[parameter]\nnitrate = "N"\n')
    elif what == "day":
        more["as_of"] = date(2025, 9, 30)
    else:
        text = '[[sheet]]\nname = "Readings"\nholds = "readings"\n'
        (book.parent / "b.layout.toml").write_text(text)
    assert made() != first
