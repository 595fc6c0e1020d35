"""What may never be asked for: every action passes through here, last of all.

The rules are meant to ask for nothing that is refused here. This is the net
below them: it knows the limits, not the situations.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from typing import NamedTuple

from fleet.plan.case import NUTRIENTS, Case, assumed_band
from fleet.plan.doses import largest_rise_day
from fleet.plan.export import takes_doses
from fleet.plan.last_doses import pending
from fleet.plan.raising import nitrate_waits
from fleet.plan.water_changes import free_ammonia, gentle_share, largest_share
from fleet.records import Action, Sentence, say
from fleet.reference import Salt
from fleet.science.concentration import ammonia_from_nitrogen
from fleet.science.dosing import rise_from_grams

_ROUNDING = 1 + 1e-9
_LONGEST = 366  # days; nothing goes on for longer
CHECK = "dose-ammonia-check"  # the one dose a tank without a cycle may get
_NO_ANIMALS = "never-cycled"
_URGENT = ("welfare", "cycle-with-animals")

Guard = Callable[[Case, Action, tuple[Action, ...]], Sentence | None]


class Held(NamedTuple):
    """What may be asked for, and why the rest is not."""

    kept: tuple[Action, ...]
    refused: tuple[Sentence, ...]


def hold(case: Case, actions: Iterable[Action]) -> Held:
    """Return the actions that pass every guard, and a sentence for each that not."""
    asked = tuple(actions)
    kept: list[Action] = []
    refused: list[Sentence] = []
    for action in asked:
        why = next((no for g in GUARDS if (no := g(case, action, asked))), None)
        if why is None:
            kept.append(action)
        elif why not in refused:
            refused.append(why)
    return Held(tuple(kept), tuple(refused))


def _no(action: Action, reason: str) -> Sentence:
    return say(f"leave.refused-{reason}", parameter=action.parameter)


# ------------------------------------------------------------------- any action


def amounts_are_real(
    case: Case, action: Action, asked: tuple[Action, ...]
) -> Sentence | None:
    """Refuse an amount that is not finite and above zero, or a day gone by."""
    amounts = (
        action.amount_g, action.amount_ml, action.stock_g_per_l, action.per_day_g,
        action.per_day_ml, action.water_change_l, action.water_change_share,
        action.new_water_salinity, action.days,
    )  # fmt: skip
    real = all(a is None or (math.isfinite(a) and a > 0) for a in amounts)
    real = real and all(math.isfinite(rise) for _, rise in action.expected)
    real = real and (action.days is None or action.days <= _LONGEST)
    ahead = action.when >= case.today
    ahead = ahead and (action.until is None or action.until >= action.when)
    return None if real and ahead else _no(action, "amount")


# ------------------------------------------------------------------------ doses


def _salt(case: Case, action: Action) -> Salt | None:
    salt = case.reference.salts.get(action.substance)
    return salt if salt is not None and salt.dose else None


def _rise(case: Case, action: Action, salt: Salt) -> float:
    """Return what the grams asked for raise, whatever the action says of itself."""
    grams, volume = action.amount_g, case.volume
    if grams is None or volume is None:
        return math.inf
    purity = action.working.purity if action.working else 1.0
    return rise_from_grams(grams, volume, salt.ion_share, purity)


def dose_can_be_worked_out(
    case: Case, action: Action, asked: tuple[Action, ...]
) -> Sentence | None:
    """Refuse a dose without volume, salt, grams or days, or from a cloudy stock."""
    if action.kind != "dose":
        return None
    salt = _salt(case, action)
    if salt is None or case.volume is None:
        return _no(action, "unknown")
    if action.amount_g is None or action.days is None:
        return _no(action, "unknown")
    strongest = salt.strongest_stock
    if (action.stock_g_per_l or 0.0) > strongest * _ROUNDING:
        return _no(action, "stock")
    return None


def dose_is_for_a_known_lack(
    case: Case, action: Action, asked: tuple[Action, ...]
) -> Sentence | None:
    """Refuse a dose on a doubted, old or undecided value, or where there is enough."""
    if action.kind != "dose" or action.id == CHECK:
        return None
    if action.parameter not in NUTRIENTS or case.stage == "cycling":
        return _no(action, "cycling")
    if case.ammonia_seen is not None:
        return _no(action, "cycling")
    finding = case.judged(action.parameter)
    if finding is None or finding.latest is None or finding.latest.upper_limit_only:
        return _no(action, "not-known")
    if assumed_band(finding):
        return _no(action, "livestock")
    if finding.verdict != "under":
        return _no(action, "enough")
    return None


def dose_is_slow(
    case: Case, action: Action, asked: tuple[Action, ...]
) -> Sentence | None:
    """Refuse more than the largest rise a day."""
    salt = _salt(case, action)
    if action.kind != "dose" or action.id == CHECK or salt is None:
        return None
    largest = largest_rise_day(case, salt.raises)
    a_day = _rise(case, action, salt) / (action.days or 1)
    return None if a_day <= largest * _ROUNDING else _no(action, "fast")


def dose_stays_in_the_band(
    case: Case, action: Action, asked: tuple[Action, ...]
) -> Sentence | None:
    """Refuse to pass the band's top, even from the upper end of the reading."""
    salt = _salt(case, action)
    if action.kind != "dose" or action.id == CHECK or salt is None:
        return None
    finding = case.judged(action.parameter)
    logged = pending(case, action.parameter)
    if finding is None or finding.latest is None or logged is None:
        return _no(action, "not-known")
    if finding.band is None or finding.band.high is None:
        return _no(action, "not-known")
    worst = finding.latest.high + logged + _rise(case, action, salt)
    return None if worst <= finding.band.high * _ROUNDING else _no(action, "past-top")


