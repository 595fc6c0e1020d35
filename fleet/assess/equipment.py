"""What filters the water: what is in use, what was taken off, and when.

The Tanks sheet says how things are set up, the log what was changed: the last
logged change wins over the sheet.
"""

from __future__ import annotations

from datetime import date

from fleet.records import Tank, Work
from fleet.reference import Reference

_IN = ("equipment in", "media in")
_OUT = ("equipment out", "media out")
_CARBON = "organic carbon dosing"


def running(
    tank: Tank, work: tuple[Work, ...], reference: Reference, as_of: date
) -> dict[str, date | None]:
    """Return the equipment and media in use, each with the day it went in.

    None stands for a day that is not logged. Organic carbon logged as a dose
    counts as in use for some days.
    """
    now: dict[str, date | None] = dict.fromkeys(tank.equipment)
    lasts = reference.limit("carbon-dose-days")
    for done in work:
        if done.on > as_of:
            continue
        if done.work in _IN:
            if done.equipment:
                now[done.equipment] = done.on
        elif done.work in _OUT:
            now.pop(_ended(done), None)
        elif (
            done.work == "dose"
            and (as_of - done.on).days <= lasts
            and done.equipment == _CARBON
        ):
            now.setdefault(_CARBON, done.on)
    return now


def taken_off(work: tuple[Work, ...], as_of: date) -> dict[str, date]:
    """Return the last day each piece of equipment was logged as taken off."""
    return {
        word: done.on
        for done in work
        if done.work in _OUT and done.on <= as_of and (word := _ended(done))
    }


def _ended(done: Work) -> str:
    """Return what a row ends; "media out" with no name can only mean the usual one."""
    usual = "phosphate media" if done.work == "media out" else ""
    return done.equipment or usual
