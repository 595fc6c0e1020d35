"""``report.html``: the whole report on one page, for a phone and for a desk.

Nothing is asked for from outside, and the page's own policy (CSP) forbids it. The
script only adds sorting and choosing; without it everything is there to read.
"""

from __future__ import annotations

import base64
from collections import Counter
from collections.abc import Callable, Iterator
from datetime import date
from functools import partial
from pathlib import Path
from typing import NamedTuple

from markupsafe import Markup

from fleet.records import (
    ATTENTION_ORDER,
    STAGE_ORDER,
    Attention,
    Finding,
    Picture,
    Report,
)
from fleet.reference import Reference
from fleet.render import marks
from fleet.render.html_tank import TankView, Viewer
from fleet.render.page import css_of, finalize, policy, source
from fleet.render.safe import clean, for_html
from fleet.render.stock_words import bottle_words, portion_words
from fleet.render.summary import CHARTED, Line, as_read, best_value, lines
from fleet.render.wording import Wording

MOST_PROBLEMS = 500  # shown; a broken export can have a hundred thousand


class Cell(NamedTuple):
    """A reading in the summary: as shown, and what it is sorted by."""

    name: str
    text: str
    verdict: str
    out: bool
    sort: str


class Row(NamedTuple):
    """One tank: a row of the summary, and its section."""

    number: int
    id: str
    name: str
    attention: Attention
    css: str
    rank: int  # by attention, then score: what the page opens with
    word: str
    mark: Markup
    place: str
    keeper: str
    group: str
    stage: str
    stage_rank: int
    cells: tuple[Cell, ...]
    first: Markup
    next_test: str
    next_day: str
    change: str
    before: str
    not_done: int
    view: Callable[[], TankView]  # made when its section is written


class Choice(NamedTuple):
    """One list to choose tanks by."""

    key: str
    label: str
    values: tuple[str, ...]


def write(report: Report, wording: Wording, reference: Reference, path: Path) -> None:
    """Write ``report.html``, tank by tank: ten thousand are a page of 140 MB."""
    with path.open("w", encoding="utf-8", newline="\n") as file:
        file.writelines(page(report, wording, reference))


def page(report: Report, wording: Wording, reference: Reference) -> Iterator[str]:
    """Return the page, in pieces."""
    # Whatever a template prints is cleaned on the way out, then escaped.
    environment = wording.environment.overlay(finalize=finalize)
    style, script = (source(environment, f"report.{kind}") for kind in ("css", "js"))
    rows = _rows(report, wording, reference)
    count = Counter(row.attention for row in rows)
    template = environment.get_template("report.html.j2")
    return template.generate(
        report=report,
        rows=rows,
        kept=Kept,
        counts=[
            (
                word,
                css_of(word),
                wording.label(word, "attention"),
                _mark(word),
                count[word],
            )
            for word in ATTENTION_ORDER
            if count[word]
        ],
        choices=_choices(rows, wording),
        shopping=[
            (
                wording.label(line.substance, "salt"),
                wording.display.grams(line.weighed_g),
                wording.display.grams(line.on_hand_g)
                if line.on_hand_g is not None
                else "?",
                " ".join(
                    wording.plain(bottle_words(bottle)) for bottle in line.bottles
                ),
                "; ".join(
                    f"{portion.tank} {wording.plain(portion_words(portion, bottle))}"
                    for bottle in line.bottles
                    for portion in bottle.portions
                ),
            )
            for line in report.shopping
        ],
        problems=report.problems[:MOST_PROBLEMS],
        unlisted=max(len(report.problems) - MOST_PROBLEMS, 0),
        style=style,
        script=script,
        policy=policy(style, script, pictures=report.logo is not None),
        logo=_data(report.logo) if report.logo else "",
        word=Words(wording, "page"),
        sheet=Words(wording, "sheet"),
        column=Words(wording, "terminal"),
        parameter=Words(wording, "parameter"),
        since_short=_since(report, wording, wording.display.short_day),
        since_long=_since(report, wording, wording.display.day),
    )


