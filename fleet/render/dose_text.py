"""One dose by hand, with its sum, side effects and cautions, as text."""

from __future__ import annotations

from fleet.byhand import DoseByHand
from fleet.records import say
from fleet.render.wording import Wording, plain
from fleet.render.working import dose_lines


def dose_text(dose: DoseByHand, wording: Wording) -> str:
    """Return what ``fleet dose`` prints."""
    stock = None
    if dose.stock_g_per_l and dose.per_day_ml:
        stock = dose.stock_g_per_l, dose.per_day_ml
    template = wording.environment.get_template("dose.txt.j2")
    text = template.render(
        dose=dose,
        lines=dose_lines(
            dose.working, dose.per_day_g, dose.days, stock, wording.display
        ),
        cautions=[
            wording.plain(say(f"cautions.{key}"))
            for key in (*dose.salt.cautions, "salts")
        ],
    )
    return plain(str(text)).strip() + "\n"
