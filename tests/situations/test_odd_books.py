"""Odd but real workbooks, from cells to the report: little in them, other units, other
ways of writing. Common practice, no source, unless a source stands beside the check.
"""

from __future__ import annotations

import pytest
from openpyxl import Workbook

from tests.situations.build import AS_OF, Sheet, ago, judge_book

YOUNG = {"Tank": "A", "Volume (L)": 200, "Livestock": "mixed coral", "Rock": "dry",
         "Filled on": ago(75), "Cycled on": ago(40), "Fish": 2}  # fmt: skip
OLD = {"Tank": "A", "Volume (L)": 300, "Livestock": "mixed coral",
       "Filled on": ago(500), "Fish": 5}  # fmt: skip


def judged(path, **sheets):
    """Judge a workbook of just these sheets, each a list of rows by header."""
    book = Workbook()
    book.remove(book.active)
    for name, rows in sheets.items():
        made = book.create_sheet(name)
        heads = list(dict.fromkeys(head for row in rows for head in row))
        made.append(heads)
        for row in rows:
            made.append([row.get(head) for head in heads])
    book.save(path / "odd.xlsx")
    report = judge_book(path / "odd.xlsx")
    return {entry["tank"]: Sheet(entry, report) for entry in report["tanks"]}


def visits(*values, heads=("Nitrate", "Phosphate"), days=(14, 7, 0), **more):
    """Visits a week apart, each with the same values unless one is a list."""
    return [
        {"Date": ago(day), "Tank": "A", **more}
        | {head: value[place] if isinstance(value, list) else value
           for head, value in zip(heads, values, strict=True)}
        for place, day in enumerate(days)
    ]  # fmt: skip


# ------------------------------------------------------------------------- very little


def test_a_book_of_the_required_columns_alone(tmp_path):
    tanks = [
        {"Tank": "A", "Volume (L)": 200, "Filled on": ago(75)},
        {"Tank": "B", "Volume (L)": 300, "Filled on": ago(400)},
        {"Tank": "C", "Volume (L)": 90, "Filled on": ago(10)},
    ]
    readings = [
        {"Date": ago(day), "Tank": name, "Nitrate": nitrate, "Phosphate": phosphate}
        for name, nitrate, phosphate in (("A", 0, 0), ("B", 9, 0.1), ("C", 0, 0))
        for day in (14, 7, 0)
    ]
    found = judged(tmp_path, Tanks=tanks, Readings=readings)
    assert found["C"].entry["stage"]["name"] == "cycling"
    assert "test ammonia" in found["C"].text
    assert found["B"].entry["stage"]["name"] == "mature"
    # No test is named, so a phosphate zero is the ordinary card's: it cannot tell.
    assert found["A"].parameter("phosphate")["verdict"] == "cannot tell"
    for sheet in found.values():
        assert not sheet.of("dose") and not sheet.of("water change")
        assert sheet.entry["attention"] in ("watch", "this week")
    for name in "AB":
        assert "judged as a mixed coral tank" in found[name].text
        assert "under livestock" in found[name].text


def test_one_tank_with_one_reading(tmp_path):
    found = judged(tmp_path, Tanks=[OLD], Readings=visits(8, 0.06, days=(0,)))
    nitrate = found["A"].parameter("nitrate")
    assert nitrate["verdict"] in ("within", "cannot tell")
    assert nitrate["per_week"] is None and nitrate["reaches"] is None


def test_a_tank_with_work_but_no_reading_is_asked_for_a_test(tmp_path):
    other = OLD | {"Tank": "B"}
    work = [{"Date": ago(5), "Tank": "B", "Work": "dose", "Substance": "KNO3",
             "Amount": 1, "Unit": "g"}]  # fmt: skip
    found = judged(
        tmp_path, Tanks=[OLD, other], Readings=visits(8, 0.06), Work=work
    )  # fmt: skip
    sheet = found["B"]
    assert sheet.actions[0]["kind"] == "retest"
    assert not sheet.of("dose")
    assert sheet.parameter("nitrate")["value"] is None
    assert [w["expected_rise"] for w in sheet.entry["last_work"]] == [
        pytest.approx(0.6133 / 300 * 1000, rel=0.01)
    ]


def test_readings_without_a_day_of_filling(tmp_path):
    tank = {k: v for k, v in YOUNG.items() if k not in ("Filled on", "Cycled on")}
    readings = visits([3, 0, 0], [0.04, 0, 0], Look="brown film")
    for row in readings:
        row |= {"Nitrate method": "photometer", "Phosphate method": "photometer"}
    sheet = judged(tmp_path, Tanks=[tank], Readings=readings)["A"]
    assert sheet.entry["stage"]["days_since_filled"] is None
    assert sheet.entry["stage"]["name"] == "ugly phase"  # by its look
    assert sheet.dose("nitrate")


