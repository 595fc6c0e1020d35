import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleet.science import feed
from fleet.science.concentration import nitrate_from_nitrogen

FEED = st.floats(0.01, 500)
PROTEIN = st.floats(0.05, 0.9)
VOLUME = st.floats(10, 1e5)


@given(fed=FEED, protein=PROTEIN, volume=VOLUME)
def test_all_ammonia_nitrogen_becomes_nitrate_nitrogen(fed, protein, volume):
    total = feed.total_ammonia_from_feed(fed, protein, volume, 0.092)
    nitrate = feed.nitrate_from_feed(fed, protein, volume, 0.092)
    assert nitrate == pytest.approx(nitrate_from_nitrogen(total), rel=1e-12)


def test_an_empty_tank_is_refused():
    with pytest.raises(ValueError, match="no concentration in a volume"):
        feed.nitrate_from_feed(1, 0.45, 0, 0.092)
    with pytest.raises(ValueError, match="no concentration in a volume"):
        feed.phosphate_from_feed(1, 0.012, 0.6, -5)
