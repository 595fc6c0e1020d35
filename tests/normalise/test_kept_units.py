"""Units as written to units kept, against printed values."""

import gsw
import pytest
from hypothesis import given
from hypothesis import strategies as st
from made_results import HOUSE, REFERENCE, one, only, visits

from fleet.normalise.units import (
    CONVERSIONS,
    Water,
    difference_to_kept,
    factor_of,
    kept_bands,
    sg_temperatures,
    to_kept,
    unit_of,
)
from fleet.records import Band, Settings
from fleet.science.alkalinity import calcium_carbonate_from_meq, dkh_from_meq
from fleet.science.concentration import (
    nitrogen_from_nitrate,
    phosphorus_from_phosphate,
)
from fleet.science.salinity import specific_gravity


def kept(parameter, unit, value, water=None):
    known = unit_of(REFERENCE.parameters[parameter], unit)
    assert known.key == unit
    return to_kept(known, value, water or Water())


# Factors from IUPAC/CIAAW atomic weights as computed by molmass 2026.1.8, except
# where a line says otherwise.
@pytest.mark.parametrize(
    ("parameter", "unit", "written", "expected", "within"),
    [
        ("nitrate", "mg/L NO3", 5, 5, 0),
        ("nitrate", "mg/L NO3-N", 1, 4.4268, 0.0005),
        ("nitrate", "ug/L NO3", 250, 0.25, 1e-9),
        ("nitrate", "ug/L NO3-N", 1000, 4.4268, 0.0005),
        ("nitrate", "umol/L NO3", 5, 0.31002, 0.001),
        ("phosphate", "mg/L PO4-P", 1, 3.06619, 0.0005),
        ("phosphate", "ug/L PO4", 30, 0.03, 1e-9),
        ("phosphate", "ug/L PO4-P", 10, 0.030662, 0.0001),
        ("phosphate", "ug/L PO4-P", 33, 0.10118, 0.0001),
        ("phosphate", "umol/L PO4", 0.6, 0.056983, 0.001),
        ("ammonia", "mg/L NH3", 1.215884, 1, 0.0005),
        ("ammonia", "mg/L NH4", 1.2878453, 1, 0.0005),
        ("ammonia", "mg/L NH4-N", 0.2, 0.2, 0),
        ("ammonia", "umol/L NH3", 1000, 14.007, 0.001),
        ("nitrite", "mg/L NO2-N", 0.1, 0.32845, 0.0005),
        ("nitrite", "umol/L NO2", 10, 0.46005, 0.0005),  # 46.005 g/mol, by hand
        ("temperature", "°F", 77, 25, 1e-9),
        ("temperature", "°F", 78, 25.5556, 0.0001),
        # 1 dH = 10 mg/L CaO, DIN 38409-6: 7 dKH is 2.4965 meq/L.
        ("alkalinity", "dKH", 7, 2.49655, 0.004),
        ("alkalinity", "mg/L CaCO3", 50.043, 1, 0.001),
        # 2300 umol/kg at salinity 35 and 25 degC is 6.599 dKH (worked from the
        # EOS-80 density of 1.02334 kg/L): 2.3537 meq/L.
        ("alkalinity", "umol/kg", 2300, 2.3537, 0.0005),
        # PSS-78 by gsw 3.6.23.
        ("salinity", "mS/cm", 53, 34.947, 0.02),
        ("salinity", "mS/cm", 50, 32.733, 0.02),
    ],
)
def test_printed_values(parameter, unit, written, expected, within):
    assert kept(parameter, unit, written) == pytest.approx(expected, abs=within)


# EOS-80, UNESCO Techn. Papers in Mar. Sci. 44: what 1.0264 means on each scale.
@pytest.mark.parametrize(
    ("reference", "expected"),
    [("25/25", 35.04), ("20/20", 34.73), ("60/60 °F", 34.40), ("60/60", 34.40),
     ("60/60F", 34.40), ("20/4", 37.11), ("", 35.04), ("warm", 35.04)],
)  # fmt: skip
def test_a_specific_gravity_is_read_on_the_scale_of_its_instrument(reference, expected):
    water = Water(sg_reference=reference)
    assert kept("salinity", "SG", 1.0264, water) == pytest.approx(expected, abs=0.02)


def test_sixty_sixty_is_fahrenheit_even_without_the_letter():
    assert sg_temperatures("60/60")[0] == pytest.approx(15.556, abs=0.001)


@pytest.mark.parametrize("gravity", [35, 0.9, 1025])
def test_a_gravity_that_no_water_has_is_refused(gravity):
    with pytest.raises(ValueError, match="no salinity"):
        kept("salinity", "SG", gravity)


# NBS minus total at salinity 35, PyCO2SYS 1.8.3.4 with fH of Takahashi et al. 1982.
@pytest.mark.parametrize(("celsius", "offset"), [(20, 0.126), (25, 0.137), (28, 0.144)])
def test_ph_on_the_total_scale_is_kept_as_an_nbs_electrode_reads_it(celsius, offset):
    water = Water(temperature=celsius, salinity=35)
    assert kept("ph", "pH total", 8.0, water) == pytest.approx(8 + offset, abs=0.002)


def test_a_difference_in_gravity_is_that_of_seawater():
    # EOS-80 at 25/25 degC: 1.02637 at salinity 35, 1.02259 at 30, so 0.001 is 1.32.
    unit = unit_of(REFERENCE.parameters["salinity"], "SG")
    assert difference_to_kept(unit, 0.001) == pytest.approx(1.32, abs=0.02)


def test_a_difference_in_fahrenheit_leaves_out_the_offset():
    unit = unit_of(REFERENCE.parameters["temperature"], "°F")
    assert difference_to_kept(unit, 1.8) == pytest.approx(1.0)


