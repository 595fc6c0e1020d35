"""The verdict rule: where a result lies beside a band, and how sure that is."""

from __future__ import annotations

import math
from typing import Literal

from fleet.records import Band, Measurement, VerdictWord
from fleet.reference import Reference
from fleet.science.resolution import (
    Chance,
    chance_from_interval,
    chance_from_normal,
)

UNKNOWN = Chance(0.0, 0.0, 0.0)  # nothing was judged
_NOTHING_TOLD = Chance(1 / 3, 1 / 3, 1 / 3)
_NO_FLOOR = ("temperature", "ph")  # may lie below zero, or never come near it


def chance_of(measured: Measurement, band: Band, reference: Reference) -> Chance:
    """Return the chance that the true value lies under, within and over the band.

    ``band`` is the one ``bands.as_read_by`` gives for this result's method.
    """
    chance = _chance(measured, band.low, band.high)
    if measured.upper_limit_only or measured.registers is False:
        return _at_most(chance, reference.limit("upper-limit-over"))
    if band.low_registers and measured.registers and _is_edge(measured, band):
        # Anything that registers is enough, and this did.
        return Chance(0.0, chance.under + chance.within, chance.over)
    return chance


def _chance(measured: Measurement, low: float | None, high: float | None) -> Chance:
    if measured.shape == "normal" and measured.value is not None:
        floor = None if measured.parameter in _NO_FLOOR else 0.0
        return chance_from_normal(measured.value, measured.spread, low, high, floor)
    if math.isinf(measured.high) and measured.low <= 0:
        return _NOTHING_TOLD
    return chance_from_interval(measured.low, measured.high, low, high)


def _is_edge(measured: Measurement, band: Band) -> bool:
    lowest = measured.method.lowest
    return lowest is not None and band.low is not None and band.low <= lowest


def _at_most(chance: Chance, largest: float) -> Chance:
    """Return the chance where a result is an upper limit, or a "less than".

    Spread evenly from nothing to the limit, a high one would read as "over"; but it
    does not say that anything is there.
    """
    if chance.over <= largest:
        return chance
    rest = chance.under + chance.within
    if rest <= 0:
        return Chance(0.0, 1 - largest, largest)
    scale = (1 - largest) / rest
    return Chance(chance.under * scale, chance.within * scale, largest)


def verdict_of(chance: Chance, needed: float, upper_limit_only: bool) -> VerdictWord:
    """Return the one word a chance is enough for; "cannot tell" where for none."""
    words: tuple[VerdictWord, ...] = ("under", "within", "over")
    for word, share in zip(words, chance, strict=True):
        if share >= needed and share > 0.5:
            return "cannot tell" if word == "over" and upper_limit_only else word
    return "cannot tell"


def beyond_second_limit(
    measured: Measurement, band: Band
) -> Literal["", "low", "high"]:
    """Say whether a result is likelier than not beyond the band's second limit.

    That is the remark limit where there is one, else the act limit. Even odds are
    enough here: this says how far off a tank may be, and waits for nobody's harm.
    """
    if measured.upper_limit_only:
        return ""
    low = band.act_low if band.remark_low is None else band.remark_low
    high = band.act_high if band.remark_high is None else band.remark_high
    if low is None and high is None:
        return ""
    chance = _chance(measured, low, high)
    if chance.over >= 0.5 and measured.registers is not False:
        return "high"
    return "low" if chance.under >= 0.5 else ""
