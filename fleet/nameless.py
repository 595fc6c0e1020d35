"""Keepers' names taken out of what is shown, once everything is judged.

A keeper's name may stand in more places than its column: in a tank's own name or
id, a place, a note, the name of a test, of a sheet or of a file. It may also be a
word that decides something ("Rock", "Clear"), so what judges must never see a text
from here.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import fields, is_dataclass, replace
from typing import Any

from fleet.records import (
    Book,
    CellAddress,
    GroupProgress,
    Measurement,
    Method,
    MethodUse,
    Progress,
    Sentence,
    Settings,
    SourceFile,
    Tank,
    Work,
)

_LEFT_OUT = "…"
_LEAST = 3  # letters; a shorter part of a name is too common a word to look for

# Record -> fields that hold somebody's own words. All others hold public words, keys
# and numbers, which are never touched: a keeper may be called as one of them.
_OWN_WORDS: dict[type, tuple[str, ...]] = {
    CellAddress: ("file", "sheet"),
    GroupProgress: ("name",),
    Measurement: ("written",),
    Method: ("name",),
    MethodUse: ("method",),
    Settings: ("organisation", "contact", "logo"),
    SourceFile: ("name", "failed"),
    Tank: ("notes", "place", "group", "displays"),
    Work: ("substance", "notes"),
}
_NAMES: dict[type, tuple[str, ...]] = {Tank: ("name", "keeper"), Work: ("done_by",)}
# The same of the facts of sentences.
_OWN_FACTS = ("displays", "place", "sheet", "substance", "what", "written")
_METHOD_AS_WRITTEN = "meaning.cannot-tell"  # elsewhere ``method`` is a key


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
        self._ids = self._shown_ids(book.tanks)

    def out_of(self, text: str) -> str:
        """Return ``text`` with a mark for each name in it."""
        return self._find.sub(_LEFT_OUT, text) if self._find and text else text

    def out_of_progress(self, progress: Progress) -> Progress:
        """Return the finished view without names; its numbers stay as they are."""
        bare: Progress = self._record(progress)
        return replace(bare, names=False)

    def _shown_ids(self, tanks: Iterable[Tank]) -> dict[str, str]:
        """Return how each id is shown; one that holds a name becomes a number."""
        ids = [tank.id for tank in tanks]
        shown: dict[str, str] = {}
        number = 0
        for written in ids:
            shown[written] = written
            if self.out_of(written) == written:
                continue
            number += 1
            while f"T{number}" in ids:
                number += 1
            shown[written] = f"T{number}"
        return shown

    def _any(self, value: Any) -> Any:
        """Return any part of a record without names."""
        if isinstance(value, Sentence):
            facts = ((name, self._fact(value, name, of)) for name, of in value.facts)
            return Sentence(value.key, tuple(facts))
        if type(value) is tuple:
            return tuple(map(self._any, value))
        return self._record(value)

    def _record(self, record: Any) -> Any:
        """Return a record without names; what is none comes back as it is."""
        if is_dataclass(record):
            names = [field.name for field in fields(record)]
        elif isinstance(record, tuple):
            names = list(record._fields)  # type: ignore[attr-defined]
        else:
            return record
        changed = {}
        for name in names:
            before = getattr(record, name)
            after = self._field(record, name, before)
            if after is not before and after != before:
                changed[name] = after
        if not changed:
            return record
        if isinstance(record, tuple):
            return record._replace(**changed)  # type: ignore[attr-defined]
        return replace(record, **changed)

    def _field(self, record: Any, name: str, value: Any) -> Any:
        kind = type(record)
        if name in _NAMES.get(kind, ()):
            return ""
        if kind is Tank and name == "id":
            return self._id(value)
        if kind is Settings and name == "default_methods":
            return tuple((parameter, self.out_of(used)) for parameter, used in value)
        if name in _OWN_WORDS.get(kind, ()):
            return self._words(value)
        return self._any(value)

    def _fact(self, sentence: Sentence, name: str, value: Any) -> Any:
        if name == "keeper":
            return ""
        if name == "tank" and isinstance(value, str):
            return self._id(value)
        as_written = name == "method" and sentence.key == _METHOD_AS_WRITTEN
        if name in _OWN_FACTS or as_written:
            return self._words(value)
        return self._any(value)

    def _id(self, written: str) -> str:
        return self._ids.get(written, self.out_of(written))

    def _words(self, value: Any) -> Any:
        """Return somebody's own words, or several, without names."""
        if isinstance(value, str):
            return self.out_of(value)
        if type(value) is tuple:
            return tuple(map(self._words, value))
        return self._any(value)
