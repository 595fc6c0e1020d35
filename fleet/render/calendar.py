"""``retests.ics``: test and dose days as all-day entries (RFC 5545).

Reading the file of a later report into the same calendar moves and replaces the
entries of the earlier one. A dose over several days is one entry that repeats, so
that no day of an older, longer course is left behind.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

from icalendar import Calendar, Event

from fleet.records import Action, Report, Sentence, TankReport, say
from fleet.reference import Reference
from fleet.render.safe import for_calendar
from fleet.render.wording import Wording


def write(report: Report, wording: Wording, reference: Reference, path: Path) -> None:
    """Write ``retests.ics``, entries in order of place, tank and day."""
    calendar = Calendar()
    calendar.add("prodid", f"-//Fleet//{for_calendar(report.made_by)}//EN")
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    calendar.add("method", "PUBLISH")
    if report.settings.organisation:
        calendar.add("x-wr-calname", for_calendar(report.settings.organisation))
    maker = _Maker(report, wording, reference)
    for entry in sorted(report.tanks, key=_by_place):
        for event in maker.events(entry):
            calendar.add_component(event)
    path.write_bytes(calendar.to_ical())


def _by_place(entry: TankReport) -> tuple[str, str, str]:
    tank = entry.tank
    return tank.place.casefold(), tank.keeper.casefold(), tank.key


class _Maker:
    """Makes the entries of one report."""

    def __init__(self, report: Report, wording: Wording, reference: Reference) -> None:
        day = report.as_of
        self._stamp = datetime(day.year, day.month, day.day, tzinfo=UTC)
        self._plain = wording.plain
        self._reference = reference
        self._newest = wording.plain(say("calendar.newest", as_of=day))
        self._used: set[str] = set()

    def events(self, entry: TankReport) -> Iterator[Event]:
        """Yield a tank's entries: dose courses and water changes, then tests."""
        plan = entry.plan
        actions = sorted(plan.actions, key=lambda action: action.priority)
        for action in actions:
            if action.kind == "dose":
                yield self._dose(entry, action)
            elif action.kind == "water change":
                title = say("calendar.water-change", tank=entry.tank.id)
                task = "water change"
                said = self._said(action)
                yield self._event(entry, task, action.when, title, said)
        days: dict[date, list[str]] = {}
        for parameter, day in plan.retests:
            days.setdefault(day, []).append(parameter)
        for number, day in enumerate(sorted(days), start=1):
            title = say(
                "calendar.test-again",
                tank=entry.tank.id,
                parameters=tuple(days[day]),
            )
            said = [
                self._plain(action.what)
                for action in actions
                if action.kind == "retest" and action.when == day
            ]
            yield self._event(entry, f"test {number}", day, title, said)

    def _dose(self, entry: TankReport, action: Action) -> Event:
        title = say("calendar.dose", tank=entry.tank.id, substance=action.substance)
        task = f"dose {action.substance}"
        event = self._event(entry, task, action.when, title, self._said(action))
        if action.days and action.days > 1:
            event.add("rrule", {"freq": "daily", "count": action.days})
        return event

    def _said(self, action: Action) -> list[str]:
        said = [self._plain(action.what)]
        if action.stop_if:
            said.append(self._plain(action.stop_if))
        return said

    def _event(
        self,
        entry: TankReport,
        task: str,
        day: date,
        title: Sentence,
        said: list[str],
    ) -> Event:
        tank = entry.tank
        lines = [for_calendar(line) for line in (*said, self._newest)]
        event = Event()
        event.add("uid", self._uid(tank.key, task))
        event.add("dtstamp", self._stamp)
        # Calendars take the entry with the higher number for the newer one.
        event.add("sequence", self._stamp.toordinal())
        event.add("dtstart", day)
        event.add("dtend", day + timedelta(days=1))
        event.add("summary", for_calendar(self._plain(title)))
        event.add("description", "\n".join(lines))
        event.add("transp", "TRANSPARENT")
        if tank.place:
            event.add("location", for_calendar(tank.place))
        group = tank.place or tank.keeper
        if group:
            event.add("categories", [for_calendar(group)])
        return event

    def _uid(self, tank: str, task: str) -> str:
        """Return an id that is the same in every report and names nobody."""
        uid = ""
        while not uid or uid in self._used:  # two courses of one salt at one tank
            text = f"{tank}\0{task}".encode("utf-8", "surrogatepass")
            uid = f"{hashlib.sha256(text).hexdigest()[:32]}@fleet.invalid"
            task += ", another"
        self._used.add(uid)
        return uid
