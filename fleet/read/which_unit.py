"""Which unit a column that names none is in, as far as its own numbers tell."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from statistics import median
from typing import NamedTuple

from fleet.read.numbers import NUMBER, Either, number_of
from fleet.read.words import Words
from fleet.reference import Parameter
from fleet.spelling import tidy

ENOUGH = 3  # numbers that are evidence of a column's unit
_PLAIN = re.compile(rf"[<>~≈≤≥= ]*({NUMBER})(?: ?[-–] ?({NUMBER}))?[+?*]?")


class Told(NamedTuple):
    """What the numbers of a column say of its unit."""

    only: str = ""  # unit key: no water has such numbers in the default one
    likelier: str = ""  # unit key: all numbers are usual in it, and none in the default
    either: tuple[str, ...] = ()  # unit keys, far apart: nothing tells which
    asked: tuple[float, float, str] | None = None  # a number from, to, may be in unit


def told_by_numbers(
    parameter: Parameter, cells: Sequence[object], words: Words
) -> Told:
    """Return what the cells of a column without a unit say of its unit.

    What they prove is read; where they leave it open, and it matters, it is asked.
    """
    lists = words.reference.vocabulary
    windows = {
        unit.key: ends
        for unit in parameter.units
        if (ends := window(parameter, unit.key, words))
    }
    loose = [
        (unit.key, tuple(map(float, marks)))
        for unit in parameter.units
        if (marks := lists["likelier-unit"].get(f"{parameter.key}, {unit.key}"))
    ]
    whole = lists["whole-numbers"].get(parameter.key)
    if not (windows or loose or whole):
        return Told()
    numbers = _numbers(cells)
    if not numbers:
        return Told()
    for unit, (low, high) in windows.items():
        if all(low <= n <= high for n in numbers):
            return Told(only=unit)
    if whole and _all_whole(numbers, float(whole[0]), float(whole[1])):
        return Told(either=whole[2:])
    for unit, (low, high, most) in loose:
        enough = len(numbers) >= ENOUGH and max(numbers) <= most
        if enough and low <= median(numbers) <= high:
            return Told(likelier=unit)
        return Told(asked=(low, high, unit))
    return Told()


def window(parameter: Parameter, unit: str, words: Words) -> tuple[float, float] | None:
    """Return the numbers that can only be in ``unit``, where there are such."""
    ends = words.reference.vocabulary["unmistakable"].get(f"{parameter.key}, {unit}")
    return (float(ends[0]), float(ends[1])) if ends else None


def _all_whole(numbers: Sequence[float], some: float, alone: float) -> bool:
    """Say whether a column holds nothing but whole numbers, as small units do."""
    if not all(n.is_integer() for n in numbers):
        return False
    return max(numbers) >= (some if len(numbers) >= ENOUGH else alone)


def _numbers(cells: Iterable[object]) -> list[float]:
    """Return the plain numbers of a column, of a range both ends."""
    seen: dict[str, list[float]] = {}
    numbers: list[float] = []
    for cell in cells:
        if isinstance(cell, float | int):
            numbers.append(float(cell))
        elif isinstance(cell, str) and cell:
            if cell not in seen:
                seen[cell] = _in_text(cell)
            numbers += seen[cell]
    return numbers


def _in_text(cell: str) -> list[float]:
    found = _PLAIN.fullmatch(tidy(cell))
    read = [number_of(text) for text in found.groups() if text] if found else []
    return [n.decimal if isinstance(n, Either) else n for n in read if n is not None]
