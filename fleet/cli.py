"""The commands: words in, exit status out."""

from __future__ import annotations

import io
import os
import sys
from collections.abc import Callable
from contextlib import suppress
from datetime import date
from functools import wraps
from pathlib import Path
from typing import TYPE_CHECKING, Any, ParamSpec

import click

from fleet import __version__, stops
from fleet.errors import FleetError, UsageError

if TYPE_CHECKING:
    from fleet.chain import ChainDone

P = ParamSpec("P")


def day(written: str) -> date:
    """Return the date written as YYYY-MM-DD, or fail with one line."""
    try:
        return date.fromisoformat(written)
    except ValueError as err:
        raise click.BadParameter(
            f"'{written}' is no date. Write it as 2026-11-21."
        ) from err


_WHOLE = "nothing half-written was left."


def tell(*lines: str) -> None:
    """Write lines to standard error; what they quote cannot steer the terminal."""
    from fleet.runs import printable

    with suppress(BrokenPipeError):
        for line in lines:
            click.echo(printable(line), err=True)


def one_line_errors(command: Callable[P, int]) -> Callable[P, None]:
    """Run a command; every error a user can cause is one line and a status."""

    @wraps(command)
    def run(*args: P.args, **kwargs: P.kwargs) -> None:
        for stream in (sys.stdout, sys.stderr):
            if isinstance(stream, io.TextIOWrapper):
                # A terminal without our letters is no reason to lose the run.
                stream.reconfigure(errors="backslashreplace")
        try:
            with stops.obeyed():
                status = command(*args, **kwargs)
                sys.stdout.flush()
        except FleetError as err:
            tell(*(f"fleet: {line}" for line in str(err).splitlines()))
            status = err.exit_code
        except KeyboardInterrupt:
            tell(f"fleet: stopped; {_WHOLE}")
            status = 130
        except stops.Terminated:
            tell(f"fleet: ended from outside; {_WHOLE}")
            status = 143
        except BrokenPipeError:
            # The reader of our output went away (as in `| head`): no fault of ours,
            # but say so by the status. Python must not flush the dead pipe again.
            sys.stdout = None
            status = 1
        except MemoryError:
            tell(f"fleet: there is not enough memory for this; {_WHOLE}")
            status = 3
        except OSError as err:
            sys.stdout = None  # it may be what failed, as on a full disk
            where = f"{os.fsdecode(err.filename)}: " if err.filename else ""
            tell(f"fleet: {where}{err.strerror or err}; {_WHOLE}")
            status = 3
        sys.exit(status)

    return run


@click.group(
    context_settings={"help_option_names": ["-h", "--help"]},
    epilog="Start with:  fleet start my-tanks.xlsx",
)
@click.version_option(__version__, prog_name="fleet")
def main() -> None:
    """Judge many saltwater tanks from a workbook; print what to do at each."""


def books(required: bool = True) -> Callable[[Any], Any]:
    """Add the BOOK arguments: workbooks, or folders of them."""
    return click.argument(
        "books",
        nargs=-1,
        required=required,
        metavar="BOOK...",
        type=click.Path(path_type=Path),
    )


as_of = click.option(
    "--as-of",
    type=day,
    metavar="DATE",
    help="Judge as on this day (YYYY-MM-DD); today if not given.",
)
layout = click.option(
    "--layout",
    type=click.Path(exists=True, dir_okay=False, path_type=Path),
    metavar="FILE",
    help="A layout file that says which of your sheets and columns mean what.",
)
templates = click.option(
    "--templates",
    type=click.Path(exists=True, file_okay=False, path_type=Path),
    metavar="DIR",
    help="A folder with your own sentences or a translation.",
)


def _progress(what: str = "judging tanks") -> Callable[[int, int], None] | None:
    """Return a progress line on standard error, only where someone watches."""
    if not sys.stderr.isatty():
        return None
    import time

    started = time.monotonic()

    def show(done: int, of: int) -> None:
        # Under two seconds nobody needs to be told.
        if time.monotonic() - started > 2:
            end = "\r" + " " * 40 + "\r" if done == of else ""
            text = f"\r{what}: {done} of {of}"
            click.echo(end or text, err=True, nl=False)

    return show


