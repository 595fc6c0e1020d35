"""Many workbooks: a report for each, and one summary of all."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from threading import Lock

from fleet import __version__, batch, made_from, runs
from fleet.errors import FleetError, NothingToJudgeError, UnreadableError, UsageError
from fleet.problems import left_out
from fleet.read.shops import workbooks_of
from fleet.records import ATTENTION_ORDER, CellAddress, Problem, Settings, say
from fleet.records.shops import Shop
from fleet.reference import load_reference
from fleet.render import assessments
from fleet.render.chain import Chain, summary, writers
from fleet.render.publish import check_target, publish
from fleet.render.safe import for_file_name, for_terminal
from fleet.render.wording import Wording
from fleet.workers import processors

_COMMAND = "report --each"
_SUMMARY = "chain"  # folder of what is said of all, beside the reports
_MOST_NOTES = 20
_ONE_AT_A_TIME = Lock()  # a cluster may give one process several tasks, as threads


@dataclass(frozen=True, slots=True)
class Asked:
    """One workbook's report, as a worker is asked for it."""

    name: str
    folder: str  # seen from that of all reports
    request: runs.ReportRequest
    version: str = __version__


@dataclass(frozen=True, slots=True)
class ChainDone:
    """What a finished run says on the terminal."""

    folder: Path
    summary: str
    notes: tuple[str, ...]


def each(
    request: runs.ReportRequest, cluster: str = "", told: batch.Told | None = None
) -> ChainDone:
    """Make a report for each workbook, in a folder of its own, and a summary.

    Raises
    ------
    FleetError
        No workbook was named, none could be read or judged, the cluster cannot be
        reached, or the summary cannot be written. Else a workbook that fails is one
        line.
    """
    if request.tanks:
        raise UsageError("--tank names a tank of one workbook: leave out --each.")
    as_of = request.as_of or request.today
    out = (request.out or Path(f"fleet-reports-{as_of.isoformat()}")).resolve()
    reference = load_reference()
    runs.chosen_files(request.formats)
    books = workbooks_of(request.books)
    check_target(out / _SUMMARY, books, _COMMAND)
    asked = _asked(books, request, out, as_of)
    outcomes = batch.gather(
        report_of, asked, jobs=request.jobs or processors(), cluster=cluster, told=told
    )
    shops = tuple(
        outcome.result or Shop(one.name, one.folder, failed=outcome.failed)
        for one, outcome in zip(asked, outcomes, strict=True)
    )
    notes = [_failure(shop) for shop in shops if shop.failed]
    if len(notes) == len(shops):
        nothing = all(o.exit_code == NothingToJudgeError.exit_code for o in outcomes)
        error = NothingToJudgeError if nothing else UnreadableError
        raise error("\n".join(notes))
    wording = Wording(reference, Settings(), request.templates)
    chain = Chain(as_of, f"fleet {__version__}", shops)
    publish(out / _SUMMARY, writers(chain, wording), books, command=_COMMAND)
    told_too = [f"{shop.name}: {note}" for shop in shops for note in shop.notes]
    notes += told_too[:_MOST_NOTES]
    if len(told_too) > _MOST_NOTES:
        rest = say("chain.more-notes", number=len(told_too) - _MOST_NOTES)
        notes.append(wording.plain(rest))
    if not assessments.has_parquet():
        notes.append(
            "No Parquet table was written, since pyarrow is not installed: "
            "pip install 'fleet-tanks[cluster]' brings it."
        )
    return ChainDone(out, summary(chain, wording), tuple(notes))


def _failure(shop: Shop) -> str:
    """Return the line of a workbook without a report; most name the file already."""
    named = shop.failed.startswith(shop.name)
    return shop.failed if named else f"{shop.name}: {shop.failed}"


def _asked(
    books: Sequence[Path], request: runs.ReportRequest, out: Path, as_of: date
) -> list[Asked]:
    """Return what is asked of the workers; paths are whole, for they run elsewhere."""
    stems = Counter(book.stem.casefold() for book in books)
    taken = {_SUMMARY}
    before = request.earlier.resolve() if request.earlier else _earlier(out, as_of)
    formats = request.formats and (*request.formats, "report.json")
    asked = []
    for book in books:
        alike = stems[book.stem.casefold()] > 1
        before_it = f"{book.parent.name}/" if alike else ""
        folder = for_file_name(f"{before_it}{book.stem}".replace("/", "-"), taken)
        earlier = before / folder / "report.json" if before else None
        one = replace(
            request,
            books=(book,),
            out=out / folder,
            as_of=as_of,
            formats=formats,
            earlier=earlier if earlier and earlier.is_file() else None,
            templates=request.templates and request.templates.resolve(),
            layout=request.layout and request.layout.resolve(),
            jobs=1,
        )
        asked.append(Asked(for_terminal(f"{before_it}{book.name}"), folder, one))
    return asked


def _earlier(out: Path, as_of: date) -> Path | None:
    """Return the newest earlier folder of reports that stands beside ``out``."""
    dated = []
    for path in out.parent.glob("fleet-reports-*"):
        with suppress(ValueError):
            day = date.fromisoformat(path.name.removeprefix("fleet-reports-"))
            if day < as_of:
                dated.append((day, path))
    return max(dated)[1] if dated else None


# ------------------------------------------------------------- where the worker is


def report_of(asked: Asked) -> Shop:
    """Make one report, unless it stands already, and return what it says.

    Raises
    ------
    FleetError
        There is none; the message says why.
    """
    if asked.version != __version__:
        raise FleetError(
            f"the worker holds fleet {__version__}, not {asked.version}: install the "
            "same on all."
        )
    with _ONE_AT_A_TIME:
        notes: tuple[str, ...] = ()
        if not _stands(asked.request):
            notes = runs.report(asked.request).notes
        return _shop(asked, notes)


def _stands(request: runs.ReportRequest) -> bool:
    """Say whether the report is there already, made from the same."""
    folder, as_of = request.out, request.as_of
    if request.all or folder is None or as_of is None:
        return False
    files = runs.chosen_files(request.formats)
    inputs = runs.decided_by(request, folder, as_of)
    return made_from.stands(folder, files, inputs, request.books)


def _shop(asked: Asked, notes: tuple[str, ...]) -> Shop:
    assert asked.request.out is not None
    path = asked.request.out / "report.json"
    made = json.loads(path.read_bytes())
    tanks = made["tanks"]
    count = Counter(tank["attention"] for tank in tanks)
    tested = [tank["last_tested"] for tank in tanks if tank["last_tested"]]
    return Shop(
        name=asked.name,
        folder=asked.folder,
        tanks=len(tanks),
        attention=tuple(count[word] for word in ATTENTION_ORDER),
        left_out=left_out(map(_problem, made["problems"])),
        newest=date.fromisoformat(max(tested)) if tested else None,
        has_page=(asked.request.out / "report.html").is_file(),
        notes=notes,
        rows=assessments.packed(made, asked.name, asked.folder),
    )


def _problem(told: Mapping[str, str]) -> Problem:
    """Return a problem as the report tells it."""
    row = "".join(filter(str.isdigit, told["cell"] or ""))
    return Problem(
        kind=told["kind"],
        where=CellAddress(told["file"], told["sheet"], int(row or 0), 0),
        value=told["value"],
        message=told["message"],
        effect=told["effect"],  # type: ignore[arg-type]
        severity=told["severity"],  # type: ignore[arg-type]
    )
