"""From a keeper's readings to what may be said of them, both stages together."""

import pytest
from made_results import (
    AS_OF,
    HOUSE,
    REFERENCE,
    SHARP_PHOSPHATE,
    ago,
    measure,
    series,
    tank,
    visits,
    work,
)

from fleet.assess.verdicts import findings_of
from fleet.normalise.units import kept_bands
from fleet.records import Band, Method, Stage
from fleet.render.wording import Wording

WORDS = Wording(REFERENCE, HOUSE)


def find(
    readings,
    parameter,
    *,
    at="ugly phase",
    log=(),
    bands=(),
    methods=(SHARP_PHOSPHATE,),
):
    measured = measure(readings, log=log, methods=methods)
    found = findings_of(
        tank(), Stage(at, 1.0, ()), measured, tuple(log),
        kept_bands(bands, HOUSE, REFERENCE), HOUSE, REFERENCE, AS_OF,
    )  # fmt: skip
    (one,) = [f for f in found if f.parameter == parameter]
    return one


# ------------------------------------------------------- one tank, several test methods


@pytest.mark.parametrize(
    ("method", "verdict", "flat", "better"),
    [
        ("colour card", "cannot tell", False, "phosphate-photometer"),
        ("", "cannot tell", False, "phosphate-photometer"),
        ("low range photometer", "under", True, ""),
        ("Sharp photometer", "under", True, ""),
        ("laboratory", "under", True, ""),
    ],
)
@pytest.mark.parametrize("at", ["just cycled", "ugly phase", "mature"])
def test_the_same_zero_says_what_its_method_can_tell(method, verdict, flat, better, at):
    found = find(series("phosphate", (0, 0), method=method), "phosphate", at=at)
    assert (found.verdict, found.flat_zero, found.better_method) == (
        verdict, flat, better,
    )  # fmt: skip


def test_the_sheet_says_what_a_colour_zero_means_and_what_was_assumed():
    found = find(series("phosphate", (0, "ND")), "phosphate")
    assert WORDS.plain(found.why) == (
        "A result of ND on this colour test only says that phosphate lies somewhere "
        "between 0 and 0.08 mg/L. The test used is not listed, so an ordinary one of "
        "its kind is taken. It takes a low-range phosphate photometer to tell."
    )


@pytest.mark.parametrize("written", ["<0.02", "<0.03", "0.01", "0", "BDL", "-0.01"])
def test_no_way_of_writing_makes_a_method_sharper(written):
    readings = series("phosphate", (0, written), method="low range photometer")
    found = find(readings, "phosphate")
    assert found.latest.high == 0.03
    assert found.flat_zero


@pytest.mark.parametrize("written", ["trace", "Traces", "tr."])
def test_a_trace_registers_but_has_no_value(written):
    # Common practice, no source: anything that registers in an early tank is enough.
    readings = series("phosphate", (0, written), method="low range photometer")
    found = find(readings, "phosphate", at="ugly phase")
    assert (found.verdict, found.flat_zero) == ("within", False)
    assert (found.latest.value, found.latest.low, found.latest.high) == (None, 0, 0.03)


def test_no_trace_is_none():
    readings = series("phosphate", (0, "no trace"), method="low range photometer")
    assert find(readings, "phosphate", at="ugly phase").flat_zero


def test_less_than_a_coarse_limit_is_only_that():
    readings = series("phosphate", (0, "<0.1"), method="low range photometer")
    found = find(readings, "phosphate")
    assert (found.verdict, found.flat_zero) == ("cannot tell", False)


def test_a_nitrate_zero_by_an_ordinary_card_is_flat_but_not_by_a_coarse_one():
    assert find(series("nitrate", (0, 0)), "nitrate").flat_zero
    coarse = Method("Old strips", "nitrate", "card", 10.0, 10.0, None, None, None)
    found = find(
        series("nitrate", (0, 0), method="Old strips"), "nitrate", methods=(coarse,)
    )
    assert (found.verdict, found.flat_zero) == ("cannot tell", False)
    # Not "a colour card": to the keeper that is what was used.
    assert found.better_method == "nitrate-photometer"


# ---------------------------------------------------------- judged without


