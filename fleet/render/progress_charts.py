"""Drawings of the mentor's pages: stages over the weeks, shares, counts, steps.

Everything is told apart in black and white: stages by hatching and grey with their
words in them, steps by number.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import NamedTuple

from fleet.records import StageName
from fleet.records.mentoring import Course, Usual, WeekCount
from fleet.render.pdf_page import Drawing
from fleet.render.pdf_text import Typesetter

SMALL = 8.0
_MARK = 6.4  # radius of a step's numbered ring
_MARK_ROW = 14.5
_BAR = 13.0
_GREYS: dict[StageName, float] = {
    "cycling": 1.0, "just cycled": 1.0, "ugly phase": 0.78, "settling": 0.9,
    "mature": 0.2,
}  # fmt: skip
_HATCHED: StageName = "cycling"
_KAPPA = 0.5523  # control points of a quarter circle


class Scale(NamedTuple):
    """Weeks on a horizontal axis."""

    left: float
    right: float
    weeks: float

    def at(self, week: float) -> float:
        """Return where ``week`` lies."""
        share = min(max(week / self.weeks, 0.0), 1.0)
        return self.left + (self.right - self.left) * share

    @property
    def ticks(self) -> tuple[int, ...]:
        """Weeks to be labelled."""
        step = next((s for s in (2, 4, 8, 13, 26, 52) if self.weeks / s <= 14), 104)
        return tuple(range(0, int(self.weeks) + 1, step))


def axis(drawing: Drawing, scale: Scale, y: float, label: str = "") -> None:
    """Draw an axis at ``y`` with its weeks under it and ``label`` at its right."""
    drawing.rule(scale.left, y, scale.right, y, 0.5)
    for week in scale.ticks:
        x = scale.at(week)
        drawing.rule(x, y, x, y - 2.5, 0.5)
        drawing.text(x - 2.2 * len(str(week)), y - 11, str(week), SMALL)
    if label:
        drawing.text_right(scale.right, y - 21, label, SMALL)


# ------------------------------------------------------------------ one tank's way


def stage_box(
    drawing: Drawing, stage: StageName, x: float, y: float, wide: float, high: float
) -> None:
    """Draw the ground of one stage; ``y`` is its lower edge."""
    drawing.fill(x, y, wide, high, _GREYS[stage])
    if stage == _HATCHED and wide > 1:
        lines = []
        step, start = 4.0, x - high
        while start < x + wide:
            lines.append(f"{start:.1f} {y:.1f} m {start + high:.1f} {y + high:.1f} l S")
            start += step
        drawing.ops.append(
            f"q {x:.1f} {y:.1f} {wide:.1f} {high:.1f} re W n 0.35 w "
            + " ".join(lines)
            + " Q"
        )
    drawing.box(x, y, wide, high, 0.6)


def way(
    drawing: Drawing,
    typesetter: Typesetter,
    course: Course,
    scale: Scale,
    top: float,
    words: dict[StageName, str],
    numbers: dict[str, int],
) -> float:
    """Draw the stages of one tank and its steps below; return where they end."""
    filled = course.tank.filled_on
    if filled is None:
        return top
    for week in scale.ticks:
        drawing.rule(scale.at(week), top, scale.at(week), top - _BAR, 0.25, "1 2")
    for span in course.spans:
        start = scale.at((span.since - filled).days / 7)
        wide = scale.at((span.until - filled).days / 7) - start
        if wide <= 0:
            continue
        stage_box(drawing, span.stage, start, top - _BAR, wide, _BAR)
        word = words[span.stage]
        need = typesetter.label_width(word) * SMALL
        if need + 8 <= wide:
            x = start + (wide - need) / 2
            _stage_word(drawing, span.stage, word, x, need, top - _BAR)
    marks = [
        (scale.at((seen.on - filled).days / 7), numbers[seen.key])
        for seen in course.milestones
        if seen.on is not None and seen.on >= filled
    ]
    rows = _marks(drawing, typesetter, marks, top - _BAR)
    return top - _BAR - 3 - _MARK_ROW * max(rows, 1)


def _stage_word(
    drawing: Drawing, stage: StageName, word: str, x: float, wide: float, y: float
) -> None:
    """Write the stage into its box."""
    if stage == _HATCHED:
        drawing.fill(x - 2, y + 2, wide + 4, _BAR - 4, 1)
    if _GREYS[stage] < 0.5:
        drawing.ops.append("1 g")
    drawing.text(x, y + 3.8, word, SMALL)
    drawing.ops.append("0 g")


def _marks(
    drawing: Drawing,
    typesetter: Typesetter,
    marks: Iterable[tuple[float, int]],
    top: float,
) -> int:
    """Draw numbered rings, each on the first row where it touches no other."""
    ends: list[float] = []
    placed: list[tuple[float, float, int]] = []
    for x, number in sorted(marks):
        row = next((n for n, end in enumerate(ends) if end <= x - _MARK), len(ends))
        ends[row : row + 1] = [x + _MARK + 0.8]
        placed.append((x, top - 3 - _MARK_ROW * row - _MARK, number))
    for x, y, _ in placed:
        drawing.rule(x, top, x, y, 0.5)
    for x, y, number in placed:
        ring(drawing, typesetter, x, y, number)
    return len(ends)


def ring(
    drawing: Drawing, typesetter: Typesetter, x: float, y: float, number: int
) -> None:
    """Draw a step's number in a ring centred at (x, y)."""
    drawing.ops.append(f"1 g 0.8 w {_circle(x, y, _MARK)} B 0 g")
    text = str(number)
    half = typesetter.label_width(text, True) * SMALL / 2
    drawing.text(x - half, y - 2.9, text, SMALL, True)


