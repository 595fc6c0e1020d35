"""The band a tank is judged by: its own row, its livestock's, then the built-in one."""

import pytest
from made_tanks import CELL, METHODS, make_tank

from fleet.assess.bands import as_read_by, bands_for
from fleet.records import STAGE_ORDER, Band, Method
from fleet.reference import load_reference

REFERENCE = load_reference()
MIXED = make_tank(400, livestock="mixed coral")


def bands(*own, tank=MIXED, stage="mature"):
    return bands_for(tank, stage, own, REFERENCE)


def ends(band):
    return band.low, band.high


# ------------------------------------------------------------------------- built in


@pytest.mark.parametrize(
    ("livestock", "stage", "parameter", "expected"),
    [
        # Common practice, no source: the rules of thumb and the "usual" columns.
        ("mixed coral", "mature", "nitrate", (5, 15)),
        ("mixed coral", "settling", "phosphate", (0.03, 0.10)),
        ("stony coral", "mature", "nitrate", (1, 10)),
        ("soft coral", "mature", "phosphate", (0.03, 0.15)),
        ("fish only", "mature", "nitrate", (0, 40)),
        ("fish only", "ugly phase", "nitrate", (0, 40)),
        ("seahorse", "just cycled", "nitrate", (0, 20)),
        ("seahorse", "mature", "temperature", (20, 25)),
        ("", "mature", "temperature", (23, 27)),
        ("", "ugly phase", "nitrate", (0.25, 40)),
    ],
)
def test_a_built_in_band(livestock, stage, parameter, expected):
    tank = make_tank(400, livestock=livestock)
    assert ends(bands(tank=tank, stage=stage)[parameter]) == expected


@pytest.mark.parametrize("parameter", ["nitrate", "phosphate"])
def test_a_settled_tank_with_nothing_in_it_has_no_nutrient_band(parameter):
    assert parameter not in bands(tank=make_tank(400, livestock="none yet"))


@pytest.mark.parametrize("parameter", ["nitrate", "phosphate"])
def test_unnoted_livestock_is_taken_for_mixed_coral_and_marked(parameter):
    band = bands(tank=make_tank(400, livestock=""))[parameter]
    assert ends(band) == ends(bands(tank=MIXED)[parameter])
    assert band.livestock == "not noted"
    assert band.basis.startswith("house choice")
    assert band.aim is None  # nothing is dosed by it


@pytest.mark.parametrize("stage", ["just cycled", "ugly phase"])
def test_in_the_first_stages_the_low_edge_is_registering(stage):
    for parameter in ("nitrate", "phosphate"):
        assert bands(stage=stage)[parameter].low_registers
        assert not bands()[parameter].low_registers


# ------------------------------------------------------------------------ workbook rows

TANK_ROW = Band("nitrate", 2, 8, tank="t1")
KIND_ROW = Band("nitrate", 3, 9, livestock="mixed coral")
ANY_ROW = Band("nitrate", 4, 11)


def test_a_row_for_the_tank_beats_its_livestocks_which_beats_the_table():
    assert ends(bands(ANY_ROW, KIND_ROW, TANK_ROW)["nitrate"]) == (2, 8)
    assert ends(bands(ANY_ROW, KIND_ROW)["nitrate"]) == (3, 9)
    assert ends(bands(ANY_ROW)["nitrate"]) == (4, 11)


def test_rows_for_others_do_not_count():
    others = (
        Band("nitrate", 2, 8, tank="t2"),
        Band("nitrate", 2, 8, livestock="fish only"),
        Band("nitrate", 2, 8, tank="t1", stage="ugly phase"),
    )
    assert ends(bands(*others)["nitrate"]) == (5, 15)


def test_a_row_for_the_stage_beats_one_for_all_of_the_same_rank_only():
    for_stage = Band("nitrate", 6, 7, livestock="mixed coral", stage="mature")
    assert ends(bands(KIND_ROW, for_stage)["nitrate"]) == (6, 7)
    assert ends(bands(TANK_ROW, for_stage)["nitrate"]) == (2, 8)


def test_the_first_of_two_like_rows_counts():
    assert ends(bands(TANK_ROW, Band("nitrate", 1, 2, tank="t1"))["nitrate"]) == (2, 8)


def test_an_end_left_blank_stays_as_it_was():
    only_low = Band("nitrate", 7, None, tank="t1")
    assert ends(bands(only_low)["nitrate"]) == (7, 15)
    only_high = Band("nitrate", None, 12, tank="t1")
    assert ends(bands(only_high)["nitrate"]) == (5, 12)


