"""What feed gives off to the water: ammonia, nitrate, phosphate."""

from fleet.science.concentration import (
    nitrate_from_nitrogen,
    phosphate_from_phosphorus,
)


def total_ammonia_from_feed(
    feed: float, protein: float, volume: float, tan_per_protein: float
) -> float:
    """Return the total ammonia nitrogen a day of feeding gives off.

    Notes
    -----
    Made for farmed fish on dry feed; in a tank with corals and algae take it as
    an order of size.

    Parameters
    ----------
    feed : float
        Dry feed. [g/day]
    protein : float
        Crude protein in it, by mass. [1]
    volume : float
        System volume. [L]
    tan_per_protein : float
        Total ammonia nitrogen given off for each gram of protein fed. [g/g]

    Returns
    -------
    float
        Total ammonia nitrogen. [mg/L N a day]

    Raises
    ------
    ValueError
        If the volume is not above zero.

    References
    ----------
    Timmons & Ebeling, Recirculating Aquaculture: P_TAN = F x PC x 0.092.
    """
    return 1000 * feed * protein * tan_per_protein / _above_zero(volume)


def nitrate_from_feed(
    feed: float, protein: float, volume: float, tan_per_protein: float
) -> float:
    """Return the nitrate a day of feeding ends as, if all its ammonia is nitrified.

    Parameters
    ----------
    feed, protein, volume, tan_per_protein : float
        As in ``total_ammonia_from_feed``.

    Returns
    -------
    float
        Nitrate, NO3. [mg/L a day]

    Raises
    ------
    ValueError
        If the volume is not above zero.
    """
    return nitrate_from_nitrogen(
        total_ammonia_from_feed(feed, protein, volume, tan_per_protein)
    )


def phosphate_from_feed(
    feed: float, phosphorus: float, released: float, volume: float
) -> float:
    """Return the phosphate a day of feeding gives off.

    Parameters
    ----------
    feed : float
        Dry feed. [g/day]
    phosphorus : float
        Phosphorus in it, by mass. [1]
    released : float
        Share of that phosphorus that reaches the water. [1]
    volume : float
        System volume. [L]

    Returns
    -------
    float
        Phosphate, PO4. [mg/L a day]

    Raises
    ------
    ValueError
        If the volume is not above zero.
    """
    return phosphate_from_phosphorus(
        1000 * feed * phosphorus * released / _above_zero(volume)
    )


def _above_zero(volume: float) -> float:
    if not volume > 0:
        raise ValueError(f"no concentration in a volume of {volume} L")
    return volume
