"""One header -> what its column means: ``NO3-N (ppm)``, ``Vol gal``."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from fleet.read.units import Units, quantity_unit
from fleet.read.words import Words
from fleet.spelling import fold, tidy, visible

KINDS = ("tanks", "readings", "methods", "work", "bands", "shelf", "settings")

# The columns whose numbers are quantities with a unit of their own.
QUANTITY = {
    ("tanks", "volume"): ("volume",),
    ("tanks", "rock"): ("mass",),
    ("tanks", "rock mass"): ("mass",),
    ("tanks", "feed"): ("rate", "mass"),
    ("tanks", "protein"): ("share",),
    ("shelf", "purity"): ("share",),
    ("shelf", "on hand"): ("mass",),
    ("shelf", "strength"): ("strength",),
    ("methods", "accuracy"): ("share",),
}
# A unit in the header makes another column of these.
_WITH_UNIT = {("tanks", "rock"): "rock mass", ("methods", "accuracy"): "accuracy share"}

_BRACKET = re.compile(r"[(\[{]([^)\]}]*)[)\]}]")
_GAPS = re.compile(r"[\s,:;_?!*]+")
_LIKE_A_UNIT = re.compile(
    r".*/.*|pp.{1,2}|[munµ]?(g|mol|m|eq|s)\b.*|.*%.*|.{1,2}", re.I
)
_ONLY_A_UNIT = re.compile(r"pp.{1,2}|.*/k?[gl]|.*mol", re.I)


class Meaning(NamedTuple):
    """What a header says of its column."""

    what: str  # a word of the kind's list; "value", "method" or "flag" in readings
    parameter: str = ""  # of a value, method or flag
    unit: str = ""  # unit key; of a quantity its unit; of others as written
    method: str = ""  # of a value whose header names one
    unknown_unit: str = ""
    of: str = ""  # folded header of the column that a flag belongs to


class Headers:
    """Looks headers up, each text once."""

    def __init__(self, words: Words, units: Units) -> None:
        self._words = words
        self._units = units
        self._fillers = set(words.spellings("filler")) - {"any"}
        self._bases = dict(_bases(words))
        self._own = {
            key: {fold(s) for s in (key, *parameter.spellings)}
            for key, parameter in words.reference.parameters.items()
        }
        self._bare = {
            tidy(spelling): Meaning("value", *meaning.split(", "))
            for meaning, spellings in words.reference.vocabulary["bare-unit"].items()
            for spelling in spellings
        }
        self._seen: dict[tuple[str, str], Meaning | None] = {}

    def known(self, cells: Sequence[object]) -> int:
        """Return how many cells are headers of the commonest kinds of sheet."""
        texts = [cell for cell in cells if isinstance(cell, str) and cell]
        return max(
            sum(self.meaning(kind, text) is not None for text in texts)
            for kind in KINDS
        )

    def meaning(self, kind: str, text: str) -> Meaning | None:
        """Return what ``text`` means above a column of a sheet of ``kind``."""
        key = (kind, text)
        if key not in self._seen:
            if len(self._seen) > 50_000:
                self._seen.clear()
            self._seen[key] = self._find(kind, text)
        return self._seen[key]

    def parameter(self, text: str) -> Meaning | None:
        """Return the parameter a text names, with the unit beside it if any."""
        tokens, extras = _parts(text)
        return self._value(tokens, extras) if tokens or extras else None

    # -- general columns

    def _find(self, kind: str, text: str) -> Meaning | None:
        return self._found(kind, text) or self._behind_slash(kind, text)

    def _behind_slash(self, kind: str, text: str) -> Meaning | None:
        """Read ``Nitrate/ppm`` as ``Nitrate (ppm)``, where that is a unit."""
        name, slash, unit = visible(text).partition("/")
        if not slash or not fold(name):
            return None
        found = self._found(kind, f"{name} ({unit})")
        takes_unit = found and (found.what == "value" or (kind, found.what) in QUANTITY)
        return found if takes_unit and found and found.unit else None

    def _found(self, kind: str, text: str) -> Meaning | None:
        tokens, extras = _parts(text)
        if kind == "readings" and tidy(text) in self._bare:
            return self._bare[tidy(text)]
        if not tokens:
            tokens, extras = [t for extra in extras for t in extra.split()], []
        if not tokens or len(tokens) > 20:
            return None
        if kind == "readings":
            role = self._role(tokens, extras, visible(text).strip())
            if role:
                return role
        general = self._general(kind, tokens, extras)
        if general or kind != "readings":
            return general
        return self._value(tokens, extras)

    def _general(
        self, kind: str, tokens: list[str], extras: list[str]
    ) -> Meaning | None:
        columns = self._words.spellings(f"{kind}-column")
        plain = [t for t in tokens if fold(t) not in self._fillers]
        for written in (tokens + extras, tokens, plain):
            what = columns.get(fold("".join(written)))
            if what:
                return self._with_unit(kind, what, tokens, extras)
        for cut in range(len(tokens) - 1, 0, -1):  # "vol gal": the unit behind
            what = columns.get(fold("".join(tokens[:cut])))
            if what and (kind, what) in QUANTITY:
                found = self._with_unit(kind, what, [], [" ".join(tokens[cut:])])
                if found.unit:
                    return found
        return None

    def _with_unit(
        self, kind: str, what: str, tokens: list[str], extras: list[str]
    ) -> Meaning:
        quantities = QUANTITY.get((kind, what), ())
        for written in (*extras, *tokens):
            for quantity in quantities:
                unit = quantity_unit(quantity, written, self._words)
                if unit:
                    return Meaning(_WITH_UNIT.get((kind, what), what), unit=unit)
        return Meaning(what, unit=extras[0] if extras and not quantities else "")

    # -- columns of readings

    def _role(self, tokens: list[str], extras: list[str], text: str) -> Meaning | None:
        """Return the meaning of ``Nitrate method``, ``Flag``, ``F_PO4``, or None."""
        for role in ("flag", "method"):
            for start, end in _spans(len(tokens)):
                written = fold("".join(tokens[start:end]))
                if self._words.spellings("column-role").get(written) != role:
                    continue
                rest = tokens[:start] + tokens[end:] + extras
                rest = [t for t in rest if fold(t) not in self._fillers | {"used"}]
                if not rest:
                    # "Tester" alone is the person, "Nitrate tester" the instrument.
                    person = self._words.word("readings-column", written)
                    return None if person else Meaning(role)
                found = self._bases.get(fold("".join(rest)))
                if found:
                    return Meaning(role, found[0])
                if role == "flag":
                    return Meaning("flag", of=fold("".join(rest)))
        if text[:2].casefold() == "f_":
            found = self._bases.get(fold(text[2:]))
            return Meaning("flag", found[0] if found else "", of=fold(text[2:]))
        return None

    def _value(self, tokens: list[str], extras: list[str]) -> Meaning | None:
        for start, end in _spans(len(tokens)):
            base = self._bases.get(fold("".join(tokens[start:end])))
            if not base:
                continue
            rest = tokens[:start] + tokens[end:]
            rest = [t for t in rest if fold(t) not in self._fillers]
            found = self._qualified(base, rest, extras)
            if found:
                return found
        return None

    def _qualified(
        self, base: tuple[str, str, str], rest: list[str], extras: list[str]
    ) -> Meaning | None:
        """Add what stands beside a parameter's name; None if it is not understood."""
        parameter, unit, method = base
        unknown = ""
        for written in [" ".join(rest), *extras]:
            if not fold(written):
                continue
            named = self._unit_of(parameter, written, unit)
            if named:
                unit = named
            elif self._words.word("range", written):
                method = written  # two ranges of one test are two tests
            elif fold(written) in self._own[parameter]:
                continue
            elif self._bases.get(fold(written + parameter), ("",))[0] == parameter:
                continue  # "Ammonia (total)" is total ammonia
            elif self.names_method(parameter, written):
                unit, method = self._unit_beside(parameter, written, unit)
                strange = [t for t in method.split() if _ONLY_A_UNIT.fullmatch(t)]
                unknown = unknown or " ".join(strange)
            elif all(fold(t) in self._fillers for t in written.split()):
                continue
            elif written in extras and _LIKE_A_UNIT.fullmatch(written):
                unknown = written
            else:
                return None
        return Meaning("value", parameter, unit, method, unknown)

    def _unit_of(self, parameter: str, text: str, unit: str) -> str | None:
        """Return the unit of ``ppm``, or of ``NO3-N ppm``: what of, and the unit."""
        named = self._units.of(parameter, text, unit)
        tokens = text.split()
        if named or len(tokens) != 2 or unit:
            return named
        of = self._units.of(parameter, tokens[0])
        if of is None or _ONLY_A_UNIT.fullmatch(tokens[0]):
            return None
        named = self._units.of(parameter, tokens[1], of)
        same = named and named.partition(" ")[2] == of.partition(" ")[2]
        return named if same else None

    def _unit_beside(self, parameter: str, text: str, unit: str) -> tuple[str, str]:
        """Part the unit of ``meter ppb`` from the method; return unit and method."""
        tokens = text.split()
        for start, end in _spans(len(tokens)):
            named = self._units.of(parameter, " ".join(tokens[start:end]), unit)
            method = " ".join(tokens[:start] + tokens[end:])
            if named and self.names_method(parameter, method):
                return named, method
        return unit, text

    def names_method(self, parameter: str, text: str) -> bool:
        """Say whether a text holds a word of a class of test for ``parameter``."""
        written = f" {tidy(text)} "
        return any(
            f" {word} " in written
            for entry in self._words.reference.methods.values()
            if entry.measures == parameter
            for word in entry.words
        )