def dose_is_not_taken_out_again(
    case: Case, action: Action, asked: tuple[Action, ...]
) -> Sentence | None:
    """Refuse a dose where export was asked to come off, or doses to stop."""
    if action.kind != "dose" or action.id == CHECK:
        return None
    off = {a.substance for a in asked if a.kind in ("take out", "hold off")}
    if off.intersection(takes_doses(case, (action.parameter,))):
        return _no(action, "export")
    if any(a.id == f"hold-off-dose-{action.parameter}" for a in asked):
        return _no(action, "enough")
    return None


def nitrate_waits_for_phosphate(
    case: Case, action: Action, asked: tuple[Action, ...]
) -> Sentence | None:
    """Refuse nitrate where corals live and phosphate may be near nothing."""
    if action.kind != "dose" or action.parameter != "nitrate":
        return None
    return nitrate_waits(case)


def no_ammonia_on_animals(
    case: Case, action: Action, asked: tuple[Action, ...]
) -> Sentence | None:
    """Refuse an ammonia-bearing salt where free ammonia would pass where to act."""
    salt = _salt(case, action)
    if action.kind != "dose" or salt is None or not salt.ammonia_bearing:
        return None
    if case.ammonia_seen is not None or not case.ammonia_clear:
        return _no(action, "ammonia")
    if case.findings.animals is False:
        largest = case.reference.limit("ammonia-check-addition")
        fits = _rise(case, action, salt) <= largest * _ROUNDING
        return None if fits and action.rule == _NO_ANIMALS else _no(action, "ammonia")
    if action.id == CHECK:
        return _no(action, "ammonia")
    free, finding = free_ammonia(case), case.usable("ammonia")
    if free is None or free.assumed or finding is None or finding.latest is None:
        return _no(action, "ammonia")
    total = finding.latest.high + _rise(case, action, salt)
    after = ammonia_from_nitrogen(total * free.share)
    return None if after <= free.act else _no(action, "ammonia")


# ---------------------------------------------------------------- water changes


def change_is_bounded(
    case: Case, action: Action, asked: tuple[Action, ...]
) -> Sentence | None:
    """Refuse a water change past its largest share or its own arithmetic."""
    share, litres = action.water_change_share, action.water_change_l
    if share is None:
        needed = action.kind == "water change" or litres is not None
        return _no(action, "unknown") if needed else None
    if action.new_water is None:
        return _no(action, "unknown")
    urgent = action.rule in _URGENT
    if share > largest_share(case, urgent=urgent) * _ROUNDING:
        return _no(action, "change")
    if litres is not None:
        whole = case.volume
        if whole is None or not math.isclose(litres, share * whole, rel_tol=1e-6):
            return _no(action, "unknown")
    return None


def change_is_for_a_known_excess(
    case: Case, action: Action, asked: tuple[Action, ...]
) -> Sentence | None:
    """Refuse a change for a nutrient that was not judged over."""
    if action.kind != "water change" or action.parameter not in NUTRIENTS:
        return None
    return None if action.parameter in case.over else _no(action, "not-known")


def change_is_gentle(
    case: Case, action: Action, asked: tuple[Action, ...]
) -> Sentence | None:
    """Refuse a planned change that takes a nutrient down too far in one go."""
    share = action.water_change_share
    if action.kind != "water change" or action.rule in _URGENT or share is None:
        return None
    return None if share <= gentle_share(case) * _ROUNDING else _no(action, "fall")


# ------------------------------------------------------------------ life and feed


def nothing_feeds_ammonia(
    case: Case, action: Action, asked: tuple[Action, ...]
) -> Sentence | None:
    """Refuse animals and more feed for a tank that cycles or shows ammonia."""
    if action.kind != "add life" and action.id != "feed-more":
        return None
    stage = case.findings.stage
    if case.ammonia_seen is not None or stage.name == "cycling" or stage.never_started:
        return _no(action, "life")
    if action.id == "feed-more" and (case.over or case.findings.animals is False):
        return _no(action, "feed")
    return None


def one_way_at_a_time(
    case: Case, action: Action, asked: tuple[Action, ...]
) -> Sentence | None:
    """Refuse what stands beside its opposite; the careful one stays."""
    ids = {a.id for a in asked}
    if action.id == "feed-more" and ids & {"feed-less", "feed-none"}:
        return _no(action, "feed")
    if action.id == "check-export":
        off = any(a.kind in ("take out", "hold off") and a.substance for a in asked)
        return _no(action, "export") if off else None
    return None


GUARDS: tuple[Guard, ...] = (
    amounts_are_real,
    dose_can_be_worked_out,
    dose_is_for_a_known_lack,
    dose_is_slow,
    dose_stays_in_the_band,
    dose_is_not_taken_out_again,
    nitrate_waits_for_phosphate,
    no_ammonia_on_animals,
    change_is_bounded,
    change_is_for_a_known_excess,
    change_is_gentle,
    nothing_feeds_ammonia,
    one_way_at_a_time,
)
