"""``intake.pdf``: one page a group for the committee, in numbers without names."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from fleet.records import Sentence, say
from fleet.records.mentoring import (
    GroupProgress,
    Intake,
    MethodUse,
    PooledEffect,
    Progress,
    Usual,
)
from fleet.reference import Reference
from fleet.render.pdf_page import WIDTH, Document, Drawing
from fleet.render.progress_charts import SMALL, Scale, axis, counts, level
from fleet.render.progress_pdf import flow, page_head
from fleet.render.progress_words import report_for
from fleet.render.sheet_base import FINE, ROOMY, TIGHT, Desk
from fleet.render.wording import Wording

_HALF = WIDTH / 2 - 10
_WORD = 84.0  # room for a word before its bar
_HIGH = 62.0  # of the two pictures
_COMPARED = ("nitrite-gone", "coralline", "in-band")


def write(
    progress: Progress, wording: Wording, reference: Reference, path: Path
) -> None:
    """Write the committee's pages."""
    document = Document(
        path,
        progress.settings.paper,
        f"{wording.label('title', 'intake')} {wording.display.day(progress.as_of)}",
        progress.as_of,
        progress.made_by,
        wording.language,
    )
    report = report_for(progress)
    roomy = Desk(document, report, wording, reference, ROOMY)
    tight = Desk(document, report, wording, reference, TIGHT)
    for group in progress.groups:
        name = group.name or roomy.label("no-group", "mentor")
        title = f"{roomy.label('title', 'intake')}: {name}"
        head = page_head(roomy, title, roomy.label("for-committee", "intake"), name)
        parts = list(_parts(roomy, group, progress))
        high = head.height + sum(part.height for part in parts)
        if high > document.room:
            parts = list(_parts(tight, group, progress))
        flow(roomy, head, parts, page_head(roomy, title))
    document.save()


def _parts(desk: Desk, group: GroupProgress, progress: Progress) -> Iterator[Drawing]:
    intake, tanks = group.intake, len(group.members)
    if intake is None:
        fewest = int(desk.reference.milestone("fewest-tanks"))
        few = say("progress.too-few", tanks=tanks, fewest=fewest)
        yield from desk.paragraph(desk.said(few))
        return
    last = intake.received[-1] if intake.received else None
    sent, of = (last.count, last.of) if last else (0, 0)
    yield from desk.paragraph(
        desk.said(say("progress.counts", tanks=tanks, sent=sent, of=of))
    )
    yield _two_lists(desk, intake, tanks)
    yield from _received(desk, intake)
    yield from _in_band(desk, intake)
    yield desk.heading(desk.label("worked", "intake"))
    yield from _sentences(desk, "doses", list(_doses(desk, intake)))
    seeds = list(_seeds(progress))
    if seeds:
        yield from _sentences(desk, "seed", [*seeds, say("progress.seed-caution")])
    yield from _methods(desk, intake)


def _two_lists(desk: Desk, intake: Intake, tanks: int) -> Drawing:
    """Return the tanks by stage and by what they need, side by side."""
    drawing = desk.document.drawing()
    bottoms = []
    for x, title, kind, rows in (
        (0.0, "stages", "stage", list(intake.stages)),
        (WIDTH - _HALF, "attention", "attention", list(intake.attention)),
    ):
        y = -desk.sizes.gap - 12
        drawing.text(x, y, desk.label(title, "intake"), 11.5, bold=True)
        for word, count in rows:
            y -= 14
            drawing.text(x, y, desk.label(word, kind), 10)
            level(drawing, x + _WORD, y - 1.5, _HALF - _WORD - 26, count / tanks)
            drawing.text_right(x + _HALF, y, str(count), 11, bold=True)
        bottoms.append(y)
    drawing.height = 8 - min(bottoms)
    return drawing


