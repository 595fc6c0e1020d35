"""A letter's picture: when other tanks came to each step, and this one."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from fleet.render.pdf_page import Drawing
from fleet.render.progress_charts import SMALL, Scale, axis, dot


class StepLine(NamedTuple):
    """One step of a letter's chart: when others came there, and this tank."""

    label: str
    quarter: int | None  # weeks by which one, two and three in four were there
    half: int | None
    most: int | None
    until: int | None  # last week known of the others
    mine: float | None  # weeks since filling
    note: str  # at the right


def steps(
    drawing: Drawing,
    lines: Sequence[StepLine],
    scale: Scale,
    now: float,
    you: str,
    weeks: str,
) -> None:
    """Draw when others came to each step, and this tank's dot, from the top down."""
    pitch = 15.0
    y = -12.0
    bottom = y - pitch * len(lines) - 2
    drawing.rule(scale.at(now), -7, scale.at(now), bottom, 0.9, "3 2")
    drawing.text_right(scale.at(now) + 8, -6, you, SMALL, True)
    for line in lines:
        y -= pitch
        drawing.text(0, y + 3, line.label, 9.5)
        drawing.rule(scale.left, y + 5.5, scale.right, y + 5.5, 0.25, "1 2")
        if line.quarter is not None:
            start = scale.at(line.quarter - 1)
            end = scale.at(line.most if line.most is not None else line.until or 0)
            drawing.fill(start, y + 1.5, max(end - start, 2), 8, 0.8)
            if line.most is None:  # open: nobody knows yet by when
                for back in (0.0, 3.0, 6.0):
                    drawing.fill(end - back - 1.5, y + 1.5, 1.5, 8, 1)
        if line.half is not None:
            x = scale.at(line.half)
            drawing.rule(x, y + 0.5, x, y + 10.5, 1.6)
        if line.mine is not None:
            dot(drawing, scale.at(line.mine), y + 5.5, 3.6)
        drawing.text(scale.right + 6, y + 3, line.note, 9.5)
    axis(drawing, scale, bottom - 1, weeks)
    drawing.height = -bottom + 24
