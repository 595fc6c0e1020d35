"""A run stopped or killed at any time, or on a disk that fails: all slow."""

import os
import random
import shutil
import signal
import subprocess
import time
from contextlib import contextmanager

import pytest
from made_runs import DAY, ENDS, bytes_of, is_whole, left_beside, new_place, run, start

pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(os.name != "posix", reason="needs POSIX signals"),
]


@pytest.fixture(scope="module")
def place(tmp_path_factory):
    """A folder with a small and a large workbook and an earlier report."""
    return new_place(tmp_path_factory.mktemp("stopped"))


@pytest.mark.parametrize("order", ENDS, ids=lambda order: order.name)
def test_stopped_at_any_time_it_leaves_one_report_whole(order, place, tmp_path):
    shutil.copytree(place, tmp_path / "copy")
    copy = tmp_path / "copy"
    chance, seen = random.Random(order), set()
    for _ in range(40):
        process = start("report", copy / "large.xlsx", DAY, "--out", copy / "report")
        time.sleep(chance.uniform(0.3, 2.5))
        os.killpg(process.pid, order)
        _, err = process.communicate(timeout=60)
        seen.add(process.returncode)
        # Before the first line of ours runs, Python itself answers.
        assert process.returncode in (0, ENDS[order][0], -order), err
        assert "Traceback" not in err
        assert is_whole(copy / "report")
        # At worst an empty lock that nobody holds, which the next run takes away.
        left = left_beside(copy / "report")
        assert all(name.endswith(".lock") for name in left)
        shutil.rmtree(copy / "report")
        shutil.copytree(place / "report", copy / "report")
    assert ENDS[order][0] in seen


def test_killed_at_any_time_it_leaves_one_report_whole(place, tmp_path):
    shutil.copytree(place, tmp_path / "copy")
    copy = tmp_path / "copy"
    chance = random.Random(9)
    for _ in range(60):
        process = start("report", copy / "large.xlsx", DAY, "--out", copy / "report")
        time.sleep(chance.uniform(0.3, 2.5))
        os.killpg(process.pid, signal.SIGKILL)
        process.communicate()
        assert is_whole(copy / "report")
    status, _, err = run("report", copy / "small.xlsx", DAY, "--out", copy / "report")
    assert status == 0, err
    assert is_whole(copy / "report")
    assert left_beside(copy / "report") == []


@contextmanager
def small_disk(folder, size):
    folder.mkdir()
    mount = ["mount", "-t", "tmpfs", "-o", f"size={size}", "tmpfs", str(folder)]
    if os.geteuid() != 0 or subprocess.run(mount, capture_output=True).returncode:
        pytest.skip("mounting a small disk needs root")
    try:
        yield folder
    finally:
        subprocess.run(["umount", str(folder)], check=True)


def test_disk_that_fills_up_at_any_point_leaves_the_earlier_report(place, tmp_path):
    with small_disk(tmp_path / "disk", "8m") as disk:
        out = disk / "report"
        assert run("report", place / "small.xlsx", DAY, "--out", out)[0] == 0
        before, ends = bytes_of(out), []
        used = sum(map(len, before.values()))
        for more in (40_000, 100_000, 200_000, 400_000, 700_000, 1_100_000, 5_000_000):
            size = f"remount,size={used + more}"
            subprocess.run(["mount", "-o", size, str(disk)], check=True)
            status, _, err = run("report", place / "large.xlsx", DAY, "--out", out)
            ends.append(status)
            assert left_beside(out) == []
            if status == 0:
                assert is_whole(out)
                continue
            assert err.count("\n") == 1
            assert "No space left on device" in err
            assert "make room on that disk" in err
            assert bytes_of(out) == before
        # Where there is room enough in the end, all the same orders are obeyed.
        assert ends == sorted(ends, reverse=True)
        assert ends.count(3) >= 4
        assert ends[-1] == 0


def test_disk_that_may_not_be_written_leaves_the_earlier_report(place, tmp_path):
    with small_disk(tmp_path / "disk", "4m") as disk:
        out = disk / "report"
        assert run("report", place / "small.xlsx", DAY, "--out", out)[0] == 0
        before = bytes_of(out)
        subprocess.run(["mount", "-o", "remount,ro", str(disk)], check=True)
        status, _, err = run("report", place / "large.xlsx", DAY, "--out", out)
        assert status == 3
        assert err.count("\n") == 1
        assert "choose a folder you may write to" in err
        assert bytes_of(out) == before
