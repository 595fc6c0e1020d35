"""Every situation of the job, from a workbook to what the sheet asks for.

The situations and what a mentor would say are common practice, no source, unless
a source stands beside the check. Amounts are worked by hand from IUPAC abridged
standard atomic weights (Pure Appl. Chem. 94, 573-600, 2022): NaNO3 84.994 g/mol is
62.004/84.994 = 72.95 % nitrate; K2HPO4 174.174 g/mol is 94.970/174.174 = 54.53 %
phosphate.
"""

from __future__ import annotations

from datetime import date

import pytest

from fleet.records import ATTENTION_ORDER
from tests.situations.build import (
    AS_OF,
    COLOUR_NITRATE,
    COLOUR_PHOSPHATE,
    LOW_RANGE,
    ago,
    judge,
    judge_book,
    tank,
    visit,
    work,
    write,
)

NITRATE_SHARE = 62.004 / 84.994
PHOSPHATE_SHARE = 94.970 / 174.174
URGENT = ATTENTION_ORDER.index


def cycle_visits(*, until: int) -> list[dict]:
    """A cycle that ran from day 70 to day ``until`` before the report."""
    return [
        visit(70, ammonia=1.0, nitrite=0),
        visit(63, ammonia=2.0, nitrite=1.0),
        visit(56, 5, ammonia=0.5, nitrite=3.0),
        visit(until + 7, 12, ammonia=0, nitrite=0),
        visit(until, 8, ammonia=0, nitrite=0),
    ]


# ------------------------------------------------------------------- zero, and young


@pytest.fixture
def zero_after_cycle(tmp_path):
    return judge(
        tmp_path,
        [tank(filled=ago(60), cycled=ago(20), livestock="none yet", fish=2)],
        [
            visit(20, 2, 0.04, ammonia=0, nitrite=0, look="clear"),
            visit(13, 0, 0, ammonia=0, nitrite=0, look="clear"),
            visit(6, 0, 0, ammonia=0, nitrite=0, look="clear"),
            visit(0, 0, 0, ammonia=0, nitrite=0, look="clear"),
        ],
    )


def test_zero_after_cycle_is_no_failed_cycle(zero_after_cycle):
    sheet = zero_after_cycle
    assert sheet.entry["stage"]["name"] == "just cycled"
    assert "zero-after-cycle" in sheet.entry["situations"]
    assert {"rock uptake", "light feeding"} <= set(sheet.causes)
    assert sum(sheet.causes.values()) == pytest.approx(1, abs=0.01)
    assert sheet.of("add life")
    assert sheet.of("seed")
    assert "rock" in sheet.of("seed")[0]["what"].lower()
    assert 5 <= sheet.retest_in("nitrate") <= 8


def test_zero_after_cycle_asks_for_no_dose_and_no_alarm(zero_after_cycle):
    sheet = zero_after_cycle
    assert not sheet.of("dose")
    assert not sheet.of("water change")
    assert URGENT(sheet.entry["attention"]) >= URGENT("watch")
    for word in ("crash", "restart", "start again", "emergency"):
        assert word not in sheet.text


@pytest.fixture
def zero_in_ugly_phase(tmp_path):
    return judge(
        tmp_path,
        [tank(filled=ago(75), cycled=ago(45))],
        [
            *cycle_visits(until=42),
            visit(35, 6, 0.05, ammonia=0, nitrite=0, look="clear"),
            visit(28, 3, 0.03, look="brown film"),
            visit(21, 1, 0.02, look="brown film"),
            visit(14, 0, 0, look="brown film, green film"),
            visit(7, 0, 0, look="brown film, green film"),
            visit(0, 0, 0, ammonia=0, nitrite=0, look="green film"),
        ],
        shelf=[
            {"Substance": "sodium nitrate", "Purity (%)": 99, "On hand (g)": 250},
            {"Substance": "dipotassium phosphate", "Purity (%)": 98, "On hand (g)": 50},
        ],
    )


def test_zero_in_ugly_phase_is_acted_on_this_week(zero_in_ugly_phase):
    sheet = zero_in_ugly_phase
    assert sheet.entry["stage"]["name"] == "ugly phase"
    assert sheet.entry["attention"] == "this week"
    assert sheet.entry["situations"][0] == "zero-in-ugly-phase"
    assert sheet.parameter("nitrate")["verdict"] == "under"
    assert sheet.parameter("phosphate")["verdict"] == "under"
    assert sheet.parameter("nitrate")["value"] is None
    assert 3 <= sheet.retest_in("nitrate") <= 4
    assert 3 <= sheet.retest_in("phosphate") <= 4


