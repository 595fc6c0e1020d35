"""What is not believed, what is, and how a doubt is settled."""

from unittest.mock import patch

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from made_results import (
    CELL,
    FINE_NITRATE,
    HOUSE,
    REFERENCE,
    SHARP_PHOSPHATE,
    ago,
    measure,
    only,
    series,
    tank,
    visits,
    work,
)

from fleet.normalise.doubts import book_doubts
from fleet.normalise.plausible import stands_out
from fleet.records import Book, ShelfItem
from fleet.render.wording import Wording

WORDS = Wording(REFERENCE, HOUSE)
NITRATE = {"method": "Bench nitrate"}
PHOSPHATE = {"method": "Sharp photometer"}
LEAFLETS = {"methods": (FINE_NITRATE, SHARP_PHOSPHATE)}


def doubts(readings, parameter, **facts):
    """(cell as written, kind of doubt) of each doubted result, oldest first."""
    seen = only(readings, parameter, **LEAFLETS, **facts)
    return [(m.written, m.doubt.kind) for m in seen if m.doubt]


def would_be(readings, parameter, **facts):
    return [m.doubt.would_be for m in only(readings, parameter, **LEAFLETS, **facts)
            if m.doubt]  # fmt: skip


def lines(readings, **facts):
    return [p.message for p in measure(readings, **LEAFLETS, **facts).problems]


# ------------------------------------------------------------------------- impossible


@pytest.mark.parametrize(
    ("parameter", "written"),
    [("ph", 3), ("temperature", 400), ("nitrate", 5000), ("ammonia", 400_000)],
)
def test_what_no_tank_can_have_is_doubted(parameter, written):
    assert doubts(series(parameter, (0, written)), parameter) == [
        (str(written), "impossible")
    ]


@pytest.mark.parametrize("parameter", ["salinity", "temperature", "ph", "alkalinity",
                                       "calcium", "magnesium"])  # fmt: skip
@pytest.mark.parametrize("written", ["0", "ND"])
def test_a_zero_where_seawater_has_none_is_a_blank(parameter, written):
    assert doubts(series(parameter, (0, written)), parameter) == [
        (written, "impossible")
    ]


@pytest.mark.parametrize("parameter", ["nitrate", "phosphate", "ammonia", "nitrite"])
def test_a_zero_nutrient_is_believed(parameter):
    assert doubts(series(parameter, (7, 0), (0, 0)), parameter) == []


# ------------------------------------------------------------------------- unit slips


@pytest.mark.parametrize(
    ("parameter", "written", "unit", "meant"),
    [
        ("temperature", 78, "°C", 25.56),  # degrees Fahrenheit
        ("temperature", 25.6, "°F", 25.6),  # degrees Celsius
        ("temperature", 255, "°C", 25.5),
        ("salinity", 1.025, "PSU", 33.19),  # EOS-80 at 25/25 degC
        ("salinity", 35, "SG", 35),
        ("salinity", 1025, "SG", 33.19),
        ("salinity", 53, "PSU", 34.95),  # mS/cm, PSS-78 by gsw
        ("ph", 81, "pH", 8.1),
        ("ph", 812, "pH", 8.12),
        ("ph", 0.82, "pH", 8.2),
        ("alkalinity", 8, "meq/L", 2.853),  # dKH
        ("alkalinity", 143, "dKH", 2.858),  # mg/L CaCO3
        ("ammonia", 250, "mg/L NH3-N", 0.25),
        ("phosphate", 30, "mg/L PO4", 0.03),
        ("calcium", 42, "mg/L", 420),
    ],
)
def test_a_slip_is_named_with_the_value_it_would_be(parameter, written, unit, meant):
    readings = series(parameter, (0, written), unit=unit)
    assert doubts(readings, parameter) == [(str(written), "unit slip")]
    assert would_be(readings, parameter) == [pytest.approx(meant, abs=0.02)]


def test_ppb_in_a_ppm_column_is_named_beside_the_tanks_own_level():
    readings = series("phosphate", (14, 0.03), (7, 0.04), (0, 30), **PHOSPHATE)
    assert doubts(readings, "phosphate") == [("30", "unit slip")]
    assert would_be(readings, "phosphate") == [pytest.approx(0.03)]
    assert lines(readings) == [
        "'30' mg/L PO4 of phosphate does not fit; as ug/L PO4 it would be 0.03 mg/L. "
        "Write the unit behind the number, or test again."
    ]


