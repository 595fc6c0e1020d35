"""Salt compositions against an independent library of atomic weights."""

import re

import periodictable
import pytest

from fleet.reference import load_reference

SALTS = load_reference().salts
ION = {"nitrate": ("NO3", "N"), "phosphate": ("PO4", "P"), "ammonia": ("N", "N")}


def mass(formula: str) -> float:
    # periodictable wants hydrate water without the outer count in front.
    return periodictable.formula(formula).mass


def count(formula: str, element: str) -> int:
    atoms = periodictable.formula(formula).atoms
    return atoms.get(getattr(periodictable, element), 0)


@pytest.mark.parametrize("salt", SALTS.values(), ids=SALTS.keys())
def test_molar_mass(salt):
    assert salt.molar_mass == pytest.approx(mass(salt.formula), rel=1e-4)


@pytest.mark.parametrize("salt", SALTS.values(), ids=SALTS.keys())
def test_share_of_the_ion(salt):
    ion, element = ION[salt.raises]
    share = count(salt.formula, element) * mass(ion) / mass(salt.formula)
    if salt.raises == "ammonia":
        share = count(salt.formula, "N") * mass("N") / mass(salt.formula)
    assert salt.ion_share == pytest.approx(share, rel=2e-4)


@pytest.mark.parametrize("salt", SALTS.values(), ids=SALTS.keys())
def test_anhydrous_share(salt):
    dry = re.sub(r"\(H2O\)\d*$", "", salt.formula)
    share = mass(dry) / mass(salt.formula)
    assert salt.anhydrous_share == pytest.approx(share, rel=2e-4)


@pytest.mark.parametrize("salt", SALTS.values(), ids=SALTS.keys())
def test_potassium_and_sodium_that_come_along(salt):
    ion, element = ION[salt.raises]
    raised = count(salt.formula, element) * mass(ion)
    for metal, given in (("K", salt.potassium_per_ion), ("Na", salt.sodium_per_ion)):
        along = count(salt.formula, metal) * mass(metal) / raised
        assert given == pytest.approx(along, rel=2e-4), metal