def _received(desk: Desk, intake: Intake) -> Iterator[Drawing]:
    weeks = intake.received
    if not weeks:
        return
    note = desk.label("received-note", "intake")
    yield desk.heading(desk.label("received", "intake"), note)
    drawing = desk.document.drawing()
    scale = Scale(26, WIDTH, len(weeks))
    counts(drawing, weeks, scale, -_HIGH, -4)
    step = max(len(weeks) // 6, 1)
    for week in weeks[::step]:
        x = scale.at(week.week - 1)
        if week.starts is not None and x < WIDTH - 45:
            drawing.text(x, -_HIGH - 11, desk.display.short_day(week.starts), SMALL)
    drawing.height = _HIGH + 15
    yield drawing
    asked = sum(week.of for week in weeks)
    if asked:
        share = sum(week.count for week in weeks) / asked
        yield from desk.paragraph(desk.said(say("progress.received", share=share)))


def _in_band(desk: Desk, intake: Intake) -> Iterator[Drawing]:
    note = desk.label("in-band-note", "intake")
    yield desk.heading(desk.label("in-band", "intake"), note)
    weeks = intake.in_band
    if not weeks:
        yield from desk.paragraph(desk.said(say("progress.in-band-too-few")))
        return
    drawing = desk.document.drawing()
    scale = Scale(26, WIDTH, max(weeks[-1].week, 4))
    counts(drawing, weeks, scale, -_HIGH, -4)
    axis(drawing, scale, -_HIGH)
    drawing.height = _HIGH + 15
    yield drawing
    last = weeks[-1]
    said = say("progress.in-band", count=last.count, of=last.of, week=last.week)
    yield from desk.paragraph(desk.said(said))


def _sentences(desk: Desk, label: str, sentences: list[Sentence]) -> Iterator[Drawing]:
    words = desk.raw(f"{desk.label(label, 'intake')}:", bold=True)
    for sentence in sentences:
        words += desk.said(sentence)
    yield from desk.paragraph(words)


def _doses(desk: Desk, intake: Intake) -> Iterator[Sentence]:
    """Yield what doses did, or why nothing is said of them."""
    for effect in intake.effects:
        yield _dose(effect)
    if intake.effects:
        return
    if not intake.doses:
        yield say("progress.no-doses")
        return
    fewest = int(desk.reference.milestone("fewest-tanks"))
    yield say("progress.doses-too-few", doses=intake.doses, fewest=fewest)


def _dose(effect: PooledEffect) -> Sentence:
    return say(
        "progress.dose",
        parameter=effect.parameter,
        tanks=effect.tanks,
        times=effect.times,
        shown=effect.shown,
        part=effect.part,
        nothing=effect.nothing,
        unclear=effect.unclear,
        kept=effect.kept,
        low=effect.low,
        high=effect.high,
    )


def _seeds(progress: Progress) -> Iterator[Sentence]:
    """Yield how seeded tanks fared beside the others, over all tanks read."""
    kinds: dict[tuple[str, bool], Usual] = {
        (usual.milestone, usual.seeded): usual
        for usual in progress.usual
        if not usual.rock and usual.seeded is not None
    }
    for key in _COMPARED:
        seeded, others = kinds.get((key, True)), kinds.get((key, False))
        if seeded and others and seeded.half is not None:
            yield say(
                "progress.seed",
                milestone=key,
                seeded=seeded.half,
                unseeded=others.half,
                seeded_tanks=seeded.tanks,
                unseeded_tanks=others.tanks,
            )


def _methods(desk: Desk, intake: Intake) -> Iterator[Drawing]:
    yield desk.heading(desk.label("methods", "intake"))
    heads = desk.document.drawing(joined=True)
    for label, x in zip(("method", "measures", "tanks", "can-tell"), _AT, strict=True):
        heads.text(x, -FINE - 1, desk.label(label, "intake"), FINE)
    heads.height = FINE + 4
    yield heads
    for use in intake.methods:
        yield _method(desk, use)
    gap = desk.document.drawing()
    gap.height = 4.0
    yield gap
    for parameter in dict.fromkeys(use.parameter for use in intake.methods):
        uses = [use for use in intake.methods if use.parameter == parameter]
        said = say(
            "progress.cannot-tell",
            parameter=parameter,
            tanks=sum(use.tanks for use in uses if not use.can_tell),
            of=sum(use.tanks for use in uses),
        )
        yield from desk.paragraph(desk.said(said))


_AT = (0.0, 262.0, 350.0, 410.0)


def _method(desk: Desk, use: MethodUse) -> Drawing:
    drawing = desk.document.drawing()
    said = say("progress.method-named", name=use.method, class_key=use.class_key)
    words = desk.document.type.cut(desk.said(said), _AT[1] - 8, 10)
    drawing.line(_AT[0], -10, words, 10)
    drawing.text(_AT[1], -10, desk.label(use.parameter, "in-text"), 10)
    drawing.text(_AT[2], -10, str(use.tanks), 10, bold=True)
    word = desk.label("yes" if use.can_tell else "no", "intake")
    drawing.text(_AT[3], -10, word, 10, bold=not use.can_tell)
    drawing.height = 13
    return drawing
