"""A set of files is there whole or not at all, whatever fails and whenever."""

import errno
import hashlib
import json
import os
import random
import signal
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import pytest

from fleet.errors import UnwritableError
from fleet.render import in_place
from fleet.render.publish import check_target, publish, write_whole

NAMES = ("one.txt", "two.txt", "three.txt")
posix = pytest.mark.skipif(os.name != "posix", reason="needs POSIX")


def files(version, names=NAMES):
    def writer(name):
        return lambda path: path.write_text(f"{name} {version}\n" * 50)

    return {name: writer(name) for name in names}


def version_of(folder):
    """Return the one version in ``folder``; fail on a torn or mixed set."""
    manifest = json.loads((folder / "manifest.json").read_text())
    assert manifest["schema"] == "fleet-manifest/1"
    listed = manifest["files"]
    assert {path.name for path in folder.iterdir()} == {*listed, "manifest.json"}
    for name, digest in listed.items():
        assert hashlib.sha256((folder / name).read_bytes()).hexdigest() == digest
    versions = {(folder / name).read_text().split()[1] for name in listed}
    assert len(versions) == 1
    return versions.pop()


def beside(folder):
    return sorted(path.name for path in folder.parent.iterdir() if path != folder)


@pytest.fixture
def target(tmp_path):
    return tmp_path / "shop" / "report"


@pytest.fixture(params=["exchanged", "renamed"])
def way(request, monkeypatch):
    if request.param == "renamed":
        monkeypatch.setattr(in_place, "exchange", lambda one, other: False)
    return request.param


def test_new_set_is_whole_and_nothing_else_is_left(target):
    publish(target, files("1"))
    assert version_of(target) == "1"
    assert beside(target) == []


@posix
def test_report_is_for_all_whom_the_umask_lets_in(target):
    before = os.umask(0o022)
    try:
        publish(target, files("1"))
    finally:
        os.umask(before)
    assert target.stat().st_mode & 0o777 == 0o755


def test_earlier_set_is_replaced_as_a_whole(target, way):
    publish(target, files("1"))
    publish(target, files("2", NAMES[:2]))
    assert version_of(target) == "2"
    assert beside(target) == []


@posix
def test_linux_exchanges_in_one_step(tmp_path):
    for name in ("a", "b"):
        (tmp_path / name).mkdir()
        (tmp_path / name / name).touch()
    if not in_place.exchange(tmp_path / "a", tmp_path / "b"):
        pytest.skip("this system cannot exchange two folders")
    assert (tmp_path / "a" / "b").exists()
    assert (tmp_path / "b" / "a").exists()


class Failing:
    """Make the n-th call of anything that touches the disk fail."""

    def __init__(self, monkeypatch, error):
        self.calls, self.at, self.error = 0, 0, error
        for owner, name in (
            (os, "fsync"),
            (os, "open"),
            (Path, "rename"),
            (Path, "write_text"),
            (Path, "open"),
            (Path, "chmod"),
            (Path, "mkdir"),
            (tempfile, "mkdtemp"),
            (in_place, "exchange"),
        ):
            self.wrap(monkeypatch, owner, name)

    def wrap(self, monkeypatch, owner, name):
        real = getattr(owner, name)

        def call(*args, **kwargs):
            self.calls += 1
            if self.calls == self.at:
                raise self.error
            return real(*args, **kwargs)

        monkeypatch.setattr(owner, name, call)

    def fail_at(self, number):
        self.calls, self.at = 0, number


@pytest.mark.parametrize("earlier", [True, False], ids=["replaced", "new"])
def test_whichever_call_fails_the_earlier_set_stays(target, way, earlier, monkeypatch):
    if earlier:
        publish(target, files("old"))
    failing = Failing(monkeypatch, OSError(errno.ENOSPC, "No space left on device"))
    for number in range(1, 200):
        failing.fail_at(number)
        try:
            publish(target, files("new"))
        except UnwritableError as err:
            failing.fail_at(0)
            assert "\n" not in str(err)
            assert "unchanged: make room on that disk" in str(err)
            assert not earlier or version_of(target) == "old"
            assert earlier or not target.exists()
            assert not target.parent.exists() or beside(target) == []
            continue
        break
    failing.fail_at(0)
    assert number > 15
    assert version_of(target) == "new"
    assert beside(target) == []


def test_whenever_it_is_interrupted_one_set_is_there_whole(target, way, monkeypatch):
    publish(target, files("old"))
    failing = Failing(monkeypatch, KeyboardInterrupt())
    seen = set()
    for number in range(1, 200):
        failing.fail_at(number)
        try:
            publish(target, files("new"))
        except KeyboardInterrupt:
            failing.fail_at(0)
            seen.add(version_of(target))
            assert beside(target) == []
            if "new" in seen:
                publish(target, files("old"))
            continue
        break
    assert "old" in seen
    assert number > 15


