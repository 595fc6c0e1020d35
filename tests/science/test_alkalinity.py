import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleet.science import alkalinity as alk
from fleet.science.concentration import NITRATE, NITROGEN, nitrogen_from_nitrate


@given(alkalinity=st.floats(0.01, 20))
def test_there_and_back(alkalinity):
    degrees = alk.dkh_from_meq(alkalinity)
    assert alk.meq_from_dkh(degrees) == pytest.approx(alkalinity, rel=1e-12)
    carbonate = alk.calcium_carbonate_from_meq(alkalinity)
    assert alk.meq_from_calcium_carbonate(carbonate) == pytest.approx(alkalinity)


def test_a_degree_in_calcium_carbonate():
    # 1 dKH is 17.85 mg/L CaCO3 to two decimals: the factor printed in water-works
    # tables (from memory).
    carbonate = alk.calcium_carbonate_from_meq(alk.meq_from_dkh(1))
    assert carbonate == pytest.approx(17.85, abs=0.005)


def test_nitrogen_from_feed_costs_half_of_what_a_dosed_salt_costs():
    # Wolf-Gladrow et al. (2007): 2 eq/mol from ammonium, 1 net from protein.
    salt = alk.alkalinity_change(alk.AMMONIUM_TO_NITRATE, 10, NITRATE)
    feed = alk.alkalinity_change(alk.FEED_TO_NITRATE, 10, NITRATE)
    assert salt == 2 * feed < 0


def test_growth_on_nitrate_pays_back_what_nitrified_feed_cost():
    cost = alk.alkalinity_change(alk.FEED_TO_NITRATE, 3, NITROGEN)
    back = alk.alkalinity_change(alk.NITRATE_TAKEN_UP, 3, NITROGEN)
    assert cost + back == 0


def test_change_is_the_same_in_both_bases():
    as_ion = alk.alkalinity_change(-2, 10, NITRATE)
    as_element = alk.alkalinity_change(-2, nitrogen_from_nitrate(10), NITROGEN)
    assert as_ion == pytest.approx(as_element, rel=1e-12)
