"""What tests can tell again, what doses did, and what comes first. Common practice, no
source."""

from __future__ import annotations

import pytest

from tests.situations.again import (
    CARD_P,
    FINE_P,
    KH2PO4,
    grown,
    kinds,
    read,
    says_nothing_of,
    sheet_of,
)
from tests.situations.build import ago, tank, work

# -------------------------------------------------------------- cannot-tell-phosphate


@pytest.mark.parametrize(
    "facts",
    [
        pytest.param({"filled": ago(80), "cycled": ago(45)}, id="young"),
        pytest.param({"filled": ago(600), "rock": "cured live"}, id="old"),
        pytest.param({"filled": ago(28), "cycled": ago(4)}, id="just cycled"),
    ],
)
@pytest.mark.parametrize("written", [0, "ND", "<0.07", "0.00", "BDL"])
def test_cannot_tell_phosphate(tmp_path, facts, written):
    sheet = sheet_of(
        tmp_path,
        [tank(**facts)],
        [
            read(d, 7, written, p=CARD_P[0], ammonia=0, nitrite=0, look="clear")
            for d in (14, 7, 0)
        ],
    )
    found = sheet.parameter("phosphate")
    assert found["verdict"] == "cannot tell"
    assert (found["value"], found["low"], found["high"]) == (None, 0, 0.07)
    assert "cannot-tell-phosphate" in sheet.entry["situations"]
    (again,) = [a for a in sheet.of("retest") if "phosphate" in a["what"]]
    assert "low-range" in again["what"]
    assert 1 <= sheet.retest_in("phosphate") <= 7
    assert sheet.dose("phosphate") is None
    assert sheet.entry["ratio_n_to_p"] is None
    assert "test method" in sheet.causes
    says_nothing_of(sheet, "phosphate is zero", "flat zero for phosphate")


# ------------------------------------------------------------------------- after a dose


def test_dosed_and_nothing_seen(tmp_path):
    # 2 g of KNO3, 98 %, in 200 L: 2 x 0.6133 x 0.98 / 200 x 1000 = 6.01 mg/L NO3.
    sheet = sheet_of(
        tmp_path,
        [tank(filled=ago(85), cycled=ago(50))],
        [
            read(8, 0, 0.05, ammonia=0, nitrite=0, look="brown film"),
            read(0, 0.4, 0.05, ammonia=0, nitrite=0, look="brown film"),
        ],
        works=[work(7, "dose", substance="potassium nitrate", amount=2, unit="g")],
    )
    assert "dosed-and-nothing-seen" in sheet.entry["situations"]
    (done,) = [w for w in sheet.entry["last_work"] if w["expected_rise"]]
    assert done["expected_rise"] == pytest.approx(6.01, rel=0.01)
    assert done["kept_share"] < 0.2
    check = " ".join(a["what"] for a in sheet.of("check"))
    for word in ("test", "volume", "salt"):
        assert word in check
    for dose in sheet.of("dose"):
        assert dose["expected"]["nitrate"] / dose["days"] <= 2 + 1e-9
    assert any("bigger dose" in s for s in sheet.entry["leave_alone"])


@pytest.mark.parametrize(("grams", "after"), [(9.5, 33), (5.5, 21)])
def test_dosed_and_over(tmp_path, grams, after):
    # 9.5 g of KNO3, 98 %, in 200 L: 28.5 mg/L; 5.5 g: 16.5 mg/L.
    sheet = sheet_of(
        tmp_path,
        [tank(filled=ago(300), rock="mixed", fish=4)],
        [read(14, 5, 0.06, look="good colour"), read(7, 5, 0.06, look="good colour"),
         read(0, after, 0.06, look="good colour")],
        works=[work(4, "dose", substance="KNO3", amount=grams, unit="g")],
    )  # fmt: skip
    assert "dosed-and-over" in sheet.entry["situations"]
    assert not sheet.of("dose")
    assert any("Stop dosing nitrate" in a["what"] for a in sheet.of("hold off"))
    assert sheet.of("wait") or sheet.of("water change")


# ------------------------------------------------------------------ pests and welfare


