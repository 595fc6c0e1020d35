"""One tank's story: what it is, what was done, and what its keeper wrote down."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date, timedelta
from random import Random

from tests.simulator.kits import AMMONIA_CARD, NITRITE_CARD, Kit
from tests.simulator.tank import (
    Build,
    State,
    change_water,
    dose,
    live_a_day,
    new_tank,
    running_tank,
)

# g of the ion a g of salt, from atomic masses: NaNO3 62.004 / 84.994 and K2HPO4
# 94.970 / 174.174 (IUPAC abridged weights, Pure Appl. Chem. 94, 573-600, 2022).
ION_SHARE = {
    "sodium nitrate": ("nitrate", 0.7295),
    "dipotassium phosphate": ("phosphate", 0.5453),
}  # noqa: E501

Cells = dict[str, object]
Change = Callable[[Build, State], None]


@dataclass(frozen=True, slots=True)
class Deed:
    """One thing done at a tank, and what it does in the model."""

    work: str
    substance: str = ""
    amount: object = None
    unit: str = ""
    by: str = ""
    notes: str = ""
    then: Change | None = None  # beyond what dose and water change do by themselves


@dataclass(slots=True)
class Story:
    """A tank, its past and its end."""

    tank: str
    shows: str  # situation ids of the job
    cells: Cells  # the Tanks row, by header
    build: Build
    filled: date
    start: tuple[float, float] | None = None  # nitrate, phosphate of an old tank
    cover: float = 0.6
    nitrate_kit: Kit | None = None
    phosphate_kit: Kit | None = None
    nitrogen_until: int = 0  # days after filling that ammonia and nitrite are tested
    deeds: dict[date, list[Deed]] = field(default_factory=dict)
    looks: Callable[[int, State], str] = lambda week, state: ""
    water: tuple[float, float, float, float] = (35.0, 25.3, 8.15, 8.2)
    stops: date | None = None  # the keeper sends nothing after this
    skips: float = 0.03  # chance that a visit is missed
    coral_tests: bool = False
    changes_logged: bool = True
    by: tuple[str, ...] = ("",)
    first_ammonia: float = 0.0  # mg N/L added on the first day
    slow: float = 1.0  # times the usual growth of the filter, 0: it does not start
    written: dict[tuple[date, str], object] = field(default_factory=dict)


def tell(
    story: Story, days: list[date], rng: Random
) -> tuple[list[Cells], list[Cells]]:
    """Return the Readings and the Work rows of one tank on its visiting ``days``."""
    build, readings, work = story.build, [], []
    begin = (
        min(story.filled, days[-1]) if story.start is None else days[0] - timedelta(21)
    )
    day = max(begin, story.filled)
    if story.start is None:
        state = new_tank(build)
        state.ammonia += story.first_ammonia
    else:
        state = running_tank(
            build, *story.start, age=(day - story.filled).days, cover=story.cover
        )
    share, build.change_share = build.change_share, 0.0
    drift = [0.0, 0.0, 0.0, 0.0]
    while day <= days[-1]:
        live_a_day(build, state)
        if story.slow == 0.0:
            state.oxidisers, state.nitrite_oxidisers = 0.0008, 0.0005
        if day in days and (story.stops is None or day <= story.stops):
            week = days.index(day)
            if rng.random() >= story.skips or day == days[-1]:
                readings.append(_visit(story, day, week, state, drift, rng))
        for deed in story.deeds.get(day, []):
            _do(story, deed, state)
            work.append(_row(story, day, deed))
        elapsed = (day - days[0]).days
        if share and elapsed % build.change_days == 1:
            change_water(build, state, share)
            if (
                elapsed > 0
                and story.changes_logged
                and (story.stops is None or day <= story.stops)
            ):
                percent = Deed("water change", "", round(100 * share), "%", story.by[0])
                work.append(_row(story, day, percent))
        day += timedelta(1)
    return readings, work


def _do(story: Story, deed: Deed, state: State) -> None:
    if deed.work == "dose" and deed.unit == "g" and deed.substance in ION_SHARE:
        ion, part = ION_SHARE[deed.substance]
        rise = float(str(deed.amount)) * part * 1000 / story.build.volume
        dose(state, **{ion: rise})
    if deed.work == "water change" and deed.unit == "%":
        change_water(story.build, state, float(str(deed.amount)) / 100)
    if deed.then:
        deed.then(story.build, state)


def _row(story: Story, day: date, deed: Deed) -> Cells:
    return {
        "date": day, "tank": story.tank, "work": deed.work, "substance": deed.substance,
        "amount": deed.amount, "unit": deed.unit, "done-by": deed.by or story.by[0],
        "notes": deed.notes,
    }  # fmt: skip


def _visit(
    story: Story, day: date, week: int, state: State, drift: list[float], rng: Random
) -> Cells:
    row: Cells = {"date": day, "tank": story.tank, "taken-by": rng.choice(story.by)}
    for kit, header, true in (
        (story.nitrate_kit, "nitrate", state.nitrate),
        (story.phosphate_kit, "phosphate", state.phosphate),
    ):
        if kit is not None:
            row[header] = kit.read(true, rng, state.nitrite)
            row[f"{header}-method"] = kit.name
    age = (day - story.filled).days
    if age <= story.nitrogen_until:
        row["ammonia"] = AMMONIA_CARD.read(state.ammonia, rng)
        row["ammonia-method"] = AMMONIA_CARD.name
        row["nitrite"] = NITRITE_CARD.read(state.nitrite, rng)
    for place, (header, digits, spread) in enumerate(
        (
            ("salinity", 1, 0.25),
            ("temperature", 1, 0.2),
            ("ph", 2, 0.04),
            ("alkalinity", 1, 0.2),
        )
    ):
        drift[place] = 0.7 * drift[place] + rng.gauss(0, spread)
        if header in {"ph", "alkalinity"} and not story.coral_tests and week % 2:
            continue
        row[header] = round(story.water[place] + drift[place], digits)
    if story.coral_tests and week % 4 == 0:
        row["calcium"] = round(rng.gauss(425, 6) / 5) * 5
        row["magnesium"] = round(rng.gauss(1320, 20) / 10) * 10
    row["look"] = story.looks(week, state)
    for (when, header), value in story.written.items():
        if when == day:
            row[header] = value
    return row


def film_look(week: int, state: State) -> str:
    """Return what a keeper sees of the films, by how much there is."""
    room = 2.0
    if state.film < 0.2 * room:
        return "clear, coralline" if state.cover > 0.3 else "clear"
    if state.day < 50:
        return "brown film"
    seen = "brown film, green film" if state.day < 70 else "green film"
    if state.day > 80 and state.film > 0.6 * room and state.nitrate > 5:
        seen = "green film, hair algae"
    return seen + (", coralline" if state.cover > 0.3 else "")
