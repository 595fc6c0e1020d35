"""The club of the examples: Marrowgate Marine Circle, two intakes. Invented."""

# ruff: noqa: E501 - one tank a block; cut into short lines they cannot be compared.

from __future__ import annotations

from datetime import date, timedelta
from random import Random

from example_workbooks.story import Deed, Story, film_look
from tests.simulator.kits import (
    NITRATE_CARD,
    NITRATE_METER,
    PHOSPHATE_CARD,
    PHOSPHATE_METER,
)
from tests.simulator.tank import Build, State

LAST = date(2026, 3, 29)  # a Sunday
DAYS = [LAST - timedelta(7 * week) for week in reversed(range(26))]
SEED = 20251005
ABOUT = [
    "INVENTED EXAMPLE. The Marrowgate Marine Circle, its members and their tanks do not exist. The readings were made by a small model of tanks and tests, with a fixed seed.",
    "16 tanks of an Autumn intake and 3 of a New Year intake, sent in on Sundays over 26 weeks; the last day is 2026-03-29.",
    "",
]
AUTUMN, NEW_YEAR = "Autumn intake", "New Year intake"

# tank, keeper, litres, rock, kg, feed g/day, fish, kits, seeded, days after the first
# Sunday it was filled, equipment, what it shows. Feed starts with the first fish.
MEMBERS = (
    ("M01", "Ada", 180, "dry", 20, 0.45, 2, "meter", 0.0, -5, "skimmer", "usual course, registers at the end"),
    ("M02", "Bram", 240, "dry", 30, 0.30, 2, "meter", 0.0, -3, "skimmer", "zero-in-ugly-phase, light feeding"),
    ("M03", "Cleo", 150, "cured live", 18, 0.50, 3, "meter", 0.0, -4, "filter sock", "cured live rock: ahead of the group"),
    ("M04", "Dov", 200, "man-made", 22, 0.40, 2, "card", 0.0, -2, "skimmer, filter roller", "stripped: filter roller from the start"),
    ("M05", "Esme", 300, "mixed", 30, 1.00, 5, "meter", 0.1, -6, "skimmer", "ahead, within the band"),
    ("M06", "Finn", 110, "dry", 12, 0.80, 4, "card", 0.0, 0, "skimmer", "over: heavy feeding in a small tank"),
    ("M07", "Greta", 220, "dry", 25, 0.50, 3, "card", 0.0, 2, "skimmer", "cannot-tell-phosphate"),
    ("M08", "Hale", 160, "mixed", 16, 0.45, 3, "meter", 0.2, -1, "skimmer", "usual course, seeded"),
    ("M09", "Ilse", 130, "dry", 15, 0.30, 2, "card", 0.0, 1, "", "stops sending in week 11"),
    ("M10", "Jonas", 350, "dry", 40, 0.70, 4, "meter", 0.0, 3, "skimmer, refugium", "falls behind, pests"),
    ("M11", "Kaia", 190, "cured live", 22, 0.35, 3, "meter", 0.0, -7, "skimmer", "ahead, within the band: may skip weekly tests"),
    ("M12", "Leif", 250, "man-made", 28, 0.60, 3, "meter", 0.0, 4, "skimmer, phosphate media", "one-sided: phosphate missing"),
    ("M13", "Mina", 140, "dry", 15, 0.40, 2, "card", 0.05, 0, "filter sock", "usual course, colour cards"),
    ("M14", "Noor", 210, "mixed", 20, 0.55, 3, "meter", 0.1, 2, "skimmer", "stops sending in week 18"),
    ("M15", "Olaf", 170, "dry", 18, 0.00, 0, "card", 0.0, 133, "", "never-cycled: nothing was ever fed"),
    ("M16", "Pia", 200, "dry", 20, 0.00, 0, "card", 0.0, 119, "", "cycle-stalled: cold, low pH"),
    ("W1", "Quinn", 200, "dry", 22, 0.00, 0, "card", 0.0, 145, "", "nitrite-interferes"),
    ("W2", "Runa", 160, "dry", 18, 0.25, 2, "meter", 0.0, 140, "skimmer", "zero-after-cycle"),
    ("W3", "Sven", 240, "man-made", 24, 0.00, 0, "meter", 0.0, 119, "skimmer", "over-and-young"),
)  # fmt: skip


