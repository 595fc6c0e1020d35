"""What is usual here, on paper: a picture and a small table for each step."""

from __future__ import annotations

from collections.abc import Iterator

from fleet.records import say
from fleet.records.mentoring import Progress, Usual
from fleet.render.pdf_page import WIDTH, Drawing
from fleet.render.progress_charts import Scale, shares
from fleet.render.progress_words import kind_words
from fleet.render.sheet_base import FINE, Desk

_CHART_RIGHT = 208.0
_TABLE = 224.0
_COLUMNS = (362.0, 434.0, WIDTH)  # right edges of tanks, half and three in four
_PITCH = 13.0
_LEAST_HIGH = 96.0
_SEEDED, _NOT_SEEDED = "4 2", "1 1.6"


def usual_parts(desk: Desk, progress: Progress) -> Iterator[Drawing]:
    """Yield how it was counted, then each step."""
    fewest = int(desk.reference.milestone("fewest-tanks"))
    if not progress.usual:
        few = say("progress.too-few-usual", fewest=fewest)
        yield from desk.paragraph(desk.said(few))
        return
    how = say("progress.how-counted", tanks=progress.tanks, fewest=fewest)
    yield from desk.paragraph(desk.said(how))
    yield _lines(desk)
    for key in dict.fromkeys(usual.milestone for usual in progress.usual):
        yield _step(desk, [u for u in progress.usual if u.milestone == key])


def _lines(desk: Desk) -> Drawing:
    """Return what the three lines of a picture mean."""
    drawing = desk.document.drawing()
    x = 0.0
    for label, dash, thick in (
        ("all-kinds", "", 1.5), ("seeded", _SEEDED, 0.9),
        ("not-seeded", _NOT_SEEDED, 0.9),
    ):  # fmt: skip
        drawing.rule(x, -10, x + 24, -10, thick, dash)
        text = desk.label(label, "mentor")
        drawing.text(x + 28, -13, text, FINE)
        x += 46 + desk.document.type.label_width(text) * FINE
    drawing.text_right(WIDTH, -13, desk.label("weeks-axis", "mentor"), FINE)
    drawing.height = 20
    return drawing


def _step(desk: Desk, kinds: list[Usual]) -> Drawing:
    """Return one step: the shares week by week, and by when half and most."""
    drawing = desk.document.drawing()
    drawing.text(0, -11, desk.label(kinds[0].milestone, "milestone"), 11, bold=True)
    high = max(_LEAST_HIGH, 34 + _PITCH * len(kinds))
    every = {(u.rock, u.seeded): u for u in kinds}
    wide = every.get(("", None))
    if wide is not None:
        last = max(usual.weeks[-1].week for usual in kinds)
        scale = Scale(30, _CHART_RIGHT, max(last, 3) + 1)
        others = [
            (every["", yes], dash)
            for yes, dash in ((True, _SEEDED), (False, _NOT_SEEDED))
            if ("", yes) in every
        ]
        shares(drawing, wide, others, scale, 14 - high, -18)
    _table(desk, drawing, kinds)
    drawing.height = high + 8
    return drawing


def _table(desk: Desk, drawing: Drawing, kinds: list[Usual]) -> None:
    y = -11.0
    for label, right in zip(
        ("tanks", "usual-half", "usual-most"), _COLUMNS, strict=True
    ):
        drawing.text_right(right, y, desk.label(label, "mentor"), FINE)
    drawing.rule(_TABLE, y - 4, WIDTH, y - 4, 0.5)
    y -= 4
    for usual in kinds:
        y -= _PITCH
        room = _COLUMNS[0] - _TABLE - 22
        words = desk.raw(kind_words(usual, desk.wording))
        drawing.line(_TABLE, y, desk.document.type.cut(words, room, 9.5), 9.5)
        texts = [str(usual.tanks)]
        texts += [
            desk.wording.plain(say("progress.week-range", range=weeks))
            for weeks in (usual.half, usual.most)
        ]
        for text, right in zip(texts, _COLUMNS, strict=True):
            drawing.text_right(right, y, text, 9.5)
