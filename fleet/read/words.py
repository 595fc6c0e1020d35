"""The word lists of parameters.toml, ready for looking up what people write."""

from __future__ import annotations

import re
from collections.abc import Iterable

from fleet.reference import Reference
from fleet.spelling import LONGEST_WORD, fold, tidy


class Words:
    """Looks words up in the closed lists of ``parameters.toml``."""

    def __init__(self, reference: Reference) -> None:
        self.reference = reference
        self._lists: dict[str, dict[str, str]] = {}
        self._comparisons: list[tuple[str, str]] = []
        self._phrases: dict[str, list[tuple[tuple[str, ...], str]]] = {}
        self._named: dict[tuple[str, str], str] = {}
        denial = reference.vocabulary["denial"]
        self._denial = {place: frozenset(words) for place, words in denial.items()}

    def spellings(self, name: str) -> dict[str, str]:
        """Return every folded spelling of the list ``name`` with its word."""
        found = self._lists.get(name)
        if found is None:
            entries = self.reference.vocabulary[name]
            found = {fold(s): word for word, all_ in entries.items() for s in all_}
            found |= {fold(word): word for word in entries}
            found.pop("", None)
            self._lists[name] = found
        return found

    def comparisons(self) -> list[tuple[str, str]]:
        """Return what may stand before a number, the longest first, and its form."""
        if not self._comparisons:
            lists = self.reference.vocabulary["comparison"]
            pairs = [(word, form) for form, words in lists.items() for word in words]
            self._comparisons = sorted(pairs, key=lambda pair: -len(pair[0]))
        return self._comparisons

    def word(self, name: str, text: str) -> str | None:
        """Return the word of the list ``name`` that ``text`` spells, or None."""
        return self.spellings(name).get(fold(text))

    def accepted(self, name: str) -> str:
        """Return the words of the list ``name``, for a message."""
        return ", ".join(self.reference.vocabulary[name])

    def named(self, name: str, text: str) -> str:
        """Return the word of the list ``name`` that ``text`` spells or holds, or "".

        A denied one counts too: "carbon, none left" names carbon.
        """
        key = name, text
        found = self._named.get(key)
        if found is None:
            first = next((word for word, _ in self._matches(name, text)), "")
            found = self._named[key] = self.word(name, text) or first
        return found

    def words_in(self, name: str, text: str) -> tuple[str, ...]:
        """Return the words of the list ``name`` found in a longer remark, in order.

        The longest spelling wins; what is denied (``no brown film``, ``brown film:
        none``) does not count, and neither do words too general to be picked out of a
        sentence.
        """
        found = self._matches(name, text)
        return tuple(dict.fromkeys(word for word, denied in found if not denied))

    def strange(self, name: str, text: str) -> tuple[str, ...]:
        """Return the short entries of a list that no word of ``name`` is in."""
        return tuple(
            entry
            for entry in split_list(text)
            if fold(entry)
            and len(entry.split()) <= SHORT_ENTRY
            and not self.word("result", text)
            and not self.word(name, entry)
            and not self._matches(name, entry)
            and not {fold(t) for t in entry.split()} & self._denial["before"]
        )

    def _matches(self, name: str, text: str) -> list[tuple[str, bool]]:
        """Return the words found in a text, and whether each is denied."""
        tokens = [fold(t) for t in re.split(r"[^\w'’]+", tidy(text)) if fold(t)]
        found: list[tuple[str, bool]] = []
        at = 0
        while at < len(tokens):
            for phrase, word in self._phrases_of(name):
                if tuple(tokens[at : at + len(phrase)]) == phrase:
                    end = at + len(phrase)
                    found.append((word, self._denied(tokens, at, end)))
                    at = end
                    break
            else:
                at += 1
        return found

    def _denied(self, tokens: list[str], start: int, end: int) -> bool:
        """Say whether what stands from ``start`` to ``end`` is said not to be there."""
        words = self._denial
        before = start - 1
        while before >= 0 and tokens[before] in words["between"]:
            before -= 1
        if before >= 0 and tokens[before] in words["before"]:
            return True
        while end < len(tokens) and tokens[end] in words["link"]:
            end += 1
        behind = tokens[end] if end < len(tokens) else ""
        after = tokens[end + 1] if end + 1 < len(tokens) else ""
        if behind == "no":
            return not after or after in words["after no"]
        never = behind == "not" and after in words["after not"]
        return never or behind in words["behind"]

    def _phrases_of(self, name: str) -> list[tuple[tuple[str, ...], str]]:
        phrases = self._phrases.get(name)
        if phrases is None:
            general = self.reference.vocabulary["whole-entry"].get(name, ())
            phrases = [
                (tuple(fold(part) for part in spelling.split()), word)
                for word, spellings in self.reference.vocabulary[name].items()
                for spelling in (word, *spellings)
                if spelling not in general
            ]
            phrases.sort(key=lambda entry: -len(entry[0]))
            self._phrases[name] = phrases
        return phrases

    def items(self, name: str, text: str) -> tuple[tuple[str, ...], tuple[str, ...]]:
        """Return the words of a list with commas, and the entries not known."""
        known: list[str] = []
        unknown: list[str] = []
        for entry in split_list(text):
            word = self.word(name, entry)
            found = (word,) if word else self.words_in(name, entry)
            known.extend(found)
            if not found:
                unknown.append(entry)
        return tuple(dict.fromkeys(known)), tuple(unknown)

    def near(self, name: str, text: str) -> list[str]:
        """Return the words of the list ``name`` that ``text`` may misspell."""
        from difflib import get_close_matches

        spellings = self.spellings(name)
        written = fold(text[:LONGEST_WORD])
        found = get_close_matches(written, spellings, n=3, cutoff=_MISSPELT)
        return list(dict.fromkeys(spellings[spelling] for spelling in found))


_MISSPELT = 0.8  # of difflib's likeness: a letter or two lost, added or swapped
SHORT_ENTRY = 3  # words; a longer entry is a remark, not meant as a word of a list


def split_list(text: str) -> list[str]:
    """Return the entries of a list written with commas, semicolons or lines."""
    return [part for part in (p.strip() for p in re.split(r"[,;/\n|+]", text)) if part]


def nearest(text: str, known: Iterable[str]) -> str:
    """Return advice that names what ``text`` may have meant."""
    from difflib import get_close_matches

    names = list(known)
    near = get_close_matches(text[:LONGEST_WORD], names, n=3, cutoff=0.6)
    if near:
        return "Did you mean " + " or ".join(f"'{name}'" for name in near) + "?"
    return ""
