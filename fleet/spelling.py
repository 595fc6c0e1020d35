"""What written words are compared by: no case, spaces, accents or Unicode form."""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache

LONGEST_WORD = 200  # characters looked at; a cell may hold a megabyte
_TO_U = str.maketrans({"μ": "u", "µ": "u"})
_PER_LITRE = re.compile(r"l\s*[-−⁻]\s*[1¹]")
_ZERO_WIDTH = {"Cf", "Cc", "Cs", "Co"}


@lru_cache(maxsize=8192)
def fold(text: str) -> str:
    """Return ``text`` without case, spaces, punctuation and accents.

    ``%``, ``‰`` and ``±`` are kept, for they carry the meaning of a header.
    """
    flat = unicodedata.normalize("NFKD", text[:LONGEST_WORD]).casefold()
    flat = _PER_LITRE.sub("l", flat.translate(_TO_U))
    return "".join(c for c in flat if c.isalnum() or c in "%‰±")


@lru_cache(maxsize=8192)
def tidy(text: str) -> str:
    """Return ``text`` in one Unicode form, small letters, with single spaces."""
    flat = unicodedata.normalize("NFKC", text.strip()[:LONGEST_WORD]).casefold()
    return " ".join(visible(flat).split())


def too_long(text: str) -> bool:
    """Say whether ``text`` goes on behind what is looked at, so that it may mislead."""
    return len(text) > LONGEST_WORD and len(text.strip()) > LONGEST_WORD


def visible(text: str) -> str:
    """Return ``text`` without characters that take no room, such as U+200B."""
    if text.isascii() and text.isprintable():
        return text
    return "".join(
        c for c in text if c in "\n\t" or unicodedata.category(c) not in _ZERO_WIDTH
    )


@lru_cache(maxsize=65536)
def tank_key(text: str) -> str:
    """Return what tank ids are compared by: NFKC, no case, no outer spaces."""
    return tidy(text)
