"""Each system of the examples shows the situation its README promises."""

from datetime import date
from pathlib import Path

import pytest

from example_workbooks import club, make_examples, shop
from fleet.pipeline import read, report
from fleet.reference import load_reference

FOLDER = Path(make_examples.__file__).parent
REFERENCE = load_reference()
CLUB = {
    "M01": "trace-in-ugly-phase", "M03": "over", "M06": "over",
    "M07": "cannot-tell-phosphate", "M09": "stale", "M10": "pests", "M11": "steady",
    "M12": "stripped", "M14": "stale", "M15": "never-cycled", "M16": "cycle-stalled",
    "W1": "nitrite-interferes", "W2": "zero-after-cycle", "W3": "over-and-young",
    "M08": "swapped-or-typo",
}  # fmt: skip


def situations(name, as_of):
    made = report(read([FOLDER / name], REFERENCE), REFERENCE, as_of)
    return {entry.tank.id: entry.plan.situations for entry in made.tanks}


@pytest.fixture(scope="module")
def of_shop():
    return situations("shop.xlsx", shop.LAST)


@pytest.fixture(scope="module")
def of_club():
    return situations("club.xlsx", club.LAST)


@pytest.mark.parametrize("story", shop.stories(), ids=lambda story: story.tank)
def test_system_of_the_shop(of_shop, story):
    assert story.shows.partition(":")[0] in of_shop[story.tank]


@pytest.mark.parametrize("tank", CLUB)
def test_tank_of_the_club(of_club, tank):
    assert CLUB[tank] in of_club[tank]


def test_small_intake_is_judged_like_the_club(of_club):
    small = situations("small-intake", date(2026, 3, 29))
    assert set(small) == {"W1", "W2", "W3"}
    for tank, found in small.items():
        assert found[0] == of_club[tank][0]