def test_writer_that_fails_leaves_nothing(target):
    publish(target, files("old"))

    def torn(path):
        path.write_text("half")
        raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        publish(target, files("new") | {"torn.txt": torn})
    assert version_of(target) == "old"
    assert beside(target) == []


def test_set_may_not_write_outside_its_folder(target):
    with pytest.raises(ValueError, match="no file name"):
        publish(target, files("1", ["../up.txt"]))
    assert beside(target) == []


# ---------------------------------------------------------------------- refusals


def refusal(folder, inputs=()):
    with pytest.raises(UnwritableError) as caught:
        publish(folder, files("1"), inputs)
    assert "\n" not in str(caught.value)
    return str(caught.value).replace(str(folder), "X")


def test_folder_with_an_input_in_it_is_refused(target):
    target.mkdir(parents=True)
    book = target / "tanks.xlsx"
    book.write_text("readings")
    said = "X holds {}, which is being read: choose another folder with --out."
    assert refusal(target, [book]) == said.format("tanks.xlsx")
    assert refusal(target, [target]) == said.format("report")
    assert book.read_text() == "readings"


def test_folder_of_someone_else_is_refused(target):
    target.mkdir(parents=True)
    (target / "photo.jpg").write_text("mine")
    assert refusal(target) == (
        "X is not empty and not a report folder: choose an empty or a new folder "
        "with --out."
    )
    (target / "manifest.json").write_text('{"name": "an app", "files": {}}')
    assert "not a report folder" in refusal(target)
    (target / "manifest.json").write_text("[" * 100_000)
    assert "not a report folder" in refusal(target)
    assert (target / "photo.jpg").read_text() == "mine"


def test_what_a_person_added_or_changed_is_not_thrown_away(target):
    publish(target, files("1"))
    (target / "notes.txt").write_text("call Ana")
    assert refusal(target) == (
        "X holds notes.txt, which no report put there: move it away, or choose "
        "another folder with --out."
    )
    (target / "notes.txt").unlink()
    (target / "two.txt").write_text("ticked")
    assert refusal(target) == (
        "X holds two.txt, which was changed after the report was written: move it "
        "away, or choose another folder with --out."
    )
    assert (target / "two.txt").read_text() == "ticked"


def test_empty_folder_is_taken_and_inputs_elsewhere_do_not_hinder(target, tmp_path):
    target.mkdir(parents=True)
    publish(target, files("1"), [tmp_path / "tanks.xlsx", target.parent])
    assert version_of(target) == "1"


def test_manifest_that_is_a_link_makes_no_folder_ours(target, tmp_path):
    publish(target, files("1"))
    (target / "manifest.json").rename(tmp_path / "moved.json")
    (target / "manifest.json").symlink_to(tmp_path / "moved.json")
    assert "not a report folder" in refusal(target)


def test_what_systems_drop_into_a_folder_does_not_hinder(target):
    publish(target, files("1"))
    for name in (".DS_Store", "Thumbs.db", ".~lock.summary.xlsx#", "~$summary.xlsx"):
        (target / name).touch()
    publish(target, files("2"))
    assert version_of(target) == "2"


def test_file_link_and_working_folder_are_refused(target, tmp_path, monkeypatch):
    target.parent.mkdir()
    target.write_text("a file")
    assert refusal(target) == "X is a file: choose another folder with --out."
    link = tmp_path / "link"
    link.symlink_to(target.parent)
    assert refusal(link) == "X is a link: name the folder itself."
    monkeypatch.chdir(target.parent)
    assert "is the folder you are in" in refusal(Path())


def test_what_another_command_wrote_is_not_replaced(target):
    publish(target, files("1"), command="report")
    publish(target, files("2"), command="report")
    with pytest.raises(UnwritableError) as caught:
        publish(target, files("3"), command="progress")
    assert str(caught.value) == (
        f"{target} holds what `fleet report` wrote: choose another folder with --out."
    )
    assert version_of(target) == "2"


def test_a_set_that_does_not_say_who_wrote_it_is_replaced(target):
    publish(target, files("1"))
    publish(target, files("2"), command="progress")
    assert version_of(target) == "2"


def test_target_can_be_checked_before_any_work_is_done(target):
    check_target(target, [])
    target.parent.mkdir()
    target.touch()
    with pytest.raises(UnwritableError):
        check_target(target, [])


def test_folder_name_cannot_steer_the_terminal(tmp_path):
    folder = tmp_path / "a\x1b[31mb"
    folder.touch()
    with pytest.raises(UnwritableError) as caught:
        check_target(folder)
    assert "\x1b" not in str(caught.value)


# ------------------------------------------------------- two at once, and the dead


