"""Which test method a reading rests on, its numbers in the kept unit."""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import replace

from fleet.normalise.scales import Scale
from fleet.normalise.units import Water, difference_to_kept, to_kept, unit_of
from fleet.records import Method, Settings
from fleet.reference import MethodClass, Reference

KINDS = ("card", "drops", "meter", "laboratory", "total")


class MethodLookup:
    """Finds the method of a reading; built once for a book.

    Parameters
    ----------
    methods
        Rows of the Methods sheet; their numbers may be in another unit.
    settings
        Names the default method of a parameter.
    reference
        The classes of method, taken where the workbook is silent.
    """

    def __init__(
        self, methods: Sequence[Method], settings: Settings, reference: Reference
    ) -> None:
        self.settings = settings
        self.reference = reference
        self._classes: dict[str, tuple[MethodClass, ...]] = {}
        for known in reference.methods.values():
            others = self._classes.get(known.measures, ())
            self._classes[known.measures] = (*others, known)
        self._own: dict[tuple[str, str], Method] = {}
        self._alike: dict[tuple[str, str], Method] = {}
        for row in methods:
            # The first of two rows for one name and parameter counts.
            key = _folded(row.name), row.measures
            if key not in self._own:
                self._own[key] = self._completed(row)
                alike = _squeezed(row.name), row.measures
                self._alike.setdefault(alike, self._own[key])
        self._defaults = dict(settings.default_methods)
        self._found: dict[tuple[str, str, str], Method] = {}
        self._scales: dict[tuple[str, str, str], Scale | None] = {}

    def of(self, parameter: str, written: str, unit: str = "") -> Method:
        """Return the method of a result, as the reading or the workbook names it.

        A name of the Methods sheet is taken as it stands there. Any other name or a
        blank is an assumption, and marked so: the default of the Settings sheet, or
        the class that the name's own words or the unit tell, or the usual class.
        """
        key = parameter, written, unit
        found = self._found.get(key)
        if found is None:
            found = self._found[key] = self._search(parameter, written, unit)
        return found

    def scale(self, parameter: str, written: str, unit: str) -> Scale | None:
        """Return how such numbers are understood; None for an unknown parameter."""
        key = parameter, written, unit
        if key in self._scales:
            return self._scales[key]
        scale = None
        if parameter in self.reference.parameters:
            if parameter == "ph" and self.settings.ph_scale == "total":
                unit = "pH total"
            method = self.of(parameter, written, unit)
            scale = Scale(parameter, unit, method, self.settings, self.reference)
        self._scales[key] = scale
        return scale

    def _search(self, parameter: str, written: str, unit: str) -> Method:
        own = self._listed(parameter, written)
        if own is not None:
            return own
        told = self._told_by_words(parameter, written)
        default = self._default(parameter)
        if default is None:
            chosen = told or self._told_by_unit(parameter, unit)
            return self._of_class(
                chosen or self._usual(parameter), parameter, written if told else ""
            )
        if told is None:
            return replace(default, assumed=True)
        # The name is not on the Methods sheet but says what kind of test it was.
        # Where that kind tells less than the default does, it may not borrow the
        # default's sharper eyes; and total phosphorus is never orthophosphate.
        stated = self._of_class(told, parameter, written)
        if stated.kind == "total" or _coarseness(stated) > _coarseness(default):
            return stated
        return replace(default, assumed=True)

    def _listed(self, parameter: str, written: str) -> Method | None:
        """Return the row of the Methods sheet a name means, as it stands or nearly."""
        own = self._own.get((_folded(written), parameter))
        alike = _squeezed(written)
        if own is not None or not alike:
            return own
        return self._alike.get((alike, parameter))

    def _default(self, parameter: str) -> Method | None:
        name = self._defaults.get(parameter, "")
        if not name:
            return None
        own = self._listed(parameter, name)
        if own is not None:
            return own
        told = self._told_by_words(parameter, name)
        return self._of_class(told, parameter, name) if told else None

    # -- classes

    def _told_by_words(self, parameter: str, written: str) -> MethodClass | None:
        """Return the class most of whose words the name holds; the coarser of two."""
        tokens = _tokens(written)
        if not tokens:
            return None
        best, best_rank = None, (0, -math.inf)
        for known in self._classes.get(parameter, ()):
            hits = _tokens_told(tokens, known.words)
            rank = hits, _coarseness(known)
            if hits and rank > best_rank:
                best, best_rank = known, rank
        return best

    def _told_by_unit(self, parameter: str, unit: str) -> MethodClass | None:
        for known in self._classes.get(parameter, ()):
            if unit in known.units:
                return known
        return None

    def _usual(self, parameter: str) -> MethodClass | None:
        classes = self._classes.get(parameter, ())
        return next((c for c in classes if c.default), classes[0] if classes else None)

    def _of_class(
        self, known: MethodClass | None, parameter: str, written: str
    ) -> Method:
        if known is None:
            return Method(
                written, parameter, "meter", None, None, None, None, None, assumed=True
            )
        return Method(
            name=written or known.key,
            measures=parameter,
            kind=known.kind,
            lowest=known.lowest,
            step=known.step,
            accuracy=known.accuracy,
            accuracy_share=known.accuracy_share,
            highest=known.highest,
            assumed=True,
            class_key=known.key,
        )

    # -- rows of the Methods sheet

    def _completed(self, row: Method) -> Method:
        """Return a row in kept units, what it leaves blank taken from its class."""
        row = self._in_kept_unit(row)
        known = self._class_of(row)
        if known is None:
            return replace(row, kind=row.kind if row.kind in KINDS else "meter")
        kind = row.kind if row.kind in KINDS else ""
        if not kind:
            # A plus-or-minus is what an instrument's leaflet states, steps a card's,
            # unless the name says which of the two it is.
            stated = row.accuracy is not None or row.accuracy_share is not None
            told = self._told_by_words(row.measures, row.name) is not None
            by_eye = known.kind == "card" and (told or not stated)
            kind = known.kind if by_eye or known.kind != "card" else "meter"
        blank = row.accuracy is None and row.accuracy_share is None
        return replace(
            row,
            kind=kind,
            lowest=_first(row.lowest, known.lowest),
            step=_first(row.step, known.step),
            accuracy=known.accuracy if blank else row.accuracy,
            accuracy_share=known.accuracy_share if blank else row.accuracy_share,
            class_key=known.key,
        )

    def _class_of(self, row: Method) -> MethodClass | None:
        if row.class_key in self.reference.methods:
            return self.reference.methods[row.class_key]
        told = self._told_by_words(row.measures, row.name)
        if told is not None:
            return told
        classes = [
            c for c in self._classes.get(row.measures, ()) if row.kind in ("", c.kind)
        ]
        lowest = row.lowest
        if lowest is None or lowest <= 0 or not classes:
            return self._usual(row.measures)
        # A name that tells nothing: the class whose lowest amount is nearest.
        usable = [c for c in classes if c.lowest and c.kind != "total"]
        return min(
            usable,
            key=lambda c: abs(math.log((c.lowest or lowest) / lowest)),
            default=self._usual(row.measures),
        )

    def _in_kept_unit(self, row: Method) -> Method:
        parameter = self.reference.parameters.get(row.measures)
        if not row.unit or parameter is None:
            return row
        unit = unit_of(parameter, row.unit)
        water = Water(sg_reference=self.settings.sg_reference)

        def ends(value: float | None) -> float | None:
            try:
                return None if value is None else to_kept(unit, value, water)
            except ValueError:
                return None

        def width(value: float | None) -> float | None:
            try:
                return None if value is None else difference_to_kept(unit, value, water)
            except ValueError:
                return None

        return replace(
            row,
            lowest=ends(row.lowest),
            step=width(row.step),
            accuracy=width(row.accuracy),
            highest=ends(row.highest),
            unit="",
        )


def _first(value: float | None, other: float | None) -> float | None:
    return other if value is None else value


def _coarseness(method: Method | MethodClass) -> float:
    """Return how little a method can tell: its lowest amount, else its accuracy."""
    return method.lowest or method.accuracy or 0.0


def _folded(name: str) -> str:
    """Return a method's name as names are compared."""
    return " ".join(unicodedata.normalize("NFKC", name).casefold().split())


def _squeezed(name: str) -> str:
    """Return a name's letters and digits: "low range" is "Low-range"."""
    return "".join(c for c in _folded(name) if c.isalnum())


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
