"""Strong export: how it is taken off or eased without harm."""

import pytest
from made_findings import HOUSE, REFERENCE, Made, action

from fleet.render.wording import Wording

WORDS = Wording(REFERENCE, HOUSE)
REACTOR = "denitrifying reactor"


def with_reactor(stage):
    return Made(stage, equipment=(REACTOR,)).zero("nitrate").enough("phosphate")


@pytest.mark.parametrize(
    ("stage", "asked"),
    [
        ("mature", "hold-off-denitrifying-reactor"),
        ("ugly phase", "take-out-denitrifying-reactor"),
    ],
)
def test_a_denitrifying_reactor_is_never_left_standing_with_water_in(stage, asked):
    # Sulphate is reduced to hydrogen sulphide where nitrate and oxygen run out, as in
    # standing water. Common practice, no source.
    step = action(with_reactor(stage).plan(), asked)
    what = WORDS.plain(step.what)
    assert "drain it" in what
    assert "ever leave it standing with water in" in what
    for harm in ("halve the flow", "rest it"):
        assert harm not in what
    cautions = [WORDS.plain(caution) for caution in step.cautions]
    assert any("rotten eggs" in c and "hydrogen sulphide" in c for c in cautions)
    assert any("throw the first water away" in c for c in cautions)
    assert any("unplug" in c for c in cautions)


def test_a_fed_reactor_gets_half_of_its_feed_while_its_water_runs_on():
    step = action(with_reactor("mature").plan(), "hold-off-denitrifying-reactor")
    what = WORDS.plain(step.what)
    assert "half of its feed" in what
    assert "let its water run as before" in what


def test_what_is_taken_off_by_hand_alone_carries_no_warning_of_a_reactor():
    media = Made("mature", equipment=("phosphate media",)).zero("phosphate")
    step = action(media.enough("nitrate").plan(), "hold-off-phosphate-media")
    assert step.cautions == ()
