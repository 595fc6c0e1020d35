"""Results that cannot be, or do not fit: shown, asked to be retested, never used.

A result is doubted when it is impossible, when another unit explains it better, or
when it lies far from the tank's own level and nothing logged explains it. A second
similar result settles a jump: both are believed again. Ammonia and nitrite are
doubted only where impossible, and salinity, temperature, pH and alkalinity only
where impossible or where a slip explains them: a true emergency must be heard.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from fleet import problems
from fleet.normalise import doubted as words
from fleet.normalise.doubted import Doubted
from fleet.normalise.explained import Happenings, explains
from fleet.normalise.levels import (
    Entry,
    Series,
    fits,
    inside,
    middle_half,
    nearest,
    outside_all,
    usual_step,
)
from fleet.normalise.plausible import (
    least_shown,
    possible,
    says_little,
    too_fine,
)
from fleet.normalise.slips import Slip, could_be, states_its_unit, written_number
from fleet.normalise.units import Water
from fleet.records import Book, Measurement, Problem, Result
from fleet.reference import Parameter, Reference

_Column = tuple[str, str, int]  # file, sheet, column

NEVER_A_SLIP = frozenset({"ammonia", "nitrite"})
_PLAIN = ("value", "none seen", "about")


def examine(
    parameter: Parameter, series: Series, happened: Happenings
) -> tuple[list[Measurement], list[Problem]]:
    """Return the results of one parameter, oldest first, doubts set, and problems."""
    examined = series.measured.copy()
    found: dict[int, Doubted] = {}
    believed: list[Measurement] = []
    pending: list[int] = []
    level = round(happened.reference.limit("level-results"))
    again_share = happened.reference.limit("jump-again-share")
    last: Measurement | None = None  # the newest believed
    for index, (now, known) in enumerate(
        zip(series.measured, series.known, strict=True)
    ):
        if now.doubt is not None:
            continue
        apart = last is not None and (now.low > last.high or now.high < last.low)
        doubted = None
        if apart or known.stands_out:  # few are; the rest is believed
            entry = series.entry(index)
            doubted = _doubt(parameter, entry, believed[-level:], happened)
            if doubted is not None and entry.seconded and not doubted.lasting:
                doubted = None  # the second result was made that day
        if doubted is not None:
            again = _repeated(now, pending, found, examined, last, doubted, again_share)
            if not again:
                found[index] = doubted
                pending.append(index)
                continue
            for earlier in again:
                del found[earlier]
                believed.append(examined[earlier])
        believed.append(now)
        last = now
        pending.clear()
    for index, doubted in found.items():
        examined[index] = examined[index]._replace(doubt=doubted.doubt)
    return examined, [doubted.problem for _, doubted in sorted(found.items())]


def _repeated(
    now: Measurement,
    pending: Sequence[int],
    found: dict[int, Doubted],
    examined: Sequence[Measurement],
    last: Measurement | None,
    doubted: Doubted,
    share: float,
) -> list[int]:
    """Return the doubted results just before that this one bears out."""
    if doubted.lasting or last is None:
        return []
    again = []
    for earlier in pending:
        before = examined[earlier]
        apart = max(now.low - before.high, before.low - now.high)
        jump = max(before.low - last.high, last.low - before.high)
        if not found[earlier].lasting and apart <= share * jump:
            again.append(earlier)
    return again


def _doubt(
    parameter: Parameter,
    entry: Entry,
    recent: Sequence[Measurement],
    happened: Happenings,
) -> Doubted | None:
    """Return why a result that stands out is not believed; None if it is."""
    number, result = entry.number, entry.result
    if result.number == 0 and parameter.usual[0] > 0 and result.form in _PLAIN:
        return words.zero_or_blank(parameter, result)
    if number is None or not possible(parameter, entry, happened):
        slip = _slip_of_impossible(parameter, entry, recent, happened)
        if slip is not None:
            return words.unit_slip(parameter, entry, slip)
        return words.impossible(parameter, result)
    if entry.measured.method.kind == "total":
        return None
    reference, method = happened.reference, entry.measured.method
    little = result.form == "below" and says_little(
        parameter, number, method, reference
    )
    if parameter.key in NEVER_A_SLIP:
        if little:
            return words.says_little(parameter, result)
        part = result.number < 1  # of a small unit: 3 ug/L are what some tests show
        if not (part and too_fine(parameter, result, number, method, reference)):
            return None
    slip = _slip(parameter, entry, number, recent, happened)
    if slip is not None:
        return words.unit_slip(parameter, entry, slip)
    if little:
        return words.says_little(parameter, result)
    if recent and _jumped(parameter, entry.measured, recent, happened):
        return words.jump(parameter, result, recent[-1])
    return None


def _slips(
    parameter: Parameter, entry: Entry, happened: Happenings
) -> tuple[Slip, ...]:
    water = Water(sg_reference=happened.settings.sg_reference)
    number = written_number(entry.result)
    return could_be(parameter, number, entry.result.unit, water)


def _slip_of_impossible(
    parameter: Parameter,
    entry: Entry,
    recent: Sequence[Measurement],
    happened: Happenings,
) -> Slip | None:
    slips = _slips(parameter, entry, happened)
    fitting = [s for s in slips if recent and fits(s.value, entry, recent)]
    fitting = fitting or [s for s in slips if inside(s.value, parameter.usual)]
    return nearest(fitting, recent) if fitting else None


def _slip(
    parameter: Parameter,
    entry: Entry,
    number: float,
    recent: Sequence[Measurement],
    happened: Happenings,
) -> Slip | None:
    """Return the unit that explains a possible number better than its own does."""
    reference, method = happened.reference, entry.measured.method
    usual = parameter.usual
    points = True  # a lost decimal point may explain it, not only a unit
    if too_fine(parameter, entry.result, number, method, reference):
        within = usual
    elif inside(number, usual):
        # A number of a usual size: only a tank's own clear level speaks against it.
        if len(recent) < reference.limit("slip-history"):
            return None
        if not outside_all(entry.measured, recent):
            return None
        if explains(happened, parameter.key, recent[-1], entry.measured):
            return None
        within = parameter.possible
        points = _jumped(parameter, entry.measured, recent, happened)
    elif recent:
        within = parameter.possible
    elif parameter.nutrient:
        if number <= usual[1] * reference.limit("slip-far"):
            return None
        within = usual
    else:
        within = middle_half(usual)
    if states_its_unit(entry.result) or entry.result.form == "none seen":
        return None
    fitting = [
        slip
        for slip in _slips(parameter, entry, happened)
        if inside(slip.value, within)
        and (slip.unit or points)
        and slip.value >= least_shown(method, reference)
        and (not recent or fits(slip.value, entry, recent))
    ]
    return nearest(fitting, recent) if fitting else None


def _jumped(
    parameter: Parameter,
    now: Measurement,
    recent: Sequence[Measurement],
    happened: Happenings,
) -> bool:
    """Say whether a result lies too far from the tank's own level to be believed."""
    limits, last = happened.reference.limits, recent[-1]
    a_week = limits.get(f"{parameter.key}-jump-week")
    if a_week is None:
        return False
    gap = max(now.low - last.high, last.low - now.high)
    weeks = max((now.taken_on - last.taken_on).days / 7, 1.0)
    if gap <= a_week.value * weeks:
        return False
    if gap <= limits["jump-spreads"].value * usual_step(recent):
        return False
    return not explains(happened, parameter.key, last, now)


