"""Fleet beside the floor and the afternoon script, all in one run.

    python -m tests.bench.compare                      # 1,000 tanks, a few minutes
    python -m tests.bench.compare --tanks 100 --tanks 1000 --tanks 10000

Whole processes, start-up included, in turn; the best of the rounds each. A machine's
speed drifts, so only ratios within one run mean anything. ``--hold`` makes the exit
status say whether the goals of DEVELOPERS.md are met.
"""

from __future__ import annotations

import json
import math
import os
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import NamedTuple

import click

from tests.bench import books

ROOT = Path(__file__).resolve().parents[2]
AS_OF = books.LAST_DAY.date().isoformat()

ONE, TWO, GAIN, AFTERNOON, GROWTH, MEMORY = 3.0, 1.7, 1.7, 4.0, 1.05, 1500.0
_AFTERNOON_UP_TO = 1000  # tanks; it takes minutes from there


class Run(NamedTuple):
    """One whole process."""

    seconds: float
    megabytes: float  # of its largest process


def run(command: list[str]) -> Run:
    """Run one command to its end.

    Raises
    ------
    SystemExit
        It failed: a time of a run that did nothing must not be divided by.
    """
    with tempfile.TemporaryFile() as said:
        started = time.perf_counter()
        process = subprocess.Popen(command, stdout=said, stderr=said, cwd=ROOT)
        _, status, used = os.wait4(process.pid, 0)
        seconds = time.perf_counter() - started
        process.returncode = os.waitstatus_to_exitcode(status)
        if process.returncode:
            said.seek(0)
            sys.exit(f"{command}: {said.read().decode()[-500:]}")
    return Run(seconds, used.ru_maxrss / 1024)


def commands(book: Path, out: Path, tanks: int) -> dict[str, list[str]]:
    """Return what is compared."""
    python = sys.executable
    report = [python, "-m", "fleet", "report", str(book), "--as-of", AS_OF, "--all"]
    made = {
        "floor": [python, "-m", "tests.bench.floor", str(book), str(out / "floor")],
        "fleet, 1 process": [*report, "--out", str(out / "one"), "--jobs", "1"],
        "fleet, 2 processes": [*report, "--out", str(out / "two"), "--jobs", "2"],
    }
    if tanks <= _AFTERNOON_UP_TO:
        made["afternoon"] = [
            python, "-m", "tests.bench.afternoon", str(book), str(out / "afternoon"),
        ]  # fmt: skip
    return made


def measure(
    tanks: int, weeks: int, rounds: int, folder: Path, plain: bool
) -> dict[str, Run]:
    """Return the best run of each command, after checking that the bytes agree."""
    book = folder / f"{tanks}.xlsx"
    books.write(book, tanks, weeks, seed=1, plain=plain)
    best: dict[str, Run] = {}
    for _ in range(rounds):
        for name, command in commands(book, folder, tanks).items():
            now = run(command)
            best[name] = min(best.get(name, now), now)
        _same(folder / "one", folder / "two")
        for made in ("floor", "one", "two", "afternoon"):
            shutil.rmtree(folder / made, ignore_errors=True)
    return best


def _same(one: Path, two: Path) -> None:
    for path in sorted(one.iterdir()):
        if path.read_bytes() != (two / path.name).read_bytes():
            sys.exit(f"{path.name} differs between one process and two")


def table(tanks: int, best: dict[str, Run]) -> list[str]:
    """Return the lines that say how the runs of one size compare."""
    floor = best["floor"].seconds
    lines = [f"{tanks} tanks", "  command              s    x floor   MB    ms a tank"]
    for name, now in best.items():
        lines.append(
            f"  {name:18} {now.seconds:6.2f} {now.seconds / floor:7.2f} "
            f"{now.megabytes:7.0f} {1000 * now.seconds / tanks:8.2f}"
        )
    return lines


def missed(tanks: int, best: dict[str, Run]) -> list[str]:
    """Return the goals that one size misses."""
    floor, one = best["floor"].seconds, best["fleet, 1 process"]
    two = best["fleet, 2 processes"]
    goals = {
        f"one process <= {ONE} x the floor": one.seconds <= ONE * floor,
        f"two processes <= {TWO} x the floor": two.seconds <= TWO * floor,
        f"two processes >= {GAIN} x one": one.seconds >= GAIN * two.seconds,
        f"at most {MEMORY:.0f} MB": max(one.megabytes, two.megabytes) <= MEMORY,
    }
    if "afternoon" in best:
        slow = best["afternoon"].seconds
        goals[f">= {AFTERNOON} x the afternoon"] = slow >= AFTERNOON * one.seconds
    if tanks < 1000:  # start-up is most of it
        return []
    return [f"{tanks} tanks: missed: {goal}" for goal, met in goals.items() if not met]


def parts(book: Path) -> dict[str, float]:
    """Return where the time of one report goes."""
    command = [sys.executable, "-m", "tests.bench.stages", str(book), "--json"]
    done = subprocess.run(command, cwd=ROOT, check=True, capture_output=True)
    spent: dict[str, float] = json.loads(done.stdout)
    return spent


@click.command()
@click.option("--tanks", "sizes", default=(1000,), multiple=True, show_default=True)
@click.option("--weeks", default=26, show_default=True)
@click.option("--rounds", default=2, show_default=True)
@click.option("--plain", is_flag=True, help="Tanks and readings alone, without a log.")
@click.option("--hold", is_flag=True, help="Exit with 1 where a goal is missed.")
def main(
    sizes: tuple[int, ...], weeks: int, rounds: int, plain: bool, hold: bool
) -> None:
    """Print times, ratios, memory, growth, and where the time goes."""
    misses: list[str] = []
    measured: dict[int, dict[str, Run]] = {}
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for tanks in sizes:
            measured[tanks] = measure(tanks, weeks, rounds, folder, plain)
            click.echo("\n".join(table(tanks, measured[tanks])))
            misses += missed(tanks, measured[tanks])
        click.echo(f"where the time goes, {sizes[-1]} tanks, one process")
        for part, seconds in parts(folder / f"{sizes[-1]}.xlsx").items():
            click.echo(f"  {seconds:8.2f} s  {part}")
    least, most = min(sizes), max(sizes)
    if most > least:
        for command in ("floor", "fleet, 1 process"):
            ratio = measured[most][command].seconds / measured[least][command].seconds
            growth = math.log(ratio) / math.log(most / least)
            click.echo(f"growth of {command}: exponent {growth:.2f}")
            if command != "floor" and growth > GROWTH:
                misses.append(f"missed: growth exponent <= {GROWTH}")
    click.echo("\n".join(misses) or "all goals met")
    sys.exit(bool(hold and misses))


if __name__ == "__main__":
    main()
