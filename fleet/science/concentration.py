"""Convert a nutrient between element basis and ion basis, and mass and amount.

Each conversion is plain arithmetic: a number or an array of them alike. Bases and
units are in the names: ``nitrate`` is mg/L NO3, ``nitrogen`` mg/L N, ``phosphate``
mg/L PO4, ``phosphorus`` mg/L P, ``ammonia`` mg/L NH3 and ``ammonium`` mg/L NH4.
"""

from fleet.science.composition import ATOMIC_WEIGHT, formula_mass

NITROGEN = ATOMIC_WEIGHT["N"]  # [g/mol], as all that follow
PHOSPHORUS = ATOMIC_WEIGHT["P"]
NITRATE = formula_mass("NO3")
NITRITE = formula_mass("NO2")
AMMONIA = formula_mass("NH3")
AMMONIUM = formula_mass("NH4")
PHOSPHATE = formula_mass("PO4")


def nitrate_from_nitrogen(nitrogen: float) -> float:
    """Return nitrate, NO3 [mg/L], from nitrate given as nitrogen, NO3-N [mg/L]."""
    return nitrogen * (NITRATE / NITROGEN)


def nitrogen_from_nitrate(nitrate: float) -> float:
    """Return nitrate as nitrogen, NO3-N [mg/L], from nitrate, NO3 [mg/L]."""
    return nitrate * (NITROGEN / NITRATE)


def nitrite_from_nitrogen(nitrogen: float) -> float:
    """Return nitrite, NO2 [mg/L], from nitrite given as nitrogen, NO2-N [mg/L]."""
    return nitrogen * (NITRITE / NITROGEN)


def nitrogen_from_nitrite(nitrite: float) -> float:
    """Return nitrite as nitrogen, NO2-N [mg/L], from nitrite, NO2 [mg/L]."""
    return nitrite * (NITROGEN / NITRITE)


def ammonia_from_nitrogen(nitrogen: float) -> float:
    """Return ammonia, NH3 [mg/L], from ammonia given as nitrogen, NH3-N [mg/L]."""
    return nitrogen * (AMMONIA / NITROGEN)


def nitrogen_from_ammonia(ammonia: float) -> float:
    """Return ammonia as nitrogen, NH3-N [mg/L], from ammonia, NH3 [mg/L]."""
    return ammonia * (NITROGEN / AMMONIA)


def ammonium_from_nitrogen(nitrogen: float) -> float:
    """Return ammonium, NH4 [mg/L], from ammonium given as nitrogen, NH4-N [mg/L]."""
    return nitrogen * (AMMONIUM / NITROGEN)


def nitrogen_from_ammonium(ammonium: float) -> float:
    """Return ammonium as nitrogen, NH4-N [mg/L], from ammonium, NH4 [mg/L]."""
    return ammonium * (NITROGEN / AMMONIUM)


def phosphate_from_phosphorus(phosphorus: float) -> float:
    """Return phosphate, PO4 [mg/L], from phosphate given as phosphorus, P [mg/L]."""
    return phosphorus * (PHOSPHATE / PHOSPHORUS)


def phosphorus_from_phosphate(phosphate: float) -> float:
    """Return phosphate as phosphorus, P [mg/L], from phosphate, PO4 [mg/L]."""
    return phosphate * (PHOSPHORUS / PHOSPHATE)


def mass_from_amount(amount: float, molar_mass: float) -> float:
    """Return a mass concentration from an amount concentration.

    Parameters
    ----------
    amount : float or array-like
        Amount concentration. [µmol/L]
    molar_mass : float
        Molar mass of the species reported. [g/mol]

    Returns
    -------
    float or array-like
        Mass concentration. [mg/L]
    """
    return amount * molar_mass / 1000


def amount_from_mass(mass: float, molar_mass: float) -> float:
    """Return an amount concentration from a mass concentration.

    Parameters
    ----------
    mass : float or array-like
        Mass concentration. [mg/L]
    molar_mass : float
        Molar mass of the species reported. [g/mol]

    Returns
    -------
    float or array-like
        Amount concentration. [µmol/L]
    """
    return mass * 1000 / molar_mass


def per_litre_from_per_kg(per_kg: float, density: float) -> float:
    """Return a concentration per litre from one per kilogram of water.

    Parameters
    ----------
    per_kg : float or array-like
        Concentration. [mg/kg, or any unit per kg]
    density : float or array-like
        Density of the sample, as ``salinity.density`` gives it. [kg/m3]

    Returns
    -------
    float or array-like
        Concentration. [mg/L, or the same unit per L]
    """
    return per_kg * density / 1000


def molar_ratio(nitrate: float, phosphate: float) -> float:
    """Return nitrogen to phosphorus by amount.

    Parameters
    ----------
    nitrate : float
        Nitrate, NO3. [mg/L]
    phosphate : float
        Phosphate, PO4. [mg/L]

    Returns
    -------
    float
        N : P. [mol/mol]

    Raises
    ------
    ValueError
        If the phosphate is not above zero.
    """
    if not phosphate > 0:
        raise ValueError(f"no ratio to a phosphate of {phosphate} mg/L")
    return (nitrate / NITRATE) / (phosphate / PHOSPHATE)