# --------------------------------------------------------------- the whole book


def book_doubts(book: Book, reference: Reference) -> list[Problem]:
    """Return remarks on columns whose commonest number is also their smallest.

    Some sheets hold the least a test can tell, without a mark, where nothing was
    seen. That cannot be told from a true result, so no single reading is doubted.
    """
    # Only what can be absent is written as a limit.
    absent = {key for key, known in reference.parameters.items() if known.usual[0] <= 0}
    columns: dict[_Column, list[tuple[str, Result]]] = {}
    marked: set[_Column] = set()  # these say "less than" in so many words
    for reading in book.readings:
        for result in reading.results:
            if result.parameter not in absent:
                continue
            file, sheet, _, column = result.source
            where = file, sheet, column
            if where in marked:
                continue
            if result.form in ("below", "none seen") or result.number <= 0:
                marked.add(where)
            elif result.form == "value":
                columns.setdefault(where, []).append((reading.tank, result))
    noted = (
        _limit_as_value(values, reference)
        for where, values in columns.items()
        if where not in marked
    )
    return [problem for problem in noted if problem is not None]


def _limit_as_value(
    values: list[tuple[str, Result]], reference: Reference
) -> Problem | None:
    if len(values) < reference.limit("limit-value-count"):
        return None
    counts = Counter((r.number, r.unit) for _, r in values)
    (number, unit), times = counts.most_common(1)[0]
    same_unit = [r.number for _, r in values if r.unit == unit]
    if number > min(same_unit) or len(set(same_unit)) < 3:
        return None
    if times < reference.limit("limit-value-share") * len(values):
        return None
    at_limit = [(t, r) for t, r in values if r.number == number and r.unit == unit]
    if len({tank for tank, _ in at_limit}) < reference.limit("limit-value-tanks"):
        return None
    first = at_limit[0][1]
    return problems.LIMIT_AS_VALUE.at(
        first.source,
        first.written,
        parameter=first.parameter,
        times=times,
        number=f"{number:.6g}",
    )
