"""Whether nitrate and phosphate have swung lately, or kept steady."""

from __future__ import annotations

from datetime import date, timedelta
from itertools import pairwise
from typing import Literal

from fleet.assess.evidence import best, levels
from fleet.records import Measured, Measurement
from fleet.reference import Reference


def swings_of(
    measured: Measured, reference: Reference, as_of: date
) -> Literal["small", "large", ""]:
    """Return whether either nutrient doubled or halved from month to month.

    Only a change that the methods can tell counts as one: the ranges of the two
    results must lie apart. "" where there are too few results to say.
    """
    since = as_of - timedelta(days=reference.stage("swing-window"))
    enough = False
    for parameter in ("nitrate", "phosphate"):
        results = levels(measured, parameter, as_of)
        recent = [m for m in results if m.taken_on >= since]
        if any(_swung(a, b, reference) for a, b in pairwise(recent)):
            return "large"
        enough = enough or len(recent) >= reference.stage("swing-visits")
    return "small" if enough else ""


def _swung(before: Measurement, after: Measurement, reference: Reference) -> bool:
    if before.low <= after.high and after.low <= before.high:
        return False
    if (after.taken_on - before.taken_on).days > reference.stage("swing-gap"):
        return False
    lower, upper = sorted((before, after), key=best)
    return best(upper) >= reference.stage("swing") * best(lower)
