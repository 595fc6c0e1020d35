"""A verdict per parameter: no more than its results, its method and its band allow."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from made_tanks import AS_OF, CELL, METHODS, ago, make_tank, measured, result, series

from fleet.assess.judging import chance_of, verdict_of
from fleet.assess.reasons import better_method_for
from fleet.assess.verdicts import findings_of
from fleet.records import Band, Doubt, Measurement, Method, Settings, Stage, say
from fleet.reference import MethodClass, load_reference
from fleet.render.wording import Wording
from fleet.science.resolution import Chance

REFERENCE = load_reference()
HOUSE = Settings()
WORDS = Wording(REFERENCE, HOUSE)
MIXED = make_tank(400, livestock="mixed coral")
DOUBT = Doubt("jump", say("doubts.future-date", on=AS_OF, as_of=AS_OF))


def stage(name="mature"):
    return Stage(name, 1.0, ())


def findings(*groups, tank=MIXED, at="mature", bands=(), house=HOUSE, log=()):
    return findings_of(
        tank, stage(at), measured(*groups), log, bands, house, REFERENCE, AS_OF
    )


def finding(parameter, *groups, **facts):
    (found,) = [f for f in findings(*groups, **facts) if f.parameter == parameter]
    return found


def verdict(parameter, value, method="", **facts):
    return finding(parameter, [result(parameter, 0, value, method)], **facts).verdict


def why(found):
    return WORDS.plain(found.why)


# ---------------------------------------------------------- which findings there are


def test_findings_come_in_the_order_of_the_tables_free_ammonia_after_ammonia():
    free = replace_parameter(result("ammonia", 0, 0), "free_ammonia")
    groups = [
        series("temperature", (0, 25)), series("ammonia", (0, 0)), [free],
        series("phosphate", (0, 0.05)),
    ]  # fmt: skip
    assert [f.parameter for f in findings(*groups)] == [
        "nitrate", "phosphate", "ammonia", "free_ammonia", "temperature",
    ]  # fmt: skip


def replace_parameter(m: Measurement, parameter: str) -> Measurement:
    return m._replace(parameter=parameter)


def test_a_nutrient_never_tested_is_said_to_be_so():
    found = finding("nitrate")
    assert (found.verdict, found.latest, found.age_days) == ("not judged", None, None)
    assert (found.under, found.within, found.over) == (0, 0, 0)
    assert why(found) == "No nitrate test is noted for this tank yet."


# ---------------------------------------------------------- the rule on its own


@pytest.mark.parametrize(
    ("under", "within", "over", "expected"),
    [
        (0.9, 0.1, 0.0, "under"), (0.1, 0.9, 0.0, "within"), (0.0, 0.1, 0.9, "over"),
        (0.89, 0.11, 0.0, "cannot tell"), (0.0, 0.0, 0.0, "cannot tell"),
    ],
)  # fmt: skip
def test_a_word_needs_its_chance(under, within, over, expected):
    assert verdict_of(Chance(under, within, over), 0.9, False) == expected


# Interval even over low..high, band 5 to 15, by hand.
@pytest.mark.parametrize(
    ("value", "expected"),
    [
        # A card with steps of 5 and 30 %: 5 means 2.5 to 7.5, half of it under 5.
        (5, (0.5, 0.5, 0.0)),
        (10, (0.0, 1.0, 0.0)),  # 7 to 13
        (15, (0.0, 0.5, 0.5)),  # 10.5 to 19.5
        (25, (0.0, 0.0, 1.0)),  # 17.5 to 32.5
        (2, (1.0, 0.0, 0.0)),  # 1 to 4.5
    ],
)
def test_chances_of_a_card(value, expected):
    found = finding("nitrate", [result("nitrate", 0, value)])
    assert (found.under, found.within, found.over) == pytest.approx(expected)


def test_chances_of_an_instrument_are_those_of_the_guide():
    # JCGM 106:2012, 7.4: y 13.6, u 1.8, 12.5 to 16.3: 0.66 within.
    how = Method("made", "nitrate", "meter", 0.1, 0.1, 1.8, None, None)
    seen = Measurement(
        "nitrate", AS_OF, 13.6, 10.0, 17.2, 1.8, "normal", True, "13.6", how, CELL
    )
    chance = chance_of(seen, Band("nitrate", 12.5, 16.3), REFERENCE)
    assert chance.within == pytest.approx(0.66, abs=0.005)


def test_the_settings_may_ask_for_less_or_more():
    seen = [result("nitrate", 0, 6)]  # 3.5 to 8.5: 70 % within
    assert finding("nitrate", seen).verdict == "cannot tell"
    assert (
        finding("nitrate", seen, house=Settings(chance_needed=0.6)).verdict == "within"
    )


# --------------------------------------------------- what a zero can and cannot say


def test_a_zero_by_an_able_test_is_under_in_the_first_stages():
    for parameter in ("nitrate", "phosphate"):
        found = finding(parameter, [result(parameter, 0, 0)], at="ugly phase")
        assert (found.verdict, found.under) == ("under", 1.0)
        assert found.flat_zero


def test_a_zero_by_a_colour_phosphate_test_cannot_tell():
    seen = [result("phosphate", 0, 0, "phosphate card")]
    for at in ("just cycled", "ugly phase", "settling", "mature"):
        found = finding("phosphate", seen, at=at)
        assert found.verdict == "cannot tell"
        assert found.better_method == "phosphate-photometer"
        assert not found.flat_zero
        # 0 to 0.08 evenly, low edge 0.03: three eighths of it lie under.
        assert found.under == pytest.approx(0.375)
    assert why(found) == (
        "A result of 0 on this colour test only says that phosphate lies somewhere "
        "between 0 and 0.08 mg/L. It takes a low-range phosphate photometer to tell."
    )


@pytest.mark.parametrize(("step", "better"), [(0.1, "fine"), (4.0, "")])
def test_a_method_tells_no_finer_than_half_its_step(step, better):
    # 6 +/- 0.1 lies above 5; in steps of 4 a 6 is anything from 4 to 8.
    fine = MethodClass("fine", "nitrate", "meter", "made up", 0.1, step, accuracy=0.1)
    reference = replace(REFERENCE, methods={"fine": fine})
    band = Band("nitrate", 5.0, 20.0)
    seen = result("nitrate", 0, 6)
    assert better_method_for(seen, band, 0.9, reference) == better


def test_a_stony_tanks_lower_edge_takes_a_finer_photometer():
    seen = [result("phosphate", 0, 0, "phosphate card")]
    tank = make_tank(400, livestock="stony coral")
    found = finding("phosphate", seen, tank=tank)
    assert found.better_method == "phosphate-photometer-fine"


@pytest.mark.parametrize("at", ["just cycled", "ugly phase"])
@pytest.mark.parametrize(("parameter", "value"), [("nitrate", 2), ("phosphate", 0.03)])
def test_anything_that_registers_in_an_early_tank_is_enough(parameter, value, at):
    found = finding(parameter, [result(parameter, 0, value)], at=at)
    assert (found.verdict, found.under, found.flat_zero) == ("within", 0.0, False)


def test_a_fine_test_may_register_and_still_be_under():
    fine = Method("lab", "phosphate", "laboratory", 0.002, 0.0001, 0.002, None, None)
    seen = Measurement(
        "phosphate", AS_OF, 0.004, 0.002, 0.006, 0.0012, "normal", True, "0.004", fine,
        CELL,
    )  # fmt: skip
    found = finding("phosphate", [seen], at="ugly phase")
    assert (found.verdict, found.flat_zero) == ("under", False)  # edge 0.01


def test_a_limit_written_above_what_counts_as_telling_is_no_flat_zero():
    how = METHODS["phosphate"]
    seen = Measurement(
        "phosphate", AS_OF, None, 0.0, 0.05, 0.0, "even", False, "<0.05", how, CELL
    )
    found = finding("phosphate", [seen], at="ugly phase")
    assert (found.verdict, found.flat_zero) == ("cannot tell", False)


@pytest.mark.parametrize("limit", [0.5, 3.0, 30.0])
def test_less_than_never_says_that_too_much_is_there(limit):
    how = METHODS["phosphate"]
    seen = Measurement(
        "phosphate", AS_OF, None, 0.0, limit, 0.0, "even", False, f"<{limit}", how, CELL
    )
    found = finding("phosphate", [seen])
    assert found.verdict == "cannot tell"  # band to 0.1
    assert found.second_limit == ""


def test_a_zero_in_a_settled_tank_is_under_and_beyond_the_second_limit():
    found = finding("nitrate", [result("nitrate", 0, 0)])
    assert found.verdict == "under"  # 0 to 2, band from 5
    assert found.second_limit == "low"  # remark at 1: even odds
    assert found.flat_zero


def test_a_zero_in_a_fish_only_tank_is_within():
    tank = make_tank(400, livestock="fish only")
    assert verdict("nitrate", 0, tank=tank) == "within"


def test_visits_at_flat_zero_are_counted_and_what_came_before_is_known():
    seen = series("nitrate", (28, 5), (21, 0), (14, 0), (7, 0), (0, 0))
    found = finding("nitrate", seen, at="ugly phase")
    assert (found.flat_zero, found.flat_zero_visits) == (True, 4)
    assert found.registered_before
    never = finding("nitrate", seen[1:], at="ugly phase")
    assert (never.flat_zero_visits, never.registered_before) == (4, False)


def test_two_zeros_of_one_day_are_one_visit():
    found = finding("nitrate", series("nitrate", (7, 0), (0, 0), (0, 0)))
    assert found.flat_zero_visits == 2


def test_a_zero_by_a_test_that_cannot_tell_ends_the_count():
    seen = [
        result("phosphate", 14, 0), result("phosphate", 7, 0, "phosphate card"),
        result("phosphate", 0, 0),
    ]  # fmt: skip
    assert finding("phosphate", seen).flat_zero_visits == 1


# ---------------------------------------------------------- not judged


@pytest.mark.parametrize("parameter", ["nitrate", "phosphate"])
def test_nutrients_are_not_judged_while_the_cycle_runs(parameter):
    found = finding(parameter, [result(parameter, 0, 0)], at="cycling")
    assert (found.verdict, found.under + found.within + found.over) == ("not judged", 0)
    assert found.latest is not None
    assert "ammonia and nitrite come first" in why(found)


def test_ammonia_and_nitrite_are_judged_while_the_cycle_runs():
    assert verdict("ammonia", 1, at="cycling") == "over"
    assert verdict("nitrite", 2, at="cycling") == "over"
    assert verdict("ammonia", 0, at="cycling") == "within"


@pytest.mark.parametrize(("days", "stale"), [(8, False), (9, True), (60, True)])
def test_old_results_are_shown_but_not_judged(days, stale):
    # A round of seven days, and the one day that it may be late.
    found = finding("nitrate", [result("nitrate", days, 0)], at="ugly phase")
    assert (found.stale, found.age_days) == (stale, days)
    assert (found.verdict == "not judged") is stale
    assert found.flat_zero is not stale
    if days == 60:
        assert why(found) == (
            "The last result, 0, is from Thu 30 Jan, 60 days ago. That is too old to "
            "judge today's water by, with a round every 7 days. Test again first."
        )


@pytest.mark.parametrize(("round_days", "old"), [(3, 5), (14, 16), (30, 32)])
def test_a_longer_round_lets_results_age(round_days, old):
    house = Settings(round_days=round_days)
    found = finding("nitrate", [result("nitrate", old - 1, 10)], house=house)
    assert (found.stale, found.verdict) == (False, "within")
    assert finding("nitrate", [result("nitrate", old, 10)], house=house).stale


def test_without_livestock_a_settled_tank_is_judged_as_mixed_coral_and_says_so():
    found = finding("nitrate", [result("nitrate", 0, 0)], tank=make_tank(400))
    assert found.verdict == "under"
    assert why(found) == (
        "What lives here is not noted, so it is judged as a mixed coral tank."
    )


def test_no_livestock_yet_has_bands_in_the_first_stages_only():
    tank = make_tank(60, livestock="none yet")
    assert verdict("nitrate", 0, tank=tank, at="just cycled") == "under"
    found = finding("nitrate", [result("nitrate", 0, 0)], tank=tank, at="settling")
    assert found.verdict == "not judged"
    assert "No range for nitrate is set" in why(found)


# ---------------------------------------------------------- doubted


def doubted(m: Measurement) -> Measurement:
    return m._replace(doubt=DOUBT)


def test_a_doubted_result_is_left_out_and_said():
    old, new = result("nitrate", 7, 10), doubted(result("nitrate", 0, 80))
    found = finding("nitrate", [old, new])
    assert (found.verdict, found.latest, found.doubted) == ("within", old, (new,))
    assert found.history == (old, new)
    assert why(found).startswith("The result of Mon 31 Mar is left out. ")


def test_only_doubted_results_leave_nothing_to_judge():
    new = doubted(result("nitrate", 0, 80))
    found = finding("nitrate", [new])
    assert (found.verdict, found.latest, found.doubted) == ("not judged", None, (new,))
    assert why(found).startswith("There is no nitrate result to judge by. ")


def test_an_older_doubt_that_a_good_result_followed_is_past():
    old, new = doubted(result("nitrate", 7, 80)), result("nitrate", 0, 10)
    found = finding("nitrate", [old, new])
    assert (found.doubted, found.why) == ((), None)
    assert found.previous is None


def test_doubt_and_age_are_both_said():
    old, new = result("nitrate", 30, 10), doubted(result("nitrate", 0, 80))
    found = finding("nitrate", [old, new])
    assert (found.verdict, found.stale) == ("not judged", True)
    assert "left out" in why(found)
    assert "30 days ago" in why(found)


# ---------------------------------------------------------- upper limits only


def upper_limit(value, high, days=0):
    how = METHODS["nitrate"]
    return Measurement(
        "nitrate", ago(days), value, 0.0, high, 0.0, "even", None, str(value), how,
        CELL, True,
    )  # fmt: skip


def test_nitrate_beside_nitrite_is_never_over():
    found = finding("nitrate", [upper_limit(80, 104)])
    assert found.verdict == "cannot tell"
    assert found.over <= 0.5
    assert found.under + found.within + found.over == pytest.approx(1)
    assert (found.better_method, found.second_limit) == ("", "")
    assert why(found) == (
        "Nitrite was in the water on the same visit, and a colour test reads it as "
        "nitrate. So the true nitrate is no more than 104 mg/L and may be far less. "
        "Test again when the nitrite is gone."
    )


def test_an_upper_limit_under_the_band_does_say_under():
    found = finding("nitrate", [upper_limit(2, 4.5)])
    assert found.verdict == "under"
    assert not found.flat_zero


ICP = Method("ICP", "phosphate", "total", 0.03, 0.003, None, 0.1, None)


def total(days, value, high):
    return Measurement(
        "phosphate", ago(days), value, 0.0, high, 0.0, "even", None, str(value), ICP,
        CELL, True,
    )  # fmt: skip


def test_total_phosphorus_alone_is_an_upper_limit_that_a_photometer_can_settle():
    found = finding("phosphate", [total(0, 0.2, 0.22)])
    assert (found.verdict, found.better_method) == (
        "cannot tell",
        "phosphate-photometer",
    )
    assert "only a phosphate test says how much it is" in why(found)


def test_total_phosphorus_does_not_replace_a_fresh_phosphate_test():
    own = result("phosphate", 7, 0.06)
    found = finding("phosphate", [own, total(0, 0.3, 0.33)])
    assert found.latest == own
    stale = finding("phosphate", [own._replace(taken_on=ago(30)), total(0, 0.3, 0.33)])
    assert stale.latest.method is ICP


def test_total_phosphorus_stays_out_of_trend_previous_and_zeros():
    own = series("phosphate", (21, 0.1), (14, 0.1), (7, 0.1), (0, 0.1))
    mixed = sorted([*own, total(10, 0.9, 0.99)], key=lambda m: m.taken_on)
    found = finding("phosphate", mixed)
    assert found.trend == finding("phosphate", own).trend
    assert found.previous == own[-2]


# ---------------------------------------------------------- second limits, trend, edges


@pytest.mark.parametrize(
    ("value", "expected"),
    [(20, ""), (24, ""), (27, "high"), (60, "high"), (10, ""), (4, "")],
)
def test_the_second_limit_needs_even_odds(value, expected):
    found = finding("nitrate", [result("nitrate", 0, value)])
    assert found.second_limit == expected  # remark limits 1 and 25


@pytest.mark.parametrize(
    ("value", "verdict_word", "second"),
    [(25.5, "within", ""), (31, "over", "high"), (20, "under", "low"),
     (28.5, "over", "")],
)  # fmt: skip
def test_water_beyond_its_act_limit(value, verdict_word, second):
    found = finding("temperature", [result("temperature", 0, value)])
    assert (found.verdict, found.second_limit) == (verdict_word, second)


def test_a_trend_and_its_crossing_are_part_of_the_finding():
    seen = series("nitrate", (28, 12), (21, 11), (14, 10), (7, 9), (0, 8),
                  method="fine nitrate")  # fmt: skip
    found = finding("nitrate", seen)
    assert found.trend.per_week == pytest.approx(-1)
    assert found.crossing.bound == "low"
    assert found.previous == seen[-2]


def test_free_ammonia_has_no_trend_and_says_what_it_rests_on():
    note = say(
        "verdicts.free-ammonia-from", ph=8.2, temperature=25.0, salinity=35.0,
        assumed=("ph", "salinity"), earlier=("temperature",), outside=(),
    )  # fmt: skip
    seen = [
        result("ammonia", days, 0)._replace(parameter="free_ammonia", note=note)
        ._replace(high=0.008)
        for days in (21, 14, 7, 0)
    ]  # fmt: skip
    found = finding("free_ammonia", seen)
    assert (found.verdict, found.trend) == ("within", None)
    assert why(found) == (
        "Worked out from total ammonia with pH 8.2, 25 °C and salinity 35 PSU. Not "
        "measured of late, so a usual value is taken: pH and salinity. From an earlier "
        "visit: temperature."
    )


def test_own_bands_are_used_and_shown():
    own = Band("nitrate", 20, 40, tank="t1")
    found = finding("nitrate", [result("nitrate", 0, 10)], bands=(own,))
    assert (found.verdict, found.band.low) == ("under", 20)


# ---------------------------------------------------------- plain words


@pytest.mark.parametrize(
    ("seen", "said"),
    [
        (
            result("nitrate", 0, 6),
            "A result of 6 on this colour test means about 3.5 to 8.5 mg/L. That is "
            "too wide to say on which side of 5 mg/L nitrate lies.",
        ),
        (
            result("nitrate", 0, 6, how=replace(METHODS["nitrate"], assumed=True)),
            "A result of 6 on this colour test means about 3.5 to 8.5 mg/L. That is "
            "too wide to say on which side of 5 mg/L nitrate lies. The test used is "
            "not listed, so an ordinary one of its kind is taken.",
        ),
        (
            Measurement(
                "nitrate", AS_OF, None, 10.0, float("inf"), 0.0, "even", True, ">10",
                METHODS["nitrate"], CELL,
            ),
            "A result of >10 on this colour test only says that there is 10 mg/L or "
            "more.",
        ),
        (
            Measurement(
                "nitrate", AS_OF, 4.0, 0.0, 6.5, 0.0, "even", None, "4",
                METHODS["nitrate"], CELL,
            ),
            "A result of 4 is less than this colour test can surely tell from none: "
            "nitrate lies somewhere between 0 and 6.5 mg/L.",
        ),
    ],
)  # fmt: skip
def test_cannot_tell_in_words(seen, said):
    low = Band("nitrate", 5, 15, tank="t1")
    found = finding("nitrate", [seen], bands=(low,))
    assert found.verdict == "cannot tell"
    assert why(found).startswith(said)


def test_a_keepers_own_words_are_escaped():
    seen = result("phosphate", 0, 0, "phosphate card")._replace(written="<b>0&")
    markup = WORDS.markup(finding("phosphate", [seen]).why)
    assert "<b>&lt;b&gt;0&amp;</b>" in markup


def test_nobody_is_sent_to_a_laboratory_for_a_value_near_an_edge():
    how = Method("meter", "nitrate", "meter", 1.0, 0.1, 2.0, 0.08, 75.0)
    seen = Measurement(
        "nitrate", AS_OF, 5.5, 3.0, 8.0, 1.4, "normal", True, "5.5", how, CELL
    )
    assert finding("nitrate", [seen]).better_method == ""


# ---------------------------------------------------------- properties

results = st.builds(
    result,
    st.sampled_from(["nitrate", "phosphate", "ammonia", "nitrite", "temperature"]),
    st.integers(-3, 90),
    st.floats(0, 60).map(lambda v: round(v, 2)),
).flatmap(lambda m: st.sampled_from([m, doubted(m)]))
stages = st.sampled_from(["cycling", "just cycled", "ugly phase", "settling", "mature"])
kinds = st.sampled_from(["", "none yet", "mixed coral", "stony coral", "fish only"])


@given(st.lists(results, max_size=12), stages, kinds)
def test_chances_sum_to_one_or_nothing_was_judged(seen, at, livestock):
    for found in findings(seen, at=at, tank=make_tank(400, livestock=livestock)):
        chances = (found.under, found.within, found.over)
        assert all(0 <= chance <= 1 for chance in chances)
        if found.verdict == "not judged":
            assert sum(chances) == 0
            assert found.why is not None
            continue
        assert sum(chances) == pytest.approx(1)
        if found.verdict == "cannot tell":
            assert found.why is not None
        else:
            word = dict(zip(("under", "within", "over"), chances, strict=True))
            assert word[found.verdict] >= 0.9


@given(st.lists(results, max_size=12), stages)
def test_a_doubted_or_later_result_is_never_used(seen, at):
    for found in findings(seen, at=at):
        for used in (found.latest, found.previous):
            assert used is None or (used.doubt is None and used.taken_on <= AS_OF)
        assert all(m.doubt is not None for m in found.doubted)


@given(st.lists(results, max_size=12), stages, kinds)
def test_every_reason_can_be_said(seen, at, livestock):
    for found in findings(seen, at=at, tank=make_tank(400, livestock=livestock)):
        if found.why is not None:
            assert WORDS.plain(found.why).endswith(".")
