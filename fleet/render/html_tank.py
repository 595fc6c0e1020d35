"""One tank of ``report.html``: everything its section shows, as ready words."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import NamedTuple

from markupsafe import Markup

from fleet.records import (
    Action,
    Budget,
    Cause,
    CauseList,
    Effect,
    Sentence,
    TankChange,
    TankReport,
    say,
)
from fleet.reference import Reference
from fleet.render.html_readings import Result, notes, pictures, results
from fleet.render.safe import said
from fleet.render.wording import Wording


class Step(NamedTuple):
    """One action."""

    kind: str
    when: str
    what: Markup
    why: Markup
    more: tuple[Markup, ...]  # what to expect, when to stop, how to make the stock
    cautions: tuple[Markup, ...]
    not_done: bool


class CauseLine(NamedTuple):
    """One likely cause."""

    name: str
    share: str
    because: tuple[Markup, ...]


class BudgetLine(NamedTuple):
    """One nutrient's way in and out."""

    name: str
    parts: str  # label and amount a week of each


@dataclass(frozen=True, slots=True)
class TankView:
    """The section of one tank."""

    about: tuple[str, ...]
    headline: Markup
    steps: tuple[Step, ...]
    leave: tuple[Markup, ...]
    tests: tuple[tuple[str, str], ...]  # day, what
    results: tuple[Result, ...]
    notes: tuple[tuple[str, Markup], ...]  # parameter, words
    pictures: tuple[Markup, ...]
    meaning: tuple[Markup, ...]
    causes: tuple[tuple[str, tuple[CauseLine, ...]], ...]  # of which side; why
    last_work: tuple[tuple[str, Markup], ...]  # which work, whether it showed
    earlier_work: tuple[tuple[str, Markup], ...]
    stage: tuple[Markup, ...]
    missing: tuple[Markup, ...]
    budgets: tuple[BudgetLine, ...]
    score: tuple[tuple[str, str], ...]  # because, points


