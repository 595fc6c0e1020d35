"""The free (un-ionised) share of total ammonia in seawater.

pH has a scale: meters and cards of the hobby and the trade are set on NBS buffers,
a laboratory's dye method on the total scale, and the two differ by 0.12 to 0.15.
"""

import math
from typing import Literal

PhScale = Literal["NBS", "total"]

# pH on the seawater scale is this much below the total scale, because it counts
# hydrogen fluoride too: 0.0090 to 0.0100 at salinity 30 to 38, 18 to 30 degC, computed
# with PyCO2SYS 1.8.3.4 (fluoride as in Dickson & Riley 1979). [1]
_SEAWATER_SCALE_BELOW_TOTAL = 0.0095

# What each equation was made or compared for: temperature [degC], salinity [1], pH.
_RANGE = {
    "NBS": ((18.0, 32.0), (28.0, 40.0), (7.5, 8.8)),
    "total": ((-2.0, 40.0), (0.0, 40.0), (7.0, 9.0)),
}


def pka_nbs(temperature: float, salinity: float) -> float:
    """Return the pKa of ammonium for pH as read on NBS buffers.

    Parameters
    ----------
    temperature : float
        In degrees Celsius, not kelvin. [degC]
    salinity : float
        Practical salinity. [1]

    Returns
    -------
    float
        pKa. [1]

    References
    ----------
    Bell, Johnson, Jickells & Liss (2008), Environ. Chem. 5, 258 (correction to 2007,
    4, 183), after the data of Khoo et al. (1977), 5 to 40 degC, salinity 20 to 45.
    """
    return 10.0423 - 0.0315536 * temperature + 0.003071 * salinity


def pka_total(temperature: float, salinity: float) -> float:
    """Return the pKa of ammonium on the total scale, in mol per kg of water.

    Parameters
    ----------
    temperature : float
        From -2 to 40. [degC]
    salinity : float
        Practical salinity, 0 to 40. [1]

    Returns
    -------
    float
        pKa. [1]

    References
    ----------
    Clegg & Whitfield (1995), Geochim. Cosmochim. Acta 59, 2403-2421, eq. 18.
    """
    kelvin = temperature + 273.15
    k = math.sqrt(kelvin)
    s = math.sqrt(salinity)
    return (
        9.244605
        - 2729.33 * (1 / 298.15 - 1 / kelvin)
        + (0.04203362 - 11.24742 / kelvin) * math.sqrt(s)
        + (-13.6416 + 1.176949 * k - 0.02860785 * kelvin + 545.4834 / kelvin) * s
        + (-0.1462507 + 0.0090226468 * k - 0.0001471361 * kelvin + 10.5425 / kelvin)
        * (salinity * s)
        + (0.004669309 - 0.0001691742 * k - 0.5677934 / kelvin) * salinity**2
        + (-2.354039e-05 + 0.009698623 / kelvin) * (salinity**2 * s)
    )


def share_from_pka(ph: float, pka: float) -> float:
    """Return the share [1] of a weak acid that has given its hydrogen ion away."""
    return 1.0 / (1.0 + math.pow(10.0, pka - ph))


def free_share(
    ph: float, temperature: float, salinity: float, ph_scale: PhScale = "NBS"
) -> float:
    """Return the free (un-ionised) share of total ammonia.

    Notes
    -----
    Good for two figures at most: an error of 0.1 in pH moves it by a quarter.
    Two published equations differ by up to 9 % at salinity 30 to 38 and 20 to
    28 degC; further off by more.

    Parameters
    ----------
    ph : float
        As read. [1]
    temperature : float
        Of the water. [degC]
    salinity : float
        Practical salinity. [1]
    ph_scale : {"NBS", "total"}
        Scale the pH was read on: NBS for electrodes set on common buffers and for
        colour tests.

    Returns
    -------
    float
        Free ammonia over total ammonia, by nitrogen. [1]

    Raises
    ------
    ValueError
        If the scale is not one of the two.

    References
    ----------
    NBS: Bell et al. (2008). Total: Clegg & Whitfield (1995), whose constant per kg
    of water is brought to kg of seawater by 1 - 0.001005 S.
    """
    if ph_scale == "NBS":
        return share_from_pka(ph, pka_nbs(temperature, salinity))
    if ph_scale == "total":
        per_kg_seawater = math.log10(1 - 0.001005 * salinity)
        return share_from_pka(ph, pka_total(temperature, salinity) - per_kg_seawater)
    raise ValueError(f"pH scale {ph_scale!r} is neither NBS nor total")


def outside_range(
    ph: float, temperature: float, salinity: float, ph_scale: PhScale = "NBS"
) -> tuple[str, ...]:
    """Return which inputs lie where ``free_share`` was not made or compared for.

    Notes
    -----
    NBS: Bell's line was compared with the table of Bower & Bidwell (1978) and with
    Clegg & Whitfield (1995) at salinity 30 to 38, 20 to 28 degC, pH 7.8 to 8.4; a
    little beyond is accepted.

    Parameters
    ----------
    ph, temperature, salinity, ph_scale
        As in ``free_share``.

    Returns
    -------
    tuple of str
        Of "temperature", "salinity", "pH"; empty where all are inside.
    """
    (coldest, warmest), (freshest, saltiest), (lowest, highest) = _RANGE[ph_scale]
    outside = []
    if not coldest <= temperature <= warmest:
        outside.append("temperature")
    if not freshest <= salinity <= saltiest:
        outside.append("salinity")
    if not lowest <= ph <= highest:
        outside.append("pH")
    return tuple(outside)


def nbs_from_total(ph: float, temperature: float, salinity: float) -> float:
    """Return pH as an electrode set on NBS buffers would read it.

    Notes
    -----
    The ideal difference; real electrodes scatter around it by 0.05. The hydrogen
    fluoride term is a constant here, right to 0.001.

    Parameters
    ----------
    ph : float
        On the total scale. [1]
    temperature : float
        Of the water. [degC]
    salinity : float
        Practical salinity. [1]

    Returns
    -------
    float
        pH on the NBS scale. [1]

    References
    ----------
    Activity coefficient of the hydrogen ion: Takahashi et al. (1982), GEOSECS Pacific
    Expedition 3, p. 77-82, as in PyCO2SYS.
    """
    kelvin = temperature + 273.15
    activity = (
        1.2948 - 0.002036 * kelvin + (0.0004607 - 0.000001475 * kelvin) * salinity**2
    )
    return ph - _SEAWATER_SCALE_BELOW_TOTAL - math.log10(activity)
