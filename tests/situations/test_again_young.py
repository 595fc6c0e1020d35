"""Young tanks again: other tests, salts and ages. Common practice, no source."""

from __future__ import annotations

import pytest

from tests.situations.again import (
    CARD_P,
    FINE_P,
    KH2PO4,
    KNO3,
    kinds,
    read,
    says_nothing_of,
    sheet_of,
)
from tests.situations.build import ago, tank, work

# ------------------------------------------------------------------ zero-after-cycle


@pytest.mark.parametrize(
    ("facts", "readings"),
    [
        pytest.param(
            {"filled": ago(40), "cycled": ago(12), "volume": 90, "fish": 1,
             "feed": 0.1, "rock": "man-made"},
            [read(12, 3, 0.05, ammonia=0, nitrite=0),
             read(5, 0, 0, ammonia=0, nitrite=0, look="clear"),
             read(0, 0, 0, ammonia=0, nitrite=0, look="clear")],
            id="a nano twelve days after",
        ),
        pytest.param(
            {"filled": ago(75), "cycled": ago(38), "volume": 650, "fish": 4,
             "feed": 1.0, "rock": "dry"},
            [read(d, 0, 0, p=FINE_P[0], ammonia=0, nitrite=0, look="clear")
             for d in (28, 21, 14, 7, 0)],
            id="a large tank five weeks after",
        ),
        pytest.param(
            {"filled": ago(33), "cycled": ago(3), "volume": 240, "fish": 0,
             "feed": 0, "rock": "mixed", "livestock": "none yet"},
            [read(10, 6, 0.1, ammonia=0.3, nitrite=1),
             read(3, 1, 0.03, ammonia=0, nitrite=0),
             read(0, 0, 0, ammonia=0, nitrite=0, look="clear")],
            id="nothing in it yet",
        ),
    ],
)  # fmt: skip
def test_zero_after_cycle(tmp_path, facts, readings):
    sheet = sheet_of(tmp_path, [tank(**facts)], readings)
    assert sheet.entry["stage"]["name"] == "just cycled"
    assert sheet.entry["situations"][0] == "zero-after-cycle"
    assert sheet.entry["attention"] in ("watch", "steady")
    low = {c["cause"] for c in sheet.entry["causes"]}
    assert {"rock uptake", "light feeding", "living uptake"} <= low
    assert sum(sheet.causes.values()) == pytest.approx(1, abs=0.011)
    assert {"add life", "seed", "retest"} <= kinds(sheet)
    assert "slowly" in sheet.of("add life")[0]["what"]
    assert "cured live rock" in sheet.of("seed")[0]["what"]
    assert 6 <= sheet.retest_in("nitrate") <= 8
    assert not kinds(sheet) & {"dose", "water change", "take out"}
    assert "not a failed cycle" in sheet.text
    says_nothing_of(sheet, "crash", "restart the")


# ----------------------------------------------------------------- zero-in-ugly-phase


@pytest.mark.parametrize(
    ("facts", "course", "look"),
    [
        pytest.param(
            {"filled": ago(50), "cycled": ago(20), "volume": 120, "fish": 2},
            [(20, 5, 0.06), (13, 2, 0.03), (6, 0, 0), (0, 0, 0)], "brown film",
            id="seven weeks",
        ),
        pytest.param(
            {"filled": ago(140), "cycled": ago(100), "volume": 480, "fish": 5,
             "feed": 1.5, "rock": "man-made"},
            [(28, 4, 0.05), (21, 3, 0.04), (14, 1.5, 0.03), (7, 0, 0), (0, 0, 0)],
            "green film, hair algae", id="twenty weeks",
        ),
        pytest.param(
            {"filled": ago(65), "cycled": ago(30), "volume": 300, "fish": 3,
             "livestock": "stony coral"},
            [(14, 2, 0.04), (7, 1, 0.03), (0, 0, 0)], "brown film, green film",
            id="the first zero",
        ),
    ],
)  # fmt: skip
def test_zero_in_ugly_phase(tmp_path, facts, course, look):
    sheet = sheet_of(
        tmp_path,
        [tank(**facts)],
        [read(*row, ammonia=0, nitrite=0, look=look) for row in course],
    )
    assert sheet.entry["stage"]["name"] == "ugly phase"
    assert sheet.entry["situations"][0] == "zero-in-ugly-phase"
    assert sheet.entry["attention"] == "this week"
    litres = facts["volume"]
    for name, share, purity, most in (
        ("nitrate", KNO3, 0.98, 2.0),
        ("phosphate", KH2PO4, 0.99, 0.03),
    ):
        dose = sheet.dose(name)
        rise = dose["expected"][name]
        assert dose["days"] >= 2
        assert rise / dose["days"] <= most + 1e-9
        grams = rise * litres / 1000 / share / purity
        assert dose["amount_g"] == pytest.approx(grams, rel=0.005)
        assert 3 <= sheet.retest_in(name) <= 4
        assert dose["cautions"] and dose["stop_if"]
    assert 1 <= sheet.dose("nitrate")["expected"]["nitrate"] <= 5
    assert 0.02 <= sheet.dose("phosphate")["expected"]["phosphate"] <= 0.06
    assert "dinoflagellates" in sheet.text and "cyanobacteria" in sheet.text
    assert not kinds(sheet) & {"water change", "take out"}
    assert any("clean it all out" in s for s in sheet.entry["leave_alone"])


