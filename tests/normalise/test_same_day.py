"""More than one result of a parameter on one day: their order never decides."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from made_results import (
    FINE_NITRATE,
    HOUSE,
    REFERENCE,
    SHARP_PHOSPHATE,
    ago,
    measure,
    only,
    result,
    visits,
)

from fleet.records import CellAddress, Method, Reading
from fleet.render.wording import Wording

WORDS = Wording(REFERENCE, HOUSE)
CARD = Method("Card nitrate", "nitrate", "card", 5.0, 5.0, None, None, 80.0)
CARD_P = Method("Card phosphate", "phosphate", "card", 0.08, 0.08, None, None, 3.0)
METHODS = (FINE_NITRATE, SHARP_PHOSPHATE, CARD, CARD_P)
FINE, SHARP, COARSE, COARSE_P = (m.name for m in METHODS)


def day(parameter, *cells, before=()):
    """Earlier results of one method, then some of today, in this order of rows."""
    rows = [(7 * n, {parameter: cell}) for n, cell in enumerate(reversed(before), 1)]
    rows += [(0, {parameter: cell}) for cell in cells]
    return visits(*rows)


def today(parameter, *cells, before=()):
    readings = day(parameter, *cells, before=before)
    return [m for m in only(readings, parameter, methods=METHODS)
            if m.taken_on == ago(0)]  # fmt: skip


BOTH_WAYS = pytest.mark.parametrize("turned", [False, True], ids=["as is", "swapped"])


def ordered(cells, turned):
    return tuple(reversed(cells)) if turned else cells


@BOTH_WAYS
def test_a_zero_and_a_twelve_by_one_method_are_both_doubted(turned):
    cells = ordered(((0, FINE), (12, FINE)), turned)
    seen = today("nitrate", *cells, before=((12, FINE), (12, FINE)))
    assert [(m.written, m.doubt.kind) for m in seen] == [
        ("0", "differing"), ("12", "differing"),
    ]  # fmt: skip
    told = WORDS.plain(seen[0].doubt.why)
    rows = {m.written: m.source.cell for m in seen}
    assert f"0 in {rows['0']} and 12 in {rows['12']}" in told


@BOTH_WAYS
def test_a_coarse_zero_beside_a_finer_twelve_are_both_doubted_by_cell(turned):
    cells = ordered(((0, COARSE), (12, FINE)), turned)
    readings = day("nitrate", *cells)
    measured = measure(readings, methods=METHODS)
    assert all(m.doubt for m in measured.measurements)
    assert [p.kind for p in measured.problems] == ["same-day-differs"] * 2
    assert {p.where.cell for p in measured.problems} == {"C2", "C3"}


@BOTH_WAYS
def test_where_they_overlap_the_finer_one_counts_and_both_are_named(turned):
    # The card's 0 is anything up to 0.08; the photometer's 0.05 lies in it.
    cells = ordered(((0, COARSE_P), (0.05, SHARP)), turned)
    (seen,) = today("phosphate", *cells)
    assert seen.method.name == SHARP
    assert (seen.value, seen.low, seen.high) == pytest.approx((0.05, 0.04, 0.06))
    assert seen.written == "0.05; 0"
    assert "0.05 in" in WORDS.plain(seen.note)
    (note,) = measure(day("phosphate", *cells), methods=METHODS).problems
    assert (note.kind, note.severity) == ("same-day-agrees", "note")


@BOTH_WAYS
def test_two_alike_are_averaged(turned):
    # +/- 0.2 each: 5.0 and 5.2 overlap, and by hand their mean is 5.1 +/- 0.2.
    (seen,) = today("nitrate", *ordered(((5.0, FINE), (5.2, FINE)), turned))
    assert (seen.value, seen.low, seen.high) == pytest.approx((5.1, 4.9, 5.3))


@BOTH_WAYS
def test_none_and_hardly_any_by_one_method_cannot_be_told(turned):
    (seen,) = today("nitrate", *ordered(((0, FINE), (0.3, FINE)), turned))
    assert (seen.value, seen.registers) == (None, None)
    assert seen.low <= 0.2 <= seen.high


def test_a_third_result_settles_it():
    cells = ((0, FINE), (12, FINE), (12.1, FINE))
    seen = today("nitrate", *cells, before=((12, FINE),))
    assert [(m.written, m.doubt is None) for m in seen] == [
        ("0", False), ("12; 12.1; 0", True),
    ]  # fmt: skip


def test_two_coarse_results_do_not_outvote_a_finer_one():
    seen = today("nitrate", (0, COARSE), (0, COARSE), (12, FINE))
    assert all(m.doubt for m in seen)


def test_a_second_result_that_day_settles_a_jump():
    before = ((5, FINE), (5, FINE), (5, FINE))
    assert [m.doubt.kind for m in today("nitrate", (60, FINE), before=before)] == [
        "jump"
    ]
    (seen,) = today("nitrate", (60, FINE), (60.2, FINE), before=before)
    assert seen.doubt is None


def test_one_that_cannot_be_does_not_sink_the_other():
    seen = today("nitrate", (5000, FINE), (12, FINE))
    assert [(m.written, m.doubt.kind if m.doubt else "") for m in seen] == [
        ("5000", "impossible"), ("12", ""),
    ]  # fmt: skip


@BOTH_WAYS
def test_of_ammonia_the_higher_counts(turned):
    cells = ordered(((0, "photometer"), (2, "photometer")), turned)
    seen = [m for m in today("ammonia", *cells) if m.parameter == "ammonia"]
    assert [(m.written, m.doubt is None) for m in seen] == [
        ("0", False),
        ("2; 0", True),
    ]


@BOTH_WAYS
def test_a_colour_test_beside_nitrite_gives_way_to_one_that_is_not_misled(turned):
    rows = ordered(((40, COARSE), (5, "laboratory")), turned)
    readings = visits((0, {"nitrite": 2}), *((0, {"nitrate": r}) for r in rows))
    (seen,) = only(readings, "nitrate", methods=METHODS)
    assert (seen.value, seen.upper_limit_only) == (5, False)


def test_two_days_are_two_results():
    readings = visits((1, {"nitrate": (0, FINE)}), (0, {"nitrate": (12, FINE)}))
    assert [m.doubt for m in only(readings, "nitrate", methods=METHODS)] == [None, None]


# ------------------------------------------------------------------------- properties

written = st.one_of(
    st.floats(0, 60).map(lambda v: f"{v:.1f}"),
    st.sampled_from(["0", "<5", ">50", "5 to 10", "~20", "nd", "trace"]),
)
tests_made = st.tuples(
    st.integers(0, 3),
    st.sampled_from(["nitrate", "nitrite", "ammonia", "ph", "salinity"]),
    written,
    st.sampled_from([FINE, COARSE, "", "laboratory"]),
)


@given(st.lists(tests_made, max_size=9), st.randoms(use_true_random=False))
def test_the_order_of_rows_changes_nothing(rows, chance):
    def told(rows):
        numbered = list(enumerate(rows, start=2))
        made = [
            Reading(
                "t1", ago(7 * week),
                (result(parameter, cell, method, row=row),),
                CellAddress("made.xlsx", "Readings", row, 1),
            )
            for row, (week, parameter, cell, method) in numbered
        ]  # fmt: skip
        made.sort(key=lambda reading: reading.taken_on)
        measured = measure(tuple(made), methods=METHODS).measurements
        nowhere = CellAddress("", "", 0, 0)
        return [
            m._replace(
                source=nowhere, note=None,
                doubt=m.doubt and replace(m.doubt, why=None),
            )
            for m in measured
        ]  # fmt: skip

    shuffled = list(rows)
    chance.shuffle(shuffled)
    assert told(rows) == told(shuffled)


@given(st.lists(tests_made, max_size=9))
def test_no_day_has_two_believed_results(rows):
    made = [
        Reading("t1", ago(7 * week), (result(parameter, cell, method),),
                CellAddress("made.xlsx", "Readings", 2, 1))
        for week, parameter, cell, method in rows
    ]  # fmt: skip
    made.sort(key=lambda reading: reading.taken_on)
    seen = [
        (m.parameter, m.taken_on)
        for m in measure(tuple(made), methods=METHODS).measurements
        if m.doubt is None
    ]
    assert len(seen) == len(set(seen))
