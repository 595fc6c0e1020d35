"""Many workbooks, a report each: here, on local processes, or on a cluster.

One code path through joblib, each workbook a task that writes its own report whole
or not at all; what comes back are the rows of the chain's table. On a cluster the
workers must see the same files, and have fleet installed.
"""

from __future__ import annotations

import csv
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from glob import has_magic
from pathlib import Path
from typing import Any

from fleet import runs
from fleet.errors import FleetError, NothingToJudgeError, UnreadableError, UsageError
from fleet.read.sources import expand
from fleet.records import ATTENTION_ORDER, Report
from fleet.render.publish import publish
from fleet.render.safe import for_csv, for_file_name, for_terminal
from fleet.workers import processors

CHAIN = "chain"  # the folder of the chain's own tables, beside the reports
Cell = str | float | int | None

# The columns of the chain's table: one row a workbook, tank and parameter.
COLUMNS = (
    "book", "as_of", "tank", "name", "place", "group", "attention", "score", "stage",
    "situation", "parameter", "value", "low", "high", "band_low", "band_high",
    "verdict", "chance_under", "chance_within", "chance_over", "per_week", "taken_on",
)  # fmt: skip
_NUMBERS = (
    "score", "value", "low", "high", "band_low", "band_high", "chance_under",
    "chance_within", "chance_over", "per_week",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Task:
    """One workbook and where its report goes."""

    name: str
    request: runs.ReportRequest


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of one workbook."""

    name: str
    folder: str = ""
    failed: str = ""  # the one line, if there is no report
    again: bool = False  # it may succeed when tried once more
    attention: tuple[tuple[str, int], ...] = ()
    notes: tuple[str, ...] = ()
    rows: tuple[tuple[Cell, ...], ...] = ()


@dataclass(frozen=True, slots=True)
class ChainDone:
    """A finished chain of reports."""

    folder: Path
    outcomes: tuple[Outcome, ...]
    summary: str
    notes: tuple[str, ...]


def workbooks(paths: Sequence[Path]) -> list[tuple[str, Path]]:
    """Return each workbook's name and path: of files, folders, globs and lists.

    ``@list.txt`` is a file with one path a line. A folder of CSV files is one
    workbook.

    Raises
    ------
    UsageError
        A list cannot be read, or nothing fits a glob.
    """
    named: list[Path] = []
    for path in paths:
        written = str(path)
        if written.startswith("@"):
            named += _listed(Path(written[1:]))
        elif not path.exists() and has_magic(written):
            fits = sorted(_globbed(path))
            if not fits:
                raise UsageError(f"No file fits '{written}'.")
            named += fits
        else:
            named.append(path)
    found: dict[str, Path] = {}
    for source in expand(named):
        # All CSV files of one folder are the sheets of one workbook.
        whole = source.path if source.book == source.name else source.path.parent
        found.setdefault(source.book, whole)
    return list(found.items())


def _globbed(pattern: Path) -> Iterator[Path]:
    top = Path(pattern.anchor)  # the working folder where there is none
    return top.glob(str(pattern.relative_to(pattern.anchor)))


def _listed(path: Path) -> list[Path]:
    try:
        lines = path.read_text("utf-8-sig").splitlines()
    except (OSError, UnicodeDecodeError) as err:
        raise UsageError(
            f"{path}: the list cannot be read. Write one path a line."
        ) from err
    return [path.parent / line.strip() for line in lines if line.strip()]


def one_workbook(task: Task) -> Outcome:
    """Make one report; what a user can cause, and what a worker can, is one line."""
    try:
        done = runs.report(task.request)
    except (UnreadableError, NothingToJudgeError, UsageError) as err:
        return Outcome(task.name, failed=str(err))
    except FleetError as err:  # a full disk or a busy folder may pass
        return Outcome(task.name, failed=str(err), again=True)
    except Exception as err:
        why = for_terminal(f"{type(err).__name__}: {err}")
        line = f"{task.name}: the report failed ({why})."
        return Outcome(task.name, failed=line, again=True)
    made = done.report
    counted = Counter(entry.plan.attention for entry in made.tanks)
    return Outcome(
        task.name,
        folder=str(done.folder),
        attention=tuple((word, counted[word]) for word in ATTENTION_ORDER),
        notes=done.notes,
        rows=tuple(assessments(task.name, made)),
    )


def assessments(name: str, made: Report) -> Iterator[tuple[Cell, ...]]:
    """Yield the rows of ``COLUMNS`` of one report, in its own order."""
    for entry in made.tanks:
        tank, plan = entry.tank, entry.plan
        head = (
            name, made.as_of.isoformat(), tank.id, tank.name, tank.place, tank.group,
            plan.attention, plan.score, entry.findings.stage.name,
            plan.situations[0] if plan.situations else "",
        )  # fmt: skip
        for finding in entry.findings.findings:
            latest, band, trend = finding.latest, finding.band, finding.trend
            judged = finding.verdict != "not judged"
            yield (
                *head,
                finding.parameter,
                latest.value if latest else None,
                latest.low if latest else None,
                latest.high if latest else None,
                band.low if band else None,
                band.high if band else None,
                finding.verdict,
                finding.under if judged else None,
                finding.within if judged else None,
                finding.over if judged else None,
                trend.per_week if trend else None,
                latest.taken_on.isoformat() if latest else None,
            )


def each(
    request: runs.ReportRequest,
    cluster: str = "",
    told: Callable[[int, int], None] | None = None,
    make: Callable[[Task], Outcome] = one_workbook,
) -> ChainDone:
    """Make a report of each workbook below one folder, and the chain's tables.

    Parameters
    ----------
    request
        As for one report; ``books`` are files, folders, globs and ``@lists``, ``out``
        is the folder that holds a report folder for each, ``jobs`` the processes.
    cluster
        Address of a Dask scheduler; empty: this machine.

    Raises
    ------
    FleetError
        There is nothing to read, none could be read, or a table cannot be written.
    """
    found = workbooks(request.books)
    as_of = request.as_of or request.today
    out = request.out or Path(f"fleet-reports-{as_of.isoformat()}")
    taken: set[str] = {CHAIN}
    tasks = []
    for name, path in found:
        below = out / for_file_name(Path(name).stem, taken)
        one = replace(request, books=(path,), out=below, as_of=as_of, jobs=1)
        tasks.append(Task(name, one))
    outcomes = run_all(tasks, request.jobs, cluster, told, make)
    if all(outcome.failed for outcome in outcomes):
        raise UnreadableError("\n".join(outcome.failed for outcome in outcomes))
    notes = [outcome.failed for outcome in outcomes if outcome.failed]
    files: dict[str, Callable[[Path], None]] = {
        "books.csv": lambda path: _books_table(path, outcomes),
        "assessments.csv": lambda path: _assessments_csv(path, outcomes),
    }
    if _parquet():
        files["assessments.parquet"] = lambda path: _assessments_parquet(path, outcomes)
    else:
        notes.append(
            "No Parquet table was written, since pyarrow is not installed: "
            "pip install 'fleet-tanks[cluster]' brings it."
        )
    publish(out / CHAIN, files)
    return ChainDone(out, tuple(outcomes), _summary(outcomes), tuple(notes))


def run_all(
    tasks: Sequence[Task],
    jobs: int | None,
    cluster: str = "",
    told: Callable[[int, int], None] | None = None,
    make: Callable[[Task], Outcome] = one_workbook,
) -> list[Outcome]:
    """Return the outcome of every task, in order; what may pass is tried once more.

    A worker that dies takes nothing with it: what it had not handed back is done
    again, at last in this process.
    """
    done: dict[int, Outcome] = {}
    with _engine(len(tasks), jobs, cluster) as engine:
        for _ in range(2):
            left = [
                number
                for number in range(len(tasks))
                if number not in done or done[number].again
            ]
            for number, outcome in _pass(engine, tasks, left, make):
                done[number] = outcome
                if told:
                    told(len(done), len(tasks))
    for number, task in enumerate(tasks):
        if number not in done:
            done[number] = make(task)
    return [done[number] for number in range(len(tasks))]


def _pass(
    engine: dict[str, Any],
    tasks: Sequence[Task],
    numbers: Sequence[int],
    make: Callable[[Task], Outcome],
) -> Iterator[tuple[int, Outcome]]:
    """Yield what comes back of one pass; a dead worker ends it early."""
    from concurrent.futures import BrokenExecutor

    from joblib import Parallel, delayed
    from joblib.externals.loky.process_executor import TerminatedWorkerError

    if not numbers:
        return
    calls = (delayed(_numbered)(number, tasks[number], make) for number in numbers)
    try:
        yield from Parallel(return_as="generator_unordered", **engine)(calls)
    except (TerminatedWorkerError, BrokenExecutor):
        return


def _numbered(
    number: int, task: Task, make: Callable[[Task], Outcome]
) -> tuple[int, Outcome]:
    return number, make(task)


@contextmanager
def _engine(tasks: int, jobs: int | None, cluster: str) -> Iterator[dict[str, Any]]:
    """Yield what joblib is to run on: this process, local ones, or a cluster."""
    if not cluster:
        wanted = max(1, min(jobs or processors(), tasks))
        yield {"n_jobs": wanted, **({"backend": "loky"} if wanted > 1 else {})}
        return
    try:
        from distributed import Client
    except ImportError as err:
        raise UsageError(
            "--cluster needs the package 'distributed': "
            "pip install 'fleet-tanks[cluster]'."
        ) from err
    from joblib import parallel_config

    try:
        client = Client(cluster, timeout=30)
    except (OSError, ValueError) as err:
        raise UsageError(f"No cluster answers at '{cluster}'.") from err
    try:
        with parallel_config(backend="dask"):
            yield {"n_jobs": -1}
    finally:
        client.close()


# ------------------------------------------------------------------------- tables


def _parquet() -> bool:
    from importlib.util import find_spec

    return find_spec("pyarrow") is not None


def _books_table(path: Path, outcomes: Sequence[Outcome]) -> None:
    with path.open("w", encoding="utf-8-sig", newline="") as file:
        table = csv.writer(file)
        table.writerow(("book", *ATTENTION_ORDER, "failed"))
        for outcome in outcomes:
            counts = dict(outcome.attention)
            table.writerow(
                (
                    for_csv(outcome.name),
                    *(counts.get(word, 0) for word in ATTENTION_ORDER),
                    for_csv(outcome.failed),
                )
            )


def _assessments_csv(path: Path, outcomes: Sequence[Outcome]) -> None:
    with path.open("w", encoding="utf-8-sig", newline="") as file:
        table = csv.writer(file)
        table.writerow(COLUMNS)
        for outcome in outcomes:
            for row in outcome.rows:
                table.writerow(
                    for_csv(cell) if isinstance(cell, str) else cell for cell in row
                )


def _assessments_parquet(path: Path, outcomes: Sequence[Outcome]) -> None:
    import pandas

    rows = [row for outcome in outcomes for row in outcome.rows]
    frame = pandas.DataFrame.from_records(rows, columns=list(COLUMNS))
    frame = frame.astype(dict.fromkeys(_NUMBERS, "float64"))
    frame.to_parquet(path, index=False)


def _summary(outcomes: Sequence[Outcome]) -> str:
    """Return a line a workbook, most pressing first."""
    head = f"{'Workbook':<36}" + "".join(f"{word:>11}" for word in ATTENTION_ORDER)
    lines = [head]
    ordered = sorted(
        (outcome for outcome in outcomes if not outcome.failed),
        key=lambda outcome: [-count for _, count in outcome.attention],
    )
    for outcome in ordered:
        name = for_terminal(outcome.name, 34)
        counts = "".join(f"{count:>11}" for _, count in outcome.attention)
        lines.append(f"{name:<36}{counts}")
    return "\n".join(lines)
