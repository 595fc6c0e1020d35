"""One dose or one stock solution worked out by hand, or refused with the reason."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import NamedTuple

from fleet.errors import UsageError
from fleet.records import DoseWorking
from fleet.reference import Reference, Salt
from fleet.science.ammonia import free_share
from fleet.science.concentration import ammonia_from_nitrogen
from fleet.science.dosing import (
    alkalinity_carried,
    carried_along,
    grams_for_rise,
    grams_in_stock,
    millilitres_of_stock,
    rise_from_grams,
)
from fleet.science.volume import (
    litres_from_imperial_gallons,
    litres_from_us_gallons,
)
from fleet.substances import SaltNames

_VOLUME = re.compile(r"\s*([0-9]+(?:[.,][0-9]+)?)\s*([A-Za-z. ]*)\s*$")

# Three digits behind a mark are thousandths in one country and thousands in another.
_TWO_WAYS = re.compile(r"[1-9][0-9]{0,2}[.,][0-9]{3}")


@dataclass(frozen=True, slots=True)
class DoseAsked:
    """What the command line asked for; purity is a share."""

    salt: str
    volume_l: float
    rise: float | None = None  # mg/L of the ion
    grams: float | None = None
    purity: float = 1.0
    stock_g_per_l: float | None = None
    stock_ml: float | None = None  # make this much stock
    animals: bool = True
    total_ammonia: float = 0.0  # now in the water, mg/L N
    ph: float | None = None
    temperature: float | None = None
    salinity: float | None = None


class Measured(NamedTuple):
    """A day's dose as a volume of a solution."""

    g_per_l: float
    ml: float


@dataclass(frozen=True, slots=True)
class DoseByHand:
    """One dose with all that stands behind it."""

    salt: Salt
    working: DoseWorking
    amount_g: float
    per_day_g: float
    days: int
    rise: float
    stock_g_per_l: float | None
    per_day_ml: float | None
    strongest_g_per_l: int
    stock_ml: float | None
    stock_salt_g: float | None
    easier: Measured | None  # what to give instead, where it is too little to weigh
    sodium: float
    potassium: float
    alkalinity: float
    free_ammonia: float | None  # after one day's dose, mg/L NH3
    free_ammonia_limit: float


def litres(written: str) -> float:
    """Return a volume written as ``400``, ``400 L``, ``75 gal`` or ``60 imp gal``.

    Raises
    ------
    UsageError
        It is no volume above zero, or can be read as two.
    """
    match = _VOLUME.match(written)
    if not match:
        raise UsageError(f"'{written}' is no volume. Write it as 400, '75 gal' or so.")
    if _TWO_WAYS.fullmatch(match[1]):
        small, large = match[1].replace(",", "."), re.sub("[.,]", "", match[1])
        raise UsageError(
            f"'{match[1]}' can be read as {float(small):g} or as {large}: write "
            f"{float(small):g} or {large}."
        )
    number = float(match[1].replace(",", "."))
    unit = match[2].replace(".", "").replace(" ", "").casefold()
    if unit in ("", "l", "litre", "litres", "liter", "liters"):
        volume = number
    elif unit in ("gal", "usgal", "gallon", "gallons", "usgallons"):
        volume = litres_from_us_gallons(number)
    elif unit in ("impgal", "ukgal", "imperialgallons"):
        volume = litres_from_imperial_gallons(number)
    else:
        raise UsageError(
            f"'{match[2].strip()}' is no unit of volume known: L, gal, imp gal."
        )
    if not volume > 0:
        raise UsageError("The volume must be above zero.")
    return volume


def find_salt(written: str, reference: Reference) -> Salt:
    """Return the salt of that name or formula.

    Raises
    ------
    UsageError
        No salt is called so, or it is none to dose with.
    """
    key = SaltNames(reference).of(written)
    if not key:
        known = ", ".join(key for key, salt in reference.salts.items() if salt.dose)
        raise UsageError(f"No salt is called '{written}'. Salts known: {known}.")
    salt = reference.salts[key]
    if not salt.dose:
        caustic = "strongly caustic and is " if "caustic" in salt.cautions else ""
        others = (s for s in reference.salts.values() if s.dose)
        better = min(
            (other for other in others if other.raises == salt.raises),
            key=lambda other: other.preferred,
        )
        raise UsageError(f"{key} is {caustic}not dosed. Use {better.key} instead.")
    return salt


