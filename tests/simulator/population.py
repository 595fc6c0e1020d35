"""A hundred different tanks and keepers, drawn from spans that keepers meet."""

from __future__ import annotations

from dataclasses import dataclass
from random import Random

from tests.simulator.kits import (
    NITRATE_CARD,
    NITRATE_METER,
    PHOSPHATE_CARD,
    PHOSPHATE_METER,
    Kit,
)
from tests.simulator.tank import Build, State, new_tank, running_tank


@dataclass(slots=True)
class Keeper:
    """One tank and the person who keeps it; all spans are common practice."""

    name: str
    build: Build
    state: State
    new: bool
    told_volume: float  # L, what the keeper believes
    nitrate_kit: Kit
    phosphate_kit: Kit
    can_borrow: bool  # a finer test, when asked for one
    notes_cycle: bool  # writes down when the cycle was over
    first_ammonia: float  # mg N/L on the first day
    stocked_feed: float  # g a day once stocked
    fish: int
    coral: float  # mg N/L a day once corals are in
    rng: Random


def draw(number: int, seed: int = 1) -> list[Keeper]:
    """Return ``number`` keepers; three in four start with a new tank."""
    return [_keeper(place, Random(f"{seed}/{place}")) for place in range(number)]


def _keeper(place: int, rng: Random) -> Keeper:
    new = place % 4 != 3
    volume = round(rng.lognormvariate(5.4, 0.5))  # 120 to 400 L for most
    rock = rng.choices(("dry", "man-made", "mixed", "cured live"), (45, 15, 25, 15))[0]
    if not new:
        rock = rng.choice(("cured live", "mixed", "dry"))
    feed = volume / 100 * min(rng.lognormvariate(-1.2, 0.7), 2.0)
    chances = {
        "skimmer": 0.7, "filter sock": 0.3, "filter roller": 0.2, "refugium": 0.2,
        "phosphate media": 0.2, "organic carbon dosing": 0.05,
    }  # fmt: skip
    equipment = {device for device, chance in chances.items() if rng.random() < chance}
    coral = rng.uniform(0.0, 0.06)
    build = Build(
        volume=volume,
        rock=rock,
        rock_kg=round(volume * rng.uniform(0.07, 0.14)),
        capacity=min(max(0.2 * rng.lognormvariate(0, 0.8), 0.02), 1.0),
        feed=0.0 if new else feed,
        equipment=equipment,
        change_share=rng.choice((0.0, 0.1, 0.1, 0.1, 0.15)),
        change_days=rng.choice((7, 7, 14)),
        change_nitrate=rng.choice((0.0, 0.0, 0.0, 2.0, 5.0)),
        change_phosphate=rng.choice((0.0, 0.0, 0.0, 0.03)),
        coral=0.0 if new else coral,
        film_room=rng.uniform(1.0, 2.5),
        denitrifying=rng.lognormvariate(-0.2, 0.6),
        seeded=0.15 if rng.random() < 0.3 else 0.0,
        media_capacity=2.5 * volume if "phosphate media" in equipment else 0.0,
    )
    if new:
        state = new_tank(build)
    else:
        state = running_tank(
            build,
            nitrate=min(rng.lognormvariate(1.3, 1.0), 40.0),
            phosphate=min(rng.lognormvariate(-3.0, 0.9), 0.4),
            age=rng.randint(200, 1200),
            cover=rng.uniform(0.4, 0.9),
        )
    return Keeper(
        name=f"T{place:03d}",
        build=build,
        state=state,
        new=new,
        told_volume=round(volume * rng.uniform(0.95, 1.15)),
        nitrate_kit=rng.choice((NITRATE_CARD, NITRATE_METER)),
        phosphate_kit=rng.choice((PHOSPHATE_CARD, PHOSPHATE_METER)),
        can_borrow=rng.random() < 0.8,
        notes_cycle=rng.random() < 0.6,
        first_ammonia=rng.uniform(0.5, 3.0) if new else 0.0,
        stocked_feed=feed,
        fish=max(2, round(feed / 0.25)),
        coral=coral,
        rng=rng,
    )
