"""A tank's readings as a whole: order, nitrite beside nitrate, free ammonia."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from made_results import (
    AS_OF,
    REFERENCE,
    ago,
    measure,
    one,
    only,
    result,
    series,
    visits,
    work,
)

from fleet.intervals import Meaning
from fleet.records import Measurement, Reading

METER = "photometer"


def test_results_come_by_parameter_then_date_free_ammonia_after_ammonia():
    readings = visits(
        (7, {"ph": 8.1, "nitrate": 5, "ammonia": 0}),
        (0, {"nitrate": 10, "ammonia": 0, "temperature": 25}),
    )
    measured = measure(readings)
    assert [(m.parameter, m.taken_on) for m in measured.measurements] == [
        ("nitrate", ago(7)), ("nitrate", ago(0)), ("ammonia", ago(7)),
        ("ammonia", ago(0)), ("free_ammonia", ago(7)), ("free_ammonia", ago(0)),
        ("temperature", ago(0)), ("ph", ago(7)),
    ]  # fmt: skip
    assert measured.problems == ()


def test_a_measurement_keeps_the_writers_characters_method_and_cell():
    measured = one("phosphate", "<0.05", "low range photometer")
    assert (measured.written, measured.taken_on) == ("<0.05", AS_OF)
    assert measured.source.cell == "C2"
    assert measured.method.class_key == "phosphate-photometer"


def test_a_parameter_that_no_table_knows_is_left_alone():
    reading = visits((0, {"nitrate": 5}))[0]
    strange = reading.results[0]._replace(parameter="strontium")
    odd = reading._replace(results=(*reading.results, strange))
    assert [m.parameter for m in measure((odd,)).measurements] == ["nitrate"]


@pytest.mark.parametrize("written", ["inf", "nan", "1e400"])
@pytest.mark.parametrize("parameter", list(REFERENCE.parameters))
def test_what_is_no_number_is_doubted_and_harms_nothing(parameter, written):
    measured = one(parameter, written)
    assert measured.doubt.kind == "impossible"
    assert (measured.value, measured.low, measured.high) == (None, 0.0, math.inf)


def test_an_instrument_further_below_zero_than_it_errs_is_a_fault():
    # +/- 0.04: -0.02 is its noise, -0.1 is beyond twice that.
    assert one("phosphate", -0.02, METER).doubt is None
    measured = measure(visits((0, {"phosphate": (-0.1, METER)})))
    (result,) = measured.measurements
    assert result.doubt.kind == "impossible"
    (problem,) = measured.problems
    assert (problem.kind, problem.where.cell) == ("value-below-zero", "C2")
    assert one("phosphate", -0.01).doubt is not None  # no card shows a minus


# ------------------------------------------------------------- nitrite beside nitrate


def test_colour_nitrate_beside_nitrite_is_an_upper_limit():
    readings = visits((0, {"nitrate": 40, "nitrite": 2}))
    nitrate = only(readings, "nitrate")[0]
    assert nitrate.upper_limit_only
    assert (nitrate.low, nitrate.registers) == (0.0, None)
    assert nitrate.high == 56  # 40 and 40 % of it


@pytest.mark.parametrize(
    ("nitrite", "method"),
    [
        ((0.1,), ""),  # under 0.33 mg/L NO2 (0.1 mg/L as N)
        ((0.1, "", "mg/L NO2"), ""),
        ((0,), ""),
        ((2,), "laboratory"),  # tells the two apart
    ],
)
def test_nitrate_stands_where_nitrite_does_not_matter(nitrite, method):
    readings = visits((0, {"nitrate": (40, method), "nitrite": nitrite}))
    assert not only(readings, "nitrate")[0].upper_limit_only


def test_nitrite_of_another_visit_does_not_spoil_a_nitrate():
    readings = visits((7, {"nitrite": 2}), (0, {"nitrate": 40}))
    assert not only(readings, "nitrate")[0].upper_limit_only


def test_nitrite_as_nitrogen_spoils_it_from_a_tenth():
    readings = visits((0, {"nitrate": 40, "nitrite": (0.11, "", "mg/L NO2-N")}))
    assert only(readings, "nitrate")[0].upper_limit_only


# ------------------------------------------------------------------- total phosphorus


def test_total_phosphorus_is_no_more_than_an_upper_limit():
    measured = one("phosphate", 0.1, "ICP")
    assert measured.upper_limit_only
    assert (measured.low, measured.registers) == (0.0, None)
    assert measured.high == pytest.approx(0.11)  # 10 % of it


def test_total_phosphorus_under_its_limit_leaves_less_phosphate_still():
    measured = one("phosphate", 0, "ICP")
    assert (measured.low, measured.high, measured.registers) == (0.0, 0.03, False)


# ---------------------------------------------------------------------- free ammonia


def free(readings, **facts):
    return only(readings, "free_ammonia", **facts)


# Total ammonia-N at which the chronic limit of 0.035 mg/L NH3 is met, salinity 35;
# worked from the equation of Bell et al. 2008 and printed to two digits.
@pytest.mark.parametrize(
    ("celsius", "ph", "total"),
    [(20, 8.0, 0.98), (25, 7.8, 1.08), (25, 8.0, 0.69), (25, 8.2, 0.45),
     (25, 8.4, 0.29), (28, 8.2, 0.36), (28, 8.4, 0.24)],
)  # fmt: skip
def test_free_ammonia_at_the_printed_limits(celsius, ph, total):
    cells = {
        "ammonia": (total, METER), "ph": ph, "temperature": celsius, "salinity": 35,
    }  # fmt: skip
    (measured,) = free(visits((0, cells)))
    assert measured.value == pytest.approx(0.035, rel=0.02)
    assert measured.low < measured.value < measured.high


def test_free_ammonia_spans_both_ends_of_everything_it_rests_on():
    # By hand with Bell et al. 2008: pKa at pH 8.1 +/- 0.1, 25 +/- 0.5 degC, S 35 +/- 1.
    # Most: pH 8.2, 25.5 degC, S 34: pKa 9.34210, share 0.06726; total 0.5 +/- 0.075.
    # Least: pH 8.0, 24.5 degC, S 36: pKa 9.37979, share 0.04003.
    cells = {
        "ammonia": (0.5, METER), "ph": 8.1, "temperature": 25, "salinity": 35,
    }  # fmt: skip
    (measured,) = free(visits((0, cells)))
    assert measured.high == pytest.approx(0.575 * 0.06726 * 1.21589, rel=1e-3)
    assert measured.low == pytest.approx(0.425 * 0.04003 * 1.21589, rel=1e-3)
    assert 0 < measured.spread < (measured.high - measured.low) / 2


def test_none_seen_leaves_free_ammonia_open_below_the_tests_own_limit():
    # 0 by a card that tells 0.1: most is 0.1 x 0.06726 x 1.21589 = 0.00818 mg/L.
    cells = {"ammonia": 0, "ph": 8.1, "temperature": 25, "salinity": 35}
    (measured,) = free(visits((0, cells)))
    assert (measured.value, measured.low, measured.registers) == (None, 0.0, False)
    assert measured.high == pytest.approx(0.00818, abs=0.00001)


def test_what_was_not_measured_is_assumed_widely_and_said():
    (measured,) = free(visits((0, {"ammonia": (0.5, METER), "temperature": 25})))
    facts = dict(measured.note.facts)
    assert facts["assumed"] == ("ph", "salinity")
    assert facts["ph"] == 8.2
    assert measured.method.assumed
    # pH 8.5, 25.5 degC, salinity 32: pKa 9.33596, share 0.12734, by hand.
    assert measured.high == pytest.approx(0.575 * 0.12734 * 1.21589, rel=1e-3)


def test_an_earlier_ph_serves_for_two_rounds_and_is_said():
    rows = [(14, {"ph": 8.0}), (0, {"ammonia": (0.5, METER)})]
    facts = dict(free(visits(*rows))[0].note.facts)
    assert (facts["ph"], facts["earlier"]) == (8.0, ("ph",))
    rows[0] = (15, {"ph": 8.0})
    assert "ph" in dict(free(visits(*rows))[0].note.facts)["assumed"]


def test_a_doubted_ph_does_not_serve():
    rows = [(7, {"ph": 8.0}), (0, {"ammonia": (0.5, METER), "ph": 81})]
    facts = dict(free(visits(*rows))[0].note.facts)
    assert (facts["ph"], facts["earlier"]) == (8.0, ("ph",))


def test_a_later_ph_does_not_serve_an_earlier_ammonia():
    rows = [(7, {"ammonia": (0.5, METER)}), (0, {"ph": 7.8})]
    assert dict(free(visits(*rows))[0].note.facts)["ph"] == 8.2


def test_water_outside_the_formulas_range_is_said():
    cells = {"ammonia": (0.5, METER), "ph": 8.1, "temperature": 14, "salinity": 20}
    facts = dict(free(visits((0, cells)))[0].note.facts)
    assert facts["outside"] == ("temperature", "salinity")


# ------------------------------------------------------------------------- the future


def test_a_reading_of_a_later_day_is_shown_doubted_and_named_by_its_row():
    measured = measure(series("nitrate", (7, 5), (-3, 50)))
    early, late = measured.measurements
    assert early.doubt is None
    assert late.doubt.kind == "future date"
    (problem,) = measured.problems
    assert (problem.kind, problem.effect) == ("reading-in-future", "row left out")
    assert problem.where.cell == "A3"


def test_work_of_a_later_day_is_named():
    measured = measure(series("nitrate", (0, 5)), log=[work(-1, "water change")])
    assert [p.kind for p in measured.problems] == ["work-in-future"]


# ------------------------------------------------------------------------- properties

cells = st.dictionaries(
    st.sampled_from(list(REFERENCE.parameters)),
    st.tuples(
        st.sampled_from(["", "<", ">", "~"]),
        st.floats(0, 3000).map(lambda value: round(value, 3)),
        st.sampled_from(["", "photometer", "card", "laboratory", "ICP", "mystery"]),
    ),
    max_size=8,
)


@st.composite
def histories(draw):
    rows = draw(st.lists(st.tuples(st.integers(-20, 90), cells), max_size=8))
    made = []
    for days, filled in rows:
        results = []
        for parameter, (mark, value, method) in filled.items():
            unit = draw(st.sampled_from(REFERENCE.parameters[parameter].units)).key
            results.append(result(parameter, f"{mark}{value}", method, unit))
        made.append(Reading("t1", ago(days), tuple(results), made_at))
    return tuple(sorted(made, key=lambda reading: reading.taken_on))


made_at = visits((0, {"nitrate": 1}))[0].source


@given(histories())
def test_any_history_is_understood_whole_and_ends_stay_in_order(readings):
    measured = measure(readings)
    written = {(r.parameter, v.taken_on) for v in readings for r in v.results}
    own = [m for m in measured.measurements if m.parameter != "free_ammonia"]
    assert {(m.parameter, m.taken_on) for m in own} == written
    for m in measured.measurements:
        assert m.low <= m.high
        assert m.value is None or m.low <= m.value <= m.high
        assert not math.isnan(m.low + m.spread)
        if m.taken_on > AS_OF:
            assert m.doubt is not None


@given(histories())
def test_each_doubt_has_a_problem_and_each_problem_a_doubt(readings):
    measured = measure(readings)
    doubted = [m for m in measured.measurements if m.doubt]
    future = {r.taken_on for r in readings if r.taken_on > AS_OF}
    by_cell = [
        p for p in measured.problems
        if p.kind not in ("reading-in-future", "same-day-agrees")
    ]  # fmt: skip
    told = [m for m in doubted if m.doubt.kind != "future date"]
    assert len(by_cell) == len(told)
    assert bool(future) == any(p.kind == "reading-in-future" for p in measured.problems)


def test_a_meaning_fills_the_places_of_a_measurement_that_bear_its_names():
    """They are put together by place: ``(parameter, day, *meaning, written, ...)``."""
    first = Measurement._fields.index("taken_on") + 1
    assert Measurement._fields[first:][: len(Meaning._fields)] == Meaning._fields
