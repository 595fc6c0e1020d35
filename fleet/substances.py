"""Which salt a text means: for the log, the shelf and the command line alike."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator, Sequence

from fleet.reference import Reference

_LONGEST = 200  # characters looked at; a cell may hold a megabyte
_SHORT = 3  # letters; a name as short as that may mean something else: tsp, a spoon


class SaltNames:
    """Looks salts up by name or formula; make one for a run."""

    def __init__(self, reference: Reference) -> None:
        self._spelt: dict[str, str] = {}
        self._most = 1  # words that a spelling takes, at most
        for key, salt in reference.salts.items():
            for spelling in (key, salt.formula, *salt.spellings):
                words = _words(spelling)
                self._spelt.setdefault("".join(words), key)
                self._most = max(self._most, len(words))
        self._beside = reference.vocabulary["beside-short-name"]["any"]
        self._known: dict[str, str] = {}

    def of(self, text: str) -> str:
        """Return the key of the salt that ``text`` names, "" for none.

        The name may stand among other words, but as words of its own. A short one
        stands first, with nothing beside it but a strength or the word "stock". Where
        two salts are named it is neither, save where one is a hydrate of the other.
        """
        found = self._known.get(text)
        if found is None:
            found = self._known[text] = self._found(_words(text[:_LONGEST]))
        return found

    def _found(self, words: Sequence[str]) -> str:
        whole = self._spelt.get("".join(words), "")
        if whole:
            return whole
        named = set(self._named(words))
        longest = max(named, key=len, default="")
        return longest if all(longest.startswith(key) for key in named) else ""

    def _named(self, words: Sequence[str]) -> Iterator[str]:
        """Yield the salts named, at each word by the longest name that begins there."""
        at = 0
        while at < len(words):
            for end in range(min(at + self._most, len(words)), at, -1):
                name = "".join(words[at:end])
                key = self._spelt.get(name, "")
                if key and (len(name) > _SHORT or self._stands_alone(words, at)):
                    yield key
                    at = end
                    break
            else:
                at += 1

    def _stands_alone(self, words: Sequence[str], at: int) -> bool:
        return at == 0 and all(
            word[0].isdigit() or word in self._beside for word in words[1:]
        )


def _words(text: str) -> list[str]:
    """Return the runs of letters and digits; sub- and superscripts as plain digits."""
    flat = unicodedata.normalize("NFKD", text).casefold()
    kept = (c if c.isalnum() else " " for c in flat if not unicodedata.combining(c))
    return "".join(kept).split()
