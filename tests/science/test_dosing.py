import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleet.science import dosing

RISE = st.floats(1e-3, 100)
VOLUME = st.floats(1, 1e5)
SHARE = st.floats(0.01, 1)


@given(rise=RISE, volume=VOLUME, share=SHARE, purity=SHARE)
def test_there_and_back(rise, volume, share, purity):
    grams = dosing.grams_for_rise(rise, volume, share, purity)
    found = dosing.rise_from_grams(grams, volume, share, purity)
    assert found == pytest.approx(rise, rel=1e-12)


@given(rise=RISE, volume=VOLUME, share=SHARE, strength=st.floats(1, 400))
def test_the_stock_measured_holds_the_grams_weighed(rise, volume, share, strength):
    grams = dosing.grams_for_rise(rise, volume, share)
    stock = dosing.millilitres_of_stock(grams, strength)
    assert dosing.grams_in_stock(stock, strength) == pytest.approx(grams, rel=1e-12)


def test_wrong_hydrate_is_a_factor_of_two_and_a_half():
    # Anhydrous disodium phosphate for the dodecahydrate: 0.6690 over 0.2652 g PO4 per
    # g, worked by hand from the molar masses 141.957 and 358.137.
    asked = dosing.grams_for_rise(0.05, 450, 0.2652)
    given_instead = dosing.rise_from_grams(asked, 450, 0.6690)
    assert given_instead / 0.05 == pytest.approx(2.52, abs=0.005)


def test_stock_of_a_hydrate_is_capped_by_what_it_holds_without_water():
    # Na2HPO4 7.5 % at 20 degC (CRC Handbook, from memory); 141.957/358.137 of the
    # dodecahydrate is dry: 0.5 x 75 / 0.3964 = 94.6 g/L, worked by hand.
    cap = dosing.largest_stock_strength(0.075, 0.3964)
    assert cap == pytest.approx(94.6, abs=0.05)


def test_phosphate_salt_hardly_moves_alkalinity():
    # Worked by hand: 0.1 mg/L PO4 is 0.1/94.970 mmol/L, and K2HPO4 brings 1 meq/mmol.
    found = dosing.alkalinity_carried(0.1, 1, 174.174, 94.970 / 174.174)
    assert found == pytest.approx(0.1 / 94.970, rel=1e-6)
    assert dosing.alkalinity_carried(10, 0, 84.994, 0.7295) == 0


@pytest.mark.parametrize("share", [0, -0.1, 1.01, float("nan")])
def test_share_and_purity_are_above_zero_and_at_most_one(share):
    with pytest.raises(ValueError, match="not above 0 and at most 1"):
        dosing.grams_for_rise(1, 100, share)
    with pytest.raises(ValueError, match="not above 0 and at most 1"):
        dosing.rise_from_grams(1, 100, 0.5, share)


def test_empty_stock_and_empty_tank_are_refused():
    with pytest.raises(ValueError, match="holds no salt"):
        dosing.millilitres_of_stock(1, 0)
    with pytest.raises(ValueError, match="no rise in a volume"):
        dosing.rise_from_grams(1, 0, 0.5)
