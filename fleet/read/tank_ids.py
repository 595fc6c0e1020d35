"""Which tank a row means: ids compared without case, spaces and Unicode form."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from typing import Any, NamedTuple

from fleet.read.table import id_text
from fleet.read.words import nearest
from fleet.records import Tank
from fleet.spelling import tank_key

_TANK_WORD = re.compile(r"^(?:tank|system|aquarium)\s*(?:no\.?|nr\.?|#|:|-)?\s*(?=\S)")


class Match(NamedTuple):
    """The tank a cell means, and whether it was found by another name."""

    key: str
    by_name: bool = False


class TankIds:
    """Finds tanks by id, by id with or without the word tank, or by a single name."""

    def __init__(
        self, tanks: Iterable[Tank] = (), renamed: Mapping[str, str] | None = None
    ) -> None:
        """Take the tanks, and for keys written here the keys they go by."""
        self.ids = {tank.key: tank.id for tank in tanks}
        self._renamed = dict(renamed or {})
        self._others: dict[str, str | None] = {}
        for tank in tanks:
            for other in {tank_key(tank.name), _bare(tank.key)} - {"", tank.key}:
                # A name that two tanks share names neither.
                taken = other in self._others and self._others[other] != tank.key
                self._others[other] = None if taken else tank.key
        self._found: dict[Any, Match | None] = {}
        self._near: dict[str, str] = {}

    def find(self, cell: Any) -> Match | None:
        """Return the tank that a cell means, or None."""
        if cell not in self._found:
            self._found[cell] = self._find(tank_key(id_text(cell)))
        return self._found[cell]

    def _find(self, key: str) -> Match | None:
        if key in self._renamed:
            return Match(self._renamed[key])
        if key in self.ids:
            return Match(key)
        bare = _bare(key)
        if bare in self.ids:
            return Match(bare)
        for other in (key, bare):
            found = self._others.get(other)
            if found:
                return Match(found, by_name=_bare(found) != other)
        return None

    def near(self, text: str) -> str:
        """Return advice for a tank that is not there."""
        if text not in self._near:
            close = nearest(text, self.ids.values())
            add = "Add the tank to the sheet of tanks, or correct the id."
            self._near[text] = close or add
        return self._near[text]


def _bare(key: str) -> str:
    return _TANK_WORD.sub("", key)
