"""A treatment that somebody noted: nothing here may undo it unasked."""

from __future__ import annotations

import re
from collections.abc import Iterator

from fleet.plan.case import Case, Wanted
from fleet.plan.water_changes import free_ammonia
from fleet.records import Action, say

RULE = "treatment"
ASK = "check-treatment"
_WORD = re.compile(r"[^\W\d_]+")


def treatment(case: Case) -> Wanted | None:
    """Ask before water is changed, and warn of carbon, where a medicine is noted."""
    if not _noted(case):
        return None
    free = free_ammonia(case)
    acute = case.reference.limit("free-ammonia-acute")
    harms_sooner = free is not None and free.value >= acute
    ask = Action(
        id=ASK,
        kind="check",
        rule=RULE,
        what=say("actions.check-treatment", harms_sooner=harms_sooner),
        why=say("actions.check-treatment-why"),
        when=case.today,
        cautions=(say("cautions.vet"),),
    )
    means = say("meaning.treatment")
    # It never leads, so what it means is all it has to say.
    return Wanted(
        RULE,
        means,
        meaning=(means,),
        actions=(ask,),
        leave=(say("leave.carbon-in-treatment"),),
    )


def _noted(case: Case) -> bool:
    words = set(case.reference.situations[RULE]["words"])
    return any(
        words.intersection(_WORD.findall(note.casefold())) for note in _notes(case)
    )


def _notes(case: Case) -> Iterator[str]:
    """Yield what was noted of the tank, and of its work of the last weeks."""
    yield case.findings.tank.notes
    oldest = case.reference.limit("looks-count")
    for done in case.findings.work:
        if (case.today - done.on).days <= oldest:
            yield f"{done.substance} {done.notes}"


def only_before_a_change(actions: tuple[Action, ...]) -> tuple[Action, ...]:
    """Ask about the treatment only where water is to be changed."""
    if any(action.water_change_share is not None for action in actions):
        return actions
    return tuple(action for action in actions if action.id != ASK)
