"""The commands: words in, exit status out."""

from __future__ import annotations

import atexit
import gc
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from fleet import __version__, options
from fleet.endings import one_line_errors, progress_line, tell
from fleet.errors import UsageError

if TYPE_CHECKING:
    from fleet.chain import ChainDone
    from fleet.runs import ReportDone

# What a command leaves is not looked through for cycles on the way out.
atexit.register(gc.freeze)


@click.group(
    context_settings={"help_option_names": ["-h", "--help"]},
    epilog="Start with:  fleet start my-tanks.xlsx",
)
@click.version_option(__version__, prog_name="fleet")
def main() -> None:
    """Judge many saltwater tanks from a workbook; print what to do at each."""


@main.command()
@options.books
@options.out("fleet-report-DATE")
@options.as_of
@options.paper
@click.option(
    "--only",
    multiple=True,
    metavar="WHEN",
    type=click.Choice(["today", "this week", "watch", "steady"]),
    help="Only tanks of today, 'this week', watch or steady; may be repeated.",
)
@click.option(
    "--tank",
    "tanks",
    multiple=True,
    metavar="ID",
    help="Only this tank; may be repeated.",
)
@click.option(
    "--format",
    "formats",
    multiple=True,
    metavar="NAME",
    help="Only these files, such as pdf, report.html, csv; may be repeated.",
)
@click.option(
    "--earlier",
    type=options.FILE,
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
@options.templates
@options.layout
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
    done: ReportDone | ChainDone
    if each:
        from fleet import chain

        done = chain.each(request, cluster, progress_line("reports"))
    else:
        done = runs.report_alone(request, progress_line())
    click.echo(done.summary)
    for note in done.notes:
        tell(note)
    tell(f"Written to {done.folder}")
    return 0


@main.command()
@options.books
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
@options.layout
@options.templates
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
    from fleet import checking

    if suggest_layout:
        click.echo(checking.suggest_layout(books), nl=False)
        return 0
    text, status = checking.check(
        books, date.today(), layout=layout, templates=templates, marked=marked
    )
    click.echo(text, nl=False)
    if marked is not None:
        tell(f"Written: {marked}")
    return status


@main.command()
@click.argument("book", type=options.FILE)
@click.argument("tank")
@options.as_of
@options.layout
@options.templates
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
    from fleet import workings

    text = workings.explain(
        [book], tank, as_of or date.today(), layout=layout, templates=templates
    )
    click.echo(text, nl=False)
    return 0


@main.command()
@click.argument("salt")
@options.of_one_dose
@options.templates
@one_line_errors
def dose(
    salt: str, volume: str, purity: float, templates: Path | None, **asked: Any
) -> int:
    """Work out one dose of SALT, or a stock solution, with the sum shown.

    \b
    fleet dose sodium-nitrate --volume 400 --rise 2
    fleet dose K2HPO4 --volume "75 gal" --rise 0.03 --stock 5
    """
    from fleet import byhand, workings

    wanted = byhand.DoseAsked(
        salt=salt,
        volume_l=byhand.litres(volume),
        purity=purity / 100,
        stock_g_per_l=asked.pop("stock"),
        total_ammonia=asked.pop("ammonia"),
        **asked,
    )
    click.echo(workings.dose(wanted, templates), nl=False)
    return 0


@main.command()
@click.argument("book", required=False, type=click.Path(path_type=Path))
@click.option(
    "--from",
    "old",
    type=options.FILE,
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
@options.layout
@options.templates
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
    from fleet import starting

    if form:
        click.echo(starting.form(templates), nl=False)
        return 0
    if book is None:
        raise UsageError("Name the workbook to write, such as my-tanks.xlsx.")
    starting.start(
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
@options.books
@options.out("fleet-progress-DATE")
@options.as_of
@click.option("--group", metavar="NAME", help="Only this group, such as an intake.")
@click.option("--letters", is_flag=True,
              help="Also a page for each keeper: PDF, HTML and text.")  # fmt: skip
@click.option("--no-names", "names", flag_value=False, default=True,
              help="Leave keepers' names out of everything.")  # fmt: skip
@options.paper
@options.templates
@options.layout
@one_line_errors
def progress(**asked: Any) -> int:
    """Follow the new tanks in BOOK, group by group; say who needs a visit.

    \b
    fleet progress my-club.xlsx
    fleet progress my-club.xlsx --group "Spring intake" --letters
    """
    from fleet import mentoring

    done = mentoring.progress(
        mentoring.ProgressRequest(today=date.today(), **asked), progress_line()
    )
    click.echo(done.summary)
    for note in done.notes:
        tell(note)
    tell(f"Written to {done.folder}")
    return 0
