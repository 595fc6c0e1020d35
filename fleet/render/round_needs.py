"""What to bring on a round: the order of its tanks, and new water to mix."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from fleet.records import NewWater, TankReport, say
from fleet.render.pdf_page import WIDTH, Drawing
from fleet.render.sheet_base import FINE, SMALL_BOX, Desk
from fleet.render.walking import walking

_LITRES_X = 405.0  # where litres end; salt mix stands at the right of them


def section(desk: Desk, label: str, extra: str = "") -> Drawing:
    """Return the heading of a part of the round sheet, which the outline leads to."""
    heading = desk.heading(
        desk.label(label, "round"), desk.label(extra, "round") if extra else ""
    )
    heading.mark = desk.label(label, "round")
    return heading


def walking_order(tanks: tuple[TankReport, ...]) -> list[TankReport]:
    """Return the tanks as they are met: by round order, then place, then tank."""
    return sorted(tanks, key=lambda entry: walking(entry.tank))


class Water(NamedTuple):
    """New water for one tank: how much each day, and what is in it."""

    tank: str
    kind: NewWater
    salinity: float | None  # None: the tank's own is not known, or purified
    litres: float
    days: int

    @property
    def total(self) -> float:
        """Litres of all days."""
        return self.litres * self.days


def new_water(tanks: tuple[TankReport, ...]) -> list[Water]:
    """Return the new water that the plans ask for, in walking order."""
    return [
        Water(
            entry.tank.id,
            action.new_water,
            action.new_water_salinity,
            action.water_change_l,
            action.days or 1,
        )
        for entry in walking_order(tanks)
        for action in entry.plan.actions
        if action.water_change_l and action.new_water
    ]


def water(desk: Desk) -> Iterator[Drawing]:
    """Yield how much new water the changes need: what is mixed, then purified water."""
    wanted = new_water(desk.report.tanks)
    if not wanted:
        return
    yield section(desk, "water")
    mixed = [one for one in wanted if one.kind != "purified"]
    if mixed:
        heads = desk.document.drawing(joined=True)
        heads.text_right(WIDTH, -FINE - 1, desk.label("salt-mix", "round"), FINE)
        heads.height = FINE + 5
        yield heads
    for one in mixed:
        yield _water(desk, one, _mix(desk, [one]))
    if mixed:
        yield _total(desk, "saltwater", mixed)
        low, high = _mix(desk, mixed)
        known = {one.salinity for one in mixed}
        said = say(
            "sheet.salt_mix",
            litres=sum(one.total for one in mixed),
            low=low,
            high=high,
            salinity=known.pop() if len(known) == 1 else None,
        )
        yield from desk.paragraph(desk.said(said))
    purified = [one for one in wanted if one.kind == "purified"]
    for one in purified:
        yield _water(desk, one, None)
    if purified:
        yield _total(desk, "purified", purified)


def _mix(desk: Desk, waters: Iterable[Water]) -> tuple[float, float]:
    """Return the least and the most dry salt mix for ``waters`` [kg]."""
    limit = desk.reference.limit
    of_full = 0.0  # litres that would hold as much salt at the packets' salinity
    for one in waters:
        salinity = limit("salinity-assumed") if one.salinity is None else one.salinity
        of_full += one.total * salinity / limit("salt-mix-salinity")
    return (
        of_full * limit("salt-mix-least") / 1000,
        of_full * limit("salt-mix-most") / 1000,
    )


def _water(desk: Desk, one: Water, mix: tuple[float, float] | None) -> Drawing:
    """Return the line of one tank with a box to tick."""
    drawing, size = desk.document.drawing(), desk.sizes.body
    drawing.tick_box(0, -2, SMALL_BOX)
    said = say(
        "sheet.new_water",
        kind=one.kind,
        salinity=one.salinity,
        litres=one.litres,
        days=one.days,
    )
    words = desk.raw(one.tank, bold=True) + desk.raw("·") + desk.said(said)
    rows = desk.wrap(words, _LITRES_X - 75 - SMALL_BOX, size)
    end = drawing.lines(SMALL_BOX + 5, 0, rows, size, desk.sizes.body_lead)
    litres = desk.display.litres(one.total)
    drawing.text_right(_LITRES_X, -size, litres, size, bold=True)
    if mix is not None:
        words = desk.said(say("sheet.salt_mix_each", low=mix[0], high=mix[1]))
        drawing.right(WIDTH, -size, words, size)
    drawing.height = max(17.0, 3 - end)
    return drawing


def _total(desk: Desk, label: str, waters: Iterable[Water]) -> Drawing:
    drawing, size = desk.document.drawing(), desk.sizes.body
    drawing.rule(0, 0, _LITRES_X, 0, 0.6)
    drawing.text(0, -size - 3, desk.label(label, "round"), size, bold=True)
    litres = desk.display.litres(sum(one.total for one in waters))
    drawing.text_right(_LITRES_X, -size - 3, litres, size, bold=True)
    drawing.height = size + 8
    return drawing
