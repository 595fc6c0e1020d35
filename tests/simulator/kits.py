"""Test kits and eyes: what a person writes down for what is truly there."""

from __future__ import annotations

import math
from dataclasses import dataclass
from random import Random


@dataclass(frozen=True, slots=True)
class Kit:
    """A test method: what it can tell, and how far off it may be."""

    name: str
    measures: str
    unit: str
    lowest: float
    step: float
    accuracy: float = 0.0  # +/-, nearly all results lie inside
    share: float = 0.0  # +/- as a share of the value
    highest: float = math.inf
    steps: tuple[float, ...] = ()  # the colours on a card
    nitrite: float = 0.0  # mg/L shown for each mg/L NO2 in the water

    def read(self, true: float, rng: Random, nitrite: float = 0.0) -> float:
        """Return the number shown for ``true``; 0 where nothing shows."""
        true += self.nitrite * nitrite
        # +/- is taken as the edge of an even spread; its sd is +/- over root 3.
        spread = math.hypot(self.accuracy, self.share * true) / math.sqrt(3)
        seen = max(0.0, rng.gauss(true, spread))
        if self.steps:
            # Under its lowest a card's colour cannot be told from none.
            if seen < 0.9 * self.lowest:
                return 0.0
            return min(self.steps, key=lambda colour: abs(colour - seen))
        if seen < self.lowest:
            return 0.0
        shown = round(round(seen / self.step) * self.step, 6)
        return min(shown, self.highest)


# Typical of the class of method, never of a make (common practice, no source). A
# colour nitrate test shows nitrite as well; by how much differs from kit to kit.
NITRATE_CARD = Kit(
    "Nitrate colour card", "nitrate", "mg/L", 2, 5, 0.0, 0.25, 80,
    steps=(0, 2, 5, 10, 20, 40, 80), nitrite=3.0,
)  # fmt: skip
NITRATE_METER = Kit("Nitrate photometer", "nitrate", "mg/L", 1, 0.1, 1.0, 0.08, 75)
PHOSPHATE_CARD = Kit(
    "Phosphate colour card", "phosphate", "mg/L", 0.08, 0.08, 0.0, 0.3, 3,
    steps=(0, 0.08, 0.16, 0.25, 0.5, 1, 2, 3),
)  # fmt: skip
PHOSPHATE_METER = Kit(
    "Low-range phosphate photometer", "phosphate", "mg/L", 0.03, 0.01, 0.02, 0.04, 2.5
)
AMMONIA_CARD = Kit(
    "Ammonia colour card", "ammonia", "mg/L NH3-N", 0.1, 0.25, 0.0, 0.3, 8,
    steps=(0, 0.1, 0.25, 0.5, 1, 2, 4, 8),
)  # fmt: skip
NITRITE_CARD = Kit(
    "Nitrite colour card", "nitrite", "mg/L", 0.05, 0.1, 0.0, 0.25, 5,
    steps=(0, 0.05, 0.1, 0.25, 0.5, 1, 2, 5),
)  # fmt: skip

KITS = (
    NITRATE_CARD, NITRATE_METER, PHOSPHATE_CARD, PHOSPHATE_METER, AMMONIA_CARD,
    NITRITE_CARD,
)  # fmt: skip
