"""The options that commands share, and those of one dose."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import click

Command = Callable[..., Any]
Option = Callable[[Command], Command]


def day(written: str) -> date:
    """Return the date written as YYYY-MM-DD, or fail with one line."""
    try:
        return date.fromisoformat(written)
    except ValueError as err:
        raise click.BadParameter(
            f"'{written}' is no date. Write it as 2026-11-21."
        ) from err


def books(command: Command) -> Command:
    """Add the BOOK arguments: workbooks, or folders of them."""
    return click.argument(
        "books",
        nargs=-1,
        required=True,
        metavar="BOOK...",
        type=click.Path(path_type=Path),
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
    click.option("--rise", type=float, metavar="MG/L", help="Rise wanted."),
    click.option("--grams", type=float, metavar="G", help="Or: what this much gives."),
    click.option("--purity", type=float, default=100.0, show_default=True, metavar="%"),
    click.option(
        "--stock", type=float, metavar="G/L", help="Strength of a stock solution."
    ),
    click.option("--stock-ml", type=float, metavar="ML", help="Make this much stock."),
    click.option(
        "--animals/--no-animals",
        default=True,
        show_default=True,
        help="For ammonium salts: are animals in?",
    ),
    click.option(
        "--ammonia",
        type=float,
        default=0.0,
        metavar="MG/L",
        help="For ammonium salts: total ammonia-N now.",
    ),
    click.option("--ph", type=float),
    click.option("--temperature", type=float, metavar="°C"),
    click.option("--salinity", type=float, metavar="PSU"),
)