@main.command()
@books()
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    metavar="DIR",
    help="Where to; fleet-report-DATE if not given.",
)
@as_of
@click.option(
    "--paper",
    type=click.Choice(["A4", "Letter"], case_sensitive=False),
    metavar="A4|Letter",
    help="Paper of the sheets.",
)
@click.option(
    "--only",
    multiple=True,
    metavar="WHEN",
    type=click.Choice(["today", "this week", "watch", "steady"]),
    help="Only tanks of this attention; may be repeated.",
)
@click.option("--tank", default="", metavar="ID", help="Only this tank.")
@click.option(
    "--format",
    "formats",
    multiple=True,
    metavar="NAME",
    help="Only these files, such as pdf, report.html, csv; may be repeated.",
)
@click.option(
    "--earlier",
    type=click.Path(exists=True, path_type=Path),
    metavar="REPORT",
    help="An earlier report (folder or report.json) to compare with.",
)
@click.option(
    "--jobs",
    type=click.IntRange(min=1),
    metavar="N",
    help="Processes to use; as many as pay if not given.",
)
@click.option(
    "--all",
    is_flag=True,
    help="Write every file anew, also where nothing has changed.",
)
@click.option(
    "--each",
    is_flag=True,
    help="A report of its own for each workbook, and tables of the whole chain.",
)
@click.option(
    "--cluster",
    default="",
    metavar="ADDRESS",
    help="With --each: a Dask scheduler, such as tcp://10.0.0.5:8786.",
)
@templates
@layout
@one_line_errors
def report(each: bool, cluster: str, **asked: Any) -> int:
    """Read BOOK, judge every tank, and write sheets, page, tables and calendar.

    \b
    fleet report my-tanks.xlsx
    fleet report my-tanks.xlsx --only today --format pdf
    fleet report stores/ --each --out monday
    """
    from fleet import runs

    request = runs.ReportRequest(today=date.today(), **asked)
    if cluster and not each:
        raise UsageError("--cluster goes with --each.")
    done: runs.ReportDone | ChainDone
    if each:
        from fleet import chain

        done = chain.each(request, cluster, _progress("reports"))
    else:
        done = runs.report(request, _progress())
    click.echo(done.summary)
    for note in done.notes:
        tell(note)
    tell(f"Written to {done.folder}")
    return 0


@main.command()
@books()
@click.option(
    "--marked",
    type=click.Path(dir_okay=False, path_type=Path),
    metavar="COPY",
    help="Write a copy of BOOK with those cells marked.",
)
@click.option(
    "--suggest-layout",
    is_flag=True,
    help="Print a first draft of a layout file for BOOK.",
)
@layout
@templates
@one_line_errors
def check(
    books: tuple[Path, ...],
    marked: Path | None,
    suggest_layout: bool,
    layout: Path | None,
    templates: Path | None,
) -> int:
    """List what cannot be read in BOOK, cell by cell, and how columns were read.

    \b
    fleet check my-tanks.xlsx
    fleet check my-tanks.xlsx --marked my-tanks-marked.xlsx
    """
    from fleet import runs

    if suggest_layout:
        click.echo(runs.suggest_layout(books), nl=False)
        return 0
    text, status = runs.check(
        books, date.today(), layout=layout, templates=templates, marked=marked
    )
    click.echo(text, nl=False)
    return status


@main.command()
@click.argument("book", type=click.Path(path_type=Path))
@click.argument("tank")
@as_of
@layout
@templates
@one_line_errors
def explain(
    book: Path,
    tank: str,
    as_of: date | None,
    layout: Path | None,
    templates: Path | None,
) -> int:
    """Show every number on TANK's sheet in BOOK, how it came about and its source.

    \b
    fleet explain my-tanks.xlsx B-07
    """
    from fleet import runs

    text = runs.explain(
        [book], tank, as_of or date.today(), layout=layout, templates=templates
    )
    click.echo(text, nl=False)
    return 0


