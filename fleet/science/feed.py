"""What feed gives off to the water: ammonia, nitrate, phosphate; oxygen it costs."""

from fleet.science.composition import ATOMIC_WEIGHT
from fleet.science.concentration import (
    nitrate_from_nitrogen,
    phosphate_from_phosphorus,
)

# Nitrogen is 16 % of protein by mass, the convention behind "crude protein"
# (Kjeldahl nitrogen x 6.25; AOAC Official Method 2001.11, from memory). [1]
NITROGEN_IN_PROTEIN = 0.16

# NH4+ + 2 O2 -> NO3- + H2O + 2 H+. [g O2 per g N]
OXYGEN_PER_NITROGEN = 4 * ATOMIC_WEIGHT["O"] / ATOMIC_WEIGHT["N"]


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


def most_nitrate_from_feed(feed: float, protein: float, volume: float) -> float:
    """Return the nitrate if every bit of feed nitrogen ended as nitrate.

    Parameters
    ----------
    feed, protein, volume : float
        As in ``total_ammonia_from_feed``.

    Returns
    -------
    float
        Nitrate, NO3: an upper bound. [mg/L a day]

    Raises
    ------
    ValueError
        If the volume is not above zero.
    """
    return nitrate_from_feed(feed, protein, volume, NITROGEN_IN_PROTEIN)


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


def oxygen_to_nitrify(nitrogen: float) -> float:
    """Return the oxygen [mg/L] that turning ammonia nitrogen [mg/L] to nitrate costs.

    Notes
    -----
    By the balanced equation; with growth of the bacteria a little less.
    """
    return nitrogen * OXYGEN_PER_NITROGEN


def dry_equivalent(frozen: float, frozen_protein: float, dry_protein: float) -> float:
    """Return the dry feed that carries as much protein as a frozen one.

    Parameters
    ----------
    frozen : float
        Frozen food, thawed and drained. [g]
    frozen_protein, dry_protein : float
        Crude protein by mass of the frozen and of the dry feed. [1]

    Returns
    -------
    float
        Dry feed. [g]

    Raises
    ------
    ValueError
        If the dry feed has no protein.
    """
    if not dry_protein > 0:
        raise ValueError("dry feed without protein has no equivalent")
    return frozen * frozen_protein / dry_protein


def _above_zero(volume: float) -> float:
    if not volume > 0:
        raise ValueError(f"no concentration in a volume of {volume} L")
    return volume
