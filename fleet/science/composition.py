"""What a formula is made of: molar masses and shares by mass."""

import re
from functools import cache

# IUPAC abridged standard atomic weights, Prohaska et al. (2022), Pure Appl. Chem.
# 94, 573-600. [g/mol]
ATOMIC_WEIGHT = {
    "H": 1.008,
    "C": 12.011,
    "N": 14.007,
    "O": 15.999,
    "F": 18.998,
    "Na": 22.990,
    "Mg": 24.305,
    "P": 30.974,
    "S": 32.06,
    "Cl": 35.45,
    "K": 39.098,
    "Ca": 40.078,
    "Sr": 87.62,
}

# One element, or the opening or the close of a bracket, each with its count.
_TOKEN = re.compile(r"([A-Z][a-z]?)(\d*)|(\()|\)(\d*)")
_LONGEST = 80  # characters; longer text is no formula


@cache
def atoms(formula: str) -> tuple[tuple[str, int], ...]:
    """Return the elements of a formula with their counts, in order of appearance.

    Parameters
    ----------
    formula : str
        Plain formula; brackets may carry a count: ``Ca(NO3)2(H2O)4``.

    Returns
    -------
    tuple of (str, int)
        Element symbol and number of atoms. [1]

    Raises
    ------
    ValueError
        If the text is not a formula of the elements in ``ATOMIC_WEIGHT``.
    """
    levels: list[dict[str, int]] = [{}]
    place = 0
    while place < len(formula) <= _LONGEST:
        token = _TOKEN.match(formula, place)
        if token is None:
            break
        place = token.end()
        symbol, count, opening, times = token.groups()
        if opening:
            levels.append({})
        elif symbol in ATOMIC_WEIGHT:
            levels[-1][symbol] = levels[-1].get(symbol, 0) + int(count or 1)
        elif symbol is None and len(levels) > 1:
            for inner, number in levels.pop().items():
                levels[-1][inner] = levels[-1].get(inner, 0) + number * int(times or 1)
        else:
            break
    else:
        if len(levels) == 1 and levels[0]:
            return tuple(levels[0].items())
    raise ValueError(f"{formula!r} is not a formula of known elements")


@cache
def formula_mass(formula: str) -> float:
    """Return the molar mass of a formula.

    Parameters
    ----------
    formula : str
        As ``atoms`` reads it.

    Returns
    -------
    float
        Molar mass. [g/mol]

    Raises
    ------
    ValueError
        If the text is not a formula of known elements.
    """
    return sum(ATOMIC_WEIGHT[symbol] * count for symbol, count in atoms(formula))


def part_count(formula: str, part: str) -> float:
    """Return how often a part occurs in a formula, by the part's first element.

    Notes
    -----
    ``NO3`` is counted by its nitrogen, ``PO4`` by its phosphorus: right for every
    salt that holds the element in one form only. Ammonium nitrate is not such a
    salt.

    Parameters
    ----------
    formula, part : str
        As ``atoms`` reads them.

    Returns
    -------
    float
        Parts per formula unit. [mol/mol]

    Raises
    ------
    ValueError
        If either text is not a formula of known elements.
    """
    element, in_part = atoms(part)[0]
    return dict(atoms(formula)).get(element, 0) / in_part


def mass_share(formula: str, part: str) -> float:
    """Return the share by mass of a part (an ion or an element) in a pure substance.

    Parameters
    ----------
    formula, part : str
        As ``atoms`` reads them; the part is counted as ``part_count`` does.

    Returns
    -------
    float
        Grams of the part per gram. [1]

    Raises
    ------
    ValueError
        If either text is not a formula of known elements.
    """
    return part_count(formula, part) * formula_mass(part) / formula_mass(formula)
