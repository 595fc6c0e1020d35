"""How numbers of one parameter, in one unit and by one method, are understood."""

from __future__ import annotations

import math

from fleet.intervals import NOTHING_SAID, Meaning, meaning
from fleet.normalise.levels import Understood
from fleet.normalise.plausible import stands_out
from fleet.normalise.units import (
    ASKS_FOR_WATER,
    Water,
    factor_of,
    to_kept,
    unit_of,
)
from fleet.records import Method, Reading, Result, Sentence, Settings, say
from fleet.reference import Reference


class Scale:
    """One parameter, unit and method: what its numbers can mean."""

    def __init__(
        self,
        parameter: str,
        unit: str,
        method: Method,
        settings: Settings,
        reference: Reference,
    ) -> None:
        known = self._parameter = reference.parameters[parameter]
        self.unit = unit_of(known, unit)
        self.method = method
        self.total = method.kind == "total"
        self.asks_for_water = self.unit.convert in ASKS_FOR_WATER
        self._note: Sentence | None = None  # what reading this unit always assumes
        if self.unit.convert == "salinity-from-specific-gravity":
            self._note = say("doubts.sg-reference", reference=settings.sg_reference)
        self._factor = factor_of(self.unit)
        self._plain_water = Water(sg_reference=settings.sg_reference)
        self._bottom = min(known.possible[0], 0.0)
        self._reference = reference
        self._widening = reference.limit("about-widening")
        errs = method.accuracy or method.lowest or 0.0
        by_eye = method.kind in ("card", "drops")
        fault = 0.0 if by_eye else reference.limit("negative-fault") * errs
        self._fault_below = -fault if self._bottom == 0.0 else -math.inf

    def understand(self, result: Result, reading: Reading) -> Understood:
        """Return what a result of a visit can mean, and what had to be assumed.

        The visit itself counts only where the unit ``asks_for_water``.
        """
        if self.asks_for_water:
            return self._in_its_water(result, reading)
        return self._understood(result, self._plain_water, self._note)

    def _in_its_water(self, result: Result, reading: Reading) -> Understood:
        seen = {r.parameter: r for r in reading.results}
        temperature = self._beside(seen.get("temperature"), self._plain_water)
        water = self._plain_water
        if temperature is not None:
            water = water._replace(temperature=temperature)
        if self.unit.convert == "salinity-from-conductivity":
            note = say(
                "doubts.conductivity-at",
                temperature=water.temperature,
                measured=temperature is not None,
            )
            return self._understood(result, water, note)
        salinity = self._beside(seen.get("salinity"), water)
        if salinity is not None:
            water = water._replace(salinity=salinity)
        return self._understood(result, water, None)

    def _understood(
        self, result: Result, water: Water, note: Sentence | None
    ) -> Understood:
        number, upper = result.number, result.upper
        if self._factor is not None:
            number *= self._factor
            upper = None if upper is None else upper * self._factor
        else:
            try:
                number = to_kept(self.unit, number, water)
                upper = None if upper is None else to_kept(self.unit, upper, water)
            except ValueError:
                number = math.nan
        if not math.isfinite(number + (upper or 0.0)):
            method, total = self.method, self.total
            return Understood(NOTHING_SAID, None, False, True, total, method, note)
        meant = meaning(
            result.form, number, upper, self.method, self._widening, self._bottom
        )
        if self.total:
            meant = at_most(meant)
        if result.form == "range" and meant.value is not None:
            number = meant.value
        fault = number < self._fault_below
        if self._bottom == 0.0 and not fault:
            number = max(number, 0.0)  # an instrument's noise round none
        odd = stands_out(
            self._parameter,
            result,
            number,
            meant.registers,
            self.method,
            self._reference,
        )
        return Understood(meant, number, fault, odd, self.total, self.method, note)

    def _beside(self, result: Result | None, water: Water) -> float | None:
        """Return a visit's own temperature or salinity, if it is a usual one."""
        if result is None or result.form not in ("value", "about"):
            return None
        parameter = self._reference.parameters[result.parameter]
        try:
            value = to_kept(unit_of(parameter, result.unit), result.number, water)
        except ValueError:
            return None
        low, high = parameter.usual
        return value if low <= value <= high else None


def at_most(meant: Meaning) -> Meaning:
    """Return a result that is an upper limit only: the true value is no more."""
    registers = False if meant.registers is False else None
    return meant._replace(low=0.0, spread=0.0, shape="even", registers=registers)
