"""The mentor's pages and the letters: nothing off the page, nothing obeyed."""

import csv
from dataclasses import replace
from datetime import date, timedelta
from functools import cache
from pathlib import Path

import pytest
from pypdf import PdfReader

from fleet import pipeline
from fleet.assess.progress import progress_of
from fleet.records import say
from fleet.records.mentoring import TankHistory
from fleet.reference import load_reference
from fleet.render import (
    letter_mail,
    letter_pdf,
    progress_intake,
    progress_pdf,
)
from fleet.render.letter import letter_of
from fleet.render.letter_chart import StepLine
from fleet.render.letter_pdf import nearest
from fleet.render.pdf_page import BOTTOM, PAPERS, WIDTH
from fleet.render.progress_text import progress_text
from fleet.render.terminal import width
from fleet.render.wording import Wording
from tests.render import placed
from tests.render.hostile import HOSTILE, STEERING

CLUB = Path(__file__).resolve().parents[2] / "example_workbooks" / "club.xlsx"
AS_OF = date(2026, 3, 29)
REFERENCE = load_reference()


@cache
def judged(hostile=False):
    book = pipeline.read([CLUB], REFERENCE)
    if hostile:
        book = replace(
            book,
            tanks=tuple(
                replace(
                    tank, id=f"{tank.id}{HOSTILE}", keeper=HOSTILE, place=HOSTILE,
                    group=HOSTILE, name=HOSTILE, notes=HOSTILE,
                )
                for tank in book.tanks
            ),
            settings=replace(book.settings, organisation=HOSTILE, contact=HOSTILE),
        )  # fmt: skip
    one = pipeline.judge(book, REFERENCE, AS_OF)
    histories = tuple(
        TankHistory(one(entry)[0], entry.readings) for entry in pipeline.inputs_of(book)
    )
    return book, histories


@cache
def made(paper="A4", hostile=False):
    book, histories = judged(hostile)
    progress = progress_of(
        histories, book.bands, book.shelf, replace(book.settings, paper=paper),
        REFERENCE, AS_OF, made_by="fleet", sources=book.sources,
    )  # fmt: skip
    return progress, Wording(REFERENCE, progress.settings)


def members(progress):
    return [member for group in progress.groups for member in group.members]


def letter(progress, wording, member):
    return letter_of(member, progress, wording, REFERENCE)


def check(path, paper):
    """Hold that every text lies in the live area and none runs into another."""
    left = (PAPERS[paper][0] - WIDTH) / 2
    for texts in placed.pages(path):
        assert texts
        assert placed.overlaps(texts) == []
        for text in texts:
            assert left - 1 <= text.x <= text.end <= left + WIDTH + 1, text
            assert BOTTOM - 8 <= text.y <= PAPERS[paper][1], text


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("page", [progress_pdf, progress_intake])
@pytest.mark.parametrize("hostile", [False, True], ids=["ordinary", "hostile"])
def test_pages_hold_their_words(tmp_path, paper, page, hostile):
    progress, wording = made(paper, hostile)
    path = tmp_path / "page.pdf"
    page.write(progress, wording, REFERENCE, path)
    check(path, paper)


# The longest letter (two doses with their cautions), a cycle to start, a silent one.
@pytest.mark.parametrize("tank", ["M10", "M15", "M09", "W1"])
@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("hostile", [False, True], ids=["ordinary", "hostile"])
def test_a_letter_is_one_page_whatever_it_says(tmp_path, tank, paper, hostile):
    progress, wording = made(paper, hostile)
    member = next(m for m in members(progress) if m.report.tank.id.startswith(tank))
    path = tmp_path / "letter.pdf"
    letter_pdf.write(
        letter(progress, wording, member), progress, wording, REFERENCE, path
    )
    assert len(PdfReader(path).pages) == 1
    check(path, paper)


def test_no_step_is_printed_without_its_cautions(tmp_path):
    progress, wording = made("Letter")
    member = next(m for m in members(progress) if m.report.tank.id == "M10")
    written = letter(progress, wording, member)
    path = tmp_path / "letter.pdf"
    letter_pdf.write(written, progress, wording, REFERENCE, path)
    text = " ".join(PdfReader(path).pages[0].extract_text().split())
    text = text.replace("\u00a0", " ")

    def printed(sentence):
        return " ".join(wording.plain(sentence).split()).replace("\u00a0", " ") in text

    steps = [step for step in written.do if printed(step.what)]
    assert steps
    for step in steps:
        for sentence in (*step.cautions, *step.with_it):
            assert printed(sentence), sentence


def test_what_cannot_fit_is_left_to_the_mentor(tmp_path):
    progress, wording = made()
    member = next(m for m in members(progress) if m.report.tank.id == "M10")
    written = letter(progress, wording, member)
    many = replace(written, do=tuple(step for step in written.do for _ in range(8)))
    path = tmp_path / "letter.pdf"
    letter_pdf.write(many, progress, wording, REFERENCE, path)
    (page,) = PdfReader(path).pages
    assert "ask your mentor for the action sheet" in " ".join(
        page.extract_text().split()
    )