def test_a_tank_not_seen_for_twenty_days_is_not_dosed_on_its_old_zero(tmp_path):
    readings = visits([2, 0], [0.04, 0], days=(27, 20), Look="brown film")
    for row in readings:
        row |= {"Nitrate method": "photometer", "Phosphate method": "photometer"}
    sheet = judged(tmp_path, Tanks=[YOUNG], Readings=readings)["A"]
    assert sheet.entry["situations"] == ["stale"]
    assert sheet.kinds == ["retest"]
    assert sheet.parameter("nitrate")["age_days"] == 20


@pytest.mark.parametrize("order", [(0, 0, 3), (0, 3, 0), (3, 0, 0)])
def test_several_readings_of_one_day_are_one_whatever_their_order(tmp_path, order):
    readings = visits([3, *order], [0.05, *(n * 0.04 / 3 for n in order)],
                      days=(7, 0, 0, 0), Look="brown film")  # fmt: skip
    for row in readings:
        row |= {"Nitrate method": "photometer", "Phosphate method": "photometer"}
    sheet = judged(tmp_path, Tanks=[YOUNG], Readings=readings)["A"]
    assert sheet.parameter("nitrate")["verdict"] == "cannot tell"
    assert sheet.parameter("nitrate")["written"] == "0; 3"
    assert not sheet.of("dose")


# ----------------------------------------------------------------------------- methods


@pytest.mark.parametrize(
    ("method", "verdict", "high"),
    [("photometer", "under", 0.03), ("low range photometer", "under", 0.03),
     ("ultra low range photometer", "under", 0.015), ("laboratory", "under", 0.002),
     ("drop kit", "cannot tell", 0.08), ("strip", "cannot tell", 0.08),
     ("colour chart", "cannot tell", 0.08), ("something", "cannot tell", 0.08),
     (None, "cannot tell", 0.08)],
)  # fmt: skip
def test_a_method_named_in_the_readings_alone(tmp_path, method, verdict, high):
    readings = visits(3, 0, Look="brown film")
    for row in readings:
        row |= {"Nitrate method": "photometer", "Phosphate method": method}
    sheet = judged(tmp_path, Tanks=[YOUNG], Readings=readings)["A"]
    found = sheet.parameter("phosphate")
    assert found["verdict"] == verdict
    assert (found["low"], found["high"]) == (0, pytest.approx(high))
    assert (sheet.dose("phosphate") is not None) == (verdict == "under")


@pytest.mark.parametrize(
    "leaflet",
    [
        pytest.param({"Lowest": (1, 0.02), "Step": (1, 0.01)}, id="lowest and step"),
        pytest.param({"Accuracy (±)": (1, 0.02)}, id="accuracy"),
        pytest.param({"Lowest": (1, 0.02)}, id="lowest"),
        pytest.param({"Lowest": (1, 0.02), "Accuracy (%)": (10, 10)}, id="per cent"),
    ],
)
@pytest.mark.parametrize(("values", "dosed"), [((0, 0), 2), ((4, 0.05), 0)])
def test_a_method_of_which_little_is_known(tmp_path, leaflet, values, dosed):
    methods = [
        {"Method": name, "Measures": measures}
        | {head: ends[place] for head, ends in leaflet.items()}
        for place, (name, measures) in enumerate(
            (("First", "nitrate"), ("Second", "phosphate"))
        )
    ]
    readings = visits(*values, Look="brown film")
    for row in readings:
        row |= {"Nitrate method": "First", "Phosphate method": "Second"}
    sheet = judged(tmp_path, Tanks=[YOUNG], Readings=readings, Methods=methods)["A"]
    assert len(sheet.of("dose")) == dosed
    for name in ("nitrate", "phosphate"):
        verdict = sheet.parameter(name)["verdict"]
        assert verdict == ("under" if dosed else "within")


def test_default_methods_of_the_settings(tmp_path):
    settings = [
        {"Setting": "Default nitrate method", "Value": "photometer"},
        {"Setting": "Default phosphate method", "Value": "low-range photometer"},
    ]
    sheet = judged(
        tmp_path,
        Tanks=[YOUNG],
        Readings=visits(0, 0, Look="brown film"),
        Settings=settings,
    )["A"]
    assert sheet.parameter("phosphate")["verdict"] == "under"
    assert len(sheet.of("dose")) == 2


# ------------------------------------------------------------------------------- units


