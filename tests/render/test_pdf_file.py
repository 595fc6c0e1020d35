"""The PDF file itself: sound to another reader, and written as its pages come."""

import random
from datetime import date

import pytest
from hostile import HOSTILE
from pypdf import PdfReader

from fleet.render.pdf_file import About, PdfFile

ABOUT = About("Sheets", "fleet 0", date(2026, 2, 28), "en")
PAPER = (595.2756, 841.8898)


def strict(path):
    """Read with pypdf, which then takes a wrong offset for an error."""
    return PdfReader(path, strict=True)


@pytest.fixture
def path(tmp_path):
    return tmp_path / "made.pdf"


def test_pages_and_marks_are_where_another_reader_looks_for_them(path):
    made = PdfFile(path, PAPER, ABOUT)
    made.form("box", (0, 0, 10, 10), "0 0 10 10 re S")
    for number in range(1, 8):
        marks = [f"tank {number}"] if number % 2 else []
        made.page(f"{number} w 0 0 m 9 9 l S /box Do", marks)
    made.save()
    read = strict(path)
    assert len(read.pages) == 7
    assert b"3 w 0 0 m" in read.pages[2].get_contents().get_data()
    assert [item.title for item in read.outline] == [f"tank {n}" for n in (1, 3, 5, 7)]
    pages = [read.get_destination_page_number(item) for item in read.outline]
    assert pages == [0, 2, 4, 6]
    form = read.pages[0]["/Resources"]["/XObject"]["/box"]
    assert form.get_data() == b"0 0 10 10 re S"
    assert read.metadata.creation_date.date() == ABOUT.on
    assert read.trailer["/Root"]["/Lang"] == "en"


def test_a_file_without_pages_or_marks_can_be_read(path):
    PdfFile(path, PAPER, ABOUT).save()
    read = strict(path)
    assert len(read.pages) == 0
    assert read.outline == []


@pytest.mark.parametrize("text", [HOSTILE, "Becken (groß)\\", "水族", "\ud800 half"])
def test_a_title_is_text_whatever_it_holds(path, text):
    made = PdfFile(path, PAPER, ABOUT._replace(title=text))
    made.page("", [text])
    made.save()
    read = strict(path)
    assert len(read.pages) == 1
    whole = text.encode("utf-16-be", "replace").decode("utf-16-be")
    assert read.metadata.title == whole
    assert [item.title for item in read.outline] == [whole]


def test_pages_reach_the_disk_as_they_come(path):
    """So that memory does not grow with them; noise does not pack."""
    noise = random.Random(1)
    made = PdfFile(path, PAPER, ABOUT)
    written = []
    for _ in range(30):
        made.page("% " + "".join(noise.choices("0123456789abcdef", k=200_000)), [])
        written.append(path.stat().st_size)
    assert written[-1] > 2_000_000
    assert len(set(written)) > 2
    made.save()
    assert len(strict(path).pages) == 30


def test_equal_pages_give_equal_bytes_under_any_name(tmp_path):
    paths = [tmp_path / "one.pdf", tmp_path / "other.pdf"]
    for path in paths:
        made = PdfFile(path, PAPER, ABOUT)
        made.page("0 0 m 1 1 l S", ["a"])
        made.save()
    one, other = (path.read_bytes() for path in paths)
    assert one == other
