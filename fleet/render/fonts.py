"""The bundled fonts: loaded once, what they can draw, how wide a text is.

DejaVu Sans Condensed covers Latin, Greek, Cyrillic and the signs a sheet needs
(₃ ₄ µ ° ≤ →). Its lower-case letters are as tall at 11 pt as Helvetica's at 11.5.
"""

from __future__ import annotations

import unicodedata
from functools import cache
from importlib.resources import as_file, files
from typing import Any

from fleet.render.safe import clean

# Stands for every character that cannot be drawn, so that none goes missing unseen.
FALLBACK = "\N{REPLACEMENT CHARACTER}"

# Drawn one after another from left to right these would be wrong, not merely plain:
# right-to-left scripts, and scripts whose letters join or change places.
_UNSHAPED = frozenset(("R", "AL", "AN"))
_HIGHEST = 0xFFFF  # the PDF library's character tables end here


class Face:
    """One weight of the bundled font."""

    def __init__(self, name: str) -> None:
        from reportlab.pdfbase.pdfmetrics import registerFont
        from reportlab.pdfbase.ttfonts import TTFont

        self.name = name
        with as_file(files("fleet") / "data" / "fonts" / f"{name}.ttf") as path:
            # The codes of ASCII letters are the letters, whoever runs the library.
            self.ttf: Any = TTFont(name, str(path), asciiReadable=1)
        registerFont(self.ttf)
        self._glyphs = self.ttf.face.charToGlyph
        self._widths = self.ttf.face.charWidths

    def drawable(self, text: str) -> str:
        """Return ``text`` with a mark for each character that cannot be drawn."""
        if text.isascii() and text.isprintable():
            return text
        composed = unicodedata.normalize("NFC", clean(text))
        return "".join(map(self._drawn, composed))

    def _drawn(self, character: str) -> str:
        if character.isascii():
            return character
        if self._holds(character):
            return character
        # A full-width letter or a unit sign has a plainer form that may be held.
        plainer = unicodedata.normalize("NFKC", character)
        if plainer != character and all(map(self._holds, plainer)):
            return plainer
        # Joiners and variation selectors have no shape of their own.
        if unicodedata.category(character) == "Cf" or "\ufe00" <= character <= "\ufe0f":
            return ""
        return FALLBACK

    def _holds(self, character: str) -> bool:
        code = ord(character)
        if code not in self._glyphs or code > _HIGHEST:
            return False
        return unicodedata.bidirectional(character) not in _UNSHAPED

    def width(self, text: str) -> float:
        """Return how wide drawable ``text`` is at a size of 1."""
        wide, missing = self._widths.get, self.ttf.face.defaultWidth
        units: float = sum([wide(ord(char), missing) for char in text])
        return units / 1000


@cache
def load_faces() -> tuple[Face, Face]:
    """Return the regular and the bold face, read once a process."""
    return Face("DejaVuSansCondensed"), Face("DejaVuSansCondensed-Bold")
