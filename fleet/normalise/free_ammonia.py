"""Free ammonia at each visit that tested ammonia: derived, with what was assumed."""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import date
from typing import NamedTuple

from fleet.normalise.levels import best
from fleet.records import Measurement, Method, Settings, say
from fleet.reference import Reference
from fleet.science.ammonia import free_share, outside_range
from fleet.science.concentration import ammonia_from_nitrogen
from fleet.science.resolution import combined_uncertainty, uncertainty_from_limits

KEY = "free_ammonia"
WATER = ("ph", "temperature", "salinity")
# A share of a half or less changes by this much, relatively, for each unit of pH.
_PER_PH = math.log(10)
_PER_DEGREE = 0.0315536 * _PER_PH  # slope of Bell et al. (2008), as in science/ammonia


class Known(NamedTuple):
    """pH, temperature or salinity at a visit, and where it came from."""

    value: float
    low: float
    high: float
    origin: str  # "measured", "earlier" or "assumed"


def free_ammonia(
    ammonia: Sequence[Measurement],
    water: dict[str, list[Measurement]],
    settings: Settings,
    reference: Reference,
) -> list[Measurement]:
    """Return free ammonia [mg/L NH3] for each believed ammonia result.

    Parameters
    ----------
    ammonia
        Results, oldest first.
    water
        Results of ``WATER``, oldest first; doubted ones are passed over.
    """
    believed = [total for total in ammonia if total.doubt is None]
    days = [total.taken_on for total in believed]
    carried = reference.limit("water-carried-rounds") * settings.round_days
    beside = (
        _known(name, water.get(name, ()), days, carried, reference) for name in WATER
    )
    return [_derived(*row) for row in zip(believed, *beside, strict=True)]


def _known(
    name: str,
    results: Sequence[Measurement],
    days: Sequence[date],
    carried: float,
    reference: Reference,
) -> list[Known]:
    """Return what is known on each of the days, which run forward."""
    value = reference.limit(f"{name}-assumed")
    within = reference.limit(f"{name}-assumed-within")
    assumed = Known(value, value - within, value + within, "assumed")
    later = iter([m for m in results if m.doubt is None])
    newest, coming = None, next(later, None)
    known = []
    for day in days:
        while coming is not None and coming.taken_on <= day:
            newest, coming = coming, next(later, None)
        if (
            newest is None
            or math.isinf(newest.high)
            or (age := (day - newest.taken_on).days) > carried
        ):
            known.append(assumed)
            continue
        origin = "earlier" if age else "measured"
        known.append(Known(best(newest), newest.low, newest.high, origin))
    return known


def _derived(
    total: Measurement, ph: Known, temperature: Known, salinity: Known
) -> Measurement:
    most = free_share(ph.high, temperature.high, salinity.low)
    high = ammonia_from_nitrogen(total.high * most)
    value, low, spread = None, 0.0, 0.0
    if total.low > 0 or total.value is not None:
        share = free_share(ph.value, temperature.value, salinity.value)
        least = free_share(ph.low, temperature.low, salinity.high)
        low = ammonia_from_nitrogen(total.low * least)
        if total.value is not None:
            value = ammonia_from_nitrogen(total.value * share)
            if total.shape == "normal" and total.value > 0:
                spread = value * combined_uncertainty(
                    total.spread / total.value,
                    (1 - share) * _PER_PH * _uncertainty(ph),
                    (1 - share) * _PER_DEGREE * _uncertainty(temperature),
                )
    origins = ph.origin, temperature.origin, salinity.origin
    note = say(
        "verdicts.free-ammonia-from",
        ph=ph.value,
        temperature=temperature.value,
        salinity=salinity.value,
        assumed=_named(origins, "assumed"),
        earlier=_named(origins, "earlier"),
        outside=outside_range(ph.value, temperature.value, salinity.value),
    )
    return Measurement(
        parameter=KEY,
        taken_on=total.taken_on,
        value=value,
        low=low,
        high=high,
        spread=spread,
        shape=total.shape,
        registers=total.registers,
        written=total.written,
        method=_METHOD_ASSUMED if "assumed" in origins else _METHOD,
        source=total.source,
        note=note,
    )


def _uncertainty(known: Known) -> float:
    return uncertainty_from_limits((known.high - known.low) / 2)


def _named(origins: Sequence[str], origin: str) -> tuple[str, ...]:
    if origin not in origins:
        return ()
    return tuple(name for name, o in zip(WATER, origins, strict=True) if o == origin)


_METHOD = Method(
    "free-ammonia", KEY, "meter", None, None, None, None, None, class_key="free-ammonia"
)
_METHOD_ASSUMED = Method(
    "free-ammonia",
    KEY,
    "meter",
    None,
    None,
    None,
    None,
    None,
    assumed=True,
    class_key="free-ammonia",
)
