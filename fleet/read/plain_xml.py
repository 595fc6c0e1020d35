"""Whether XML says its values so plainly that every reader reads the same.

XML allows more ways to write ``85`` than spreadsheet programs use: ``8&#53;``,
``8<!-- -->5``, ``<![CDATA[85]]>``. The fast reader takes some of them for 8 or for
nothing, and lets some damage pass, all without a word. A workbook that holds any of
these is not read at all.

Most cells are written in the plainest way there is. They are left out first, so that
all the looking is done in the little of a sheet that may hold anything else.
"""

from __future__ import annotations

import re
import sys
from operator import itemgetter
from typing import NamedTuple
from xml.parsers import expat

ODD = (
    "its cells are written in a way that no spreadsheet program uses and that may be "
    "read wrong. Open it in a spreadsheet program and save it again."
)

# A number, the number of a shared text or nothing, as all spreadsheet programs write
# it, in a cell of the row %b. Columns A to Z only: from AA on, their names are what
# tells how wide a sheet is.
_PLAIN_CELL = (
    rb'<c r="[A-Z]%b"(?: s="\d++")?+(?: ?/>|(?: t="s"><v>\d{1,9}+'
    rb'|(?: t="n")?+><v>-?+\d++(?:\.\d++)?+(?:E[+-]?+\d++)?+)</v></c>)'
)
_CELLS = re.compile(rb"(%b)(?:%b)++" % (_PLAIN_CELL % rb"(\d++)", _PLAIN_CELL % rb"\2"))
# Rows that say the same of themselves, such as their height, and are not hidden.
_ROWS = re.compile(
    rb'(<row r="\d++"((?![^<>]*hidden)[^<>]*+)>(?:%b)++</row>)'
    rb'(?:<row r="(\d++)"\2>(?:%b)++</row>)++'
    % (_PLAIN_CELL % rb"\d++", _PLAIN_CELL % rb"\3")
)

# What follows is searched only in XML that `outline` has found whole and free of
# comments, so that "<" always starts a tag.
_V = rb"<(?:\w+:)?v(?:\s[^<>]*)?>"
_F = rb"(?:<(?:\w+:)?f(?:\s[^<>]*)?(?:/>|>[^<]*</(?:\w+:)?f>)\s*)?"
_BROKEN = re.compile(_V + rb"[^<]*<(?!/)")
_BROKEN_USUAL = re.compile(rb"<v[ >][^<]*<(?!/)")
_REFERENCE = re.compile(_V + rb"[^<]*&#")
# A cell of a shared text holds the number of the text; out of anything else the fast
# reader makes the first text there is.
_NO_NUMBER = re.compile(
    rb"\st\s*=\s*[\"']s[\"'][^<>]*>\s*" + _F + _V + rb"(?!\d{1,9}<|</)"
)
_NO_NUMBER_USUAL = re.compile(rb't="s"><v>(?!\d{1,9}<|</)')
_CELL = re.compile(rb"<(?:\w+:)?c\s[^<>]*>")
_OF_TEXT = re.compile(rb"\st\s*=\s*[\"'](?:str|inlineStr)[\"']")


def thinned(xml: bytes) -> bytes:
    """Return a worksheet with the first only of plain rows and cells that follow.

    It is whole and plain where ``xml`` is, and the other way round, for whole elements
    are left out where a like one stays. Rows and styles are not all there: they have
    to be looked for in ``xml``.
    """
    if sys.version_info < (3, 11, 5):
        return xml  # a possessive group there ends within what it has not matched
    first = itemgetter(1)
    return _CELLS.sub(first, _ROWS.sub(first, xml))


class Outline(NamedTuple):
    """What one pass of a parser says of XML."""

    whole: bool  # well-formed to its end
    plain: bool  # without comment, CDATA or instruction


def outline(xml: bytes) -> Outline:
    """Return whether XML is whole and plain."""
    odd: list[object] = []
    parser = expat.ParserCreate()
    # Only what must not be there calls back: the pass takes 8 ms for a megabyte.
    parser.CommentHandler = odd.append
    parser.StartCdataSectionHandler = lambda: odd.append(None)
    parser.ProcessingInstructionHandler = lambda *_: odd.append(None)
    try:
        parser.Parse(xml, True)
    except expat.ExpatError:
        return Outline(whole=False, plain=False)
    return Outline(whole=True, plain=not odd)


def has_plain_cells(xml: bytes) -> bool:
    """Say whether each value of a worksheet is one piece, and what its cell says.

    Parameters
    ----------
    xml
        Of a worksheet whose `outline` is plain; `thinned` will do.
    """
    prefixed = b":v>" in xml or b":v " in xml
    if (_BROKEN if prefixed else _BROKEN_USUAL).search(xml):
        return False
    shared, usual = xml.count(b't="s"'), xml.count(b't="s"><v>')
    others = b"t='s'" in xml or b"t =" in xml or b"t= " in xml
    full = prefixed or others or shared != usual
    if (_NO_NUMBER if full else _NO_NUMBER_USUAL).search(xml):
        return False
    if b"&#" not in xml:
        return True
    return all(_in_text(xml, found.start()) for found in _REFERENCE.finditer(xml))


def _in_text(xml: bytes, at: int) -> bool:
    """Say whether the cell around ``at`` is one of text: there a reference is read."""
    cells = _CELL.findall(xml, max(at - 10_000, 0), at)
    return bool(cells) and bool(_OF_TEXT.search(cells[-1]))
