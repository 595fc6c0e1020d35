import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fleet.science import ammonia as nh

SOME = settings(max_examples=40)
PH = st.floats(7.6, 8.6)
TANK_TEMPERATURE = st.floats(20, 28)
TANK_SALINITY = st.floats(30, 38)


def carbonate_library(scale, salinities, temperatures):
    """Yield 200 random waters and what PyCO2SYS 1.8 makes of them.

    One call for all: it takes as long for one water as for a thousand.
    """
    import PyCO2SYS as pyco2  # slow to load: only where it is asked

    draw = np.random.default_rng(20080817)
    ph = draw.uniform(7.6, 8.6, 200)
    temperature = draw.uniform(*temperatures, 200)
    salinity = draw.uniform(*salinities, 200)
    found = pyco2.sys(
        par1=2300,
        par2=ph,
        par1_type=1,
        par2_type=3,
        salinity=salinity,
        temperature=temperature,
        opt_pH_scale={"total": 1, "NBS": 4}[scale],
        total_ammonia=10,
    )
    share = found["alkalinity_ammonia"] / found["total_ammonia"]
    waters = zip(ph, temperature, salinity, strict=True)
    return zip(waters, share, found["pH_nbs"], strict=True)


def test_total_scale_agrees_with_the_carbonate_library():
    # The same equation (Clegg & Whitfield 1995), written independently: 0.2 % is
    # left for its conversion to kg of seawater.
    for water, share, _ in carbonate_library("total", (2, 40), (2, 35)):
        assert nh.free_share(*water, "total") == pytest.approx(share, rel=0.002)


def test_nbs_scale_agrees_with_another_equation_within_a_tenth():
    # Bell et al. (2008) as read against Clegg & Whitfield (1995) through the NBS
    # scale of Takahashi et al. (1982): two published equations, 3 to 9 % apart here.
    for water, share, _ in carbonate_library("NBS", (30, 38), (20, 28)):
        assert nh.free_share(*water) == pytest.approx(share, rel=0.10)


def test_nbs_from_total_agrees_with_the_carbonate_library():
    # Tolerance 0.001: the hydrogen fluoride term is a constant in the code.
    for water, _, nbs in carbonate_library("total", (30, 38), (18, 30)):
        assert nh.nbs_from_total(*water) == pytest.approx(nbs, abs=0.001)


def test_celsius_is_meant():
    # Bell et al. (2008), worked by hand at 25 degC and salinity 35:
    # 10.0423 - 0.78884 + 0.107485.
    assert nh.pka_nbs(25, 35) == pytest.approx(9.360945, abs=1e-6)


@SOME
@given(ph=PH, temperature=TANK_TEMPERATURE, salinity=TANK_SALINITY)
@pytest.mark.parametrize("scale", ["NBS", "total"])
def test_share_rises_with_ph_and_warmth_and_falls_with_salt(
    scale, ph, temperature, salinity
):
    share = nh.free_share(ph, temperature, salinity, scale)
    assert 0 < share < 1
    assert nh.free_share(ph + 0.1, temperature, salinity, scale) > share
    assert nh.free_share(ph, temperature + 1, salinity, scale) > share
    assert nh.free_share(ph, temperature, salinity + 2, scale) < share


def test_a_scale_must_be_one_of_two():
    with pytest.raises(ValueError, match="neither NBS nor total"):
        nh.free_share(8.1, 25, 35, "free")


def test_outside_range_names_what_is_outside():
    assert nh.outside_range(8.1, 25, 35) == ()
    assert nh.outside_range(8.1, 25, 18) == ("salinity",)
    assert nh.outside_range(6.9, 12, 35) == ("temperature", "pH")
    assert nh.outside_range(8.1, 12, 18, "total") == ()
    assert nh.outside_range(float("nan"), 25, 35) == ("pH",)