@pytest.mark.parametrize("look", ["brown strings", "red slime", "dinos", "cyano"])
@pytest.mark.parametrize("age", [80, 150])
def test_pests(tmp_path, age, look):
    sheet = sheet_of(
        tmp_path,
        [tank(filled=ago(age), cycled=ago(age - 30))],
        [read(d, 0, 0, p=FINE_P[0], look=look) for d in (14, 7, 0)],
    )
    assert sheet.entry["situations"][0] == "pests"
    assert sheet.dose("nitrate") and sheet.dose("phosphate")
    assert "microscope" in sheet.text
    assert "gentle" in sheet.text
    assert "likely" in sheet.text  # never surer than the evidence
    assert not kinds(sheet) & {"water change"}
    assert 3 <= sheet.retest_in("nitrate") <= 4


@pytest.mark.parametrize(
    ("water", "limit"),
    [({"salinity": 28}, "1 PSU"), ({"salinity": 40}, "1 PSU"),
     ({"temperature": 20}, "1 °C"), ({"ph": 7.4}, "0.2"),
     ({"alkalinity": 4.5}, "0.8 dKH"), ({"temperature": 30.5}, "1 °C")],
)  # fmt: skip
def test_welfare_of_water(tmp_path, water, limit):
    sheet = sheet_of(
        tmp_path,
        [grown()],
        [read(7, 0, 0, look="pale coral"), read(0, 0, 0, look="pale coral", **water)],
    )
    assert sheet.entry["attention"] == "today"
    assert sheet.entry["situations"][0] == "welfare"
    first = sheet.actions[0]
    assert first["kind"] == "welfare"
    assert f"at most {limit}" in first["what"]
    assert "veterinarian" in " ".join(first["cautions"])
    assert not kinds(sheet) & {"dose", "feed", "add life"}


# ---------------------------------------------------------- doubted, old, half, shared


@pytest.mark.parametrize(
    ("past", "now", "name"),
    [((9, 0.05), (9, 50), "phosphate"), ((0.8, 0.05), (80, 0.05), "nitrate"),
     ((10, 0.06), (0.06, 10), "nitrate"), ((10, 0.08), (10, 80), "phosphate")],
)  # fmt: skip
def test_swapped_or_typo(tmp_path, past, now, name):
    sheet = sheet_of(
        tmp_path,
        [grown()],
        [*(read(d, *past, look="good colour") for d in (35, 28, 21, 14, 7)),
         read(0, *now, look="good colour")],
    )  # fmt: skip
    assert "swapped-or-typo" in sheet.entry["situations"]
    assert not kinds(sheet) & {"dose", "water change"}
    assert any(name in a["what"].lower() for a in sheet.of("retest"))
    problems = [p for p in sheet.report["problems"] if p["sheet"] == "Readings"]
    assert problems and all(p["cell"] for p in problems)


@pytest.mark.parametrize("days", [12, 20, 60, 200])
@pytest.mark.parametrize("values", [(0, 0), (60, 0.5), (8, 0.06)])
def test_stale(tmp_path, days, values):
    sheet = sheet_of(
        tmp_path,
        [grown()],
        [read(days + 7, *values, look="pale coral"), read(days, *values)],
    )
    assert sheet.entry["situations"][0] == "stale"
    assert sheet.actions[0]["kind"] == "retest"
    for name in ("nitrate", "phosphate"):
        found = sheet.parameter(name)
        assert (found["verdict"], found["age_days"]) == ("not judged", days)
        assert 0 <= sheet.retest_in(name) <= 2
    assert not kinds(sheet) & {"dose", "water change", "feed"}


@pytest.mark.parametrize(
    ("values", "there", "missing"),
    [((9, None), "nitrate", "phosphate"), ((None, 0.06), "phosphate", "nitrate"),
     ((45, None), "nitrate", "phosphate")],
)  # fmt: skip
def test_half_tested(tmp_path, values, there, missing):
    sheet = sheet_of(
        tmp_path,
        [grown()],
        [read(d, *values, p=FINE_P[0], look="coralline") for d in (14, 7, 0)],
    )
    assert sheet.parameter(there)["verdict"] in ("within", "over")
    assert sheet.parameter(missing)["verdict"] == "not judged"
    assert sheet.parameter(missing)["value"] is None
    assert "half-tested" in sheet.entry["situations"]
    assert any(missing in a["what"] for a in sheet.of("retest"))
    assert sheet.dose(missing) is None


