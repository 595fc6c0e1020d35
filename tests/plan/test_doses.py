"""Doses: how a rise is cut into days, which salt, which bottle.

Amounts against the worked table of salts: IUPAC abridged standard atomic weights
(Prohaska et al. 2022, Pure Appl. Chem. 94, 573), computed by periodictable 2.1.0 and
checked with molmass: see ``tests/data/check-values.csv``, section "dose".
"""

import csv
import json
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from made_findings import HOUSE, REFERENCE, Made, action, ahead, ids, result, work

from fleet.plan.case import Case
from fleet.plan.doses import Rise, dose, largest_rise_day, steps
from fleet.plan.salts import choose_salt
from fleet.records import Settings, ShelfItem

TABLE = Path(__file__).resolve().parents[1] / "data" / "check-values.csv"


def grams_rows():
    with TABLE.open(encoding="utf-8") as file:
        for row in csv.DictReader(file):
            if row["quantity"] == "grams of salt for a rise":
                known = json.loads(row["inputs"])
                salt = _salt_of(known["formula"])
                if salt and REFERENCE.salts[salt].raises in ("nitrate", "phosphate"):
                    yield pytest.param(salt, known, row, id=row["id"])


def _salt_of(formula):
    for key, salt in REFERENCE.salts.items():
        if salt.formula == formula and salt.dose:
            return key
    return ""


def tank_for(parameter, volume):
    tank = Made("ugly phase", volume_l=volume).zero(parameter)
    band = replace(tank.findings[parameter].band, high=1000.0, aim=None)
    return tank.put(replace(tank.findings[parameter], band=band))


def case_of(tank):
    return Case(tank.made(), tank.shelf, tank.house, REFERENCE)


@pytest.mark.parametrize(("salt", "known", "row"), list(grams_rows()))
def test_grams_are_those_of_the_table(salt, known, row):
    parameter = REFERENCE.salts[salt].raises
    tank = tank_for(parameter, known["volume_l"])
    tank.shelf = (ShelfItem(salt, salt, known["purity"], None, None),)
    wanted = Rise(parameter, known["rise_mg_l"], days_at_most=30)
    made = dose(case_of(tank), "pests", wanted)
    assert made.amount_g == pytest.approx(float(row["expected"]), rel=0.0005)
    assert made.per_day_g * made.days == pytest.approx(made.amount_g)
    assert made.per_day_ml * made.days == pytest.approx(made.amount_ml)


def test_table_has_rows_for_both_nutrients():
    assert {p.values[0] for p in grams_rows()} >= {
        "sodium-nitrate",
        "disodium-phosphate-dodecahydrate",
    }


# ------------------------------------------------------------------- into days


@pytest.mark.parametrize(
    ("need", "largest", "uptake", "room", "most", "total", "days"),
    [
        (3.0, 2.0, 0.0, 13.0, 4, 3.0, 2),
        (2.0, 2.0, 0.0, 13.0, 4, 2.0, 1),
        (0.3, 0.1, 0.0, 13.0, 4, 0.3, 3),  # 0.3 / 0.1 is 2.9999999999999996
        (12.0, 2.0, 0.0, 13.0, 4, 8.0, 4),  # never on past the next test
        (3.0, 2.0, 0.0, 1.0, 4, 1.0, 2),  # the band's top comes first
        (0.04, 0.03, 0.01, 0.07, 4, 0.06, 2),  # 0.04 + 2 x 0.01
        (0.04, 0.03, 0.05, 1.0, 4, 0.12, 4),  # it takes more than may be given
        (0.04, 0.03, 0.03, 1.0, 4, 0.12, 4),
    ],
)
def test_rise_is_cut_into_equal_days(need, largest, uptake, room, most, total, days):
    cut = steps(need, largest, uptake, room, most)
    assert (cut.total, cut.days) == (pytest.approx(total), days)


@given(
    need=st.floats(1e-6, 100),
    largest=st.floats(1e-4, 10),
    uptake=st.floats(0, 10),
    room=st.floats(1e-6, 100),
    most=st.integers(1, 30),
)
def test_no_cut_passes_day_room_or_next_test(need, largest, uptake, room, most):
    cut = steps(need, largest, uptake, room, most)
    assert 1 <= cut.days <= most
    assert 0 < cut.total <= room
    assert cut.total / cut.days <= largest * (1 + 1e-9)


@pytest.mark.parametrize(
    ("own", "parameter", "largest"),
    [
        ((), "nitrate", 2.0),
        ((("nitrate", 1.0),), "nitrate", 1.0),
        ((("nitrate", 50.0),), "nitrate", 5.0),  # no setting beyond the ceiling
        ((("phosphate", 0.02),), "phosphate", 0.02),
        ((("phosphate", 1.0),), "phosphate", 0.05),
        ((("nitrate", 0.0),), "nitrate", 2.0),  # a blank or a zero is no limit
    ],
)
def test_largest_rise_a_day(own, parameter, largest):
    tank = tank_for("nitrate", 200.0)
    tank.house = Settings(largest_rise_day=own)
    assert largest_rise_day(case_of(tank), parameter) == largest


# ------------------------------------------------------------------------ salts


def shelf(*items):
    return tuple(
        ShelfItem(key, key, purity, grams, None) for key, purity, grams in items
    )


