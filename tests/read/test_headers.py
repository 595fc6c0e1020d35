"""What headers mean, as people write them."""

import pytest

from fleet.read.headers import KINDS
from fleet.read.table import language_of
from fleet.reference import load_reference

HEADERS = language_of(load_reference()).headers

# header -> parameter, unit ("" where the header names none), method
VALUES = [
    ("Nitrate (mg/L)", "nitrate", "mg/L NO3", ""),
    ("NO3", "nitrate", "", ""),
    ("NO₃⁻", "nitrate", "", ""),
    ("NO3-", "nitrate", "", ""),
    ("  NITRATES  ", "nitrate", "", ""),
    ("Nitrate ppm", "nitrate", "mg/L NO3", ""),
    ("nitrate_mg_l", "nitrate", "mg/L NO3", ""),
    ("Nitrate - mg/L", "nitrate", "mg/L NO3", ""),
    ("Nitrate, mg/L", "nitrate", "mg/L NO3", ""),
    ("Nitrate\n[ppm]", "nitrate", "mg/L NO3", ""),
    ("mg/L nitrate", "nitrate", "mg/L NO3", ""),
    ("NO3 mg L-1", "nitrate", "mg/L NO3", ""),
    ("NO₃ (mg·L⁻¹)", "nitrate", "mg/L NO3", ""),
    ("NO3-N", "nitrate", "mg/L NO3-N", ""),
    ("NO3-N (mg/L)", "nitrate", "mg/L NO3-N", ""),
    ("Nitrate-N (µg/L)", "nitrate", "ug/L NO3-N", ""),
    ("Nitrate nitrogen (ppm)", "nitrate", "mg/L NO3-N", ""),
    ("Nitrate as N (mg/L)", "nitrate", "mg/L NO3-N", ""),
    ("Nitrate (mg/L as N)", "nitrate", "mg/L NO3-N", ""),
    ("Nitrate NO3-N ppm", "nitrate", "mg/L NO3-N", ""),
    ("Nitrate NO3-N ppb", "nitrate", "ug/L NO3-N", ""),
    ("Nitrite NO2-N ppm", "nitrite", "mg/L NO2-N", ""),
    ("Ammonia NH4 ppm", "ammonia", "mg/L NH4", ""),
    ("Ammonia NH3-N ppm", "ammonia", "mg/L NH3-N", ""),
    ("Total Ammonia-N mg/L", "ammonia", "mg/L NH3-N", ""),
    ("Nitrate/ppm", "nitrate", "mg/L NO3", ""),
    ("Temp/°F", "temperature", "°F", ""),
    ("°C", "temperature", "°C", ""),
    ("Nitrate (HR)", "nitrate", "", "hr"),
    ("Nitrate low range", "nitrate", "", "low range"),
    ("Nitrate (umol/L)", "nitrate", "umol/L NO3", ""),
    ("NO3 (µM)", "nitrate", "umol/L NO3", ""),
    ("Nitrate (photometer)", "nitrate", "", "photometer"),
    ("Nitrate (mg/L, photometer)", "nitrate", "mg/L NO3", "photometer"),
    ("Nitrat", "nitrate", "", ""),
    ("What was the nitrate reading (mg/L)?", "nitrate", "mg/L NO3", ""),
    ("Phosphate", "phosphate", "", ""),
    ("PO₄³⁻ (mg/L)", "phosphate", "mg/L PO4", ""),
    ("Phosphate (PO4) (mg/L)", "phosphate", "mg/L PO4", ""),
    ("Orthophosphate (mg/L)", "phosphate", "mg/L PO4", ""),
    ("PO4-P ppb", "phosphate", "ug/L PO4-P", ""),
    ("PO4-P (mg/L)", "phosphate", "mg/L PO4-P", ""),
    ("Ortho-P", "phosphate", "mg/L PO4-P", ""),
    ("P (ppb)", "phosphate", "ug/L PO4-P", ""),
    ("Phosphate as P (ppb)", "phosphate", "ug/L PO4-P", ""),
    ("Phosphate low range (ppm)", "phosphate", "mg/L PO4", "low range"),
    ("Total phosphorus (mg/L)", "phosphate", "mg/L PO4-P", "total phosphorus"),
    ("Ammonia (mg/L)", "ammonia", "mg/L NH3-N", ""),
    ("Total ammonia", "ammonia", "", ""),
    ("Ammonia (total)", "ammonia", "", ""),
    ("TAN (ppm)", "ammonia", "mg/L NH3-N", ""),
    ("NH3", "ammonia", "mg/L NH3", ""),
    ("NH4 (mg/L)", "ammonia", "mg/L NH4", ""),
    ("NH4-N (mg/L)", "ammonia", "mg/L NH4-N", ""),
    ("NH3/NH4", "ammonia", "mg/L NH3-N", ""),
    ("Nitrite ppm", "nitrite", "mg/L NO2", ""),
    ("NO2-N", "nitrite", "mg/L NO2-N", ""),
    ("Salinity (ppt)", "salinity", "PSU", ""),
    ("Salinity ‰", "salinity", "PSU", ""),
    ("Sal.", "salinity", "", ""),
    ("PSU", "salinity", "PSU", ""),
    ("SG", "salinity", "SG", ""),
    ("Specific gravity (25/25)", "salinity", "SG", ""),
    ("Conductivity (mS/cm)", "salinity", "mS/cm", ""),
    ("Salinity (refractometer)", "salinity", "", "refractometer"),
    ("Temperature (°C)", "temperature", "°C", ""),
    ("Temp F", "temperature", "°F", ""),
    ("Water temp. (deg F)", "temperature", "°F", ""),
    ("Tank temp", "temperature", "", ""),
    ("Amm.", "ammonia", "", ""),
    ("T (C)", "temperature", "°C", ""),
    ("pH", "ph", "", ""),
    ("pH (NBS)", "ph", "pH", ""),
    ("pH (total)", "ph", "pH total", ""),
    ("Alkalinity (dKH)", "alkalinity", "dKH", ""),
    ("KH", "alkalinity", "dKH", ""),
    ("KH (ppm)", "alkalinity", "mg/L CaCO3", ""),
    ("Alk meq/L", "alkalinity", "meq/L", ""),
    ("Alkalinity (mg/L CaCO3)", "alkalinity", "mg/L CaCO3", ""),
    ("Alkalinity (as CaCO3)", "alkalinity", "mg/L CaCO3", ""),
    ("Ca (ppm)", "calcium", "mg/L", ""),
    ("Ca²⁺", "calcium", "", ""),
    ("Magnésium", "magnesium", "", ""),
    ("Mg (mg/L)", "magnesium", "mg/L", ""),
]


