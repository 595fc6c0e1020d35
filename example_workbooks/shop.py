"""The shop of the examples: Quillwater Hall, 24 systems, 16 weekly rounds. Invented."""

# ruff: noqa: E501 - one tank a block; cut into short lines they cannot be compared.

from __future__ import annotations

from datetime import date, timedelta

from example_workbooks.story import Deed, Story, film_look
from tests.simulator.kits import (
    NITRATE_CARD,
    NITRATE_METER,
    PHOSPHATE_CARD,
    PHOSPHATE_METER,
)
from tests.simulator.tank import Build

LAST = date(2026, 3, 30)
DAYS = [LAST - timedelta(7 * week) for week in reversed(range(16))]
SEED = 20260330
ABOUT = [
    "INVENTED EXAMPLE. Quillwater Hall, its staff and its tanks do not exist. The readings were made by a small model of tanks and tests, with a fixed seed.",
    "24 display systems, one round a week for 16 weeks; the last round is 2026-03-30. Some cells are wrong on purpose: see the README beside this file.",
    "",
]
# Rows that no visit gave: a tank that is not on the list, and a row begun and left.
SLIPS: list[dict[str, object]] = [
    {
        "date": LAST,
        "tank": "B9",
        "taken-by": "Tobias",
        "nitrate": 10,
        "nitrate-method": "Nitrate colour card",
    },
    {"date": LAST, "taken-by": "Tobias", "phosphate": 0.08},
]
INES, TOBIAS, WREN = "Ines", "Tobias", "Wren"


def ago(weeks: float, days: int = 0) -> date:
    """Return a day so long before the last round."""
    return LAST - timedelta(round(7 * weeks) + days)


def _looks(*parts: tuple[int, str]):  # type: ignore[no-untyped-def]
    """Return a look that changes on the named weeks (0 is the first round)."""

    def look(week: int, state: object) -> str:
        seen = [words for since, words in parts if week >= since]
        return seen[-1] if seen else ""

    return look


def _switch(*equipment: str, on: bool = True):  # type: ignore[no-untyped-def]
    def then(build: Build, state: object) -> None:
        change = build.equipment.update if on else build.equipment.difference_update
        change(equipment)

    return then


def _feed(grams: float):  # type: ignore[no-untyped-def]
    def then(build: Build, state: object) -> None:
        build.feed = grams

    return then


def _cells(
    name: str, place: str, order: int, volume: object, livestock: str, rock: str,
    kilos: float, equipment: str, fish: int, feed: float, notes: str = "",
    keeper: str = INES, cycled: date | None = None, displays: str = "",
) -> dict[str, object]:  # fmt: skip
    return {
        "name": name, "place": place, "keeper": keeper, "round-order": order,
        "volume": volume, "livestock": livestock, "rock": rock, "rock-mass": kilos or None,
        "cycled-on": cycled, "equipment": equipment, "fish": fish, "feed": feed,
        "protein": 45, "notes": notes, "displays": displays,
    }  # fmt: skip


def stories() -> list[Story]:
    """Return the 24 systems in walking order."""
    return [*_front(), *_middle(), *_new(), *_back()]


