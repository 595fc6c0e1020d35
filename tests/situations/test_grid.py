"""Every kind of livestock at every stage with every level of both nutrients.

One workbook of several hundred tanks, judged once: what has to hold for each of them,
whatever a mentor would say of it. Common practice, no source.
"""

from __future__ import annotations

from datetime import timedelta
from itertools import product

import pytest

from fleet.records import ATTENTION_ORDER
from tests.situations.build import AS_OF, Sheet, ago, judge_book, tank, visit, write

LIVESTOCK = (
    "fish only", "soft coral", "mixed coral", "stony coral", "seahorse", "quarantine",
    "none yet", None,
)  # fmt: skip
STAGES = {
    "cycling": {"filled": ago(16)},
    "just cycled": {"filled": ago(40), "cycled": ago(10)},
    "ugly phase": {"filled": ago(80), "cycled": ago(45)},
    "settling": {"filled": ago(150), "cycled": ago(115)},
    "mature": {"filled": ago(700)},
}
LOOKS = {"ugly phase": "brown film", "mature": "coralline"}
# Zero, barely there, in the middle of most bands, above every band.
LEVELS = {"nitrate": (0, 1.2, 10, 120), "phosphate": (0, 0.03, 0.06, 1.5)}
GRID = list(product(LIVESTOCK, STAGES, LEVELS["nitrate"], LEVELS["phosphate"]))
BRACKETS = {
    "today": (75, 100), "this week": (50, 74), "watch": (25, 49), "steady": (0, 24),
}  # fmt: skip
# Tests that cannot tell their zero from enough.
BLUNT = (
    ("old strips", "nitrate", "mg/L", 10, 10, None, None, 250),
    ("old tubes", "phosphate", "mg/L", 0.1, 0.1, None, None, 5),
)


def rows(number, livestock, stage, nitrate, phosphate, **more):
    id_ = f"G{number:03d}"
    living = livestock not in ("none yet", None)
    facts = {"fish": 3 if living else 0 if livestock else None, "feed": None}
    made = tank(id=id_, livestock=livestock, **facts, **STAGES[stage])
    water = {"ammonia": 1, "nitrite": 1} if stage == "cycling" else {}
    if stage == "just cycled":
        water = {"ammonia": 0, "nitrite": 0}
    look = LOOKS.get(stage, "clear")
    visits = [
        visit(days, nitrate, phosphate, tank=id_, look=look, **water, **more)
        for days in (14, 7, 0)
    ]
    return made, visits


def judged(path, as_of=AS_OF, **more):
    tanks, readings, columns = [], [], more.pop("visits", {})
    for number, case in enumerate(GRID):
        made, visits = rows(number, *case, **columns)
        tanks.append(made)
        readings += visits
    report = judge_book(write(path, tanks, readings, **more), as_of)
    by_id = {entry["tank"]: Sheet(entry, report) for entry in report["tanks"]}
    return [(case, by_id[f"G{number:03d}"]) for number, case in enumerate(GRID)]


@pytest.fixture(scope="module")
def grid(tmp_path_factory):
    return judged(tmp_path_factory.mktemp("grid") / "grid.xlsx")


def test_each_tank_is_at_the_stage_it_was_built_at(grid):
    assert len(grid) == 640
    for (_, stage, *_), sheet in grid:
        assert sheet.entry["stage"]["name"] == stage


def test_score_parts_and_attention_agree(grid):
    for case, sheet in grid:
        entry = sheet.entry
        low, high = BRACKETS[entry["attention"]]
        assert low <= entry["score"] <= high, case
        points = sum(part["points"] for part in entry["score_parts"])
        assert points == pytest.approx(entry["score"]), case


def test_causes_sum_to_one_or_there_are_none(grid):
    for case, sheet in grid:
        assert not sheet.causes or sum(
            c["share"] for c in sheet.entry["causes"]
        ) == pytest.approx(1, abs=0.02), case


def test_doses_are_for_what_is_under_and_reads_nothing(grid):
    for case, sheet in grid:
        livestock, stage, nitrate, phosphate = case
        level = {"nitrate": nitrate, "phosphate": phosphate}
        for dose in sheet.of("dose"):
            (name,) = dose["expected"]
            assert stage not in ("cycling", "just cycled"), case
            assert sheet.parameter(name)["verdict"] == "under", case
            assert level[name] == 0, case
            assert sheet.entry["attention"] in ("today", "this week"), case
            # No corals look short here, so a settled tank is dosed only where the
            # other one is high.
            other = nitrate if name == "phosphate" else phosphate
            assert stage == "ugly phase" or other in (120, 1.5), case
            assert livestock is not None or stage == "ugly phase", case


def test_films_with_a_zero_are_acted_on_where_it_is_under(grid):
    for case, sheet in grid:
        _, stage, *_ = case
        zeros = [
            name
            for name, level in zip(LEVELS, case[2:], strict=True)
            if level == 0 and sheet.parameter(name)["verdict"] == "under"
        ]
        if stage == "ugly phase" and zeros:
            assert {*zeros} == {n for d in sheet.of("dose") for n in d["expected"]}


