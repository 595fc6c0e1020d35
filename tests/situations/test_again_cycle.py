"""The cycle again, and ammonia in old tanks: other numbers and ages.

Common practice, no source, unless a source stands beside the check.
"""

from __future__ import annotations

import pytest

from tests.situations.again import (
    NH4HCO3,
    STRIPS,
    grown,
    kinds,
    read,
    says_nothing_of,
    sheet_of,
)
from tests.situations.build import ago, tank

# ---------------------------------------------------------------------------- cycle


@pytest.mark.parametrize(("litres", "days"), [(60, 25), (400, 60), (1100, 45)])
def test_never_cycled(tmp_path, litres, days):
    sheet = sheet_of(
        tmp_path,
        [tank(filled=ago(days), volume=litres, livestock="none yet", fish=0, feed=0)],
        [read(d, 0, 0, ammonia=0, nitrite=0, look="clear") for d in (14, 7, 0)],
    )
    assert "never-cycled" in sheet.entry["situations"]
    (dose,) = sheet.of("dose")
    assert dose["substance"] == "ammonium bicarbonate"
    # 1 mg/L N in so many litres.
    assert dose["amount_g"] == pytest.approx(litres / 1000 / NH4HCO3, rel=0.005)
    assert "24" in sheet.text and "48" in sheet.text
    assert not sheet.of("add life")
    assert sheet.retest_in("ammonia") in (1, 2)
    # "after 24 and 48 hours": each with its own day.
    assert [r["when"] for r in sheet.of("retest")] == [
        ago(-1).isoformat(), ago(-2).isoformat(),
    ]  # fmt: skip
    assert any("ammonia gas" in c for c in dose["cautions"])


@pytest.mark.parametrize(
    ("ammonia", "nitrite"), [(2, 0), (0.5, 1), (0.2, 5), (0, 2), (4, 0.1)]
)
def test_cycling(tmp_path, ammonia, nitrite):
    sheet = sheet_of(
        tmp_path,
        [tank(filled=ago(20), livestock="none yet", fish=0, feed=0, rock="man-made")],
        [
            read(6, ammonia=max(ammonia, 1), nitrite=0.1),
            read(0, 10, 0.2, ammonia=ammonia, nitrite=nitrite),
        ],
    )
    assert sheet.entry["stage"]["name"] == "cycling"
    assert sheet.entry["attention"] in ("watch", "steady")
    assert sheet.of("wait")
    assert sheet.retest_in("ammonia") == sheet.retest_in("nitrite") == 2
    for name in ("nitrate", "phosphate"):
        assert sheet.parameter(name)["verdict"] == "not judged"
    assert not kinds(sheet) & {"dose", "water change", "add life", "welfare"}
    assert "harms nobody" in sheet.text


@pytest.mark.parametrize(
    ("ammonia", "ph", "facts"),
    [
        pytest.param(0.5, 8.3, {"livestock": "fish only"}, id="fish"),
        pytest.param(1.5, 8.0, {"livestock": "seahorse"}, id="seahorses"),
        pytest.param(2.0, 7.9, {"livestock": "quarantine", "rock": "none"}, id="new"),
        pytest.param(0.25, 8.4, {"livestock": "mixed coral"}, id="corals"),
    ],
)
def test_cycle_with_animals(tmp_path, ammonia, ph, facts):
    sheet = sheet_of(
        tmp_path,
        [tank(filled=ago(18), volume=160, fish=4, **facts)],
        [read(5, 1, ammonia=0.1, nitrite=0),
         read(0, 2, ammonia=ammonia, nitrite=0.5, ph=ph, temperature=25)],
    )  # fmt: skip
    assert sheet.entry["attention"] == "today"
    # Bell et al. 2008, Environ. Chem. 5, 258, at 25 degC and salinity 35.
    share = 1 / (1 + 10 ** (10.0423 - 0.0315536 * 25 + 0.003071 * 35 - ph))
    free = ammonia * share * 17.031 / 14.007
    assert sheet.parameter("free_ammonia")["value"] == pytest.approx(free, rel=0.02)
    (change,) = sheet.of("water change")
    litres = change["water_change_l"]
    assert litres == pytest.approx(160 * change["water_change_share"], rel=0.01)
    assert 0.1 <= change["water_change_share"] <= 0.5
    assert any("not feed" in a["what"] for a in sheet.of("feed"))
    assert sheet.retest_in("ammonia") == 1
    assert not sheet.of("dose")


