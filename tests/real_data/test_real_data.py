"""Real readings of other people, from file to report.

Eight flow-through tanks: Regier (2023), mcdr_mesocosm_sensors (MIT). One coastal
station: NOAA National Estuarine Research Reserve System, via SWMPr (CC0). Where they
come from and what was cut: tests/data/*/SOURCE.md.
"""

import json
from datetime import date

import pytest
from click.testing import CliRunner

from fleet.cli import main
from fleet.normalise.measurements import measure_tank
from fleet.normalise.methods import MethodLookup
from fleet.pipeline import inputs_of, read
from fleet.reference import load_reference
from tests.real_data.convert import (
    eelgrass,
    eelgrass_rows,
    estuary,
    estuary_rows,
    estuary_value,
)

REFERENCE = load_reference()
# Molar masses from IUPAC abridged standard atomic weights, Pure Appl. Chem. 94 (2022).
PO4_PER_P = 94.970 / 30.974
NO3_PER_N = 62.004 / 14.007


def report(folder, out, as_of):
    done = CliRunner().invoke(
        main,
        ["report", str(folder), "--as-of", as_of, "--out", str(out)],
        catch_exceptions=False,
    )
    assert done.exit_code == 0, done.output
    return json.loads((out / "report.json").read_text("utf-8"))


def measured(folder, as_of):
    book = read([folder], REFERENCE)
    lookup = MethodLookup(book.methods, book.settings, REFERENCE)
    return book, [
        measure_tank(
            one.tank,
            one.readings,
            one.work,
            lookup,
            book.shelf,
            book.settings,
            REFERENCE,
            as_of,
        )
        for one in inputs_of(book)
    ]


# ------------------------------------------------------------- eight cold tanks


@pytest.fixture(scope="module")
def cold(tmp_path_factory):
    return eelgrass(tmp_path_factory.mktemp("cold") / "eelgrass")


@pytest.fixture(scope="module")
def cold_report(cold, tmp_path_factory):
    return report(cold, tmp_path_factory.mktemp("out") / "cold", "2023-08-25")


def test_every_dated_row_of_the_eight_tanks_is_read(cold):
    book = read([cold], REFERENCE)
    dated = [row for row in eelgrass_rows() if row[0] and row[1] != "Inlet"]
    assert len(dated) == 448  # 56 days x 8 tanks, as SOURCE.md counts them
    tested = [row for row in dated if any(value is not None for value in row[2:])]
    assert len(book.readings) == len(tested) > 400
    values = sum(1 for row in dated for value in row[2:] if value is not None)
    assert sum(len(reading.results) for reading in book.readings) == values


def test_inlet_is_no_tank_of_the_list_and_is_named_as_left_out(cold_report):
    inlet = [p for p in cold_report["problems"] if "Inlet" in (p["value"] or "")]
    tested = [
        row for row in eelgrass_rows()
        if row[1] == "Inlet" and any(value is not None for value in row[2:])
    ]  # fmt: skip
    assert len(inlet) == len(tested) == 54
    assert {p["effect"] for p in inlet} == {"row left out"}


def test_latest_values_are_those_of_the_last_day(cold_report):
    last = {
        str(row[1]): row for row in eelgrass_rows()
        if row[0] and row[0].date() == date(2023, 8, 25)
    }  # fmt: skip
    assert len(cold_report["tanks"]) == 8
    for tank in cold_report["tanks"]:
        _, _, temperature, salinity, ph = last[tank["tank"]]
        found = tank["parameters"]
        assert found["temperature"]["value"] == pytest.approx(temperature)
        assert found["salinity"]["value"] == pytest.approx(salinity)
        assert found["ph"]["value"] == pytest.approx(ph)
        assert found["temperature"]["verdict"] == "within"
        assert found["salinity"]["verdict"] == "within"
        assert found["ph"]["verdict"] == "within"


def test_nothing_is_said_of_nutrients_nobody_tested(cold_report):
    for tank in cold_report["tanks"]:
        for name in ("nitrate", "phosphate"):
            finding = tank["parameters"].get(name)
            assert finding is None or finding["verdict"] == "not judged"
        assert tank["ratio_n_to_p"] is None
        assert tank["causes"] == []
        assert not [a for a in tank["actions"] if a["kind"] == "dose"]


# ----------------------------------------------------------- one coastal station


@pytest.fixture(scope="module")
def station(tmp_path_factory):
    return estuary(tmp_path_factory.mktemp("station") / "estuary")


def test_every_value_is_kept_and_those_below_detection_stay_intervals(station):
    book, (tank,) = measured(station, date(2020, 12, 31))
    tested = [r for r in estuary_rows() if r["PO4F"] or r["NH4F"] or r["NO23F"]]
    assert len(book.readings) == len(tested) == 100
    for name, column in (("phosphate", "PO4F"), ("ammonia", "NH4F"),
                         ("nitrate", "NO23F")):  # fmt: skip
        written: dict[date, list[str]] = {}
        for row in tested:
            if row[column]:
                written.setdefault(_day(row), []).append(estuary_value(row, column))
        kept = [m for m in tank.measurements if m.parameter == name]
        assert {m.taken_on for m in kept} == set(written)
        # The water moves with the tide, so results of one day may differ: then none
        # is believed, and never more than one.
        believed = [m for m in kept if m.doubt is None]
        assert len(believed) == len({m.taken_on for m in believed})
        for found in believed:
            if all(text.startswith("<") for text in written[found.taken_on]):
                assert (found.value, found.low) == (None, 0)
                assert found.registers is False


def _day(row):
    month, day, year = row["DateTimeStamp"].split()[0].split("/")
    return date(int(year), int(month), int(day))


def test_limits_and_values_are_as_the_ion(station):
    _, (tank,) = measured(station, date(2020, 12, 31))
    # Two samples a minute apart are one result; their means as P, by hand.
    means = {"03-23": 0.004, "09-30": 0.006, "10-21": 0.0085}
    found = {
        f"{m.taken_on:%m-%d}": m
        for m in tank.measurements
        if m.parameter == "phosphate" and m.doubt is None
    }
    for day, phosphorus in means.items():
        number = PO4_PER_P * phosphorus
        assert found[day].value == pytest.approx(number, rel=1e-3)
        assert found[day].low < number < found[day].high
    below = [
        m
        for m in tank.measurements
        if m.parameter == "nitrate" and m.taken_on == date(2020, 10, 21)
    ]
    assert [m.high for m in below] == [pytest.approx(0.005 * NO3_PER_N, rel=1e-3)]


def test_station_is_judged_by_what_its_laboratory_can_tell(station, tmp_path):
    made = report(station, tmp_path / "out", "2020-10-21")
    (tank,) = made["tanks"]
    nitrate, phosphate = tank["parameters"]["nitrate"], tank["parameters"]["phosphate"]
    # That day's two: nitrate <0.005 mg/L as N, phosphate 0.009 and 0.008 mg/L as P.
    assert nitrate["value"] is None
    assert nitrate["high"] == pytest.approx(0.005 * NO3_PER_N, rel=1e-3)
    assert nitrate["verdict"] == "under"
    assert phosphate["value"] == pytest.approx(0.0085 * PO4_PER_P, rel=1e-3)
    assert phosphate["verdict"] == "under"
    # The ratio is worth nothing while nitrate is below what was told from none.
    assert tank["ratio_n_to_p"] is None
    # Without a volume nobody can work out a dose.
    assert not [a for a in tank["actions"] if a["kind"] == "dose"]
