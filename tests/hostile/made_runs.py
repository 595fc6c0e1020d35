"""Runs of the command line in processes of their own, for the tests that stop them."""

from __future__ import annotations

import hashlib
import json
import os
import shutil
import signal
import subprocess
import sys

from made_files import AS_OF, added, reading, tank, xlsx
from run_limited import ROOT

DAY = f"--as-of={AS_OF}"
ENDS = {signal.SIGINT: (130, "stopped"), signal.SIGTERM: (143, "ended from outside")}


def environment(**more):
    kept = {name: os.environ[name] for name in ("PATH", "HOME") if name in os.environ}
    return {**kept, "PYTHONPATH": str(ROOT), "LC_ALL": "C.UTF-8", **more}


def start(*arguments, before=(), **how):
    """Start the command line in a session of its own, as a terminal does."""
    how = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE, "text": True, **how}
    how["env"] = environment(**how.pop("env", {}))
    command = [*before, sys.executable, "-m", "fleet", *map(str, arguments)]
    return subprocess.Popen(command, start_new_session=True, **how)


def run(*arguments, **how):
    process = start(*arguments, **how)
    out, err = process.communicate(timeout=120)
    return process.returncode, out, err


def many_tanks(count):
    """Return a workbook of so many tanks, each read three times."""
    tanks = [tank(tank=f"T{n}", name=f"Tank {n}") for n in range(count)]
    rows = []
    for number in range(count):
        for day in (15, 22, 29):
            row = reading(nitrate=number % 9, phosphate=0.03, ph=8.1, alkalinity=8)
            row[:2] = [AS_OF.replace(day=day), f"T{number}"]
            rows.append(row)
    return xlsx(
        {**added("Tanks", *tanks), "Readings": added("Readings", *rows)["Readings"]}
    )


def bytes_of(folder):
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def is_whole(folder):
    listed = json.loads((folder / "manifest.json").read_bytes())["files"]
    assert {path.name for path in folder.iterdir()} == {*listed, "manifest.json"}
    for name, digest in listed.items():
        assert hashlib.sha256((folder / name).read_bytes()).hexdigest() == digest
    return True


def left_beside(folder):
    return sorted(p.name for p in folder.parent.iterdir() if p.name.startswith("."))


def new_place(folder):
    """Put a small and a large workbook and an earlier report into a folder."""
    (folder / "small.xlsx").write_bytes(xlsx())
    (folder / "large.xlsx").write_bytes(many_tanks(120))
    status, _, err = run(
        "report", folder / "small.xlsx", DAY, "--out", folder / "report"
    )
    assert status == 0, err
    shutil.copytree(folder / "report", folder / "earlier")
    return folder
