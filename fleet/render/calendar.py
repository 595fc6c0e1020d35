"""``retests.ics``: test and dose days as all-day entries (RFC 5545).

Reading the file of a later report into the same calendar moves and replaces the
entries of the earlier one. A dose over several days is one entry that repeats, so
that no day of an older, longer course is left behind.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from functools import lru_cache
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
    *head, end = (line.to_ical() for line in calendar.content_lines() if line)
    maker = _Maker(report, wording, reference)
    entries = sorted(report.tanks, key=_by_place)
    lines = (line for entry in entries for line in maker.lines(entry))
    path.write_bytes(b"\r\n".join((*head, *lines, end, b"")))


def _by_place(entry: TankReport) -> tuple[str, str, str]:
    tank = entry.tank
    return tank.place.casefold(), tank.keeper.casefold(), tank.key


def _written(name: str, value: object) -> bytes:
    """Return one property as the library writes it: typed, escaped and folded."""
    event = Event()
    event.add(name, value)
    written: bytes = event.content_line(name, event[name]).to_ical()
    return written


class _Maker:
    """Makes the entries of one report."""

    def __init__(self, report: Report, wording: Wording, reference: Reference) -> None:
        day = report.as_of
        self._stamp = datetime(day.year, day.month, day.day, tzinfo=UTC)
        self._plain = wording.plain
        self._reference = reference
        self._newest = wording.plain(say("calendar.newest", as_of=day))
        self._used: set[str] = set()
        # Most lines say a day, a place or what other tanks are told too.
        self._line = lru_cache(maxsize=4096)(_written)

    def lines(self, entry: TankReport) -> Iterator[bytes]:
        """Yield a tank's entries: dose courses and water changes, then tests."""
        plan = entry.plan
        actions = sorted(plan.actions, key=lambda action: action.priority)
        for action in actions:
            if action.kind == "dose":
                yield from self._dose(entry, action)
            elif action.kind == "water change":
                title = say("calendar.water-change", tank=entry.tank.id)
                task = "water change"
                said = self._said(action)
                yield from self._event(entry, task, action.when, title, said)
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
            yield from self._event(entry, f"test {number}", day, title, said)

    def _dose(self, entry: TankReport, action: Action) -> Iterator[bytes]:
        title = say("calendar.dose", tank=entry.tank.id, substance=action.substance)
        task = f"dose {action.substance}"
        said = self._said(action)
        yield from self._event(entry, task, action.when, title, said, action.days or 1)

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
        days: int = 1,
    ) -> Iterator[bytes]:
        tank, line = entry.tank, self._line
        yield b"BEGIN:VEVENT"
        yield _written("SUMMARY", for_calendar(self._plain(title)))
        yield line("DTSTART", day)
        yield line("DTEND", day + timedelta(days=1))
        yield line("DTSTAMP", self._stamp)
        yield _written("UID", self._uid(tank.key, task))
        # Calendars take the entry with the higher number for the newer one.
        yield line("SEQUENCE", self._stamp.toordinal())
        if days > 1:
            yield _written("RRULE", {"freq": "daily", "count": days})
        group = tank.place or tank.keeper
        if group:
            yield line("CATEGORIES", (for_calendar(group),))
        told = "\n".join(for_calendar(text) for text in (*said, self._newest))
        yield line("DESCRIPTION", told)
        if tank.place:
            yield line("LOCATION", for_calendar(tank.place))
        yield line("TRANSP", "TRANSPARENT")
        yield b"END:VEVENT"

    def _uid(self, tank: str, task: str) -> str:
        """Return an id that is the same in every report and names nobody."""
        uid = ""
        while not uid or uid in self._used:  # two courses of one salt at one tank
            text = f"{tank}\0{task}".encode("utf-8", "surrogatepass")
            uid = f"{hashlib.sha256(text).hexdigest()[:32]}@fleet.invalid"
            task += ", another"
        self._used.add(uid)
        return uid
