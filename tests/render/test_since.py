"""What changed since an earlier report, whatever file that is."""

import json
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from small_reports import (
    AS_OF,
    REFERENCE,
    cell,
    days,
    report,
    seen,
    starving,
    text,
    unseen,
    wording,
)

from fleet.records import Action, Effect, TankChange, Work
from fleet.render import renderer
from fleet.render.since import compare
from fleet.substances import SaltNames

SALTS = SaltNames(REFERENCE)


def as_json(made, path):
    renderer("report.json")(made, wording(), REFERENCE, path)
    return path


@pytest.fixture
def earlier(tmp_path):
    """The report of a week ago: the same tanks, the same things asked for."""
    made = replace(report(), as_of=days(-7))
    moved = tuple(_week_back(entry) for entry in made.tanks)
    return as_json(replace(made, tanks=moved), tmp_path / "report.json")


def _week_back(entry):
    actions = tuple(
        replace(action, when=action.when - (AS_OF - days(-7)))
        for action in entry.plan.actions
    )
    return replace(
        entry,
        findings=replace(entry.findings, as_of=days(-7)),
        plan=replace(entry.plan, actions=actions),
    )


def changes(earlier, made=None, **how):
    since, found = compare(earlier, made or report(), REFERENCE, **how)
    assert since == days(-7)
    return {change.tank: change for change in found}


def with_work(*work, effects=(), equipment=()):
    entry = starving()
    found = replace(entry.findings, work=work, effects=effects)
    tank = replace(entry.tank, equipment=equipment)
    return replace(report(), tanks=(replace(entry, tank=tank, findings=found),))


def work(kind, on=-5, substance=""):
    return Work(days(on), "a-1", kind, cell(9), substance, salt=SALTS.of(substance))


def test_same_better_and_worse_go_by_attention(earlier):
    made = report()
    calmer = replace(made.tanks[0], plan=replace(made.tanks[0].plan, attention="watch"))
    worse = replace(made.tanks[3], plan=replace(made.tanks[3].plan, attention="today"))
    found = changes(earlier, replace(made, tanks=(calmer, made.tanks[1], worse)))
    assert (found["B 2"].word, found["B 2"].before) == ("better", "today")
    assert (found["A-1"].word, found["A-1"].before) == ("same", "this week")
    assert (found["C-3"].word, found["C-3"].before) == ("worse", "steady")


def test_new_and_gone(earlier):
    made = report()
    tank = replace(made.tanks[0].tank, id="Z-9", key="z-9")
    made = replace(made, tanks=(replace(made.tanks[0], tank=tank),))
    found = changes(earlier, made, note=print)
    assert found["Z-9"] == TankChange("Z-9", "new", "")
    assert {tank for tank, change in found.items() if change.word == "gone"} == {
        "A-1", "B 2", "C-3", "D-4",
    }  # fmt: skip


def test_a_report_of_other_tanks_is_compared_with_only_when_named(earlier):
    made = report()
    tank = replace(made.tanks[0].tank, id="Z-9", key="z-9")
    made = replace(made, tanks=(replace(made.tanks[0], tank=tank),))
    assert compare(earlier, made, REFERENCE) == (None, ())


def test_a_part_of_the_tanks_leaves_none_gone(earlier):
    made = replace(report(), tanks=report().tanks[:1])
    assert set(changes(earlier, made, whole=False)) == {"B 2"}


@pytest.mark.parametrize("written", [" ｂ 2 ", "B  2", "b\u200b 2"])
def test_ids_are_compared_without_case_or_unicode_form(tmp_path, written):
    made = report()
    tank = replace(made.tanks[0].tank, id=written, key="b 2")
    before = replace(made, as_of=days(-7), tanks=(replace(made.tanks[0], tank=tank),))
    earlier = as_json(before, tmp_path / "r.json")
    assert changes(earlier)["B 2"].word == "same"


@pytest.mark.parametrize("written", ["Sodium  nitrate", "NaNO3 stock, 40 g/L", ""])
def test_dose_in_the_log_is_done_by_its_salt(earlier, written):
    found = changes(earlier, with_work(work("dose", substance=written)))
    assert "dose-nitrate" in found["A-1"].done


