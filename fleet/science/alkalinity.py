"""Total alkalinity between its units, and what the nitrogen cycle does to it."""

from fleet.science.composition import formula_mass

# A German degree is 10 mg/L of CaO (DIN 38409-6). [mg/meq] and [mg/L per degree]
CALCIUM_OXIDE_EQUIVALENT = formula_mass("CaO") / 2
CALCIUM_CARBONATE_EQUIVALENT = formula_mass("CaCO3") / 2
CALCIUM_OXIDE_PER_DEGREE = 10.0

# Change of total alkalinity with each mol of nitrogen or phosphorus, Wolf-Gladrow
# et al. (2007), Mar. Chem. 106, 287-300, explicit conservative expression. [eq/mol]
AMMONIUM_TO_NITRATE = -2.0  # nitrification of a dosed ammonium salt
FEED_TO_NITRATE = -1.0  # +1 as feed nitrogen becomes ammonia, -2 as that is nitrified
NITRATE_TAKEN_UP = 1.0  # by growth, or to nitrogen gas by denitrification


def meq_from_dkh(degrees: float) -> float:
    """Return total alkalinity [meq/L] from degrees of carbonate hardness [dKH]."""
    return degrees * (CALCIUM_OXIDE_PER_DEGREE / CALCIUM_OXIDE_EQUIVALENT)


def dkh_from_meq(alkalinity: float) -> float:
    """Return degrees of carbonate hardness [dKH] from total alkalinity [meq/L]."""
    return alkalinity * (CALCIUM_OXIDE_EQUIVALENT / CALCIUM_OXIDE_PER_DEGREE)


def meq_from_calcium_carbonate(carbonate: float) -> float:
    """Return total alkalinity [meq/L] from its calcium carbonate equivalent [mg/L]."""
    return carbonate / CALCIUM_CARBONATE_EQUIVALENT


def calcium_carbonate_from_meq(alkalinity: float) -> float:
    """Return the calcium carbonate equivalent [mg/L] of total alkalinity [meq/L]."""
    return alkalinity * CALCIUM_CARBONATE_EQUIVALENT


def meq_from_micromoles_per_kg(alkalinity: float, density: float) -> float:
    """Return total alkalinity per litre from the oceanographer's unit.

    Parameters
    ----------
    alkalinity : float or array-like
        Total alkalinity. [µmol/kg]
    density : float or array-like
        Density of the sample, as ``salinity.density`` gives it. [kg/m3]

    Returns
    -------
    float or array-like
        Total alkalinity. [meq/L]
    """
    return alkalinity * density * 1e-6


def alkalinity_change(
    equivalents: float, concentration: float, molar_mass: float
) -> float:
    """Return the change of total alkalinity when a species is formed or used.

    Parameters
    ----------
    equivalents : float
        Change for each mol, such as ``AMMONIUM_TO_NITRATE``. [eq/mol]
    concentration : float or array-like
        Concentration formed or used, on the basis of ``molar_mass``. [mg/L]
    molar_mass : float
        Molar mass of that basis: N for mg/L N, NO3 for mg/L NO3. [g/mol]

    Returns
    -------
    float or array-like
        Change of total alkalinity. [meq/L]

    References
    ----------
    Wolf-Gladrow et al. (2007), Mar. Chem. 106, 287-300.
    """
    return equivalents * concentration / molar_mass
