"""Which salt, and with which cautions."""

from __future__ import annotations

from fleet.plan.case import Case
from fleet.records import Sentence, ShelfItem, say
from fleet.reference import Salt


def choose_salt(case: Case, parameter: str, grams_of_ion: float) -> ShelfItem:
    """Return the shelf's best salt for ``parameter``, else the one to buy.

    One that lasts for this dose goes before one that runs out; a salt raises what
    it is listed for, so an ammonium salt is never taken to raise nitrate.
    """
    salts = case.reference.salts
    at_hand = [
        item
        for item in case.shelf
        if item.substance in salts
        and salts[item.substance].dose
        and salts[item.substance].raises == parameter
        and 0 < item.purity <= 1
    ]

    def order(item: ShelfItem) -> tuple[bool, int]:
        salt = salts[item.substance]
        needed = grams_of_ion / salt.ion_share / item.purity
        runs_out = item.on_hand_g is not None and item.on_hand_g < needed
        return runs_out, salt.preferred

    if at_hand:
        return min(at_hand, key=order)
    key = min(
        (key for key, salt in salts.items() if salt.dose and salt.raises == parameter),
        key=lambda key: salts[key].preferred,
    )
    return ShelfItem(key, "", 1.0, None, None)


def cautions(salt: Salt) -> tuple[Sentence, ...]:
    """Return the cautions of a salt, then those of every salt."""
    return (
        *(say(f"cautions.{key}") for key in salt.cautions),
        say("cautions.salts"),
    )


def sources(case: Case, parameter: str, salt: Salt) -> tuple[str, ...]:
    """Return where the numbers behind a dose come from."""
    finding = case.of(parameter)
    band = finding.band.basis if finding and finding.band else ""
    rate = case.reference.limits[f"{parameter}-rise-day"].source
    if any(name == parameter for name, _ in case.settings.largest_rise_day):
        rate = "workbook"
    named = (("band", band), ("largest rise a day", rate), ("salt", salt.source))
    return tuple(f"{what}: {source}" for what, source in named if source)