def _front() -> list[Story]:
    old = date(2023, 5, 8)
    both = {"nitrate_kit": NITRATE_METER, "phosphate_kit": PHOSPHATE_METER}
    return [
        Story("A1", "steady", _cells("Entrance reef", "Front", 1, 600, "mixed coral", "cured live", 70, "skimmer, filter sock", 9, 2.0),
              Build(600, "cured live", 70, 0.8, 2.0, equipment={"skimmer", "filter sock"}, change_share=0.12, coral=0.03, denitrifying=1.0),
              old, (8, 0.06), 0.85, looks=_looks((0, "clear, coralline, good colour")), coral_tests=True, by=(INES, WREN), **both),
        Story("A2", "mature-and-lean", _cells("Window reef", "Front", 2, 450, "mixed coral", "cured live", 45, "skimmer, refugium", 7, 1.45),
              Build(450, "cured live", 45, 0.9, 1.45, equipment={"skimmer", "refugium"}, change_share=0.1, coral=0.045, denitrifying=0.6),
              date(2022, 9, 12), (2.3, 0.033), 0.9, looks=_looks((0, "coralline, good colour")), coral_tests=True, by=(INES,), **both),
        Story("A3", "mature-flat-zero-looks-good", _cells("Soft garden", "Front", 3, 300, "soft coral", "cured live", 35, "skimmer, refugium", 4, 0.6),
              Build(300, "cured live", 35, 0.9, 0.5, equipment={"skimmer", "refugium"}, change_share=0.1, coral=0.06, denitrifying=2.0),
              date(2023, 2, 6), (1.0, 0.008), 0.9, looks=_looks((0, "clear, coralline, good colour")), by=(INES,), **both),
        Story("A4", "mature-and-starving", _cells("Long shelf", "Front", 4, 380, "mixed coral", "cured live", 40, "skimmer, filter sock", 4, 0.3, "Fewer fish since the autumn"),
              Build(380, "cured live", 40, 2.0, 0.3, equipment={"skimmer", "filter sock"}, change_share=0.15, coral=0.09, denitrifying=2.0),
              date(2022, 11, 7), (3.0, 0.007), 0.9, looks=_looks((0, "coralline, good colour"), (7, "coralline, slow growth"), (12, "pale coral, slow growth")), coral_tests=True, by=(INES,), **both),
        Story("A5", "over", _cells("Feeding show", "Front", 5, 500, "mixed coral", "cured live", 50, "skimmer", 14, 4.2, "Fed on the hour for visitors"),
              Build(500, "cured live", 50, 0.5, 2.6, equipment={"skimmer"}, change_share=0.1, change_days=14, coral=0.05, denitrifying=1.5),
              date(2022, 6, 20), (17, 0.16), 0.9, looks=_looks((0, "coralline, green film")), by=(TOBIAS, WREN), nitrate_kit=NITRATE_CARD, phosphate_kit=PHOSPHATE_METER,
              deeds={ago(9): [Deed("feed change", "dry feed", 4.2, "g/day", TOBIAS, "more visitors", _feed(4.2)), Deed("livestock in", "wrasses", 3, "", TOBIAS)]}),
        Story("A6", "falling", _cells("Corner reef", "Front", 6, 420, "mixed coral", "mixed", 40, "skimmer, filter sock, refugium", 6, 1.1),
              Build(420, "mixed", 40, 0.8, 1.1, equipment={"skimmer", "filter sock", "refugium"}, coral=0.04, denitrifying=1.1),
              date(2024, 3, 4), (41, 0.07), 0.85, looks=_looks((0, "coralline, good colour")), by=(INES,), **both),
        Story("A7", "rising", _cells("Angels", "Front", 7, 700, "mixed coral", "mixed", 60, "skimmer", 9, 3.0),
              Build(700, "mixed", 60, 0.8, 1.2, equipment={"skimmer"}, change_share=0.08, coral=0.02, denitrifying=1.0),
              date(2024, 1, 15), (0.5, 0.05), 0.85, looks=_looks((0, "coralline, good colour")), by=(INES, WREN), **both,
              deeds={ago(5): [Deed("livestock in", "angelfish", 2, "", WREN), Deed("feed change", "dry feed", 3.0, "g/day", WREN, "for the two new angelfish", _feed(3.0))]}),
    ]  # fmt: skip


