"""Settled tanks again: lean, starving, one-sided, over, moving. Common practice, no
source."""

from __future__ import annotations

import pytest

from tests.situations.again import (
    FINE_P,
    USUAL_P,
    grown,
    kinds,
    read,
    says_nothing_of,
    sheet_of,
)
from tests.situations.build import AS_OF, ago, tank

# ------------------------------------------------------------- lean, zero, starving


@pytest.mark.parametrize("values", [(1.0, 0.04), (2.0, 0.03), (3.5, 0.05)])
@pytest.mark.parametrize("livestock", ["mixed coral", "soft coral", "stony coral"])
def test_mature_and_lean(tmp_path, livestock, values):
    sheet = sheet_of(
        tmp_path,
        [grown(livestock=livestock)],
        [read(d, *values, look="good colour, coralline") for d in (28, 21, 14, 7, 0)],
    )
    assert sheet.entry["stage"]["name"] == "mature"
    assert sheet.entry["attention"] in ("steady", "watch")
    assert kinds(sheet) <= {"wait", "retest"}
    assert 6 <= sheet.retest_in("nitrate") <= 8
    says_nothing_of(sheet, "add media to", "take out")


@pytest.mark.parametrize("livestock", ["mixed coral", "soft coral", "stony coral"])
@pytest.mark.parametrize("look", ["good colour", "clear, coralline", None])
def test_mature_flat_zero_looks_good(tmp_path, livestock, look):
    sheet = sheet_of(
        tmp_path,
        [grown(livestock=livestock, equipment="skimmer")],
        [read(d, 0, 0, p=FINE_P[0], look=look) for d in (21, 14, 7, 0)],
    )
    assert sheet.entry["situations"][0] == "mature-flat-zero-looks-good"
    assert sheet.entry["attention"] == "watch"
    assert {"feed", "add life"} & kinds(sheet)
    assert not kinds(sheet) & {"dose", "water change", "welfare"}
    assert 6 <= sheet.retest_in("nitrate") <= 8


@pytest.mark.parametrize("look", ["pale coral", "slow growth", "bleached, withering"])
@pytest.mark.parametrize(
    ("values", "dosed"),
    [((0, 0), "phosphate"), ((0, 0.06), "nitrate"), ((8, 0), "phosphate"),
     ((0.8, 0.04), "nitrate")],
)  # fmt: skip
def test_mature_and_starving(tmp_path, look, values, dosed):
    sheet = sheet_of(
        tmp_path,
        [grown()],
        [read(d, *values, p=FINE_P[0], look=look) for d in (28, 21, 14, 7, 0)],
    )
    assert "mature-and-starving" in sheet.entry["situations"]
    assert sheet.entry["attention"] in ("this week", "today")
    (dose,) = sheet.of("dose")  # one change at a time
    assert dosed in dose["expected"]
    largest = {"nitrate": 2, "phosphate": 0.03}[dosed]
    assert dose["expected"][dosed] / dose["days"] <= largest / 2 + 1e-9  # slowly
    assert 12 <= sheet.retest_in(dosed) <= 14
    assert any("large dose" in s for s in sheet.entry["leave_alone"])


# ------------------------------------------------------------------------ one-sided


@pytest.mark.parametrize(
    ("values", "missing", "high", "look"),
    [((40, 0), "phosphate", "nitrate", "hair algae"),
     ((30, 0), "phosphate", "nitrate", "pale coral"),
     ((0, 0.4), "nitrate", "phosphate", "green film"),
     ((0, 0.5), "nitrate", "phosphate", "good colour")],
)  # fmt: skip
@pytest.mark.parametrize("age", [120, 500])
def test_one_sided(tmp_path, age, values, missing, high, look):
    sheet = sheet_of(
        tmp_path,
        [tank(filled=ago(age), cycled=ago(age - 35), fish=5, volume=300)],
        [read(d, *values, p=FINE_P[0], look=look) for d in (21, 14, 7, 0)],
    )
    assert "one-sided" in sheet.entry["situations"]
    assert sheet.dose(high) is None
    assert sheet.dose(missing) or sheet.of("feed")
    assert sheet.entry["ratio_n_to_p"] is None  # one of them does not register
    assert "counted in atoms" in sheet.text
    assert not any("media" in a["what"] for a in sheet.actions)


# ----------------------------------------------------------------------------- over


@pytest.mark.parametrize(
    ("facts", "values", "name", "fill"),
    [
        ({}, (45, 0.08), "nitrate", 1.0),
        ({"livestock": "stony coral"}, (32, 0.06), "nitrate", 0.0),
        ({"livestock": "fish only"}, (95, 0.3), "nitrate", 5.0),
        ({"livestock": "soft coral"}, (12, 0.7), "phosphate", 0.0),
        ({"livestock": "seahorse"}, (60, 0.1), "nitrate", 0.0),
    ],
)
def test_over(tmp_path, facts, values, name, fill):
    sheet = sheet_of(
        tmp_path,
        [grown(**facts)],
        [read(d, *values, look="coralline") for d in (28, 21, 14, 7, 0)],
        settings={f"Change water {name} (mg/L)": fill},
    )
    assert sheet.parameter(name)["verdict"] == "over"
    assert sheet.entry["situations"][0] == "over"
    (change,) = sheet.of("water change")
    share = change["water_change_share"]
    assert 0.1 <= share <= 0.3 + 1e-9
    assert change["water_change_l"] == pytest.approx(350 * share, rel=0.01)
    now = values[0] if name == "nitrate" else values[1]
    fall = -share * (now - fill)  # mass balance, well mixed
    assert change["expected"][name] == pytest.approx(fall, rel=0.02)
    if name == "phosphate":
        assert -fall <= now / 4 + 1e-9  # phosphate falls slowly
    assert any("less" in a["what"] for a in sheet.of("feed"))
    assert any("has its place now" in a["what"] for a in sheet.of("check"))
    assert {"heavy feeding", "little export"} & set(sheet.causes)
    assert not sheet.of("dose")


