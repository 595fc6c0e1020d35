"""A run that is stopped, starved or cut off: the earlier report stays whole."""

import os
import shutil
import signal
import subprocess
import sys
import time
from contextlib import contextmanager
from pathlib import Path

import pytest
from made_files import AS_OF, READINGS, added, tank, xlsx
from made_runs import (
    DAY,
    ENDS,
    bytes_of,
    environment,
    is_whole,
    left_beside,
    new_place,
    run,
    start,
)
from run_hostile import GUARDED
from run_limited import GUARD, ROOT

pytestmark = pytest.mark.skipif(os.name != "posix", reason="needs POSIX signals")


@pytest.fixture(scope="module")
def place(tmp_path_factory):
    """A folder with a small and a large workbook and an earlier report."""
    return new_place(tmp_path_factory.mktemp("stopped"))


@contextmanager
def writing(place):
    """Start a long run, and go on once it is writing."""
    process = start("report", place / "large.xlsx", DAY, "--out", place / "report")
    try:
        until = time.monotonic() + 60
        while not list(place.glob(".report-*.new-*/*")):
            assert process.poll() is None, process.stderr.read()
            assert time.monotonic() < until
            time.sleep(0.002)
        yield process
    finally:
        process.kill()
        process.communicate()


@pytest.mark.parametrize("order", ENDS, ids=lambda order: order.name)
def test_stopped_while_it_writes_it_leaves_the_earlier_report(order, place):
    before = bytes_of(place / "report")
    status, word = ENDS[order]
    for _ in range(5):
        with writing(place) as process:
            # A terminal sends it to every process of the run.
            send = os.killpg if order == signal.SIGINT else os.kill
            send(process.pid, order)
            out, err = process.communicate(timeout=60)
        if bytes_of(place / "report") == before:
            break
        # On a busy machine the run may be done before the order comes.
        shutil.rmtree(place / "report")
        shutil.copytree(place / "earlier", place / "report")
    assert process.returncode == status
    assert err == f"fleet: {word}; nothing half-written was left.\n"
    assert out == ""
    assert bytes_of(place / "report") == before
    assert left_beside(place / "report") == []


LOST = """
import os, signal, time, weakref
from fleet import stops

class Thing:
    pass

def deed(_):
    os.kill(os.getpid(), signal.{order})
    time.sleep(0.01)

thing = Thing()
watch = weakref.ref(thing, deed)
try:
    with stops.obeyed():
        del thing
        time.sleep(5)
except BaseException as err:
    print(type(err).__name__)
"""


@pytest.mark.parametrize(
    ("order", "raised"), [("SIGTERM", "Terminated"), ("SIGINT", "Interrupted")]
)
def test_order_that_comes_where_nothing_can_be_raised_is_obeyed(order, raised):
    done = subprocess.run(
        [sys.executable, "-c", LOST.format(order=order)],
        env=environment(), capture_output=True, text=True,
    )  # fmt: skip
    assert (done.stdout, done.stderr) == (f"{raised}\n", "")


SWALLOWED = """
import os, signal, sys
from fleet.endings import one_line_errors

@one_line_errors
def command():
    {deed}
    return 0

command()
"""
KILL = "os.kill(os.getpid(), signal.{order})"
DEEDS = {
    # A library takes the order for a fault of its own, as readers of fonts do.
    "made into another": f"""
    try:
        {KILL}
    except:
        raise ValueError("corrupt file")
""",
    "passed over": f"""
    try:
        {KILL}
    except:
        pass
""",
    # Python would end itself by the signal, whatever status is chosen.
    "inside exec": f"""
    exec({KILL!r})
""",
}


@pytest.mark.parametrize("order", ENDS, ids=lambda order: order.name)
@pytest.mark.parametrize("deed", DEEDS.values(), ids=DEEDS)
def test_order_that_a_library_swallows_is_obeyed(deed, order):
    status, word = ENDS[order]
    done = subprocess.run(
        [sys.executable, "-c", SWALLOWED.format(deed=deed.format(order=order.name))],
        env=environment(), capture_output=True, text=True,
    )  # fmt: skip
    assert done.stderr == f"fleet: {word}; nothing half-written was left.\n"
    assert done.returncode == status


@pytest.mark.slow
def test_second_run_at_once_is_told_to_wait_and_the_first_goes_on(place, tmp_path):
    shutil.copytree(place, tmp_path / "copy")
    copy = tmp_path / "copy"
    with writing(copy) as process:
        status, _, err = run(
            "report", copy / "small.xlsx", DAY, "--out", copy / "report"
        )
        assert status == 3
        assert err.startswith("fleet: ")
        assert "is being written by another run: wait" in err
        assert err.count("\n") == 1
        process.communicate(timeout=120)
    assert process.returncode == 0
    assert is_whole(copy / "report")
    assert left_beside(copy / "report") == []