def test_every_conversion_the_tables_name_is_there_and_no_other():
    named = {
        unit.convert
        for parameter in REFERENCE.parameters.values()
        for unit in parameter.units
        if unit.convert
    }
    assert named == set(CONVERSIONS)


@pytest.mark.parametrize(
    "parameter", REFERENCE.parameters.values(), ids=lambda p: p.key
)
def test_every_unit_can_be_converted_and_every_slip_is_a_unit(parameter):
    typical = {"SG": 1.025, "mS/cm": 53.0, "°F": 77.0}
    keys = [unit.key for unit in parameter.units]
    assert parameter.default_unit in keys
    for unit in parameter.units:
        assert to_kept(unit, typical.get(unit.key, 1.0)) != 0
    assert set(parameter.slips) <= {
        *keys,
        "tenfold",
        "tenth",
        "thousandfold",
        "lost zeros",
    }


def test_an_unknown_unit_key_falls_back_to_the_usual_one():
    assert unit_of(REFERENCE.parameters["alkalinity"], "degrees").key == "dKH"


positive = st.floats(0.001, 5000)


@given(positive)
def test_units_there_and_back(value):
    assert nitrogen_from_nitrate(kept("nitrate", "mg/L NO3-N", value)) == pytest.approx(
        value
    )
    phosphorus = phosphorus_from_phosphate(kept("phosphate", "ug/L PO4-P", value))
    assert phosphorus * 1000 == pytest.approx(value)
    assert dkh_from_meq(kept("alkalinity", "dKH", value)) == pytest.approx(value)
    carbonate = calcium_carbonate_from_meq(kept("alkalinity", "mg/L CaCO3", value))
    assert carbonate == pytest.approx(value)
    assert kept("temperature", "°F", value) * 1.8 + 32 == pytest.approx(value)


@given(st.floats(2, 42))
def test_salinity_there_and_back(salinity):
    gravity = specific_gravity(salinity)
    assert kept("salinity", "SG", gravity) == pytest.approx(salinity, abs=1e-6)
    conductivity = gsw.C_from_SP(salinity, 25, 0)  # gsw 3.6, PSS-78
    assert kept("salinity", "mS/cm", conductivity) == pytest.approx(salinity, abs=1e-6)


@given(st.sampled_from(list(REFERENCE.parameters)), positive)
def test_a_factor_says_the_same_as_its_conversion(parameter, value):
    for unit in REFERENCE.parameters[parameter].units:
        factor = factor_of(unit)
        if factor is not None:
            assert value * factor == pytest.approx(to_kept(unit, value))


# -------------------------------------------------- what a visit's own water does


def test_conductivity_is_read_at_the_temperature_of_its_visit():
    # PSS-78: 53.0 mS/cm at 27 degC is fresher water than at 25 degC, by gsw 3.6.23
    # 33.50 (the same equation as UNESCO 44).
    gsw = pytest.importorskip("gsw")
    (measured,) = only(
        visits((0, {"salinity": (53, "", "mS/cm"), "temperature": 27})), "salinity"
    )
    assert measured.value == pytest.approx(float(gsw.SP_from_C(53, 27, 0)), abs=0.01)
    assert dict(measured.note.facts)["measured"] is True


def test_conductivity_without_a_temperature_is_read_at_25_and_says_so():
    measured = one("salinity", 53, unit="mS/cm")
    assert measured.value == pytest.approx(34.947, abs=0.02)
    assert dict(measured.note.facts) == {"temperature": 25.0, "measured": False}


def test_the_visits_fahrenheit_serves_a_conversion_too():
    cells = {"temperature": (80.6, "", "°F"), "salinity": (53, "", "mS/cm")}
    (measured,) = only(visits((0, cells)), "salinity")
    assert dict(measured.note.facts)["temperature"] == pytest.approx(27)


def test_a_gravity_says_on_which_scale_it_was_read():
    house = Settings(sg_reference="20/20")
    measured = one("salinity", 1.0264, unit="SG", house=house)
    assert measured.value == pytest.approx(34.73, abs=0.02)
    assert dict(measured.note.facts) == {"reference": "20/20"}


def test_ph_follows_the_scale_of_the_settings():
    house = Settings(ph_scale="total")
    assert one("ph", 8.0).value == 8.0
    assert one("ph", 8.0, house=house).value == pytest.approx(8.137, abs=0.002)


def test_both_ends_of_a_range_are_converted():
    measured = one("phosphate", "20 to 40", "Sharp", unit="ug/L PO4-P")
    assert measured.low == pytest.approx(0.0613, abs=0.0001)
    assert measured.high == pytest.approx(0.1227, abs=0.0001)


# ------------------------------------------------------------------------ own bands


def test_own_bands_are_brought_to_kept_units():
    bands = kept_bands(
        (
            Band("alkalinity", 8, 9, unit="dKH", tank="t1"),
            Band("salinity", 1.0226, 1.0264, unit="SG"),
            Band("nitrate", 2, None, unit="mg/L NO3"),
            Band("phosphate", 0.03, 0.1),
        ),
        HOUSE,
        REFERENCE,
    )
    assert (bands[0].low, bands[0].high) == pytest.approx((2.853, 3.210), abs=0.001)
    assert (bands[1].low, bands[1].high) == pytest.approx((30.02, 35.04), abs=0.05)
    assert (bands[2].low, bands[2].high) == (2, None)
    assert (bands[3].low, bands[3].high) == (0.03, 0.1)
    assert {band.unit for band in bands} == {""}
    assert bands[0].tank == "t1"
