import math
import re
from datetime import timedelta
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleet.records import CellAddress, Work
from fleet.render import chart_facts, marks
from fleet.render.chart_facts import Chart, Mark, Spot, chart_of
from fleet.render.chart_svg import svg
from fleet.render.charts import shapes
from fleet.render.wording import shipped_templates
from fleet.substances import SaltNames
from tests.render import builders as b

WIDE, HIGH = 240.0, 90.0
FLOOR, ROOF = 10.5, HIGH - 20.0


def chart(tank=b.ugly, parameter="nitrate", **facts):
    findings = tank().findings
    for name, value in facts.items():
        findings = b.replace(findings, **{name: value})
    return chart_of(findings, parameter, b.wording(), b.REFERENCE)


def drawn(style, of):
    return [shape for shape in shapes(of, WIDE, HIGH) if shape.style == style]


def strokes(style, of):
    """Return the ends of each stroke of a style."""
    found = [shape.points for shape in drawn(style, of)]
    return [
        ends for points in found for ends in zip(points[::2], points[1::2], strict=True)
    ]


def plain(*spots, band=None, top=10.0):
    return Chart("Nitrate, mg/L", b.day(-28), b.AS_OF, "", "", top, (), band, spots,
                 (), "")  # fmt: skip


def test_what_a_test_cannot_see_is_a_bar_from_zero_to_what_it_may_hide():
    spot = Spot(b.day(-7), 0.0, 2.0, None, False)
    (bar,) = drawn("bar", plain(spot, top=10.0))
    (_, low), (_, high) = bar.points
    assert low == FLOOR
    # Worked by hand: 2 of 10 is a fifth of the way up.
    assert high == pytest.approx(FLOOR + (ROOF - FLOOR) / 5)


def test_every_zero_of_the_tank_is_a_bar_that_reaches_zero():
    nitrate = b.ugly().findings.of("nitrate")
    unseen = sum(measured.registers is False for measured in nitrate.history)
    bars = drawn("bar", chart())
    assert len(bars) == unseen == 3
    assert {bar.points[0][1] for bar in bars} == {FLOOR}
    assert len(strokes("dot", chart())) == len(nitrate.history) - unseen


def test_an_upper_limit_is_no_dot_but_a_bar():
    nitrate = b.ugly().findings.of("nitrate")
    last = b.replace_measured(nitrate.history[0], upper_limit_only=True)
    finding = b.replace(nitrate, history=(last,))
    of = chart(findings=(finding,))
    assert not drawn("dot", of)
    assert len(drawn("bar", of)) == 1


def test_a_doubted_value_is_a_cross_joined_to_nothing():
    of = chart(b.cannot_tell, "phosphate")
    assert len(strokes("cross", of)) == 2
    assert not drawn("dot", of)
    assert not drawn("link", of)
    assert of.top < 30  # and does not set the scale


def test_more_than_the_test_can_say_ends_in_an_arrow_at_the_top():
    of = chart(b.welfare)
    *_, left, right = strokes("reach", of)
    assert left[1] == right[1]
    assert left[1][1] == ROOF
    assert "∞" not in str([shape.text for shape in shapes(of, WIDE, HIGH)])


def test_uncertainty_is_drawn_from_the_low_to_the_high_end():
    spot = Spot(b.day(-7), 4.0, 6.0, 5.0, False)
    (reach,) = strokes("reach", plain(spot, top=10.0))
    ends = [y for _, y in reach]
    assert ends == pytest.approx([FLOOR + 0.4 * (ROOF - FLOOR),
                                  FLOOR + 0.6 * (ROOF - FLOOR)])  # fmt: skip


def test_the_band_is_shaded_between_its_edges():
    of = plain(band=(2.0, 5.0), top=10.0)
    (band,) = drawn("band", of)
    assert [y for _, y in band.points] == pytest.approx(
        [FLOOR + 0.2 * (ROOF - FLOOR), FLOOR + 0.5 * (ROOF - FLOOR)]
    )


@pytest.mark.parametrize(
    ("substance", "on_nitrate", "on_phosphate"),
    [
        ("NaNO3", 1, 0),
        ("sodium nitrate stock", 1, 0),
        ("NaNO3 40 g/L", 1, 0),
        ("dipotassium phosphate", 0, 1),
        ("ammonium bicarbonate", 1, 0),  # its nitrogen becomes nitrate
        ("something unnamed", 1, 1),
    ],
)
def test_a_dose_shows_where_it_acts(substance, on_nitrate, on_phosphate):
    salt = SaltNames(b.REFERENCE).of(substance)
    done = Work(b.day(-9), "b-03", "dose", b.cell("Work"), substance, 1, "g", salt=salt)
    work = (done,)
    assert len(chart(work=work).marks) == on_nitrate
    assert len(chart(parameter="phosphate", work=work).marks) == on_phosphate