def dose(asked: DoseAsked, reference: Reference) -> DoseByHand:
    """Return one dose with its working.

    Raises
    ------
    UsageError
        It makes no sense, does not dissolve, or is not safe; the line says why.
    """
    salt = find_salt(asked.salt, reference)
    _check_water(asked, reference)
    if not 0 < asked.purity <= 1:
        raise UsageError("The purity must be above 0 and at most 100 %.")
    rise = _rise(asked, salt)
    largest = _largest_rise_day(salt, asked, reference)
    days = max(1, math.ceil(rise / largest - 1e-9))
    grams = grams_for_rise(rise, asked.volume_l, salt.ion_share, asked.purity)
    if not (math.isfinite(grams) and math.isfinite(asked.volume_l)):
        raise UsageError("The amount is too large to be one.")
    _check_rise(asked, salt, reference)
    strongest = salt.strongest_stock
    _check_stock(asked, salt, strongest)
    per_day = grams / days
    stock = asked.stock_g_per_l
    _check_measures(asked, per_day, reference)
    equivalents = salt.alkalinity_eq
    free = _free_ammonia(asked, salt, rise / days, reference)
    return DoseByHand(
        salt=salt,
        working=DoseWorking(
            parameter=salt.raises,
            volume_l=asked.volume_l,
            from_value=0.0,
            from_high=0.0,
            aim=rise,
            ceiling=math.inf,
            rise_day=rise / days,
            largest_rise_day=largest,
            ion_share=salt.ion_share,
            purity=asked.purity,
            uptake_day=0.0,
        ),
        amount_g=grams,
        per_day_g=per_day,
        days=days,
        rise=rise,
        stock_g_per_l=stock,
        per_day_ml=millilitres_of_stock(per_day, stock) if stock else None,
        # Rounded down: a limit that is rounded up is none.
        strongest_g_per_l=math.floor(strongest),
        stock_ml=asked.stock_ml,
        stock_salt_g=grams_in_stock(asked.stock_ml, stock)
        if stock and asked.stock_ml
        else None,
        easier=None if stock else _easier(per_day, strongest, reference),
        sodium=carried_along(rise, salt.sodium_per_ion),
        potassium=carried_along(rise, salt.potassium_per_ion),
        alkalinity=alkalinity_carried(
            rise, equivalents, salt.molar_mass, salt.ion_share
        ),
        free_ammonia=free,
        free_ammonia_limit=reference.limit("free-ammonia-chronic"),
    )


def _check_water(asked: DoseAsked, reference: Reference) -> None:
    """Refuse what no tank's water can read: no number at all passes every limit."""
    for option, parameter, value in (
        ("--ph", "ph", asked.ph),
        ("--temperature", "temperature", asked.temperature),
        ("--salinity", "salinity", asked.salinity),
        ("--ammonia", "ammonia", asked.total_ammonia),
    ):
        low, high = reference.parameters[parameter].possible
        if value is not None and not low <= value <= high:
            raise UsageError(
                f"{option} {value:g} cannot be: it must lie between {low:g} and "
                f"{high:g}."
            )


def _rise(asked: DoseAsked, salt: Salt) -> float:
    if (asked.rise is None) == (asked.grams is None):
        raise UsageError("Give either --rise (mg/L wanted) or --grams (g at hand).")
    if asked.rise is not None:
        rise = asked.rise
    else:
        rise = rise_from_grams(
            asked.grams or 0.0, asked.volume_l, salt.ion_share, asked.purity
        )
    if not (math.isfinite(rise) and rise > 0):
        raise UsageError("The rise wanted must be above zero.")
    return rise


def _check_rise(asked: DoseAsked, salt: Salt, reference: Reference) -> None:
    """Refuse to raise a tank beyond what is ever read there: a slip of the unit."""
    most = reference.parameters[salt.raises].usual[1]
    if asked.rise is not None and asked.rise > most:
        raise UsageError(
            f"--rise {asked.rise:g} mg/L of {salt.raises} cannot be meant: no tank "
            f"reads more than {most:g} mg/L as a rule."
        )