def test_zero_in_ugly_phase_doses_both_to_a_modest_floor_over_days(zero_in_ugly_phase):
    nitrate = zero_in_ugly_phase.dose("nitrate")
    phosphate = zero_in_ugly_phase.dose("phosphate")
    assert 1 <= nitrate["expected"]["nitrate"] <= 5
    assert 0.02 <= phosphate["expected"]["phosphate"] <= 0.06
    # Never more than the largest rise a day: 2 mg/L nitrate, 0.03 mg/L phosphate.
    assert nitrate["expected"]["nitrate"] / nitrate["days"] <= 2 + 1e-9
    assert phosphate["expected"]["phosphate"] / phosphate["days"] <= 0.03 + 1e-9
    assert nitrate["days"] >= 2
    for action, parameter, share, purity in (
        (nitrate, "nitrate", NITRATE_SHARE, 0.99),
        (phosphate, "phosphate", PHOSPHATE_SHARE, 0.98),
    ):
        rise = action["expected"][parameter]
        grams = rise * 200 / 1000 / share / purity
        assert action["amount_g"] == pytest.approx(grams, rel=0.003)
        assert action["per_day_g"] * action["days"] == pytest.approx(grams, rel=0.003)
        assert action["stop_if"]
        assert action["cautions"]
        assert action["sources"]


def test_zero_in_ugly_phase_says_why_and_does_not_clean_it_all_out(zero_in_ugly_phase):
    sheet = zero_in_ugly_phase
    assert "microbes" in sheet.text or "bacteria" in sheet.text
    assert "dinoflagellates" in sheet.text
    assert not sheet.of("wait")
    assert any("clean" in said.lower() for said in sheet.entry["leave_alone"])


def test_trace_in_ugly_phase_is_left_alone(tmp_path):
    sheet = judge(
        tmp_path,
        [tank(filled=ago(75), cycled=ago(45))],
        [
            visit(45, 3, 0.04, ammonia=0, nitrite=0),
            visit(28, 2.5, 0.05, look="brown film"),
            visit(21, 3, 0.05, look="brown film"),
            visit(14, 3, 0.04, look="brown film"),
            visit(7, 2.5, 0.05, look="brown film, green film"),
            visit(0, 3, 0.04, ammonia=0, nitrite=0, look="green film"),
        ],
    )
    assert sheet.entry["stage"]["name"] == "ugly phase"
    assert sheet.entry["situations"][0] == "trace-in-ugly-phase"
    assert sheet.parameter("nitrate")["verdict"] == "within"
    assert not sheet.of("dose")
    assert 5 <= sheet.retest_in("nitrate") <= 8


# -------------------------------------------------------------- what a test can tell


def ugly_with_phosphate(tmp_path, method, nitrate=3):
    return judge(
        tmp_path,
        [tank(filled=ago(75), cycled=ago(45))],
        [
            *cycle_visits(until=42),
            *(
                visit(d, nitrate, 0, phosphate_method=method, look="brown film")
                for d in (14, 7)
            ),
            visit(0, nitrate, 0, phosphate_method=method, ammonia=0, nitrite=0,
                  look="brown film"),
        ],
    )  # fmt: skip


def test_colour_phosphate_zero_cannot_tell(tmp_path):
    sheet = ugly_with_phosphate(tmp_path, COLOUR_PHOSPHATE[0])
    phosphate = sheet.parameter("phosphate")
    assert phosphate["verdict"] == "cannot tell"
    assert (phosphate["low"], phosphate["high"]) == (0, 0.08)
    assert phosphate["value"] is None
    assert "cannot-tell-phosphate" in sheet.entry["situations"]
    assert sheet.dose("phosphate") is None
    (retest,) = [a for a in sheet.of("retest") if "phosphate" in a["what"].lower()]
    assert "low-range" in retest["what"]
    assert "test method" in sheet.causes


def test_low_range_photometer_gets_a_verdict(tmp_path):
    sheet = ugly_with_phosphate(tmp_path, LOW_RANGE[0])
    assert sheet.parameter("phosphate")["verdict"] == "under"
    assert sheet.dose("phosphate") is not None


