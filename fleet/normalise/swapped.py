"""Nitrate and phosphate written into each other's boxes on one visit."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from fleet.normalise import doubted as words
from fleet.normalise.levels import Series, inside
from fleet.records import CellAddress, Measurement, Problem
from fleet.reference import Reference


def doubt_swapped(
    measured: Mapping[str, list[Measurement]],
    series: Mapping[str, Series],
    reference: Reference,
    met: list[Problem],
) -> dict[str, list[Measurement]]:
    """Return both nutrients' results, with nitrate doubted where it was swapped.

    Phosphate is doubted by then, since no tank has so much. Nitrate that reads next to
    nothing beside it would pass for a zero, if each number did not fit the other box.
    """
    phosphate = {
        _row(m.source): m for m in measured["phosphate"] if m.doubt is not None
    }
    if not phosphate:
        return dict(measured)
    level = round(reference.limit("level-results"))
    numbers = {
        result.source: known.number
        for name in ("nitrate", "phosphate")
        for result, known in zip(series[name].results, series[name].known, strict=True)
    }
    nitrate: list[Measurement] = []
    for result in measured["nitrate"]:
        beside = phosphate.get(_row(result.source))
        if beside is not None and result.doubt is None:
            low, high = numbers[result.source], numbers[beside.source]
            earlier = [m for m in nitrate if m.doubt is None][-level:]
            if low and high and _swapped(low, high, earlier, reference):
                found = words.swapped(result, beside, high)
                met.append(found.problem)
                result = result._replace(doubt=found.doubt)
        nitrate.append(result)
    return {**measured, "nitrate": nitrate}


def _row(source: CellAddress) -> tuple[str, str, int]:
    return source.file, source.sheet, source.row


def _swapped(
    nitrate: float,
    phosphate: float,
    earlier: Sequence[Measurement],
    reference: Reference,
) -> bool:
    """Say whether two numbers fit the tank better the other way round."""
    usual = reference.parameters["phosphate"].usual
    if not 0 < nitrate < phosphate or not inside(nitrate, usual):
        return False
    if not inside(phosphate, reference.parameters["nitrate"].usual):
        return False
    if not earlier:
        return nitrate < reference.limit("nitrate-registers-least")
    lowest, highest = min(m.low for m in earlier), max(m.high for m in earlier)
    return nitrate < lowest <= phosphate <= highest
