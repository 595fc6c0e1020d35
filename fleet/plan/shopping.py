"""One list of salts for all tanks: what is needed and what is there."""

from __future__ import annotations

from collections.abc import Sequence

from fleet.records import Plan, ShelfItem, ShoppingLine, Tank


def shopping(
    pairs: Sequence[tuple[Tank, Plan]], shelf: Sequence[ShelfItem]
) -> tuple[ShoppingLine, ...]:
    """Return each salt that the plans dose, with its share for each tank."""
    per_salt: dict[str, list[tuple[str, float]]] = {}
    for tank, plan in pairs:
        for action in plan.actions:
            if action.kind == "dose" and action.amount_g is not None:
                tanks = per_salt.setdefault(action.substance, [])
                tanks.append((tank.id, action.amount_g))
    return tuple(
        ShoppingLine(
            substance=salt,
            total_g=sum(grams for _, grams in tanks),
            on_hand_g=_on_hand(salt, shelf),
            per_tank=tuple(tanks),
        )
        for salt, tanks in sorted(per_salt.items())
    )


def _on_hand(salt: str, shelf: Sequence[ShelfItem]) -> float | None:
    """Return the grams at hand; None where the shelf does not say."""
    known = [i.on_hand_g for i in shelf if i.substance == salt]
    amounts = [grams for grams in known if grams is not None]
    return sum(amounts) if amounts else None
