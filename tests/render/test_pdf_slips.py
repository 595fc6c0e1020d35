import pytest
from pypdf import PdfReader

from fleet.render.expected import likely
from fleet.render.pdf_page import BOTTOM, WIDTH
from fleet.render.pdf_slips import due, write
from tests.render import builders as b
from tests.render import placed


def made(tmp_path, report, name="slips.pdf", **settings):
    path = tmp_path / name
    write(report, b.wording(**settings), b.REFERENCE, path)
    return path


def text_of(path):
    words = " ".join(page.extract_text() for page in PdfReader(path).pages)
    return " ".join(words.replace("\u00a0", " ").split())


def test_slips_come_in_walking_order(tmp_path):
    said = text_of(made(tmp_path, b.ordinary()))
    order = ["Q-1", "A-07", "B-03", "D-12", "F-02", "S-01", "N-5"]
    starts = [said.index(f"{name} ") for name in order]
    assert starts == sorted(starts)


def test_the_nutrients_and_what_is_being_tested_are_due():
    always = ["nitrate", "phosphate"]
    water = ["salinity", "temperature", "ph", "alkalinity"]
    assert due(b.steady(), b.REFERENCE) == always + water
    # While a tank cycles, ammonia and nitrite too.
    assert due(b.ammonia(), b.REFERENCE) == [*always, "ammonia", "nitrite", *water]
    # An old tank that once tested them is not asked again, unless by its plan.
    assert "ammonia" not in due(b.ugly(), b.REFERENCE)
    assert due(b.untested(), b.REFERENCE) == [*always, "ammonia"]


def test_a_box_for_each_reading_that_is_due(tmp_path):
    path = made(tmp_path, b.ordinary())
    operators = "".join(map(placed.content, PdfReader(path).pages))
    wanted = sum(len(due(tank, b.REFERENCE)) for tank in b.ordinary().tanks)
    assert operators.count(" 70.9 25.5 re S") == wanted


def test_last_value_what_is_likely_how_and_by_when_stand_beside_the_box(tmp_path):
    tank = b.ugly()
    said = text_of(made(tmp_path, b.report_of(tank)))
    finding = tank.findings.of("nitrate")
    ends = likely(finding, tank.plan.actions, b.day(4))
    shown = b.wording().display.span(ends, "nitrate").replace(" mg/L", "")
    assert f"Nitrate last 0 Wed 4 Mar likely {shown} a colour card" in said
    # Due at the next round only: no day is named.
    assert "pH last 8.1 likely 7.96 to 8.24 a pH meter" in said


def test_a_test_that_can_tell_is_asked_for(tmp_path):
    said = text_of(made(tmp_path, b.report_of(b.cannot_tell())))
    assert "Phosphate last 0 Mon 2 Mar likely 0 to 0.08 a low-range" in said


def test_every_look_word_has_a_box(tmp_path):
    said = text_of(made(tmp_path, b.report_of(b.steady())))
    for word in b.REFERENCE.vocabulary["look"]:
        assert word in said


@pytest.mark.parametrize("more", [1, 2, 9, 30])
def test_further_look_words_take_further_rows(tmp_path, more):
    looks = {f"a look of its own {number}": () for number in range(more)}
    known = b.REFERENCE.vocabulary
    words = {**known, "look": {**known["look"], **looks}}
    path = tmp_path / "slips.pdf"
    write(b.ordinary(), b.wording(), b.replace(b.REFERENCE, vocabulary=words), path)
    said = text_of(path)
    for word in looks:
        assert f"{word} " in f"{said} "
    for texts in placed.pages(path):
        assert placed.overlaps(texts) == []
        assert all(text.end <= (595.28 + WIDTH) / 2 + 1 for text in texts)


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("kind", ["ordinary", "hard"])
def test_nothing_runs_into_another_or_off_the_page(tmp_path, kind, paper):
    width = {"A4": 595.28, "Letter": 612.0}[paper]
    left = (width - WIDTH) / 2
    path = made(tmp_path, getattr(b, kind)(paper=paper), paper=paper)
    pages = placed.pages(path)
    assert len(pages) == {"ordinary": 3, "hard": 1}[kind]  # three slips a page
    for texts in pages:
        assert placed.overlaps(texts) == []
        for text in texts:
            assert left - 1 <= text.x
            assert text.end <= left + WIDTH + 1
            assert text.y >= BOTTOM


def test_equal_reports_give_equal_bytes(tmp_path):
    first = made(tmp_path, b.ordinary(), "one.pdf").read_bytes()
    assert made(tmp_path, b.ordinary(), "two.pdf").read_bytes() == first


def test_no_tanks_is_still_a_page(tmp_path):
    assert len(PdfReader(made(tmp_path, b.report_of())).pages) == 1


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_room_left_on_a_page_is_given_to_notes(tmp_path, paper):
    report = b.report_of(*(b.ugly() for _ in range(7)), paper=paper)
    path = made(tmp_path, report, paper=paper)
    for page, texts in zip(PdfReader(path).pages, placed.pages(path), strict=True):
        slips = page.extract_text().count("Notes")
        # Below the first of each slip; one more rule stands over the foot.
        lines = placed.content(page).count("0.4 w ") - 1
        assert lines % slips == 0
        each = lines // slips
        # Under the last text: what is cut 12 points below the last of its lines.
        lowest = min(text.y for text in texts if text.y > BOTTOM + 20)
        left = lowest - 20 * each - 14 - BOTTOM
        assert left >= 0
        assert each == 3 or left < 20 * slips + 14  # no room for a line more on each


def test_next_to_nothing_is_shown_as_none(tmp_path):
    of = b.steady()
    near = b.read("phosphate", "phosphate-photometer", 0.03, 0)
    # 0.00877 less (sqrt 2 - 1) x half of 0.0422 is 0.00002.
    near = near._replace(low=0.00877, high=0.051)
    finding = b.found("within", near, low=0.02, high=0.1)
    findings = tuple(
        finding if f.parameter == "phosphate" else f for f in of.findings.findings
    )
    tank = b.replace(of, findings=b.replace(of.findings, findings=findings))
    assert 0 < likely(finding, (), b.AS_OF)[0] < 0.0001
    said = text_of(made(tmp_path, b.report_of(tank)))
    assert "Phosphate last 0.03 likely 0 to " in said
