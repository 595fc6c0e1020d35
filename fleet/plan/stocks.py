"""Which solution a dose is measured from: one strength a salt for the whole round.

Bottles of one salt that differ in strength invite a dose several times too large. So
the strength rests on the water volumes of the round and the largest rise a day, not
on the dose of one tank or one week: last week's bottle is still right.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from fleet.plan.case import Case
from fleet.records import Sentence, ShelfItem, say
from fleet.reference import Reference, Salt
from fleet.science.dosing import (
    grams_for_rise,
    millilitres_of_stock,
)

_NEGLIGIBLE = 1e-9  # of a strength: rounding must not halve it
_STEPS = (1, 2, 5, 10)
_TENFOLD = 10  # a stock is thinned by this, or by its powers


class Recipe(NamedTuple):
    """How a bottle is made: what ``stock.make`` is told."""

    salt: str
    formula: str
    grams: float
    ml: float
    strength: float  # g/L


class Stock(NamedTuple):
    """The solution a dose is measured from."""

    strength: float  # g/L, salt as weighed
    day_ml: float
    ready: bool  # it, or what it is thinned from, stands on the shelf
    thinned_from: float | None = None  # g/L of the round's bottle


def choose_stock(
    case: Case, item: ShelfItem, day_grams: float, largest_rise: float
) -> Stock:
    """Return the solution to measure ``day_grams`` from.

    The bottle on the shelf, else the round's; thinned where a day's dose would be
    too little to measure. ``largest_rise`` is the largest rise a day [mg/L].
    """
    salt = case.reference.salts[item.substance]
    strongest = salt.strongest_stock
    bottle = item.stock_g_per_l
    ready = bottle is not None and 0 < bottle <= strongest * (1 + _NEGLIGIBLE)
    if bottle is None or not ready:
        bottle = min(_for_volumes(case, item, largest_rise), _round_below(strongest))
    day_ml = millilitres_of_stock(day_grams, bottle)
    least = case.reference.limit("measured-dose-least")
    if day_ml >= least * (1 - _NEGLIGIBLE):
        return Stock(bottle, day_ml, ready)
    times = _TENFOLD ** math.ceil(math.log(least / day_ml, _TENFOLD) - _NEGLIGIBLE)
    return Stock(bottle / times, day_ml * times, ready, thinned_from=bottle)


def doubted_bottle(case: Case, item: ShelfItem) -> tuple[Sentence, ...]:
    """Return the check that comes before a dose where the shelf's bottle cannot be.

    A keeper who measures the dose from a bottle far stronger than the one meant
    gives many times too much.
    """
    strongest = case.reference.salts[item.substance].strongest_stock
    strength = item.stock_g_per_l
    if strength is None or strength <= strongest * (1 + _NEGLIGIBLE):
        return ()
    return (say("cautions.bottle", salt=item.substance, strength=strength),)


def _for_volumes(case: Case, item: ShelfItem, largest_rise: float) -> float:
    """Return the strength [g/L] that suits the smallest and largest tank alike."""
    volumes = case.volumes or ((case.volume, case.volume) if case.volume else ())
    limit, salt = case.reference.limit, case.reference.salts[item.substance]
    small, large = (
        1000 * grams_for_rise(largest_rise, volume, salt.ion_share, item.purity)
        for volume in volumes
    )
    return max(
        _round_below(small / limit("measured-dose-good")),
        _round_above(large / limit("measured-dose-most")),
        limit("weighed-least") / _bottles(case.reference)[-1],
    )


def _bottles(reference: Reference) -> tuple[float, ...]:
    """Return the sizes a stock is made in [L], smallest first."""
    sizes = ("small", "middle", "large")
    return tuple(reference.limit(f"stock-bottle-{size}") for size in sizes)


def _round_below(value: float) -> float:
    """Return the largest of 1, 2, 5, 10, 20, 50 ... that is not above ``value``."""
    power = 10.0 ** math.floor(math.log10(value))
    fitting = (s for s in _STEPS if s * power <= value * (1 + _NEGLIGIBLE))
    return power * max(fitting, default=1)


def _round_above(value: float) -> float:
    """Return the smallest of 1, 2, 5, 10, 20, 50 ... that is not under ``value``."""
    power = 10.0 ** math.floor(math.log10(value))
    fitting = (s for s in _STEPS if s * power >= value * (1 - _NEGLIGIBLE))
    return power * min(fitting, default=10)


def stock_words(
    case: Case, item: ShelfItem, stock: Stock, days: int
) -> Sentence | None:
    """Return how to make the solution; None where it stands on the shelf."""
    thinned = stock.thinned_from
    bottle = stock.strength if thinned is None else thinned
    portion = case.reference.limit("thinned-portion")
    thin = {
        "salt": item.substance, "strength": bottle, "portion": portion,
        "water": portion * (bottle / stock.strength - 1), "thinned": stock.strength,
    }  # fmt: skip
    if stock.ready:
        return None if thinned is None else say("stock.thin", **thin)
    needed = stock.day_ml * days * stock.strength / bottle
    salt = case.reference.salts[item.substance]
    made = recipe(item.substance, salt, bottle, needed, case.reference)._asdict()
    if thinned is None:
        return say("stock.make", **made)
    return say("stock.make-and-thin", **made | thin)


def recipe(
    key: str, salt: Salt, strength: float, needed_ml: float, reference: Reference
) -> Recipe:
    """Return how to make a bottle with at least ``needed_ml`` in it."""
    litres = max(needed_ml / 1000, reference.limit("weighed-least") / strength)
    sizes = _bottles(reference)
    fitting = (size for size in sizes if size >= litres * (1 - _NEGLIGIBLE))
    size = next(fitting, float(math.ceil(litres * (1 - _NEGLIGIBLE))))
    return Recipe(key, salt.formula, size * strength, size * 1000, strength)
