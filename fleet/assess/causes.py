"""Why a tank's nutrients read too little or too much, with shares that sum to one."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Literal, NamedTuple

from fleet.assess.case import Case, Rule, Weighed, cases_of
from fleet.assess.high_causes import (
    die_off,
    end_of_cycle,
    growth_held_back,
    heavy_feeding,
    little_export,
    nitrite_in_test,
    overdosed,
    rock_leaching,
    source_water,
)
from fleet.assess.low_causes import (
    blunt_test,
    cycle_not_finished,
    denitrification,
    light_feeding,
    living_uptake,
    over_filtration,
    phosphate_media,
    rock_uptake,
)
from fleet.records import Cause, Findings, Sentence, Settings
from fleet.reference import Reference

Side = Literal["low", "high"]
Shares = dict[str, tuple[float, tuple[Sentence, ...]]]  # by word: share, reasons


class _Listed(NamedTuple):
    """One nutrient with its causes; apart where the other has its own."""

    case: Case
    apart: bool
    shares: Shares


LOW_CAUSES: tuple[Rule, ...] = (
    blunt_test,
    cycle_not_finished,
    phosphate_media,
    over_filtration,
    rock_uptake,
    light_feeding,
    living_uptake,
    denitrification,
)
HIGH_CAUSES: tuple[Rule, ...] = (
    nitrite_in_test,
    overdosed,
    end_of_cycle,
    source_water,
    die_off,
    heavy_feeding,
    little_export,
    rock_leaching,
    growth_held_back,
)
CAUSES: tuple[Rule, ...] = LOW_CAUSES + HIGH_CAUSES

# What may explain a zero that the test cannot vouch for, while the other nutrient
# is known to be low: only what acts on this nutrient alone.
_OWN = (rock_uptake, phosphate_media, denitrification)


def table_key(rule: Rule) -> str:
    """Return the table of causes.toml a cause function reads."""
    return rule.__name__.replace("_", "-")


def causes_of(
    found: Findings, settings: Settings, reference: Reference
) -> tuple[Cause, ...]:
    """Return the likely causes of one tank, largest share first.

    Each nutrient that wants explaining has an equal part in the whole; a cause that
    acts on both on the same side is named once, with parameter "".
    """
    cases = cases_of(found, settings, reference)
    listed = []
    for case in cases:
        # Beside a nutrient known to be low, one that may not be stays on its own.
        apart = not case.known and any(o.known for o in cases if o.side == case.side)
        listed.append(_Listed(case, apart, _shares(case, apart=apart)))
    merged: dict[tuple[str, str, str], Cause] = {}
    for case, apart, shares in _without_opposites(listed, reference):
        for word, (share, because) in shares.items():
            key = word, case.side, case.parameter if apart else ""
            cause = Cause(word, share / len(cases), because, case.side, case.parameter)
            merged[key] = _joined(merged[key], cause) if key in merged else cause
    return _trimmed(list(merged.values()), reference)


def _shares(case: Case, *, apart: bool) -> Shares:
    """Return each cause of one nutrient with its share of that nutrient."""
    tables = case.reference.causes
    rules = LOW_CAUSES if case.side == "low" else HIGH_CAUSES
    weighed: dict[Rule, Weighed] = {}
    for rule in rules:
        if apart and rule not in (*_OWN, blunt_test):
            continue
        found = rule(case, tables[table_key(rule)])
        if found is not None and found.weight > 0:
            weighed[rule] = found
    if case.side == "low" and not case.known:
        _lead(weighed, blunt_test, tables["blunt-test"]["cannot_tell_share"])
    if overdosed in weighed:  # how much of the excess the doses make is known
        _lead(weighed, overdosed, weighed[overdosed].weight)
    total = sum(w.weight for w in weighed.values())
    return {
        tables[table_key(rule)]["word"]: (w.weight / total, w.because)
        for rule, w in weighed.items()
    }


def _lead(weighed: dict[Rule, Weighed], rule: Rule, share: float) -> None:
    """Give a cause its set share, and the others what is left."""
    if rule in weighed:
        rest = sum(w.weight for other, w in weighed.items() if other is not rule)
        weight = rest * share / (1 - share) if rest else 1.0
        weighed[rule] = weighed[rule]._replace(weight=weight)


def _without_opposites(
    listed: list[_Listed], reference: Reference
) -> Iterator[_Listed]:
    """Yield the lists, leaving out the weaker of two causes that exclude each other.

    One tank is not fed too much and too little, nor filtered so.
    """
    weaker: set[str] = set()
    for pair in reference.causes["list"]["opposites"]:
        strength = {
            word: max((one.shares[word][0] for one in listed if word in one.shares),
                      default=0.0)
            for word in pair
        }  # fmt: skip
        if all(strength.values()):
            weaker.add(min(strength, key=lambda word: strength[word]))
    for one in listed:
        kept = {word: s for word, s in one.shares.items() if word not in weaker}
        total = sum(share for share, _ in kept.values())
        if kept and len(kept) < len(one.shares):
            kept = {word: (share / total, why) for word, (share, why) in kept.items()}
            one = one._replace(shares=kept)
        yield one


def _joined(one: Cause, more: Cause) -> Cause:
    because = tuple(dict.fromkeys((*one.because, *more.because)))
    parameter = one.parameter if one.parameter == more.parameter else ""
    return replace(
        one, share=one.share + more.share, because=because, parameter=parameter
    )


def _trimmed(causes: list[Cause], reference: Reference) -> tuple[Cause, ...]:
    """Leave out what hardly counts, and make the rest sum to one again."""
    least = reference.causes["list"]["least_share"]
    kept = [cause for cause in causes if cause.share >= least] or causes
    total = sum(cause.share for cause in kept)
    kept = [replace(cause, share=cause.share / total) for cause in kept]
    return tuple(sorted(kept, key=lambda cause: -cause.share))
