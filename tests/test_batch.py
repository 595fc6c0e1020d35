"""Many tasks on an engine: the same results, whatever becomes of its workers."""

import os
import signal
import time
from pathlib import Path

import pytest

from fleet.batch import LOST, Outcome, gather
from fleet.errors import FleetError, UsageError


def square(number):
    return number * number


def picky(number):
    if number == 3:
        raise FleetError("three.xlsx: it is not\na workbook.")
    if number == 5:
        raise ValueError("a bug")
    return number


def counted(item):
    """Fail the first time, and note each time."""
    number, folder = item
    with (Path(folder) / str(number)).open("a") as file:
        file.write("x")
    if number == 1:
        raise FleetError("never read")
    if (Path(folder) / str(number)).stat().st_size == 1 and number == 2:
        raise FleetError("busy just now")
    return number


def ends_once(item):
    """End the process it runs in, the first time that task seven is done."""
    number, mark = item
    time.sleep(0.02)
    if number == 7 and not Path(mark).exists():
        Path(mark).touch()
        os.kill(os.getpid(), signal.SIGKILL)
    return number


def ends_always(number):
    if number == 4:
        os.kill(os.getpid(), signal.SIGKILL)
    return number


@pytest.fixture(params=[1, 2], ids=["this process", "two processes"])
def engine(request):
    return {"jobs": request.param}


def test_results_come_in_the_order_of_the_items(engine):
    outcomes = gather(square, range(9), **engine)
    assert [outcome.result for outcome in outcomes] == [n * n for n in range(9)]


def test_a_task_that_fails_is_one_line_and_the_rest_goes_on(engine):
    outcomes = gather(picky, range(7), **engine)
    assert outcomes[3] == Outcome(failed="three.xlsx: it is not a workbook.")
    assert outcomes[5] == Outcome(
        failed="the program failed on it (ValueError: a bug)."
    )
    assert [o.result for o in outcomes] == [0, 1, 2, None, 4, None, 6]


def test_what_fails_is_tried_once_more(engine, tmp_path):
    outcomes = gather(counted, [(n, str(tmp_path)) for n in range(4)], **engine)
    assert [o.result for o in outcomes] == [0, None, 2, 3]
    tries = [(tmp_path / str(n)).stat().st_size for n in range(4)]
    assert tries == [1, 2, 2, 1]


def test_progress_is_told(engine):
    told = []
    gather(square, range(4), told=lambda done, of: told.append((done, of)), **engine)
    assert told == [(1, 4), (2, 4), (3, 4), (4, 4)]


def test_nothing_is_no_work():
    assert gather(square, [], jobs=2) == []


def test_a_lost_process_loses_nothing(tmp_path):
    items = [(n, str(tmp_path / "mark")) for n in range(20)]
    outcomes = gather(ends_once, items, jobs=2)
    assert (tmp_path / "mark").exists()
    assert [o.result for o in outcomes] == list(range(20))


def test_a_task_that_ends_every_process_takes_no_other_with_it():
    outcomes = gather(ends_always, range(8), jobs=2)
    assert outcomes[4] == Outcome(failed=LOST)
    assert [o.result for o in outcomes] == [0, 1, 2, 3, None, 5, 6, 7]


# ------------------------------------------------------------------------ cluster


@pytest.fixture(scope="module")
def cluster():
    from distributed import LocalCluster

    with LocalCluster(
        n_workers=2, threads_per_worker=1, dashboard_address=None, silence_logs=50
    ) as made:
        yield made.scheduler_address


@pytest.mark.slow
def test_a_cluster_gives_the_same(cluster, tmp_path):
    for task, items in (
        (square, range(9)),
        (picky, range(7)),
        (counted, [(n, str(tmp_path)) for n in range(4)]),
    ):
        on_cluster = gather(task, items, cluster=cluster)
        for path in tmp_path.iterdir():
            path.unlink()
        assert on_cluster == gather(task, items)


@pytest.mark.slow
def test_a_worker_of_a_cluster_killed_midway_loses_nothing(cluster, tmp_path):
    items = [(n, str(tmp_path / "mark")) for n in range(40)]
    outcomes = gather(ends_once, items, cluster=cluster)
    assert (tmp_path / "mark").exists()
    assert [o.result for o in outcomes] == list(range(40))


@pytest.mark.slow
def test_a_task_that_ends_every_worker_of_a_cluster_is_one_line(cluster):
    outcomes = gather(ends_always, range(8), cluster=cluster)
    assert outcomes[4] == Outcome(failed=LOST)
    assert [o.result for o in outcomes] == [0, 1, 2, 3, None, 5, 6, 7]


@pytest.mark.slow
def test_a_cluster_that_does_not_answer_is_one_line():
    with pytest.raises(UsageError, match="no Dask scheduler answers at 'tcp://127"):
        gather(square, [1], cluster="tcp://127.0.0.1:1")