def test_other_units_are_kept_as_ions_litres_and_degrees(tmp_path):
    tank = {k: v for k, v in OLD.items() if k != "Volume (L)"} | {"Volume (gal)": 75}
    rows = visits(
        2.0, 20, 77, 1.0264, 8.0,
        heads=("NO3-N (mg/L)", "PO4-P (ppb)", "Temp (°F)", "SG", "KH"),
    )  # fmt: skip
    sheet = judged(tmp_path, Tanks=[tank], Readings=rows)["A"]
    # 75 US gal x 3.785411784 L; N x 62.004/14.007; P x 94.970/30.974.
    assert sheet.entry["volume_l"] == pytest.approx(283.906, abs=0.01)
    assert sheet.parameter("nitrate")["value"] == pytest.approx(8.853, abs=0.01)
    assert sheet.parameter("phosphate")["value"] == pytest.approx(0.0613, abs=0.0002)
    assert sheet.parameter("temperature")["value"] == pytest.approx(25)
    # Seawater of salinity 35 has a specific gravity of 1.0264 at 25/25 degC (EOS-80).
    assert sheet.parameter("salinity")["value"] == pytest.approx(35, abs=0.3)
    assert sheet.entry["attention"] == "steady"


@pytest.mark.parametrize(
    ("written", "ends"),
    [("<0.03", (0, 0.03)), ("ND", (0, 0.03)), ("trace", (0, 0.03)), (0, (0, 0.03)),
     ("BDL", (0, 0.03)), ("5-10", None), ("~0.05", None), ("0,05", None),
     ("0.05 mg/L", None), ("50 ppb", None)],
)  # fmt: skip
def test_ways_of_writing_a_result(tmp_path, written, ends):
    readings = visits(8, written, days=(0,))
    readings[0]["Phosphate method"] = "low range photometer"
    if written == "5-10":  # a range of nitrate
        readings = visits(written, 0.05, days=(0,))
        readings[0]["Nitrate method"] = "photometer"
    sheet = judged(tmp_path, Tanks=[OLD], Readings=readings)["A"]
    found = sheet.parameter("nitrate" if written == "5-10" else "phosphate")
    if ends:
        assert found["value"] is None
        assert (found["low"], found["high"]) == ends
        assert sheet.entry["ratio_n_to_p"] is None
        return
    middle = 7.5 if written == "5-10" else 0.05
    assert found["value"] == pytest.approx(middle)
    assert found["low"] < middle < found["high"]
    if written == "~0.05":  # "about" is never surer than the plain number
        plain = judged(
            tmp_path, Tanks=[OLD], Readings=[readings[0] | {"Phosphate": 0.05}]
        )
        assert found["high"] > plain["A"].parameter("phosphate")["high"]


# --------------------------------------------------------------- tanks of one purpose


@pytest.mark.parametrize("kind", ["quarantine", "seahorse", "fish only"])
def test_tanks_without_corals_need_no_nutrients(tmp_path, kind):
    tank = OLD | {"Livestock": kind, "Rock": "none"}
    readings = visits(0, 0)
    for row in readings:
        row |= {"Nitrate method": "photometer", "Phosphate method": "photometer"}
    sheet = judged(tmp_path, Tanks=[tank], Readings=readings)["A"]
    assert sheet.entry["attention"] in ("steady", "watch")
    assert not {"dose", "add life", "seed", "water change"} & {*sheet.kinds}


def test_quarantine_with_ammonia_is_for_today_and_gets_no_animals(tmp_path):
    tank = OLD | {"Livestock": "quarantine", "Rock": "none", "Filled on": ago(12)}
    rows = visits(
        2, None, [0, 0.1, 0.8], 8.1, 26, 33, days=(9, 4, 0),
        heads=("Nitrate", "Phosphate", "Ammonia", "pH", "Temperature", "Salinity"),
    )  # fmt: skip
    sheet = judged(tmp_path, Tanks=[tank], Readings=rows)["A"]
    assert sheet.entry["attention"] == "today"
    (change,) = sheet.of("water change")
    assert change["water_change_l"] <= 150 + 1e-6
    assert sheet.retest_in("ammonia") == 1
    # A running filter is the cure; nothing else is brought in.
    assert [a["id"] for a in sheet.of("seed")] == ["seed-media"]
    assert not {"dose", "add life"} & {*sheet.kinds}


def test_the_day_of_the_report_is_the_day_judged(tmp_path):
    sheet = judged(tmp_path, Tanks=[OLD], Readings=visits(9, 0.06))["A"]
    assert sheet.report["as_of"] == AS_OF.isoformat()
    assert all(a["when"] >= AS_OF.isoformat() for a in sheet.actions)
