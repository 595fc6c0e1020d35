"""What was read at one tank, for its section of ``report.html``."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from markupsafe import Markup

from fleet.records import Finding, Measurement, TankReport
from fleet.reference import Reference
from fleet.render.chart_facts import chart_of
from fleet.render.chart_svg import svg
from fleet.render.safe import clean, said
from fleet.render.summary import CHARTED, as_written, can_mean, moved, usual
from fleet.render.wording import Wording


class Tested(NamedTuple):
    """What was tested, when and how."""

    name: str
    unit: str
    taken: str


class Read(NamedTuple):
    """What a test read, and what that comes to."""

    written: str
    means: str
    usual: str
    out: bool
    verdict: str
    moved: str


class Result(NamedTuple):
    """One row of the readings."""

    tested: Tested
    read: Read


def results(entry: TankReport, wording: Wording) -> Iterable[Result]:
    """Yield what was read, believed or not; the nutrients also where untested."""
    for name in CHARTED:
        if entry.findings.of(name) is None:
            untested = Finding(name, "not judged", None, None, None, 0, 0, 0)
            yield _result(untested, None, wording)
    for finding in entry.findings.findings:
        read = (finding.latest, *finding.doubted)
        for measured in read:
            if measured is not None:
                yield _result(finding, measured, wording)
        if finding.parameter in CHARTED and not any(read):
            yield _result(finding, None, wording)


def _result(finding: Finding, measured: Measurement | None, wording: Wording) -> Result:
    display, name, band = wording.display, finding.parameter, finding.band
    believed = measured is not None and measured.doubt is None
    verdict = wording.label(finding.verdict, "verdict")
    if measured is None:
        verdict = wording.label("not-tested", "sheet")
    elif measured.doubt is not None:
        verdict = wording.label("not-believed", "sheet")
    tested = Tested(
        wording.label(name, "parameter"),
        display.unit(name),
        _taken(measured, wording) if measured else "",
    )
    read = Read(
        as_written(measured, wording) if measured else "",
        can_mean(measured, display) if measured and believed else "",
        usual(band, wording) if band and believed else "",
        believed and finding.verdict in ("under", "over"),
        verdict,
        moved(finding, wording) if believed else "",
    )
    return Result(tested, read)


def _taken(measured: Measurement, wording: Wording) -> str:
    method, day = measured.method, wording.display.short_day(measured.taken_on)
    if method.assumed and method.class_key:
        known = wording.label(method.class_key, "method")
        return f"{day}, {wording.label('taken-as', 'page')} {known}"
    return f"{day}, {wording.label(method.name, 'method')}"


def notes(entry: TankReport, wording: Wording) -> Iterable[tuple[str, Markup]]:
    """Yield why a value is not believed or judged, and how one was worked out."""
    for finding in entry.findings.findings:
        name = wording.label(finding.parameter, "parameter")
        for measured in finding.doubted:
            if measured.doubt:
                yield (
                    f"{name}, {measured.written}:",
                    said(wording.markup(measured.doubt.why)),
                )
        if finding.why and finding.verdict not in ("under", "over"):
            yield f"{name}:", said(wording.markup(finding.why))
        if finding.latest and finding.latest.note:
            yield f"{name}:", said(wording.markup(finding.latest.note))


def pictures(
    entry: TankReport, wording: Wording, reference: Reference
) -> Iterable[Markup]:
    """Yield the charts of the two nutrients, as far as there are readings."""
    for name in CHARTED:
        chart = chart_of(entry.findings, name, wording, reference)
        if chart is not None:
            yield picture(svg(chart))


def picture(drawn: str) -> Markup:
    """Return a chart, whose texts are escaped, without what steers."""
    return Markup(clean(drawn, limit=len(drawn)))
