"""What is truly so in a simulated tank: its stage, and why a nutrient is low."""

from __future__ import annotations

import copy

from tests.simulator.tank import Build, State, change_water, dose, live_a_day
from tests.simulator.trial import NUTRIENTS, Lived, Trial

LOOKED_BACK = 28  # days that a what-if lives again
NEARLY = 0.7  # of the strongest what-if: as good as leading
# What a good ordinary test shows plainly (lowest 1 to 2 mg/L NO3, 0.03 mg/L PO4: common
# practice, no source): at or above it, a zero is the test's doing and not the tank's.
PLAIN = {"nitrate": 2.0, "phosphate": 0.03}
USUAL_FEED = 0.5  # g a day a 100 L; less is light (common practice, no source)
FILM_SEEN = 0.4  # mg N/L in films, where the glass is plainly coloured
SETTLED_COVER = 0.5  # share of surfaces under settled growth
STRONG = (
    "skimmer",
    "filter roller",
    "filter sock",
    "refugium",
    "organic carbon dosing",
)


def stage(trial: Trial) -> str:
    """Return the true stage, from the filter, the films and the settled cover."""
    return stage_of(trial.state)


def stage_of(state: State) -> str:
    """Return the stage of a state; films beat age, and a filter beats both."""
    if state.cycled_on is None:
        return "cycling"
    if state.day >= 183 and (state.cover >= SETTLED_COVER or state.day >= 365):
        return "mature"
    if state.film > FILM_SEEN and 21 <= state.day <= 240:
        return "ugly phase"
    if state.day - state.cycled_on <= 42 and state.day < 183:
        return "just cycled"
    return "settling"


def stages_near(trial: Trial, day: int, within: int = 7) -> set[str]:
    """Return the true stages of the days around ``day`` that were lived."""
    first, last = max(0, day - within), min(len(trial.past), day + within + 1)
    return {stage_of(lived.before) for lived in trial.past[first:last]}


def leading_causes(trial: Trial, day: int) -> set[str]:
    """Return what truly keeps a low nutrient low on ``day``, by what-if.

    The last weeks are lived again with one thing changed: rock that takes
    nothing, no uptake by life, usual feed, no strong export. What would have
    raised the nutrient most is the leading cause; what would have raised it
    nearly as much is one too. A value that a good test shows plainly, and that
    reads as zero, has the test as its cause; near that limit both are true.
    """
    found: set[str] = set()
    seen = next(v for v in reversed(trial.visits) if v.day <= day)
    now = trial.past[day].before
    for name in NUTRIENTS:
        true, shown = getattr(now, name), seen.results[name][0]
        if true >= PLAIN[name]:
            if shown == 0:
                found.add("test method")
            if shown > 0 or true >= 2 * PLAIN[name]:
                continue
        if now.cycled_on is None and name == "nitrate":
            found.add("cycle not finished")
            continue
        gains = {cause: gain(trial, day, cause, name) for cause in WHAT_IF}
        most = max(gains.values())
        if most > 0:
            found |= {cause for cause, got in gains.items() if got >= NEARLY * most}
    return found


def gain(trial: Trial, day: int, cause: str, name: str) -> float:
    """Return how much higher a nutrient would stand without ``cause``. [mg/L]"""
    first = max(0, day - LOOKED_BACK)
    past = trial.past[first:day]
    if not past:
        return 0.0
    build = copy.deepcopy(trial.build)
    as_it_was = _again(build, past)
    changed = WHAT_IF[cause](copy.deepcopy(build))
    usual = build.volume / 100 * USUAL_FEED if cause == "light feeding" else None
    return getattr(_again(changed, past, usual), name) - getattr(as_it_was, name)


def _again(build: Build, past: list[Lived], usual: float | None = None) -> State:
    state = copy.copy(past[0].before)
    build.change_share, share = 0.0, build.change_share
    for lived in past:
        if lived.changed:
            change_water(build, state, lived.changed)
        dose(state, lived.doses.get("nitrate", 0.0), lived.doses.get("phosphate", 0.0))
        feed = lived.feed if usual is None else max(lived.feed, usual)
        live_a_day(build, state, feed)
    build.change_share = share
    return state


def _without_rock(build: Build) -> Build:
    build.binding = False
    return build


def _without_growth(build: Build) -> Build:
    build.growing = 0.0
    return build


def _without_export(build: Build) -> Build:
    build.equipment -= set(STRONG)
    return build


def _without_media(build: Build) -> Build:
    build.equipment.discard("phosphate media")
    return build


def _without_denitrifiers(build: Build) -> Build:
    build.denitrifying = 0.0
    return build


def _fed(build: Build) -> Build:
    return build


WHAT_IF = {
    "rock uptake": _without_rock,
    "living uptake": _without_growth,
    "light feeding": _fed,
    "over-filtration": _without_export,
    "phosphate media": _without_media,
    "denitrification": _without_denitrifiers,
}
