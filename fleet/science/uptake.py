"""How fast a tank takes a dosed nutrient out of the water."""


def uptake_a_day(
    expected: float,
    seen: float,
    seen_low: float,
    seen_high: float,
    days: float,
    most: float,
) -> tuple[float, float, float]:
    """Return what vanished of a known addition, a day, beyond what feed replaced.

    What a reading fails to rise by was bound, eaten or grown into something. Feed
    and everything else that went on as usual are in the reading already, so this is
    the extra that a dose must bring to hold a level.

    Parameters
    ----------
    expected : float
        Rise by calculation. [mg/L]
    seen, seen_low, seen_high : float
        Rise by the tests, and the least and most that their methods allow. [mg/L]
    days : float
        From the first addition to the test that saw it. [d]
    most : float
        No uptake above this is returned. [mg/L a day]

    Returns
    -------
    tuple of float
        Best, lowest and highest uptake, each from 0 to ``most``. [mg/L a day]

    Raises
    ------
    ValueError
        If ``days`` is not above zero.

    Notes
    -----
    Mass balance over the span, uptake taken as even. Rock and growth take less as
    time goes on, so the figure holds for the days just after, not for good.
    """
    if not days > 0:
        raise ValueError(f"no rate over {days} days")

    def held(gone: float) -> float:
        return min(max(gone / days, 0.0), most)

    return held(expected - seen), held(expected - seen_high), held(expected - seen_low)