def test_ammonia_in_an_old_tank_is_looked_into(tmp_path):
    sheet = sheet_of(
        tmp_path,
        [grown()],
        [
            read(7, 8, 0.06, ammonia=0, nitrite=0, look="coralline"),
            read(0, 9, 0.07, ammonia=1, nitrite=0.3, look="coralline"),
        ],
    )
    assert sheet.entry["stage"]["name"] == "mature"
    assert sheet.entry["attention"] == "today"
    assert sheet.of("water change")
    assert any("dead" in a["what"] for a in sheet.of("check"))


@pytest.mark.parametrize(
    ("facts", "water"),
    [({"rock": "dry"}, {"temperature": 18}), ({"rock": "man-made"}, {"ph": 7.4}),
     ({"rock": "dry"}, {})],
)  # fmt: skip
def test_cycle_stalled(tmp_path, facts, water):
    days = (65, 58, 51, 44, 37, 30, 23, 16, 9, 0)
    sheet = sheet_of(
        tmp_path,
        [tank(filled=ago(70), livestock="none yet", fish=0, feed=0, **facts)],
        [read(d, ammonia=1.5, nitrite=0.1, **water) for d in days],
    )
    assert sheet.entry["situations"][0] == "cycle-stalled"
    checks = " ".join(a["what"] for a in sheet.of("check")).lower()
    for word in ("temperature", "ph", "salinity"):
        assert word in checks
    assert {"seed", "retest"} <= kinds(sheet)
    assert not kinds(sheet) & {"dose", "add life"}
    assert 1 <= sheet.retest_in("ammonia") <= 3


@pytest.mark.parametrize(("nitrate", "nitrite"), [(20, 1), (50, 4), (100, 2)])
def test_nitrite_interferes(tmp_path, nitrite, nitrate):
    sheet = sheet_of(
        tmp_path,
        [tank(filled=ago(30), livestock="none yet", fish=0)],
        [
            read(7, nitrate, n=STRIPS[0], ammonia=0.5, nitrite=nitrite),
            read(0, nitrate, n=STRIPS[0], ammonia=0, nitrite=nitrite),
        ],
    )
    found = sheet.parameter("nitrate")
    assert found["verdict"] in ("cannot tell", "not judged")
    assert found["low"] == 0
    assert "nitrite-interferes" in sheet.entry["situations"]
    assert not sheet.of("water change")
    assert any("nitrate" in a["what"].lower() for a in sheet.of("retest"))


def test_a_tank_meant_for_corals_cycles_in_peace_while_nothing_is_in_it(tmp_path):
    # People write what a tank is for under Livestock before anything is in.
    sheet = sheet_of(
        tmp_path,
        [tank(filled=ago(15), livestock="mixed coral", fish=0, feed=0)],
        [read(7, ammonia=1, nitrite=0), read(0, ammonia=2, nitrite=0.3)],
    )
    assert sheet.entry["situations"][0] == "cycling"
    assert sheet.entry["attention"] == "watch"
    assert "if any animal is in" in sheet.text


@pytest.mark.parametrize(("days", "said"), [(20, "as expected"), (52, "longer than")])
def test_a_long_cycle_is_not_called_as_expected(tmp_path, days, said):
    """Usually within one to six weeks (FAO aquaculture glossary, from memory)."""
    sheet = sheet_of(
        tmp_path,
        [tank(filled=ago(days), fish=3, feed=0.4)],
        [read(d, ammonia=0, nitrite=n) for d, n in ((14, 5), (7, 3), (0, 2))],
    )
    assert said in sheet.entry["headline"]
    leave = " ".join(sheet.entry["leave_alone"])
    assert "Do not add more animals yet" in leave  # three fish are in


def test_a_nitrate_test_that_saw_nothing_was_not_misled_by_nitrite(tmp_path):
    sheet = sheet_of(
        tmp_path,
        [tank(filled=ago(30), livestock="none yet", fish=0, feed=0)],
        [read(d, 0, n=STRIPS[0], ammonia=1, nitrite=2) for d in (4, 2, 0)],
    )
    assert "nitrite-interferes" not in sheet.entry["situations"]
    says_nothing_of(sheet, "may be much less", "see nitrite too")
