"""Follow one tank day by day under one way of keeping it."""

from __future__ import annotations

import copy
from collections.abc import Callable
from dataclasses import dataclass, field

from tests.simulator.kits import AMMONIA_CARD, NITRITE_CARD, PHOSPHATE_METER, Kit
from tests.simulator.population import Keeper
from tests.simulator.tank import Build, State, change_water, dose, live_a_day

# A broad healthy range and the rest of what is counted, set before any run: the
# range is the project's aim; a jump is more in a day than the ceilings keepers
# name (5 mg/L nitrate, 0.05 mg/L phosphate: common practice, no source).
HEALTHY = {"nitrate": (1.0, 25.0), "phosphate": (0.015, 0.25)}
FLAT = {"nitrate": 0.5, "phosphate": 0.01}
JUMP = {"nitrate": 5.0, "phosphate": 0.05}
# Plenty: where a settled mixed tank usually does well (5 to 15 and 0.03 to 0.10 mg/L:
# common practice, no source), phosphate clear of what a test can just tell. A dose
# decided on while the water truly holds as much was not needed.
PLENTY = {"nitrate": 5.0, "phosphate": 0.05}
NUTRIENTS = ("nitrate", "phosphate")


@dataclass(frozen=True, slots=True)
class Visit:
    """What was written down on one day; days count from the first day."""

    day: int
    results: dict[str, tuple[float, Kit | None]]  # parameter -> number, kit
    looks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Deed:
    """One thing done and written down."""

    day: int
    work: str
    substance: str = ""
    amount: float | None = None
    unit: str = ""


@dataclass(frozen=True, slots=True)
class Lived:
    """One day as it was: what a what-if needs to live it again."""

    before: State
    feed: float
    doses: dict[str, float]
    changed: float


@dataclass(slots=True)
class Count:
    """Days counted from the day the cycle was over, or from the first day."""

    days: int = 0
    good: int = 0
    flat: int = 0
    over: int = 0
    jumps: int = 0
    doses: int = 0
    dosed_days: int = 0
    dosed_in_plenty: int = 0

    def add(self, other: Count) -> None:
        """Add another tank's days to these."""
        for name in self.__slots__:
            setattr(self, name, getattr(self, name) + getattr(other, name))


@dataclass(slots=True)
class Trial:
    """One tank, its keeper's notes, and what is planned for it."""

    keeper: Keeper
    build: Build
    state: State
    visits: list[Visit] = field(default_factory=list)
    deeds: list[Deed] = field(default_factory=list)
    past: list[Lived] = field(default_factory=list)
    due_doses: dict[int, dict[str, float]] = field(default_factory=dict)  # mg/L
    due_changes: dict[int, float] = field(default_factory=dict)
    decided_at: dict[str, float] = field(default_factory=dict)  # true mg/L then
    next_visit: int = 0
    finer: set[str] = field(default_factory=set)  # asked for with a finer test
    stocked_on: int | None = None
    fish: int = 0
    strings: bool = False
    lean_days: int = 0
    zero_days: int = 0
    count: Count = field(default_factory=Count)

    @property
    def day(self) -> int:
        """Days since the trial began."""
        return len(self.past)


Policy = Callable[[Trial], None]


def begin(keeper: Keeper) -> Trial:
    """Return the trial of a keeper's tank, which is left as it is."""
    twin = copy.deepcopy(keeper)
    trial = Trial(twin, twin.build, twin.state)
    trial.state.ammonia += twin.first_ammonia
    if not twin.new:
        trial.fish, trial.stocked_on = twin.fish, 0
    return trial


def follow(keeper: Keeper, policy: Policy, days: int) -> Trial:
    """Live ``days`` days; the policy is asked after each visit."""
    trial = begin(keeper)
    for _ in range(days):
        if trial.day >= trial.next_visit:
            trial.visits.append(visit(trial))
            trial.next_visit = trial.day + 7
            trial.finer.clear()
            trial.decided_at = {name: getattr(trial.state, name) for name in NUTRIENTS}
            policy(trial)
        live(trial)
    return trial


def live(trial: Trial) -> None:
    """Live one day: what is due is done, animals are fed, the day is counted."""
    build, state, day = trial.build, trial.state, trial.day
    _stock(trial)
    _keep_cycling(trial)
    before = copy.copy(state)
    doses = trial.due_doses.pop(day, {})
    changed = trial.due_changes.pop(day, 0.0)
    if build.change_share and day % build.change_days == 3:
        changed = max(changed, build.change_share)
    if changed:
        change_water(build, state, changed)
        trial.deeds.append(Deed(day, "water change", "", 100 * changed, "%"))
    low_point = {name: getattr(state, name) for name in NUTRIENTS}
    dose(state, doses.get("nitrate", 0.0), doses.get("phosphate", 0.0))
    _count(trial, before, low_point, doses)
    share, build.change_share = build.change_share, 0.0
    live_a_day(build, state)
    build.change_share = share
    trial.past.append(Lived(before, build.feed, doses, changed))
    _growths(trial)