@main.command()
@click.argument("salt")
@click.option(
    "--volume",
    required=True,
    metavar="LITRES",
    help="Water volume, as 400 or '75 gal'.",
)
@click.option("--rise", type=float, metavar="MG/L", help="Rise wanted.")
@click.option("--grams", type=float, metavar="G", help="Or: what this much gives.")
@click.option("--purity", type=float, default=100.0, show_default=True, metavar="%")
@click.option(
    "--stock", type=float, metavar="G/L", help="Strength of a stock solution."
)
@click.option("--stock-ml", type=float, metavar="ML", help="Make this much stock.")
@click.option(
    "--animals/--no-animals",
    default=True,
    show_default=True,
    help="For ammonium salts: are animals in?",
)
@click.option(
    "--ammonia",
    type=float,
    default=0.0,
    metavar="MG/L",
    help="For ammonium salts: total ammonia-N now.",
)
@click.option("--ph", type=float)
@click.option("--temperature", type=float, metavar="°C")
@click.option("--salinity", type=float, metavar="PSU")
@one_line_errors
def dose(salt: str, volume: str, purity: float, **asked: Any) -> int:
    """Work out one dose of SALT, or a stock solution, with the sum shown.

    \b
    fleet dose sodium-nitrate --volume 400 --rise 2
    fleet dose K2HPO4 --volume "75 gal" --rise 0.03 --stock 5
    """
    from fleet import byhand, runs

    wanted = byhand.DoseAsked(
        salt=salt,
        volume_l=byhand.litres(volume),
        purity=purity / 100,
        stock_g_per_l=asked.pop("stock"),
        total_ammonia=asked.pop("ammonia"),
        **asked,
    )
    click.echo(runs.dose(wanted), nl=False)
    return 0


@main.command()
@click.argument("book", required=False, type=click.Path(path_type=Path))
@click.option(
    "--from",
    "old",
    type=click.Path(path_type=Path),
    metavar="OLD",
    help="Make next round's workbook from this one.",
)
@click.option(
    "--history/--no-history",
    default=True,
    show_default=True,
    help="With --from: keep the readings and work so far.",
)
@click.option(
    "--units",
    type=click.Choice(["metric", "US"]),
    default="metric",
    show_default=True,
    help="Units of a blank workbook.",
)
@click.option(
    "--form",
    is_flag=True,
    help="Print the questions for a web form of your own instead.",
)
@layout
@templates
@one_line_errors
def start(
    book: Path | None,
    old: Path | None,
    history: bool,
    units: str,
    form: bool,
    layout: Path | None,
    templates: Path | None,
) -> int:
    """Write BOOK: a blank workbook to fill in, or next round's from an old one.

    \b
    fleet start my-tanks.xlsx
    fleet start next-week.xlsx --from this-week.xlsx
    """
    from fleet import runs

    if form:
        click.echo(runs.form(templates), nl=False)
        return 0
    if book is None:
        raise UsageError("Name the workbook to write, such as my-tanks.xlsx.")
    runs.start(
        book,
        old=old,
        keep_history=history,
        units=units,
        layout=layout,
        templates=templates,
    )
    tell(f"Written: {book}")
    return 0


@main.command()
@books()
@click.option("--out", type=click.Path(path_type=Path), metavar="DIR",
              help="Where to; fleet-progress-DATE if not given.")  # fmt: skip
@as_of
@click.option("--group", metavar="NAME", help="Only this group, such as an intake.")
@click.option("--letters", is_flag=True,
              help="Also a page for each keeper: PDF, HTML and text.")  # fmt: skip
@click.option("--no-names", "names", flag_value=False, default=True,
              help="Leave keepers' names out of everything.")  # fmt: skip
@click.option("--paper", type=click.Choice(["A4", "Letter"], case_sensitive=False),
              metavar="A4|Letter", help="Paper of the pages.")  # fmt: skip
@templates
@layout
@one_line_errors
def progress(**asked: Any) -> int:
    """Follow the new tanks in BOOK, group by group; say who needs a visit.

    \b
    fleet progress my-club.xlsx
    fleet progress my-club.xlsx --group "Spring intake" --letters
    """
    from fleet import mentoring

    done = mentoring.progress(
        mentoring.ProgressRequest(today=date.today(), **asked), _progress()
    )
    click.echo(done.summary)
    for note in done.notes:
        tell(note)
    tell(f"Written to {done.folder}")
    return 0
