"""What new water and feed bring to a tank, by calculation."""

from __future__ import annotations

from datetime import date

from fleet.assess.evidence import Feed, feed_on
from fleet.records import Settings, Tank, Work
from fleet.reference import Reference
from fleet.science.feed import nitrate_from_feed, phosphate_from_feed


def change_water(settings: Settings, parameter: str) -> float:
    """Return what new water holds; none where the workbook does not say."""
    for name, value in settings.change_water:
        if name == parameter:
            return max(value, 0.0)
    return 0.0


def given_by_feed(
    parameter: str, g_day: float, tank: Tank, reference: Reference
) -> float:
    """Return what a day of feed ends as in the water of a tank of known volume."""
    volume = tank.volume_l or 0.0
    if parameter == "phosphate":
        return phosphate_from_feed(
            g_day,
            reference.limit("feed-phosphorus"),
            reference.limit("feed-phosphorus-released"),
            volume,
        )
    protein = tank.protein
    if protein is None or not 0 < protein <= 1:
        protein = reference.limit("protein-assumed")
    per_protein = reference.limit("tan-per-protein")
    return nitrate_from_feed(g_day, protein, volume, per_protein)


def feed_over(
    tank: Tank,
    work: tuple[Work, ...],
    reference: Reference,
    since: date,
    until: date,
) -> Feed | None:
    """Return the mean feed a day over a span; None if any part is not known."""
    days = max((until - since).days, 1)
    turns = [since] + [
        w.on for w in work if w.work == "feed change" and since < w.on < until
    ]
    total, noted = 0.0, True
    for start, end in zip(turns, [*turns[1:], until], strict=True):
        fed = feed_on(tank, work, reference, start, until)
        if fed is None:
            return None
        total += fed.g_day * max((end - start).days, 1 if len(turns) == 1 else 0)
        noted = noted and fed.noted
    return Feed(total / days, noted)
