"""One dose by hand against worked examples and published masses."""

from __future__ import annotations

import math
from dataclasses import replace

import periodictable
import pytest
from click.testing import CliRunner

from fleet.byhand import DoseAsked, dose, find_salt, litres
from fleet.cli import main
from fleet.errors import UsageError
from fleet.reference import load_reference

REFERENCE = load_reference()


def asked(**facts):
    return dose(DoseAsked(**{"volume_l": 400, **facts}), REFERENCE)


def test_worked_example_of_sodium_nitrate():
    # Worked by hand from IUPAC abridged weights: 2.5 mg/L NO3 in 100 US gal
    # (378.54 L) with NaNO3 of 99 %: 0.94635 g / 0.72951 / 0.99 = 1.3103 g.
    made = asked(salt="NaNO3", volume_l=litres("100 gal"), rise=2.5, purity=0.99)
    assert made.amount_g == pytest.approx(1.3103, abs=0.0005)


def test_worked_example_of_a_hydrate():
    # 0.05 mg/L PO4 in 450 L with Na2HPO4.12H2O of 99 %: 0.0225 / 0.26518 / 0.99.
    made = asked(
        salt="disodium phosphate dodecahydrate", volume_l=450, rise=0.05, purity=0.99
    )
    assert made.amount_g == pytest.approx(0.0857, abs=0.0001)


@pytest.mark.parametrize("key", [k for k, s in REFERENCE.salts.items() if s.dose])
def test_grams_hold_the_mass_of_the_ion(key):
    salt = REFERENCE.salts[key]
    made = asked(salt=key, rise=0.02, animals=False)
    formula = periodictable.formula(salt.formula)
    element = {"phosphate": "P"}.get(salt.raises, "N")
    ion = {"nitrate": "NO3", "phosphate": "PO4", "ammonia": "N"}[salt.raises]
    atoms = formula.atoms[getattr(periodictable, element)]
    share = atoms * periodictable.formula(ion).mass / formula.mass
    assert made.amount_g * share * 1000 / 400 == pytest.approx(0.02, rel=0.001)


def test_rise_is_split_over_days():
    made = asked(salt="sodium nitrate", rise=5)
    assert made.days == 3
    assert made.per_day_g * 3 == pytest.approx(made.amount_g)


def test_grams_at_hand_give_the_rise():
    # 10 mL of 50 g/L NaNO3 is 0.5 g; in 200 L it gives 1.824 mg/L (worked by hand).
    made = asked(salt="sodium nitrate", volume_l=200, grams=0.5)
    assert made.rise == pytest.approx(1.824, abs=0.001)


@pytest.mark.parametrize(
    ("facts", "says"),
    [
        ({"salt": "sodium nitrate"}, "either --rise"),
        ({"salt": "sodium nitrate", "rise": 1, "grams": 1}, "either --rise"),
        ({"salt": "sodium nitrate", "rise": -1}, "above zero"),
        ({"salt": "sodium nitrate", "rise": 1, "purity": 0}, "purity"),
        # Half of saturation at 20 degC, 46.7 % by mass (CRC Handbook, from memory).
        ({"salt": "sodium nitrate", "rise": 1, "stock_g_per_l": 300}, "at most 233"),
        ({"salt": "trisodium phosphate", "rise": 1}, "caustic"),
        ({"salt": "ammonium chloride", "rise": 0.01}, "--no-animals"),
        (
            {"salt": "ammonium chloride", "rise": 0.5, "total_ammonia": 0.4,
             "ph": 8.4, "temperature": 28, "salinity": 35},
            "Not safe",
        ),
        ({"salt": "sodium nitrate", "rise": 1, "stock_ml": 250}, "--stock"),
        # What is no number is below no limit and above none.
        *(
            ({"salt": "ammonium chloride", "rise": 0.01,
              **{"ph": 8.1, "temperature": 25, "salinity": 35}, name: value}, said)
            for name, said in (("ph", "--ph"), ("temperature", "--temperature"),
                               ("salinity", "--salinity"),
                               ("total_ammonia", "--ammonia"))
            for value in (math.nan, math.inf, -math.inf, -300)
        ),
        *(
            ({"salt": "sodium nitrate", "rise": 1, "stock_g_per_l": 5, "stock_ml": ml},
             "more than 0 mL")
            for ml in (math.nan, math.inf, 0, -5)
        ),
        # 0.1 mg NO3 is 0.1371 mg NaNO3: 0.000685 mL of 200 g/L. At 0.02 g/L, a round
        # strength that gives 5 mL or more, 6.85 mL (worked by hand).
        (
            {"salt": "sodium nitrate", "volume_l": 10, "rise": 0.01,
             "stock_g_per_l": 200},
            r"0.00069 mL of a stock of 200 g/L is too little to measure \(0.5 mL at "
            r"least\). Thin it with purified water: of 0.02 g/L it would be 6.9 mL.",
        ),
        # 250 mL of 1 g/L hold 0.25 g.
        (
            {"salt": "sodium nitrate", "rise": 1, "stock_g_per_l": 1, "stock_ml": 250},
            r"0.25 g is too little to weigh for a stock \(0.5 g at least\). Make more "
            "of it, or a stronger one to thin.",
        ),
        ({"salt": "sodium nitrate", "rise": math.inf}, "above zero"),
        ({"salt": "sodium nitrate", "rise": 1e308}, "too large"),
    ],
)  # fmt: skip
def test_what_is_not_safe_or_makes_no_sense_is_refused(facts, says):
    with pytest.raises(UsageError, match=says):
        asked(**facts)


