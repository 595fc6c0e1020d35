"""One cell -> a result: ``8,1``, ``<0.03``, ``5-10 ppm``, ``ND``, ``50+``."""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import date
from typing import Literal, NamedTuple

from fleet import problems
from fleet.read.dates import Fault
from fleet.read.grid import Trouble
from fleet.read.numbers import (
    NUMBER,
    PLAIN,
    Either,
    mark_for_decimals,
    number_of,
    settle,
)
from fleet.read.units import Units
from fleet.read.which_unit import Told, told_by_numbers, window
from fleet.read.words import Words
from fleet.reference import Parameter
from fleet.spelling import fold, tidy, too_long

Form = Literal["value", "below", "above", "range", "about", "none seen"]

_DASHES = set("-–—−_./\\ ")
_RAISED = re.compile(r"\d[⁰¹²³⁴-⁹]")  # 5² would fold to 52
_BRACKET = re.compile(r"(.*?)\s*[(\[]([^()\[\]]*)[)\]]$")
_LABEL = re.compile(r"([^\W\d][\w.₀-₉/-]*?)\s*[\s:=]\s*(?=[<>~≤≥≈.\d+-])(.*)$")
_TIGHT_LABEL = re.compile(r"([a-z]+)(?=[\d.])(.*)$")
_RANGE = re.compile(
    rf"({NUMBER})\s*(-|–|—|−|\.\.+|…|to|bis|and|±|\+/-|\+-)\s*({NUMBER})\s*(.*)$"
)
_VALUE = re.compile(rf"({NUMBER})()()\s*(.*)$")
_MARKS = re.compile(r"(.*?)\s*([*†‡!?]+)$")
_LESS = {"or less", "or lower", "or below", "or under", "max", "and below"}
_MORE = {"or more", "or higher", "or above", "or over", "and up", "and above", "+"}


class Parsed(NamedTuple):
    """What a cell says, not yet bound to a place: see `records.Result`."""

    form: Form
    number: float
    upper: float | None
    unit: str
    written: str
    note: Fault | None = None


