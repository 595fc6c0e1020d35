"""What to bring on a round: what to weigh, what to buy, and new water to mix."""

from __future__ import annotations

from collections.abc import Iterator

from fleet.records import ShoppingLine, TankReport, say
from fleet.render.pdf_page import WIDTH, Drawing
from fleet.render.sheet_base import FINE, SMALL_BOX, Desk


def section(desk: Desk, label: str, extra: str = "") -> Drawing:
    """Return the heading of a part of the round sheet, which the outline leads to."""
    heading = desk.heading(
        desk.label(label, "round"), desk.label(extra, "round") if extra else ""
    )
    heading.mark = desk.label(label, "round")
    return heading


def walking_order(tanks: tuple[TankReport, ...]) -> list[TankReport]:
    """Return the tanks as they are met: by round order, then place, then tank."""

    def met(report: TankReport) -> tuple[float, str, str]:
        tank = report.tank
        order = float("inf") if tank.round_order is None else tank.round_order
        return order, tank.place.casefold(), tank.key

    return sorted(tanks, key=met)


def weigh(desk: Desk) -> Iterator[Drawing]:
    """Yield what to weigh for the whole round, per tank, and what to buy."""
    if not desk.report.shopping:
        return
    display, size = desk.display, desk.sizes.body
    yield section(desk, "weigh")
    heads = desk.document.drawing(joined=True)
    columns = (("in-all", 300.0), ("on-hand", 405.0), ("to-buy", WIDTH))
    heads.text(0, -FINE - 1, desk.label("substance", "round"), FINE)
    for label, right in columns:
        heads.text_right(right, -FINE - 1, desk.label(label, "round"), FINE)
    heads.height = FINE + 5
    yield heads
    for line in desk.report.shopping:
        drawing = desk.document.drawing(joined=bool(line.per_tank))
        name = desk.label(line.substance, "salt")
        drawing.line(0, -size - 2, desk.raw(name, bold=True), size)
        on_hand = desk.label("not-noted", "round")
        to_buy = ""
        if line.on_hand_g is not None:
            on_hand = display.grams(line.on_hand_g)
            short = line.total_g - line.on_hand_g
            to_buy = display.grams(short) if short > 0 else ""
            to_buy = to_buy or desk.label("enough", "round")
        texts = (display.grams(line.total_g), on_hand, to_buy)
        for text, (_, right) in zip(texts, columns, strict=True):
            drawing.text_right(right, -size - 2, text, size, bold=True)
        drawing.height = size + 7
        yield drawing
        yield from _weigh_per_tank(desk, line)


def _weigh_per_tank(desk: Desk, line: ShoppingLine) -> Iterator[Drawing]:
    """Yield rows of tanks with the grams to weigh for each and a box to tick."""
    size = desk.sizes.body
    drawing, x = desk.document.drawing(), 0.0
    for tank, grams in line.per_tank:
        words = desk.raw(tank) + desk.raw(desk.display.grams(grams), bold=True)
        wide = SMALL_BOX + 20 + desk.document.type.width(words) * size
        if x and x + wide > WIDTH:
            drawing.height = 17
            yield drawing
            drawing, x = desk.document.drawing(), 0.0
        drawing.tick_box(x, -1, SMALL_BOX)
        rows = desk.wrap(words, WIDTH - 20, size)
        end = drawing.lines(x + SMALL_BOX + 4, 0.5, rows, size, desk.sizes.body_lead)
        x += wide
        drawing.height = max(19, 4 - end)
    drawing.rule(0, -drawing.height, WIDTH, -drawing.height, 0.3)
    yield drawing


def water(desk: Desk) -> Iterator[Drawing]:
    """Yield how much new water the changes need, and about how much salt mix."""
    wanted = [
        (entry, sum(action.water_change_l or 0.0 for action in entry.plan.actions))
        for entry in walking_order(desk.report.tanks)
    ]
    wanted = [(entry, litres) for entry, litres in wanted if litres > 0]
    if not wanted:
        return
    yield section(desk, "water")
    size, limit = desk.sizes.body, desk.reference.limit
    for entry, litres in wanted:
        drawing = desk.document.drawing()
        drawing.tick_box(0, -2, SMALL_BOX)
        found = entry.findings.of("salinity")
        salinity = desk.label("as-its-sheet", "round")
        if found and found.latest and found.latest.value and found.verdict == "within":
            salinity = desk.display.value(found.latest.value, "salinity")
        words = desk.raw(entry.tank.id, bold=True) + desk.raw(f"· {salinity}")
        words = desk.document.type.cut(words, 300, size)
        drawing.line(SMALL_BOX + 5, -size, words, size)
        text = desk.display.litres(litres)
        drawing.text_right(405, -size, text, size, bold=True)
        drawing.height = 17
        yield drawing
    total = sum(litres for _, litres in wanted)
    drawing = desk.document.drawing()
    drawing.rule(0, 0, 405, 0, 0.6)
    drawing.text(0, -size - 3, desk.label("total", "round"), size, bold=True)
    drawing.text_right(405, -size - 3, desk.display.litres(total), size, bold=True)
    drawing.height = size + 8
    yield drawing
    mix = say(
        "sheet.salt_mix",
        litres=total,
        low=total * limit("salt-mix-least") / 1000,
        high=total * limit("salt-mix-most") / 1000,
        salinity=limit("salinity-assumed"),
    )
    yield from desk.paragraph(desk.said(mix))
