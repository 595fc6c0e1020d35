"""Every way that a command can end, and its status (see the README)."""

import errno
import os
from pathlib import Path

import pytest
from click.testing import CliRunner
from made_files import TANKS, added, changed, reading, xlsx

from fleet.cli import main
from fleet.render import publish

DAY = "--as-of=2026-03-30"
DONE, NOTHING, USAGE, FILE = 0, 1, 2, 3


@pytest.fixture
def here(tmp_path, monkeypatch):
    """A folder to work in, with a workbook of each kind."""
    monkeypatch.chdir(tmp_path)
    for name, data in {
        "good.xlsx": xlsx(),
        "left-out.xlsx": xlsx(added("Readings", reading(nitrate="about five"))),
        "no-readings.xlsx": xlsx({"Tanks": TANKS}),
        "no-tank.xlsx": xlsx({"Budget": (("Rent", 5),)}),
        "cut.xlsx": xlsx()[:900],
        "empty.xlsx": b"",
        "future.xlsx": xlsx(changed("Readings", [["Date", "Tank", "Nitrate"],
                                                 ["2099-01-01", "A1", 4]])),
        "words.txt": b"no report",
    }.items():  # fmt: skip
        Path(name).write_bytes(data)
    Path("folder").mkdir()
    Path("folder/mine.txt").write_text("mine")
    Path("hollow").mkdir()
    Path("link").symlink_to("folder")
    return tmp_path


ENDS = [
    # report
    (f"report good.xlsx {DAY} --out new --format json", DONE, ""),
    (f"report left-out.xlsx {DAY} --out new --format json", DONE, ""),
    (f"report good.xlsx cut.xlsx {DAY} --out new --format json", DONE, "cut.xlsx: "),
    (f"report good.xlsx none.xlsx {DAY} --out new --format json", DONE, "none.xlsx: "),
    ("report no-tank.xlsx --out new", NOTHING, "no tank was found"),
    ("report no-readings.xlsx --out new", NOTHING, "no reading could be used"),
    ("report cut.xlsx no-readings.xlsx --out new", NOTHING, "cut.xlsx: the file is"),
    ("report cut.xlsx --out new", FILE, "incomplete or damaged"),
    ("report cut.xlsx empty.xlsx --out new", FILE, "empty.xlsx: the file is empty"),
    ("report none.xlsx --out new", FILE, "there is no such file"),
    ("report hollow --out new", FILE, "holds no workbook"),
    (f"report good.xlsx {DAY} --out folder", FILE, "not a report folder"),
    (f"report good.xlsx {DAY} --out words.txt", FILE, "is a file"),
    (f"report good.xlsx {DAY} --out link", FILE, "is a link"),
    (f"report good.xlsx {DAY} --out .", FILE, "holds good.xlsx, which is being read"),
    (f"report {{here}}/good.xlsx {DAY} --out {{here}}", FILE, "which is being read"),
    (f"report good.xlsx {DAY} --out words.txt/new", FILE, "cannot be written"),
    (f"report good.xlsx {DAY} --out new --tank Z9", USAGE, "No tank is called 'Z9'"),
    (f"report good.xlsx {DAY} --out new --format docx", USAGE, "docx"),
    (f"report good.xlsx {DAY} --out new --earlier hollow", FILE, "no such report"),
    ("report good.xlsx --as-of 30.3.2026 --out new", USAGE, "2026-11-21"),
    ("report good.xlsx --paper A0 --out new", USAGE, "A0"),
    ("report good.xlsx --only sometime --out new", USAGE, "sometime"),
    ("report good.xlsx --layout none.toml --out new", FILE, "none.toml"),
    (f"report good.xlsx {DAY} --layout words.txt --out new", FILE, "words.txt: "),
    ("report", USAGE, "Missing argument"),
    ("report --nonsense", USAGE, "--nonsense"),
    # check
    ("check good.xlsx", DONE, ""),
    ("check left-out.xlsx", NOTHING, ""),
    ("check good.xlsx cut.xlsx", NOTHING, ""),
    ("check cut.xlsx", FILE, "incomplete or damaged"),
    ("check left-out.xlsx --marked new.xlsx", NOTHING, ""),
    ("check good.xlsx --marked good.xlsx", FILE, "is what is being read"),
    ("check good.xlsx --marked cut.xlsx", FILE, "exists already"),
    ("check good.xlsx left-out.xlsx --marked new.xlsx", USAGE, "name just one"),
    ("check cut.xlsx --suggest-layout", FILE, "incomplete or damaged"),
    ("check", USAGE, "Missing argument"),
    # the others
    ("start new.xlsx", DONE, "Written: new.xlsx"),
    ("start new.xlsx --from good.xlsx", DONE, "Written: new.xlsx"),
    ("start good.xlsx", USAGE, "is there already"),
    ("start new.doc", USAGE, ".xlsx"),
    ("start", USAGE, "Name the workbook"),
    ("start new.xlsx --from cut.xlsx", FILE, "incomplete or damaged"),
    ("start new.xlsx --from none.xlsx", FILE, "there is no such file"),
    ("start words.txt/new.xlsx", FILE, "cannot be written"),
    (f"explain good.xlsx A1 {DAY}", DONE, ""),
    (f"explain good.xlsx Z9 {DAY}", USAGE, "No tank is called 'Z9'"),
    (f"explain no-readings.xlsx A1 {DAY}", NOTHING, "no reading could be used"),
    (f"explain cut.xlsx A1 {DAY}", FILE, "incomplete or damaged"),
    ("dose sodium-nitrate --volume 400 --rise 2", DONE, ""),
    ("dose sugar --volume 400 --rise 2", USAGE, "No salt is called 'sugar'"),
    ("dose sodium-nitrate --volume 0 --rise 2", USAGE, "above zero"),
    ("dose sodium-nitrate --volume 400 --rise nan", USAGE, "above zero"),
    (f"progress cut.xlsx {DAY} --out new", FILE, "incomplete or damaged"),
    ("nonsense", USAGE, "nonsense"),
    ("--version", DONE, ""),
    ("--help", DONE, ""),
]