def test_second_run_at_once_is_told_to_wait(target):
    def meanwhile(path):
        with pytest.raises(UnwritableError, match="being written by another run: wait"):
            publish(target, files("2"))
        path.write_text("x 1\n")

    publish(target, {**files("1", ["a.txt"]), "b.txt": meanwhile})
    assert version_of(target) == "1"
    assert beside(target) == []


def test_earlier_set_put_aside_by_a_killed_run_comes_back(target, monkeypatch):
    publish(target, files("old"))
    with monkeypatch.context() as patch:
        patch.setattr(in_place, "exchange", lambda one, other: False)
        patch.setattr("fleet.render.publish.tidy", lambda target: None)
        real = Path.rename

        def killed(path, to):
            if path.name.startswith(".report") and to == target.resolve():
                raise KeyboardInterrupt
            return real(path, to)

        patch.setattr(Path, "rename", killed)
        with pytest.raises(KeyboardInterrupt):
            publish(target, files("new"))
    assert not target.exists()
    assert len(beside(target)) == 2
    with pytest.raises(ZeroDivisionError):
        publish(target, {"a.txt": lambda path: 1 / 0})
    assert version_of(target) == "old"
    assert beside(target) == []


CHILD = """
import sys
from pathlib import Path
from fleet.render import in_place
from fleet.render.publish import publish
if sys.argv[2] == "renamed":
    in_place.exchange = lambda one, other: False
def writer(version):
    return lambda path: path.write_text(f"{path.name} {version}\\n" * 2000)
print("ready", flush=True)
for version in range(100000):
    publish(Path(sys.argv[1]), {f"{n}.txt": writer(version) for n in range(5)})
"""


def kill_at_random(target, times, way, seed):
    chance = random.Random(seed)
    for _ in range(times):
        child = subprocess.Popen(
            [sys.executable, "-c", CHILD, str(target), way],
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
        )
        with child:
            assert child.stdout.readline() == b"ready\n", child.stderr.read()
            time.sleep(chance.uniform(0.001, 0.06))
            child.send_signal(signal.SIGKILL)
            child.wait()
        if target.exists():
            version_of(target)
        elif way == "renamed":
            away = [p for p in target.parent.glob(".*.old") if p.is_dir()]
            assert not away or version_of(away[0]) is not None
    publish(target, files("last"))
    assert version_of(target) == "last"
    assert beside(target) == []


@posix
def test_killed_at_random_it_leaves_one_whole_set(target, way):
    kill_at_random(target, 4, way, seed=1)


@posix
@pytest.mark.slow
def test_killed_three_hundred_times_it_leaves_one_whole_set(target, way):
    kill_at_random(target, 300, way, seed=2)


FULL = """
import resource, sys
from pathlib import Path
from fleet.errors import UnwritableError
from fleet.render.publish import publish
if sys.argv[2] == "limit":
    resource.setrlimit(resource.RLIMIT_FSIZE, (100_000, 100_000))
try:
    publish(Path(sys.argv[1]), {
        "a.txt": lambda path: path.write_text("a 2"),
        "b.txt": lambda path: path.write_bytes(b"x" * 9_000_000),
    })
except UnwritableError as err:
    print(err)
    sys.exit(3)
"""


def run_full(target, how):
    return subprocess.run(
        [sys.executable, "-c", FULL, str(target), how], capture_output=True, text=True
    )


@posix
def test_file_that_the_system_will_not_let_grow(target):
    publish(target, files("old"))
    done = run_full(target, "limit")
    assert (done.returncode, done.stderr) == (3, "")
    assert "cannot be written (File too large)" in done.stdout
    assert version_of(target) == "old"
    assert beside(target) == []


@posix
@pytest.mark.slow
def test_disk_that_is_full(tmp_path):
    disk = tmp_path / "disk"
    disk.mkdir()
    mount = ["mount", "-t", "tmpfs", "-o", "size=2m", "tmpfs", str(disk)]
    if os.geteuid() != 0 or subprocess.run(mount, capture_output=True).returncode:
        pytest.skip("mounting a small disk needs root")
    try:
        target = disk / "report"
        publish(target, files("old"))
        done = run_full(target, "full")
        assert (done.returncode, done.stderr) == (3, "")
        assert "No space left on device" in done.stdout
        assert "make room on that disk" in done.stdout
        assert version_of(target) == "old"
        assert beside(target) == []
    finally:
        subprocess.run(["umount", str(disk)], check=True)


@posix
@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="as root")
def test_folder_that_may_not_be_written(target):
    target.parent.mkdir()
    target.parent.chmod(0o555)
    try:
        assert "choose a folder you may write to" in refusal(target)
    finally:
        target.parent.chmod(0o755)


# ---------------------------------------------------- systems other than this one


