"""Why nitrate or phosphate reads too little: one function a cause.

Each returns its weight and reasons, or None where nothing points to it.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from fleet.assess.case import BARE_ROCK, Case, Weighed
from fleet.records import Sentence, say


def rock_uptake(case: Case, w: Mapping[str, Any]) -> Weighed | None:
    """Weigh that carbonate rock binds phosphate until it has had its fill."""
    rock, age = case.tank.rock, case.age
    if case.parameter != "phosphate" or rock == "none":
        return None
    if rock in BARE_ROCK:
        weight = w["bare"]
    else:
        weight = {"mixed": w["part"], "cured live": w["cured"]}.get(rock, w["unnoted"])
    because: tuple[Sentence, ...] = (
        (say("causes.rock-binds", rock=rock),)
        if rock
        else (say("causes.rock-unnoted"),)
    )
    if age is None:
        weight *= 1.0 if case.early else 0.4
    elif age > w["fresh_days"]:
        left = (w["spent_days"] - age) / (w["spent_days"] - w["fresh_days"])
        weight *= max(left, 0.0)
    elif rock in (*BARE_ROCK, "mixed"):
        because += (say("causes.rock-is-new", days=age),)
    volume, mass = case.tank.volume_l, case.tank.rock_kg
    if rock and mass and volume and mass / volume * 100 >= w["much_rock"]:
        because += (say("causes.much-rock", mass=mass, volume=volume),)
    if any(_vanished(e.kept_high, e.seen_low) for e in case.effects("dose")):
        weight *= w["vanished"]
        because += (say("causes.dose-vanished", parameter="phosphate"),)
    if case.finding.registered_before and age is not None and age > w["fresh_days"]:
        weight *= w["held_before"]
    if _unfed(case):
        weight *= w["unfed"]
    return Weighed(weight, because) if weight > 0 else None


def _unfed(case: Case) -> bool:
    """Say whether nothing goes in, so that nothing can be taken out of it."""
    if case.feed is not None and case.feed.noted:
        return case.feed.g_day == 0
    return case.found.animals is False


def _vanished(kept_high: float | None, seen_low: float | None) -> bool:
    """Say whether a dose surely lost some of itself, and may have lost all."""
    return (
        kept_high is not None
        and seen_low is not None
        and (kept_high < 1 and seen_low <= 0)
    )


def living_uptake(case: Case, w: Mapping[str, Any]) -> Weighed | None:
    """Weigh that films, algae, bacteria and corals grow, which takes both."""
    stage = case.stage
    if stage.never_started:
        return None
    weight: float = w["usual"]
    because: tuple[Sentence, ...] = ()
    if stage.films:
        weight *= w["films"]
        because += (say("causes.films-grow"),)
    elif stage.name in ("just cycled", "ugly phase"):
        because += (say("causes.new-surfaces"),)
    if stage.name in ("just cycled", "ugly phase"):
        weight *= w["new"]
    weeds = tuple(e for e in ("refugium", "algae scrubber") if e in case.running)
    if weeds:
        weight *= w["weed"]
        because += (say("causes.weed-grows", equipment=weeds[0]),)
    if case.corals and not case.early:
        weight *= w["corals"]
        because += (say("causes.corals-grow"),)
    # Rock may be what takes phosphate, so the sum proves growth for nitrate alone.
    budget = case.budget
    if case.parameter == "nitrate" and budget and budget.low and budget.low > 0:
        weight *= w["proven"]
        because += (
            say(
                "causes.taken-up",
                parameter=case.parameter,
                given=(budget.input_mg_l_week or 0.0) + budget.added_mg_l_week,
                low=budget.low,
            ),
        )
    if case.parameter == "nitrate" and case.early and case.tank.rock in BARE_ROCK:
        because += (say("causes.nitrate-hardly-binds"),)
    return Weighed(weight, because or (say("causes.all-growth-takes"),))


def light_feeding(case: Case, w: Mapping[str, Any]) -> Weighed | None:
    """Weigh that too little goes in for a test to show."""
    if case.parameter == "nitrate" and _still_cycling(case):
        return None  # nitrogen is there, only not as nitrate
    tank, volume = case.tank, case.tank.volume_l
    limit = case.limit("light-feeding")
    fed = case.feed_per_100_l
    if fed is not None and case.feed is not None and volume:
        if fed == 0:
            return Weighed(w["most"], (say("causes.nothing-fed"),))
        if fed >= limit:
            return None
        # By how much is missing for each gram fed: half the limit counts as written.
        weight = min(w["light"] * (limit / fed - 1), w["most"])
        because: tuple[Sentence, ...] = (
            say("causes.feed-light", feed=case.feed.g_day, volume=volume),
        )
        return Weighed(weight, because + _too_little(case))
    if tank.fish == 0 and case.found.animals is False:
        return Weighed(w["most"], (say("causes.no-animals"),))
    if tank.fish and volume:
        if volume / tank.fish < case.limit("few-fish-litres"):
            return None
        said = say("causes.few-fish", fish=tank.fish, volume=volume)
        return Weighed(w["few_fish"], (said, *_too_little(case)))
    if case.found.animals is False:
        return Weighed(w["most"], (say("causes.no-animals"),))
    return Weighed(w["unnoted"], (say("causes.feed-unnoted"),))


def _too_little(case: Case) -> tuple[Sentence, ...]:
    """Put a figure to it where the budget shows the feed to be too little."""
    note = case.budget.note if case.budget else None
    return (note,) if note and note.key == "budget.feed-too-little" else ()


def over_filtration(case: Case, w: Mapping[str, Any]) -> Weighed | None:
    """Weigh that more is taken out than this age or feeding brings in."""
    strengths: Mapping[str, float] = w[case.parameter]
    runs = tuple(word for word in strengths if word in case.running)
    weight = sum(strengths[word] for word in runs)
    if weight < w["least"]:
        return None
    runs = tuple(sorted(runs, key=lambda word: -strengths[word]))
    because: tuple[Sentence, ...] = (say("causes.filters-run", equipment=runs),)
    if case.early:
        weight *= w["young"]
        because += (say("causes.no-baseline-yet"),)
    fed = case.feed_per_100_l
    if fed is not None and fed < case.limit("light-feeding"):
        weight *= w["light_feed"]
    if _unfed(case):
        weight *= w["unfed"]
    return Weighed(weight, because)


def phosphate_media(case: Case, w: Mapping[str, Any]) -> Weighed | None:
    """Weigh phosphate media in use, which takes phosphate alone."""
    if case.parameter != "phosphate" or "phosphate media" not in case.running:
        return None
    since = case.running["phosphate media"]
    if since is None:
        return Weighed(w["unnoted"], (say("causes.media-in-use"),))
    age = (case.found.as_of - since).days
    if age > w["lasts_days"]:
        return Weighed(w["spent"], (say("causes.media-old", on=since),))
    return Weighed(w["fresh"], (say("causes.media-since", on=since),))


def blunt_test(case: Case, w: Mapping[str, Any]) -> Weighed | None:
    """Weigh that the zero is the test's, not the tank's."""
    latest = case.finding.latest
    if case.known or latest is None or latest.registers is True:
        return None
    lowest = latest.method.lowest if latest.method.lowest else latest.high
    said = say("causes.test-cannot-tell", parameter=case.parameter, lowest=lowest)
    return Weighed(w["present"], (said,))


def cycle_not_finished(case: Case, w: Mapping[str, Any]) -> Weighed | None:
    """Weigh that nitrogen is still ammonia or nitrite, or was never there."""
    stage = case.stage
    if stage.name != "cycling":
        return None
    if stage.never_started:
        return Weighed(w["never_started"], (say("causes.never-started"),))
    if case.parameter != "nitrate":
        return None
    if still := _still_cycling(case):
        return Weighed(w["present"], (say("causes.still-cycling", parameter=still),))
    return Weighed(w["young"], (say("causes.young-cycle"),))


def _still_cycling(case: Case) -> str:
    """Return which of ammonia and nitrite registers while a cycle runs; "" neither."""
    if case.stage.name != "cycling":
        return ""
    for parameter in ("ammonia", "nitrite"):
        finding = case.found.of(parameter)
        if finding and finding.latest and finding.latest.registers:
            return parameter
    return ""


def denitrification(case: Case, w: Mapping[str, Any]) -> Weighed | None:
    """Weigh that bacteria turn nitrate to gas, and leave phosphate behind."""
    if case.parameter != "nitrate":
        return None
    weight = 0.0
    because: tuple[Sentence, ...] = ()
    if "denitrifying reactor" in case.running:
        weight += w["reactor"]
        because += (say("causes.reactor-runs"),)
    other = case.other
    holds = other is not None and other.latest is not None and other.latest.registers
    ripe = case.age is not None and case.age >= w["ripe_days"]
    if holds and (ripe or case.stage.name == "mature") and case.tank.rock != "none":
        weight += w["ripe_rock"]
        because += (say("causes.ripe-rock"),)
    return Weighed(weight, because) if weight else None
