"""``retests.ics``: test and dose days as all-day entries (RFC 5545).

Reading the file of a later report into the same calendar moves and replaces the
entries of the earlier one. A dose over several days is one entry that repeats, so
that no day of an older, longer course is left behind.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path

from fleet.records import Action, Report, Sentence, TankReport, say
from fleet.reference import Reference
from fleet.render.calendar_lines import component, folded, text
from fleet.render.calendar_lines import day as day_value
from fleet.render.wording import Wording


def write(report: Report, wording: Wording, reference: Reference, path: Path) -> None:
    """Write ``retests.ics``, entries in order of place, tank and day."""
    maker = _Maker(report, wording, reference)
    head = [
        "BEGIN:VCALENDAR",
        "VERSION:2.0",
        f"PRODID:-//Fleet//{text(report.made_by)}//EN",
        "CALSCALE:GREGORIAN",
        "METHOD:PUBLISH",
    ]
    if report.settings.organisation:
        head.append(folded(f"X-WR-CALNAME:{text(report.settings.organisation)}"))
    with path.open("wb") as file:
        file.write("".join([f"{line}\r\n" for line in head]).encode())
        for entry in sorted(report.tanks, key=_by_place):
            file.writelines(maker.events(entry))
        file.write(b"END:VCALENDAR\r\n")


def _by_place(entry: TankReport) -> tuple[str, str, str]:
    tank = entry.tank
    return tank.place.casefold(), tank.keeper.casefold(), tank.key


class _Maker:
    """Makes the entries of one report."""

    def __init__(self, report: Report, wording: Wording, reference: Reference) -> None:
        self._as_of = report.as_of
        self._plain = wording.plain
        self._reference = reference
        self._newest = wording.plain(say("calendar.newest", as_of=report.as_of))
        self._used: set[str] = set()

    def events(self, entry: TankReport) -> Iterator[bytes]:
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

    def _dose(self, entry: TankReport, action: Action) -> bytes:
        title = say("calendar.dose", tank=entry.tank.id, substance=action.substance)
        task = f"dose {action.substance}"
        said = self._said(action)
        return self._event(entry, task, action.when, title, said, action.days or 1)

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
    ) -> bytes:
        tank, stamp = entry.tank, self._as_of
        lines = [
            f"SUMMARY:{text(self._plain(title))}",
            f"DTSTART;VALUE=DATE:{day_value(day)}",
            f"DTEND;VALUE=DATE:{day_value(day + timedelta(days=1))}",
            f"DTSTAMP:{day_value(stamp)}T000000Z",
            f"UID:{self._uid(tank.key, task)}",
        ]
        # Calendars take the entry with the higher number for the newer one.
        lines.append(f"SEQUENCE:{stamp.toordinal()}")
        if days > 1:
            lines.append(f"RRULE:FREQ=DAILY;COUNT={days}")
        group = tank.place or tank.keeper
        if group:
            lines.append(f"CATEGORIES:{text(group)}")
        lines.append(f"DESCRIPTION:{text(*said, self._newest)}")
        if tank.place:
            lines.append(f"LOCATION:{text(tank.place)}")
        lines.append("TRANSP:TRANSPARENT")
        return component("VEVENT", lines)

    def _uid(self, tank: str, task: str) -> str:
        """Return an id that is the same in every report and names nobody."""
        uid = ""
        while not uid or uid in self._used:  # two courses of one salt at one tank
            text = f"{tank}\0{task}".encode("utf-8", "surrogatepass")
            uid = f"{hashlib.sha256(text).hexdigest()[:32]}@fleet.invalid"
            task += ", another"
        self._used.add(uid)
        return uid