@pytest.mark.parametrize("command", ["report", "check"])
def test_reader_of_the_output_that_goes_away_is_no_fault(command, place, tmp_path):
    """As in ``fleet report tanks.xlsx | head -1``."""
    reads, writes = os.pipe()
    out = ["--out", tmp_path / "new"] if command == "report" else []
    day = [DAY] if command == "report" else []
    process = start(command, place / "small.xlsx", *day, *out, stdout=writes)
    os.close(reads)
    os.close(writes)
    _, err = process.communicate(timeout=60)
    assert process.returncode == 1
    assert err == ""
    if command == "report":
        assert is_whole(tmp_path / "new")


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs /dev/full")
def test_full_disk_behind_standard_output_is_one_line(place):
    with open("/dev/full", "w") as full:  # noqa: PTH123
        process = start("check", place / "small.xlsx", stdout=full)
        _, err = process.communicate(timeout=60)
    assert process.returncode == 3
    assert err == ("fleet: No space left on device; nothing half-written was left.\n")


def test_letters_the_terminal_has_not_are_no_fault(place, tmp_path):
    book = tmp_path / "b.xlsx"
    odd = [AS_OF, "水槽", "", 5]
    book.write_bytes(
        xlsx({**added("Tanks", tank(tank="水槽")), "Readings": (*READINGS, odd)})
    )
    plain = {"PYTHONIOENCODING": "latin-1", "PYTHONUTF8": "0"}
    status, out, err = run("check", book, env=plain, encoding="latin-1")
    assert (status, err) == (0, "")
    assert "b.xlsx · Readings: 6 rows, 6 used" in out
    status, out, err = run("explain", book, "水槽", DAY, env=plain, encoding="latin-1")
    assert (status, err) == (0, "")
    assert r"\u6c34\u69fd" in out


# ------------------------------------------------------------------- no network


def guarded(*arguments, **how):
    guard = {"PYTHONPATH": os.pathsep.join((str(GUARD), str(ROOT)))}
    return run(*arguments, env={**guard, **how.pop("env", {})}, **how)


def test_guard_ends_what_it_is_there_to_end(tmp_path):
    for deed in (
        "import socket; socket.socket().connect(('127.0.0.1', 9))",
        "import urllib.request; urllib.request.urlopen('http://127.0.0.1:9')",
        "import subprocess; subprocess.run(['true'])",
        f"open({str(tmp_path.parent / 'outside')!r}, 'w')",
        "open('/etc/passwd')",
    ):
        done = subprocess.run(
            [sys.executable, "-c", f"try:\n    {deed}\nexcept BaseException: pass"],
            env=environment(PYTHONPATH=str(GUARD), FLEET_GUARD_ROOT=str(tmp_path)),
            capture_output=True,
        )
        assert done.returncode == GUARDED, deed


def test_report_asks_nothing_of_any_network(place, tmp_path):
    book = tmp_path / "links.xlsx"
    link = '=WEBSERVICE("http://127.0.0.1:9/")<img src="http://127.0.0.1:9/x.png"/>'
    book.write_bytes(xlsx(added("Tanks", tank(tank="B1", name=link, notes=link))))
    status, _, err = guarded(
        "report", book, DAY, "--out", tmp_path / "new",
        env={"FLEET_GUARD_ROOT": str(tmp_path)},
    )  # fmt: skip
    assert status == 0, err
    assert "GUARD" not in err


@pytest.mark.slow
def test_report_is_the_same_where_there_is_no_network(place, tmp_path):
    alone = ["unshare", "-r", "-n"]
    if not shutil.which("unshare") or subprocess.run([*alone, "true"]).returncode:
        pytest.skip("this machine gives no network of one's own")
    out = tmp_path / "new"
    status, _, err = run(
        "report", place / "small.xlsx", DAY, "--out", out, before=alone
    )
    assert status == 0, err
    assert bytes_of(out).keys() == bytes_of(place / "report").keys()


# --------------------------------------------------------- the same, whenever run


@pytest.mark.slow
def test_neither_clock_nor_place_nor_chance_changes_a_byte(place, tmp_path):
    seen = []
    for number, (zone, chance, tongue) in enumerate(
        (("Pacific/Kiritimati", "1", "C.UTF-8"), ("America/Adak", "2", "POSIX"))
    ):
        here = tmp_path / f"place-{number}"
        here.mkdir()
        out = here / "report"
        book = here / "large.xlsx"
        shutil.copy(place / "large.xlsx", book)
        how = {"TZ": zone, "PYTHONHASHSEED": chance, "LC_ALL": tongue}
        jobs = ["--jobs", str(1 + number)]
        done = run("report", book, DAY, "--out", out, *jobs, env=how, cwd=here)
        assert done[0] == 0, done[2]
        seen.append(bytes_of(out))
        time.sleep(1.1)  # zip and PDF files count the time in seconds
    assert seen[0].keys() == seen[1].keys()
    for name in seen[0]:
        assert seen[0][name] == seen[1][name], name
