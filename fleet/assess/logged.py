"""What a row of the log should have done to the water, by calculation."""

from __future__ import annotations

import re
from datetime import date
from typing import NamedTuple

from fleet.assess.evidence import Feed, feed_on, matched, squeezed
from fleet.records import Settings, ShelfItem, Tank, Work
from fleet.reference import Reference, Salt
from fleet.science.concentration import nitrate_from_nitrogen
from fleet.science.dosing import grams_in_stock, rise_from_grams
from fleet.science.feed import nitrate_from_feed, phosphate_from_feed
from fleet.science.volume import (
    litres_from_imperial_gallons,
    litres_from_us_gallons,
)

# Units of amounts in the log, squeezed.
_GRAMS = {"g": 1.0, "gram": 1.0, "grams": 1.0, "mg": 0.001, "kg": 1000.0}
_MILLILITRES = {
    "ml": 1.0, "millilitre": 1.0, "millilitres": 1.0, "milliliter": 1.0,
    "milliliters": 1.0, "l": 1000.0, "litre": 1000.0, "liter": 1000.0,
}  # fmt: skip
_LITRES = {
    "l", "litre", "litres", "liter", "liters", "ltr",
}  # fmt: skip
_US_GALLONS = {"gal", "gals", "gallon", "gallons", "usgal", "usgallon", "usgallons"}
_IMPERIAL_GALLONS = {"impgal", "impgallon", "impgallons", "ukgal", "imperialgallons"}

# A stock's strength beside the dose: "40 g/L", "0,5 g per litre", "40 mg/mL".
_STRENGTH = re.compile(
    r"(\d{1,6}(?:[.,]\d{1,6})?)\s{0,3}(?:g\s{0,3}(?:/|per)\s{0,3}l|mg\s{0,3}/\s{0,3}ml)",
    re.IGNORECASE,
)


class Dose(NamedTuple):
    """One logged dose: its salt and the rise it should have given."""

    salt: Salt | None
    rise: float | None  # of ``salt.raises``, mg/L; ammonia as NH3-N
    lacking: str = ""  # "substance", "amount", "strength" or "volume"


def dose_of(
    done: Work, tank: Tank, shelf: tuple[ShelfItem, ...], reference: Reference
) -> Dose:
    """Return what a dose should have raised, or what is lacking to say so."""
    key = matched(done.substance, reference.salts)
    if not key:
        return Dose(None, None, "substance")
    salt = reference.salts[key]
    if not done.amount or done.amount < 0:
        return Dose(salt, None, "amount")
    if not tank.volume_l or tank.volume_l <= 0:
        return Dose(salt, None, "volume")
    items = [item for item in shelf if item.substance == key]
    unit = squeezed(done.unit)
    if unit in _GRAMS:
        grams = done.amount * _GRAMS[unit]
    elif unit in _MILLILITRES:
        strength = _strength(done, items)
        if strength is None:
            return Dose(salt, None, "strength")
        grams = grams_in_stock(done.amount * _MILLILITRES[unit], strength)
    else:
        return Dose(salt, None, "amount")
    purities = {item.purity for item in items if 0 < item.purity <= 1}
    purity = purities.pop() if len(purities) == 1 else 1.0
    return Dose(salt, rise_from_grams(grams, tank.volume_l, salt.ion_share, purity))


def _strength(done: Work, items: list[ShelfItem]) -> float | None:
    """Return a stock's g/L: written beside the dose, else the shelf's only one."""
    written = _STRENGTH.search(f"{done.substance} {done.notes}")
    if written:
        strength = float(written[1].replace(",", "."))
        return strength if strength > 0 else None
    known = {item.stock_g_per_l for item in items if item.stock_g_per_l}
    return known.pop() if len(known) == 1 else None


def nutrient_rises(dose: Dose) -> tuple[tuple[str, float], ...]:
    """Return what a dose brings of each nutrient; ammonium ends as nitrate."""
    if dose.salt is None or dose.rise is None:
        return ()
    if dose.salt.raises == "ammonia":
        return (("nitrate", nitrate_from_nitrogen(dose.rise)),)
    return ((dose.salt.raises, dose.rise),)


def change_share(done: Work, tank: Tank) -> float | None:
    """Return the share of the water a logged change took; None if not known."""
    if done.amount is None or done.amount <= 0:
        return None
    if "%" in done.unit:
        share = done.amount / 100
    else:
        litres = _litres(done.amount, squeezed(done.unit))
        if litres is None or not tank.volume_l or tank.volume_l <= 0:
            return None
        share = litres / tank.volume_l
    return share if share <= 1 else None


def _litres(amount: float, unit: str) -> float | None:
    if unit in _LITRES:
        return amount
    if unit in _US_GALLONS:
        return litres_from_us_gallons(amount)
    if unit in _IMPERIAL_GALLONS:
        return litres_from_imperial_gallons(amount)
    return None


def change_water(settings: Settings, parameter: str) -> float:
    """Return what new water holds; none where the workbook does not say."""
    for name, value in settings.change_water:
        if name == parameter:
            return max(value, 0.0)
    return 0.0


def given_by_feed(
    parameter: str, g_day: float, tank: Tank, reference: Reference
) -> float:
    """Return what a day of feed ends as in the water of a tank of known volume."""
    volume = tank.volume_l or 0.0
    if parameter == "phosphate":
        return phosphate_from_feed(
            g_day,
            reference.limit("feed-phosphorus"),
            reference.limit("feed-phosphorus-released"),
            volume,
        )
    protein = tank.protein
    if protein is None or not 0 < protein <= 1:
        protein = reference.limit("protein-assumed")
    per_protein = reference.limit("tan-per-protein")
    return nitrate_from_feed(g_day, protein, volume, per_protein)


def feed_over(
    tank: Tank,
    work: tuple[Work, ...],
    reference: Reference,
    since: date,
    until: date,
) -> Feed | None:
    """Return the mean feed a day over a span; None if any part is not known."""
    days = max((until - since).days, 1)
    turns = [since] + [
        w.on for w in work if w.work == "feed change" and since < w.on < until
    ]
    total, noted = 0.0, True
    for start, end in zip(turns, [*turns[1:], until], strict=True):
        fed = feed_on(tank, work, reference, start, until)
        if fed is None:
            return None
        total += fed.g_day * max((end - start).days, 1 if len(turns) == 1 else 0)
        noted = noted and fed.noted
    return Feed(total / days, noted)
