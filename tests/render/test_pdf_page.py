"""Parts that stand on many pages: stored once, shown wherever they belong."""

from datetime import date

import pytest
from pypdf import PdfReader

from fleet.render import pdf_page
from fleet.render.pdf_page import Document
from tests.render import placed


@pytest.fixture
def document(tmp_path):
    return Document(tmp_path / "x.pdf", "A4", "x", date(2026, 3, 2), "fleet", "en")


def part(document, text):
    drawing = document.drawing(joined=True)
    drawing.text(0, -12, text, 10)
    drawing.height = 20
    return drawing


def pages(document, tmp_path, texts, places=(700.0,)):
    """Place a part for each text on a page of its own, and read the file back."""
    for text in texts:
        for y in places:
            shown = document.standing(text, lambda text=text: part(document, text))
            assert (shown.height, shown.joined) == (20, True)
            document.place(shown, y)
        document.end_page((), ())
    document.save()
    return PdfReader(tmp_path / "x.pdf"), placed.pages(tmp_path / "x.pdf")


def stored(reader):
    return [name for name in reader.pages[0]["/Resources"]["/XObject"]]


def test_it_is_stored_once_and_stands_on_each_page(document, tmp_path):
    reader, found = pages(document, tmp_path, ["again"] * 3 + ["other"], (700.0, 500.0))
    assert len(stored(reader)) == 2
    assert [[text.text for text in page] for page in found] == [
        ["again", "again"], ["again", "again"], ["again", "again"], ["other", "other"],
    ]  # fmt: skip
    assert [round(text.y) for text in found[2]] == [688, 488]


def test_what_is_changed_on_one_page_is_changed_there_only(document):
    first = document.standing("a", lambda: part(document, "a"))
    first.mark, first.height = "here", 5
    first.rule(0, 0, 9, 0, 1)
    again = document.standing("a", lambda: part(document, "a"))
    assert (again.mark, again.height, len(again.ops)) == ("", 20, 1)


def test_more_of_them_than_are_kept_stand_on_their_pages(
    document, tmp_path, monkeypatch
):
    monkeypatch.setattr(pdf_page, "_MOST_STANDING", 2)
    texts = ["a", "b", "c", "d", "a"]
    reader, found = pages(document, tmp_path, texts)
    assert len(stored(reader)) == 2
    assert [text.text for (text,) in found] == texts


def test_a_mark_for_what_cannot_be_drawn_is_noticed_on_each_page(document):
    for _ in range(2):
        document.type.fell_back = False
        document.standing("a", lambda: part(document, "\u0915"))
        assert document.type.fell_back
    document.standing("b", lambda: part(document, "plain"))
    assert document.type.fell_back  # of this page still
