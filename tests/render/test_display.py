import math
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleet.records import Settings
from fleet.reference import load_reference
from fleet.render.wording import Wording

REFERENCE = load_reference()


def display(**settings):
    return Wording(REFERENCE, Settings(**settings)).display


@pytest.mark.parametrize(
    ("ends", "parameter", "whole", "bare"),
    [
        ((0, 0.08), "phosphate", "0 to 0.08 mg/L", "0 to 0.08"),
        ((3.5, math.inf), "nitrite", "3.5 mg/L or more", "3.5 or more"),
        ((7.9, 8.4), "ph", "7.9 to 8.4", "7.9 to 8.4"),
        ((8.2, math.inf), "ph", "8.2 or more", "8.2 or more"),
    ],
)
def test_a_span_names_its_unit_behind_the_number_it_belongs_to(
    ends, parameter, whole, bare
):
    assert display().span(ends, parameter) == whole
    assert display().bare_span(ends, parameter) == bare


# ISMP, List of Error-Prone Abbreviations, Symbols, and Dose Designations: no
# trailing zero, always a leading zero, a comma from 1,000 up.
@pytest.mark.parametrize(
    ("value", "shown"),
    [(5.0, "5"), (0.5, "0.5"), (1000, "1,000"), (0.0, "0"), (-0.001, "0"), (10, "10")],
)
def test_numbers_follow_the_rules_of_medication_safety(value, shown):
    assert display().number(value) == shown


# A kitchen scale shows 1 g, a pocket scale 0.01 g and the finest of them 0.001 g
# (common practice, no source). So 0.0302 g is 0.03 g: nobody weighs the 0.2 mg. Under
# 0.01 g nothing is weighed: it is the salt in a measured volume, in mg.
@pytest.mark.parametrize(
    ("grams", "shown"),
    [
        (0.0302, "0.03 g"), (0.2664, "0.266 g"), (1.662, "1.66 g"), (9.996, "10 g"),
        (25, "25 g"), (25.43, "25.4 g"), (123.4, "123 g"), (1234.6, "1,235 g"),
        (0.0004, "0.4 mg"), (0.0014, "1.4 mg"), (0.00014, "0.14 mg"),
        (0.00996, "10 mg"), (0.01, "0.01 g"), (0, "0 g"),
    ],
)  # fmt: skip
def test_a_mass_is_shown_to_what_can_be_weighed(grams, shown):
    assert display().grams(grams) == shown


@given(st.floats(1e-9, 1e5))
def test_no_amount_is_rounded_to_nothing_or_far_off(amount):
    show = display()
    number, unit = show.grams(amount).replace(",", "").split()
    shown = float(number) * {"mg": 0.001, "g": 1.0}[unit]
    assert shown == pytest.approx(amount, rel=0.051)
    for text in (show.millilitres(amount), show.litres(amount)):
        assert float(text.replace(",", "").split()[0]) > 0


@pytest.mark.parametrize(
    ("ml", "shown"),
    [(0.00069, "0.0007 mL"), (0.5, "0.5 mL"), (3.668, "3.7 mL"), (250, "250 mL")],
)
def test_a_volume_is_shown_to_what_can_be_measured(ml, shown):
    assert display().millilitres(ml) == shown


@pytest.mark.parametrize(
    ("day", "days", "each", "in_all"),
    [
        # Worked by hand: what each portion says, times the days.
        (0.00731, 2, "7.3 mg", "14.6 mg"),
        (0.00968, 4, "9.7 mg", "38.8 mg"),
        (0.00056, 2, "0.56 mg", "1.12 mg"),
        (0.4571, 2, "0.457 g", "0.914 g"),
        (3.456, 3, "3.46 g", "10.38 g"),
    ],
)
def test_portions_add_up_to_what_is_said_in_all(day, days, each, in_all):
    assert (display().grams(day), display().grams_of(day, days)) == (each, in_all)


@pytest.mark.parametrize(
    ("day", "days", "each", "in_all"),
    [(22.83, 2, "22.8 mL", "45.6 mL"), (0.556, 3, "0.56 mL", "1.68 mL"),
     (249.6, 4, "250 mL", "1,000 mL")],
)  # fmt: skip
def test_measured_portions_add_up(day, days, each, in_all):
    shown = display().millilitres(day), display().millilitres_of(day, days)
    assert shown == (each, in_all)


def test_a_small_phosphate_never_reads_as_none():
    assert display().bare(0.004, "phosphate") == "0.004"
    assert display().bare(0.0004, "phosphate") == "0.0004"


def test_a_day_is_shown_with_its_weekday():
    # 30 March 2026 is a Monday: ISO 8601 week 14 of 2026, worked by hand.
    shown = display()
    for _ in range(2):  # kept ready the second time
        assert shown.day(date(2026, 3, 30)) == "Mon 30 Mar 2026"
        assert shown.short_day(date(2026, 3, 30)) == "Mon 30 Mar"


def test_a_gallon_is_the_us_one():
    # 1 US gal = 3.785411784 L exactly (NIST Handbook 44, appendix C).
    assert display(units="US").litres(3.785411784 * 75) == "75 US gal"
    assert display(units="US").unit("temperature") == "°F"
    assert display(units="US").value(25, "temperature") == "77 °F"
    # A difference has no offset: 1 °C is 1.8 °F.
    assert display(units="US").change(1, "temperature") == "+1.8 °F"
