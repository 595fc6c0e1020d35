"""Grams of salt for a wanted rise, stock solutions, and what comes along."""

# A stock holds at most this share of what 20 degC water can hold, so that a cool
# bottle stays clear. Common practice, no source. [1]
STOCK_SHARE_OF_SATURATION = 0.5


def grams_for_rise(
    rise: float, volume: float, ion_share: float, purity: float = 1.0
) -> float:
    """Return the salt that raises a volume of water by a wanted amount.

    Parameters
    ----------
    rise : float
        Wanted rise of the ion. [mg/L]
    volume : float
        System volume. [L]
    ion_share : float
        Share of the ion in the pure salt, by mass. [1]
    purity : float
        Share of pure salt in what is weighed. [1]

    Returns
    -------
    float
        Salt to weigh. [g]

    Raises
    ------
    ValueError
        If the share or the purity is not above 0 and at most 1.
    """
    return rise * volume / 1000 / _effective(ion_share, purity)


def rise_from_grams(
    grams: float, volume: float, ion_share: float, purity: float = 1.0
) -> float:
    """Return the rise a mass of salt gives.

    Parameters
    ----------
    grams : float
        Salt weighed. [g]
    volume : float
        System volume. [L]
    ion_share, purity : float
        As in ``grams_for_rise``. [1]

    Returns
    -------
    float
        Rise of the ion. [mg/L]

    Raises
    ------
    ValueError
        If the share or the purity is not above 0 and at most 1, or the volume not
        above zero.
    """
    if not volume > 0:
        raise ValueError(f"no rise in a volume of {volume} L")
    return grams * 1000 * _effective(ion_share, purity) / volume


def _effective(ion_share: float, purity: float) -> float:
    for name, share in (("share of the ion", ion_share), ("purity", purity)):
        if not 0 < share <= 1:
            raise ValueError(f"the {name} is {share}, not above 0 and at most 1")
    return ion_share * purity


def millilitres_of_stock(grams: float, strength: float) -> float:
    """Return the volume of stock solution that holds a mass of salt.

    Parameters
    ----------
    grams : float
        Salt wanted. [g]
    strength : float
        Salt, as weighed, in a litre of stock. [g/L]

    Returns
    -------
    float
        Stock to measure. [mL]

    Raises
    ------
    ValueError
        If the strength is not above zero.
    """
    if not strength > 0:
        raise ValueError(f"a stock of {strength} g/L holds no salt")
    return grams / strength * 1000


def grams_in_stock(millilitres: float, strength: float) -> float:
    """Return the salt in a volume of stock solution.

    Parameters
    ----------
    millilitres : float or array-like
        Stock measured. [mL]
    strength : float or array-like
        Salt, as weighed, in a litre of stock. [g/L]

    Returns
    -------
    float or array-like
        Salt. [g]
    """
    return millilitres * strength / 1000


def largest_stock_strength(
    saturated_share: float, anhydrous_share: float = 1.0
) -> float:
    """Return the strongest stock that stays clear when the bottle cools.

    Notes
    -----
    Solubility is stated by mass of solution; a litre of saturated solution weighs
    more than 1 kg, so taking its density as 1 kg/L errs on the weak side.

    Parameters
    ----------
    saturated_share : float
        Anhydrous salt in the saturated solution at 20 degC, by mass. [1]
    anhydrous_share : float
        Anhydrous salt in the solid as weighed, by mass. [1]

    Returns
    -------
    float
        Salt, as weighed, in a litre of stock. [g/L]
    """
    return STOCK_SHARE_OF_SATURATION * 1000 * saturated_share / anhydrous_share


def carried_along(rise: float, per_ion: float) -> float:
    """Return what else a dose brings: sodium, potassium, calcium, ammonia nitrogen.

    Parameters
    ----------
    rise : float or array-like
        Rise of the ion dosed. [mg/L]
    per_ion : float
        Mass of the other part for each mass of the ion in the salt. [mg/mg]

    Returns
    -------
    float or array-like
        Rise of the other part. [mg/L]
    """
    return rise * per_ion


def alkalinity_carried(
    rise: float, equivalents: float, molar_mass: float, ion_share: float
) -> float:
    """Return the alkalinity a dose brings as it dissolves.

    Parameters
    ----------
    rise : float or array-like
        Rise of the ion dosed. [mg/L]
    equivalents : float
        Alkalinity for each mol of salt: 1 for K2HPO4, 0 for NaNO3. [eq/mol]
    molar_mass : float
        Molar mass of the salt. [g/mol]
    ion_share : float
        Share of the ion in the pure salt, by mass. [1]

    Returns
    -------
    float or array-like
        Rise of total alkalinity. [meq/L]
    """
    return rise / ion_share / molar_mass * equivalents
