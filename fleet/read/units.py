"""Units as people write them: of the parameters, of volumes, masses and shares."""

from __future__ import annotations

import re

from fleet.read.words import Words
from fleet.reference import Reference
from fleet.spelling import fold, tidy

# Exact by definition: NIST Special Publication 811 (2008), appendix B.8.
LITRES = {
    "L": 1.0,
    "mL": 0.001,
    "m3": 1000.0,
    "US gal": 3.785411784,
    "imp gal": 4.54609,
}
GRAMS = {"g": 1.0, "kg": 1000.0, "mg": 0.001, "lb": 453.59237, "oz": 28.349523125}
GRAMS_PER_LITRE = {"g/L": 1.0, "mg/L": 0.001}
SHARES = {"%": 0.01}
GRAMS_A_DAY = {"g/day": 1.0, "mg/day": 0.001}

# What a quantity may be written in: the word list, and the factor to the first unit.
QUANTITIES: dict[str, tuple[str, dict[str, float]]] = {
    "volume": ("volume-unit", LITRES),
    "mass": ("mass-unit", GRAMS),
    "rate": ("rate-unit", GRAMS_A_DAY),
    "strength": ("strength-unit", GRAMS_PER_LITRE),
    "share": ("percent-unit", SHARES),
}

_SMALL = re.compile(r"\b(as|in|of|per)\b")


class Units:
    """Finds the unit key a parameter's unit is written as."""

    def __init__(self, reference: Reference) -> None:
        self._parameters = reference.parameters
        self._keys: dict[str, dict[str, str]] = {}
        for key, parameter in reference.parameters.items():
            spelt: dict[str, str] = {}
            for unit in parameter.units:
                for spelling in (unit.key, *unit.spellings):
                    spelt.setdefault(fold(spelling), unit.key)
            spelt.pop("", None)
            self._keys[key] = spelt

    def of(self, parameter: str, text: str, basis: str = "") -> str | None:
        """Return the unit key that ``text`` names, or None.

        ``basis`` is a unit key already named for the column: ``mg/L`` in a column
        of NO3-N is mg/L of NO3-N.
        """
        spelt = self._keys[parameter]
        if not fold(text):
            return None
        for written in dict.fromkeys((text, _SMALL.sub(" ", tidy(text)))):
            if basis:
                _, _, tail = basis.partition(" ")
                found = spelt.get(fold(f"{written} {tail}"))
                if found:
                    return found
            found = spelt.get(fold(written))
            if found:
                return found
        return None

    def accepted(self, parameter: str) -> str:
        """Return the units of a parameter, for a message."""
        return ", ".join(unit.key for unit in self._parameters[parameter].units)


def quantity_unit(quantity: str, text: str, words: Words) -> str | None:
    """Return the unit of a volume, mass, rate, strength or share, or None."""
    name, _ = QUANTITIES[quantity]
    return words.word(name, text)


def factor(quantity: str, unit: str) -> float:
    """Return what a number in ``unit`` is multiplied by."""
    return QUANTITIES[quantity][1][unit]
