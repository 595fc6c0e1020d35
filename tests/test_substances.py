"""Which salt a text means: for the log, the shelf and the command line alike."""

import pytest

from fleet.byhand import find_salt
from fleet.errors import UsageError
from fleet.reference import load_reference
from fleet.substances import SaltNames

REFERENCE = load_reference()
SALTS = SaltNames(REFERENCE)


@pytest.mark.parametrize(
    ("substance", "key"),
    [
        ("NaNO₃", "sodium-nitrate"),
        ("Sodium Nitrate (food grade)", "sodium-nitrate"),
        ("sodium nitrate stock", "sodium-nitrate"),
        ("NaNO3 40 g/L", "sodium-nitrate"),
        ("2 g of sodium-nitrate, dissolved", "sodium-nitrate"),
        ("KNO3 solution", "potassium-nitrate"),
        ("K2HPO4", "dipotassium-phosphate"),
        ("KH2PO4", "monopotassium-phosphate"),
        ("mkp", "monopotassium-phosphate"),
        ("MKP stock, 10 g/L", "monopotassium-phosphate"),
        ("TSP", "trisodium-phosphate"),
        ("Calcium nitrate tetrahydrate", "calcium-nitrate"),
        ("Ca(NO₃)₂·4H₂O", "calcium-nitrate"),
        ("ammonium bicarbonate", "ammonium-bicarbonate"),
        ("Baker's ammonia", "ammonium-bicarbonate"),
        ("dipotassium phosphate trihydrate", "dipotassium-phosphate-trihydrate"),
        ("dipotassium phosphate, K2HPO4·3H2O", "dipotassium-phosphate-trihydrate"),
        ("potassium nitrate (KNO3)", "potassium-nitrate"),
        ("potassium nitrate and KH2PO4", ""),  # how much of each?
        ("sodium nitrite", ""),
        ("ammonium nitrate", ""),
        ("calcium ammonium nitrate", ""),
        ("iodine", ""),
        ("", ""),
        # A spoon is no trisodium phosphate.
        ("1 tsp of pellets", ""),
        ("2 tsp vinegar", ""),
        ("tsp vinegar", ""),
        ("bottled bacteria 1 tsp", ""),
        ("tspoon of vodka", ""),
    ],
)
def test_salts_are_known_by_name_and_formula(substance, key):
    assert SALTS.of(substance) == key


@pytest.mark.parametrize("salt", REFERENCE.salts.values(), ids=lambda s: s.key)
def test_every_spelling_means_its_own_salt(salt):
    for spelling in (salt.key, salt.formula, *salt.spellings):
        for written in (spelling, spelling.upper(), f" {spelling} "):
            assert SALTS.of(written) == salt.key, written


def test_the_command_line_knows_the_same_names():
    assert find_salt("Sodium Nitrate (food grade)", REFERENCE).key == "sodium-nitrate"
    with pytest.raises(UsageError, match="No salt is called '2 tsp vinegar'"):
        find_salt("2 tsp vinegar", REFERENCE)
    with pytest.raises(UsageError, match="strongly caustic"):
        find_salt("TSP", REFERENCE)