def run(line):
    return CliRunner().invoke(main, line.split())


def here_now(folder):
    return {
        str(path.relative_to(folder)): path.read_bytes() if path.is_file() else None
        for path in folder.rglob("*")
    }


@pytest.mark.parametrize(("line", "status", "says"), ENDS, ids=lambda part: str(part))
def test_command_ends_with_its_status_and_one_line(line, status, says, here):
    before = here_now(here)
    done = run(line.format(here=here))
    assert done.exit_code == status, done.output
    assert isinstance(done.exception, SystemExit | None)
    assert says in done.stderr
    after = here_now(here)
    assert before.items() <= after.items()
    assert not [name for name in after if name.startswith(".")]
    if status in (DONE, NOTHING) and not line.startswith("report"):
        return
    if status != DONE:
        # What failed wrote nothing at all, and said so in a line for each file.
        assert after == before
        assert done.stdout == ""
        if status != USAGE or done.stderr.startswith("fleet: "):
            lines = done.stderr.splitlines()
            assert len(lines) <= 2
            assert all(line.startswith("fleet: ") for line in lines)


class Full:
    """Standard output on a disk that is full."""

    def __init__(self, number):
        self.number = number

    def __call__(self, *args, **kwargs):
        raise OSError(self.number, os.strerror(self.number))


@pytest.mark.parametrize(
    ("number", "says"),
    [
        (errno.ENOSPC, "make room on that disk"),
        (errno.EACCES, "choose a folder you may write to"),
        (errno.EROFS, "choose a folder you may write to"),
        (errno.EIO, "choose another place"),
    ],
)
def test_disk_that_fails_is_one_line(number, says, here, monkeypatch):
    monkeypatch.setattr(publish.os, "fsync", Full(number))
    before = here_now(here)
    done = run(f"report good.xlsx {DAY} --out new --format json")
    assert done.exit_code == FILE
    assert done.stderr.count("\n") == 1
    assert says in done.stderr
    assert here_now(here) == before


def test_lack_of_memory_is_one_line(here, monkeypatch):
    def short(*args, **kwargs):
        raise MemoryError

    monkeypatch.setattr("fleet.pipeline.report", short)
    done = run(f"report good.xlsx {DAY} --out new")
    assert done.exit_code == FILE
    assert done.stderr == (
        "fleet: there is not enough memory for this; nothing half-written was left.\n"
    )


def test_fault_of_our_own_is_not_hidden(here, monkeypatch):
    def fault(*args, **kwargs):
        raise ZeroDivisionError

    monkeypatch.setattr("fleet.pipeline.report", fault)
    done = run(f"report good.xlsx {DAY} --out new")
    assert isinstance(done.exception, ZeroDivisionError)
    assert not (here / "new").exists()
