"""What is to be done at a tank."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from fleet.records.words import ActionKind, Attention, NewWater, Sentence


@dataclass(frozen=True, slots=True)
class DoseWorking:
    """The sum behind one dose, for ``fleet explain`` and the tests."""

    parameter: str
    volume_l: float
    from_value: float
    from_high: float  # upper end of what the reading allows
    aim: float
    ceiling: float  # band's top
    rise_day: float
    largest_rise_day: float
    ion_share: float  # g of the ion per g of pure salt
    purity: float
    uptake_day: float  # mg/L a day the tank takes, as measured; 0 if unknown


@dataclass(frozen=True, slots=True)
class Action:
    """One thing to do (or to leave) at one tank."""

    id: str
    kind: ActionKind
    rule: str  # the situation that asks for it
    what: Sentence
    why: Sentence
    when: date
    priority: int = 0  # 1 first; set by plan/order.py
    parameter: str = ""
    substance: str = ""  # key in salts.toml, or a thing to take out
    amount_g: float | None = None
    amount_ml: float | None = None
    stock_g_per_l: float | None = None
    days: int | None = None
    per_day_g: float | None = None
    per_day_ml: float | None = None
    expected: tuple[tuple[str, float], ...] = ()  # parameter -> rise, kept unit
    water_change_l: float | None = None  # each of ``days``
    water_change_share: float | None = None
    new_water: NewWater | None = None  # which water goes in
    new_water_salinity: float | None = None  # None: not known, or purified
    method_class: str = ""  # for a retest: class key in methods.toml
    until: date | None = None
    stop_if: Sentence | None = None
    cautions: tuple[Sentence, ...] = ()
    sources: tuple[str, ...] = ()
    working: DoseWorking | None = None
    stock: Sentence | None = None  # how to make the stock solution
    thinned_from: float | None = None  # g/L of the bottle that the stock is made from


@dataclass(frozen=True, slots=True)
class ScorePart:
    """One named part of a tank's score; the parts sum to the score."""

    what: str
    points: float
    because: Sentence


@dataclass(frozen=True, slots=True)
class Plan:
    """What is wanted at one tank, most urgent first."""

    attention: Attention
    score: int
    score_parts: tuple[ScorePart, ...]
    situations: tuple[str, ...]  # ids of situations.toml, leading one first
    headline: Sentence
    meaning: tuple[Sentence, ...]  # what it means, in plain words
    actions: tuple[Action, ...]
    leave_alone: tuple[Sentence, ...]  # what not to do
    retests: tuple[tuple[str, date], ...]  # parameter -> day
