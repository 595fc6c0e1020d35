"""Keepers' names taken out of what is shown, once everything is judged.

A keeper's name may stand in more places than its column: in a tank's own name or
id, a place, a note, the name of a test, of a sheet or of a file. It may also be a
word that decides something ("Rock", "Clear"), so what judges must never see a text
from here.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import is_dataclass, replace
from functools import cache
from typing import Any

from fleet import records
from fleet.records import (
    Book,
    CellAddress,
    Measurement,
    Method,
    Sentence,
    Settings,
    SourceFile,
    Tank,
    Work,
    mentoring,
)
from fleet.records.mentoring import GroupProgress, MethodUse, Progress

_LEFT_OUT = "…"
_LEAST = 3  # letters; a shorter part of a name is too common a word to look for

# Record -> fields that hold somebody's own words. All others hold public words, keys
# and numbers, which are never touched (a keeper may be called as one of them), or
# addresses of cells, which are shown only as facts of a sentence.
_OWN_WORDS: dict[type, tuple[str, ...]] = {
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
        bare: Progress = _Walk(self).any(progress)
        return replace(bare, names=False)

    def shown_id(self, written: str) -> str:
        """Return a tank's id, or the number that stands for one with a name in it."""
        return self._ids.get(written, self.out_of(written))

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


class _Walk:
    """One way through a view, to every record in it once."""

    def __init__(self, names: Names) -> None:
        self._names = names
        self._done: dict[int, Any] = {}  # by id: a view shares its records

    def any(self, value: Any) -> Any:
        """Return any part of a view without names."""
        kind = type(value)
        if kind is tuple:
            return tuple(map(self.any, value))
        if kind is Sentence:
            return self._sentence(value)
        if kind not in _KINDS:
            return value
        if id(value) not in self._done:
            self._done[id(value)] = self._record(value, kind)
        return self._done[id(value)]

    def _record(self, record: Any, kind: type) -> Any:
        changed: dict[str, Any] = dict.fromkeys(_NAMES.get(kind, ()), "")
        for name in _OWN_WORDS.get(kind, ()):
            changed[name] = self._words(getattr(record, name))
        for name in _holding_records(kind):
            changed[name] = self.any(getattr(record, name))
        if kind is Tank:
            changed["id"] = self._names.shown_id(record.id)
        if kind is Settings:
            pairs = record.default_methods
            changed["default_methods"] = tuple((p, self._words(m)) for p, m in pairs)
        if all(getattr(record, name) == value for name, value in changed.items()):
            return record
        if isinstance(record, tuple):
            return record._replace(**changed)  # type: ignore[attr-defined]
        return replace(record, **changed)

    def _sentence(self, said: Sentence) -> Sentence:
        facts = ((name, self._fact(said.key, name, of)) for name, of in said.facts)
        return Sentence(said.key, tuple(facts))

    def _fact(self, key: str, name: str, value: Any) -> Any:
        if name == "keeper":
            return ""
        if name == "tank" and isinstance(value, str):
            return self._names.shown_id(value)
        if name in _OWN_FACTS or (name == "method" and key == _METHOD_AS_WRITTEN):
            return self._words(value)
        return self.any(value)

    def _words(self, value: Any) -> Any:
        """Return somebody's own words, or several, without names."""
        if isinstance(value, str):
            return self._names.out_of(value)
        if type(value) is tuple:
            return tuple(map(self._words, value))
        return self.any(value)


_RECORDS = {
    name: kind
    for name, kind in (vars(records) | vars(mentoring)).items()
    if isinstance(kind, type) and (is_dataclass(kind) or hasattr(kind, "_fields"))
}
_KINDS = frozenset(_RECORDS.values()) - {CellAddress}


@cache
def _holding_records(kind: type) -> tuple[str, ...]:
    """Return the fields of a record that hold other records, or sentences."""
    held = set(_RECORDS) - {"CellAddress"}
    return tuple(
        name
        for name, of in kind.__annotations__.items()
        if held.intersection(re.findall(r"\w+", str(of)))
    )
