"""Which salt, from which bottle, with which cautions."""

from __future__ import annotations

import math
from typing import NamedTuple

from fleet.plan.case import Case
from fleet.records import Sentence, ShelfItem, say
from fleet.reference import Salt
from fleet.science.dosing import largest_stock_strength, millilitres_of_stock

_NEGLIGIBLE = 1e-9  # of a strength: rounding must not halve it
_BOTTLES = (0.25, 0.5, 1.0)  # sizes a stock is made in [L]


class Stock(NamedTuple):
    """The solution a dose is measured from."""

    strength: float  # g/L, salt as weighed
    day_ml: float
    ready: bool  # it stands on the shelf


def choose_salt(case: Case, parameter: str, grams_of_ion: float) -> ShelfItem:
    """Return the shelf's best salt for ``parameter``, else the one to buy.

    One that lasts for this dose goes before one that runs out; a salt raises what
    it is listed for, so an ammonium salt is never taken to raise nitrate.
    """
    salts = case.reference.salts
    at_hand = [
        item
        for item in case.shelf
        if item.substance in salts
        and salts[item.substance].dose
        and salts[item.substance].raises == parameter
        and 0 < item.purity <= 1
    ]

    def order(item: ShelfItem) -> tuple[bool, int]:
        salt = salts[item.substance]
        needed = grams_of_ion / salt.ion_share / item.purity
        runs_out = item.on_hand_g is not None and item.on_hand_g < needed
        return runs_out, salt.preferred

    if at_hand:
        return min(at_hand, key=order)
    key = min(
        (key for key, salt in salts.items() if salt.dose and salt.raises == parameter),
        key=lambda key: salts[key].preferred,
    )
    return ShelfItem(key, "", 1.0, None, None)


def choose_stock(case: Case, item: ShelfItem, day_grams: float) -> Stock:
    """Return the bottle at hand if it can be measured from, else one to make."""
    salt = case.reference.salts[item.substance]
    strongest = largest_stock_strength(salt.saturated_share, salt.anhydrous_share)
    least = case.reference.limit("measured-dose-least")
    ready = item.stock_g_per_l
    if ready is not None and 0 < ready <= strongest:
        ml = millilitres_of_stock(day_grams, ready)
        if ml >= least:
            return Stock(ready, ml, ready=True)
    good = case.reference.limit("measured-dose-good")
    strength = min(_round_below(1000 * day_grams / good), _round_below(strongest))
    return Stock(strength, millilitres_of_stock(day_grams, strength), ready=False)


def _round_below(value: float) -> float:
    """Return the largest of 1, 2, 5, 10, 20, 50 ... that is not above ``value``."""
    power = 10.0 ** math.floor(math.log10(value))
    for step in (5, 2):
        if step * power <= value * (1 + _NEGLIGIBLE):
            return step * power
    return power


def stock_words(
    case: Case, item: ShelfItem, stock: Stock, days: int
) -> Sentence | None:
    """Return how to make the solution; None where it stands on the shelf."""
    if stock.ready:
        return None
    least = case.reference.limit("weighed-least")
    litres = max(stock.day_ml * days / 1000, least / stock.strength)
    fitting = (size for size in _BOTTLES if size >= litres * (1 - _NEGLIGIBLE))
    size = next(fitting, float(math.ceil(litres)))
    return say(
        "stock.make",
        salt=item.substance,
        formula=case.reference.salts[item.substance].formula,
        grams=size * stock.strength,
        ml=size * 1000,
        strength=stock.strength,
    )


def cautions(salt: Salt) -> tuple[Sentence, ...]:
    """Return the cautions of a salt, then those of every salt."""
    return (
        *(say(f"cautions.{key}") for key in salt.cautions),
        say("cautions.salts"),
    )


def sources(case: Case, parameter: str, salt: Salt) -> tuple[str, ...]:
    """Return where the numbers behind a dose come from."""
    finding = case.of(parameter)
    band = finding.band.basis if finding and finding.band else ""
    rate = case.reference.limits[f"{parameter}-rise-day"].source
    if any(name == parameter for name, _ in case.settings.largest_rise_day):
        rate = "workbook"
    named = (("band", band), ("largest rise a day", rate), ("salt", salt.source))
    return tuple(f"{what}: {source}" for what, source in named if source)