def test_nitrate_is_dosed_where_only_phosphate_cannot_be_told(tmp_path):
    sheet = ugly_with_phosphate(tmp_path, COLOUR_PHOSPHATE[0], nitrate=0)
    assert sheet.dose("phosphate") is None
    nitrate = sheet.dose("nitrate")
    (retest,) = [a for a in sheet.of("retest") if "low-range" in a["what"]]
    assert nitrate is not None
    assert retest["priority"] < nitrate["priority"]


def test_unnamed_phosphate_test_is_not_taken_for_a_fine_one(tmp_path):
    sheet = judge(
        tmp_path,
        [tank(filled=ago(400))],
        [visit(d, 8, 0, phosphate_method=None) for d in (21, 14, 7, 0)],
    )
    assert sheet.parameter("phosphate")["verdict"] == "cannot tell"
    assert not sheet.of("dose")


def test_nitrite_makes_colour_nitrate_an_upper_limit(tmp_path):
    sheet = judge(
        tmp_path,
        [tank(filled=ago(60), cycled=None, livestock="none yet", fish=0)],
        [
            visit(14, 40, nitrate_method=COLOUR_NITRATE[0], ammonia=0.5, nitrite=3),
            visit(7, 60, nitrate_method=COLOUR_NITRATE[0], ammonia=0, nitrite=2),
            visit(0, 60, nitrate_method=COLOUR_NITRATE[0], ammonia=0, nitrite=2),
        ],
    )
    assert sheet.parameter("nitrate")["verdict"] != "over"
    assert not sheet.of("water change")
    assert "nitrite-interferes" in sheet.entry["situations"]


# ------------------------------------------------------------------------- the cycle


def test_cycling_waits(tmp_path):
    sheet = judge(
        tmp_path,
        [tank(filled=ago(18), livestock="none yet", fish=0, feed=0)],
        [
            visit(12, ammonia=1.0, nitrite=0),
            visit(8, ammonia=2.0, nitrite=0.2),
            visit(4, ammonia=1.5, nitrite=1.0),
            visit(0, 5, 0.1, ammonia=0.8, nitrite=2.0),
        ],
    )
    assert sheet.entry["stage"]["name"] == "cycling"
    assert sheet.of("wait")
    assert not sheet.of("dose")
    assert not sheet.of("water change")
    assert sheet.retest_in("ammonia") == 2
    assert sheet.parameter("nitrate")["verdict"] == "not judged"
    assert sheet.parameter("phosphate")["verdict"] == "not judged"
    assert sheet.entry["attention"] in ("watch", "steady")


def test_cycle_with_animals_is_for_today(tmp_path):
    sheet = judge(
        tmp_path,
        [tank(filled=ago(25), livestock="fish only", fish=3, feed=1)],
        [
            visit(7, ammonia=0.2, nitrite=0),
            visit(0, 2, ammonia=1.0, nitrite=0.5),
        ],
    )
    assert sheet.entry["attention"] == "today"
    assert sheet.entry["situations"][0] == "cycle-with-animals"
    free = sheet.parameter("free_ammonia")
    # Bell et al. 2008, Environ. Chem. 5, 258: pKa = 10.0423 - 0.0315536 t
    # + 0.003071 S; at 25.5 degC, 35 PSU, pH 8.2 the free share is 6.68 %, so
    # 1 mg/L N is 0.0668 x 17.031/14.007 = 0.0812 mg/L NH3.
    assert free["value"] == pytest.approx(0.0812, rel=0.02)
    (change,) = sheet.of("water change")
    assert 0 < change["water_change_share"] <= 0.5
    assert change["water_change_l"] == pytest.approx(
        200 * change["water_change_share"], rel=0.02
    )
    assert any("feed" in a["what"].lower() for a in sheet.actions)
    assert sheet.retest_in("ammonia") == 1
    assert not sheet.of("dose")


def test_cycle_stalled_checks_the_conditions(tmp_path):
    sheet = judge(
        tmp_path,
        [tank(filled=ago(55), livestock="none yet", fish=0, feed=0)],
        [visit(d, ammonia=2.0, nitrite=0) for d in (50, 43, 36, 29, 22, 15, 8, 0)],
    )
    assert sheet.entry["stage"]["name"] == "cycling"
    assert "cycle-stalled" in sheet.entry["situations"]
    checks = " ".join(a["what"] for a in sheet.of("check")).lower()
    for word in ("temperature", "ph", "salinity"):
        assert word in checks
    assert not sheet.of("dose")