def _parts(text: str) -> tuple[list[str], list[str]]:
    """Return the words of a header outside brackets, and the entries inside."""
    flat = tidy(text)
    extras = [
        entry.strip()
        for inside in _BRACKET.findall(flat)
        for entry in re.split(r"[,;]", inside)
        if entry.strip()
    ]
    outside = _BRACKET.sub(" ", flat)
    tokens = [token for token in _GAPS.split(outside) if fold(token)]
    return tokens, extras


def _spans(count: int) -> Iterator[tuple[int, int]]:
    """Yield all runs of ``count`` words, the longest first, then from the left."""
    for length in range(min(count, 6), 0, -1):
        for start in range(count - length + 1):
            yield start, start + length


def _bases(words: Words) -> Iterator[tuple[str, tuple[str, str, str]]]:
    """Yield every name of a parameter with the parameter, unit and method it means."""
    for key, parameter in words.reference.parameters.items():
        for spelling in (key, *parameter.spellings):
            yield fold(spelling), (key, "", "")
    # Names with a unit of their own come last: they beat the plain ones.
    for meaning, spellings in words.reference.vocabulary["header"].items():
        parameter_key, unit, *method = meaning.split(", ")
        for spelling in spellings:
            yield fold(spelling), (parameter_key, unit, method[0] if method else "")
