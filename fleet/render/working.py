"""A dose's sum written out, line by line, so that it can be redone by hand."""

from __future__ import annotations

from fleet.records import DoseWorking
from fleet.render.display import Display


def dose_lines(
    working: DoseWorking,
    per_day_g: float,
    days: int,
    stock: tuple[float, float] | None,
    display: Display,
) -> tuple[str, ...]:
    """Return the steps of one dose; ``stock`` is its strength (g/L) and mL a day."""
    show = display.significant
    ion = working.rise_day * working.volume_l / 1000
    lines = [
        f"{show(working.rise_day, 4)} mg/L × {show(working.volume_l, 5)} L ÷ 1000 "
        f"= {show(ion, 4)} g",
        f"{show(ion, 4)} g ÷ {show(working.ion_share, 4)} ÷ {show(working.purity, 4)} "
        f"= {show(per_day_g, 4)} g",
    ]
    if days > 1:
        total = per_day_g * days
        lines.append(f"{show(per_day_g, 4)} g × {days} = {show(total, 4)} g")
    if stock:
        strength, ml = stock
        lines.append(
            f"{show(per_day_g, 4)} g ÷ {show(strength, 4)} g/L × 1000 "
            f"= {show(ml, 4)} mL"
        )
    return tuple(lines)