def test_dose_in_the_log_is_done_by_what_it_raised(earlier):
    done = work("dose", substance="KNO3")
    effect = Effect(done, "nitrate", 4.0, None, None, None, None)
    assert (
        "dose-nitrate"
        in changes(earlier, with_work(done, effects=(effect,)))["A-1"].done
    )
    other = Effect(done, "phosphate", 4.0, None, None, None, None)
    found = changes(earlier, with_work(done, effects=(other,)))["A-1"]
    assert "dose-nitrate" in found.not_done


def test_dose_before_the_earlier_report_does_not_count(earlier):
    found = changes(earlier, with_work(work("dose", on=-8)))["A-1"]
    assert found.not_done == ("dose-nitrate",)


def test_dose_on_the_day_of_the_earlier_report_counts_unless_it_was_known(tmp_path):
    done = work("dose", on=-7, substance="sodium nitrate")
    for known, expected in (((), True), ((done,), False)):
        made = with_work(*known)
        entry = _week_back(made.tanks[0])
        before = replace(made, as_of=days(-7), tanks=(entry,))
        earlier = as_json(before, tmp_path / "r.json")
        found = changes(earlier, with_work(done))["A-1"]
        assert ("dose-nitrate" in found.done) is expected
        twice = changes(earlier, with_work(done, done))["A-1"]
        assert "dose-nitrate" in twice.done


def test_water_change_and_retest(earlier):
    made = report()
    entry = made.tanks[0]
    found = changes(earlier)["B 2"]
    assert found.not_done == ("water-change",)
    done = replace(entry.findings, work=(work("water change", on=-1),))
    found = changes(earlier, replace(made, tanks=(replace(entry, findings=done),)))
    assert found["B 2"].done == ("water-change",)


def test_retest_is_done_where_the_parameter_was_read_since(earlier):
    assert "retest-nitrate" in changes(earlier)["A-1"].done
    entry = starving()
    old = unseen("nitrate", 1.0, days(-8))
    nitrate = replace(entry.findings.findings[0], latest=old, history=(old,))
    found = replace(
        entry.findings,
        findings=(nitrate, *entry.findings.findings[1:]),
    )
    made = replace(report(), tanks=(replace(entry, findings=found),))
    assert "retest-nitrate" in changes(earlier, made)["A-1"].not_done


def test_retest_of_two_is_done_only_where_both_were_read(tmp_path):
    asked = Action("r", "retest", "x", text("a"), text("b"), days(-5))
    entry = _week_back(starving())
    tests = (("nitrate", days(-5)), ("phosphate", days(-5)), ("ph", days(0)))
    entry = replace(entry, plan=replace(entry.plan, actions=(asked,), retests=tests))
    earlier = as_json(replace(report(), as_of=days(-7), tanks=(entry,)), tmp_path / "r")
    assert changes(earlier)["A-1"].done == ("r",)
    entry = starving()
    found = replace(entry.findings, findings=entry.findings.findings[:1])
    made = replace(report(), tanks=(replace(entry, findings=found),))
    assert changes(earlier, made)["A-1"].not_done == ("r",)


def test_a_doubted_reading_is_a_retest_too(tmp_path):
    asked = Action(
        "r", "retest", "x", text("a"), text("b"), days(-7), parameter="phosphate"
    )
    entry = _week_back(starving())
    entry = replace(entry, plan=replace(entry.plan, actions=(asked,)))
    earlier = as_json(replace(report(), as_of=days(-7), tanks=(entry,)), tmp_path / "r")
    assert changes(earlier)["A-1"].done == ("r",)
    assert seen("phosphate", 30.0, AS_OF).taken_on > days(-7)


@pytest.mark.parametrize(
    ("kind", "logged"),
    [
        ("take out", "media out"),
        ("take out", "equipment out"),
        ("add life", "livestock in"),
        ("seed", "seeding"),
        ("feed", "feed change"),
    ],
)
def test_work_that_does_an_action(kind, logged, tmp_path):
    asked = Action("x-1", kind, "x", text("a"), text("b"), days(-7), substance="")
    entry = _week_back(starving())
    entry = replace(entry, plan=replace(entry.plan, actions=(asked,)))
    earlier = as_json(replace(report(), as_of=days(-7), tanks=(entry,)), tmp_path / "r")
    assert changes(earlier, with_work(work(logged)))["A-1"].done == ("x-1",)
    assert changes(earlier, with_work(work("clean")))["A-1"].not_done == ("x-1",)