class Viewer:
    """Turns the tanks of one report into words for the page."""

    def __init__(self, wording: Wording, reference: Reference) -> None:
        self._wording = wording
        self._display = wording.display
        self._reference = reference
        self._said: dict[str, Markup] = {}

    def view(self, entry: TankReport, change: TankChange | None) -> TankView:
        """Return the section of one tank."""
        found, plan = entry.findings, entry.plan
        not_done = set(change.not_done) if change else set()
        newest = max((effect.work.on for effect in found.effects), default=None)
        last = tuple(e for e in found.effects if e.work.on == newest)
        earlier = tuple(e for e in found.effects if e.work.on != newest)
        said_before: set[Sentence] = set()
        actions = sorted(plan.actions, key=lambda action: action.priority)
        return TankView(
            about=tuple(self._about(entry)),
            headline=self.say(plan.headline),
            steps=tuple(
                self._step(action, entry, not_done, said_before) for action in actions
            ),
            leave=self._all(plan.leave_alone),
            tests=self._tests(entry),
            results=tuple(results(entry, self._wording)),
            notes=tuple(notes(entry, self._wording)),
            pictures=tuple(pictures(entry, self._wording, self._reference)),
            meaning=self._all(plan.meaning),
            causes=tuple(map(self._causes, found.cause_lists)),
            last_work=tuple(self._effects(last)),
            earlier_work=tuple(self._effects(earlier)),
            stage=self._all(found.stage.because),
            missing=self._all((*found.missing, *found.stage.missing)),
            budgets=tuple(self._budget(budget) for budget in found.budgets),
            score=tuple(
                (self.say(part.because), self._display.number(part.points, 0))
                for part in plan.score_parts
            ),
        )

    def say(self, sentence: Sentence) -> Markup:
        """Return a sentence for the page."""
        markup = self._wording.markup(sentence)
        shown = self._said.get(markup)
        if shown is None:
            shown = self._said[markup] = said(markup)
        return shown

    def _all(self, sentences: Iterable[Sentence]) -> tuple[Markup, ...]:
        return tuple(map(self.say, sentences))

    def _word(self, word: str) -> str:
        return self._wording.label(word, "sheet")

    # -- above

    def _about(self, entry: TankReport) -> Iterable[str]:
        tank, stage, label = entry.tank, entry.findings.stage, self._wording.label
        if tank.place:
            yield tank.place
        if tank.keeper:
            yield f"{self._word('keeper')} {tank.keeper}"
        if tank.group:
            yield tank.group
        if tank.volume_l is not None:
            yield self._display.litres(tank.volume_l)
        if tank.livestock:
            yield label(tank.livestock, "livestock")
        sure = f"{self._display.share(stage.sure)} {self._word('sure')}"
        yield f"{self._word('stage')} {label(stage.name, 'stage')} ({sure})"
        if stage.days_since_filled is not None:
            yield f"{stage.days_since_filled} {self._word('days-filled')}"
        if stage.days_since_cycled is not None:
            yield f"{stage.days_since_cycled} {self._word('days-cycled')}"
        if tank.displays:
            yield f"{self._word('shared')} {', '.join(tank.displays)}"

    # -- what to do

    def _step(
        self,
        action: Action,
        entry: TankReport,
        not_done: set[str],
        said_before: set[Sentence],
    ) -> Step:
        # No caution comes twice at a tank: what is read everywhere is read nowhere.
        cautions = [c for c in action.cautions if c not in said_before]
        said_before.update(cautions)
        shown = self._display.short_day(action.when)
        if action.when == entry.findings.as_of:
            shown = f"{self._word('today')}, {shown}"
        if action.until and action.until != action.when:
            until = self._display.short_day(action.until)
            shown = f"{shown} {self._word('until')} {until}"
        return Step(
            kind=self._wording.label(action.kind, "kind"),
            when=shown,
            what=self.say(action.what),
            why=self.say(action.why),
            more=tuple(self._more(action)),
            cautions=self._all(cautions),
            not_done=action.id in not_done,
        )

    def _more(self, action: Action) -> Iterable[Markup]:
        if action.expected:
            rises = [
                f"{self._wording.label(name, 'parameter')} "
                f"{self._display.change(rise, name)}"
                for name, rise in action.expected
            ]
            yield Markup.escape(f"{self._word('expect')}: {'; '.join(rises)}")
        if action.stop_if:
            yield self.say(action.stop_if)
        if action.stock:
            yield self.say(action.stock)

    def _tests(self, entry: TankReport) -> tuple[tuple[str, str], ...]:
        days: dict[str, list[str]] = {}
        for name, day in sorted(entry.plan.retests, key=lambda test: test[1]):
            shown = self._display.day(day)
            days.setdefault(shown, []).append(self._wording.label(name, "parameter"))
        return tuple((day, ", ".join(names)) for day, names in days.items())

    # -- how it came about

    def _effects(self, effects: Iterable[Effect]) -> Iterable[tuple[str, Markup]]:
        for effect in effects:
            if effect.verdict:
                work = self._wording.label(effect.work.work, "work")
                of = self._wording.label(effect.parameter, "in-text")
                day = self._display.short_day(effect.work.on)
                yield f"{work}, {day}, {of}:", self.say(effect.verdict)

    def _causes(self, listed: CauseList) -> tuple[str, tuple[CauseLine, ...]]:
        of = say("causes.of-side", side=listed.side, parameters=listed.parameters)
        lines = tuple(
            CauseLine(
                self._cause(listed, cause),
                self._display.share(cause.share),
                self._all(cause.because),
            )
            for cause in listed.causes
        )
        return self.say(of), lines

    def _cause(self, listed: CauseList, cause: Cause) -> str:
        of = cause.parameter if listed.parameters[1:] else ""
        return self.say(say("causes.named", cause=cause.cause, parameter=of))

    def _budget(self, budget: Budget) -> BudgetLine:
        parts = (
            ("fed", budget.input_mg_l_week),
            ("dosed", budget.added_mg_l_week),
            ("changed", -budget.removed_by_change_mg_l_week),
            ("measured", budget.measured_mg_l_week),
            ("taken-up", budget.taken_up_mg_l_week),
        )
        shown = [
            f"{self._wording.label(word, 'page')} "
            f"{self._display.change(amount, budget.parameter)}"
            for word, amount in parts
            if amount is not None
        ]
        name = self._wording.label(budget.parameter, "parameter")
        return BudgetLine(name, "; ".join(shown))
