import pytest

from fleet.science import volume


def test_an_imperial_gallon_is_six_fifths_of_a_us_gallon():
    # 1.20095, exact definitions of both.
    ratio = volume.litres_from_imperial_gallons(1) / volume.litres_from_us_gallons(1)
    assert ratio == pytest.approx(1.20095, abs=5e-6)


def test_porous_rock_displaces_only_its_solid():
    # 27 kg of calcite of 2.7 kg/L, worked by hand.
    assert volume.displaced(27, 2.7) == pytest.approx(10)


def test_sump_counts_and_rock_does_not():
    inside = volume.box_volume(100, 50, 40, 0)
    assert inside == 200
    assert volume.net_volume(inside, rock=10, sand=5, sump=30) == 215


def test_tank_without_room_is_refused():
    with pytest.raises(ValueError, match="no room"):
        volume.box_volume(2, 50, 40, 1)
    with pytest.raises(ValueError, match="no water in the tank"):
        volume.net_volume(20, rock=15, sand=5, sump=100)