def dot(drawing: Drawing, x: float, y: float, radius: float = 3.2) -> None:
    """Draw a black dot."""
    drawing.ops.append(f"{_circle(x, y, radius)} f")


def _circle(x: float, y: float, radius: float) -> str:
    k = radius * _KAPPA
    return (
        f"{x + radius:.2f} {y:.2f} m "
        f"{x + radius:.2f} {y + k:.2f} {x + k:.2f} {y + radius:.2f} "
        f"{x:.2f} {y + radius:.2f} c "
        f"{x - k:.2f} {y + radius:.2f} {x - radius:.2f} {y + k:.2f} "
        f"{x - radius:.2f} {y:.2f} c "
        f"{x - radius:.2f} {y - k:.2f} {x - k:.2f} {y - radius:.2f} "
        f"{x:.2f} {y - radius:.2f} c "
        f"{x + k:.2f} {y - radius:.2f} {x + radius:.2f} {y - k:.2f} "
        f"{x + radius:.2f} {y:.2f} c h"
    )


# ------------------------------------------------------------------------ shares


def shares(
    drawing: Drawing,
    usual: Usual,
    others: Sequence[tuple[Usual, str]],
    scale: Scale,
    floor: float,
    roof: float,
) -> None:
    """Draw the share that had come to a step: its range in grey, others dashed."""

    def up(share: float) -> float:
        return floor + (roof - floor) * share

    lows = [(w.week, w.low) for w in usual.weeks]
    highs = [(w.week, w.high) for w in usual.weeks]
    edge = [*_stairs(scale, highs, up), *reversed(_stairs(scale, lows, up))]
    drawing.ops.append(f"0.87 g {_path(edge)} f 0 g")
    for share, text in ((0.0, "0 %"), (0.5, "50 %"), (1.0, "100 %")):
        drawing.rule(scale.left, up(share), scale.right, up(share), 0.25, "1 2")
        drawing.text_right(scale.left - 3, up(share) - 2.8, text, SMALL)
    axis(drawing, scale, floor)
    for other, dash in others:
        line = _stairs(scale, [(w.week, w.share) for w in other.weeks], up)
        drawing.ops.append(f"[{dash}] 0 d 0.9 w {_path(line)} S [] 0 d")
    line = _stairs(scale, [(w.week, w.share) for w in usual.weeks], up)
    drawing.ops.append(f"1.5 w {_path(line)} S")


def _stairs(
    scale: Scale, values: Sequence[tuple[int, float]], up: Callable[[float], float]
) -> list[tuple[float, float]]:
    """Return a line that rises at the end of each week, from none at the start."""
    points = [(scale.at(0), up(0.0))]
    for week, value in values:
        x = scale.at(week)
        points += [(x, points[-1][1]), (x, up(value))]
    if values:  # as it stood then, so that the last rise can be seen
        points.append((scale.at(values[-1][0] + 0.5), points[-1][1]))
    return points


def _path(points: Sequence[tuple[float, float]]) -> str:
    return " ".join(
        f"{x:.1f} {y:.1f} {'l' if number else 'm'}"
        for number, (x, y) in enumerate(points)
    )


# ------------------------------------------------------------------------- counts


def counts(
    drawing: Drawing,
    weeks: Sequence[WeekCount],
    scale: Scale,
    floor: float,
    roof: float,
) -> None:
    """Draw, week by week, a count (filled) out of a number (outline)."""
    most = max((week.of for week in weeks), default=1) or 1
    for value in dict.fromkeys((most, most // 2, 0)):
        y = floor + (roof - floor) * value / most
        drawing.rule(scale.left, y, scale.right, y, 0.25, "1 2")
        drawing.text_right(scale.left - 4, y - 2.8, str(value), SMALL)
    for week in weeks:
        x = scale.at(week.week - 1) + 1.5
        wide = scale.at(week.week) - 1.5 - x
        high = (roof - floor) * week.of / most
        drawing.box(x, floor, wide, high, 0.6)
        if week.count:
            drawing.fill(x, floor, wide, (roof - floor) * week.count / most, 0.35)


def level(
    drawing: Drawing, x: float, y: float, wide: float, share: float, grey: float = 0.35
) -> None:
    """Draw one horizontal bar of a share, with its lower edge at ``y``."""
    drawing.box(x, y, wide, 9.0, 0.5)
    if share > 0:
        drawing.fill(x, y, wide * min(share, 1.0), 9.0, grey)