def test_shared_water(tmp_path):
    names = ("Low cube", "High cube", "Coral table")
    sheet = sheet_of(
        tmp_path,
        [grown(volume=1600, displays=", ".join(names))],
        [read(d, 0, 0, p=FINE_P[0], look="pale coral") for d in (21, 14, 7, 0)],
    )
    (dose,) = sheet.of("dose")
    rise = dose["expected"]["phosphate"]
    assert dose["amount_g"] == pytest.approx(rise * 1.6 / KH2PO4 / 0.99, rel=0.005)
    for name in names:
        assert name in dose["what"]


def test_swapped_columns_are_seen_as_such(tmp_path):
    sheet = sheet_of(
        tmp_path,
        [grown()],
        [*(read(d, 8, 0.06, look="good colour") for d in (21, 14, 7)),
         read(0, 0.06, 8, look="good colour")],
    )  # fmt: skip
    assert sheet.entry["situations"] == ["swapped-or-typo"]
    assert "the two were swapped" in sheet.text
    assert kinds(sheet) == {"retest"}  # nothing is fed or dosed for a zero that is none


# ------------------------------------------------------------- level is not rising


@pytest.mark.parametrize(
    "nitrates",
    [
        pytest.param([13.5] * 9, id="held at the top of the band"),
        pytest.param([10, 20] * 5, id="swinging between two steps"),
    ],
)
def test_level_readings_are_not_called_rising(tmp_path, nitrates):
    """The tank adds what weekly changes take out: a drift, and no rise to see."""
    days = [7 * n for n in range(len(nitrates))]
    sheet = sheet_of(
        tmp_path,
        [grown()],
        [
            read(d, n, 0.07, look="coralline")
            for d, n in zip(days, nitrates, strict=True)
        ],
        works=[work(d, "water change", amount=15, unit="%") for d in days],
    )
    assert sheet.parameter("nitrate")["per_week_low"] > 0
    assert sheet.parameter("nitrate")["reaches"] is None
    says_nothing_of(sheet, "rising", "rises")
    assert not sheet.of("feed")
    assert "nitrate" in sheet.entry["headline"].lower()


# ------------------------------------------------------------------- one fact, once


def test_a_row_dated_ahead_is_a_matter_of_its_date_alone(tmp_path):
    sheet = sheet_of(
        tmp_path,
        [grown()],
        [read(d, 8, 0.06, look="coralline") for d in (14, 7, 0, -30)],
    )
    for name in ("nitrate", "phosphate", "salinity", "temperature"):
        assert "dated" not in (sheet.parameter(name)["why"] or "")
    (check,) = sheet.of("check")
    assert "date" in check["what"]
    assert sheet.text.count("is dated") == 1
    says_nothing_of(sheet, "not believed", "test it again")


def test_a_dose_that_shows_says_what_the_reading_did_and_what_it_made(tmp_path):
    """16 g of KNO3 in 350 L are 28 mg/L; a fifth of 10 was changed out before."""
    sheet = sheet_of(
        tmp_path,
        [grown()],
        [read(7, 10, 0.06), read(0, 36, 0.06)],
        works=[
            work(7, "water change", amount=20, unit="%"),
            work(6, "dose", substance="potassium nitrate", amount=16, unit="g"),
        ],
    )
    (dose,) = [w for w in sheet.entry["last_work"] if w["work"] == "dose"]
    assert dose["seen_rise"] == pytest.approx(36 - 8, abs=0.01)
    assert "about 28 mg/L: the reading moved by +26" in dose["verdict"]
    assert "other work took 2 mg/L out" in dose["verdict"]


def test_a_dose_hardly_seen_is_given_one_amount(tmp_path):
    sheet = sheet_of(
        tmp_path,
        [grown(rock="dry")],
        [read(7, 8, 0, p=FINE_P[0]), read(0, 8, 0.02, p=FINE_P[0])],
        works=[work(6, "dose", substance="monopotassium phosphate", amount=0.05,
                    unit="g")],
    )  # fmt: skip
    (dose,) = [w for w in sheet.entry["last_work"] if w["work"] == "dose"]
    assert dose["seen_rise"] == pytest.approx(0.02)
    assert "about 0.02 mg/L is seen" in dose["verdict"]
