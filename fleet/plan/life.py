"""More life, the wanted bacteria, and feed: what comes before any dose."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from fleet.plan.case import Case
from fleet.records import Action, say

# Kinds of tank that are stocked for one purpose: no animals are added for water's
# sake.
_CLOSED = ("quarantine",)


def lightly_stocked(case: Case) -> bool:
    """Say whether there is room for more animals; true where nothing tells."""
    tank = case.findings.tank
    if tank.fish is None or case.volume is None:
        return True
    return tank.fish * case.reference.limit("few-fish-litres") < case.volume


def lightly_fed(case: Case) -> bool:
    """Say whether feeding is too light to show on a test; true if not known."""
    feed = case.findings.tank.feed_g_day
    if feed is None or case.volume is None:
        return True
    return feed * 100 / case.volume < case.reference.limit("light-feeding")


def add_life(case: Case, rule: str) -> tuple[Action, ...]:
    """Ask for more animals, slowly, where there is room and the water is fit.

    Where ammonia was not tested lately in a young tank, the test comes first.
    """
    tank = case.findings.tank
    if tank.livestock in _CLOSED or not lightly_stocked(case):
        return ()
    if case.ammonia_seen is not None or case.stage == "cycling":
        return ()
    if case.findings.stage.never_started:
        return ()
    unsure = not case.ammonia_clear and case.young
    first = case.findings.animals is False
    key = "first" if first else "films" if case.films else "more"
    action = Action(
        id="add-life",
        kind="add life",
        rule=rule,
        what=say(
            f"actions.add-life-{key}",
            test_first=unsure,
            days=int(case.reference.limit("stocking-apart")),
        ),
        why=say("actions.add-life-why"),
        when=case.after("urgent-retest") if unsure else case.today,
        sources=("common practice, no source: life first, then feed, then a dose",),
    )
    return (action,)


def add_grazers(case: Case, rule: str) -> tuple[Action, ...]:
    """Ask for a few animals that graze, where any can live."""
    if case.findings.tank.livestock in _CLOSED or case.findings.animals is False:
        return ()
    if case.ammonia_seen is not None:
        return ()
    action = Action(
        id="add-grazers",
        kind="add life",
        rule=rule,
        what=say("actions.add-grazers"),
        why=say("actions.add-grazers-why"),
        when=case.today,
        sources=(
            "Hixon & Brostoff 1996, Ecol. Monogr. 66:67-90 (from memory): "
            "grazers decide which algae stay",
        ),
    )
    return (action,)


def seed(case: Case, rule: str) -> tuple[Action, ...]:
    """Ask for the wanted bacteria, from the best source first."""
    if case.findings.tank.livestock in _CLOSED:
        return ()
    action = Action(
        id="seed",
        kind="seed",
        rule=rule,
        what=say("actions.seed"),
        why=say("actions.seed-why"),
        when=case.today,
        cautions=(say("cautions.new-rock"),),
        sources=("Bower & Turner 1981, Aquaculture 24:1-9 (from memory)",),
    )
    return (action,)


def running_media(case: Case, rule: str, *, fewer: bool) -> tuple[Action, ...]:
    """Ask for media that is already at work elsewhere: the surest cure of ammonia."""
    action = Action(
        id="seed-media",
        kind="seed",
        rule=rule,
        what=say("actions.seed-media", fewer=fewer),
        why=say("actions.seed-media-why"),
        when=case.today,
        cautions=(say("cautions.new-rock"),),
        sources=("Bower & Turner 1981, Aquaculture 24:1-9 (from memory)",),
    )
    return (action,)


def feed_more(
    case: Case, rule: str, *, even_if_well_fed: bool = False
) -> tuple[Action, ...]:
    """Ask for a step more feed, where there is something to feed."""
    if case.findings.animals is not True or case.ammonia_seen is not None:
        return ()
    if case.over or case.findings.stage.never_started:
        return ()
    if not (even_if_well_fed or lightly_fed(case)):
        return ()
    return (_feed(case, rule, "more", 1 + case.reference.limit("feed-step")),)


def feed_then(case: Case, rule: str, parameter: str, when: date) -> tuple[Action, ...]:
    """Ask for a step more feed on a later day, if a nutrient is still short then."""
    steps = feed_more(case, rule, even_if_well_fed=True)
    return tuple(
        replace(
            step,
            what=say("actions.feed-then", parameter=parameter, on=when, feed=step.what),
            why=say("actions.feed-then-why"),
            when=when,
        )
        for step in steps
    )


def feed_less(case: Case, rule: str) -> tuple[Action, ...]:
    """Ask for a step less feed."""
    if case.findings.animals is False:
        return ()
    return (_feed(case, rule, "less", 1 - case.reference.limit("feed-step")),)


def _feed(case: Case, rule: str, way: str, factor: float) -> Action:
    now = case.findings.tank.feed_g_day
    step = case.reference.limit("feed-step")
    to = now * factor if now else None
    return Action(
        id=f"feed-{way}",
        kind="feed",
        rule=rule,
        what=say(f"actions.feed-{way}", step=step, now=now or None, to=to),
        why=say(f"actions.feed-{way}-why"),
        when=case.today,
        sources=(f"step: {case.reference.limits['feed-step'].source}",),
    )


def feed_none(case: Case, rule: str) -> Action:
    """Ask for a day without feed."""
    return Action(
        id="feed-none",
        kind="feed",
        rule=rule,
        what=say("actions.feed-none"),
        why=say("actions.feed-none-why"),
        when=case.today,
        until=case.today,
        days=1,
    )