def test_micrograms_of_phosphorus_are_told_from_micrograms_of_phosphate():
    # 33 ug/L P is 0.101 mg/L PO4 (molmass 2026.1.8), the tank's own level.
    readings = series("phosphate", (14, 0.1), (7, 0.11), (0, 33), **PHOSPHATE)
    assert would_be(readings, "phosphate") == [pytest.approx(0.1012, abs=0.0002)]


def test_ppm_in_a_ppb_column_is_no_flat_zero():
    readings = series("phosphate", (0, 0.03), unit="ug/L PO4", **PHOSPHATE)
    assert would_be(readings, "phosphate") == [pytest.approx(0.03)]


def test_nitrate_as_nitrogen_is_named_where_the_tank_is_steady():
    # 4.8 mg/L as N is 21.2 mg/L as NO3: the tank's own level.
    steady = [(28, 21), (21, 20.5), (14, 21.5), (7, 21)]
    readings = series("nitrate", *steady, (0, 4.8), **NITRATE)
    assert would_be(readings, "nitrate") == [pytest.approx(21.25, abs=0.01)]


def test_a_lost_point_is_named_only_where_the_number_jumped():
    steady = [(28, 7.5), (21, 7.4), (14, 7.6), (7, 7.5)]
    readings = series("nitrate", *steady, (0, 77), **NITRATE)
    assert would_be(readings, "nitrate") == [pytest.approx(7.7)]
    spike = series(
        "phosphate", (21, 0.03), (14, 0.03), (7, 0.03), (0, 0.3), **PHOSPHATE
    )
    assert doubts(spike, "phosphate") == []  # high, but no more than life can bring
    again = series("nitrate", *steady, (3, 77), (0, 76), **NITRATE)
    assert doubts(again, "nitrate") == []


def test_a_fall_that_a_water_change_explains_is_no_slip():
    steady = [(28, 21), (21, 20.5), (14, 21.5), (7, 21)]
    readings = series("nitrate", *steady, (0, 4.8), **NITRATE)
    log = [work(3, "water change", amount=75, unit="%")]
    assert doubts(readings, "nitrate", log=log) == []


def test_without_a_clear_level_a_usual_number_is_no_slip():
    readings = series("nitrate", (7, 21), (0, 4.8), **NITRATE)
    assert doubts(readings, "nitrate") == []


def test_a_unit_in_the_cell_is_taken_at_its_word():
    readings = series("phosphate", (14, 2.9), (0, "12 mg/L"), **PHOSPHATE)
    assert ("12 mg/L", "unit slip") not in doubts(readings, "phosphate")


def test_meq_in_a_dkh_column_is_named_beside_the_tanks_own_level():
    readings = series("alkalinity", (21, 8), (14, 8.1), (7, 8), (0, 2.8))
    assert would_be(readings, "alkalinity") == [pytest.approx(2.8)]


def test_the_same_slip_twice_is_no_second_opinion():
    readings = series("phosphate", (14, 0.03), (7, 30), (0, 31), **PHOSPHATE)
    assert doubts(readings, "phosphate") == [("30", "unit slip"), ("31", "unit slip")]


# ----------------------------------------------------------------------- emergencies


def test_a_rise_of_ammonia_is_never_doubted():
    assert doubts(series("ammonia", (14, 0), (7, 0), (0, 8)), "ammonia") == []
    assert doubts(series("nitrite", (14, 0), (7, 0), (0, 30)), "nitrite") == []


@pytest.mark.parametrize(
    ("parameter", "before", "now"),
    [
        ("salinity", 35, 45), ("salinity", 35, 22), ("salinity", 35, 15),
        ("temperature", 25.5, 31.5), ("temperature", 25.5, 36),
        ("temperature", 25.5, 15), ("ph", 8.2, 7.1), ("ph", 8.2, 9.2),
        ("alkalinity", 8, 4.5), ("alkalinity", 8, 15),
    ],
)  # fmt: skip
def test_dangerous_but_possible_water_is_believed(parameter, before, now):
    steady = [(28, before), (21, before), (14, before), (7, before)]
    assert doubts(series(parameter, *steady, (0, now)), parameter) == []
    assert doubts(series(parameter, (0, now)), parameter) == []


def test_high_phosphate_of_a_neglected_tank_is_believed():
    assert doubts(series("phosphate", (0, 5), **PHOSPHATE), "phosphate") == []
    assert doubts(series("nitrate", (0, 220), **NITRATE), "nitrate") == []


