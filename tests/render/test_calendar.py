"""retests.ics, read back by the icalendar parser and expanded by dateutil."""

import re
from dataclasses import replace
from datetime import date, datetime

import pytest
from dateutil.rrule import rrulestr
from hostile import HOSTILE, STEERING
from icalendar import Calendar
from small_reports import AS_OF, REFERENCE, days, report, starving, wording

from fleet.render import renderer


@pytest.fixture
def path(tmp_path):
    return tmp_path / "retests.ics"


def events(made, path):
    renderer("retests.ics")(made, wording(), REFERENCE, path)
    calendar = Calendar.from_ical(path.read_bytes())
    assert calendar.errors == []
    return calendar.events


def named(found, start):
    return [event for event in found if str(event["summary"]).startswith(start)]


def days_of(event):
    """Return the days of an entry, expanded by a library that is not ours."""
    first = event.decoded("dtstart")
    assert type(first) is date  # all day
    if "rrule" not in event:
        return [first]
    rule = event["rrule"].to_ical().decode()
    at = datetime(first.year, first.month, first.day)
    return [day.date() for day in rrulestr(rule, dtstart=at)]


def test_every_test_day_is_an_entry(path):
    found = named(events(report(), path), "Test again: A-1")
    assert [str(event["summary"]) for event in found] == [
        "Test again: A-1 (Phosphate)",
        "Test again: A-1 (Nitrate)",
    ]
    assert [days_of(event) for event in found] == [[days(1)], [days(4)]]
    assert "Test nitrate again." in found[1]["description"]


def test_every_dose_day_is_in_the_calendar(path):
    (dose,) = named(events(report(), path), "Dose: ")
    assert str(dose["summary"]) == "Dose: A-1 (sodium nitrate)"
    assert days_of(dose) == [AS_OF, days(1), days(2), days(3)]
    assert dose["description"].startswith("Add 1.32 g to A-1, dissolved first.")
    assert "Stop when it registers." in dose["description"]
    assert "Look at the newest sheet" in dose["description"]


def test_water_change_is_an_entry(path):
    (change,) = named(events(report(), path), "Water change: ")
    assert days_of(change) == [AS_OF]


def test_entries_block_no_time_and_say_where(path):
    for event in events(report(), path):
        assert event["transp"] == "TRANSPARENT"
        assert event["location"] == "Front hall"
        assert event.decoded("dtstamp").date() == AS_OF


def test_later_report_updates_the_entries_of_the_earlier_one(path):
    before = {event["uid"]: event for event in events(report(), path)}
    plan = starving().plan
    shorter = replace(plan.actions[1], days=2, when=days(7))
    later = replace(starving(), plan=replace(plan, actions=(shorter,)))
    made = replace(report(), as_of=days(7), tanks=(later,))
    for event in events(made, path):
        assert event["uid"] in before
        assert event["sequence"] > before[event["uid"]]["sequence"]
    (dose,) = named(events(made, path), "Dose: ")
    # The same entry, so no day of the four-day course is left beside the new one.
    assert days_of(dose) == [days(7), days(8)]


def test_ids_are_unique_and_name_nobody(path):
    plan = starving().plan
    twice = replace(starving(), plan=replace(plan, actions=plan.actions[1:2] * 2))
    found = events(replace(report(), tanks=(twice, *report().tanks)), path)
    ids = [event["uid"] for event in found]
    assert len(set(ids)) == len(ids)
    for uid in ids:
        assert re.fullmatch(r"[0-9a-f]{32}@fleet\.invalid", uid)


def test_entries_of_one_place_stand_together(path):
    tanks = report().tanks
    moved = replace(tanks[0], tank=replace(tanks[0].tank, place="Back room"))
    found = events(replace(report(), tanks=(*tanks[1:], moved)), path)
    places = [str(event["location"]) for event in found]
    assert places == sorted(places)
    assert found[0]["categories"].to_ical() == b"Back room"


def test_file_is_in_the_form_of_rfc_5545(path):
    events(report(HOSTILE), path)
    raw = path.read_bytes()
    assert raw.count(b"\n") == raw.count(b"\r\n")
    assert all(len(line) <= 75 for line in raw.split(b"\r\n"))  # section 3.1
    raw.decode("utf-8")


def test_foreign_text_adds_no_entry_and_no_property(path):
    plain, found = events(report(), path), events(report(HOSTILE), path)
    assert len(found) == len(plain)
    allowed = {name for event in plain for name in event}
    for event in found:
        assert set(event) <= allowed
        assert event.subcomponents == []
    assert not set(path.read_text("utf-8")) & set(STEERING)
    (dose,) = named(found, "Dose: ")
    assert "BEGIN:VALARM  DTSTART:1;x=1+1" in dose["location"]


def test_equal_reports_make_equal_bytes(path):
    events(report(), path)
    first = path.read_bytes()
    events(report(), path)
    assert path.read_bytes() == first