# What members gave after a flat zero: days after filling, salt and grams, about
# 2 mg/L of nitrate or 0.03 mg/L of phosphate a portion.
NITRATE, PHOSPHATE = "sodium nitrate", "dipotassium phosphate"
DOSED = {
    "M01": ((93, NITRATE, 0.5), (94, NITRATE, 0.5)),
    "M02": ((86, NITRATE, 0.65), (87, NITRATE, 0.65), (107, PHOSPHATE, 0.013), (108, PHOSPHATE, 0.013)),
    "M05": ((45, NITRATE, 0.8), (46, NITRATE, 0.8)),
    "M08": ((42, NITRATE, 0.45), (43, NITRATE, 0.45)),
    "M10": ((101, NITRATE, 0.95), (102, NITRATE, 0.95), (122, PHOSPHATE, 0.019)),
    "M12": ((95, NITRATE, 0.7), (96, NITRATE, 0.7)),
    "M14": ((37, NITRATE, 0.6), (38, NITRATE, 0.6)),
}  # fmt: skip


def stories() -> list[Story]:
    """Return the 16 tanks of the first intake and the three of the second."""
    return [_member(*row) for row in MEMBERS]


def _member(
    tank: str, keeper: str, litres: float, rock: str, kilos: float, feed: float,
    fish: int, kits: str, seeded: float, delay: int, equipment: str, shows: str,
) -> Story:  # fmt: skip
    rng = Random(f"{SEED}/{tank}/build")
    filled = DAYS[0] + timedelta(delay)
    on = {word.strip() for word in equipment.split(",") if word}
    first_fish = filled + timedelta(12 if rock == "cured live" else 48)
    build = Build(
        litres, rock, kilos, round(0.25 * rng.lognormvariate(0, 0.5), 2), 0.0,
        equipment=on, change_share=0.1 if feed else 0.0, change_days=14,
        film_room=round(rng.uniform(1.2, 2.2), 1), seeded=seeded,
        media_capacity=1500 if "phosphate media" in on else 0,
        denitrifying=round(rng.lognormvariate(-0.3, 0.4), 2),
    )  # fmt: skip
    meter = kits == "meter"
    livestock = "mixed coral" if fish else "none yet"
    story = Story(
        tank, shows,
        {
            "name": f"{keeper}'s tank", "keeper": keeper,
            "group": NEW_YEAR if tank.startswith("W") else AUTUMN, "volume": litres,
            "livestock": livestock, "rock": rock, "rock-mass": kilos,
            "equipment": equipment, "fish": fish, "feed": feed or None,
            "protein": 45 if feed else None,
        },
        build, filled, None,
        nitrate_kit=NITRATE_METER if meter else NITRATE_CARD,
        phosphate_kit=PHOSPHATE_METER if meter else PHOSPHATE_CARD,
        nitrogen_until=56, looks=film_look, by=(keeper,), skips=0.08,
        first_ammonia=0.0 if tank == "M15" else 1.0 if feed else 2.0,
        water=(34.8, 25.4, 8.12, 8.3),
    )  # fmt: skip
    if seeded:
        _do(
            story,
            filled + timedelta(1),
            Deed("seeding", "cup of sand from a running tank", 1, ""),
        )
    if feed:
        _do(
            story,
            first_fish,
            Deed("livestock in", "first fish", 2, "", then=_feed(feed / 2)),
        )
        _do(
            story,
            first_fish + timedelta(28),
            Deed("feed change", "dry feed", feed, "g/day", then=_feed(feed)),
        )
    _turns(story, tank)
    return story


def _turns(story: Story, tank: str) -> None:
    """Give the members with a story of their own what makes it."""
    for days, salt, grams in DOSED.get(tank, ()):
        _do(story, story.filled + timedelta(days), Deed("dose", salt, grams, "g"))
    if tank == "M09":
        story.stops = DAYS[10]
    if tank == "M14":
        story.stops = DAYS[17]
    if tank == "M10":
        story.looks = _strings
    if tank == "M02":
        _do(story, DAYS[20], Deed("clean", "", None, "", notes="rocks brushed"))
    if tank == "M16":
        story.water = (30.5, 19.0, 7.6, 5.2)
        story.build.volume = 200.0
        story.cells["notes"] = "Unheated room"
        story.slow = 0.0
    if tank == "W2":
        # Cycled on a little ammonia; the first fish came five days ago.
        story.deeds.clear()
        story.first_ammonia = 0.4
        story.build.seeded = 0.1
        _do(
            story,
            LAST - timedelta(5),
            Deed("livestock in", "first fish", 2, "", then=_feed(0.2)),
        )
    if tank == "W3":
        story.first_ammonia = 10.5
        story.build.seeded = 0.05
    if tank == "W1":
        story.first_ammonia = 3.0


def _strings(week: int, state: State) -> str:
    seen = film_look(week, state)
    return f"{seen}, brown strings" if week >= 22 else seen


def _feed(grams: float):  # type: ignore[no-untyped-def]
    def then(build: Build, state: State) -> None:
        build.feed = grams

    return then


def _do(story: Story, day: date, deed: Deed) -> None:
    story.deeds.setdefault(day, []).append(deed)
