"""Kept values to shown words; the only place that rounds.

Amounts follow the error-prone-designation rules of medication safety (ISMP list,
as cited in ``DEVELOPERS.md``): a leading zero, no trailing zero, a space before
the unit, ``mL`` with a capital L, no ``<`` or ``>`` in an instruction.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from datetime import date
from functools import lru_cache
from typing import Any

from fleet.records import Measurement, Settings
from fleet.reference import Reference

LITRES_PER_US_GALLON = 3.785411784  # exact by definition
DKH_PER_MEQ = 2.80385  # 1 dKH = 10 mg/L CaO; molar mass of CaO 56.077 g/mol
CACO3_PER_MEQ = 50.0435  # mg/L, half the molar mass of CaCO3
_WEIGHABLE = 0.01  # g; ten steps of the finest pocket scale

# [form] of labels.toml: what each form may name.
FORMS: dict[str, tuple[str, ...]] = {
    "decimal": (),
    "thousands": (),
    "to": ("low", "high"),
    "or-more": ("value",),
    "percent": ("number",),
    "us-gallons": ("number",),
    "day": ("weekday", "day", "month", "year", "number"),
    "short-day": ("weekday", "day", "month", "year", "number"),
}


class Display:
    """How numbers, amounts and dates are shown in one report."""

    def __init__(
        self, reference: Reference, settings: Settings, labels: dict[str, str]
    ) -> None:
        self._parameters = reference.parameters
        self._settings = settings
        self._labels = labels
        self._forms = {name: labels[f"form.{name}"] for name in FORMS}
        self._point = self._forms["decimal"]
        self._comma = self._forms["thousands"]
        # The same few days come again in every sentence of every tank.
        self._days: dict[tuple[str, date], str] = {}
        # So do the values that a test can read, on their sheets and pages.
        self._bare = lru_cache(maxsize=16384)(self._in_words)
        self._span = lru_cache(maxsize=16384)(self._both_ends)

    # -- plain numbers

    def number(self, value: float, decimals: int = 2) -> str:
        """Return ``value`` rounded, with a leading and without a trailing zero."""
        text = f"{value:,.{decimals}f}"
        if "." in text:
            text = text.rstrip("0").rstrip(".")
        if text in ("-0", ""):
            text = "0"
        if self._point == "." and self._comma == ",":
            return text
        swapped = text.replace(",", "\0").replace(".", self._point)
        return swapped.replace("\0", self._comma)

    def significant(self, value: float, figures: int = 3) -> str:
        """Return ``value`` to so many significant figures."""
        if value == 0 or not math.isfinite(value):
            return "0" if value == 0 else "∞"
        decimals = figures - 1 - math.floor(math.log10(abs(value)))
        return self.number(round(value, decimals), max(decimals, 0))

    def share(self, value: float) -> str:
        """Return a share as whole per cent."""
        return self._forms["percent"].format(number=round(100 * value))

    # -- measured values

    def unit(self, parameter: str) -> str:
        """Return the unit ``parameter`` is shown in."""
        if parameter == "alkalinity":
            return self._settings.alkalinity_unit
        if parameter == "temperature" and self._settings.units == "US":
            return "°F"
        if parameter == "free_ammonia":
            return "mg/L"
        kept = self._parameters[parameter].kept
        return "" if kept == "pH" else kept

    def heads(self, measured: Measurement) -> bool:
        """Say whether a result was written in the unit that its column is headed."""
        shown, written = self.unit(measured.parameter), measured.unit
        usual = self._parameters[measured.parameter].default_unit
        return written in ("", shown) or (
            written == usual and usual.startswith(shown or usual)
        )

    def shown(self, parameter: str, value: float, change: bool = False) -> float:
        """Return a kept value in the shown unit; ``change`` leaves out offsets."""
        if parameter == "alkalinity":
            unit = self._settings.alkalinity_unit
            factor = {"dKH": DKH_PER_MEQ, "mg/L CaCO3": CACO3_PER_MEQ}.get(unit, 1.0)
            return value * factor
        if parameter == "temperature" and self._settings.units == "US":
            return value * 9 / 5 + (0 if change else 32)
        return value

    def decimals(self, parameter: str) -> int:
        """Return how many decimals ``parameter`` is shown with."""
        if parameter == "free_ammonia":
            return 3
        return self._parameters[parameter].decimals

    def bare(self, value: float, parameter: str, change: bool = False) -> str:
        """Return a kept value in the shown unit, without the unit."""
        return self._bare(value, parameter, change)

    def _in_words(self, value: float, parameter: str, change: bool) -> str:
        if math.isinf(value):
            return "∞"
        shown = self.shown(parameter, value, change)
        decimals = self.decimals(parameter)
        # A phosphate of 0.004 must not read as 0: small values keep one figure.
        if shown != 0 and abs(shown) < 0.5 * 10**-decimals:
            return self.significant(shown, 1)
        if parameter == "phosphate" and 0 < abs(shown) < 0.1:
            decimals = 3
        return self.number(shown, decimals)

    def value(self, value: float, parameter: str, change: bool = False) -> str:
        """Return a kept value with its unit, such as ``0.03 mg/L``."""
        unit = self.unit(parameter)
        text = self.bare(value, parameter, change)
        return f"{text} {unit}" if unit else text

    def change(self, value: float, parameter: str) -> str:
        """Return a difference with its sign, such as ``+0.5 mg/L``."""
        sign = "+" if value > 0 else "−" if value < 0 else ""
        return sign + self.value(abs(value), parameter, change=True)

    def span(self, ends: tuple[float, float], parameter: str) -> str:
        """Return low to high with the unit: ``0 to 0.08 mg/L``, ``50 mg/L or more``."""
        return self._span(*ends, parameter)

    def _both_ends(self, low: float, high: float, parameter: str) -> str:
        if math.isinf(high):
            return self._forms["or-more"].format(value=self.value(low, parameter))
        unit = self.unit(parameter)
        text = self.bare_span((low, high), parameter)
        return f"{text} {unit}" if unit else text

    def bare_span(self, ends: tuple[float, float], parameter: str) -> str:
        """Return low to high without the unit, where that stands beside it."""
        low = self.bare(ends[0], parameter)
        if math.isinf(ends[1]):
            return self._forms["or-more"].format(value=low)
        return self._forms["to"].format(low=low, high=self.bare(ends[1], parameter))

    def can_mean(self, measured: Measurement) -> str:
        """Return what a result can mean: the ends its method leaves open."""
        return self.span((measured.low, measured.high), measured.parameter)

    # -- amounts

    def _amount(self, amount: float, decimals: int) -> str:
        """Return an amount rounded; one too small for that keeps a figure."""
        if 0 < amount < 0.5 * 10**-decimals:
            return self.significant(amount, 1)
        return self.number(amount, decimals)

    def grams(self, grams: float) -> str:
        """Return a mass to three figures, but no finer than a scale shows it.

        The finest pocket scales show 1 mg, kitchen scales 1 g. What is under 10 mg is
        weighed by neither: it is the salt in a measured volume, and shown in mg.
        """
        return self.grams_of(grams, 1)

    def grams_of(self, grams: float, days: int) -> str:
        """Return the mass of so many portions, as each is shown: so they add up."""
        if grams and grams < _WEIGHABLE:
            decimals = 1 - math.floor(math.log10(grams * 1000))
            together = days * round(grams * 1000, decimals)
            return f"{self.number(together, max(decimals, 0))} mg"
        decimals = 3 if grams < 1 else 2 if grams < 10 else 1 if grams < 100 else 0
        return f"{self.number(days * round(grams, decimals), decimals)} g"

    def millilitres(self, ml: float) -> str:
        """Return a volume to measure."""
        return self.millilitres_of(ml, 1)

    def millilitres_of(self, ml: float, days: int) -> str:
        """Return the volume of so many portions, as each is measured."""
        decimals = 2 if ml < 1 else 1 if ml < 100 else 0
        if days == 1:
            return f"{self._amount(ml, decimals)} mL"
        return f"{self._amount(days * round(ml, decimals), decimals)} mL"

    def litres(self, litres: float) -> str:
        """Return a volume of tank water, in the workbook's system of units."""
        if self._settings.units == "US":
            gallons = litres / LITRES_PER_US_GALLON
            shown = self._amount(gallons, 1 if gallons < 100 else 0)
            return self._forms["us-gallons"].format(number=shown)
        return f"{self._amount(litres, 1 if litres < 10 else 0)} L"

    # -- days

    def day(self, day: date) -> str:
        """Return a date with its weekday, such as ``Mon 3 Mar 2025``."""
        return self._fill("day", day)

    def short_day(self, day: date) -> str:
        """Return a date without the year, such as ``Mon 3 Mar``."""
        return self._fill("short-day", day)

    def _fill(self, name: str, day: date) -> str:
        shown = self._days.get((name, day))
        if shown is None:
            shown = self._days[name, day] = self._forms[name].format(
                weekday=self._labels[f"weekday.{day.isoweekday()}"],
                day=day.day,
                month=self._labels[f"month.{day.month}"],
                year=day.year,
                number=day.month,
            )
        return shown

    def filters(self) -> dict[str, Callable[..., Any]]:
        """Return the filters that templates may use."""
        return {
            "number": self.number,
            "significant": self.significant,
            "share": self.share,
            "value": self.value,
            "bare": self.bare,
            "change": self.change,
            "span": self.span,
            "bare_span": self.bare_span,
            "grams": self.grams,
            "millilitres": self.millilitres,
            "litres": self.litres,
            "day": self.day,
            "short_day": self.short_day,
        }
