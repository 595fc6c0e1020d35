"""Strong export: what comes off a tank that has too little, what is eased."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from fleet.plan.case import Case
from fleet.records import Action, Sentence, say

# Easing these takes hands in the water, or work at what runs on electricity.
_WIRED = ("filter roller", "denitrifying reactor", "algae scrubber", "skimmer")
# Water that stands in these turns foul. Common practice, no source.
_TURNS_FOUL = ("denitrifying reactor",)


def taking(case: Case, parameters: Iterable[str]) -> tuple[str, ...]:
    """Return the strong export in use that takes any of ``parameters``."""
    listed = case.reference.situations["stripped"]
    names: list[str] = []
    for parameter in parameters:
        names += (n for n in listed[f"takes_{parameter}"] if n in case.running)
    return tuple(dict.fromkeys(names))


def takes_doses(case: Case, parameters: Iterable[str]) -> tuple[str, ...]:
    """Return the export in use beside which ``parameters`` are not dosed.

    That is all strong export in a young tank. In an older one, what only catches
    solids takes nothing of a dose out, so it is eased and the dose is given.
    """
    names = taking(case, parameters)
    if case.young:
        return names
    passes = case.reference.situations["stripped"]["lets_doses_pass"]
    return tuple(name for name in names if name not in passes)


def easing(case: Case, parameter: str) -> tuple[str, ...]:
    """Return what takes ``parameter`` and can be run less, strongest first."""
    listed = case.reference.situations["falling"][f"eases_{parameter}"]
    return tuple(name for name in listed if name in case.running)


def taken_off_lately(case: Case, parameters: Iterable[str]) -> date | None:
    """Return the day export came off, if the week to wait is not over."""
    listed = case.reference.situations["stripped"]
    names = {n for p in parameters for n in listed[f"takes_{p}"]}
    days = [on for name, on in case.findings.taken_off if name in names]
    if not days:
        return None
    day = max(days)
    waited = (case.today - day).days
    return day if waited < case.reference.limit("week-retest") else None


def take_out(case: Case, rule: str, names: Iterable[str]) -> tuple[Action, ...]:
    """Ask for strong export to come off."""
    return tuple(
        Action(
            id=f"take-out-{_slug(name)}",
            kind="take out",
            rule=rule,
            what=_taken_out(case, name),
            why=say("actions.take-out-why"),
            when=case.today,
            substance=name,
            cautions=_cautions(name, wired=True),
            sources=("common practice, no source",),
        )
        for name in names
    )


def _taken_out(case: Case, name: str) -> Sentence:
    key = f"actions.take-out-{_slug(name)}"
    if name == "organic carbon dosing":
        return say(key, days=int(case.reference.limit("carbon-wean")))
    return say(key)


def beside_export(case: Case) -> Sentence:
    """Return that nothing is dosed while export runs, or soon after."""
    days = int(case.reference.limit("week-retest"))
    return say("leave.dose-beside-export", days=days)


def ease(case: Case, rule: str, names: Iterable[str]) -> tuple[Action, ...]:
    """Ask for the strongest of ``names`` to be run less: one change at a time."""
    return tuple(
        Action(
            id=f"hold-off-{_slug(name)}",
            kind="hold off",
            rule=rule,
            what=say(f"actions.ease-{_slug(name)}"),
            why=say("actions.ease-why"),
            when=case.today,
            substance=name,
            cautions=_cautions(name, wired=name in _WIRED),
            sources=("common practice, no source",),
        )
        for name in tuple(names)[:1]
    )


def _cautions(name: str, *, wired: bool) -> tuple[Sentence, ...]:
    """Return what can go wrong at that filter."""
    foul = (say("cautions.reactor-water"),) if name in _TURNS_FOUL else ()
    return (*foul, say("cautions.electricity")) if wired else foul


def _slug(name: str) -> str:
    return name.replace(" ", "-")