def test_never_cycled_is_checked_with_measured_ammonia(tmp_path):
    sheet = judge(
        tmp_path,
        [tank(filled=ago(40), livestock="none yet", fish=0, feed=0)],
        [visit(d, 0, 0, ammonia=0, nitrite=0, look="clear") for d in (30, 20, 10, 0)],
        shelf=[{"Substance": "ammonium chloride", "Purity (%)": 99}],
    )
    assert "never-cycled" in sheet.entry["situations"]
    doses = [a for a in sheet.actions if a["substance"] == "ammonium chloride"]
    assert len(doses) == 1
    # 1 mg/L N in 200 L is 0.2 g N; NH4Cl is 14.007/53.489 = 26.19 % N, 99 % pure.
    assert doses[0]["amount_g"] == pytest.approx(
        0.2 / (14.007 / 53.489) / 0.99, rel=0.01
    )
    assert not sheet.of("add life")
    assert "24" in sheet.text and "48" in sheet.text


def test_never_cycled_adds_no_ammonia_with_animals_in(tmp_path):
    sheet = judge(
        tmp_path,
        [tank(filled=ago(40), livestock="fish only", fish=2, feed=0)],
        [visit(d, 0, 0, ammonia=0, nitrite=0, look="clear") for d in (30, 20, 10, 0)],
    )
    assert not [a for a in sheet.actions if "ammonium" in (a["substance"] or "")]


# -------------------------------------------------------------------- stripped, lean


def test_stripped_takes_the_export_off_first(tmp_path):
    sheet = judge(
        tmp_path,
        [
            tank(
                filled=ago(75),
                cycled=ago(45),
                equipment="filter roller, phosphate media, skimmer",
            )
        ],
        [
            *cycle_visits(until=42),
            *(visit(d, 0, 0, look="brown film") for d in (14, 7)),
            visit(0, 0, 0, ammonia=0, nitrite=0, look="brown film"),
        ],
    )
    assert sheet.entry["situations"][0] == "stripped"
    off = sheet.of("take out") + sheet.of("hold off")
    assert any("roller" in a["what"].lower() for a in off)
    assert any("phosphate media" in a["what"].lower() for a in off)
    assert not sheet.of("dose")
    assert 5 <= sheet.retest_in("nitrate") <= 8
    assert {"over-filtration", "phosphate media"} & set(sheet.causes)


def mature(**more):
    return tank(filled=ago(500), cycled=ago(460), rock="cured live", fish=6, feed=1.5,
                volume=400, **more)  # fmt: skip


def test_mature_and_lean_is_left_alone(tmp_path):
    sheet = judge(
        tmp_path,
        [mature()],
        [
            visit(d, 1.5, 0.03, look="coralline, good colour")
            for d in (35, 28, 21, 14, 7, 0)
        ],
    )
    assert sheet.entry["stage"]["name"] == "mature"
    assert sheet.entry["attention"] in ("steady", "watch")
    assert not sheet.of("dose")
    assert not sheet.of("water change")
    assert 5 <= sheet.retest_in("nitrate") <= 8


def test_mature_flat_zero_that_looks_good_is_watched(tmp_path):
    sheet = judge(
        tmp_path,
        [mature()],
        [visit(d, 0, 0, look="coralline, good colour") for d in (35, 28, 21, 14, 7, 0)],
    )
    assert sheet.entry["stage"]["name"] == "mature"
    assert sheet.entry["attention"] == "watch"
    assert sheet.of("feed") or sheet.of("add life")
    assert not sheet.of("dose")
    assert 5 <= sheet.retest_in("nitrate") <= 8


def test_mature_and_starving_is_raised_slowly(tmp_path):
    sheet = judge(
        tmp_path,
        [mature()],
        [
            visit(d, 0, 0, look="coralline, pale coral, slow growth")
            for d in (35, 28, 21, 14, 7, 0)
        ],
    )
    assert sheet.entry["situations"][0] == "mature-and-starving"
    assert sheet.entry["attention"] == "this week"
    assert sheet.of("feed")
    doses = sheet.of("dose")
    assert doses
    for dose in doses:
        ((parameter, rise),) = dose["expected"].items()
        largest = {"nitrate": 2, "phosphate": 0.03}[parameter]
        assert rise / dose["days"] <= largest + 1e-9
    assert max(sheet.retest_in(p) for p in ("nitrate", "phosphate")) <= 14