def failing(monkeypatch, owner, name, number, times=10**9):
    """Make ``owner.name`` fail with an error number so many times."""
    real, left = getattr(owner, name), [times]

    def call(*args, **kwargs):
        if left[0]:
            left[0] -= 1
            raise OSError(number, os.strerror(number))
        return real(*args, **kwargs)

    monkeypatch.setattr(owner, name, call)


@posix
def test_disk_that_cannot_lock_or_sync_folders_still_serves(target, monkeypatch):
    import fcntl

    failing(monkeypatch, fcntl, "flock", errno.ENOLCK)
    real = os.fsync

    def only_files(opened):
        if not os.path.isfile(f"/proc/self/fd/{opened}"):  # noqa: PTH113
            raise OSError(errno.EINVAL, "Invalid argument")
        real(opened)

    monkeypatch.setattr(os, "fsync", only_files)
    for version in "12":
        publish(target, files(version))
        assert version_of(target) == version


@posix
def test_disk_that_cannot_exchange_takes_two_renames(target, monkeypatch):
    import ctypes

    publish(target, files("1"))
    monkeypatch.setattr(ctypes, "get_errno", lambda: errno.EINVAL)

    class Library:
        def __init__(self, name, use_errno):
            self.renameat2 = lambda *args: -1

    monkeypatch.setattr(ctypes, "CDLL", Library)
    publish(target, files("2"))
    assert version_of(target) == "2"
    monkeypatch.setattr(ctypes, "CDLL", lambda name, use_errno: object())
    publish(target, files("3"))
    assert version_of(target) == "3"
    assert beside(target) == []


@posix
def test_exchange_that_is_refused_is_an_error(target, monkeypatch):
    import ctypes

    publish(target, files("1"))
    monkeypatch.setattr(ctypes, "get_errno", lambda: errno.EROFS)

    class Library:
        def __init__(self, name, use_errno):
            self.renameat2 = lambda *args: -1

    monkeypatch.setattr(ctypes, "CDLL", Library)
    assert "choose a folder you may write to" in refusal(target)
    assert version_of(target) == "1"


def test_file_held_open_by_a_scanner_is_waited_for(target, monkeypatch):
    waits = []
    monkeypatch.setattr(in_place, "_TRIES", 3)
    monkeypatch.setattr(time, "sleep", waits.append)
    failing(monkeypatch, Path, "rename", errno.EACCES, times=2)
    publish(target, files("1"))
    assert version_of(target) == "1"
    assert len(waits) == 2
    failing(monkeypatch, Path, "rename", errno.EACCES)
    assert "cannot be written (Permission denied)" in refusal(target.with_name("b"))


def test_folder_that_will_not_sync_gives_the_earlier_set_back(target, way, monkeypatch):
    publish(target, files("old"))
    real, parent = in_place.sync_folder, target.parent.resolve()

    def sync(folder):
        if folder == parent:
            raise OSError(errno.EIO, "Input/output error")
        real(folder)

    monkeypatch.setattr(in_place, "sync_folder", sync)
    assert "Input/output error" in refusal(target)
    assert version_of(target) == "old"
    assert "Input/output error" in refusal(target.with_name("other"))
    assert beside(target) == []


@posix
def test_lock_that_is_removed_while_it_is_taken_is_taken_again(target, monkeypatch):
    real, seen = in_place.lock, []

    def lock(opened):
        real(opened)
        seen.append(opened)
        if len(seen) == 1:
            (path,) = target.parent.glob(".report-*.lock")
            path.unlink()

    monkeypatch.setattr(in_place, "lock", lock)
    publish(target, files("1"))
    assert len(seen) == 2
    assert beside(target) == []


# ------------------------------------------------------------------- a single file


def test_single_file_is_written_whole(tmp_path):
    path = tmp_path / "marked.xlsx"
    write_whole(path, lambda made: made.write_text("whole"))
    assert path.read_text() == "whole"
    assert beside(path) == []


def test_single_file_replaces_nothing(tmp_path):
    book = tmp_path / "tanks.xlsx"
    book.write_text("mine")
    with pytest.raises(UnwritableError) as caught:
        write_whole(book, lambda path: path.write_text("x"), inputs=[book])
    assert str(caught.value) == (f"{book} is what is being read: choose another name.")
    with pytest.raises(UnwritableError, match="exists already: choose another name"):
        write_whole(book, lambda path: path.write_text("x"))
    assert book.read_text() == "mine"


def test_single_file_that_fails_leaves_nothing(tmp_path):
    def torn(path):
        path.write_text("half")
        raise OSError(errno.ENOSPC, "No space left on device")

    with pytest.raises(UnwritableError, match="make room on that disk"):
        write_whole(tmp_path / "a.xlsx", torn)
    assert list(tmp_path.iterdir()) == []