def _largest_rise_day(salt: Salt, asked: DoseAsked, reference: Reference) -> float:
    if salt.ammonia_bearing and not asked.animals:
        return reference.limit("ammonia-check-addition")
    return reference.limit(f"{salt.raises}-rise-day")


def _check_stock(asked: DoseAsked, salt: Salt, strongest: float) -> None:
    stock = asked.stock_g_per_l
    if asked.stock_ml is not None and stock is None:
        raise UsageError("To make a stock, give its strength too: --stock 50 (g/L).")
    if asked.stock_ml is not None and not 0 < asked.stock_ml < math.inf:
        raise UsageError("The stock to make must be more than 0 mL.")
    if stock is None:
        return
    if not stock > 0:
        raise UsageError("The stock must be stronger than 0 g/L.")
    if stock > strongest:
        raise UsageError(
            f"A stock of {stock:g} g/L of {salt.key} may not stay dissolved in a cool "
            f"bottle: use at most {math.floor(strongest)} g/L."
        )


def _check_measures(asked: DoseAsked, day_grams: float, reference: Reference) -> None:
    """Refuse what no syringe can measure and no pocket scale can weigh."""
    stock, limit = asked.stock_g_per_l, reference.limit
    if stock is None:
        return
    ml, least = millilitres_of_stock(day_grams, stock), limit("measured-dose-least")
    if ml < least:
        weak = _weak(day_grams, reference)
        raise UsageError(
            f"{ml:.2g} mL of a stock of {stock:g} g/L is too little to measure "
            f"({least:g} mL at least). Thin it with purified water: of "
            f"{weak.g_per_l:g} g/L it would be {weak.ml:.2g} mL."
        )
    least = limit("weighed-least")
    if asked.stock_ml and (weighed := grams_in_stock(asked.stock_ml, stock)) < least:
        raise UsageError(
            f"{weighed:.2g} g is too little to weigh for a stock ({least:g} g at "
            "least). Make more of it, or a stronger one to thin."
        )


def _weak(day_grams: float, reference: Reference) -> Measured:
    """Return a solution of 1, 2, 5, 10 ... g/L from which a day's dose is measured."""
    strength = 1000 * day_grams / reference.limit("measured-dose-good")
    power = 10.0 ** math.floor(math.log10(strength))
    strength = max(step * power for step in (1, 2, 5) if step * power <= strength)
    return Measured(strength, millilitres_of_stock(day_grams, strength))


def _easier(
    day_grams: float, strongest: float, reference: Reference
) -> Measured | None:
    """Return the solution to measure a dose from that cannot be weighed well."""
    if day_grams >= reference.limit("weighed-least"):
        return None
    weak = _weak(day_grams, reference)
    return weak if weak.g_per_l <= strongest else None


def _free_ammonia(
    asked: DoseAsked, salt: Salt, rise_day: float, reference: Reference
) -> float | None:
    """Return free NH3 after a day's dose; refuse where animals would be harmed."""
    if not salt.ammonia_bearing:
        return None
    missing = [
        name
        for name, value in (
            ("--ph", asked.ph),
            ("--temperature", asked.temperature),
            ("--salinity", asked.salinity),
        )
        if value is None
    ]
    if missing and asked.animals:
        raise UsageError(
            f"{salt.key} adds ammonia. With animals in, give the tank's own "
            f"{', '.join(missing)} so that free ammonia can be worked out; with no "
            "animals in, say --no-animals."
        )
    if asked.ph is None or asked.temperature is None or asked.salinity is None:
        return None
    share = free_share(asked.ph, asked.temperature, asked.salinity)
    free = ammonia_from_nitrogen((asked.total_ammonia + rise_day) * share)
    part = reference.limit("free-ammonia-act-share")
    limit = reference.limit("free-ammonia-chronic") * part
    if asked.animals and free > limit:
        raise UsageError(
            f"Not safe: free ammonia would be {free:.3f} mg/L NH3 after a day's dose, "
            f"above {limit:.4f} mg/L, {100 * part:.0f} % of the published four-day "
            "limit."
        )
    return free