def test_only_the_missing_one_is_dosed_in_the_ugly_phase(tmp_path):
    sheet = sheet_of(
        tmp_path,
        [tank(filled=ago(90), cycled=ago(55))],
        [read(d, 4, 0, ammonia=0, nitrite=0, look="green film") for d in (14, 7, 0)],
    )
    assert sheet.dose("phosphate")
    assert sheet.dose("nitrate") is None


# ---------------------------------------------------------------- trace-in-ugly-phase


@pytest.mark.parametrize(
    ("nitrate", "phosphate"),
    [(0.5, 0.03), (1.2, 0.04), (8, 0.09), ("trace", "trace"), (2, "0.03-0.06")],
)
def test_trace_in_ugly_phase(tmp_path, nitrate, phosphate):
    sheet = sheet_of(
        tmp_path,
        [tank(filled=ago(110), cycled=ago(70), fish=4)],
        [
            read(d, nitrate, phosphate, ammonia=0, nitrite=0, look="brown film")
            for d in (21, 14, 7, 0)
        ],
    )
    assert sheet.entry["stage"]["name"] == "ugly phase"
    assert sheet.entry["situations"] == ["trace-in-ugly-phase"]
    assert sheet.entry["attention"] in ("watch", "steady")
    assert not sheet.of("dose")
    assert 6 <= sheet.retest_in("nitrate") <= 8
    assert "leave it alone" in sheet.text


# --------------------------------------------------------------------------- stripped


@pytest.mark.parametrize(
    "export",
    [
        "filter roller",
        "phosphate media",
        "organic carbon dosing",
        "skimmer, filter roller, organic carbon dosing",
        "Roller mat, GFO",
    ],
)
@pytest.mark.parametrize("look", ["brown film", "clear"])
def test_stripped(tmp_path, export, look):
    sheet = sheet_of(
        tmp_path,
        [tank(filled=ago(60), cycled=ago(25), equipment=export)],
        [
            read(21, 3, 0.05, ammonia=0, nitrite=0, look="clear"),
            *(read(d, 0, 0, ammonia=0, nitrite=0, look=look) for d in (14, 7, 0)),
        ],
    )
    assert sheet.entry["situations"][0] == "stripped"
    assert sheet.actions[0]["kind"] in ("take out", "hold off")
    assert not sheet.of("dose")
    assert 6 <= sheet.retest_in("phosphate") <= 8
    assert {"over-filtration", "phosphate media"} & set(sheet.causes)
    says_nothing_of(sheet, "a filter roller or phosphate media has its place")


def test_stripped_by_media_put_in_last_month(tmp_path):
    sheet = sheet_of(
        tmp_path,
        [tank(filled=ago(80), cycled=ago(45))],
        [read(d, 5, 0, ammonia=0, nitrite=0, look="brown film") for d in (14, 7, 0)],
        works=[work(25, "media in", substance="GFO", amount=100, unit="g")],
    )
    assert sheet.entry["situations"][0] == "stripped"
    assert sheet.actions[0]["substance"] == "phosphate media"


def test_stripped_is_dosed_when_a_week_without_export_changed_nothing(tmp_path):
    sheet = sheet_of(
        tmp_path,
        [tank(filled=ago(80), cycled=ago(45))],
        [read(d, 0, 0, ammonia=0, nitrite=0, look="brown film") for d in (14, 7, 0)],
        works=[work(8, "equipment out", substance="filter roller")],
    )
    assert "stripped" not in sheet.entry["situations"]
    assert sheet.dose("nitrate") and sheet.dose("phosphate")


def test_a_card_that_cannot_tell_is_no_alarm_just_after_the_cycle(tmp_path):
    sheet = sheet_of(
        tmp_path,
        [tank(filled=ago(45), cycled=ago(14))],
        [
            read(d, 0, 0, p=CARD_P[0], ammonia=0, nitrite=0, look="clear")
            for d in (14, 7, 0)
        ],
    )
    assert sheet.entry["situations"][:2] == [
        "zero-after-cycle",
        "cannot-tell-phosphate",
    ]
    assert sheet.entry["attention"] == "watch"
    assert sheet.dose("phosphate") is None
    assert "low-range" in sheet.text
