"""Run a command in a process with limits on time, memory and where it may write."""

from __future__ import annotations

import os
import resource
import subprocess
import sys
import time
from dataclasses import dataclass
from pathlib import Path

SECONDS = 10.0  # of the processor, for one file and command
MEGABYTES = 500
PATIENCE = 90.0  # seconds by the clock, on a machine that does other things too
ROOM = 4_000_000_000  # bytes of addresses, so that a bomb cannot take the machine
GUARD = Path(__file__).resolve().parent / "guard"
ROOT = GUARD.parents[2]


@dataclass
class Ended:
    """How one process ended."""

    status: int
    out: str
    err: str
    seconds: float
    megabytes: float
    waited: bool  # it had to be stopped


def run(command: list[str], home: Path) -> Ended:
    """Run ``fleet`` with limits, in ``home``, and say how it ended."""

    def limits() -> None:
        cpu = int(SECONDS) * 3 + 5
        resource.setrlimit(resource.RLIMIT_CPU, (cpu, cpu))
        resource.setrlimit(resource.RLIMIT_AS, (ROOM, ROOM))
        resource.setrlimit(resource.RLIMIT_CORE, (0, 0))

    environment = {
        "PATH": os.environ["PATH"],
        "HOME": str(home),
        "TMPDIR": str(home / "tmp"),
        "PYTHONPATH": os.pathsep.join((str(GUARD), str(ROOT))),
        "PYTHONDONTWRITEBYTECODE": "1",
        "FLEET_GUARD_ROOT": str(home),
        "LC_ALL": "C.UTF-8",
    }
    out, err = home / "tmp" / "out", home / "tmp" / "err"
    with out.open("wb") as stdout, err.open("wb") as stderr:
        process = subprocess.Popen(
            [sys.executable, "-m", "fleet", *command],
            stdin=subprocess.DEVNULL,
            stdout=stdout,
            stderr=stderr,
            env=environment,
            cwd=home / "work",
            preexec_fn=limits,
        )
        waited, usage, megabytes, status = _wait(process)
    texts = [path.read_bytes().decode("utf-8", "replace") for path in (out, err)]
    out.unlink()
    err.unlink()
    return Ended(
        status,
        texts[0],
        texts[1],
        usage.ru_utime + usage.ru_stime,
        megabytes,
        waited,
    )


def _wait(
    process: subprocess.Popen,
) -> tuple[bool, resource.struct_rusage, float, int]:
    until = time.monotonic() + PATIENCE
    waited, megabytes = False, 0.0
    while True:
        # The peak that the system itself counts takes in the process forked from,
        # which holds the whole set; this one starts anew with the program.
        megabytes = max(megabytes, _peak(process.pid))
        pid, raw, usage = os.wait4(process.pid, os.WNOHANG)
        if pid:
            process.returncode = os.waitstatus_to_exitcode(raw)
            return waited, usage, megabytes, process.returncode
        if time.monotonic() > until and not waited:
            process.kill()
            waited = True
        time.sleep(0.005)


def _peak(pid: int) -> float:
    """Return the most memory [MB] a process has held so far (Linux; else 0)."""
    try:
        status = Path(f"/proc/{pid}/status").read_text()
        command = Path(f"/proc/{pid}/cmdline").read_bytes()
    except OSError:
        return 0.0
    if b"fleet" not in command:  # forked, and not yet the program
        return 0.0
    found = [line for line in status.splitlines() if line.startswith("VmHWM")]
    return int(found[0].split()[1]) / 1024 if found else 0.0