# -------------------------------------------------------------- one-sided, over, moving


def test_one_sided_brings_up_the_missing_one(tmp_path):
    sheet = judge(
        tmp_path,
        [tank(filled=ago(130), cycled=ago(95))],
        [visit(d, 35, 0, look="green film, hair algae") for d in (28, 21, 14, 7, 0)],
    )
    assert "one-sided" in sheet.entry["situations"]
    assert sheet.dose("nitrate") is None
    assert sheet.dose("phosphate") or sheet.of("feed")
    for action in sheet.actions:
        assert "phosphate media" not in action["what"].lower()


def test_one_sided_the_other_way(tmp_path):
    sheet = judge(
        tmp_path,
        [mature()],
        [visit(d, 0, 0.3, look="pale coral") for d in (28, 21, 14, 7, 0)],
    )
    assert "one-sided" in sheet.entry["situations"]
    assert sheet.dose("phosphate") is None
    assert sheet.dose("nitrate") or sheet.of("feed")


def test_over_is_changed_by_calculation(tmp_path):
    sheet = judge(
        tmp_path,
        [mature()],
        [
            visit(d, 60, 0.08, look="coralline, good colour")
            for d in (35, 28, 21, 14, 7, 0)
        ],
        settings={"Change water nitrate (mg/L)": 2},
    )
    assert sheet.parameter("nitrate")["verdict"] == "over"
    assert "over" in sheet.entry["situations"]
    (change,) = sheet.of("water change")
    share = change["water_change_share"]
    assert 0.05 <= share <= 0.30 + 1e-9
    assert change["water_change_l"] == pytest.approx(400 * share, rel=0.02)
    assert not sheet.of("dose")
    assert {"heavy feeding", "little export"} & set(sheet.causes)


def test_over_says_so_where_change_water_cannot_help(tmp_path):
    sheet = judge(
        tmp_path,
        [mature()],
        [visit(d, 45, 0.08, look="coralline") for d in (28, 21, 14, 7, 0)],
        settings={"Change water nitrate (mg/L)": 50},
    )
    assert not sheet.of("water change")
    assert "source water" in sheet.causes


def test_over_and_young_is_one_change_before_animals(tmp_path):
    sheet = judge(
        tmp_path,
        [tank(filled=ago(50), cycled=ago(8), livestock="none yet", fish=0)],
        [
            visit(40, ammonia=2, nitrite=0),
            visit(26, 20, ammonia=0.5, nitrite=2),
            visit(8, 80, 0.1, ammonia=0, nitrite=0),
            visit(0, 80, 0.1, ammonia=0, nitrite=0),
        ],
    )
    assert "over-and-young" in sheet.entry["situations"]
    (change,) = sheet.of("water change")
    assert change["water_change_share"] > 0
    for action in sheet.actions:
        assert "media" not in action["what"].lower()
    assert not sheet.of("dose")


def drifting(tmp_path, values):
    return judge(
        tmp_path,
        [mature()],
        [
            visit(7 * weeks, value, 0.06, look="coralline, good colour")
            for weeks, value in zip(range(len(values) - 1, -1, -1), values, strict=True)
        ],
    )


def test_falling_says_when_it_crosses(tmp_path):
    sheet = drifting(tmp_path, [14, 13, 11.5, 10.5, 9, 8, 6.5])
    nitrate = sheet.parameter("nitrate")
    assert nitrate["verdict"] == "within"
    assert nitrate["per_week_high"] < 0
    assert nitrate["reaches"]["bound"] == "low"
    assert date.fromisoformat(nitrate["reaches"]["on"]) > AS_OF
    assert "falling" in sheet.entry["situations"]
    assert sheet.entry["attention"] == "watch"
    assert not sheet.of("dose")


def test_rising_eases_the_feeding(tmp_path):
    sheet = drifting(tmp_path, [7, 8, 9, 10.5, 11.5, 13, 14.2])
    assert sheet.parameter("nitrate")["reaches"]["bound"] == "high"
    assert "rising" in sheet.entry["situations"]
    assert "feed" in sheet.text
    assert not sheet.of("dose")


# -------------------------------------------------------------------- after a dose