def test_a_letter_that_fits_on_no_page_goes_on_over_further_ones(tmp_path):
    progress, wording = made()
    member = next(m for m in members(progress) if m.report.tank.id == "M10")
    written = letter(progress, wording, member)
    tests = [
        say("letter.test-on", parameters=("nitrate",), when=AS_OF + timedelta(days=day))
        for day in range(200)
    ]
    path = tmp_path / "letter.pdf"
    long = replace(written, test=tuple(tests))
    letter_pdf.write(long, progress, wording, REFERENCE, path)
    pages = PdfReader(path).pages
    assert len(pages) > 1
    shown = [page.extract_text().replace("\u00a0", " ") for page in pages]
    bodies = [page[: page.index("page ")] for page in shown]
    text = " ".join(" ".join(bodies).replace("Your tank M10 (continued)", "").split())
    for sentence in (*long.where, *long.test, long.ask):
        assert " ".join(wording.plain(sentence).split()) in text
    for step in long.do:
        for sentence in (step.what, *step.cautions, *step.with_it):
            said = " ".join(wording.plain(sentence).split()).replace("\u00a0", " ")
            assert said in text
    for number, page in enumerate(shown, start=1):
        assert f"page {number} of {len(pages)}" in page
        assert "Your tank M10" in page
    check(path, "A4")


def test_hostile_text_is_shown_in_mail_and_not_obeyed(tmp_path):
    progress, wording = made(hostile=True)
    written = letter(progress, wording, members(progress)[0])
    html, text = tmp_path / "a.html", tmp_path / "a.txt"
    letter_mail.write_html(written, progress, wording, html)
    letter_mail.write_text(written, progress, wording, text)
    page = html.read_text("utf-8")
    for tag in ("<script", "<img"):
        assert tag not in page
    assert "&lt;script&gt;" in page
    assert "<script>" in text.read_text("utf-8")  # plain text has no markup to obey
    for file in (html, text):
        assert not any(sign in file.read_text("utf-8") for sign in STEERING)


def test_no_cell_of_the_list_is_a_formula(tmp_path):
    progress, wording = made(hostile=True)
    files = [
        letter_mail.Files(letter(progress, wording, member), "letter-x")
        for member in members(progress)[:2]
    ]
    path = tmp_path / "letters.csv"
    letter_mail.write_list(files, progress, wording, path)
    with path.open(encoding="utf-8-sig", newline="") as stream:
        rows = list(csv.reader(stream))
    assert len(rows) == 3
    for row in rows:
        for cell in row:
            assert not cell.lstrip(' "').startswith(("=", "+", "-", "@")), cell


@pytest.mark.parametrize("columns", [40, 80, 120])
@pytest.mark.parametrize("hostile", [False, True], ids=["ordinary", "hostile"])
def test_terminal_text_fits_and_steers_nothing(columns, hostile):
    progress, wording = made(hostile=hostile)
    text = progress_text(progress, wording, REFERENCE, columns)
    assert not any(sign in text for sign in STEERING)
    assert max(width(line) for line in text.splitlines()) <= columns


def line(label, mine=None):
    return StepLine(label, 1, 2, 3, 4, mine, "")


def test_a_small_picture_keeps_what_is_still_ahead():
    lines = (line("a", 1.0), line("b", 4.0), line("c"), line("d", 2.0), line("e"))
    assert nearest(lines, 5) == lines
    assert [kept.label for kept in nearest(lines, 3)] == ["b", "c", "e"]
    assert [kept.label for kept in nearest(lines, 4)] == ["b", "c", "d", "e"]
    assert nearest(lines, 0) == ()


def test_a_reading_at_an_edge_is_not_called_a_blind_test():
    progress, wording = made()
    seen = 0
    for member in members(progress):
        said = letter(progress, wording, member)
        words = [wording.plain(sentence) for sentence in (*said.reads, *said.buy)]
        for name in ("nitrate", "phosphate"):
            finding = member.report.findings.of(name)
            if finding is None or finding.latest is None:
                continue
            blind = f"Your {name} test cannot tell nothing from enough"
            edge = f"that your {name} test cannot say on which side."
            if finding.verdict == "cannot tell" and finding.latest.registers:
                seen += 1
                assert not any(blind in text for text in words)
                assert any(edge in text for text in words)
    assert seen


def test_a_letter_says_once_what_the_solution_is():
    progress, wording = made()
    words = [
        wording.plain(sentence)
        for member in members(progress)
        for step in letter(progress, wording, member).do
        for sentence in step.with_it
    ]
    assert any(text.startswith("To make the solution: dissolve") for text in words)
    assert not any("The solution:" in text for text in words)
