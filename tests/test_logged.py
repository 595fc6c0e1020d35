"""What a row of the log should have done to the water, worked by hand."""

from datetime import date

import pytest

from fleet.logged import change_share, dose_of, nutrient_rises
from fleet.records import CellAddress, ShelfItem, Tank, Work
from fleet.reference import load_reference
from fleet.substances import SaltNames

REFERENCE = load_reference()
SALTS = SaltNames(REFERENCE)
CELL = CellAddress("made.xlsx", "Work", 2, 1)
TANK = Tank("T1", "t1", CELL, volume_l=200.0)


def work(days, kind, substance="", amount=None, unit="", notes=""):
    """A row as the reader hands it over; it all happened on one day."""
    return Work(
        date(2025, 3, 31 - days), "t1", kind, CELL, substance, amount, unit,
        notes=notes, salt=SALTS.of(substance),
    )  # fmt: skip


@pytest.mark.parametrize(
    ("log", "shelf", "grams", "lacking"),
    [
        (work(1, "dose", "NaNO3", 2, "g"), (), 2.0, ""),
        (work(1, "dose", "NaNO3", 50, "mL", "stock 40 g/L"), (), 2.0, ""),
        (work(1, "dose", "NaNO3", 50, "mL", "40 mg/mL"), (), 2.0, ""),
        (work(1, "dose", "NaNO3 40,0 g per l", 50, "mL"), (), 2.0, ""),
        (
            work(1, "dose", "NaNO3", 50, "mL"),
            (ShelfItem("sodium-nitrate", "x", 1.0, None, 40.0),),
            2.0,
            "",
        ),
        (
            work(1, "dose", "NaNO3", 2, "g"),
            (ShelfItem("sodium-nitrate", "x", 0.9, None, None),),
            1.8,
            "",
        ),
        (
            work(1, "dose", "NaNO3", 50, "mL"),
            (
                ShelfItem("sodium-nitrate", "a", 1.0, None, 40.0),
                ShelfItem("sodium-nitrate", "b", 1.0, None, 20.0),
            ),
            None,
            "strength",
        ),
        (work(1, "dose", "NaNO3", 50, "mL"), (), None, "strength"),
        (work(1, "dose", "NaNO3", 3, "drops"), (), None, "amount"),
        (work(1, "dose", "NaNO3"), (), None, "amount"),
        (work(1, "dose", "iodine", 3, "mL"), (), None, "substance"),
    ],
)
def test_amounts_need_a_mass_or_a_strength(log, shelf, grams, lacking):
    dose = dose_of(log, TANK, shelf, REFERENCE)
    assert dose.lacking == lacking
    if grams is None:
        assert dose.rise is None
        return
    # 62.004 / 84.994 of it is NO3 (IUPAC atomic weights), in 200 L.
    assert dose.rise == pytest.approx(grams * 1000 / 200 * 62.004 / 84.994)


@pytest.mark.parametrize(
    ("amount", "unit", "share"),
    [
        (20, "%", 0.2),
        (40, "L", 0.2),
        (500, "mL", 0.0025),
        (400, "L", None),  # more than the tank holds
        (20, "", None),
        (20, "buckets", None),
        (None, "%", None),
    ],
)
def test_share_of_a_logged_water_change(amount, unit, share):
    done = work(1, "water change", "", amount, unit)
    found = change_share(done, TANK)
    assert found == (None if share is None else pytest.approx(share))


def test_ammonium_ends_as_nitrate():
    # 1 g NH4Cl holds 0.2619 g N: 1.3095 mg/L in 200 L, or 5.797 of NO3 (x 4.4268).
    dose = dose_of(work(1, "dose", "NH4Cl", 1, "g"), TANK, (), REFERENCE)
    assert dose.rise == pytest.approx(1.3093, abs=0.0005)
    ((parameter, rise),) = nutrient_rises(dose)
    assert (parameter, rise) == ("nitrate", pytest.approx(5.796, abs=0.005))
