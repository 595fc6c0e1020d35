"""A member's letter for mail-merge: HTML and plain-text bodies, and their list."""

from __future__ import annotations

import csv
import io
import textwrap
from collections.abc import Iterable, Sequence
from datetime import timedelta
from pathlib import Path
from typing import Any, NamedTuple

from markupsafe import Markup

from fleet.records import Sentence, say
from fleet.records.mentoring import Progress
from fleet.render.letter import Letter
from fleet.render.progress_words import step_words, usual_of
from fleet.render.safe import clean, for_csv
from fleet.render.safe import said as safe_markup
from fleet.render.summary import next_test
from fleet.render.wording import Wording, plain

_COLUMNS = 72


class Row(NamedTuple):
    """One step: this tank, and by when others were there."""

    label: str
    mine: str
    most: str  # as a cell
    now: str
    by_when: str  # the same as a sentence's part


class Files(NamedTuple):
    """The names of one member's files."""

    letter: Letter
    stem: str


def write_html(
    letter: Letter, progress: Progress, wording: Wording, path: Path
) -> None:
    """Write the HTML body."""
    environment = wording.environment.overlay(finalize=_finalize)
    template = environment.get_template("letter.html.j2")

    def shown(sentence: Sentence) -> Markup:
        return safe_markup(wording.markup(sentence))

    text = template.render(**_facts(letter, progress, wording, shown))
    path.write_text(text, "utf-8", newline="\n")


def write_text(
    letter: Letter, progress: Progress, wording: Wording, path: Path
) -> None:
    """Write the plain-text body."""
    template = wording.environment.get_template("letter.txt.j2")

    def shown(sentence: Sentence) -> str:
        return clean(wording.plain(sentence).replace("\n", " "))

    text = template.render(**_facts(letter, progress, wording, shown))
    path.write_text(_wrapped(plain(str(text))), "utf-8", newline="\n")


def _finalize(value: Any) -> Any:
    return clean(value) if type(value) is str else value


def _wrapped(text: str) -> str:
    """Return text with long lines broken, each part indented as its first."""
    lines: list[str] = []
    for line in text.strip().splitlines():
        start = len(line) - len(line.lstrip(" -·"))
        lines += textwrap.wrap(
            line, _COLUMNS, subsequent_indent=" " * start, break_on_hyphens=False
        ) or [""]
    return "\n".join(lines) + "\n"


def _facts(
    letter: Letter, progress: Progress, wording: Wording, shown: Any
) -> dict[str, Any]:
    """Return what both templates show."""
    member = letter.member
    tank = member.report.tank
    empty = "test-first" if member.silent_days is not None else "nothing-to-do"
    return {
        "title": shown(say("letter.title", tank=tank.id)),
        "greeting": shown(say("letter.greeting", keeper=tank.keeper)),
        "week": member.course.week,
        "letter": letter,
        "nothing": shown(say(f"letter.{empty}")),
        "others": tuple(
            say("letter.brackets") if s.key == "letter.bars" else s
            for s in letter.others
        ),
        "rows": _rows(letter, wording),
        "said": shown,
        "word": lambda word: wording.label(word, "letter"),
    }


def _rows(letter: Letter, wording: Wording) -> Sequence[Row]:
    """Return the steps as a table, in place of the picture on paper."""
    member = letter.member
    if member.course.week is None:
        return ()
    rows = []
    for seen in member.course.milestones:
        usual = usual_of(member, seen.key)
        if usual is None and seen.on is None:
            continue
        others = ["", "", ""]
        if usual is not None:
            at = usual.weeks[min(member.course.week, len(usual.weeks)) - 1]
            others = [
                wording.plain(say("progress.week-range", range=usual.most)),
                wording.plain(
                    say("letter.share-there", share=at.share, low=at.low, high=at.high)
                ),
                wording.plain(say("letter.most", range=usual.most)),
            ]
        rows.append(
            Row(
                wording.label(seen.key, "milestone"), step_words(seen, wording),
                *others,
            )
        )  # fmt: skip
    return rows


def write_list(
    files: Iterable[Files], progress: Progress, wording: Wording, path: Path
) -> None:
    """Write ``letters.csv``: whom to send which file.

    In UTF-8 with a byte order mark, so that office programs see the letters right.
    """
    head = ["tank", "group", "week", "stage", "next_test_on", "subject"]
    head += ["pdf", "html", "text"]
    if progress.names:
        head.insert(1, "keeper")
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\r\n")
    writer.writerow(head)
    for letter, stem in files:
        member = letter.member
        tank = member.report.tank
        on_the_round = progress.as_of + timedelta(days=progress.settings.round_days)
        following = member.eased_until or next_test(member.report, on_the_round)
        subject = f"{wording.label('subject', 'letter')}: {tank.id}"
        week = "" if member.course.week is None else str(member.course.week)
        day = following.isoformat() if following else ""
        row = [for_csv(tank.id), for_csv(tank.group), week]
        row += [member.report.findings.stage.name, day, for_csv(subject)]
        row += [for_csv(f"{stem}.{end}") for end in ("pdf", "html", "txt")]
        if progress.names:
            row.insert(1, for_csv(tank.keeper))
        writer.writerow(row)
    path.write_bytes(stream.getvalue().encode("utf-8-sig"))