@pytest.mark.parametrize(
    ("items", "taken"),
    [
        ((), "sodium-nitrate"),
        ((("potassium-nitrate", 0.98, 500.0),), "potassium-nitrate"),
        (
            (("potassium-nitrate", 0.98, 500.0), ("sodium-nitrate", 0.99, 500.0)),
            "sodium-nitrate",
        ),
        (
            # Half a gram does not last for this dose: the other salt does.
            (("sodium-nitrate", 0.99, 0.5), ("potassium-nitrate", 0.98, 500.0)),
            "potassium-nitrate",
        ),
        ((("sodium-nitrate", 0.99, 0.5),), "sodium-nitrate"),
        ((("ammonium-chloride", 0.99, 500.0),), "sodium-nitrate"),
        ((("dipotassium-phosphate", 0.99, 500.0),), "sodium-nitrate"),
    ],
)
def test_salt_comes_from_the_shelf_where_it_can(items, taken):
    tank = tank_for("nitrate", 200.0)
    tank.shelf = shelf(*items)
    assert choose_salt(case_of(tank), "nitrate", 0.6).substance == taken


def test_caustic_phosphate_on_the_shelf_is_not_taken():
    tank = tank_for("phosphate", 200.0)
    tank.shelf = shelf(("trisodium-phosphate", 0.99, 500.0))
    taken = choose_salt(case_of(tank), "phosphate", 0.01).substance
    assert taken == "dipotassium-phosphate"


# ------------------------------------------------------------- what comes with it


def test_every_dose_carries_its_cautions_stop_and_sources():
    plan = Made("ugly phase").zero("nitrate", "phosphate").plan()
    for made in (a for a in plan.actions if a.kind == "dose"):
        keys = [s.key for s in made.cautions]
        assert keys[-1] == "cautions.salts"  # gloves, eyes, label, children, food
        assert made.stop_if is not None
        assert made.sources
        assert made.working is not None
        assert made.expected
    nitrate = action(plan, "dose-nitrate")
    assert "cautions.oxidiser" in [s.key for s in nitrate.cautions]
    phosphate = action(plan, "dose-phosphate")
    assert "cautions.phosphate" in [s.key for s in phosphate.cautions]


def test_no_dose_where_the_reading_leaves_no_room():
    tank = Made("ugly phase").zero("nitrate")
    finding = tank.findings["nitrate"]
    tank.put(replace(finding, band=replace(finding.band, high=1.5, aim=None)))
    assert dose(case_of(tank), "pests", Rise("nitrate", 1.4, 4)) is None


def test_no_dose_where_the_aim_is_reached():
    tank = Made("ugly phase").reads("nitrate", 3.5, "under")
    assert dose(case_of(tank), "pests", Rise("nitrate", 3.0, 4)) is None


def test_house_defaults_are_those_of_settings():
    assert Settings() == HOUSE


# ------------------------------------------------- a second look before the dose


def seen(*values, key="", parameter="phosphate"):
    """Earlier results of one nutrient, weekly, the newest a week ago."""
    past = [
        result(parameter, value, key=key, days=7 * weeks)
        for weeks, value in zip(range(len(values), 0, -1), values, strict=True)
    ]
    return tuple(past)


def zero_after(*past, stage="ugly phase", parameter="phosphate", **tank):
    made = Made(stage, **tank).enough("nitrate" if parameter != "nitrate" else "ph")
    made.zero(parameter)
    found = made.findings[parameter]
    return made.put(replace(found, history=(*past, found.latest), previous=past[-1]))


def test_a_zero_out_of_nowhere_is_tested_once_more_before_the_dose():
    plan = zero_after(*seen(0.05, 0.05)).plan()
    check = action(plan, "check-zero-phosphate")
    assert check.priority < action(plan, "dose-phosphate").priority
    assert dict(check.why.facts)["written"] == "0.05"
    # The next planned test is still that of the situation: three to four days on.
    assert dict(plan.retests)["phosphate"] == ahead(4)


@pytest.mark.parametrize(
    "past",
    [
        seen(0.09, 0.06, 0.03),  # it was on its way down
        seen(None, None),  # a zero like the last ones
    ],
)
def test_a_zero_that_was_to_be_expected_is_dosed_at_once(past):
    plan = zero_after(*past).plan()
    assert "dose-phosphate" in ids(plan)
    assert "check-zero-phosphate" not in ids(plan)


def test_a_zero_of_a_test_that_cannot_tell_does_not_make_one_expected():
    card = result("phosphate", None, key="phosphate-card", high=0.08, days=3)
    plan = zero_after(*seen(0.05, 0.05), card).plan()
    assert "check-zero-phosphate" in ids(plan)


def test_export_put_in_since_explains_the_zero():
    # Mature: the media is eased, and nothing is dosed beside it.
    tank = zero_after(*seen(0.05, 0.05), stage="mature").looks("pale coral")
    tank.worked(work("media in", 3, "GFO"))
    assert "check-zero-phosphate" not in ids(tank.plan())


def test_a_dose_that_should_show_is_looked_for_twice():
    tank = zero_after(*seen(None, None)).dosed("phosphate", 0.04, kept=0.0, kept_high=1)
    plan = tank.plan()
    assert action(plan, "check-zero-phosphate").why.key.endswith("dosed")


def test_two_doses_do_not_give_one_reason_twice():
    plan = Made("ugly phase").zero("nitrate", "phosphate", visits=2).plan()
    whys = [a.why.key for a in plan.actions if a.kind == "dose"]
    assert whys == ["actions.dose-why-zero-in-ugly-phase", "actions.dose-why-too"]
