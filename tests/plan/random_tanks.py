"""Random tanks: any mix of stages, results, doubts, looks, gear, shelves, settings."""

from dataclasses import replace
from random import Random

from made_findings import Made, ahead, finding, result, work

from fleet.records import Crossing, Settings, ShelfItem
from fleet.reference import load_reference

REFERENCE = load_reference()
STAGES = ("cycling", "just cycled", "ugly phase", "settling", "mature")
LIVESTOCK = (*REFERENCE.vocabulary["livestock"], "")
LOOKS = tuple(REFERENCE.vocabulary["look"])
GEAR = tuple(REFERENCE.vocabulary["equipment"])
VERDICTS = ("under", "under", "within", "over", "cannot tell", "not judged")
SPAN = {
    "nitrate": (0.0, 120.0), "phosphate": (0.0, 2.0), "ammonia": (0.0, 8.0),
    "nitrite": (0.0, 30.0), "salinity": (15.0, 45.0), "temperature": (10.0, 36.0),
    "ph": (7.0, 9.2), "alkalinity": (0.5, 6.0), "calcium": (200.0, 600.0),
    "magnesium": (700.0, 1900.0),
}  # fmt: skip
NUTRIENTS = ("nitrate", "phosphate")


def read(rng: Random, tank: Made, name: str) -> None:
    """Put one result of ``name`` on the tank, with a verdict that may fit or not."""
    low, high = SPAN[name]
    shape = rng.choice(("value", "value", "zero", "zero", "open", "doubted"))
    days = rng.choice((0, 0, 0, 0, 1, 5, 30))
    stale = days == 30
    if shape == "zero" and name in NUTRIENTS:
        told = {"visits": rng.randint(1, 5), "before": rng.random() < 0.5}
        tank.zero(name, days=days, stale=stale, **told)
        return
    if shape == "zero":
        tank.none_seen(name, days=days, stale=stale)
        return
    if shape == "doubted":
        kind = rng.choice(("unit slip", "jump", "impossible", "future date"))
        tank.doubted(name, rng.uniform(low, high), rng.choice((None, low)), kind)
        return
    # Half of the values lie in the lowest tenth, where most decisions are made.
    top = high if rng.random() < 0.5 else low + 0.1 * (high - low)
    value = rng.uniform(low, top)
    wide = rng.random() ** 3 * (high - low) * 0.3
    measured = result(
        name, value, days=days, low=max(value - wide, 0.0), high=value + wide,
        upper_limit_only=name == "nitrate" and rng.random() < 0.1,
        registers=rng.choice((True, True, True, False, None)),
    )  # fmt: skip
    if shape == "open":
        measured = measured._replace(value=None, high=float("inf"))
    band = tank.band(name)
    bound = rng.choice(("low", "high"))
    day = ahead(rng.randint(1, 10))
    latest = rng.choice((None, day))
    verdict = rng.choice(VERDICTS)
    if verdict == "over" and (band is None or band.high is None):
        verdict = "within"  # nothing is over a band without a high edge
    tank.put(
        finding(
            verdict,
            measured,
            band,
            stale=stale,
            crossing=rng.choice((None, Crossing(bound, day, day, latest))),
            second_limit=rng.choice(("", "", "low", "high")),
            flat_zero=measured.registers is False and rng.random() < 0.5,
        )
    )


def shelf(rng: Random) -> tuple[ShelfItem, ...]:
    keys = rng.sample(tuple(REFERENCE.salts), rng.randint(0, 5))
    return tuple(
        ShelfItem(
            key,
            key,
            rng.choice((1.0, 0.99, 0.6, 0.01)),
            rng.choice((None, 0.0, rng.uniform(0, 500))),
            rng.choice((None, rng.uniform(0.01, 900))),
        )
        for key in keys
    )


def house(rng: Random) -> Settings:
    names = rng.sample(NUTRIENTS, rng.randint(0, 2))
    return Settings(
        round_days=rng.choice((1, 3, 7, 14, 30)),
        largest_rise_day=tuple(
            (n, rng.choice((0.001, 0.04, 1.0, 50.0))) for n in names
        ),
        change_water=tuple((n, rng.choice((0.0, 0.2, 5.0, 60.0))) for n in names),
        largest_water_change=rng.choice((None, None, 0.01, 0.2, 1.0)),
    )


def feed_the_case(rng: Random, tank: Made) -> None:
    """Turn a tank into one that may well be dosed: most random tanks may not."""
    tank.tank = replace(tank.tank, volume_l=rng.choice((8.0, 200.0, 20000.0)))
    tank.tank = replace(tank.tank, livestock=rng.choice(("mixed coral", "none yet")))
    tank.staged(name=rng.choice(STAGES[1:]), never_started=False)
    tank.without("salinity", "temperature", "ph", "alkalinity").none_seen("ammonia")
    for name in NUTRIENTS:
        if rng.random() < 0.7:
            tank.zero(name, days=rng.choice((0, 0, 1)))


def random_tank(rng: Random) -> Made:
    """Return a tank in the making, with its shelf and settings."""
    tank = Made(
        rng.choice(STAGES),
        rng.choice(LIVESTOCK),
        volume_l=rng.choice((None, 0.0, 8.0, 60.0, 200.0, 1500.0, 20000.0)),
        fish=rng.choice((None, 0, 2, 20)),
        feed_g_day=rng.choice((None, 0.0, 0.5, 20.0)),
        rock=rng.choice(("", "dry", "cured live", "none")),
        equipment=tuple(rng.sample(GEAR, rng.choice((0, 0, 0, 1, 3)))),
        displays=rng.choice(((), (), ("A", "B"))),
        notes=rng.choice(("", "", "", "Treatment until Friday")),
    )
    tank.staged(
        never_started=rng.random() < 0.15,
        stalled=rng.random() < 0.15,
        incident=rng.random() < 0.15,
        films=rng.random() < 0.5,
    )
    hungry = rng.random() < 0.4
    for name in SPAN:
        chance = 0.9 if name in (*NUTRIENTS, "ammonia") else 0.3
        if rng.random() < chance:
            read(rng, tank, name)
    if hungry:
        feed_the_case(rng, tank)
    words = rng.sample(LOOKS, rng.choice((0, 0, 0, 1, 3)))
    tank.looks(*words, days=rng.choice((0, 3, 40)))
    if rng.random() < 0.3:
        tank.noted(looks_before=words)
    tank.noted(
        animals=rng.choice((True, True, False, None)),
        corals=rng.choice((True, False, None)),
    )
    for name in NUTRIENTS:
        if rng.random() < 0.25:
            kept = rng.choice((None, rng.uniform(0, 1.5)))
            tank.dosed(name, rng.uniform(0.001, 20), kept, rng.randint(0, 9))
    if rng.random() < 0.2:
        kind = rng.choice(("media out", "media in", "water change", "dose"))
        what = rng.choice(("GFO", "filter roller", "KNO3", "mystery", ""))
        tank.worked(work(kind, rng.randint(0, 12), what, 5.0, "g"))
    causes = {"rock uptake": "low", "die-off": "high", "source water": "high"}
    for cause, side in causes.items():
        if rng.random() < 0.5:
            tank.cause(cause, rng.random(), side)
    tank.shelf, tank.house = shelf(rng), house(rng)
    return tank