def test_equipment_no_longer_listed_was_taken_out(tmp_path):
    asked = Action(
        "t", "take out", "x", text("a"), text("b"), days(-7), substance="filter roller"
    )
    entry = _week_back(starving())
    entry = replace(entry, plan=replace(entry.plan, actions=(asked,)))
    earlier = as_json(replace(report(), as_of=days(-7), tanks=(entry,)), tmp_path / "r")
    still = with_work(equipment=("filter roller", "skimmer"))
    assert changes(earlier, still)["A-1"].not_done == ("t",)
    assert changes(earlier, with_work(equipment=("skimmer",)))["A-1"].done == ("t",)


def test_what_no_log_could_show_and_what_is_not_due_is_left_open(tmp_path, earlier):
    found = changes(earlier)["A-1"]
    assert "hold-off-media" not in (*found.done, *found.not_done)
    due_today = Action("d", "seed", "x", text("a"), text("b"), AS_OF)
    entry = _week_back(starving())
    entry = replace(entry, plan=replace(entry.plan, actions=(due_today,)))
    path = as_json(replace(report(), as_of=days(-7), tanks=(entry,)), tmp_path / "r")
    found = changes(path)["A-1"]
    assert (found.done, found.not_done) == ((), ())


@pytest.mark.parametrize(
    ("content", "why"),
    [
        (b"", "it is not whole JSON"),
        (b'{"schema":"fleet-report/1","as_of":"2026-', "it is not whole JSON"),
        (b"\xff\xfe\x00", "it is not whole JSON"),
        (b"[" * 100_000, "it is not whole JSON"),
        (b"[]", "it is no report of this program"),
        (b'{"schema":"other/1"}', "it is no report of this program"),
        (b'{"schema":"fleet-report/1"}', "it does not say for which day it was made"),
        (
            b'{"schema":"fleet-report/1","as_of":"2026-03-30","tanks":[]}',
            "it is as of 2026-03-30, not before 2026-03-30",
        ),
    ],
    ids=["empty", "torn", "binary", "deep", "list", "foreign", "dayless", "same day"],
)
def test_file_that_is_no_earlier_report_is_noted_and_left(content, why):
    notes = []
    assert compare(content, report(), REFERENCE, notes.append) == (None, ())
    (note,) = notes
    assert note.startswith(f"report.json: not compared with, since {why}")
    assert "\n" not in note


def test_missing_file_is_noted_and_left(tmp_path):
    notes = []
    assert compare(tmp_path / "no\x1bne.json", report(), REFERENCE, notes.append) == (
        None,
        (),
    )
    assert notes == [
        r"no\x1bne.json: not compared with, since No such file or directory."
    ]


def test_report_with_parts_of_any_other_kind_is_read_as_far_as_it_goes():
    odd = {
        "schema": "fleet-report/1",
        "as_of": "2026-03-23",
        "tanks": [
            7,
            {"tank": ["x"]},
            {"tank": "A-1", "attention": 5, "actions": "none"},
            {"tank": "B 2", "attention": "red", "actions": [{"when": "soon"}, 3]},
        ],
    }
    since, found = compare(json.dumps(odd).encode(), report(), REFERENCE, whole=False)
    assert since == days(-7)
    words = {change.tank: change.word for change in found}
    assert words == {"B 2": "same", "A-1": "same", "D-4": "new", "C-3": "new"}


JSON = st.recursive(
    st.none() | st.booleans() | st.floats(allow_nan=False) | st.text(max_size=8),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(
        st.sampled_from(["tank", "actions", "when", "kind", "id", "attention",
                         "logged_that_day", "work"]), inner, max_size=4,
    ),
    max_leaves=12,
)  # fmt: skip


@given(JSON)
def test_no_content_of_a_report_stops_the_run(tanks):
    content = {"schema": "fleet-report/1", "as_of": "2026-03-23", "tanks": tanks}
    compare(json.dumps(content).encode(), report(), REFERENCE)