def test_dose_that_did_not_show_is_not_enlarged(tmp_path):
    # 0.022 g of K2HPO4 in 200 L is 0.022 x 0.5453 / 200 x 1000 = 0.06 mg/L PO4.
    sheet = judge(
        tmp_path,
        [tank(filled=ago(75), cycled=ago(45))],
        [
            *cycle_visits(until=42),
            visit(14, 3, 0, look="brown film"),
            visit(7, 3, 0, look="brown film"),
            visit(0, 3, 0, ammonia=0, nitrite=0, look="brown film"),
        ],
        works=[
            work(6, "dose", substance="dipotassium phosphate", amount=0.011, unit="g"),
            work(5, "dose", substance="dipotassium phosphate", amount=0.011, unit="g"),
        ],
        shelf=[{"Substance": "dipotassium phosphate", "Purity (%)": 100}],
    )
    assert "dosed-and-nothing-seen" in sheet.entry["situations"]
    shown = [w for w in sheet.entry["last_work"] if w["expected_rise"]]
    assert shown[0]["expected_rise"] == pytest.approx(
        0.022 * PHOSPHATE_SHARE / 200 * 1000, rel=0.02
    )
    dose = sheet.dose("phosphate")
    if dose:
        assert dose["expected"]["phosphate"] / dose["days"] <= 0.03 + 1e-9
    assert sheet.of("check")


def test_dose_that_went_over_stops(tmp_path):
    sheet = judge(
        tmp_path,
        [tank(filled=ago(200), cycled=ago(160))],
        [
            visit(21, 4, 0.05),
            visit(14, 4, 0.05),
            visit(7, 4, 0.05),
            visit(0, 34, 0.05),
        ],
        works=[work(3, "dose", substance="sodium nitrate", amount=8.2, unit="g")],
    )
    assert "dosed-and-over" in sheet.entry["situations"]
    assert not sheet.of("dose")
    assert sheet.of("hold off") or sheet.of("wait") or sheet.of("water change")


# ------------------------------------------------------------------ pests and welfare


@pytest.mark.parametrize("look", ["brown strings", "red mats"])
def test_pests_with_flat_zero_are_not_starved_further(tmp_path, look):
    sheet = judge(
        tmp_path,
        [tank(filled=ago(110), cycled=ago(75))],
        [visit(d, 0, 0, look=look) for d in (21, 14, 7, 0)],
    )
    assert "pests" in sheet.entry["situations"]
    assert sheet.dose("nitrate")
    assert sheet.dose("phosphate")
    assert "glove" in sheet.text or any(
        "glove" in c.lower() for a in sheet.actions for c in a["cautions"]
    )
    for action in sheet.actions:
        assert action["kind"] != "take out" or "media" in action["what"].lower()


@pytest.mark.parametrize(
    ("column", "value"),
    [("salinity", 27), ("temperature", 31.5), ("ph", 7.3), ("alkalinity", 4)],
)
def test_unsafe_water_comes_before_nutrients(tmp_path, column, value):
    sheet = judge(
        tmp_path,
        [mature()],
        [
            visit(14, 0, 0, look="pale coral"),
            visit(7, 0, 0, look="pale coral"),
            visit(0, 0, 0, look="pale coral", **{column: value}),
        ],
    )
    assert sheet.entry["attention"] == "today"
    assert sheet.entry["situations"][0] == "welfare"
    assert sheet.actions[0]["kind"] == "welfare"
    assert not sheet.of("dose")


@pytest.mark.parametrize("look", ["fish gasping", "tissue loss"])
def test_sick_animals_come_first_and_a_vet_is_named(tmp_path, look):
    sheet = judge(
        tmp_path,
        [mature()],
        [visit(7, 8, 0.06), visit(0, 8, 0.06, ammonia=0, look=look)],
    )
    assert sheet.entry["attention"] == "today"
    assert sheet.actions[0]["kind"] == "welfare"
    everything = sheet.text + " ".join(
        c.lower() for a in sheet.actions for c in a["cautions"]
    )
    assert "veterinar" in everything or "vet" in everything


# ------------------------------------------------------------- doubted, old, half done


def test_parts_per_billion_are_doubted_not_acted_on(tmp_path):
    sheet = judge(
        tmp_path,
        [mature()],
        [
            visit(21, 8, 0.03), visit(14, 8, 0.04), visit(7, 8, 0.03), visit(0, 8, 30),
        ],
    )  # fmt: skip
    assert "swapped-or-typo" in sheet.entry["situations"]
    assert not sheet.of("water change")
    assert not sheet.of("dose")
    assert any("phosphate" in a["what"].lower() for a in sheet.of("retest"))
    (problem,) = [p for p in sheet.report["problems"] if p["value"] == "30"]
    assert problem["sheet"] == "Readings"
    assert problem["cell"]


