"""Practical salinity from what people measure, and the density of seawater.

Temperatures are ITS-90, as every thermometer of today reads; the equations are of
IPTS-68, so each converts first.
"""

import math
from collections.abc import Callable

# Conductivity of seawater of practical salinity 35 at 15 degC (IPTS-68) and one
# atmosphere, Culkin & Smith (1980), IEEE J. Ocean. Eng. 5, 22-23. [mS/cm]
STANDARD_CONDUCTIVITY = 42.914

# Temperature of sample and pure water where the instrument says nothing: "25/25".
# Others state "20/20" or "60/60 F" (15.5556). [degC]
REFERENCE_25 = 25.0

LARGEST = 50.0  # largest salinity looked for; both equations hold to 42 [1]
_CLOSE = 1e-9  # the search ends at this change of salinity [1]

# Practical Salinity Scale 1978, UNESCO Techn. Papers in Mar. Sci. 44 (1983), p. 6-8.
_A = (0.0080, -0.1692, 25.3851, 14.0941, -7.0261, 2.7081)
_B = (0.0005, -0.0056, -0.0066, -0.0375, 0.0636, -0.0144)
_C = (0.6766097, 2.00564e-2, 1.104259e-4, -6.9698e-7, 1.0031e-9)
_K = 0.0162

# One-atmosphere equation of state EOS-80, Millero & Poisson (1981), Deep-Sea Res.
# 28A, 625-629.
_WATER = (
    999.842594,
    6.793952e-2,
    -9.095290e-3,
    1.001685e-4,
    -1.120083e-6,
    6.536332e-9,
)
_FIRST = (8.24493e-1, -4.0899e-3, 7.6438e-5, -8.2467e-7, 5.3875e-9)
_ROOT = (-5.72466e-3, 1.0227e-4, -1.6546e-6)
_SQUARE = 4.8314e-4


def _ipts68(temperature: float) -> float:
    """Return IPTS-68 from ITS-90 (Saunders 1990, WOCE Newsletter 10). [degC]."""
    return 1.00024 * temperature


def _polynomial(coefficients: tuple[float, ...], x: float) -> float:
    total = 0.0
    for coefficient in reversed(coefficients):
        total = total * x + coefficient
    return total


def salinity_from_ratio(ratio: float, temperature: float) -> float:
    """Return practical salinity from the conductivity ratio, at one atmosphere.

    Parameters
    ----------
    ratio : float
        Conductivity over ``STANDARD_CONDUCTIVITY``. [1]
    temperature : float
        Of the sample as measured, ITS-90. [degC]

    Returns
    -------
    float
        Practical salinity; the scale is defined from 2 to 42. [1]

    Raises
    ------
    ValueError
        If the ratio is below zero.

    References
    ----------
    UNESCO (1983), Techn. Papers in Mar. Sci. 44, p. 6-8.
    """
    if not ratio >= 0:
        raise ValueError(f"a conductivity ratio of {ratio} is no seawater")
    t = _ipts68(temperature)
    root = math.sqrt(ratio / _polynomial(_C, t))
    shift = (t - 15) / (1 + _K * (t - 15))
    return _polynomial(_A, root) + shift * _polynomial(_B, root)


def salinity_from_conductivity(conductivity: float, temperature: float) -> float:
    """Return practical salinity from conductivity, not temperature-compensated.

    Parameters
    ----------
    conductivity : float
        As measured at ``temperature``. [mS/cm]
    temperature : float
        Of the sample, ITS-90; 25 where the meter shows conductivity at 25. [degC]

    Returns
    -------
    float
        Practical salinity; the scale is defined from 2 to 42. [1]

    Raises
    ------
    ValueError
        If the conductivity is below zero.
    """
    return salinity_from_ratio(conductivity / STANDARD_CONDUCTIVITY, temperature)


def density(salinity: float, temperature: float) -> float:
    """Return the density of seawater at one atmosphere.

    Parameters
    ----------
    salinity : float
        Practical salinity; the equation holds from 0 to 42. [1]
    temperature : float
        ITS-90; the equation holds from -2 to 40. [degC]

    Returns
    -------
    float
        Density. [kg/m3]

    References
    ----------
    Millero & Poisson (1981), Deep-Sea Res. 28A, 625-629.
    """
    t = _ipts68(temperature)
    return (
        _polynomial(_WATER, t)
        + _polynomial(_FIRST, t) * salinity
        + _polynomial(_ROOT, t) * salinity * math.sqrt(salinity)
        + _SQUARE * salinity * salinity
    )


def specific_gravity(
    salinity: float,
    sample_temperature: float = REFERENCE_25,
    water_temperature: float = REFERENCE_25,
) -> float:
    """Return specific gravity from practical salinity.

    Parameters
    ----------
    salinity : float
        Practical salinity. [1]
    sample_temperature : float
        Of the sample. [degC]
    water_temperature : float
        Of the pure water it is compared with. [degC]

    Returns
    -------
    float
        Density of the sample over that of the pure water. [1]
    """
    return density(salinity, sample_temperature) / density(0.0, water_temperature)


def salinity_from_specific_gravity(
    gravity: float,
    sample_temperature: float = REFERENCE_25,
    water_temperature: float = REFERENCE_25,
) -> float:
    """Return practical salinity from specific gravity.

    Notes
    -----
    An instrument states both temperatures: 25/25, 20/20 or 60/60 F. Taking one for
    another moves the result by up to 0.6 around salinity 35. A refractometer that
    compensates for temperature is read as if the sample were at its reference.

    Parameters
    ----------
    gravity : float
        Specific gravity. [1]
    sample_temperature : float
        Of the sample. [degC]
    water_temperature : float
        Of the pure water the instrument calls 1. [degC]

    Returns
    -------
    float
        Practical salinity. [1]

    Raises
    ------
    ValueError
        If no salinity from 0 to ``LARGEST`` has that specific gravity.
    """
    return _solve(
        lambda salinity: density(salinity, sample_temperature),
        gravity * density(0.0, water_temperature),
        LARGEST,
    )


def _solve(of: Callable[[float], float], target: float, highest: float) -> float:
    """Return x from 0 to ``highest`` where a rising function meets the target.

    Regula falsi in the Illinois form: the functions here are close to straight, so
    five to eight evaluations do.
    """
    low, high = 0.0, highest
    below, above = of(low) - target, of(high) - target
    if not below <= 0 <= above:
        raise ValueError(f"no salinity from 0 to {LARGEST:g} gives this reading")
    x = low
    side = 0
    for _ in range(60):
        last, x = x, (low * above - high * below) / (above - below)
        if abs(x - last) < _CLOSE:
            break
        error = of(x) - target
        if error <= 0:
            low, below = x, error
            above = above / 2 if side < 0 else above
            side = -1
        else:
            high, above = x, error
            below = below / 2 if side > 0 else below
            side = 1
    return x