@pytest.mark.parametrize(
    ("header", "parameter", "unit", "method"), VALUES, ids=[v[0] for v in VALUES]
)
def test_header_of_a_value(header, parameter, unit, method):
    found = HEADERS.meaning("readings", header)
    assert found is not None
    assert found.what == "value"
    assert (found.parameter, found.unit, found.method) == (parameter, unit, method)
    assert found.unknown_unit == ""


@pytest.mark.parametrize(
    ("kind", "header", "what", "unit"),
    [
        ("readings", "Date", "date", ""),
        ("readings", "DATE TESTED", "date", ""),
        ("readings", "Date (DD/MM/YYYY)", "date", "dd/mm/yyyy"),
        ("readings", "Timestamp", "timestamp", ""),
        ("readings", "Which tank did you test?", "tank", ""),
        ("readings", "Tank #", "tank", ""),
        ("readings", "Sample ID", "tank", ""),
        ("readings", "Your name", "taken by", ""),
        ("readings", "What do you see?", "look", ""),
        ("readings", "Comments", "notes", ""),
        ("readings", "Nitrate method", "method", ""),
        ("readings", "NO3 test kit", "method", ""),
        ("readings", "Method (nitrate)", "method", ""),
        ("readings", "Nitrate flag", "flag", ""),
        ("readings", "qc_nitrate", "flag", ""),
        ("tanks", "Volume (L)", "volume", "L"),
        ("tanks", "Vol gal", "volume", "US gal"),
        ("tanks", "Gallons", "volume", "US gal"),
        ("tanks", "Tank volume (imp gal)", "volume", "imp gal"),
        ("tanks", "Water volume [litres]", "volume", "L"),
        ("tanks", "Rock", "rock", ""),
        ("tanks", "Rock (kg)", "rock mass", "kg"),
        ("tanks", "Rock lbs", "rock mass", "lb"),
        ("tanks", "Feed (g/day)", "feed", "g/day"),
        ("tanks", "Protein (%)", "protein", "%"),
        ("tanks", "Date filled", "filled on", ""),
        ("methods", "Accuracy (±)", "accuracy", ""),
        ("methods", "Accuracy (%)", "accuracy share", "%"),
        ("methods", "Lowest (mg/L)", "lowest", "mg/l"),
        ("shelf", "Purity (%)", "purity", "%"),
        ("shelf", "On hand (kg)", "on hand", "kg"),
        ("shelf", "Stock strength (g/L)", "strength", "g/L"),
        ("bands", "Livestock or Tank", "subject", ""),
        ("work", "What was done", "work", ""),
    ],
    ids=str,
)
def test_header_of_another_column(kind, header, what, unit):
    found = HEADERS.meaning(kind, header)
    assert found is not None
    assert (found.what, found.unit) == (what, unit)