def _middle() -> list[Story]:
    both = {"nitrate_kit": NITRATE_METER, "phosphate_kit": PHOSPHATE_METER}
    return [
        Story("B1", "shared-water", _cells("Coral racks", "Middle", 8, 1200, "mixed coral", "cured live", 60, "skimmer, filter roller", 8, 2.2, "Five racks on one sump",
                     displays="Rack left, Rack middle, Rack right, Low table, High table"),
              Build(1200, "cured live", 60, 0.9, 2.2, equipment={"skimmer", "filter roller"}, change_share=0.1, coral=0.07, denitrifying=1.0),
              date(2023, 8, 14), (3.0, 0.045), 0.85, looks=_looks((0, "coralline, good colour"), (10, "coralline, slow growth"), (14, "pale coral, slow growth")), coral_tests=True, by=(INES, WREN), **both),
        Story("B2", "dosed-and-nothing-seen", _cells("Dry arch", "Middle", 9, 350, "mixed coral", "dry", 45, "skimmer", 4, 0.7),
              Build(350, "dry", 45, 4.0, 0.7, equipment={"skimmer"}, change_share=0.1, coral=0.02, film_room=1.5),
              ago(27), None, looks=film_look, by=(INES,), **both, first_ammonia=1.0, cover=0.3, coral_tests=True,
              deeds={ago(3, -1 - day): [Deed("dose", "dipotassium phosphate", 0.02, "g", INES)] for day in range(3)} | {ago(2, -1 - day): [Deed("dose", "dipotassium phosphate", 0.02, "g", INES)] for day in range(3)}),
        Story("B3", "dosed-and-over", _cells("Round island", "Middle", 10, 260, "mixed coral", "mixed", 25, "skimmer", 4, 0.9),
              Build(260, "mixed", 25, 0.2, 0.9, equipment={"skimmer"}, change_share=0.1, coral=0.03),
              date(2024, 6, 3), (3.5, 0.05), 0.8, looks=_looks((0, "coralline, good colour")), by=(WREN,), **both,
              deeds={ago(1, -1): [Deed("dose", "sodium nitrate", 9.0, "g", WREN, "all at once, read the line for B1")]}),
        Story("B4", "one-sided: phosphate missing", _cells("Arch and cave", "Middle", 11, 320, "mixed coral", "dry", 35, "skimmer, filter sock", 7, 1.3),
              Build(320, "dry", 35, 3.0, 1.3, equipment={"skimmer", "filter sock", "phosphate media"}, change_share=0.05, coral=0.01, media_capacity=4000, denitrifying=0.3),
              ago(22), None, looks=film_look, by=(INES,), **both, first_ammonia=2.0,
              deeds={ago(9): [Deed("media out", "phosphate media", None, "", INES, "phosphate was gone", _switch("phosphate media", on=False))]}),
        Story("B5", "one-sided: nitrate missing", _cells("Green bank", "Middle", 12, 280, "mixed coral", "cured live", 40, "skimmer, denitrifying reactor", 5, 1.0),
              Build(280, "cured live", 40, 0.9, 1.0, equipment={"skimmer"}, change_share=0.05, coral=0.03, denitrifying=9.0),
              date(2024, 9, 2), (2.5, 0.26), 0.6, looks=_looks((0, "coralline"), (11, "green film, coralline")), by=(INES,), **both),
        Story("B6", "cannot-tell-phosphate", _cells("Small cube", "Middle", 13, 120, "soft coral", "mixed", 12, "skimmer", 2, 0.25, keeper=TOBIAS),
              Build(120, "mixed", 12, 0.9, 0.25, equipment={"skimmer"}, change_share=0.1, coral=0.02),
              date(2024, 11, 18), (5.0, 0.02), 0.7, looks=_looks((0, "coralline, good colour")), by=(TOBIAS,), nitrate_kit=NITRATE_CARD, phosphate_kit=PHOSPHATE_CARD),
    ]  # fmt: skip


def _new() -> list[Story]:
    both = {"nitrate_kit": NITRATE_METER, "phosphate_kit": PHOSPHATE_METER}
    return [
        Story("C1", "zero-in-ugly-phase", _cells("New wall left", "New wall", 14, 400, "mixed coral", "dry", 50, "skimmer", 3, 0.5, cycled=ago(8)),
              Build(400, "dry", 50, 0.6, 0.45, equipment={"skimmer"}, change_share=0.1, film_room=2.4),
              ago(14), None, looks=film_look, by=(INES,), **both, first_ammonia=2.0, nitrogen_until=60),
        Story("C2", "zero-after-cycle", _cells("New wall right", "New wall", 15, 400, "mixed coral", "dry", 55, "skimmer", 2, 0.3, cycled=ago(5)),
              Build(400, "dry", 55, 0.8, 0.0, equipment={"skimmer"}, film_room=1.6, seeded=0.1),
              ago(8, 4), None, looks=_looks((0, "clear")), by=(INES, WREN), **both, first_ammonia=0.5, nitrogen_until=60,
              deeds={ago(2): [Deed("water change", "", 40, "%", INES, "end of the cycle")], ago(0, 5): [Deed("livestock in", "gobies", 2, "", INES, "first fish", _feed(0.3))]}),
        Story("C3", "stripped", _cells("Tall column", "New wall", 16, 250, "mixed coral", "man-made", 25, "skimmer, filter roller, phosphate media", 3, 0.5, cycled=ago(9)),
              Build(250, "man-made", 25, 0.3, 0.5, equipment={"skimmer", "filter roller", "phosphate media"}, change_share=0.1, media_capacity=3000, film_room=2.2),
              ago(15), None, looks=film_look, by=(WREN,), **both, first_ammonia=1.0, nitrogen_until=60,
              deeds={ago(9): [Deed("media in", "phosphate media", 250, "mL", WREN)]}),
        Story("C4", "trace-in-ugly-phase", _cells("Low lagoon", "New wall", 17, 500, "mixed coral", "mixed", 50, "skimmer", 6, 1.5, cycled=ago(9)),
              Build(500, "mixed", 50, 0.6, 1.5, equipment={"skimmer"}, change_share=0.1, film_room=2.4, seeded=0.2),
              ago(14), None, looks=film_look, by=(INES,), **both, first_ammonia=1.0, nitrogen_until=60),
        Story("C5", "pests", _cells("Peninsula", "New wall", 18, 220, "mixed coral", "dry", 28, "skimmer, filter sock", 3, 0.35, "Snails stay off the sand", cycled=ago(11)),
              Build(220, "dry", 28, 0.6, 0.35, equipment={"skimmer", "filter sock"}, change_share=0.1, film_room=2.2),
              ago(18), None, looks=_looks((0, "brown film"), (4, "green film"), (8, "clear"), (12, "brown strings"), (15, "brown strings, red mats")), by=(INES,), **both, first_ammonia=1.0, nitrogen_until=40),
        Story("C6", "cycling", _cells("New wall end", "New wall", 19, 350, "none yet", "dry", 40, "skimmer", 0, 0.0),
              Build(350, "dry", 40, 0.5, 0.0), ago(2, 4), None, looks=_looks((0, "clear")), by=(WREN,),
              nitrate_kit=NITRATE_CARD, first_ammonia=2.0, nitrogen_until=60),
    ]  # fmt: skip


