"""A flag column beside a value: ``[SBL]`` says that the number is the limit."""

from __future__ import annotations

import re

from fleet import problems
from fleet.read.cells import Parsed
from fleet.read.dates import Fault
from fleet.read.grid import Row, blank
from fleet.read.log import Log, shown
from fleet.read.table import Column, Table, id_text
from fleet.read.words import Words
from fleet.spelling import tidy

_FLAG = re.compile(r"<[^<>]*>|\[[^\[\]]*\]|\([^()]*\)|\{[^{}]*\}|[^\s,;]+")


class FlagColumn:
    """Reads the flags of one value column, and counts what they did."""

    def __init__(
        self, table: Table, column: Column, parameter: str, words: Words, log: Log
    ) -> None:
        self._table, self._column = table, column
        self._parameter, self._log = parameter, log
        spelt = {
            tidy(spelling): word
            for word, spellings in words.reference.vocabulary["flag"].items()
            for spelling in (word, *spellings)
        }
        own = {tidy(str(flag)): word for flag, word in table.flags.items()}
        self._words = spelt | own
        self._unknown: dict[str, None] = {}
        self._seen: dict[str, frozenset[str]] = {}
        self._below: list[int] = []
        self._suspect: list[int] = []

    def _meaning(self, text: str) -> frozenset[str]:
        found = self._seen.get(text)
        if found is None:
            words = set()
            whole = self._words.get(tidy(text))
            for flag in [text] if whole else _FLAG.findall(text[:200]):
                word = self._words.get(tidy(flag))
                if word:
                    words.add(word)
                else:
                    self._unknown[flag] = None
            found = self._seen[text] = frozenset(words)
        return found

    def applied(
        self, number: int, row: Row, parsed: Parsed | Fault | None
    ) -> Parsed | Fault | None:
        """Return what the cell says once its flag is heeded."""
        flag = row[self._column.index]
        if blank(flag):
            return parsed
        meaning = self._meaning(id_text(flag) if not isinstance(flag, str) else flag)
        if "missing" in meaning:
            if parsed is None:
                return None
            facts = (("flag", shown(flag).strip()),)
            return Fault(problems.FLAG_MISSING, facts)
        if "below" in meaning:
            if parsed is None:
                unit = self._table.columns[self._column.of].unit
                written = shown(flag).strip()[:60]
                return Parsed("none seen", 0.0, None, unit, written)
            if isinstance(parsed, Parsed) and parsed.form == "value":
                self._below.append(number)
                if parsed.number > 0:
                    return parsed._replace(form="below")
                return parsed._replace(form="none seen", number=0.0)
        if "above" in meaning and isinstance(parsed, Parsed) and parsed.form == "value":
            return parsed._replace(form="above")
        if "suspect" in meaning and isinstance(parsed, Parsed):
            self._suspect.append(number)
        return parsed

    def tell(self) -> None:
        """Report, once a column, what the flags did."""
        value = self._table.columns[self._column.of]
        for rows, kind in (
            (self._below, problems.FLAG_LIMIT),
            (self._suspect, problems.FLAG_SUSPECT),
        ):
            if rows:
                cells = [self._table.sheet.at(row, value.index) for row in rows]
                listed = ", ".join(cell.cell for cell in cells[:3])
                listed += ", ..." if len(cells) > 3 else ""
                count = "1 value" if len(rows) == 1 else f"{len(rows)} values"
                facts = {"parameter": self._parameter, "cells": listed}
                self._log.at(kind, cells[0], count=count, **facts)
        if self._unknown:
            where = self._table.sheet.at(self._table.header[-1], self._column.index)
            flags = ", ".join(f"'{flag}'" for flag in list(self._unknown)[:8])
            self._log.at(problems.FLAG_UNKNOWN, where, flags, parameter=self._parameter)
