import gsw
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleet.science import salinity as sal

SALINITY = st.floats(2, 42)
TEMPERATURE = st.floats(0, 35)


@given(salinity=SALINITY, temperature=TEMPERATURE)
def test_conductivity_agrees_with_the_oceanographers_library(salinity, temperature):
    # gsw 3.6, PSS-78. Tolerance 1e-6: both are the same polynomial.
    conductivity = gsw.C_from_SP(salinity, temperature, 0)
    found = sal.salinity_from_conductivity(conductivity, temperature)
    assert found == pytest.approx(salinity, abs=1e-6)


@given(salinity=SALINITY, temperature=TEMPERATURE)
def test_density_agrees_with_teos_10(salinity, temperature):
    # gsw 3.6, TEOS-10 with the reference composition (35.16504/35 g/kg). EOS-80 and
    # TEOS-10 are different fits to nearly the same data: 0.02 kg/m3 over the range.
    absolute = salinity * 35.16504 / 35
    independent = gsw.rho_t_exact(absolute, temperature, 0)
    assert sal.density(salinity, temperature) == pytest.approx(independent, abs=0.02)


@given(
    salinity=st.floats(0, 42),
    sample=st.floats(5, 35),
    water=st.sampled_from([15.5556, 20, 25]),
)
def test_specific_gravity_there_and_back(salinity, sample, water):
    gravity = sal.specific_gravity(salinity, sample, water)
    if gravity * sal.density(0, water) < sal.density(0, sample):
        return  # rounding below pure water
    found = sal.salinity_from_specific_gravity(gravity, sample, water)
    assert found == pytest.approx(salinity, abs=1e-6)


@given(gravity=st.floats(1.001, 1.03), more=st.floats(1e-4, 5e-3))
def test_heavier_water_is_saltier(gravity, more):
    light = sal.salinity_from_specific_gravity(gravity)
    assert sal.salinity_from_specific_gravity(gravity + more) > light


def test_the_reference_temperature_matters_by_half_a_unit():
    # Worked in the equation's own table (Millero & Poisson 1981): 1.0264 is 35.04 at
    # 25/25 and 34.40 at 60/60 F, to two decimals.
    warm = sal.salinity_from_specific_gravity(1.0264)
    cool = sal.salinity_from_specific_gravity(1.0264, 15.5556, 15.5556)
    assert warm == pytest.approx(35.04, abs=0.005)
    assert cool == pytest.approx(34.40, abs=0.005)


def test_pure_water_has_no_salt():
    assert sal.salinity_from_specific_gravity(1.0) == pytest.approx(0, abs=1e-6)


@pytest.mark.parametrize("gravity", [0.99, 26.0, float("nan")])
def test_no_seawater_has_that_specific_gravity(gravity):
    with pytest.raises(ValueError, match="no salinity from 0 to 50"):
        sal.salinity_from_specific_gravity(gravity)


@pytest.mark.parametrize("conductivity", [-1.0, float("nan")])
def test_no_seawater_has_that_conductivity(conductivity):
    with pytest.raises(ValueError, match="no seawater"):
        sal.salinity_from_conductivity(conductivity, 25)
