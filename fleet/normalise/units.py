"""A value in the unit it was written in -> the unit kept."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable
from dataclasses import replace
from functools import lru_cache
from typing import NamedTuple

from fleet.records import Band, Settings
from fleet.reference import Parameter, Reference, Unit
from fleet.science import ammonia, concentration, salinity
from fleet.science.alkalinity import (
    meq_from_calcium_carbonate,
    meq_from_dkh,
    meq_from_micromoles_per_kg,
)

STANDARD_REFERENCE = "25/25"  # taken where an instrument's own is not stated
COMPENSATED = 25.0  # degC; conductivity is read as at this where none was measured


class Water(NamedTuple):
    """What some conversions must know of the water: the visit's own, if measured."""

    temperature: float = COMPENSATED  # degC
    salinity: float = 35.0  # PSU
    sg_reference: str = STANDARD_REFERENCE


_STANDARD = Water()


@lru_cache(maxsize=64)
def sg_temperatures(written: str) -> tuple[float, float]:
    """Return sample and water temperature [degC] of a reference such as 60/60 F."""
    found = re.match(r"\s*([\d.]+)\D*/\s*([\d.]+)\s*°?\s*([FCfc]?)", written)
    if not found:
        return salinity.REFERENCE_25, salinity.REFERENCE_25
    sample, water = float(found[1]), float(found[2])
    # 60 degC is no hydrometer's reference: a bare 60/60 is degrees Fahrenheit.
    if found[3].casefold() == "f" or sample >= 45:
        sample, water = celsius_from_fahrenheit(sample), celsius_from_fahrenheit(water)
    return sample, water


def celsius_from_fahrenheit(fahrenheit: float) -> float:
    """Return degrees Celsius from degrees Fahrenheit (exact by definition)."""
    return (fahrenheit - 32.0) / 1.8


@lru_cache(maxsize=4096)
def _psu_from_gravity(gravity: float, reference: str) -> float:
    """Solve for salinity once for each gravity: a column repeats a few."""
    return salinity.salinity_from_specific_gravity(gravity, *sg_temperatures(reference))


# Each takes a value as written and the water it was measured in. A ValueError says
# that no water has such a value.
CONVERSIONS: dict[str, Callable[[float, Water], float]] = {
    "nitrate-from-nitrogen": lambda v, _: concentration.nitrate_from_nitrogen(v),
    "nitrate-from-micrograms-nitrogen": lambda v, _: (
        concentration.nitrate_from_nitrogen(v / 1000)
    ),
    "nitrate-from-micromoles": lambda v, _: concentration.mass_from_amount(
        v, concentration.NITRATE
    ),
    "phosphate-from-phosphorus": lambda v, _: concentration.phosphate_from_phosphorus(
        v
    ),
    "phosphate-from-micrograms-phosphorus": lambda v, _: (
        concentration.phosphate_from_phosphorus(v / 1000)
    ),
    "phosphate-from-micromoles": lambda v, _: concentration.mass_from_amount(
        v, concentration.PHOSPHATE
    ),
    "nitrogen-from-ammonia": lambda v, _: concentration.nitrogen_from_ammonia(v),
    "nitrogen-from-ammonium": lambda v, _: concentration.nitrogen_from_ammonium(v),
    "nitrogen-from-micromoles": lambda v, _: concentration.mass_from_amount(
        v, concentration.NITROGEN
    ),
    "nitrite-from-nitrogen": lambda v, _: concentration.nitrite_from_nitrogen(v),
    "nitrite-from-micromoles": lambda v, _: concentration.mass_from_amount(
        v, concentration.NITRITE
    ),
    "salinity-from-specific-gravity": lambda v, water: _psu_from_gravity(
        v, water.sg_reference
    ),
    "salinity-from-conductivity": lambda v, water: salinity.salinity_from_conductivity(
        v, water.temperature
    ),
    "celsius-from-fahrenheit": lambda v, _: celsius_from_fahrenheit(v),
    "nbs-from-total": lambda v, water: ammonia.nbs_from_total(
        v, water.temperature, water.salinity
    ),
    "meq-from-dkh": lambda v, _: meq_from_dkh(v),
    "meq-from-calcium-carbonate": lambda v, _: meq_from_calcium_carbonate(v),
    "meq-from-micromoles-per-kg": lambda v, water: meq_from_micromoles_per_kg(
        v, salinity.density(water.salinity, water.temperature)
    ),
}

# Conversions that need the visit's own water, and the two that are no straight line:
# a difference in those is taken at seawater of salinity 35 and 25 degC.
ASKS_FOR_WATER = frozenset(
    {"salinity-from-conductivity", "nbs-from-total", "meq-from-micromoles-per-kg"}
)
_TYPICAL = {
    "salinity-from-specific-gravity": 1.0264,  # EOS-80, 25/25 degC
    "salinity-from-conductivity": 53.07,  # PSS-78 at salinity 35, 25 degC
    "celsius-from-fahrenheit": 77.0,
    "nbs-from-total": 8.0,
}


def unit_of(parameter: Parameter, key: str) -> Unit:
    """Return the unit ``key`` of ``parameter``; the default one where unknown."""
    chosen = None
    for unit in parameter.units:
        if unit.key == key:
            return unit
        if unit.key == parameter.default_unit:
            chosen = unit
    return chosen or parameter.units[0]


def factor_of(unit: Unit) -> float | None:
    """Return what to multiply by to reach the kept unit; None if that is not all."""
    if not unit.convert:
        return unit.factor
    if unit.convert in _TYPICAL or unit.convert in ASKS_FOR_WATER:
        return None
    return CONVERSIONS[unit.convert](1.0, _STANDARD)


def to_kept(unit: Unit, value: float, water: Water = _STANDARD) -> float:
    """Return ``value`` in the kept unit.

    Raises
    ------
    ValueError
        If no water can have such a value, as with a specific gravity of 35.
    """
    if not unit.convert:
        return value * (unit.factor or 1.0)
    return CONVERSIONS[unit.convert](value, water)


def difference_to_kept(
    unit: Unit, difference: float, water: Water = _STANDARD
) -> float:
    """Return a difference, such as a step or a plus-or-minus, in the kept unit."""
    typical = _TYPICAL.get(unit.convert, 0.0)
    upper = to_kept(unit, typical + difference, water)
    return upper - to_kept(unit, typical, water)


def kept_bands(
    bands: Iterable[Band], settings: Settings, reference: Reference
) -> tuple[Band, ...]:
    """Return the workbook's own bands with all limits in kept units."""
    water = Water(sg_reference=settings.sg_reference)
    kept = []
    for band in bands:
        parameter = reference.parameters.get(band.parameter)
        if not band.unit or parameter is None:
            kept.append(band)
            continue
        unit = unit_of(parameter, band.unit)
        low, high = (
            None if end is None else _or_limit(unit, end, water)
            for end in (band.low, band.high)
        )
        kept.append(replace(band, low=low, high=high, unit=""))
    return tuple(kept)


def _or_limit(unit: Unit, value: float, water: Water) -> float:
    """Return a limit in the kept unit; one that no water reaches is no limit."""
    try:
        return to_kept(unit, value, water)
    except ValueError:
        return 0.0 if value <= _TYPICAL.get(unit.convert, 0.0) else math.inf
