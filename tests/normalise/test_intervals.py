"""What one result can mean, by cases worked by hand."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from made_results import one

from fleet.intervals import meaning
from fleet.records import Method

CARD = Method("Card", "nitrate", "card", 2.0, 5.0, None, 0.4, 100.0)
PHOTOMETER = Method("Photometer", "phosphate", "meter", 0.03, 0.01, 0.04, 0.04, 2.5)


def of(written_form, number, upper=None, method=CARD, bottom=0.0):
    return meaning(written_form, number, upper, method, 2.0, bottom)


# ---------------------------------------------------------------- less than, more than


@pytest.mark.parametrize(
    ("form", "number", "method", "high"),
    [
        ("value", 0.0, CARD, 2.0),
        ("none seen", 0.0, CARD, 2.0),
        ("value", 0.0, PHOTOMETER, 0.03),
        ("value", 0.01, PHOTOMETER, 0.03),  # a digit under what it tells from none
        ("value", -0.02, PHOTOMETER, 0.03),  # an instrument's noise round none
        ("below", 5.0, CARD, 5.0),
        ("below", 0.02, PHOTOMETER, 0.03),  # "<0.02" makes no method sharper
        ("below", 0.05, PHOTOMETER, 0.05),
    ],
)
def test_a_zero_says_less_than_the_least_the_method_tells(form, number, method, high):
    meant = of(form, number, method=method)
    assert (meant.value, meant.low, meant.high) == (None, 0.0, high)
    assert meant.registers is False


def test_a_tint_between_none_and_the_first_colour_is_neither():
    meant = of("value", 1.0)
    assert meant.registers is None
    assert (meant.low, meant.high) == (0.0, 3.5)  # half a step of 5 above the 1


@pytest.mark.parametrize(
    ("form", "number", "low"),
    [
        ("above", 50.0, 50.0),
        ("value", 100.0, 60.0),  # top colour: 40 % of it is its half step
        ("value", 160.0, 96.0),
    ],
)
def test_the_top_of_a_card_is_open_above(form, number, low):
    meant = of(form, number)
    assert meant.value is None
    assert (meant.low, meant.high) == (low, math.inf)
    assert meant.registers is True


def test_the_top_of_an_instrument_is_open_above():
    meant = of("value", 2.5, method=PHOTOMETER)
    assert meant.high == math.inf
    assert meant.low == pytest.approx(2.36)  # 2.5 - 0.04 - 4 % of 2.5


# ------------------------------------------------------------------------- plain values


def test_a_card_goes_by_its_steps():
    # Steps of 5: 10 lies between 7.5 and 12.5, were it not for 40 % of the value.
    assert of("value", 5.0)[1:3] == (2.5, 7.5)
    assert of("value", 10.0)[1:3] == (6.0, 14.0)
    assert of("value", 10.0).shape == "even"
    assert of("value", 10.0).spread == 0


def test_the_first_colour_is_more_than_half_of_itself():
    # Neighbours of 2 are none and 7: halfway down is 1.
    assert of("value", 2.0)[1:3] == (1.0, 4.5)


def test_an_instrument_goes_by_its_plus_or_minus():
    # +/- 0.04 and 4 %: 0.1 means 0.056 to 0.144; JCGM 100:2008, 4.3.7 for u.
    meant = of("value", 0.1, method=PHOTOMETER)
    assert meant[:3] == pytest.approx((0.1, 0.056, 0.144))
    assert meant.spread == pytest.approx(0.044 / math.sqrt(3))
    assert meant.shape == "normal"
    assert meant.registers is True


def test_a_temperature_may_lie_below_zero():
    glass = Method("Glass", "temperature", "meter", None, 0.5, 1.0, None, None)
    assert of("value", -1.0, method=glass, bottom=-2.0)[:3] == (-1.0, -2.0, 0.0)


# ------------------------------------------------------------------- ranges and abouts


def test_a_range_is_kept():
    assert of("range", 10.0, 20.0)[:3] == (15.0, 9.0, 21.0)  # 40 % of 15 is 6
    assert of("range", 20.0, 10.0)[:3] == (15.0, 9.0, 21.0)
    assert of("range", 10.0, 30.0)[:3] == (20.0, 10.0, 30.0)


def test_a_range_under_the_least_is_none():
    assert of("range", 0.0, 1.0)[:3] == (None, 0.0, 2.0)


def test_a_range_from_under_the_least_may_be_none():
    meant = of("range", 1.0, 5.0)
    assert meant.registers is None
    assert (meant.low, meant.high) == (0.0, 5.5)


def test_about_is_twice_as_wide():
    assert of("about", 10.0)[:3] == (10.0, 2.0, 18.0)
    about = of("about", 0.1, method=PHOTOMETER)
    assert (about.low, about.high) == pytest.approx((0.012, 0.188))


# --------------------------------------------------------------------------- properties

methods = st.builds(
    Method,
    name=st.just("made"),
    measures=st.just("nitrate"),
    kind=st.sampled_from(["card", "drops", "meter", "laboratory", "total"]),
    lowest=st.none() | st.floats(0, 10),
    step=st.none() | st.floats(0, 10),
    accuracy=st.none() | st.floats(0, 10),
    accuracy_share=st.none() | st.floats(0, 0.9),
    highest=st.none() | st.floats(10, 1000),
)
forms = st.sampled_from(["value", "below", "above", "range", "about", "none seen"])


@given(forms, st.floats(-5, 2000), st.none() | st.floats(0, 2000), methods)
def test_the_value_lies_between_its_ends(form, number, upper, method):
    meant = meaning(form, number, upper, method, 2.0)
    assert meant.low <= meant.high
    assert meant.spread >= 0
    if meant.value is not None:
        assert meant.low <= meant.value <= meant.high
    if meant.registers is False:
        assert meant.value is None
        assert meant.high >= (method.lowest or 0)


@given(st.floats(0, 2000), methods)
def test_about_never_says_more_than_the_plain_value(number, method):
    plain = meaning("value", number, None, method, 2.0)
    about = meaning("about", number, None, method, 2.0)
    assert about.low <= plain.low + 1e-9
    assert about.high >= plain.high - 1e-9


def test_a_reading_of_none_by_three_tests_means_three_things():
    assert one("phosphate", 0).high == 0.08  # no method named: a colour card
    assert one("phosphate", 0, "low range photometer").high == 0.03
    assert one("phosphate", 0, "laboratory").high == 0.002