# ------------------------------------------------------------------------------ jumps

STEADY = [(28, 0.5), (21, 0.6), (14, 0.5), (7, 0.5)]


def test_nitrate_from_a_half_to_fifty_in_one_visit_is_doubted():
    readings = series("nitrate", *STEADY, (0, 50), **NITRATE)
    assert doubts(readings, "nitrate") == [("50", "jump")]
    assert lines(readings) == [
        "'50' of nitrate is far from the '0.5' of 2025-03-24, and no logged work "
        "explains it. Test again: a second result like it settles it."
    ]


def test_a_second_like_result_settles_a_jump():
    readings = series("nitrate", *STEADY, (3, 50), (0, 46), **NITRATE)
    assert doubts(readings, "nitrate") == []
    assert measure(readings, **LEAFLETS).problems == ()


def test_a_result_back_at_the_old_level_leaves_the_jump_doubted():
    readings = series("nitrate", *STEADY, (3, 50), (0, 0.6), **NITRATE)
    assert doubts(readings, "nitrate") == [("50", "jump")]


def test_two_unlike_jumps_settle_nothing():
    readings = series("nitrate", *STEADY, (3, 50), (0, 140), **NITRATE)
    assert doubts(readings, "nitrate") == [("50", "jump"), ("140", "jump")]


def test_a_fall_with_nothing_logged_is_doubted_too():
    readings = series("nitrate", (14, 50), (7, 52), (0, 0.5), **NITRATE)
    assert doubts(readings, "nitrate") == [("0.5", "jump")]


@pytest.mark.parametrize(
    ("done", "believed"),
    [
        (work(3, "livestock out"), True),  # a death feeds the water
        (work(3, "livestock in"), False),  # one more fish does not make 50 mg/L
        # 1 g of sodium nitrate in 200 L is 3.65 mg/L NO3, 14 g are 51.
        (work(3, "dose", "sodium nitrate", 1, "g"), False),
        (work(3, "dose", "sodium nitrate", 14, "g"), True),
        (work(3, "dose", "dipotassium phosphate", 14, "g"), False),
        (work(3, "dose", "some powder", 1, "g"), True),  # of unknown strength
        (work(3, "dose", "2 tsp vinegar", 2, "tsp"), True),  # no trisodium phosphate
        (work(3, "dose", "sodium nitrate", 50, "mL"), True),  # likewise
        (work(40, "livestock out"), False),  # long before the last result
        (work(3, "water change", amount=20, unit="%"), False),
    ],
)
def test_logged_work_explains_a_rise_it_can_account_for(done, believed):
    readings = series("nitrate", *STEADY, (0, 50), **NITRATE)
    assert (doubts(readings, "nitrate", log=[done]) == []) is believed


@pytest.mark.parametrize(("amount", "believed"), [(20, False), (350, True)])
def test_a_known_stock_explains_as_much_as_it_holds(amount, believed):
    # 20 mL of 40 g/L are 0.8 g, or 2.9 mg/L NO3 in 200 L; 350 mL are 14 g, or 51.
    readings = series("nitrate", *STEADY, (0, 50), **NITRATE)
    done = work(3, "dose", "sodium nitrate", amount, "mL")
    shelf = (ShelfItem("sodium-nitrate", "sodium nitrate", 1.0, None, 40.0),)
    found = doubts(readings, "nitrate", log=[done], shelf=shelf)
    assert (found == []) is believed


@pytest.mark.parametrize(
    ("done", "believed"),
    [
        (work(3, "dose", "2 tsp vinegar", 2, "tsp"), True),  # organic carbon
        (work(3, "water change", amount=90, unit="%"), True),
        (work(3, "water change", amount=180, unit="L"), True),
        (work(3, "water change", amount=10, unit="%"), False),
        (work(3, "water change"), True),  # of unknown size
        (work(3, "equipment in", "denitrifying reactor"), True),
        (work(3, "dose", "sodium nitrate", 1, "g"), False),
    ],
)
def test_logged_work_explains_a_fall_it_can_account_for(done, believed):
    readings = series("nitrate", (14, 50), (7, 52), (0, 5), **NITRATE)
    assert (doubts(readings, "nitrate", log=[done]) == []) is believed


