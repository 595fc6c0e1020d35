"""Walks the cells of a worksheet's XML with a parser: any writer's, but slowly."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import NamedTuple
from xml.parsers import expat

_REFERENCE = re.compile(r"([A-Za-z]+)(\d+)$")


class Cell(NamedTuple):
    """One cell as the walk meets it; row and column count from 0."""

    row: int
    column: int
    kind: str  # the t attribute
    style: int
    formula: bool
    text: str  # of <v>, "" if none
    filled: bool
    start: int
    end: int


def place(letters: bytes, number: bytes) -> tuple[int, int]:
    """Return row and column, from 0, of a reference such as ``D14``."""
    column = 0
    for letter in letters:
        column = column * 26 + letter - 64
    return int(number) - 1, column - 1


def walk(xml: bytes, visit: Callable[[Cell], None]) -> None:
    """Call ``visit`` with every cell of a worksheet, whatever writer made it.

    Raises
    ------
    xml.parsers.expat.ExpatError
        The XML is not well-formed.
    """
    _Walker(xml, visit)


class _Walker:
    """The three callbacks of the XML parser, and what they remember."""

    def __init__(self, xml: bytes, visit: Callable[[Cell], None]) -> None:
        self._xml = xml
        self._visit = visit
        self._row = self._column = -1
        self._attributes: dict[str, str] = {}
        self._text: list[str] = []
        self._formula = self._filled = self._in_value = False
        self._start = 0
        parser = expat.ParserCreate()
        parser.buffer_text = True
        parser.StartElementHandler = self._on_start
        parser.EndElementHandler = self._on_end
        parser.CharacterDataHandler = self._on_text
        self._parser = parser
        parser.Parse(xml, True)

    def _on_start(self, tag: str, attributes: dict[str, str]) -> None:
        local = tag.rpartition(":")[2]
        if local == "row":
            self._row = int(attributes.get("r", self._row + 2)) - 1
            self._column = -1
        elif local == "c":
            self._column += 1
            reference = _REFERENCE.match(attributes.get("r", ""))
            if reference:
                letters = reference[1].upper().encode()
                self._row, self._column = place(letters, reference[2].encode())
            self._attributes = attributes
            self._formula = self._filled = False
            self._text.clear()
            self._start = self._parser.CurrentByteIndex
        elif local == "v":
            self._in_value = self._filled = True
        elif local == "is":
            self._filled = True
        elif local == "f":
            self._formula = self._filled = True

    def _on_end(self, tag: str) -> None:
        local = tag.rpartition(":")[2]
        if local == "v":
            self._in_value = False
        elif local == "c":
            # At the end tag; of <c/> the parser still stands at its beginning.
            end = self._xml.index(b">", self._parser.CurrentByteIndex) + 1
            text, attributes = "".join(self._text), self._attributes
            kind, style = attributes.get("t", ""), int(attributes.get("s", 0))
            self._visit(
                Cell(
                    self._row,
                    self._column,
                    kind,
                    style,
                    self._formula,
                    text,
                    self._filled,
                    self._start,
                    end,
                )
            )

    def _on_text(self, data: str) -> None:
        if self._in_value:
            self._text.append(data)
