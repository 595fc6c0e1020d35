import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleet.science import concentration as conc

AMOUNT = st.floats(1e-6, 1e6)
PAIRS = [
    (conc.nitrate_from_nitrogen, conc.nitrogen_from_nitrate),
    (conc.nitrite_from_nitrogen, conc.nitrogen_from_nitrite),
    (conc.ammonia_from_nitrogen, conc.nitrogen_from_ammonia),
    (conc.ammonium_from_nitrogen, conc.nitrogen_from_ammonium),
    (conc.phosphate_from_phosphorus, conc.phosphorus_from_phosphate),
]


def test_guideline_value_is_the_same_in_both_bases():
    # WHO, Guidelines for Drinking-water Quality, 4th ed. (2017), ch. 12: nitrate
    # 50 mg/L as ion is printed as 11 mg/L as nitrogen, nitrite 3 mg/L as 0.9 mg/L
    # as nitrogen (from memory).
    assert conc.nitrogen_from_nitrate(50) == pytest.approx(11, abs=0.5)
    assert conc.nitrogen_from_nitrite(3) == pytest.approx(0.9, abs=0.05)


@pytest.mark.parametrize("there, back", PAIRS)
@given(amount=AMOUNT)
def test_there_and_back(there, back, amount):
    assert back(there(amount)) == pytest.approx(amount, rel=1e-12)
    assert there(amount) > amount  # an ion outweighs its element


@given(amount=AMOUNT, molar_mass=st.floats(1, 400))
def test_mass_and_amount_there_and_back(amount, molar_mass):
    mass = conc.mass_from_amount(amount, molar_mass)
    assert conc.amount_from_mass(mass, molar_mass) == pytest.approx(amount, rel=1e-12)


def test_redfield_water_has_a_molar_ratio_of_sixteen():
    # Redfield (1934): 16 mol N to 1 mol P. Worked by hand: 16 x 62.004 mg of NO3
    # beside 94.970 mg of PO4.
    assert conc.molar_ratio(16 * 62.004, 94.970) == pytest.approx(16, rel=1e-6)


@pytest.mark.parametrize("phosphate", [0, -0.1, float("nan")])
def test_no_ratio_to_nothing(phosphate):
    with pytest.raises(ValueError, match="no ratio"):
        conc.molar_ratio(5, phosphate)
