"""A logo is a picture beside the workbook, and nothing else whatever is asked."""

import base64
import re
from io import BytesIO

import pytest
from click.testing import CliRunner
from openpyxl import Workbook
from PIL import Image
from pypdf import PdfReader

from fleet.cli import main
from fleet.render import html, pdf_round, pdf_sheets, pdf_slips
from fleet.render.letterhead import printed_size
from fleet.render.logo import MOST_BYTES, MOST_PIXELS, load_logo
from tests.render import builders as b
from tests.render import placed


def picture(path, kind="PNG", size=(300, 100), colour=(20, 90, 160)):
    Image.new("RGB", size, colour).save(path, kind)
    return path


@pytest.fixture
def shop(tmp_path):
    folder = tmp_path / "shop"
    folder.mkdir()
    picture(folder / "logo.png")
    picture(tmp_path / "outside.png")
    return folder


@pytest.mark.parametrize("kind", ["PNG", "JPEG"])
def test_a_picture_beside_the_workbook_is_taken(shop, kind):
    picture(shop / "sign", kind)
    logo, note = load_logo("sign", [shop])
    assert note == ""
    assert (logo.wide, logo.high) == (300, 100)
    assert logo.png.startswith(b"\x89PNG\r\n\x1a\n")


def test_a_picture_in_a_folder_below_is_taken(shop):
    (shop / "signs").mkdir()
    picture(shop / "signs" / "small.png")
    for written in ("signs/small.png", "signs\\small.png", " signs/small.png "):
        assert load_logo(written, [shop])[0] is not None


@pytest.mark.parametrize(
    "written",
    [
        "../outside.png", "signs/../../outside.png", "..\\outside.png", "/etc/passwd",
        "C:\\logo.png", "\\\\server\\share\\logo.png", "http://example.org/logo.png",
        "file:///etc/passwd", "data:image/png;base64,AAAA", "logo.png\0", "x" * 5000,
        "no-such.png", ".", "~/logo.png",
    ],
)  # fmt: skip
def test_nothing_outside_the_folder_is_ever_read(shop, written):
    logo, note = load_logo(written, [shop])
    assert logo is None
    assert note.startswith("Logo '")
    assert "beside the workbook" in note
    assert "\n" not in note


def test_a_link_that_leads_outside_is_not_followed(shop):
    (shop / "link.png").symlink_to(shop.parent / "outside.png")
    logo, note = load_logo("link.png", [shop])
    assert logo is None
    assert "beside the workbook" in note