@pytest.mark.parametrize(
    "header",
    [
        "Nitrate target",
        "Nitrate dosed (g)x",
        "Nitrate (front tank)",
        "Nitrate + nitrite",
        "T (C) Bottom",
        "Change water",
        "Dissolved oxygen",
        "7",
        "",
        "     ",
        "x" * 5000,
    ],
)
def test_header_that_is_not_understood_in_full_is_no_value(header):
    found = HEADERS.meaning("readings", header)
    assert found is None or found.what != "value"


def test_unit_not_known_is_kept_for_the_message():
    found = HEADERS.meaning("readings", "Nitrate (mgg/L)")
    assert found is not None
    assert found.unknown_unit == "mgg/l"


def test_every_contract_header_is_known():
    # The headers of the workbook that the tool itself writes.
    sheets = {
        "tanks": "Tank|Name|Place|Keeper|Group|Notes|Round order|Volume (L)|Livestock|"
        "Rock|Rock (kg)|Filled on|Cycled on|Equipment|Fish|Feed (g/day)|Protein (%)|"
        "Displays|In use",
        "readings": "Date|Tank|Taken by|Nitrate (mg/L)|Nitrate method|"
        "Phosphate (mg/L)|Phosphate method|Ammonia (mg/L)|Ammonia method|"
        "Nitrite (mg/L)|Salinity (PSU)|Temperature (°C)|pH|Alkalinity (dKH)|"
        "Calcium (mg/L)|Magnesium (mg/L)|Look|Notes",
        "methods": "Method|Measures|Unit|Lowest|Step|Accuracy (±)|Accuracy (%)|Highest",
        "work": "Date|Tank|Work|Substance|Amount|Unit|Done by|Notes",
        "bands": "Livestock or Tank|Parameter|Stage|Low|High|Note",
        "shelf": "Substance|Purity (%)|On hand (g)|Stock strength (g/L)",
        "settings": "Setting|Value",
    }
    assert set(sheets) == set(KINDS)
    for kind, headers in sheets.items():
        meanings = [HEADERS.meaning(kind, header) for header in headers.split("|")]
        assert all(meanings), kind
        assert len({(m.what, m.parameter) for m in meanings if m}) == len(meanings)


@pytest.mark.parametrize(
    ("header", "parameter", "unit", "method"),
    [
        ("PO4 meter ppb", "phosphate", "ug/L PO4", "meter"),
        ("PO4 ppb meter", "phosphate", "ug/L PO4", "meter"),
        ("NO3 meter N", "nitrate", "mg/L NO3-N", "meter"),
        ("Phosphorus ULR ppb", "phosphate", "ug/L PO4-P", "ulr"),
        ("Low range phosphate ppb", "phosphate", "ug/L PO4", "low range"),
        ("Nitrate (strip, mg/L N)", "nitrate", "mg/L NO3-N", "strip"),
        ("Nitrate (strip mg/L)", "nitrate", "mg/L NO3", "strip"),
    ],
)
def test_a_unit_beside_the_method_is_not_part_of_it(header, parameter, unit, method):
    found = HEADERS.meaning("readings", header)
    assert found[1:5] == (parameter, unit, method, "")


def test_a_unit_not_known_beside_the_method_is_said():
    assert HEADERS.meaning("readings", "PO4 meter ppx").unknown_unit == "ppx"


def test_unit_behind_a_slash_of_a_volume():
    meaning = HEADERS.meaning("tanks", "volume/l")
    assert (meaning.what, meaning.unit) == ("volume", "L")


@pytest.mark.parametrize("header", ["C", "Nitrate/Nitrite", "Look/notes"])
def test_what_could_be_two_things_is_neither(header):
    assert HEADERS.meaning("readings", header) is None