def test_a_lone_end_past_the_built_in_other_one_stands_alone():
    assert ends(bands(Band("nitrate", 20, None, tank="t1"))["nitrate"]) == (20, None)
    assert ends(bands(Band("nitrate", None, 3, tank="t1"))["nitrate"]) == (None, 3)


def test_second_limits_inside_the_own_band_fall_away():
    wide = bands(Band("nitrate", 0.5, 60, tank="t1"))["nitrate"]
    assert (wide.remark_low, wide.remark_high, wide.act_high) == (None, None, None)
    narrow = bands(TANK_ROW)["nitrate"]
    assert (narrow.remark_low, narrow.remark_high, narrow.act_high) == (1, 25, 50)


def test_a_dose_aims_into_the_own_band():
    assert bands(TANK_ROW)["nitrate"].aim == 6  # the built-in aim lies inside
    # A fifth of the way up from 20 to 30, by limits.toml.
    assert bands(Band("nitrate", 20, 30, tank="t1"))["nitrate"].aim == pytest.approx(22)
    assert bands(Band("nitrate", 20, None, tank="t1"))["nitrate"].aim == 20


def test_an_own_low_replaces_registering_an_own_high_does_not():
    early = {"stage": "ugly phase"}
    assert not bands(TANK_ROW, **early)["nitrate"].low_registers
    only_high = bands(Band("nitrate", None, 20, tank="t1"), **early)["nitrate"]
    assert only_high.low_registers
    assert only_high.high == 20


def test_an_own_band_says_where_it_is_written():
    own = Band("nitrate", 2, 8, tank="t1", basis="workbook", written_at=CELL)
    found = bands(own)["nitrate"]
    assert (found.basis, found.written_at) == ("workbook", CELL)
    assert bands(TANK_ROW)["nitrate"].basis == "workbook"


def test_an_own_band_may_stand_where_there_is_no_built_in_one():
    tank = make_tank(400, livestock="none yet")
    assert ends(bands(Band("nitrate", 2, 8, tank="t1"), tank=tank)["nitrate"]) == (2, 8)


# ------------------------------------------------------------------ registers at all


def tells(lowest):
    return Method("made", "phosphate", "meter", lowest, None, None, None, None)


@pytest.mark.parametrize(
    ("lowest", "edge"),
    [
        (0.002, 0.01),  # a laboratory need not ask for less than 0.01
        (0.015, 0.015),
        (0.03, 0.03),
        (0.08, 0.03),  # a card cannot call a zero flat
        (None, 0.03),
    ],
)
def test_registering_is_what_the_method_tells_between_two_limits(lowest, edge):
    band = bands(stage="ugly phase")["phosphate"]
    assert as_read_by(band, tells(lowest), REFERENCE).low == edge


def test_a_settled_band_is_the_same_for_every_method():
    band = bands()["phosphate"]
    assert as_read_by(band, METHODS["phosphate card"], REFERENCE) is band


def test_without_any_result_registering_is_what_an_able_test_tells():
    assert as_read_by(bands(stage="ugly phase")["nitrate"], None, REFERENCE).low == 2


@pytest.mark.parametrize("parameter", ["nitrate", "phosphate"])
@pytest.mark.parametrize("livestock", ["soft coral", "mixed coral", "stony coral"])
@pytest.mark.parametrize("stage", STAGE_ORDER)
@pytest.mark.parametrize("lowest", [None, 0.002, 0.02, 0.5, 5])
@pytest.mark.parametrize("high", [0.001, 0.02, 0.2, 1, 40])
def test_no_own_upper_end_turns_a_band_upside_down(
    parameter, livestock, stage, lowest, high
):
    own = Band(parameter, None, high, livestock=livestock)
    tank = make_tank(400, livestock=livestock)
    band = bands(own, tank=tank, stage=stage)[parameter]
    read = as_read_by(band, tells(lowest), REFERENCE)
    assert read.high == high
    assert read.low is None or read.low < high


def test_an_upper_end_not_above_what_the_test_tells_is_judged_alone():
    """Phosphate, high 0.02, by a test that tells nothing under 0.03 from none."""
    own = Band("phosphate", None, 0.02, livestock="mixed coral")
    band = bands(own, stage="ugly phase")["phosphate"]
    assert ends(as_read_by(band, tells(0.01), REFERENCE)) == (0.01, 0.02)
    assert ends(as_read_by(band, tells(0.03), REFERENCE)) == (None, 0.02)
