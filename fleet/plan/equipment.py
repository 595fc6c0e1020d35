"""What filters the water: what is in use, what was taken off and when."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from functools import lru_cache

from fleet.records import Tank, Work
from fleet.reference import Reference

_OUT = ("equipment out", "media out")
_IN = ("equipment in", "media in")


@lru_cache(maxsize=4096)
def _squeezed(text: str) -> str:
    return "".join(c for c in text.casefold() if c.isalnum())


def matched(written: str, words: Mapping[str, Iterable[str]]) -> str:
    """Return the key of ``words`` that ``written`` spells or holds, or ``""``."""
    wanted = _squeezed(written)
    if not wanted:
        return ""
    held, length = "", 3
    for word, spellings in words.items():
        for spelling in (word, *spellings):
            known = _squeezed(spelling)
            if known == wanted:
                return word
            # Under four letters a spelling may stand inside another word.
            if len(known) > length and known in wanted:
                held, length = word, len(known)
    return held


def running(
    tank: Tank, work: tuple[Work, ...], reference: Reference, today: date
) -> dict[str, date | None]:
    """Return what is in use, each with the day it went in; the log beats the sheet."""
    now: dict[str, date | None] = dict.fromkeys(tank.equipment)
    words = reference.vocabulary["equipment"]
    lasts = reference.limit("carbon-dose-days")
    for done in work:
        if done.on > today:
            continue
        if done.work in _OUT:
            now.pop(_ended(done, reference), None)
        elif done.work in _IN:
            if word := matched(done.substance, words):
                now[word] = done.on
        elif done.work == "dose" and (today - done.on).days <= lasts:
            # Organic carbon may stand in the log as a dose like any other.
            word = matched(done.substance, words)
            if word == "organic carbon dosing":
                now.setdefault(word, done.on)
    return now


def last_taken_off(
    work: tuple[Work, ...], exports: tuple[str, ...], reference: Reference, today: date
) -> date | None:
    """Return the last day one of ``exports`` was logged as taken off."""
    days = [
        done.on
        for done in work
        if done.work in _OUT and done.on <= today and _ended(done, reference) in exports
    ]
    return max(days, default=None)


def _ended(done: Work, reference: Reference) -> str:
    """Return what a row ends; "media out" with no name can only mean the media."""
    word = matched(done.substance, reference.vocabulary["equipment"])
    return word or ("phosphate media" if done.work == "media out" else "")