def test_a_cycle_may_end_in_much_nitrate_at_once():
    # 4 mg/L ammonia-N makes 17.7 mg/L NO3 (4.427 each): three times that is 53.
    ammonia = {"ammonia": 4}
    rows = [(21, ammonia), (14, {"nitrate": (0, "Bench nitrate")}),
            (0, {"nitrate": (50, "Bench nitrate")})]  # fmt: skip
    assert doubts(visits(*rows), "nitrate") == []
    rows[0] = (21, {"ammonia": 0.25})
    assert doubts(visits(*rows), "nitrate") == [("50", "jump")]


def test_a_tank_that_swings_widely_may_swing_again():
    # Swings of 35 a fortnight are within 20 a week; its own usual step is 33 then.
    wild = [(49, 10), (35, 45), (21, 12), (7, 44)]
    assert doubts(series("nitrate", *wild, (0, 12), **NITRATE), "nitrate") == []
    assert doubts(series("nitrate", *wild[-1:], (0, 12), **NITRATE), "nitrate") == [
        ("12", "jump")
    ]


def test_a_card_that_cannot_tell_apart_is_not_doubted():
    readings = series("phosphate", (14, 0.08), (7, 0.08), (0, 0.25))
    assert doubts(readings, "phosphate") == []


def test_a_change_over_many_weeks_is_no_jump():
    readings = series("nitrate", (100, 1), (0, 60), **NITRATE)
    assert doubts(readings, "nitrate") == []


def test_total_phosphorus_is_not_weighed_against_phosphate():
    cells = [(days, {"phosphate": (0.03, "Sharp photometer")}) for days in (21, 14, 7)]
    cells.append((0, {"phosphate": (0.9, "ICP")}))
    assert doubts(visits(*cells), "phosphate") == []


# ------------------------------------------------------------------------------ words


@pytest.mark.parametrize(
    ("readings", "said"),
    [
        (
            series("temperature", (0, 78)),
            "78 (°C) does not fit this tank's temperature. If °F was meant, it is "
            "25.6 °C. Write the unit behind the number, or test again.",
        ),
        (
            series("phosphate", (7, 0.03), (0, 30), **PHOSPHATE),
            "30 (mg/L) does not fit this tank's phosphate. If µg/L (ppb) was meant, it "
            "is 0.03 mg/L. Write the unit behind the number, or test again.",
        ),
        (
            series("ph", (0, 81)),
            "81 does not fit this tank's pH. With the decimal point moved it is 8.1. "
            "Correct it, or test again.",
        ),
        (
            series("ph", (0, 0)),
            "Saltwater with a pH of 0 does not exist; most likely nothing was tested. "
            "Leave the box empty then.",
        ),
        (
            series("ph", (0, 3)),
            "3 cannot be the pH of any tank. Correct it, or test again.",
        ),
        (
            series("nitrate", *STEADY, (0, 50), **NITRATE),
            "50 is far from the 0.5 of Mon 24 Mar, and no noted work explains it. Test "
            "again: a second result like it settles it.",
        ),
        (
            series("nitrate", (-2, 5)),
            "It is dated Wed 2 Apr 2025, after the day of this report (Mon 31 Mar "
            "2025). Correct the date.",
        ),
        (
            series("phosphate", (0, -0.5), **PHOSPHATE),
            "-0.5 is further below zero than the test for phosphate should be off. Set "
            "the instrument to zero and test again.",
        ),
    ],
)
def test_a_doubt_in_words(readings, said):
    measured = measure(readings, **LEAFLETS).measurements[-1]
    assert WORDS.plain(measured.doubt.why) == said


def test_foreign_text_is_escaped():
    readings = series("ph", (0, 3))
    cell = readings[0].results[0]._replace(written="<b>&")
    readings = (type(readings[0])("t1", ago(0), (cell,), CELL),)
    why = measure(readings).measurements[0].doubt.why
    assert "&lt;b&gt;&amp;" in WORDS.markup(why)


# --------------------------------------------------------- a column at its own limit


def column(values, parameter="phosphate", tanks=4):
    readings = series(parameter, *[(n, v) for n, v in enumerate(values)])
    shared = [
        type(r)(f"t{n % tanks}", r.taken_on, r.results, r.source)
        for n, r in enumerate(readings)
    ]
    return Book((), tuple(shared), (), (), (), (), HOUSE, (), (), (), ())


LIMITED = [0.08] * 8 + [0.16, 0.25, 0.5, 0.16, 0.3]


def test_a_column_whose_smallest_is_its_commonest_is_remarked_on_once():
    (problem,) = book_doubts(column(LIMITED), REFERENCE)
    assert problem.message == (
        "0.08 is both the smallest and the commonest phosphate of this column "
        "(8 times). If it is the least the test can show, write '<0.08' instead."
    )
    assert (problem.effect, problem.severity) == ("note", "note")


