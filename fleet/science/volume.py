"""Volumes: other units to litres, and the water a tank really holds."""

# Exact by definition: NIST SP 811 (US liquid gallon of 231 cubic inches);
# UK Units of Measurement Regulations 1995 (imperial gallon). [L]
LITRES_PER_US_GALLON = 3.785411784
LITRES_PER_IMPERIAL_GALLON = 4.54609


def litres_from_us_gallons(gallons: float) -> float:
    """Return a volume [L] from US liquid gallons."""
    return gallons * LITRES_PER_US_GALLON


def litres_from_imperial_gallons(gallons: float) -> float:
    """Return a volume [L] from imperial gallons."""
    return gallons * LITRES_PER_IMPERIAL_GALLON


def box_volume(length: float, width: float, water_height: float, glass: float) -> float:
    """Return the volume inside a rectangular tank up to the water line.

    Parameters
    ----------
    length, width : float
        Outside measures. [cm]
    water_height : float
        From the upper face of the bottom pane to the water line. [cm]
    glass : float
        Thickness of the panes. [cm]

    Returns
    -------
    float
        Volume, before rock and sand. [L]

    Raises
    ------
    ValueError
        If nothing is left between the panes.
    """
    inside = (length - 2 * glass, width - 2 * glass)
    if not (min(inside) > 0 and water_height >= 0):
        raise ValueError("the panes leave no room for water")
    return inside[0] * inside[1] * water_height / 1000


def displaced(mass: float, density: float) -> float:
    """Return the water a solid displaces.

    Notes
    -----
    ``density`` is that of the solid grain: the pores of rock and sand fill with
    water, which counts as system volume.

    Parameters
    ----------
    mass : float
        Dry mass of rock or sand. [kg]
    density : float
        Density of the grain. [kg/L]

    Returns
    -------
    float
        Volume. [L]
    """
    return mass / density


def net_volume(
    box: float, rock: float = 0.0, sand: float = 0.0, sump: float = 0.0
) -> float:
    """Return the system volume: water in the tank and the sump. An estimate.

    Parameters
    ----------
    box : float
        Volume inside the tank up to the water line. [L]
    rock, sand : float
        What each displaces, as ``displaced`` gives it. [L]
    sump : float
        Water in the sump. [L]

    Returns
    -------
    float
        System volume. [L]

    Raises
    ------
    ValueError
        If rock and sand would fill the tank.
    """
    tank = box - rock - sand
    if not tank > 0:
        raise ValueError("rock and sand leave no water in the tank")
    return tank + sump
