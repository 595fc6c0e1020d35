"""One saltwater tank, day by day: nitrogen, phosphorus and what lives on them.

The model stands on its own: it imports nothing from ``fleet``, so that the
program is tried on a world it did not define. Nitrogen and phosphorus are kept
as the elements, in mg/L; ``nitrate`` and ``phosphate`` give the ions.

Each number names where it comes from. "common practice, no source" is what
keepers reckon with; "from memory" was not looked up again; "model choice" was
set so that the published span beside it is met, before any advice was tried.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

# IUPAC abridged standard atomic weights, Pure Appl. Chem. 94, 573-600 (2022).
NITRATE_PER_N = 62.004 / 14.007
NITRITE_PER_N = 46.005 / 14.007
PHOSPHATE_PER_P = 94.970 / 30.974
MASS_PER_MOLAR = 14.007 / 30.974  # N:P by mass for an N:P of one by amount

# -- what feed gives off
# 0.092 g of ammonia nitrogen a gram of protein: Timmons & Ebeling, Recirculating
# Aquaculture (from memory).
TAN_PER_PROTEIN = 0.092
# Dry feed holds 0.8 to 1.5 % P, of which 0.3 to 0.7 reaches the water (farm
# budgets, from memory); the middle of both.
FEED_P = 0.012 * 0.5
# Most of the nitrogen is given off dissolved; of the phosphorus a third or more
# sits in solids first (the same budgets). Solids come free over about a week.
SOLID_N = 0.2
SOLID_P = 0.5
SOLID_RATE = 0.15  # 1/d
# Waste that is siphoned, trapped for good or left as bone before it comes free.
SOLID_LOST = 0.10  # 1/d, model choice

# -- nitrification
# Spotte, Seawater Aquariums (1979), from memory: an unseeded tank at 25 degC has
# its ammonia peak about day 7 to 14, nitrite peak day 20 to 30, both gone day 30
# to 60. Growth rates are model choices that meet those spans.
AMMONIA_GROWTH = 0.40  # 1/d
NITRITE_GROWTH = 0.32  # 1/d
NITRIFIER_LOSS = 0.02  # 1/d
AMMONIA_HALF = 0.15  # mg N/L
NITRITE_HALF = 0.20  # mg N/L
# Sea-water filters carry at best about 0.28 g N/m2 a day (Nijhof & Bovendeur
# 1990, Aquaculture 87:133-143, from memory); 0.1 m2 a kg of rock is a model choice.
NITRIFIER_TOP = 28.0  # mg N a day a kg of rock

# -- rock and phosphate
# Uptake by carbonate is a straight line at low phosphate, fast over hours and
# slow over one to four weeks (Millero et al. 2001, Aquat. Geochem. 7:33-56, from
# memory). Capacity at tank levels is 0.01 to 1 umol P a gram (order of magnitude).
# A part is built into the solid for good (vaterite, same line); rate: model choice.
ROCK_BURIED = 0.01  # 1/d of the slow pool
ROCK_FAST_SHARE = 0.3
ROCK_FAST_RATE = 4.0  # 1/d
ROCK_SLOW_RATE = 1 / 14  # 1/d
ROCK_REFERENCE = 0.0326  # mg P/L (0.1 mg/L PO4) at which the capacity holds

# -- films, turf, corals, weed
# Tissue of reef algae has a median N:P of 30 (Atkinson & Smith 1983, Limnol.
# Oceanogr. 28:568-574, from memory); bacteria fed carbon take 5 to 10 to one.
ALGAE_N_PER_P = 30 * MASS_PER_MOLAR
BACTERIA_N_PER_P = 8 * MASS_PER_MOLAR
FILM_GROWTH = 0.35  # 1/d, model choice: films show two to six weeks after filling
FILM_LOSS = 0.06  # 1/d, model choice
FILM_RETURN = 0.5  # share of lost film that comes free again, model choice
NITROGEN_HALF = 0.02  # mg N/L (0.1 mg/L NO3), model choice
PHOSPHORUS_HALF = 0.002  # mg P/L (0.006 mg/L PO4), model choice
# First coralline spots at two to six months, cover at six to twelve (settlement
# tiles on reefs, from memory): logistic growth of the settled cover.
COVER_GROWTH = 0.028  # 1/d

# -- denitrification in rock: 0.1 to 3 mmol N/m2 a day (Eyre and co-workers, order
# of magnitude, from memory); the middle of its logarithm at 0.1 m2 a kg of rock.
DENITRIFIED = 0.75  # mg N a day a kg of ripe rock
DENITRIFY_HALF = 2.0  # mg N/L, model choice: nitrate must find its way in

# -- export, all model choices within keepers' experience
CAUGHT = {"skimmer": 0.3, "filter roller": 0.6, "filter sock": 0.3}  # of solids
MEDIA_RATE = 0.25  # 1/d
WEED = 0.05  # mg N/L a day at most, a refugium
CARBON = 0.15  # mg N/L a day at most, organic carbon dosing
STEPS = 4  # a day


@dataclass(slots=True)
class Build:
    """What a tank is made of, and how its keeper runs it."""

    volume: float  # L
    rock: str = "dry"
    rock_kg: float = 20.0
    capacity: float = 0.2  # umol P a gram at 0.1 mg/L PO4
    feed: float = 0.5  # g of dry feed a day
    protein: float = 0.45
    equipment: set[str] = field(default_factory=set)
    change_share: float = 0.0  # of the water, each ``change_days``
    change_days: int = 7
    change_nitrate: float = 0.0  # mg/L NO3 in new water
    change_phosphate: float = 0.0  # mg/L PO4
    coral: float = 0.0  # mg N/L a day that corals take at most
    film_room: float = 2.0  # mg N/L of films the surfaces hold at most
    denitrifying: float = 1.0  # times the middle figure
    seeded: float = 0.0  # share of a working filter brought in at the start
    media_capacity: float = 0.0  # mg P, for "phosphate media"
    eased: set[str] = field(default_factory=set)  # equipment run at half
    binding: bool = True  # False: rock takes and gives nothing (for a what-if)
    growing: float = 1.0  # times the usual uptake by life (for a what-if)

    def runs(self, device: str) -> float:
        """Return how much of its work a device does: 0, 0.5 or 1."""
        if device not in self.equipment:
            return 0.0
        return 0.5 if device in self.eased else 1.0


@dataclass(slots=True)
class State:
    """What is in the water, on the rock and on the glass."""

    day: int = 0
    ammonia: float = 0.0  # mg N/L, total
    nitrite_n: float = 0.0
    nitrate_n: float = 0.0
    phosphorus: float = 0.0  # mg P/L in the water
    solid_n: float = 0.0  # mg N/L still in waste
    solid_p: float = 0.0
    rock_fast: float = 0.0  # mg P a kg
    rock_slow: float = 0.0
    oxidisers: float = 0.0  # mg N/L a day the ammonia oxidisers could do
    nitrite_oxidisers: float = 0.0
    film: float = 0.01  # mg N/L held in films
    cover: float = 0.004  # share of surfaces under settled growth
    media_left: float = 0.0  # mg P the media can still take
    cycled_on: int | None = None
    ammonia_seen: bool = False

    @property
    def nitrate(self) -> float:
        """Nitrate in the water, mg/L NO3."""
        return self.nitrate_n * NITRATE_PER_N

    @property
    def nitrite(self) -> float:
        """Nitrite in the water, mg/L NO2."""
        return self.nitrite_n * NITRITE_PER_N

    @property
    def phosphate(self) -> float:
        """Phosphate in the water, mg/L PO4."""
        return self.phosphorus * PHOSPHATE_PER_P


def new_tank(build: Build) -> State:
    """Return a tank on the day it is filled."""
    top = _nitrifier_top(build)
    live = {"cured live": 0.5, "mixed": 0.15}.get(build.rock, 0.0)
    start = max(build.seeded, live)
    state = State(
        oxidisers=max(0.0008, start * top * 0.2),
        nitrite_oxidisers=max(0.0005, start * top * 0.2),
        nitrate_n=build.change_nitrate / NITRATE_PER_N,
        phosphorus=build.change_phosphate / PHOSPHATE_PER_P,
        media_left=build.media_capacity,
    )
    if live:
        # Cured rock comes with growth on it and phosphate from where it lay.
        state.cover = 0.10 * live / 0.5
        was_at = 0.02 * live / 0.5
        state.rock_fast = was_at * _slope(build) * ROCK_FAST_SHARE
        state.rock_slow = was_at * _slope(build) * (1 - ROCK_FAST_SHARE)
    return state


def running_tank(
    build: Build, nitrate: float, phosphate: float, age: int, cover: float = 0.6
) -> State:
    """Return an established tank, its rock in balance with its water."""
    phosphorus = phosphate / PHOSPHATE_PER_P
    load = build.feed * 1000 * build.protein * TAN_PER_PROTEIN / build.volume
    able = max(load * AMMONIA_GROWTH / NITRIFIER_LOSS, 0.2)
    return State(
        day=age,
        nitrate_n=nitrate / NITRATE_PER_N,
        phosphorus=phosphorus,
        rock_fast=phosphorus * _slope(build) * ROCK_FAST_SHARE,
        rock_slow=phosphorus * _slope(build) * (1 - ROCK_FAST_SHARE),
        oxidisers=able,
        nitrite_oxidisers=able,
        film=0.15 * build.film_room,
        cover=cover,
        media_left=build.media_capacity,
        cycled_on=0,
        ammonia_seen=True,
    )


def live_a_day(build: Build, state: State, feed: float | None = None) -> None:
    """Move the tank on by a day; ``feed`` in g replaces the usual amount."""
    given = build.feed if feed is None else feed
    caught = 1.0
    for device, share in CAUGHT.items():
        caught *= 1 - share * build.runs(device)
    waste_n = given * 1000 * build.protein * TAN_PER_PROTEIN / build.volume
    waste_p = given * 1000 * FEED_P / build.volume
    step = 1 / STEPS
    for _ in range(STEPS):
        _feed(state, waste_n * step, waste_p * step, caught, step)
        _nitrify(build, state, step)
        _grow(build, state, step)
        _bind(build, state, step)
    state.day += 1
    if state.ammonia > 0.1:
        state.ammonia_seen = True
    working = state.ammonia < 0.1 and state.nitrite_n < 0.1
    if state.cycled_on is None and working and _filter_carries(state, waste_n):
        state.cycled_on = state.day
    if build.change_share and state.day % build.change_days == 0:
        change_water(build, state, build.change_share)


def _filter_carries(state: State, load: float) -> bool:
    able = min(state.oxidisers, state.nitrite_oxidisers)
    return able > max(2 * load, 0.1)


def change_water(build: Build, state: State, share: float) -> None:
    """Exchange a share of the water at once."""
    keep = 1 - share
    state.ammonia *= keep
    state.nitrite_n *= keep
    fresh_n = build.change_nitrate / NITRATE_PER_N
    fresh_p = build.change_phosphate / PHOSPHATE_PER_P
    state.nitrate_n = keep * state.nitrate_n + share * fresh_n
    state.phosphorus = keep * state.phosphorus + share * fresh_p
    state.solid_n *= 1 - share / 2  # some of the waste is drawn off with it
    state.solid_p *= 1 - share / 2


def dose(state: State, nitrate: float = 0.0, phosphate: float = 0.0) -> None:
    """Add nitrate or phosphate, mg/L of the ion over the whole volume."""
    state.nitrate_n += nitrate / NITRATE_PER_N
    state.phosphorus += phosphate / PHOSPHATE_PER_P


def _slope(build: Build) -> float:
    """Return mg P a kg of rock for each mg P/L in the water."""
    return build.capacity * 30.974 / ROCK_REFERENCE


def _nitrifier_top(build: Build) -> float:
    return NITRIFIER_TOP * max(build.rock_kg, 2.0) / build.volume


def _feed(
    state: State, waste_n: float, waste_p: float, kept: float, step: float
) -> None:
    freed = 1 - math.exp(-SOLID_RATE * step)
    gone = freed + 1 - math.exp(-SOLID_LOST * step)
    state.ammonia += waste_n * (1 - SOLID_N) + state.solid_n * freed
    state.phosphorus += waste_p * (1 - SOLID_P) + state.solid_p * freed
    state.solid_n += waste_n * SOLID_N * kept - state.solid_n * gone
    state.solid_p += waste_p * SOLID_P * kept - state.solid_p * gone


def _nitrify(build: Build, state: State, step: float) -> None:
    top = _nitrifier_top(build)
    share = state.ammonia / (AMMONIA_HALF + state.ammonia)
    turned = min(state.ammonia, state.oxidisers * share * step)
    state.ammonia -= turned
    state.nitrite_n += turned
    room = max(0.0, 1 - state.oxidisers / top)
    growth = AMMONIA_GROWTH * share * room - NITRIFIER_LOSS
    state.oxidisers = max(0.0008, state.oxidisers * (1 + growth * step))
    share = state.nitrite_n / (NITRITE_HALF + state.nitrite_n)
    turned = min(state.nitrite_n, state.nitrite_oxidisers * share * step)
    state.nitrite_n -= turned
    state.nitrate_n += turned
    room = max(0.0, 1 - state.nitrite_oxidisers / top)
    growth = NITRITE_GROWTH * share * room - NITRIFIER_LOSS
    able = state.nitrite_oxidisers * (1 + growth * step)
    state.nitrite_oxidisers = max(0.0005, able)


def _take(state: State, nitrogen: float, n_per_p: float) -> float:
    """Take nitrogen with its phosphorus, as far as both reach; return the N.

    Ammonia goes first: it costs a plant less than nitrate does.
    """
    there = state.ammonia + state.nitrate_n
    taken = max(0.0, min(nitrogen, there, state.phosphorus * n_per_p))
    from_ammonia = min(taken, state.ammonia)
    state.ammonia -= from_ammonia
    state.nitrate_n = max(0.0, state.nitrate_n - (taken - from_ammonia))
    state.phosphorus -= taken / n_per_p
    return taken


def _grow(build: Build, state: State, step: float) -> None:
    there = state.nitrate_n + state.ammonia
    nitrogen = there / (NITROGEN_HALF + there)
    phosphorus = state.phosphorus / (PHOSPHORUS_HALF + state.phosphorus)
    fed = min(nitrogen, phosphorus)
    # Settled growth leaves films less room and brings the grazers that keep it.
    room = build.film_room * (1 - 0.85 * state.cover)
    speed = FILM_GROWTH * build.growing * fed * max(0.0, 1 - state.film / room)
    wanted = speed * state.film * step
    lost = (FILM_LOSS + 0.08 * state.cover) * state.film * step
    state.film = max(0.01, state.film + _take(state, wanted, ALGAE_N_PER_P) - lost)
    state.solid_n += FILM_RETURN * lost
    state.solid_p += FILM_RETURN * lost / ALGAE_N_PER_P
    state.cover += COVER_GROWTH * state.cover * (1 - state.cover) * step
    _take(state, build.growing * build.coral * fed * step, ALGAE_N_PER_P)
    weed = build.growing * build.runs("refugium")
    carbon = build.growing * build.runs("organic carbon dosing")
    _take(state, WEED * weed * fed * step, ALGAE_N_PER_P)
    _take(state, CARBON * carbon * fed * step, BACTERIA_N_PER_P)
    ripe = min(1.0, state.day / 180)
    area = build.rock_kg / build.volume
    able = DENITRIFIED * build.denitrifying * ripe * area
    used = able * state.nitrate_n / (DENITRIFY_HALF + state.nitrate_n) * step
    state.nitrate_n -= min(state.nitrate_n, used)


def _bind(build: Build, state: State, step: float) -> None:
    """Let rock and media take phosphate, or rock give it back (implicit step)."""
    slope = _slope(build)
    mass = build.rock_kg / build.volume if build.binding else 0.0
    fast, slow = ROCK_FAST_RATE * step, ROCK_SLOW_RATE * step
    slope_fast, slope_slow = slope * ROCK_FAST_SHARE, slope * (1 - ROCK_FAST_SHARE)
    held = state.phosphorus
    held += mass * fast / (1 + fast) * state.rock_fast
    held += mass * slow / (1 + slow) * state.rock_slow
    room = 1 + mass * (slope_fast * fast / (1 + fast) + slope_slow * slow / (1 + slow))
    state.phosphorus = held / room
    new = state.phosphorus
    state.rock_fast = (state.rock_fast + fast * slope_fast * new) / (1 + fast)
    state.rock_slow = (state.rock_slow + slow * slope_slow * new) / (1 + slow)
    state.rock_slow *= 1 - ROCK_BURIED * step
    media = build.runs("phosphate media")
    if media and state.media_left > 0:
        caught = state.phosphorus * (1 - math.exp(-MEDIA_RATE * media * step))
        caught = min(caught, state.media_left / build.volume)
        state.phosphorus -= caught
        state.media_left -= caught * build.volume