def test_its_readings_are_not_doubted():
    assert doubts(column(LIMITED, tanks=1).readings, "phosphate") == []


@pytest.mark.parametrize(
    "book",
    [
        column([*LIMITED, 0]),  # this column writes none as 0
        column([*LIMITED, "<0.05"]),
        column([*LIMITED, 0.05]),
        column(LIMITED, tanks=1),  # a steady tank
        column(LIMITED[-6:]),  # too few to say
        column([0.08] * 14),  # nothing else was ever read
        column([8.1] * 8 + [8.2, 8.3, 8.4, 8.2, 8.3], "ph"),
    ],
    ids=["zero", "below", "smaller", "one tank", "few", "only", "ph"],
)
def test_other_columns_are_not_remarked_on(book):
    assert book_doubts(book, REFERENCE) == []


# --------------------------------------------------------------------------- property


@given(st.lists(st.floats(0.1, 100).map(lambda v: round(v, 1)), max_size=8))
def test_a_result_repeated_at_once_is_never_left_in_doubt(values):
    rows = [(2 * n + twice, v) for n, v in enumerate(values, 1) for twice in (1, 0)]
    seen = only(series("nitrate", *rows, **NITRATE), "nitrate", **LEAFLETS)
    assert [m for m in seen if m.doubt and m.doubt.kind == "jump"] == []


CELL_TEXTS = st.tuples(
    st.sampled_from(("", "<", "<", "~")),
    st.one_of(st.floats(0, 1), st.floats(1, 5), st.floats(0, 200)).map(
        lambda v: f"{v:.3f}"
    ),
).map("".join)


@settings(max_examples=400)
@given(st.sampled_from(("nitrate", "phosphate", "ammonia", "alkalinity")), st.data())
def test_a_less_than_that_does_not_stand_out_needs_no_second_look(parameter, data):
    units = [unit.key for unit in REFERENCE.parameters[parameter].units]
    classes = [c for c in REFERENCE.methods.values() if c.measures == parameter]
    readings = series(
        parameter,
        *enumerate(data.draw(st.lists(CELL_TEXTS, min_size=1, max_size=12))),
        unit=data.draw(st.sampled_from(units)),
        method=data.draw(st.sampled_from(["", *(w for c in classes for w in c.words)])),
    )

    def always(parameter, result, *others):
        return result.form == "below" or stands_out(parameter, result, *others)

    with patch("fleet.normalise.scales.stands_out", always):
        looked_at_twice = measure(readings)
    assert measure(readings) == looked_at_twice


def test_the_tank_of_these_tests_holds_two_hundred_litres():
    assert tank().volume_l == 200


# ------------------------------------------------------------------------- swapped


def swapped_visits(*earlier, now=(0.06, 9)):
    """Visits a week apart, the last with both numbers in the wrong boxes."""
    rows = [*earlier, now]
    methods = NITRATE["method"], PHOSPHATE["method"]
    return visits(
        *(
            (
                7 * (len(rows) - 1 - place),
                {
                    name: (value, method)
                    for name, value, method in zip(
                        ("nitrate", "phosphate"), values, methods, strict=True
                    )
                },
            )
            for place, values in enumerate(rows)
        )
    )


def kinds_of_doubt(readings):
    seen = measure(readings, **LEAFLETS).measurements
    return {
        name: [m.doubt.kind if m.doubt else "" for m in seen if m.parameter == name]
        for name in ("nitrate", "phosphate")
    }


def test_numbers_in_each_others_boxes_are_both_doubted():
    doubts = kinds_of_doubt(swapped_visits((8, 0.05), (9, 0.06), (9, 0.05)))
    assert doubts["nitrate"] == ["", "", "", "swapped"]
    assert doubts["phosphate"][-1]


def test_swapped_on_the_first_visit():
    doubts = kinds_of_doubt(swapped_visits(now=(0.05, 12)))
    assert doubts["nitrate"] == ["swapped"]
    assert doubts["phosphate"][-1]


@pytest.mark.parametrize("now", [(0, 50), (9, 50), (9, 0.05)])
def test_nitrate_is_believed_where_it_fits_as_it_stands(now):
    doubts = kinds_of_doubt(swapped_visits((8, 0.05), (9, 0.06), (9, 0.05), now=now))
    assert doubts["nitrate"][-1] == ""
