"""What to weigh for a round: one solution of each salt, and the mL for each tank."""

from __future__ import annotations

from collections.abc import Iterator

from fleet.records import Bottle, ShoppingLine
from fleet.render.pdf_page import WIDTH, Drawing
from fleet.render.round_needs import section
from fleet.render.sheet_base import FINE, SMALL_BOX, Desk
from fleet.render.stock_words import bottle_words, portion_words

_COLUMNS = (("in-all", 300.0), ("on-hand", 405.0), ("to-buy", WIDTH))
_ROW = 17.0


def weigh(desk: Desk) -> Iterator[Drawing]:
    """Yield each salt: what to weigh and to buy, its solution, and each tank's mL."""
    if not desk.report.shopping:
        return
    yield section(desk, "weigh")
    heads = desk.document.drawing(joined=True)
    heads.text(0, -FINE - 1, desk.label("substance", "round"), FINE)
    for label, right in _COLUMNS:
        heads.text_right(right, -FINE - 1, desk.label(label, "round"), FINE)
    heads.height = FINE + 5
    yield heads
    for line in desk.report.shopping:
        yield _salt(desk, line)
        for bottle in line.bottles:
            drawings = desk.paragraph(desk.said(bottle_words(bottle)))
            for drawing in drawings:
                drawing.joined = True
            yield from drawings
            yield from _portions(desk, bottle)


def _salt(desk: Desk, line: ShoppingLine) -> Drawing:
    """Return the row of one salt: grams to weigh, at hand, and to buy."""
    display, size = desk.display, desk.sizes.body
    drawing = desk.document.drawing(joined=True)
    name = desk.label(line.substance, "salt")
    drawing.line(0, -size - 2, desk.raw(name, bold=True), size)
    on_hand = desk.label("not-noted", "round")
    to_buy = ""
    if line.on_hand_g is not None:
        on_hand = display.grams(line.on_hand_g)
        short = line.weighed_g - line.on_hand_g
        to_buy = display.grams(short) if short > 0 else desk.label("enough", "round")
    texts = (display.grams(line.weighed_g), on_hand, to_buy)
    for text, (_, right) in zip(texts, _COLUMNS, strict=True):
        drawing.text_right(right, -size - 2, text, size, bold=True)
    drawing.height = size + 7
    return drawing


def _portions(desk: Desk, bottle: Bottle) -> Iterator[Drawing]:
    """Yield rows of tanks with the mL for each and a box to tick."""
    size = desk.sizes.body
    drawing, x = desk.document.drawing(), 0.0
    for portion in bottle.portions:
        words = desk.raw(portion.tank) + desk.said(portion_words(portion, bottle))
        wide = SMALL_BOX + 20 + desk.document.type.width(words) * size
        if x and x + wide > WIDTH:
            drawing.height = max(drawing.height, _ROW)
            yield drawing
            drawing, x = desk.document.drawing(), 0.0
        drawing.tick_box(x, -1, SMALL_BOX)
        rows = desk.wrap(words, WIDTH - 20, size)
        end = drawing.lines(x + SMALL_BOX + 4, 0.5, rows, size, desk.sizes.body_lead)
        x += wide
        drawing.height = max(drawing.height, _ROW, 4 - end)
    drawing.height += 2
    drawing.rule(0, -drawing.height, WIDTH, -drawing.height, 0.3)
    yield drawing
