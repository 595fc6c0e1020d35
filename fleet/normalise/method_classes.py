"""Which class of test method a name, a unit or a leaflet's numbers mean."""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Iterable, Sequence

from fleet.records import Method
from fleet.reference import MethodClass, Reference

KINDS = ("card", "drops", "meter", "laboratory", "total")
# A row is of these only where its name or kind says so: numbers alone may be a slip.
_ONLY_BY_NAME = ("laboratory", "total")


class MethodClasses:
    """The classes of methods.toml, by what tells one from another."""

    def __init__(self, reference: Reference) -> None:
        self._kind_words = reference.vocabulary["method-kind"]
        self._classes: dict[str, tuple[MethodClass, ...]] = {}
        for known in reference.methods.values():
            others = self._classes.get(known.measures, ())
            self._classes[known.measures] = (*others, known)

    def told_by_words(self, parameter: str, written: str) -> MethodClass | None:
        """Return the class most of whose words the name holds; the coarser of two."""
        told = _most_told(self._classes.get(parameter, ()), written)
        return max(told, key=coarseness, default=None)

    def told_by_unit(self, parameter: str, unit: str) -> MethodClass | None:
        """Return the class that alone reads in a unit."""
        for known in self._classes.get(parameter, ()):
            if unit in known.units:
                return known
        return None

    def usual(self, parameter: str) -> MethodClass | None:
        """Return the class taken where nothing tells."""
        return _usual(self._classes.get(parameter, ()))

    def of_row(self, row: Method) -> tuple[MethodClass | None, str]:
        """Return the class and the kind of a row of the Methods sheet, in kept units.

        The kind is what the row states, else what its name says, else what its
        numbers suggest. Of the classes of that kind it is the one that the name
        tells, and of several the one whose lowest amount is nearest.
        """
        classes = self._classes.get(row.measures, ())
        kind = row.kind if row.kind in KINDS else ""
        told = _most_told(_of_kind(classes, kind), row.name)
        if told:
            known = _nearest(told, row.lowest)
            return known, kind or (known.kind if known else "")
        kind = kind or self._kind_told(row.name)
        fitting = _of_kind(classes, kind) if kind else _by_numbers(classes, row)
        known = _nearest(fitting, row.lowest) or _usual(classes)
        return known, kind or (known.kind if known else "meter")

    def _kind_told(self, name: str) -> str:
        """Return the kind of method that a name says in so many words."""
        tokens, found, most = _tokens(name), "", 0
        for kind, spellings in self._kind_words.items():
            hits = _tokens_told(tokens, (kind, *spellings))
            if hits > most:
                found, most = kind, hits
        return found


def coarseness(method: Method | MethodClass) -> float:
    """Return how little a method can tell: its lowest amount, else its accuracy."""
    return method.lowest or method.accuracy or 0.0


def _of_kind(classes: Sequence[MethodClass], kind: str) -> Sequence[MethodClass]:
    return [known for known in classes if kind in ("", known.kind)]


def _by_numbers(classes: Sequence[MethodClass], row: Method) -> Sequence[MethodClass]:
    """Return the classes that a row whose name tells nothing may be of."""
    # A plus-or-minus is what an instrument's leaflet states, steps a card's.
    stated = row.accuracy is not None or row.accuracy_share is not None
    never = (*_ONLY_BY_NAME, "card") if stated else _ONLY_BY_NAME
    return [known for known in classes if known.kind not in never]


def _nearest(
    classes: Sequence[MethodClass], lowest: float | None
) -> MethodClass | None:
    """Return the class whose lowest amount is nearest; the usual one without any."""
    if lowest is None or lowest <= 0:
        return _usual(classes)
    apart = {
        known.key: abs(math.log(known.lowest / lowest))
        for known in classes
        if known.lowest
    }
    return min(
        classes,
        key=lambda known: (apart.get(known.key, math.inf), -coarseness(known)),
        default=None,
    )


def _usual(classes: Sequence[MethodClass]) -> MethodClass | None:
    """Return the class that is taken by default, else the one that tells least."""
    default = next((known for known in classes if known.default), None)
    return default or max(classes, key=coarseness, default=None)


def _most_told(classes: Sequence[MethodClass], written: str) -> list[MethodClass]:
    """Return the classes most of whose words a name holds."""
    tokens = _tokens(written)
    if not tokens:
        return []
    hits = [_tokens_told(tokens, known.words) for known in classes]
    most = max(hits, default=0)
    return [c for c, told in zip(classes, hits, strict=True) if told == most > 0]


def _tokens(written: str) -> tuple[str, ...]:
    text = unicodedata.normalize("NFKC", written[:200]).casefold()
    return tuple(re.findall(r"[^\W_]+", text))


def _tokens_told(tokens: tuple[str, ...], words: Iterable[str]) -> int:
    """Return how many tokens of a name the words of a class account for."""
    told: set[int] = set()
    for word in words:
        parts = word.split()
        for start in range(len(tokens) - len(parts) + 1):
            run = tokens[start : start + len(parts)]
            if all(_same(a, b) for a, b in zip(run, parts, strict=True)):
                told.update(range(start, start + len(parts)))
    return len(told)


def _same(token: str, word: str) -> bool:
    return token == word or (token.endswith("s") and token[:-1] == word)
