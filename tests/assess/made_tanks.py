"""Tanks, readings and work made by hand for the tests of assess."""

from datetime import date, timedelta

from fleet.read.table import language_of
from fleet.records import (
    CellAddress,
    Measured,
    Measurement,
    Method,
    Reading,
    Tank,
    Work,
)
from fleet.reference import load_reference

WORDS = language_of(load_reference())
AS_OF = date(2025, 3, 31)
CELL = CellAddress("made.xlsx", "Readings", 2, 3)

# Typical of the class, as methods.toml has them.
METHODS = {
    "nitrate": Method("colour", "nitrate", "card", 2.0, 5.0, None, 0.3, 100.0),
    "phosphate": Method(
        "photometer", "phosphate", "meter", 0.03, 0.01, 0.02, None, 2.5
    ),
    "phosphate card": Method("colour", "phosphate", "card", 0.08, 0.08, None, 0.4, 3.0),
    "fine nitrate": Method(
        "laboratory", "nitrate", "laboratory", 0.1, 0.01, 0.1, None, None
    ),
    "ammonia": Method("colour", "ammonia", "card", 0.1, 0.25, None, 0.4, 8.0),
    "nitrite": Method("colour", "nitrite", "card", 0.05, 0.1, None, 0.3, 5.0),
    "temperature": Method("glass", "temperature", "meter", None, 0.1, 0.5, None, None),
}


def ago(days: int) -> date:
    return AS_OF - timedelta(days=days)


def make_tank(filled: int | None = None, **facts) -> Tank:
    """A tank filled so many days ago; ``cycled`` likewise."""
    cycled = facts.pop("cycled", None)
    facts.setdefault("volume_l", 200.0)
    return Tank(
        "T1",
        "t1",
        CELL,
        filled_on=None if filled is None else ago(filled),
        cycled_on=None if cycled is None else ago(cycled),
        **facts,
    )


def result(parameter: str, days: int, value: float, method: str = "", **facts):
    """One believed result, so many days ago; 0 is "none seen"."""
    how = METHODS[method or parameter]
    lowest = how.lowest or 0.0
    if value < lowest:
        return Measurement(
            parameter, ago(days), None, 0.0, lowest, 0.0, "even", False,
            str(value), facts.pop("how", how), CELL, **facts,
        )  # fmt: skip
    half = how.accuracy or max((how.step or 0) / 2, (how.accuracy_share or 0) * value)
    shape = "even" if how.kind == "card" else "normal"
    return Measurement(
        parameter, ago(days), value, max(value - half, lowest / 2), value + half,
        half / 3**0.5, shape, True, str(value), facts.pop("how", how), CELL, **facts,
    )  # fmt: skip


def series(parameter: str, *pairs: tuple[int, float], method: str = ""):
    """Results as (days ago, value), oldest first."""
    return tuple(result(parameter, days, value, method) for days, value in pairs)


def measured(*groups) -> Measured:
    flat = [m for group in groups for m in group]
    return Measured(tuple(sorted(flat, key=lambda m: (m.parameter, m.taken_on))), ())


def look(days: int, *words: str) -> Reading:
    return Reading("t1", ago(days), (), CELL, looks=words)


def work(days: int, kind: str, substance="", amount=None, unit="", notes="") -> Work:
    return Work(
        ago(days), "t1", kind, CELL, substance, amount, unit, notes=notes,
        salt=WORDS.salts.of(substance),
        equipment=WORDS.words.named("equipment", substance),
    )  # fmt: skip