def _count(
    trial: Trial, before: State, low_point: dict[str, float], doses: dict[str, float]
) -> None:
    if trial.keeper.new and trial.state.cycled_on is None:
        return
    count = trial.count
    now = {name: getattr(trial.state, name) for name in NUTRIENTS}
    was = {name: getattr(before, name) for name in NUTRIENTS}
    count.days += 1
    count.good += all(HEALTHY[n][0] <= now[n] <= HEALTHY[n][1] for n in NUTRIENTS)
    count.flat += any(now[n] < FLAT[n] for n in NUTRIENTS)
    count.over += any(now[n] > HEALTHY[n][1] for n in NUTRIENTS)
    rose = any(now[n] - low_point[n] > JUMP[n] for n in NUTRIENTS)
    fell = any(HEALTHY[n][0] <= was[n] and low_point[n] < was[n] / 2 for n in NUTRIENTS)
    count.jumps += rose or fell
    given = [name for name in NUTRIENTS if doses.get(name, 0.0) > 0]
    count.doses += len(given)
    count.dosed_days += bool(given)
    count.dosed_in_plenty += sum(
        trial.decided_at.get(name, was[name]) >= PLENTY[name] for name in given
    )


def _stock(trial: Trial) -> None:
    """Add the first animals two weeks after the cycle, more a month later."""
    keeper, day, state = trial.keeper, trial.day, trial.state
    if state.cycled_on is None or not keeper.new:
        return
    since = state.day - state.cycled_on
    if since == 14:
        trial.stocked_on = day
        feed_now(trial, keeper.stocked_feed / 2)
        more_fish(trial, max(1, keeper.fish // 2))
    elif since == 45:
        feed_now(trial, trial.build.feed + keeper.stocked_feed / 2)
        more_fish(trial, keeper.fish - keeper.fish // 2)
        trial.build.coral = keeper.coral / 2
    elif since == 90:
        trial.build.coral = keeper.coral


def _keep_cycling(trial: Trial) -> None:
    """Add ammonia again each week while an empty tank's cycle is not over."""
    state, first = trial.state, trial.keeper.first_ammonia
    if not first or state.cycled_on is not None or state.day % 7 or not state.day:
        return
    if state.ammonia < 0.1 and state.nitrite_n < 0.5:
        state.ammonia += first


def feed_now(trial: Trial, grams: float) -> None:
    """Feed so much a day from now on, and write it down."""
    trial.build.feed = grams
    trial.deeds.append(
        Deed(trial.day, "feed change", "dry feed", round(grams, 2), "g/day")
    )


def more_fish(trial: Trial, number: int) -> None:
    """Add fish and write it down."""
    trial.fish += number
    trial.deeds.append(Deed(trial.day, "livestock in", "fish", number))


def _growths(trial: Trial) -> None:
    """Let strings come and go, and corals pale, as keepers tell of it.

    Keepers' experience, not proven: in the films' time, two weeks with both
    nutrients at nothing invite dinoflagellates; corals pale after three.
    """
    state, rng = trial.state, trial.keeper.rng
    both = state.nitrate < FLAT["nitrate"] and state.phosphate < FLAT["phosphate"]
    trial.zero_days = trial.zero_days + 1 if both else 0
    lean = state.nitrate < 0.3 or state.phosphate < 0.008
    trial.lean_days = trial.lean_days + 1 if lean else max(0, trial.lean_days - 2)
    films = state.film > 0.2 and state.cover < 0.3 and 30 < state.day < 200
    if not trial.strings and films and trial.zero_days > 14:
        trial.strings = rng.random() < 0.02
    elif trial.strings and not both:
        trial.strings = rng.random() > 0.05


def visit(trial: Trial) -> Visit:
    """Test the water and look at the tank, as an imperfect person does."""
    keeper, state, rng = trial.keeper, trial.state, trial.keeper.rng
    results: dict[str, tuple[float, Kit | None]] = {}
    for name, kit in (
        ("nitrate", keeper.nitrate_kit), ("phosphate", keeper.phosphate_kit)
    ):  # fmt: skip
        used = PHOSPHATE_METER if name in trial.finer and name == "phosphate" else kit
        results[name] = used.read(getattr(state, name), rng, state.nitrite), used
    young = keeper.new and (state.cycled_on is None or state.day < state.cycled_on + 28)
    if young or "ammonia" in trial.finer or state.ammonia > 0.3:
        results["ammonia"] = AMMONIA_CARD.read(state.ammonia, rng), AMMONIA_CARD
        results["nitrite"] = NITRITE_CARD.read(state.nitrite, rng), NITRITE_CARD
    results["salinity"] = round(rng.gauss(35, 0.3), 1), None
    results["temperature"] = round(rng.gauss(25.3, 0.3), 1), None
    results["ph"] = round(rng.gauss(8.15, 0.04), 2), None
    results["alkalinity"] = round(rng.gauss(8.2, 0.2), 1), None
    return Visit(trial.day, results, looks(trial))


def looks(trial: Trial) -> tuple[str, ...]:
    """Return what is seen; one look in ten is not written down."""
    state, rng = trial.state, trial.keeper.rng
    if rng.random() < 0.1:
        return ()
    seen: list[str] = []
    if state.film > 0.4:
        seen.append("brown film" if state.day < 50 else "green film")
    if trial.strings:
        seen.append("brown strings")
    if state.cover > 0.3:
        seen.append("coralline")
    if trial.build.coral > 0 and state.day > 120:
        pale = trial.lean_days > 21
        seen.append("pale coral" if pale else "good colour")
    return tuple(seen) or ("clear",)
