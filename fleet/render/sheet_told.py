"""What the reasons of a sheet say, put into words once for all sizes of letters."""

from __future__ import annotations

from functools import cached_property
from typing import NamedTuple

from fleet.records import Cause, CauseList, Sentence, TankReport, say
from fleet.render.pdf_text import Line
from fleet.render.sheet_base import Desk
from fleet.render.sheet_readings import TableRow, assumed, notes, rows_of, table_rows

_MOST_CAUSES, _FEW_CAUSES, _MOST_BECAUSE = 4, 3, 2  # few: of each of two lists


class CauseWords(NamedTuple):
    """One likely cause: its share, its name, and what speaks most for it."""

    share: float
    name: str
    because: Line


class Causes(NamedTuple):
    """The likely causes of one thing, and what that is."""

    heading: str
    rows: list[CauseWords]


class Told:
    """The words of one tank's reasons, which every desk of a document can set."""

    def __init__(self, desk: Desk, tank: TankReport) -> None:
        self._desk = desk
        self._notes: dict[bool, list[Line]] = {}
        self.tank = tank
        self.found = rows_of(tank)

    @cached_property
    def rows(self) -> list[TableRow]:
        """The rows of the table of readings."""
        return table_rows(self.found)

    @cached_property
    def meaning(self) -> Line:
        """What it means, but for the causes that are listed below."""
        listed = bool(self.tank.findings.causes)
        return self._desk.said_together(
            sentence
            for sentence in self.tank.plan.meaning
            if not (listed and sentence.key == "meaning.reasons")
        )

    @cached_property
    def causes(self) -> list[Causes]:
        """The likely causes."""
        lists = self.tank.findings.cause_lists
        most = _MOST_CAUSES if len(lists) == 1 else _FEW_CAUSES
        return [_causes(self._desk, listed, most) for listed in lists]

    def notes(self, desk: Desk) -> list[Line]:
        """Return the notes to the table; a terse sheet has fewer."""
        terse = desk.sizes.terse
        if terse not in self._notes:
            self._notes[terse] = list(notes(desk, self.tank, self.found))
        return [*self._notes[terse], *assumed(desk, self.found)]

    def more(self, desk: Desk) -> list[Line]:
        """Return whether the last work showed, why this stage, what is not known."""
        left_out = ("why-stage",) if desk.sizes.terse else ()
        return [words for label, words in self._more if label not in left_out]

    @cached_property
    def _more(self) -> list[tuple[str, Line]]:
        desk, found, stage = self._desk, self.tank.findings, self.tank.findings.stage
        # Where age, tests and look agree, a stage needs no reasons on paper.
        sure = stage.sure >= desk.reference.stage("sure-three")
        said = (
            ("last-work", _telling(found.last_work)),
            ("why-stage", () if sure else stage.because[:_MOST_BECAUSE]),
            ("unknown", (*found.missing, *stage.missing)),
        )
        return [
            (label, desk.raw(desk.label(label), True) + desk.said_together(sentences))
            for label, sentences in said
            if sentences
        ]


def _telling(last_work: tuple[Sentence, ...]) -> tuple[Sentence, ...]:
    """Return what the tests show of the last work; a usual change seldom shows."""
    return tuple(
        said
        for said in last_work
        if said.key != "effects.nothing-to-tell"
        or dict(said.facts).get("work") != "water change"
    )


def _causes(desk: Desk, listed: CauseList, most: int) -> Causes:
    plain = desk.wording.plain
    of = plain(say("causes.of-side", side=listed.side, parameters=listed.parameters))
    shown = listed.causes[:most]
    rows = [
        CauseWords(
            cause.share,
            _named(desk, listed, cause),
            desk.said_together(cause.because[:1]),
        )
        for cause in shown
    ]
    if shown != listed.causes:
        rest = max(1 - sum(cause.share for cause in shown), 0.0)
        rows.append(CauseWords(rest, plain(say("causes.others")), ()))
    return Causes(f"{desk.label('causes')} ({of})", rows)


def _named(desk: Desk, listed: CauseList, cause: Cause) -> str:
    """Return the words of a cause, and of which nutrient where the list is of two."""
    of = cause.parameter if listed.parameters[1:] else ""
    return desk.wording.plain(say("causes.named", cause=cause.cause, parameter=of))