@pytest.mark.parametrize("nitrate", [60, 110])
@pytest.mark.parametrize("livestock", ["none yet", "mixed coral"])
def test_over_and_young(tmp_path, livestock, nitrate):
    fish = 0 if livestock == "none yet" else 1
    sheet = sheet_of(
        tmp_path,
        [tank(filled=ago(42), cycled=ago(6), livestock=livestock, fish=fish)],
        [
            read(30, ammonia=3, nitrite=0.2),
            read(20, 20, ammonia=1, nitrite=4),
            read(6, nitrate, 0.1, ammonia=0, nitrite=0),
            read(0, nitrate, 0.1, ammonia=0, nitrite=0, look="clear"),
        ],
    )
    assert "over-and-young" in sheet.entry["situations"]
    (change,) = sheet.of("water change")
    assert 0.1 <= change["water_change_share"] <= 0.5
    assert any("slowly" in a["what"] for a in sheet.of("wait"))
    assert not kinds(sheet) & {"dose", "add life"}
    assert "end of cycle" in sheet.causes
    says_nothing_of(sheet, "media has its place")


# --------------------------------------------------------------------------- moving


def weekly(values, name, **facts):
    other = {"nitrate": 9, "phosphate": 0.06}
    rows = []
    for weeks, value in enumerate(reversed(values)):
        level = other | {name: value}
        rows.append(
            read(7 * weeks, level["nitrate"], level["phosphate"], p=FINE_P[0],
                 look="coralline, good colour", **facts)
        )  # fmt: skip
    return rows


@pytest.mark.parametrize(
    ("name", "values"),
    [("nitrate", (12, 10.8, 9.7, 8.6, 7.4, 6.2)),
     ("phosphate", (30, 27, 24, 21, 18, 14))],
)  # fmt: skip
def test_falling(tmp_path, name, values):
    other = {"nitrate": 9, "phosphate": 20}  # ug/L P: 0.061 mg/L PO4
    rows = [
        read(7 * weeks, *(other | {name: value}).values(), p=FINE_P[0],
             look="good colour")
        for weeks, value in enumerate(reversed(values))
    ]  # fmt: skip
    for row in rows:
        row["PO4-P (ug/L)"] = row.pop("Phosphate (mg/L)")
    sheet = sheet_of(tmp_path, [grown(equipment="skimmer, refugium")], rows)
    found = sheet.parameter(name)
    assert found["verdict"] in ("within", "cannot tell")
    assert found["per_week"] < 0 and found["per_week_high"] < 0
    assert found["reaches"]["bound"] == "low"
    assert found["reaches"]["on"] >= AS_OF.isoformat()
    assert "falling" in sheet.entry["situations"]
    assert sheet.entry["attention"] == "watch"
    assert sheet.of("hold off")  # the export first
    assert not sheet.of("dose")


@pytest.mark.parametrize(
    "values", [(7, 8.3, 9.6, 11, 12.4, 13.8), (8, 9.4, 10.9, 12.2, 13.6, 14.4)]
)
def test_rising(tmp_path, values):
    sheet = sheet_of(
        tmp_path, [grown()],
        [read(7 * w, v, 0.06, p=USUAL_P[0], look="good colour")
         for w, v in enumerate(reversed(values))],
    )  # fmt: skip
    found = sheet.parameter("nitrate")
    assert found["reaches"]["bound"] == "high"
    assert "rising" in sheet.entry["situations"]
    assert sheet.entry["attention"] == "watch"
    assert any("less" in a["what"] for a in sheet.of("feed"))
    assert not kinds(sheet) & {"dose", "water change"}


# -------------------------------------------------------------------- nuisance algae


@pytest.mark.parametrize(
    "looks",
    [
        pytest.param(("hair algae, green film",) * 4, id="four visits"),
        pytest.param(("coralline", "green film", "green film, hair algae"), id="two"),
    ],
)
@pytest.mark.parametrize("values", [(8, 0.06), (1.5, 0.03)], ids=["usual", "lean"])
def test_algae_that_keep_coming_back_in_a_mature_tank_are_watched(
    tmp_path, looks, values
):
    days = [7 * n for n in range(len(looks))][::-1]
    sheet = sheet_of(
        tmp_path,
        [grown()],
        [read(d, *values, look=look) for d, look in zip(days, looks, strict=True)],
    )
    assert sheet.entry["stage"]["name"] == "mature"
    assert sheet.entry["attention"] == "watch"
    assert sheet.entry["situations"][0] == "nuisance-algae"
    assert kinds(sheet) <= {"check", "add life", "retest"}
    assert "grazers" in sheet.text
    assert "by hand" in sheet.text
    assert "look for the source" in sheet.text
    says_nothing_of(sheet, "take out the", "buy", "nothing here needs you")
    assert any("starve" in s for s in sheet.entry["leave_alone"])


@pytest.mark.parametrize(
    "looks",
    [
        pytest.param(("hair algae", "coralline", "coralline"), id="gone again"),
        pytest.param(("coralline", "coralline", "hair algae"), id="seen once"),
        pytest.param(("green film",) * 3, id="film on the glass"),
    ],
)
def test_algae_seen_once_or_a_film_on_the_glass_ask_for_nothing(tmp_path, looks):
    sheet = sheet_of(
        tmp_path,
        [grown()],
        [read(d, 8, 0.06, look=look)
         for d, look in zip((14, 7, 0), looks, strict=True)],
    )  # fmt: skip
    assert sheet.entry["attention"] == "steady"
    assert not sheet.of("add life")
