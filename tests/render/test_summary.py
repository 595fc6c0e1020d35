"""What every output says alike of a tank: the first step and the next test."""

import pytest
from pypdf import PdfReader

from fleet.render import pdf_round, pdf_sheets, pdf_slips
from fleet.render.summary import (
    as_written,
    boxed,
    first_action,
    lines,
    next_round,
    next_test,
)
from tests.render import builders as b


def to_test(*retests):
    """A tank that is tested again on these days from now, by parameter."""
    of = b.ugly()
    days = tuple((name, b.day(later)) for name, later in retests)
    return b.replace(of, plan=b.replace(of.plan, retests=days))


def pages(write, report, tmp_path):
    path = tmp_path / "made.pdf"
    write(report, b.wording(), b.REFERENCE, path)
    said = " ".join(page.extract_text() for page in PdfReader(path).pages)
    return " ".join(said.replace("\u00a0", " ").split())


def test_what_waits_for_the_round_is_not_the_day_of_the_next_test():
    # Nutrients in two weeks, salinity with the weekly round: the sheet has boxes for
    # the nutrients, so their day is the one to give.
    entry = to_test(("nitrate", 14), ("phosphate", 14), ("salinity", 7))
    report = b.report_of(entry)
    assert next_test(entry, next_round(report)) == b.day(14)
    assert set(boxed(entry, next_round(report))) == {"nitrate", "phosphate"}
    assert lines(report, b.wording())[0].next_retest == b.day(14)


def test_what_is_asked_for_before_the_round_comes_first():
    entry = to_test(("nitrate", 14), ("ammonia", 1), ("salinity", 7))
    assert next_test(entry, b.day(7)) == b.day(1)
    assert next_test(to_test(("salinity", 7)), b.day(7)) == b.day(7)
    assert next_test(to_test(), b.day(7)) is None


def test_sheet_round_and_slip_give_one_day(tmp_path):
    entry = to_test(("nitrate", 14), ("phosphate", 14), ("salinity", 7))
    report = b.report_of(entry)
    late, soon = "Sat 14 Mar", "Sat 7 Mar"  # two weeks and one from Sat 28 Feb
    table = pages(pdf_round.write, report, tmp_path)
    table = table[: table.index("Walking order")]
    assert late in table
    assert soon not in table
    assert pages(pdf_sheets.write, report, tmp_path).count(late) >= 2
    assert pages(pdf_slips.write, report, tmp_path).count(late) == 2  # a box each


def test_what_first_is_the_first_step_whatever_its_kind():
    of = b.ugly()
    wait = b.action("1", "hold off", "Stop dosing nitrate.", "x")
    log = b.action("0", "log", "Write it down.", "x")
    more = (b.replace(wait, priority=1), b.replace(log, priority=0))
    entry = b.replace(of, plan=b.replace(of.plan, actions=more))
    assert first_action(entry).what == wait.what
    only_log = b.replace(of, plan=b.replace(of.plan, actions=(log,)))
    assert first_action(only_log) == log


@pytest.mark.parametrize(
    ("parameter", "written", "unit", "settings", "shown"),
    [
        ("phosphate", "40", "ug/L PO4-P", {}, "40 µg/L P"),
        ("phosphate", "0.04", "mg/L PO4", {}, "0.04"),
        ("nitrate", "1.2", "mg/L NO3-N", {}, "1.2 mg/L N"),
        ("nitrate", "5 mg/L", "mg/L NO3", {}, "5"),
        ("salinity", "1.026", "SG", {}, "1.026 SG"),
        ("salinity", "35", "PSU", {}, "35"),
        ("temperature", "78", "°F", {}, "78 °F"),
        ("temperature", "78", "°F", {"units": "US"}, "78"),
        ("temperature", "26", "°C", {"units": "US"}, "26 °C"),
        ("alkalinity", "8.2", "dKH", {}, "8.2"),
        ("alkalinity", "8.2", "dKH", {"alkalinity_unit": "meq/L"}, "8.2 dKH"),
        ("ph", "8.2", "pH", {}, "8.2"),
        ("nitrate", "ND", "mg/L NO3-N", {}, "ND"),
        ("nitrate", "7", "", {}, "7"),  # made without a unit
    ],
)
def test_a_value_in_another_unit_than_its_heading_has_that_beside_it(
    parameter, written, unit, settings, shown
):
    measured = b.ordinary().tanks[0].findings.findings[0].latest
    made = measured._replace(parameter=parameter, written=written, unit=unit)
    assert as_written(made, b.wording(**settings)) == shown