def test_water_changes_show_on_both_and_other_work_on_none():
    address = CellAddress("x.xlsx", "Work", 2, 1)
    work = tuple(
        Work(b.day(-9), "b-03", kind, address) for kind in ("water change", "clean")
    )
    for parameter in ("nitrate", "phosphate"):
        marked = chart(parameter=parameter, work=work).marks
        assert marked == (Mark(b.day(-9), "water change"),)


def test_two_pieces_of_work_on_one_day_stand_side_by_side():
    work = tuple(
        Work(b.AS_OF, "b-03", kind, b.cell("Work")) for kind in ("dose", "water change")
    )
    of = chart(work=work)
    (dose,), (water,) = drawn("solid", of), drawn("outline", of)
    assert max(x for x, _ in dose.points) < min(x for x, _ in water.points)


def test_a_parameter_never_measured_has_no_chart():
    assert chart(b.untested) is None
    assert chart(b.ugly, "calcium") is None


def test_at_most_a_quarter_of_a_year_is_shown():
    nitrate = b.ugly().findings.of("nitrate")
    old = b.read("nitrate", "nitrate-card", 90, -400)
    of = chart(findings=(b.replace(nitrate, history=(old, *nitrate.history)),))
    assert of.since == b.AS_OF - timedelta(weeks=chart_facts.WEEKS)
    assert all(spot.high < 90 for spot in of.spots)


def test_the_chart_says_the_same_in_words():
    assert "Fri 27 Feb: 0 (0 to 2 mg/L)" in chart().description


@given(st.lists(st.floats(0.001, 5000), min_size=1, max_size=8), st.booleans())
def test_the_scale_holds_every_believed_reading(values, banded):
    spots = tuple(Spot(b.AS_OF, 0.9 * v, 1.1 * v, v, False) for v in values)
    top = chart_facts._top(spots, (5.0, 15.0) if banded else None)
    assert top >= max(spot.high for spot in spots) * 0.99
    assert math.isfinite(top)


@given(
    st.lists(
        st.tuples(st.integers(-200, 0), st.floats(0, 500), st.booleans()), max_size=9
    )
)
def test_nothing_is_drawn_outside_the_frame(readings):
    spots = tuple(
        Spot(
            max(b.day(on), b.day(-28)), 0.8 * v, 1.2 * v, None if unseen else v, unseen
        )
        for on, v, unseen in readings
    )
    for shape in shapes(plain(*spots, band=(2, math.inf)), WIDE, HIGH):
        for x, y in shape.points:
            assert -3 <= x <= WIDE
            assert 0 <= y <= HIGH


def test_svg_is_well_formed_and_holds_what_the_pdf_holds():
    of = chart()
    root = ElementTree.fromstring(svg(of, WIDE, HIGH))
    title, drawn, *texts = root
    assert title.text == of.description
    wanted = {"area": "rect", "path": "path", "strokes": "path"}
    held = list(shapes(of, WIDE, HIGH))
    assert [(child.tag, child.attrib["class"]) for child in drawn] == [
        (wanted[shape.kind], shape.style) for shape in held if shape.kind != "text"
    ]
    assert [text.text for text in texts] == [shape.text for shape in held if shape.text]


def test_svg_has_a_look_for_each_of_its_classes():
    styles = (shipped_templates() / "report.css").read_text("utf-8")
    for made in re.findall(r'class="([^"]+)"', svg(chart(), WIDE, HIGH)):
        # The axes look as a plain line does.
        assert made == "axis" or re.search(rf"\.{made}\b[^{{}}]*{{", styles)


def test_svg_escapes_what_a_cell_held():
    nitrate = b.ugly().findings.of("nitrate")
    bad = b.replace_measured(nitrate.history[0], written='"><script>&')
    said = svg(chart(findings=(b.replace(nitrate, history=(bad,)),)))
    assert "<script" not in said
    root = ElementTree.fromstring(said)
    assert '"><script>&' in root.findtext("title")


def test_the_four_marks_differ_in_outline_and_ink():
    seen = {marks.parts(attention) for attention in b.ATTENTION_ORDER}
    assert len(seen) == 4
    for attention in b.ATTENTION_ORDER:
        ElementTree.fromstring(marks.svg(attention))
    # Only the most urgent is all black; the calmest has no black at all.
    assert all(part.filled for part in marks.parts("today"))
    assert not any(part.filled for part in marks.parts("steady"))
