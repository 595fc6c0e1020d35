"""The options that commands share, and those of one dose."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import click

Command = Callable[..., Any]
Option = Callable[[Command], Command]

# Whether it is there and may be read is found out, and said, where it is read: that
# is no wrong usage.
FILE = click.Path(readable=False, path_type=Path)


# Three digits behind a comma are thousandths in one country, thousands in another.
_TWO_WAYS = re.compile(r"[1-9][0-9]{0,2},[0-9]{3}")


def day(written: str) -> date:
    """Return the date written as YYYY-MM-DD, or fail with one line."""
    try:
        return date.fromisoformat(written)
    except ValueError as err:
        raise click.BadParameter(
            f"'{written}' is no date. Write it as 2026-11-21."
        ) from err


def number(written: str | float) -> float:
    """Return a number written with a decimal point or comma, or fail with one line."""
    if isinstance(written, str) and _TWO_WAYS.fullmatch(written.strip()):
        plain = written.replace(",", ".")
        raise click.BadParameter(
            f"'{written}' can be read as {float(plain):g} or as "
            f"{written.replace(',', '')}: write the one you mean."
        )
    try:
        return float(str(written).strip().replace(",", "."))
    except ValueError as err:
        raise click.BadParameter(f"'{written}' is no number.") from err


def books(command: Command) -> Command:
    """Add the BOOK arguments: workbooks, or folders of them."""
    return click.argument(
        "books",
        nargs=-1,
        required=True,
        metavar="BOOK...",
        type=FILE,
    )(command)


def out(default: str) -> Option:
    """Add where a command writes to."""
    return click.option(
        "--out",
        type=click.Path(path_type=Path),
        metavar="DIR",
        help=f"Where to; {default} if not given.",
    )


as_of = click.option(
    "--as-of",
    type=day,
    metavar="DATE",
    help="Judge as on this day (YYYY-MM-DD); today if not given.",
)
layout = click.option(
    "--layout",
    type=FILE,
    metavar="FILE",
    help="A layout file that says which of your sheets and columns mean what.",
)
templates = click.option(
    "--templates",
    type=click.Path(exists=True, file_okay=False, path_type=Path),
    metavar="DIR",
    help="A folder with your own sentences or a translation.",
)
paper = click.option(
    "--paper",
    type=click.Choice(["A4", "Letter"], case_sensitive=False),
    metavar="A4|Letter",
    help="Paper of the pages.",
)


def of_one_dose(command: Command) -> Command:
    """Add what one dose by hand is worked out from."""
    for option in reversed(_DOSE):
        command = option(command)
    return command


_DOSE = (
    click.option(
        "--volume",
        required=True,
        metavar="LITRES",
        help="Water volume, as 400 or '75 gal'.",
    ),
    click.option("--rise", type=number, metavar="MG/L", help="Rise wanted."),
    click.option("--grams", type=number, metavar="G", help="Or: what this much gives."),
    click.option(
        "--purity", type=number, default=100.0, show_default=True, metavar="%"
    ),
    click.option(
        "--stock", type=number, metavar="G/L", help="Strength of a stock solution."
    ),
    click.option("--stock-ml", type=number, metavar="ML", help="Make this much stock."),
    click.option(
        "--animals/--no-animals",
        default=True,
        show_default=True,
        help="For ammonium salts: are animals in?",
    ),
    click.option(
        "--ammonia",
        type=number,
        default=0.0,
        metavar="MG/L",
        help="For ammonium salts: total ammonia-N now.",
    ),
    click.option("--ph", type=number),
    click.option("--temperature", type=number, metavar="°C"),
    click.option("--salinity", type=number, metavar="PSU"),
)
