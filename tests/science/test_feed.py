import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleet.science import feed
from fleet.science.concentration import nitrate_from_nitrogen

FEED = st.floats(0.01, 500)
PROTEIN = st.floats(0.05, 0.9)
VOLUME = st.floats(10, 1e5)


@given(fed=FEED, protein=PROTEIN, volume=VOLUME)
def test_what_fish_give_off_is_less_than_what_they_ate(fed, protein, volume):
    # 0.092: Timmons & Ebeling, Recirculating Aquaculture (from memory).
    given_off = feed.nitrate_from_feed(fed, protein, volume, 0.092)
    most = feed.most_nitrate_from_feed(fed, protein, volume)
    assert 0 < given_off < most
    # 0.16 N in protein: worked by hand.
    assert given_off / most == pytest.approx(0.092 / 0.16, rel=1e-9)


@given(fed=FEED, protein=PROTEIN, volume=VOLUME)
def test_all_ammonia_nitrogen_becomes_nitrate_nitrogen(fed, protein, volume):
    total = feed.total_ammonia_from_feed(fed, protein, volume, 0.092)
    nitrate = feed.nitrate_from_feed(fed, protein, volume, 0.092)
    assert nitrate == pytest.approx(nitrate_from_nitrogen(total), rel=1e-12)


def test_oxygen_as_handbooks_print_it():
    # 4.57 g O2 per g N: Metcalf & Eddy, Wastewater Engineering (from memory).
    assert feed.oxygen_to_nitrify(1) == pytest.approx(4.57, abs=0.005)


def test_frozen_and_dry_feed_of_equal_protein_give_the_same_ammonia():
    dry = feed.dry_equivalent(10, 0.10, 0.45)
    from_frozen = feed.total_ammonia_from_feed(10, 0.10, 300, 0.092)
    from_dry = feed.total_ammonia_from_feed(dry, 0.45, 300, 0.092)
    assert from_dry == pytest.approx(from_frozen, rel=1e-12)


def test_an_empty_tank_and_empty_feed_are_refused():
    with pytest.raises(ValueError, match="no concentration in a volume"):
        feed.most_nitrate_from_feed(1, 0.45, 0)
    with pytest.raises(ValueError, match="no concentration in a volume"):
        feed.phosphate_from_feed(1, 0.012, 0.6, -5)
    with pytest.raises(ValueError, match="without protein"):
        feed.dry_equivalent(10, 0.1, 0)
