"""What a row of the log should have done to the water, by calculation."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import NamedTuple

from fleet.records import ShelfItem, Tank, Work
from fleet.reference import Reference, Salt
from fleet.science.concentration import nitrate_from_nitrogen
from fleet.science.dosing import grams_in_stock, rise_from_grams

# A stock's strength beside the dose: "40 g/L", "0,5 g per litre", "40 mg/mL".
_STRENGTH = re.compile(
    r"(\d{1,6}(?:[.,]\d{1,6})?)\s{0,3}(?:g\s{0,3}(?:/|per)\s{0,3}l|mg\s{0,3}/\s{0,3}ml)",
    re.IGNORECASE,
)
_MILLILITRES = {"mL": 1.0, "L": 1000.0}


class Dose(NamedTuple):
    """One logged dose: its salt and the rise it should have given."""

    salt: Salt | None
    rise: float | None  # of ``salt.raises``, mg/L; ammonia as NH3-N
    lacking: str = ""  # "substance", "amount", "strength" or "volume"


def dose_of(
    done: Work, tank: Tank, shelf: Iterable[ShelfItem], reference: Reference
) -> Dose:
    """Return what a dose should have raised, or what is lacking to say so."""
    if not done.salt:
        return Dose(None, None, "substance")
    salt = reference.salts[done.salt]
    if not done.amount or done.amount < 0:
        return Dose(salt, None, "amount")
    if not tank.volume_l or tank.volume_l <= 0:
        return Dose(salt, None, "volume")
    items = [item for item in shelf if item.substance == done.salt]
    if done.unit == "g":
        grams = done.amount
    elif done.unit in _MILLILITRES:
        strength = _strength(done, items)
        if strength is None:
            return Dose(salt, None, "strength")
        grams = grams_in_stock(done.amount * _MILLILITRES[done.unit], strength)
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
    if not done.amount or done.amount <= 0:
        return None
    if "%" in done.unit:
        share = done.amount / 100
    elif done.unit in _MILLILITRES:
        if not tank.volume_l or tank.volume_l <= 0:
            return None
        share = done.amount * _MILLILITRES[done.unit] / 1000 / tank.volume_l
    else:
        return None
    return share if share <= 1 else None