def test_only_a_salt_that_the_table_calls_caustic_is_called_so():
    salts = dict(REFERENCE.salts)
    salts["calcium-nitrate"] = replace(salts["calcium-nitrate"], dose=False)
    changed = replace(REFERENCE, salts=salts)
    with pytest.raises(UsageError) as refused:
        find_salt("calcium nitrate", changed)
    assert str(refused.value) == (
        "calcium-nitrate is not dosed. Use sodium-nitrate instead."
    )
    with pytest.raises(UsageError) as refused:
        find_salt("TSP", changed)
    assert str(refused.value) == (
        "trisodium-phosphate is strongly caustic and is not dosed. Use "
        "dipotassium-phosphate instead."
    )


@pytest.mark.parametrize(("share", "said"), [(0.5, "50 %"), (0.25, "25 %")])
def test_where_free_ammonia_is_refused_is_said_as_the_table_has_it(share, said):
    limits = dict(REFERENCE.limits)
    key = "free-ammonia-act-share"
    limits[key] = replace(limits[key], value=share)
    facts = DoseAsked(
        "ammonium chloride", 400, rise=0.5, total_ammonia=0.4, ph=8.4, temperature=28,
        salinity=35,
    )  # fmt: skip
    with pytest.raises(UsageError, match=f"{said} of the published four-day limit"):
        dose(facts, replace(REFERENCE, limits=limits))


def printed(*words):
    done = CliRunner().invoke(main, ["dose", *words])
    assert done.exit_code == 0, done.output
    return done.stdout


def test_a_dose_too_small_to_weigh_is_given_as_a_stock_to_make():
    # 0.01 mg/L PO4 in 60 L is 0.6 mg, / 0.5453 = 1.10 mg K2HPO4: 5.5 mL of 0.2 g/L.
    said = printed("K2HPO4", "--volume", "60", "--rise", "0.01")
    assert "Give 1.1 mg, once." in said
    instead = "dissolve more, and give 5.5 mL of a stock of 0.2 g/L."
    assert f"That is too little to weigh well: {instead}" in said
    # 2 mg/L NO3 in 400 L is 0.8 g, / 0.7295 = 1.10 g: a pocket scale weighs it.
    assert "too little" not in printed("NaNO3", "--volume", "400", "--rise", "2")


def test_a_weak_stock_is_named_by_its_strength():
    said = printed("NaNO3", "--volume", "10", "--rise", "0.01", "--stock", "0.02")
    assert "That is 6.9 mL of a stock of 0.02 g/L." in said


@pytest.mark.parametrize(
    ("written", "volume"),
    [
        ("400", 400), ("400 L", 400), ("75 gal", 283.906), ("60 imp gal", 272.765),
        ("0,5 L", 0.5), ("1 US gal", 3.785411784),
    ],
)  # fmt: skip
def test_volumes(written, volume):
    assert litres(written) == pytest.approx(volume, abs=0.001)


@pytest.mark.parametrize("written", ["", "much", "0", "3 buckets"])
def test_what_is_no_volume(written):
    with pytest.raises(UsageError):
        litres(written)


def test_printed_sum_can_be_redone_by_hand():
    done = CliRunner().invoke(
        main, ["dose", "K2HPO4", "--volume", "400", "--rise", "0.05", "--stock", "5"]
    )
    assert done.exit_code == 0, done.output
    # 0.025 mg/L a day: 0.01 g PO4, / 0.5453 = 0.01834 g, x 2; / 5 g/L = 3.668 mL.
    for part in ("0.01 g", "0.01834 g", "0.03668 g", "3.668 mL", "307 g/L"):
        assert part in done.stdout
    assert "gloves" in done.stdout
    assert "safety data sheet" in done.stdout


@pytest.mark.parametrize("written", ["1,000", "1.000", "1,000 L", "2,500 gal"])
def test_volume_that_can_be_two_is_refused_with_both(written):
    with pytest.raises(UsageError) as told:
        litres(written)
    small, large = {"1": ("1", "1000"), "2": ("2.5", "2500")}[written[0]]
    assert str(told.value).endswith(f"write {small} or {large}.")


def test_a_thousandth_behind_a_nought_is_no_thousand():
    assert litres("0.125") == 0.125