def broken(path):
    data = picture(path).read_bytes()
    path.write_bytes(data[: len(data) // 2])


def heavy(path):
    path.write_bytes(b"\x89PNG\r\n\x1a\n" + bytes(MOST_BYTES))


@pytest.mark.parametrize(
    ("make", "why"),
    [
        (broken, "no PNG or JPEG"),
        (lambda path: path.write_text("<svg onload='alert(1)'/>"), "no PNG or JPEG"),
        (lambda path: picture(path, "GIF"), "no PNG or JPEG"),
        (lambda path: path.write_bytes(b""), "no PNG or JPEG"),
        (heavy, "larger than 2 MB"),
        (lambda path: picture(path, size=(MOST_PIXELS + 1, 1)), "pixels a side"),
    ],
    ids=["cut off", "a page", "another kind", "empty", "heavy", "huge"],
)
def test_what_cannot_be_used_is_a_note(shop, make, why):
    make(shop / "bad.png")
    logo, note = load_logo("bad.png", [shop])
    assert logo is None
    assert why in note


def test_no_byte_of_the_file_reaches_the_report(shop):
    with (shop / "logo.png").open("ab") as file:
        file.write(b"<script>alert(1)</script>")
    logo, _ = load_logo("logo.png", [shop])
    assert b"script" not in logo.png


def test_what_shows_through_is_paper(shop):
    Image.new("RGBA", (40, 20), (0, 0, 0, 0)).save(shop / "clear.png")
    logo, _ = load_logo("clear.png", [shop])
    with Image.open(BytesIO(logo.png)) as image:
        assert image.mode == "L"
        assert image.getextrema() == (255, 255)


def lettered(shop, **settings):
    logo, _ = load_logo("logo.png", [shop])
    report = b.ordinary(contact="Ask <b>Imke</b>, 555 0100", **settings)
    return b.replace(report, logo=logo)


@pytest.mark.parametrize("module", [pdf_sheets, pdf_round, pdf_slips])
@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_each_page_says_whose_it_is_in_the_upper_margin(shop, module, paper):
    path = shop / "made.pdf"
    module.write(lettered(shop, paper=paper), b.wording(paper=paper), b.REFERENCE, path)
    reader = PdfReader(path)
    for page, texts in zip(reader.pages, placed.pages(path), strict=True):
        said = page.extract_text()
        assert "North Hall (invented)" in said
        assert "Ask <b>Imke</b>, 555 0100" in said
        assert placed.overlaps(texts) == []
        high = float(page.mediabox.height)
        names = [text for text in texts if text.text == "North Hall (invented)"]
        assert [high - 57 < text.y < high - 15 for text in names] == [True]
    images = {key: item.get_object() for key, item in
              reader.pages[0]["/Resources"]["/XObject"].items()}  # fmt: skip
    assert images["/logo"]["/Subtype"] == "/Image"
    pixels = images["/logo"].get_data()
    assert pixels[:3] == bytes((20, 90, 160))
    assert len(pixels) == 300 * 100 * 3


def test_a_logo_keeps_its_shape_and_fits_the_margin(shop):
    for size in ((300, 100), (50, 4000), (4000, 50), (1, 1)):
        picture(shop / "shape.png", size=size)
        logo, _ = load_logo("shape.png", [shop])
        wide, high = printed_size(logo)
        assert high <= 25.6  # 9 mm
        assert wide <= 127.6  # 45 mm
        assert wide / high == pytest.approx(logo.wide / logo.high)


def test_the_page_holds_the_logo_and_asks_for_nothing(shop):
    said = "".join(html.page(lettered(shop), b.wording(), b.REFERENCE))
    (held,) = re.findall(r'<img [^>]*src="data:image/png;base64,([^"]+)"', said)
    assert base64.b64decode(held).startswith(b"\x89PNG")
    assert "img-src data:;" in said
    assert "Ask &lt;b&gt;Imke&lt;/b&gt;, 555 0100" in said
    plain = "".join(html.page(b.ordinary(), b.wording(), b.REFERENCE))
    assert plain.startswith("<!DOCTYPE html>")
    assert "img-src" not in plain


def workbook(path, logo):
    book = Workbook()
    book.remove(book.active)
    for title, rows in (
        ("Tanks", [("Tank", "Volume (L)", "Filled on"), ("A", 100, "2025-01-01")]),
        ("Readings", [("Date", "Tank", "Nitrate (mg/L)"), ("2026-03-01", "A", 5)]),
        ("Settings", [("Setting", "Value"), ("Logo", logo)]),
    ):
        sheet = book.create_sheet(title)
        for row in rows:
            sheet.append(row)
    book.save(path)
    return path


def run(*words):
    return CliRunner().invoke(main, [str(word) for word in words])


def test_a_logo_that_cannot_be_used_is_a_note_and_no_failure(shop):
    book = workbook(shop / "book.xlsx", "../outside.png")
    done = run("report", book, "--as-of", "2026-03-02", "--out", shop / "out",
               "--format", "html")  # fmt: skip
    assert done.exit_code == 0
    assert (
        "Logo '../outside.png' is left out: name a picture file that lies beside the "
        "workbook.\n"
    ) in done.stderr
    assert "<img" not in (shop / "out" / "report.html").read_text("utf-8")


def test_another_logo_makes_another_report(shop):
    book, out = workbook(shop / "book.xlsx", "logo.png"), shop / "out"
    asked = ("report", book, "--as-of", "2026-03-02", "--out", out, "--format", "html")
    pages = []
    for colour in ((1, 2, 3), (200, 0, 0)):
        picture(shop / "logo.png", colour=colour)
        assert run(*asked).exit_code == 0
        pages.append((out / "report.html").read_text("utf-8"))
    assert all("<img" in page for page in pages)
    assert pages[0] != pages[1]
