"""Several rows of one day: the order of rows decides nothing; common practice."""

from __future__ import annotations

import json
import re
from random import Random

import pytest

from tests.situations.build import AS_OF, COLOUR_PHOSPHATE, ago, judge, tank, visit

YOUNG = {"filled": ago(80), "cycled": ago(45)}
BEFORE = [visit(days, 6, 0.05, ammonia=0, nitrite=0, look="brown film")
          for days in (21, 14, 7)]  # fmt: skip


def same_day(tmp_path, *rows):
    return judge(tmp_path, [tank(**YOUNG)], [*BEFORE, *rows])


@pytest.mark.parametrize("turned", [False, True])
def test_results_that_cannot_both_be_right_are_tested_again_today(tmp_path, turned):
    rows = [visit(0, 0, 0.05, look="brown film"), visit(0, 12, 0.05)]
    sheet = same_day(tmp_path, *(reversed(rows) if turned else rows))
    assert sheet.retest_in("nitrate") == 0
    assert not sheet.of("dose")
    assert not sheet.of("water change")
    (first, *_) = sheet.actions
    assert first["when"] == AS_OF.isoformat()
    named = re.findall(r"[A-Z]\d+", " ".join(sheet.entry["meaning"]))
    assert sorted(named) == ["G5", "G6"]
    zero, twelve = ("G6", "G5") if turned else ("G5", "G6")
    assert f"0 in {zero} and 12 in {twelve}".lower() in sheet.text


@pytest.mark.parametrize("turned", [False, True])
def test_a_card_that_sees_nothing_does_not_gainsay_a_photometer(tmp_path, turned):
    card = visit(0, 6, 0, phosphate_method=COLOUR_PHOSPHATE[0], look="brown film")
    rows = [card, visit(0, 6, 0.05)]
    sheet = same_day(tmp_path, *(reversed(rows) if turned else rows))
    phosphate = sheet.parameter("phosphate")
    assert (phosphate["value"], phosphate["verdict"]) == (0.05, "within")
    assert not sheet.of("dose")


def test_any_order_of_rows_gives_the_same_sheet(tmp_path):
    rows = [
        *BEFORE,
        visit(0, 6, 0.05, look="brown film"),
        visit(0, 0, None, look="clear", notes="second look", water=False),
        visit(0, None, 0.06, ammonia=0.3, water=False),
        visit(0, 6.3, 0, phosphate_method=COLOUR_PHOSPHATE[0], ph=7.6),
    ]
    shown = set()
    for seed in range(6):
        Random(seed).shuffle(rows)
        entry = judge(tmp_path, [tank(**YOUNG)], rows).entry
        text = json.dumps(entry, sort_keys=True)
        shown.add(re.sub(r'"[A-Z]+\d+"|\b[A-Z]\d+\b', "cell", text))
    assert len(shown) == 1
