"""What follows the steps of an action sheet: what to leave, test again, and sign."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

from fleet.records import Sentence, TankReport, say
from fleet.render.pdf_page import WIDTH, Drawing
from fleet.render.reading_box import columns
from fleet.render.sheet_base import SMALL_BOX, Desk
from fleet.render.sheet_steps import text_x
from fleet.render.summary import boxed

_CROSS = "1.8 w 0 0 m 7 7 l 0 7 m 7 0 l S"


def leave_alone(desk: Desk, tank: TankReport) -> Iterator[Drawing]:
    """Yield what not to do."""
    sentences = tank.plan.leave_alone
    if not sentences:
        return
    heading = desk.section("leave-alone")
    left = text_x(desk)
    if not desk.sizes.wide:  # beside its heading
        left = max(left, desk.document.type.label_width(desk.label("leave-alone"), True)
                   * (desk.sizes.body + 1) + 22)  # fmt: skip
        heading.height = desk.sizes.gap + 2
    yield heading
    for sentence in sentences:
        make = partial(_left_alone, desk, sentence, left)
        yield desk.standing(("leave-alone", sentence), make)


def _left_alone(desk: Desk, sentence: Sentence, left: float) -> Drawing:
    size, lead = desk.sizes.body + 0.5, desk.sizes.body_lead + 0.3
    drawing = desk.document.drawing()
    lines = desk.wrap(desk.said(sentence), WIDTH - left, size)
    y = -0.77 * lead - 0.4
    drawing.ops.append(f"q 1 0 0 1 {left - 13:.1f} {y:.1f} cm {_CROSS} Q")
    drawing.height = -drawing.lines(left, 0, lines, size, lead)
    return drawing


def retests(desk: Desk, tank: TankReport) -> Iterator[Drawing]:
    """Yield the boxes to write the next readings in, and the line to sign.

    What is only due with the next round has its box on the reading slip.
    """
    wanted = boxed(tank, desk.next_round)
    rest = tuple(name for name, _ in tank.plan.retests if name not in wanted)
    if wanted:
        yield desk.section("again", "again-note")
        drawing = desk.document.drawing(joined=bool(rest))
        drawing.height = -columns(desk, drawing, tank, list(wanted.items()), -1)
        yield drawing
    if rest:
        later = say("sheet.with-the-round", parameters=rest, on=desk.next_round)
        yield from desk.paragraph(desk.said(later))


def sign_off(desk: Desk, tank: TankReport) -> Iterator[Drawing]:
    """Yield what is to be noted down, with a box to tick, and the line to sign on."""
    size = desk.sizes.body
    for action in tank.plan.actions:
        if action.kind == "log":
            drawing = desk.document.drawing(joined=True)
            drawing.tick_box(0, -desk.sizes.gap * 0.5, SMALL_BOX - 2)
            words, room = desk.said(action.what, bold=True), WIDTH - SMALL_BOX - 4
            why = words + desk.said(action.why)
            lines = desk.wrap(why, room, size)
            if len(lines) > 1 and not desk.sizes.wide:
                lines = desk.wrap(words, room, size)
            top = -desk.sizes.gap * 0.5 + 0.5
            end = drawing.lines(SMALL_BOX + 4, top, lines, size, desk.sizes.body_lead)
            drawing.height = -end
            yield drawing
    yield desk.document.standing("sign-off", partial(_line_to_sign, desk))


def _line_to_sign(desk: Desk) -> Drawing:
    drawing = desk.document.drawing()
    x, size = 0.0, 11.0
    for label, end in (("done-by", 200.0), ("on", 310.0), ("checked-by", WIDTH)):
        text = desk.label(label)
        drawing.text(x, -17, text, size)
        start = x + desk.document.type.label_width(text) * size + 4
        drawing.rule(start, -19, end, -19, 0.7)
        x = end + 10
    drawing.height = 22
    return drawing