def _back() -> list[Story]:
    both = {"nitrate_kit": NITRATE_METER, "phosphate_kit": PHOSPHATE_METER}
    cards = {"nitrate_kit": NITRATE_CARD, "phosphate_kit": PHOSPHATE_CARD}
    return [
        Story("Q1", "cycle-with-animals", _cells("Arrivals", "Back room", 20, 150, "quarantine", "none", 0, "filter sock", 6, 0.6, "Set up in a hurry", keeper=WREN),
              Build(150, "none", 0, 0.0, 0.6, seeded=0.02), ago(2, 1), None, looks=_looks((0, "clear")), by=(WREN,), nitrate_kit=NITRATE_CARD, nitrogen_until=90, water=(32.0, 26.0, 8.1, 8.0),
              deeds={ago(2): [Deed("livestock in", "damselfish", 6, "", WREN)]}),
        Story("S1", "welfare", _cells("Seahorses", "Back room", 21, 180, "seahorse", "cured live", 15, "skimmer, filter sock", 4, 0.6, keeper=INES),
              Build(180, "cured live", 15, 0.9, 0.6, equipment={"skimmer"}, change_share=0.15), date(2024, 10, 7), (9.0, 0.12), 0.7, looks=_looks((0, "clear, coralline"), (15, "fish gasping")), by=(INES,), **both,
              water=(33.5, 23.6, 8.1, 8.0), written={(LAST, "temperature"): 29.8, (LAST, "salinity"): 29.0, (LAST, "ph"): 7.7, (LAST, "notes"): "Heater stuck on, top-up ran over in the night"}),
        Story("D1", "stale", _cells("Office tank", "Back room", 22, 90, "soft coral", "cured live", 10, "", 2, 0.25, keeper=TOBIAS),
              Build(90, "cured live", 10, 0.9, 0.25, change_share=0.2, change_days=14, coral=0.01), date(2023, 3, 6), (7.0, 0.09), 0.8, looks=_looks((0, "coralline")), by=(TOBIAS,), **cards, stops=ago(5)),
        Story("D2", "half-tested", _cells("Fish room", "Back room", 23, 800, "fish only", "mixed", 40, "skimmer, uv", 22, 6.0, keeper=TOBIAS),
              Build(800, "mixed", 40, 0.3, 6.0, equipment={"skimmer"}, change_share=0.2), date(2022, 4, 4), (26.0, 0.3), 0.5, looks=_looks((0, "clear")), by=(TOBIAS,), nitrate_kit=NITRATE_CARD),
        Story("D3", "swapped-or-typo", _cells("Back reef", "Back room", 24, "75 gal", "mixed coral", "cured live", 30, "skimmer", 5, 0.8),
              Build(284, "cured live", 30, 0.9, 0.8, equipment={"skimmer"}, change_share=0.1, coral=0.03), date(2023, 10, 16), (7.0, 0.05), 0.8, looks=_looks((0, "coralline, good colour")), by=(WREN,), **both,
              written={(LAST, "phosphate"): 50, (LAST, "temperature"): 78, (LAST, "notes"): "new photometer, shows ppb"}),
    ]  # fmt: skip
