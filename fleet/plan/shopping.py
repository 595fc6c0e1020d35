"""One list of salts for all tanks: what is needed and what is there."""

from __future__ import annotations

from collections.abc import Sequence

from fleet.plan.stocks import recipe
from fleet.records import (
    Action,
    Bottle,
    Plan,
    Portion,
    ShelfItem,
    ShoppingLine,
    Tank,
    say,
)
from fleet.reference import Reference

_Doses = list[tuple[Tank, Action]]


def shopping(
    pairs: Sequence[tuple[Tank, Plan]],
    shelf: Sequence[ShelfItem],
    reference: Reference,
) -> tuple[ShoppingLine, ...]:
    """Return each salt that the plans dose: what each tank gets, and from what."""
    per_salt: dict[str, list[tuple[str, float]]] = {}
    doses: dict[str, _Doses] = {}
    for tank, plan in pairs:
        for action in plan.actions:
            if action.kind == "dose" and action.amount_g is not None:
                tanks = per_salt.setdefault(action.substance, [])
                tanks.append((tank.id, action.amount_g))
                doses.setdefault(action.substance, []).append((tank, action))
    return tuple(
        ShoppingLine(
            substance=salt,
            total_g=sum(grams for _, grams in tanks),
            on_hand_g=_on_hand(salt, shelf),
            per_tank=tuple(tanks),
            bottles=_bottles(salt, doses[salt], reference),
        )
        for salt, tanks in sorted(per_salt.items())
    )


def _bottles(salt: str, doses: _Doses, reference: Reference) -> tuple[Bottle, ...]:
    """Return the solutions that the doses of one salt are measured from."""
    by_strength: dict[float, _Doses] = {}
    for tank, action in doses:
        strength = action.thinned_from or action.stock_g_per_l
        if strength is not None:
            by_strength.setdefault(strength, []).append((tank, action))
    return tuple(
        _bottle(salt, strength, taken, reference)
        for strength, taken in sorted(by_strength.items())
    )


def _bottle(salt: str, strength: float, doses: _Doses, reference: Reference) -> Bottle:
    portions = tuple(
        Portion(tank.id, action.per_day_ml, action.days or 1, action.stock_g_per_l)
        for tank, action in doses
        if action.per_day_ml is not None and action.stock_g_per_l is not None
    )
    to_make = any(
        action.stock is not None and action.stock.key != "stock.thin"
        for _, action in doses
    )
    if not to_make:
        return Bottle(strength, 0.0, None, portions)
    needed = sum(p.day_ml * p.days * p.strength / strength for p in portions)
    made = recipe(salt, reference.salts[salt], strength, needed, reference)
    return Bottle(strength, made.grams, say("stock.make", **made._asdict()), portions)


def _on_hand(salt: str, shelf: Sequence[ShelfItem]) -> float | None:
    """Return the grams at hand; None where the shelf does not say."""
    known = [i.on_hand_g for i in shelf if i.substance == salt]
    amounts = [grams for grams in known if grams is not None]
    return sum(amounts) if amounts else None