class ResultColumn:
    """Reads the cells of one parameter's column; built from all of them."""

    def __init__(
        self,
        parameter: Parameter,
        unit: str,
        cells: Iterable[object],
        words: Words,
        units: Units,
    ) -> None:
        """Take the unit key of the header or units row, "" if none stands there."""
        self.parameter = parameter
        self._words = words
        self._units = units
        self._results = words.spellings("result")
        cells = list(cells)
        different = set(cells)
        texts = [c for c in different if type(c) is str and c]
        self._decimal_mark = mark_for_decimals(texts)
        self.told = Told() if unit else told_by_numbers(parameter, cells, words)
        self.inferred = self.told.only or self.told.likelier
        unit = unit or self.inferred
        # "" marks what names no unit, until what is open has been asked about.
        is_open = self.told.either or self.told.asked
        self.unit = unit or ("" if is_open else parameter.default_unit)
        self.read = {cell: self._one(cell) for cell in different}
        if is_open:
            self.unit = parameter.default_unit
            self.read = {cell: self._asked(one) for cell, one in self.read.items()}

    def _asked(self, one: Parsed | Fault | None) -> Parsed | Fault | None:
        """Leave out what can be in two units; a column of such is told as a whole."""
        if not isinstance(one, Parsed) or one.unit:
            return one
        middle = one.number if one.upper is None else (one.number + one.upper) / 2
        if self.told.either and middle > 0:
            return None
        if self.told.asked:
            low, high, meant = self.told.asked
            if low <= middle <= high:
                units = ("default", self.unit), ("meant", meant)
                return Fault(problems.UNIT_NEEDED, units)
        return one._replace(unit=self.unit)

    # -- one cell

    def _one(self, cell: object) -> Parsed | Fault | None:
        """Return what a cell says, None for not tested, or why it cannot be read."""
        if isinstance(cell, str):
            if PLAIN.fullmatch(cell):
                return Parsed("value", float(cell), None, self.unit, cell)
            return self._text(cell) if cell else None
        if isinstance(cell, float | int):
            number = float(cell)
            if number != number or abs(number) == float("inf"):
                return Fault(problems.VALUE_UNREADABLE)
            return Parsed("value", number, None, self.unit, f"{number:.10g}")
        if isinstance(cell, Trouble):
            kind = problems.CELL_ERROR if cell.text else problems.FORMULA_WITHOUT_VALUE
            return Fault(kind)
        if isinstance(cell, date):
            return Fault(problems.VALUE_IS_DATE)
        return None if cell is None else Fault(problems.VALUE_UNREADABLE)

    def _text(self, text: str) -> Parsed | Fault | None:
        if too_long(text):
            return Fault(problems.VALUE_UNREADABLE)
        flat = tidy(text)
        if set(flat) <= _DASHES:
            return None
        written = " ".join(text.split())[:60]
        if _RAISED.search(text):
            return Fault(problems.VALUE_UNREADABLE)
        word = self._results.get(fold(flat))
        if word == "not tested":
            return None
        if word == "none seen":
            return Parsed("none seen", 0.0, None, self.unit, written)
        if flat.startswith("#") or flat.startswith("err:"):
            return Fault(problems.CELL_ERROR)
        return self._number(flat, written)

    def _number(self, flat: str, written: str) -> Parsed | Fault:
        """Read text that is not one word: comparison, number, range, unit, marks."""
        head, unit, limit, mark = self._bracket(flat)
        if head is None:
            return Fault(problems.VALUE_UNREADABLE)
        form, head = self._compared(head.removeprefix("between "))
        if form == "value":
            label = _LABEL.match(head) or _TIGHT_LABEL.match(head)
            if label:
                named = self._label(label[1])
                if named is None:
                    return Fault(problems.VALUE_UNREADABLE)
                limit = limit or named == "none seen"
                unit = unit or (named if named != "none seen" else "")
                form, head = self._compared(label[2])
        head = head.strip("=: ")
        found = _RANGE.match(head) or _VALUE.match(head)
        if not found:
            return Fault(problems.VALUE_UNREADABLE)
        first, sign, second, rest = found.groups()
        ended = self._rest(rest, form)
        if isinstance(ended, Fault):
            return ended
        form, more_limit, more_unit, more_mark = ended
        unit, mark, limit = unit or more_unit, mark or more_mark, limit or more_limit
        number = self._settled(first, unit)
        upper = self._settled(second, unit) if second else None
        for one in (number, upper):
            if isinstance(one, Fault):
                return one
        assert isinstance(number, float)  # noqa: S101 - faults have been returned
        note = None
        if mark:
            read = written.replace(mark, "").strip()
            note = Fault(problems.MARK_READ, (("read", read), ("mark", mark)))
        elif isinstance(both := number_of(first), Either):
            facts = (("read", f"{number:.10g}"),)
            if "," in first:
                note = Fault(problems.COMMA_READ, facts)
            elif number != both.decimal:
                note = Fault(problems.NUMBER_READ, facts)
        return self._formed(
            form, number, upper, sign, limit, unit or self.unit, written, note
        )

    def _formed(
        self,
        form: Form,
        number: float,
        upper: object,
        sign: str,
        limit: bool,
        unit: str,
        written: str,
        note: Fault | None,
    ) -> Parsed | Fault:
        if limit and form in ("value", "below"):
            # "0.02 (ND)" and "ND 0.02": the number is the limit, not the value.
            kind: Form = "below" if number > 0 else "none seen"
            return Parsed(kind, max(number, 0.0), None, unit, written, note)
        if isinstance(upper, float):
            if "±" in sign or "/" in sign or sign == "+-":
                return Parsed("about", number, None, unit, written, note)
            if form not in ("value", "about") or upper < number:
                return Fault(problems.VALUE_UNREADABLE)
            if upper > number:
                return Parsed("range", number, upper, unit, written, note)
        if form == "below" and number <= 0:
            return Fault(problems.VALUE_UNREADABLE)
        return Parsed(form, number, None, unit, written, note)

    # -- parts of a text

    def _bracket(self, flat: str) -> tuple[str | None, str, bool, str]:
        """Split a bracket off: head, unit, whether it says none seen, remark."""
        found = _BRACKET.match(flat)
        if not found or not found[1]:
            return flat, "", False, ""
        head, inside = found.groups()
        if self._results.get(fold(head)) == "none seen":
            return inside, "", True, ""
        if self._results.get(fold(inside)) == "none seen":
            return head, "", True, ""
        unit = self._units.of(self.parameter.key, inside, self.unit)
        if unit:
            return head, unit, False, ""
        if any(c.isdigit() for c in inside):
            return None, "", False, ""  # "0.3 (0.4)": which one?
        return head, "", False, f"({inside})"

    def _compared(self, head: str) -> tuple[Form, str]:
        for word, form in self._words.comparisons():
            if head.startswith(word):
                rest = head[len(word) :]
                if word[-1].isalpha() and rest[:1].isalpha():
                    continue  # "min" is not the start of "minute"
                return form, rest.strip()  # type: ignore[return-value]
        return "value", head

    def _label(self, label: str) -> str | None:
        """Return the unit a leading word names, "none seen", or None if unknown."""
        folded = fold(label)
        if self._results.get(folded) == "none seen":
            return "none seen"
        own = {fold(s) for s in (self.parameter.key, *self.parameter.spellings)}
        unit = self._units.of(self.parameter.key, label)
        if unit:
            return unit if folded not in own or unit != self.parameter.kept else ""
        return "" if folded in own else None

    def _rest(self, rest: str, form: Form) -> Fault | tuple[Form, bool, str, str]:
        """Read what follows the number: form, none seen, unit, mark passed over."""
        mark = ""
        marked = _MARKS.match(rest)
        if marked:
            rest, mark = marked.groups()
            if "?" in mark:
                form = "about" if form == "value" else form
        if not rest:
            return form, False, "", mark
        unit = self._units.of(self.parameter.key, rest, self.unit)
        if unit:
            return form, False, unit, mark
        if rest in _MORE or rest in _LESS:
            if form != "value":
                return Fault(problems.VALUE_UNREADABLE)
            return ("above" if rest in _MORE else "below"), False, "", mark
        if rest in ("ish", "or so", "approx", "approx.", "about"):
            return "about", False, "", mark
        if self._results.get(fold(rest)) == "none seen":
            return form, True, "", mark
        if re.fullmatch(r"[^\W\d_][^\s]{0,11}|[%‰°]\S{0,3}|\S+/\S+", rest):
            return Fault(
                problems.UNIT_UNKNOWN,
                (
                    ("written", rest),
                    ("accepted", self._units.accepted(self.parameter.key)),
                ),
            )
        return Fault(problems.VALUE_UNREADABLE)

    def _settled(self, text: str, unit: str) -> float | Fault:
        number = number_of(text)
        if number is None:
            return Fault(problems.VALUE_UNREADABLE)
        number = settle(number, self._decimal_mark, text)
        if not isinstance(number, Either):
            return number
        low, high = self._likely(unit or self.unit)
        likely = [n for n in number if low <= n <= high]
        if len(likely) == 1:
            return likely[0]
        if "," not in text:
            return number.decimal
        return Fault(
            problems.VALUE_AMBIGUOUS,
            (("one", f"{number.decimal:g}"), ("other", f"{number.thousands:g}")),
        )

    # -- what the column can be

    def _likely(self, unit: str) -> tuple[float, float]:
        only = window(self.parameter, unit, self._words)
        if only:
            return only
        low, high = self.parameter.usual
        for known in self.parameter.units:
            if known.key == unit and known.factor:
                return low / known.factor, high / known.factor
        return low, high