def test_ppb_in_a_ppm_column_is_judged_without_and_named():
    readings = series("phosphate", (14, 0.06), (7, 0.07), (0, 70),
                      method="Sharp photometer")  # fmt: skip
    found = find(readings, "phosphate", at="mature")
    assert (found.verdict, found.latest.taken_on) == ("within", ago(7))
    assert [m.doubt.would_be for m in found.doubted] == [pytest.approx(0.07)]
    assert "If µg/L (ppb) was meant, it is 0.07 mg/L." in WORDS.plain(found.why)


def test_a_future_reading_is_judged_without():
    found = find(series("nitrate", (7, 10), (-5, 0)), "nitrate", at="mature")
    assert (found.verdict, found.latest.taken_on) == ("within", ago(7))
    assert found.doubted[0].doubt.kind == "future date"


def test_hot_water_is_heard_and_fahrenheit_is_not():
    hot = find(series("temperature", (7, 26), (0, 33)), "temperature")
    assert (hot.verdict, hot.second_limit) == ("over", "high")
    slip = find(series("temperature", (7, 26), (0, 78)), "temperature")
    assert (slip.verdict, slip.second_limit) == ("within", "")


def test_a_dose_that_shows_is_no_jump_and_no_drift():
    # 1 g of sodium nitrate in 200 L: 3.6475 mg/L NO3.
    pairs = [(28, 10.0), (21, 10.0), (14, 10.0), (7, 13.6), (0, 13.6)]
    readings = series("nitrate", *pairs, method="laboratory")
    log = [work(10, "dose", "sodium nitrate", 1, "g")]
    found = find(readings, "nitrate", at="mature", log=log)
    assert found.trend.per_week == pytest.approx(0, abs=0.02)
    assert found.trend.corrected_for_work
    assert found.doubted == ()


# ---------------------------------------------------------- ammonia, nitrite, salinity


def test_nitrite_beside_a_high_nitrate_keeps_it_from_being_over():
    readings = visits((0, {"nitrate": 80, "nitrite": 5, "ammonia": 0}))
    found = find(readings, "nitrate", at="just cycled")
    assert (found.verdict, found.second_limit) == ("cannot tell", "")
    alone = find(visits((0, {"nitrate": 80})), "nitrate", at="just cycled")
    assert alone.verdict == "over"


def test_free_ammonia_is_judged_by_its_own_water():
    # 0.5 mg/L N: at pH 7.8 and 25 degC 2.7 % is free, at pH 8.4 it is 9.9 % (Bell et
    # al. 2008); half of the 0.035 mg/L limit of EPA 440/5-88-004 (from memory).
    def at(ph):
        cells = {"ammonia": (0.5, "photometer"), "ph": ph, "temperature": 25}
        return find(visits((0, cells)), "free_ammonia", at="mature")

    assert at(8.4).verdict == "over"
    assert at(8.4).second_limit == "high"
    assert at(7.6).verdict == "within"


def test_free_ammonia_that_may_be_either_is_said_to_be_so():
    # 0.25 by a card means 0.125 to 0.375 mg/L N; pH was never measured.
    found = find(visits((0, {"ammonia": 0.25})), "free_ammonia", at="mature")
    assert found.verdict == "cannot tell"
    said = WORDS.plain(found.why)
    assert "That is too wide to say on which side of 0.018 mg/L it lies" in said
    assert "so a usual value is taken: pH, temperature and salinity" in said


def test_ammonia_that_registers_is_over_at_once():
    found = find(series("ammonia", (7, 0), (0, 1)), "ammonia", at="mature")
    assert (found.verdict, found.doubted) == ("over", ())


def test_salinity_as_gravity_says_on_which_scale():
    found = find(series("salinity", (0, 1.026), unit="SG"), "salinity", at="mature")
    assert found.verdict == "within"
    assert "on a scale of 25/25" in WORDS.plain(found.why)


def test_an_own_band_in_degrees_of_hardness_is_used():
    own = Band("alkalinity", 9, 11, unit="dKH", tank="t1")
    readings = series("alkalinity", (0, 8))
    assert find(readings, "alkalinity").verdict == "within"
    assert find(readings, "alkalinity", bands=(own,)).verdict == "under"
