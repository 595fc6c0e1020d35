import periodictable
import pytest

from fleet.science.composition import (
    ATOMIC_WEIGHT,
    atoms,
    formula_mass,
    mass_share,
    part_count,
)


@pytest.mark.parametrize("symbol", ATOMIC_WEIGHT)
def test_atomic_weight_is_that_of_an_independent_table(symbol):
    # periodictable 2.1: unabridged IUPAC values; five figures are kept here.
    independent = getattr(periodictable, symbol).mass
    assert ATOMIC_WEIGHT[symbol] == pytest.approx(independent, rel=1e-4)


@pytest.mark.parametrize(
    "formula",
    ["NaNO3", "Ca(NO3)2(H2O)4", "Na2HPO4(H2O)12", "(NH4)2SO4", "Mg(Ca(NO3)2)2"],
)
def test_mass_is_that_of_an_independent_parser(formula):
    independent = periodictable.formula(formula).mass
    assert formula_mass(formula) == pytest.approx(independent, rel=1e-4)


def test_brackets_multiply_what_they_hold():
    assert dict(atoms("Ca(NO3)2(H2O)4")) == {"Ca": 1, "N": 2, "O": 10, "H": 8}


def test_ion_is_counted_by_its_first_element():
    assert part_count("Ca(NO3)2(H2O)4", "NO3") == 2
    assert part_count("K2HPO4", "K") == 2
    assert part_count("NaNO3", "PO4") == 0


def test_shares_of_all_elements_make_the_whole():
    formula = "NH4HCO3"
    shares = [mass_share(formula, element) for element, _ in atoms(formula)]
    assert sum(shares) == pytest.approx(1)


@pytest.mark.parametrize(
    "text",
    ["", "nano3", "Xx2", "Na(NO3", "NaNO3)", "Na NO3", "Na-NO3", "()", "N" * 81, "2H"],
)
def test_what_is_no_formula_is_refused(text):
    with pytest.raises(ValueError, match="is not a formula"):
        formula_mass(text)
