"""Keepers' names taken out, before anything is judged or written.

A keeper's name may stand in more places than its column: in a tank's own name or
id, a place, a note, the name of a test or of a file.
"""

from __future__ import annotations

import re
from dataclasses import replace

from fleet.records import (
    Book,
    Intake,
    Progress,
    Reading,
    Result,
    Settings,
    SourceFile,
    Tank,
    Work,
)

_LEFT_OUT = "…"
_LEAST = 3  # letters; a shorter part of a name is too common a word to look for


class Names:
    """The names of keepers and helpers in a set of workbooks."""

    def __init__(self, book: Book) -> None:
        whole = {tank.keeper for tank in book.tanks}
        whole |= {reading.taken_by for reading in book.readings}
        whole |= {done.done_by for done in book.work}
        found = {name.strip() for name in whole if name.strip()}
        found |= {
            part
            for name in found
            for part in re.findall(r"[^\W\d_]+", name)
            if len(part) >= _LEAST and part[0].isupper()
        }
        longest = sorted(found, key=lambda name: (-len(name), name))
        # Not \b: an underscore in a file name does not make one word of two.
        listed = "|".join(map(re.escape, longest))
        self._find = (
            re.compile(rf"(?<![^\W_])(?:{listed})(?![^\W_])", re.IGNORECASE)
            if found
            else None
        )

    def out_of(self, text: str) -> str:
        """Return ``text`` with a mark for each name in it."""
        return self._find.sub(_LEFT_OUT, text) if self._find and text else text

    def out_of_book(self, book: Book) -> Book:
        """Return the workbooks' content without names."""
        ids = self._ids(book.tanks)
        return replace(
            book,
            tanks=tuple(self._tank(tank, ids[tank.key]) for tank in book.tanks),
            readings=tuple(map(self._reading, book.readings)),
            methods=tuple(
                replace(method, name=self.out_of(method.name))
                for method in book.methods
            ),
            work=tuple(map(self._work, book.work)),
            settings=self._settings(book.settings),
            sources=tuple(map(self._source, book.sources)),
        )

    def out_of_numbers(self, progress: Progress) -> Progress:
        """Return a view whose groups' numbers hold no name, for the committee."""
        return replace(
            progress,
            settings=self._settings(progress.settings),
            sources=tuple(map(self._source, progress.sources)),
            groups=tuple(
                replace(
                    group,
                    name=self.out_of(group.name),
                    intake=self._intake(group.intake) if group.intake else None,
                )
                for group in progress.groups
            ),
        )

    def _ids(self, tanks: tuple[Tank, ...]) -> dict[str, str]:
        """Return the id of each tank; one that holds a name becomes a number."""
        shown = {tank.key: self.out_of(tank.id) for tank in tanks}
        taken = {tank.id for tank in tanks}
        number = 0
        for tank in tanks:
            if shown[tank.key] == tank.id:
                continue
            number += 1
            while f"T{number}" in taken:
                number += 1
            shown[tank.key] = f"T{number}"
        return shown

    def _tank(self, tank: Tank, shown: str) -> Tank:
        return replace(
            tank,
            id=shown,
            name="",
            keeper="",
            notes=self.out_of(tank.notes),
            place=self.out_of(tank.place),
            group=self.out_of(tank.group),
            displays=tuple(map(self.out_of, tank.displays)),
        )

    def _reading(self, reading: Reading) -> Reading:
        return replace(
            reading,
            taken_by="",
            notes=self.out_of(reading.notes),
            look_written=self.out_of(reading.look_written),
            results=tuple(map(self._result, reading.results)),
        )

    def _result(self, result: Result) -> Result:
        method = self.out_of(result.method)
        return result if method == result.method else result._replace(method=method)

    def _work(self, done: Work) -> Work:
        return replace(
            done,
            done_by="",
            substance=self.out_of(done.substance),
            notes=self.out_of(done.notes),
        )

    def _settings(self, settings: Settings) -> Settings:
        return replace(
            settings,
            organisation=self.out_of(settings.organisation),
            contact=self.out_of(settings.contact),
            default_methods=tuple(
                (name, self.out_of(method)) for name, method in settings.default_methods
            ),
        )

    def _source(self, source: SourceFile) -> SourceFile:
        return replace(source, name=self.out_of(source.name))

    def _intake(self, intake: Intake) -> Intake:
        return replace(
            intake,
            methods=tuple(
                replace(use, method=self.out_of(use.method)) for use in intake.methods
            ),
        )
