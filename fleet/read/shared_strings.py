"""The texts of an .xlsx workbook, each kept once, and how large they may grow.

A text of a megabyte takes no more room in the file when ten thousand cells show it;
written out for each cell it would fill the memory.
"""

from __future__ import annotations

import html
import re

LONGEST_TEXT = 4_000  # characters kept of one cell
MOST_TEXT = 100_000_000  # bytes of all cells' texts together, once written out
CUT_MARK = " [...]"
_SHORTEST_USE = len('<c t="s"><v>0</v></c>')  # bytes; no cell shows a text in fewer

STRINGS = "xl/sharedStrings.xml"
_PIECE = re.compile(rb"</(?:\w+:)?si>")
_PIECE_TEXT = re.compile(rb"<(?:\w+:)?t(?:\s[^>]*)?>([^<]*)<")
_STRING_CELL = re.compile(
    rb"\st\s*=\s*[\"']s[\"'][^<>]*>\s*(?:<(?:\w+:)?f[^<>]*>(?:[^<]*</[^<>]*>)?\s*)?"
    rb"<(?:\w+:)?v(?:\s[^<>]*)?>(\d+)<"
)


def shorten_strings(parts: dict[str, bytes], paths: list[str]) -> int:
    """Cut texts that are too long, or repeated too often for their length."""
    strings = parts.get(STRINGS, b"")
    pieces = _PIECE.split(strings)
    longest = max(map(len, pieces))
    most_uses = sum(len(parts.get(path, b"")) for path in paths) // _SHORTEST_USE
    if longest <= LONGEST_TEXT and longest * most_uses <= MOST_TEXT:
        return 0
    uses = sum(_uses(parts.get(path, b"")) for path in paths)
    room = LONGEST_TEXT
    if longest * uses > MOST_TEXT and _written_out(parts, paths, pieces) > MOST_TEXT:
        room = max(MOST_TEXT // max(uses, 1), 40)
    if longest <= room:
        return 0
    cut = 0
    for number, piece in enumerate(pieces):
        if len(piece) <= room:
            continue
        text = html.unescape(b"".join(_PIECE_TEXT.findall(piece)).decode("utf-8"))
        if len(text) <= room:
            continue
        start = re.search(rb"<(\w+:)?si[ >]", piece)
        if not start:
            continue
        prefix = start[1] or b""
        kept = html.escape(text[:room] + CUT_MARK, quote=False).encode("utf-8")
        pieces[number] = b"%s<%ssi><%st>%s</%st>" % (
            piece[: start.start()], prefix, prefix, kept, prefix,
        )  # fmt: skip
        cut += 1
    closing = re.search(_PIECE, strings)
    parts[STRINGS] = (closing[0] if closing else b"").join(pieces)
    return cut


def _uses(xml: bytes) -> int:
    """Return how many cells of a sheet show a shared text."""
    if b"t='s'" in xml or b"t =" in xml or b"t= " in xml:
        return len(_STRING_CELL.findall(xml))
    return xml.count(b't="s"')


def _written_out(parts: dict[str, bytes], paths: list[str], pieces: list[bytes]) -> int:
    sizes = [len(piece) for piece in pieces]
    return sum(
        sizes[int(index)]
        for path in paths
        for index in _STRING_CELL.findall(parts.get(path, b""))
        if int(index) < len(sizes)
    )
