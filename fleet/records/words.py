"""The public words, sentences to be said, and where in the input things stand."""

from __future__ import annotations

from typing import Literal, NamedTuple

# ---------------------------------------------------------------- public words

Attention = Literal["today", "this week", "watch", "steady"]
VerdictWord = Literal["under", "within", "over", "cannot tell", "not judged"]
StageName = Literal["cycling", "just cycled", "ugly phase", "settling", "mature"]
ActionKind = Literal[
    "dose", "water change", "retest", "take out", "hold off", "add life", "seed",
    "feed", "wait", "check", "welfare", "log",
]  # fmt: skip

# Saltwater as the tank holds it, or water that moves its salinity down or up.
NewWater = Literal["like the tank", "purified", "stronger"]

ATTENTION_ORDER: tuple[Attention, ...] = ("today", "this week", "watch", "steady")
STAGE_ORDER: tuple[StageName, ...] = (
    "cycling", "just cycled", "ugly phase", "settling", "mature",
)  # fmt: skip


# ------------------------------------------------------------------- addresses


class CellAddress(NamedTuple):
    """Where in the input something stands; row and column count from 1."""

    file: str
    sheet: str
    row: int
    column: int

    @property
    def cell(self) -> str:
        """The address as a spreadsheet writes it, such as ``D14``."""
        letters, rest = "", self.column
        while rest > 0:
            rest, digit = divmod(rest - 1, 26)
            letters = chr(65 + digit) + letters
        return f"{letters}{self.row}" if self.row else letters


class Sentence(NamedTuple):
    """Words to be said: a macro in ``templates/`` and what to fill in.

    ``key`` is ``file.macro-name``, as in ``causes.rock-uptake``. Only
    ``render/wording.py`` turns it into text, so no sentence sits in code.
    """

    key: str
    facts: tuple[tuple[str, object], ...] = ()


def say(key: str, **facts: object) -> Sentence:
    """Return the sentence ``key`` with its facts (hashable values only)."""
    return Sentence(key, tuple(facts.items()))
