"""A word of a PDF page: measured, coded in its fonts, and shown in a line."""

from __future__ import annotations

from itertools import groupby
from operator import attrgetter
from typing import NamedTuple

Piece = tuple[str, float, float, str]  # font, share of size, rise, escaped bytes

_FONT = attrgetter("font")


class Word(NamedTuple):
    """What is never broken at the end of a line, ready to be drawn."""

    width: float  # at size 1
    pieces: tuple[Piece, ...]
    text: str
    bold: bool = False  # at its end
    font: str = ""  # of all of it, where it is as large and high as its line
    coded: str = ""  # all of it, where it has a font
    unit: bool = False  # never parted from a number before it


Line = tuple[Word, ...]

BREAK = Word(0.0, (), "\n")


def joined(*words: Word) -> Word:
    """Return words that touch each other as one."""
    alike = len({word.font for word in words}) == 1
    return Word(
        sum([word.width for word in words]),
        tuple([piece for word in words for piece in word.pieces]),
        "".join([word.text for word in words]),
        words[-1].bold,
        words[0].font if alike else "",
        "".join([word.coded for word in words]) if alike else "",
    )


def shown(line: Line, size: float) -> str:
    """Return the operators that show ``line``, to stand inside ``BT .. ET``."""
    runs: list[str] = []
    for font, words in groupby(line, _FONT):
        if not font:
            return _in_pieces(line, size)
        coded = " ".join([word.coded for word in words])
        runs.append(f"{font} {size:.4g} Tf({coded}")
    return " )Tj ".join(runs) + ")Tj" if runs else ""


def _in_pieces(line: Line, size: float) -> str:
    parts: list[str] = []
    font: tuple[str, float, float] | None = None
    for number, word in enumerate(line):
        if number and font is not None:
            parts.append(" ")
        for name, share, rise, coded in word.pieces:
            wanted = (name, share, rise)
            if wanted != font:
                if font is not None:
                    parts.append(")Tj ")
                if rise or (font is not None and font[2]):
                    parts.append(f"{rise * size:.1f} Ts ")
                parts.append(f"{name} {share * size:.4g} Tf(")
                font = wanted
            parts.append(coded)
    if font is None:
        return ""
    parts.append(")Tj")
    if font[2]:
        parts.append(" 0 Ts")
    return "".join(parts)