class Kept(dict[tuple[str | bool, ...], Markup]):
    """What a macro writes of plain words; it comes again at many tanks of a page.

    Never of markup: foreign text can be equal to markup of ours, and is escaped.
    """

    def __init__(self, macro: Callable[..., Markup]) -> None:
        super().__init__()
        self._macro = macro

    def __missing__(self, words: tuple[str | bool, ...]) -> Markup:
        if any(isinstance(word, Markup) for word in words):
            raise TypeError("only plain words are kept")
        self[words] = self._macro(*words)
        return self[words]


class Words(dict[str, Markup]):
    """The labels of one kind, each looked up and escaped once."""

    def __init__(self, wording: Wording, kind: str) -> None:
        super().__init__()
        self._wording, self._kind = wording, kind

    def __missing__(self, word: str) -> Markup:
        shown = for_html(self._wording.label(word, self._kind))
        self[word] = shown
        return shown


def _since(report: Report, wording: Wording, shown: Callable[[date], str]) -> str:
    if report.since is None:
        return ""
    return f"{wording.label('since', 'page')} {shown(report.since)}"


def _data(picture: Picture) -> str:
    """Return a picture as an address that holds it."""
    return "data:image/png;base64," + base64.b64encode(picture.png).decode("ascii")


def _mark(attention: Attention) -> Markup:
    return Markup(marks.svg(attention))


# --------------------------------------------------------------------- the tanks


def _rows(report: Report, wording: Wording, reference: Reference) -> list[Row]:
    viewer = Viewer(wording, reference)
    shown = {word: _mark(word) for word in ATTENTION_ORDER}
    return [
        _row(number, line, wording, viewer, shown)
        for number, line in enumerate(lines(report, wording), start=1)
    ]


def _row(
    number: int,
    line: Line,
    wording: Wording,
    viewer: Viewer,
    shown: dict[Attention, Markup],
) -> Row:
    tank, plan, found = line.tank, line.entry.plan, line.entry.findings
    change = line.change
    before = change.before if change else ""
    return Row(
        number=number,
        id=tank.id,
        name=tank.name,
        attention=plan.attention,
        css=css_of(plan.attention),
        rank=number,
        word=wording.label(plan.attention, "attention"),
        mark=shown[plan.attention],
        place=tank.place,
        keeper=tank.keeper,
        group=tank.group,
        stage=wording.label(found.stage.name, "stage"),
        stage_rank=STAGE_ORDER.index(found.stage.name),
        cells=tuple(_cell(name, found.of(name), wording) for name in CHARTED),
        first=viewer.say(line.first.what if line.first else plan.headline),
        next_test=_day(line.next_retest, wording),
        next_day=line.next_retest.isoformat() if line.next_retest else "",
        change=wording.label(change.word, "change") if change else "",
        before=wording.label(before, "attention") if before else "",
        not_done=len(change.not_done) if change else 0,
        view=partial(viewer.view, line.entry, change),
    )


def _day(day: date | None, wording: Wording) -> str:
    return wording.display.short_day(day) if day else ""


def _cell(name: str, finding: Finding | None, wording: Wording) -> Cell:
    latest = finding.latest if finding else None
    if finding is None or latest is None:
        untested = not (finding and finding.doubted)
        word = "not-tested" if untested else "not-believed"
        return Cell(name, "", wording.label(word, "sheet"), False, "")
    value = best_value(latest)
    return Cell(
        name,
        as_read(latest, wording.display),
        wording.label(finding.verdict, "verdict"),
        finding.verdict in ("under", "over"),
        f"{latest.low if value is None else value:.6g}",
    )


def _choices(rows: list[Row], wording: Wording) -> list[Choice]:
    """Return the lists worth choosing by: those with more than one value."""
    made = []
    for key in ("group", "keeper", "place"):
        # A select shows and compares what was cleaned for the page.
        values = {clean(getattr(row, key)) for row in rows}
        if len(values - {""}) > 1 or (values - {""} and "" in values):
            label = wording.label(key, "page")
            made.append(Choice(key, label, tuple(sorted(values - {""}, key=_fold))))
    return made


def _fold(text: str) -> tuple[str, str]:
    return text.casefold(), text
