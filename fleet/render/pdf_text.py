"""Words for a PDF page: wording markup or foreign text to words, words to lines.

Text becomes PDF operators here, once a word and not once a page. Nothing is read
as markup but the five tags that ``Wording`` lets through, whatever a name holds.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from html import unescape
from typing import Any

from fleet.render.fonts import FALLBACK, Face, load_faces
from fleet.render.pdf_word import BREAK, Line, Word, joined, shown

__all__ = ["BREAK", "Line", "Typesetter", "Word"]

_TAG = re.compile(r"(</?(?:b|i|sub)>|<br/>)")
# A unit is never parted from its number at the end of a line: "12.5" alone misleads.
_UNITS = frozenset(
    ("g", "mg", "kg", "mL", "L", "mg/L", "g/L", "µg/L", "meq/L", "dKH", "PSU")
    + ("°C", "°F", "%", "US", "gal", "day", "days", "h")
)
_ESCAPES = str.maketrans({sign: f"\\{ord(sign):03o}" for sign in "()\\"})
_ESCAPED = tuple(
    chr(byte).translate(_ESCAPES) if 32 <= byte < 127 else f"\\{byte:03o}"
    for byte in range(256)
)
_SUB_SIZE, _SUB_RISE = 0.7, -0.15
_MOST_WORDS = 50_000  # kept ready; a year of sheets needs far fewer
_MOST_SAID = 2_000  # sentences kept ready: a caution comes on many sheets
_SHORT = 40  # letters of a text that is likely to come again


class Typesetter:
    """The words of one document, in two weights."""

    def __init__(self, document: Any) -> None:
        # reportlab splits a text by document into bytes of 256-letter subsets.
        self._document = document
        self._faces = load_faces()
        for face in self._faces:
            face.ttf.splitString("", document)  # begins its subsets with all of ASCII
        # By weight, then by lowered or not: a word comes again on every page.
        self._words: tuple[dict[str, Word], ...] = ({}, {}, {}, {})
        self._said: dict[str, Line] = {}
        self._lines: dict[tuple[str, bool], Line] = {}
        self._shown: dict[tuple[str, float, bool], str] = {}
        self._wide: dict[tuple[str, bool], float] = {}
        self.spaces = tuple(face.width(" ") for face in self._faces)
        self.fell_back = False  # a character could not be drawn since last asked

    # -- text to words

    def word(self, text: str, bold: bool = False, sub: bool = False) -> Word:
        """Return one word; what the font lacks is replaced by a mark."""
        known = self._words[bold + 2 * sub]
        word = known.get(text)
        if word is None:
            word = self._make(text, bold, sub)
            if FALLBACK in word.text:
                self.fell_back = True  # not kept, so that each use is noticed
                return word
            if len(known) > _MOST_WORDS:
                known.clear()
            known[text] = word
        return word

    def _make(self, text: str, bold: bool, sub: bool) -> Word:
        face = self._faces[bold]
        drawn = face.drawable(text)
        share, rise = (_SUB_SIZE, _SUB_RISE) if sub else (1.0, 0.0)
        pieces = [
            (font, share, rise, coded) for font, coded in self._coded(face, drawn)
        ]
        plain = len(pieces) == 1 and not sub
        font, shown = (pieces[0][0], pieces[0][3]) if plain else ("", "")
        unit = text.rstrip(".,;:)") in _UNITS
        wide = face.width(drawn) * share
        return Word(wide, tuple(pieces), drawn, bold, font, shown, unit)

    def _coded(self, face: Face, drawn: str) -> list[tuple[str, str]]:
        """Return the fonts that draw a text, each with its part as escaped bytes."""
        ttf, document = face.ttf, self._document
        if drawn and drawn.isascii() and drawn.isprintable():
            return [(ttf.getSubsetInternalName(0, document), drawn.translate(_ESCAPES))]
        return [
            (
                ttf.getSubsetInternalName(subset, document),
                "".join([_ESCAPED[byte] for byte in coded]),
            )
            for subset, coded in ttf.splitString(drawn, document)
        ]

    def words(self, markup: str) -> Line:
        """Return the words of wording markup (``<b> <i> <br/> <sub>``)."""
        line = self._said.get(markup)
        if line is None:
            line = self._parsed(markup)
            if not any(FALLBACK in word.text for word in line):
                if len(self._said) > _MOST_SAID:
                    self._said.clear()
                self._said[markup] = line
        return line

    def _parsed(self, markup: str) -> Line:
        bold = sub = False
        line: list[Word] = []
        touching = False  # no space since the last word
        for token in _TAG.split(markup):
            if token == "<br/>":
                line.append(BREAK)
                touching = False
            elif token in ("<b>", "</b>"):
                bold = token == "<b>"
            elif token in ("<sub>", "</sub>"):
                sub = token == "<sub>"
            elif token and token not in ("<i>", "</i>"):  # upright reads better
                text = unescape(token) if "&" in token else token
                touching = self._add(line, text, bold, sub, touching)
        return tuple(line)

    def raw(self, text: str, bold: bool = False) -> Line:
        """Return the words of foreign text, in which nothing is markup."""
        key = text, bold
        line = self._lines.get(key)
        if line is None:
            words: list[Word] = []
            self._add(words, text, bold, False, False)
            line = tuple(words)
            # A text with a mark in it is set anew, so that the mark is noticed.
            if len(text) <= _SHORT and not any(FALLBACK in w.text for w in line):
                if len(self._lines) > _MOST_WORDS:
                    self._lines.clear()
                    self._wide.clear()
                self._lines[key] = line
        return line

    def _add(
        self, line: list[Word], text: str, bold: bool, sub: bool, touching: bool
    ) -> bool:
        """Add the words of ``text``; return whether the next one touches them."""
        parts = text.split()
        if not parts:
            return touching and not text
        get = self._words[bold + 2 * sub].get
        words = [get(part) or self.word(part, bold, sub) for part in parts]
        if touching and not text[0].isspace():
            line[-1] = joined(line[-1], words.pop(0))
        for word in words:
            if word.unit and line and line[-1].text[-1:].isdigit():
                line[-1] = joined(line[-1], self.word("\u00a0", bold), word)
            else:
                line.append(word)
        return not text[-1].isspace()

    # -- words to lines

    def wrap(self, words: Iterable[Word], width: float, size: float) -> list[Line]:
        """Return the lines that ``words`` fill; a word too long is broken."""
        most, spaces = width / size, self.spaces
        lines: list[Line] = []
        line: list[Word] = []
        used = gap = 0.0  # of the line, and to its next word
        for word in words:
            room = used + gap + word.width
            if room <= most and word is not BREAK:
                line.append(word)
                used, gap = room, spaces[word.bold]
                continue
            if line:
                lines.append(tuple(line))
            line, used, gap = [], 0.0, 0.0
            if word is BREAK:
                continue
            if word.width > most:
                *whole, word = self._broken(word, most)
                lines += [(part,) for part in whole]
            line.append(word)
            used, gap = word.width, spaces[word.bold]
        if line:
            lines.append(tuple(line))
        return lines

    def _broken(self, word: Word, most: float) -> Iterable[Word]:
        face = self._faces[word.bold]
        part, used = "", 0.0
        for character in word.text:
            wide = face.width(character)
            if part and used + wide > most:
                yield self._make(part, word.bold, False)
                part, used = "", 0.0
            part += character
            used += wide
        yield self._make(part, word.bold, False)

    def width(self, line: Line) -> float:
        """Return how wide ``line`` is at a size of 1."""
        if len(line) == 1:
            return line[0].width
        spaces = self.spaces
        return sum([word.width + spaces[word.bold] for word in line[:-1]]) + (
            line[-1].width if line else 0.0
        )

    def fit(
        self, line: Line, width: float, size: float, least: float
    ) -> tuple[Line, float]:
        """Return ``line`` and its size, made smaller and at last cut, to fit."""
        wide = self.width(line)
        if wide * size <= width:
            return line, size
        size = max(least, 0.999 * width / wide)
        return self.cut(line, width, size), size

    def cut(self, line: Line, width: float, size: float) -> Line:
        """Return ``line`` shortened, with a mark, to what fits in ``width``."""
        if not line or self.width(line) * size <= width:
            return line
        bold = line[0].bold
        face = self._faces[bold]
        text = " ".join(word.text for word in line)
        left = width / size - face.width("…")
        kept = 0
        for character in text:
            left -= face.width(character)
            if left < 0:
                break
            kept += 1
        return self.raw(text[:kept].rstrip() + "…", bold)

    # -- lines to operators

    def label(self, text: str, size: float, bold: bool = False) -> str:
        """Return the operators of a text that is likely to come again."""
        key = text, size, bold
        operators = self._shown.get(key)
        if operators is None:
            operators = shown(self.raw(text, bold), size)
            if (text, bold) in self._lines:
                if len(self._shown) > _MOST_WORDS:
                    self._shown.clear()
                self._shown[key] = operators
        return operators

    def label_width(self, text: str, bold: bool = False) -> float:
        """Return how wide such a text is at a size of 1."""
        key = text, bold
        wide = self._wide.get(key)
        if wide is None:
            wide = self.width(self.raw(text, bold))
            if key in self._lines:
                self._wide[key] = wide
        return wide
