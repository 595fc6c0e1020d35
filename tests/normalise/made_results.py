"""Readings as a workbook would give them, made in code; all of it invented."""

from datetime import date, timedelta
from itertools import count

from fleet.normalise.measurements import measure_tank
from fleet.normalise.methods import MethodLookup
from fleet.records import CellAddress, Method, Reading, Result, Settings, Tank, Work
from fleet.reference import load_reference
from fleet.substances import SaltNames

AS_OF = date(2025, 3, 31)
REFERENCE = load_reference()
SALTS = SaltNames(REFERENCE)
HOUSE = Settings()
CELL = CellAddress("made.xlsx", "Readings", 1, 1)
# What a leaflet says, in the units it says it in.
FINE_NITRATE = Method("Bench nitrate", "nitrate", "meter", 0.2, 0.1, 0.2, None, None)
SHARP_PHOSPHATE = Method(
    "Sharp photometer", "phosphate", "meter", 0.03, 0.01, 0.01, None, 2.5
)
_NONE = {"0", "nd", "trace", "traces", "tr.", "no trace", "bdl"}


def ago(days: float) -> date:
    return AS_OF - timedelta(days=days)


def tank(**facts) -> Tank:
    facts.setdefault("volume_l", 200.0)
    facts.setdefault("livestock", "mixed coral")
    facts.setdefault("filled_on", ago(600))
    return Tank("T1", "t1", CELL, **facts)


def result(parameter, written, method="", unit="", row=2, column=3) -> Result:
    """One cell, by the few forms these tests write; the reader knows far more."""
    text = str(written)
    unit = unit or REFERENCE.parameters[parameter].default_unit
    where = CellAddress("made.xlsx", "Readings", row, column)
    upper = None
    if text.casefold() in _NONE and text != "0":
        form, number = "none seen", 0.0
    elif text[0] in "<>":
        form, number = ("below" if text[0] == "<" else "above"), float(text[1:])
    elif text[0] == "~":
        form, number = "about", float(text[1:])
    elif " to " in text:
        low, high = text.split(" to ")
        form, number, upper = "range", float(low), float(high)
    else:
        form, number = "value", float(text.split()[0])
    return Result(parameter, text, form, number, upper, unit, method, where)


def visits(*rows) -> tuple[Reading, ...]:
    """Readings, oldest first: (days ago, {parameter: cell or (cell, method, unit)})."""
    made = []
    numbers = count(2)
    for days, cells in sorted(rows, key=lambda row: -row[0]):
        row = next(numbers)
        results = []
        for column, (parameter, cell) in enumerate(cells.items(), start=3):
            parts = cell if isinstance(cell, tuple) else (cell,)
            results.append(result(parameter, *parts, row=row, column=column))
        at = CellAddress("made.xlsx", "Readings", row, 1)
        made.append(Reading("t1", ago(days), tuple(results), at))
    return tuple(made)


def series(parameter, *pairs, method="", unit=""):
    """One parameter over time: (days ago, cell)."""
    return visits(*((days, {parameter: (cell, method, unit)}) for days, cell in pairs))


def work(days, kind, substance="", amount=None, unit="") -> Work:
    salt = SALTS.of(substance)
    return Work(ago(days), "t1", kind, CELL, substance, amount, unit, salt=salt)


def lookup(*methods, house=HOUSE) -> MethodLookup:
    return MethodLookup(methods, house, REFERENCE)


def measure(readings, *, log=(), methods=(), shelf=(), house=HOUSE, of=None):
    """Everything a tank's results mean."""
    log = tuple(sorted(log, key=lambda done: done.on))
    return measure_tank(
        of or tank(), readings, log, lookup(*methods, house=house), shelf, house,
        REFERENCE, AS_OF,
    )  # fmt: skip


def only(readings, parameter, **facts):
    """The measurements of one parameter, oldest first."""
    measured = measure(readings, **facts)
    return [m for m in measured.measurements if m.parameter == parameter]


def one(parameter, written, method="", unit="", **facts):
    """One cell on its own, understood."""
    (measured,) = only(visits((0, {parameter: (written, method, unit)})), parameter,
                       **facts)  # fmt: skip
    return measured
