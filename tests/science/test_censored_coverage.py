"""How often the 90 % limits of a slope hold the true slope, by simulation.

The series are made here, from a line and its scatter, then read the way a test reads:
rounded, cut off below, named as a step of a card. Uneven visits, 4 to 26 of them.
"""

import math
import random

import pytest

from fleet.science.censored import censored_slope
from fleet.science.resolution import card_interval

GAPS = [3, 5, 7, 7, 7, 10, 14]  # days between visits


def normal(draw):
    return draw.gauss(0, 1)


def heavy(draw):  # Student's t, three degrees of freedom
    return draw.gauss(0, 1) / math.sqrt(draw.gammavariate(1.5, 2) / 3)


def skewed(draw):
    return draw.expovariate(1) - 1


def photometer(step, lowest):
    def read(true):
        shown = round(true / step) * step
        if shown < lowest - step / 1000:
            return 0.0, lowest
        return shown - step / 2, shown + step / 2

    return read


def card(step, lowest):
    def read(true):
        return card_interval(round(true / step) * step, lowest, step)

    return read


def uneven_card(*steps):
    """A printed scale: halfway to the neighbours, zero up to the first step."""

    def read(true):
        place = min(range(len(steps) - 1), key=lambda k: abs(steps[k] - true))
        if place == 0:
            return 0.0, steps[1]
        below, here, above = steps[place - 1 : place + 2]
        return (below + here) / 2, (here + above) / 2

    return read


# name: level, scatter, how it is read
READ = {
    "fine photometer, half below": (0.04, 0.012, photometer(0.001, 0.04)),
    "fine photometer, a quarter below": (0.05, 0.015, photometer(0.001, 0.04)),
    "coarse photometer, 40 % below": (0.038, 0.012, photometer(0.01, 0.04)),
    "nothing below": (8.0, 1.0, photometer(0.1, 1.0)),
    "even card": (8.0, 2.5, card(5.0, 2.0)),
    "uneven nitrate card": (8.0, 3.0, uneven_card(0, 2, 5, 10, 25, 50, 100)),
    "uneven nitrate card, low": (3.0, 1.5, uneven_card(0, 2, 5, 10, 25, 50, 100)),
    "uneven phosphate card": (0.06, 0.03, uneven_card(0, 0.03, 0.08, 0.15, 0.25, 0.5)),
}


def coverage(draw, visits, change, name, scatter, trials):
    """Return the share of trials whose limits hold the truth, and of nondetects.

    ``change`` is what the line gains over the whole series, in levels.
    """
    level, size, read = READ[name]
    held = seen = below = 0
    for _ in range(trials):
        days = [0]
        while len(days) < visits:
            days.append(days[-1] + draw.choice(GAPS))
        slope = change * level / days[-1]
        start = level * (1 - change / 2)
        results = [
            read(max(0.0, start + slope * day + size * scatter(draw))) for day in days
        ]
        lows, highs = zip(*results, strict=True)
        found = censored_slope(days, lows, highs)
        if found is None:
            continue
        seen += 1
        held += found.low <= slope <= found.high
        below += sum(low == 0 for low in lows) / visits
    assert seen > 0.6 * trials
    return held / seen, below / seen


@pytest.mark.parametrize(
    "visits, change, name",
    [
        (16, -0.3, "coarse photometer, 40 % below"),
        (26, -0.3, "coarse photometer, 40 % below"),
        (26, 0.3, "fine photometer, half below"),
        (12, -0.3, "fine photometer, a quarter below"),
        (26, 0.0, "nothing below"),
        (20, 0.0, "uneven nitrate card"),
        (20, 0.0, "uneven phosphate card"),
    ],
)
def test_limits_hold_the_truth_as_often_as_they_say(visits, change, name):
    draw = random.Random(f"{visits} {change} {name}")
    share, below = coverage(draw, visits, change, name, normal, trials=800)
    assert 0.85 <= share <= 0.95
    if "photometer" in name:
        assert 0.2 < below < 0.6


@pytest.mark.slow
@pytest.mark.parametrize("name", READ)
def test_limits_are_at_worst_wide(name):
    draw = random.Random(name)
    shares = {}
    for visits in (4, 5, 6, 8, 12, 20, 26):
        for change in (-1.2, -0.3, 0.0, 0.3, 1.2):
            for scatter in (normal, heavy, skewed):
                case = visits, change, scatter.__name__
                shares[case], _ = coverage(draw, visits, change, name, scatter, 1000)
    # Few visits and wide steps make the limits wide, never too narrow.
    assert min(shares.values()) >= 0.85, min(shares, key=shares.get)
    many = [share for (visits, *_), share in shares.items() if visits >= 12]
    assert sum(many) / len(many) <= 0.985