def test_nitrate_that_leaps_in_one_visit_is_doubted(tmp_path):
    sheet = judge(
        tmp_path,
        [tank(filled=ago(300))],
        [
            visit(28, 0.5, 0.05), visit(21, 0.5, 0.05), visit(14, 0.5, 0.05),
            visit(7, 0.5, 0.05), visit(0, 50, 0.05),
        ],
    )  # fmt: skip
    assert "swapped-or-typo" in sheet.entry["situations"]
    assert not sheet.of("water change")


def test_fahrenheit_in_a_celsius_column_is_no_welfare_alarm(tmp_path):
    sheet = judge(
        tmp_path,
        [mature()],
        [
            visit(14, 8, 0.06), visit(7, 8, 0.06), visit(0, 8, 0.06, temperature=78),
        ],
    )  # fmt: skip
    assert "welfare" not in sheet.entry["situations"]
    assert "swapped-or-typo" in sheet.entry["situations"]
    assert "25.6" in " ".join(p["message"] for p in sheet.report["problems"])


def test_reading_from_the_future_is_left_out(tmp_path):
    sheet = judge(
        tmp_path,
        [mature()],
        [visit(14, 8, 0.06), visit(7, 8, 0.06), visit(0, 9, 0.06), visit(-300, 60, 2)],
    )
    assert sheet.parameter("nitrate")["taken_on"] == AS_OF.isoformat()
    assert not sheet.of("water change")
    assert [p for p in sheet.report["problems"] if p["sheet"] == "Readings"]


def test_old_values_are_shown_as_old(tmp_path):
    sheet = judge(
        tmp_path, [mature()], [visit(47, 0, 0), visit(40, 0, 0, look="pale coral")]
    )
    assert "stale" in sheet.entry["situations"]
    assert sheet.parameter("nitrate")["verdict"] == "not judged"
    assert sheet.actions[0]["kind"] == "retest"
    assert not sheet.of("dose")


def test_half_tested_judges_what_is_there(tmp_path):
    sheet = judge(
        tmp_path, [mature()], [visit(d, 8, look="coralline") for d in (21, 14, 7, 0)]
    )
    assert sheet.parameter("nitrate")["verdict"] == "within"
    assert sheet.parameter("phosphate")["verdict"] == "not judged"
    assert "half-tested" in sheet.entry["situations"]
    assert any("phosphate" in a["what"].lower() for a in sheet.of("retest"))


def test_shared_water_is_one_dose_for_all_displays(tmp_path):
    sheet = judge(
        tmp_path,
        [
            tank(
                filled=ago(75),
                cycled=ago(45),
                volume=1000,
                name="North wall system",
                displays="Reef bow, Nano 1, Nano 2",
            )
        ],
        [
            *cycle_visits(until=42),
            *(visit(d, 0, 0, look="brown film") for d in (14, 7)),
            visit(0, 0, 0, ammonia=0, nitrite=0, look="brown film"),
        ],
    )
    assert len(sheet.of("dose")) == 2
    dose = sheet.dose("nitrate")
    rise = dose["expected"]["nitrate"]
    assert dose["amount_g"] == pytest.approx(
        rise * 1000 / 1000 / NITRATE_SHARE, rel=0.03
    )
    for name in ("Reef bow", "Nano 1", "Nano 2"):
        assert name.lower() in sheet.text


def test_steady_tank_needs_nothing(tmp_path):
    sheet = judge(
        tmp_path,
        [mature()],
        [
            visit(d, n, 0.06, look="coralline, good colour")
            for d, n in ((28, 9), (21, 10), (14, 9.5), (7, 10), (0, 9.5))
        ],
    )
    assert sheet.entry["attention"] == "steady"
    assert not sheet.of("dose") and not sheet.of("water change")


def test_own_band_beats_the_built_in_one(tmp_path):
    path = write(
        tmp_path / "own.xlsx",
        [mature()],
        [visit(d, 30, 0.06, look="coralline") for d in (21, 14, 7, 0)],
        bands=[{"Tank": "T1", "Parameter": "nitrate", "Low": 20, "High": 40}],
    )
    (entry,) = judge_book(path)["tanks"]
    assert entry["parameters"]["nitrate"]["band"] == [20, 40]
    assert entry["parameters"]["nitrate"]["verdict"] == "within"