def test_water_is_changed_only_for_too_much(grid):
    for case, sheet in grid:
        over = [n for n in LEVELS if sheet.parameter(n)["verdict"] == "over"]
        ammonia = case[1] == "cycling" and case[0] not in ("none yet", None)
        for change in sheet.of("water change"):
            assert over or ammonia, case
            assert 0 < change["water_change_share"] <= 0.5
            assert all(rise < 0 for rise in change["expected"].values()), case


def test_nothing_is_asked_for_and_forbidden_at_once(grid):
    for case, sheet in grid:
        ids = {action["id"] for action in sheet.actions}
        assert not {"feed-more", "feed-less"} <= ids, case
        if sheet.of("water change"):
            assert "feed-more" not in ids, case
            assert not sheet.of("add life"), case
        if sheet.of("take out"):
            assert not sheet.of("dose"), case
        if sheet.of("dose"):
            said = " ".join(sheet.entry["leave_alone"])
            assert "Do not dose because" not in said, case
        if sheet.of("welfare"):
            assert sheet.actions[0]["kind"] in ("welfare", "check"), case


def test_a_sheet_is_short_and_numbered(grid):
    for case, sheet in grid:
        assert len(sheet.actions) <= 7, case
        assert len(sheet.entry["leave_alone"]) <= 3, case
        places = [action["priority"] for action in sheet.actions]
        assert places == list(range(1, len(places) + 1)), case
        ids = [action["id"] for action in sheet.actions]
        assert len(ids) == len(set(ids)), case


def test_cycling_tanks_wait_and_those_with_animals_come_first(grid):
    for case, sheet in grid:
        livestock, stage, *_ = case
        if stage != "cycling":
            continue
        for name in LEVELS:
            assert sheet.parameter(name)["verdict"] == "not judged", case
        living = livestock not in ("none yet", None)
        assert sheet.entry["attention"] == ("today" if living else "watch"), case
        assert not sheet.of("add life"), case
        assert bool(sheet.of("water change")) == living, case


def test_zeros_of_tanks_that_need_none_are_no_matter(grid):
    for case, sheet in grid:
        livestock, stage, nitrate, phosphate = case
        if livestock in ("fish only", "seahorse", "quarantine") and stage == "mature":
            for name, level in (("nitrate", nitrate), ("phosphate", phosphate)):
                if level == 0:
                    assert sheet.parameter(name)["verdict"] == "within", case
            if (nitrate, phosphate) == (0, 0):
                assert sheet.entry["attention"] in ("steady", "watch"), case


def test_a_settled_tank_with_nothing_in_it_is_not_judged(grid):
    for case, sheet in grid:
        if case[0] == "none yet" and case[1] in ("settling", "mature"):
            for name in LEVELS:
                assert sheet.parameter(name)["verdict"] == "not judged", case
            assert not sheet.of("dose") and not sheet.of("water change"), case


def test_after_the_cycle_zeros_are_harmless_and_nobody_is_alarmed(grid):
    for case, sheet in grid:
        livestock, stage, nitrate, phosphate = case
        corals = livestock and "coral" in livestock
        if stage == "just cycled" and (nitrate, phosphate) == (0, 0) and corals:
            assert sheet.entry["situations"][0] == "zero-after-cycle", case
            assert sheet.entry["attention"] == "watch", case


def test_well_and_within_is_steady(grid):
    for case, sheet in grid:
        livestock, stage, nitrate, phosphate = case
        if stage == "mature" and livestock == "mixed coral":
            if (nitrate, phosphate) == (10, 0.06):
                assert sheet.entry["attention"] == "steady"
            if nitrate == 120 or phosphate == 1.5:
                assert sheet.entry["attention"] == "this week", case


WORK = ("dose", "water change", "feed", "add life")


def test_no_tank_of_three_weeks_ago_is_judged(tmp_path):
    for case, sheet in judged(tmp_path / "late.xlsx", AS_OF + timedelta(days=21)):
        for name in LEVELS:
            assert sheet.parameter(name)["verdict"] == "not judged", case
        work = [a["id"] for a in sheet.actions if a["kind"] in WORK]
        # Ammonia that stood there with animals in: no feed before the test.
        assert set(work) <= {"feed-none"}, case
        tests = [a for a in sheet.actions if a["kind"] in ("retest", "wait", "check")]
        assert sheet.actions[0] in tests, case
        soonest = min(sheet.entry["retest"].values())
        assert soonest <= (AS_OF + timedelta(days=23)).isoformat(), case


def test_no_zero_of_a_blunt_test_is_dosed(tmp_path):
    methods = {"nitrate_method": BLUNT[0][0], "phosphate_method": BLUNT[1][0]}
    found = judged(tmp_path / "blunt.xlsx", methods=BLUNT, visits=methods)
    for case, sheet in found:
        _, stage, nitrate, phosphate = case
        if stage == "cycling":
            continue
        for name, level in (("nitrate", nitrate), ("phosphate", phosphate)):
            if level == 0:
                assert sheet.parameter(name)["verdict"] != "under", case
                assert sheet.dose(name) is None, case


def test_attention_words_are_those_of_the_contract(grid):
    assert {sheet.entry["attention"] for _, sheet in grid} == set(ATTENTION_ORDER)
