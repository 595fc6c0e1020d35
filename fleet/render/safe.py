"""Foreign text made safe for each place it is written to.

A name, a note or a file name may hold anything. It is always cut first and
cleaned second (a shared string of a megabyte costs nothing that way), and it
reaches an output only through the function here that is named after it.
"""

from __future__ import annotations

import hashlib
import re
import unicodedata
from html import escape

from markupsafe import Markup

LONGEST = 2000  # characters of one text in any output
LONGEST_NAME = 60  # of a file name, before its tail
SHEET_LIMIT = 32_767  # characters a spreadsheet cell can hold

_SPACES = re.compile(r"[\t\n\r\v\f\x1c-\x1f\x85\u2028\u2029]")
# C0 and C1 controls, bidirectional embeddings and overrides, invisible characters
# (not the joiners that scripts and emoji need), and invisible tags.
_STEERING = re.compile(
    r"[\x00-\x1f\x7f-\x9f\xad\u200b\u202a-\u202e\u2060-\u2064\u2066-\u2069"
    r"\ufeff\U000e0000-\U000e007f]"
)
_BROKEN = re.compile(r"[\ud800-\udfff\ufffe\uffff]")  # half a pair; no character


def clean(text: str, limit: int = LONGEST) -> str:
    """Return ``text`` on one line, without characters that steer or hide.

    Control characters, bidirectional overrides, invisible characters and halves
    of surrogate pairs go; line ends and tabs become spaces. Text for a PDF's
    ``drawString`` and for tooltips needs no more than this.
    """
    if len(text) > limit:
        text = text[: limit - 1] + "…"
    if text.isprintable():
        return text
    text = _STEERING.sub("", _SPACES.sub(" ", text))
    return _BROKEN.sub("\ufffd", text)


def for_html(text: str) -> Markup:
    """Return ``text`` for an HTML element or a quoted attribute."""
    return Markup(escape(clean(text)))


_NOT_OURS = re.compile(r"<(?!/?(?:b|i|sub)>|br/>)")


def said(markup: str) -> Markup:
    """Return markup of ``Wording.markup`` for HTML.

    The wording has escaped the foreign text in it already; here it is cleaned,
    and any tag but the few that wording may use is shown instead of obeyed.
    """
    return Markup(_NOT_OURS.sub("&lt;", clean(markup, limit=len(markup))))


def for_sheet(text: str) -> str:
    """Return ``text`` for a workbook cell; its type must still be set to text."""
    return clean(text, SHEET_LIMIT)


# What a spreadsheet takes for the start of a formula (OWASP, CSV Injection), half
# and full width. A program that splits at ';' sees a new cell after each of those.
_FORMULA = re.compile(r"((?:^|;)[\s\"']*)(?=[=+\-@＝＋－＠])")


def for_csv(text: str) -> str:
    """Return ``text`` for a CSV cell that no spreadsheet takes for a formula.

    Only for text: a number is written as a number, so that ``-1.5`` stays one.
    """
    return _FORMULA.sub(r"\1'", clean(text))


def for_terminal(text: str, limit: int = 200) -> str:
    r"""Return ``text`` for a terminal; what steers it is shown as ``\x1b``."""
    if len(text) > limit:
        text = text[: limit - 1] + "…"
    if text.isprintable():
        return text
    return "".join(_shown(character) for character in text)


def _shown(character: str) -> str:
    if character.isprintable() or character == "\u00a0":
        return character
    code = ord(character)
    if code < 0x100:
        return f"\\x{code:02x}"
    return f"\\u{code:04x}" if code < 0x10000 else f"\\U{code:08x}"


def for_calendar(text: str) -> str:
    """Return ``text`` for a calendar property; the library does the escaping."""
    return clean(text)


# Names that one system or another keeps for itself, with any extension.
_RESERVED = re.compile(r"(?i)con|prn|aux|nul|com\d|lpt\d")


def for_file_name(text: str, taken: set[str]) -> str:
    """Return a file name (no extension) for ``text``, unlike all in ``taken``.

    Letters, digits, ``-`` and ``_`` stay. Whatever had to change, or would meet
    another name, gets six digits of the text's own SHA-256, so that two tanks
    never share a file. The name is added to ``taken``, casefolded.
    """
    composed = unicodedata.normalize("NFKC", clean(text))
    name = re.sub(r"[^\w-]+", "-", composed).strip("-_")
    while len(name.encode()) > LONGEST_NAME:
        name = name[:-1]
    changed = name != text or bool(_RESERVED.fullmatch(name))
    if not name or changed or name.casefold() in taken:
        digest = hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()
        stem, size = name or "tank", 6
        name = f"{stem}-{digest[:size]}"
        while name.casefold() in taken and size < len(digest):
            size += 1
            name = f"{stem}-{digest[:size]}"
    taken.add(name.casefold())
    return name
