"""What is said of the solutions of a round, on paper and on the page."""

from __future__ import annotations

from fleet.records import Bottle, Portion, Sentence, say


def bottle_words(bottle: Bottle) -> Sentence:
    """Return how a bottle is made, or that it stands on the shelf."""
    return bottle.make or say("sheet.from-the-shelf", strength=bottle.strength)


def portion_words(portion: Portion, bottle: Bottle) -> Sentence:
    """Return a tank's mL a day, for how many days, and how strong if thinned."""
    return say(
        "sheet.portion",
        ml=portion.day_ml,
        days=portion.days,
        thinned=None if portion.strength == bottle.strength else portion.strength,
    )
