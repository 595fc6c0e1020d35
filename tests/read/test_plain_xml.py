"""Leaving out plain cells hides nothing that is looked for in a worksheet."""

import sys
from unittest.mock import patch

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fleet.read.number_formats import Shown
from fleet.read.plain_xml import has_plain_cells, outline, thinned
from fleet.read.sheet_xml import examine

FORMATS = {7: Shown("", " ppb")}
PLAIN = [
    '<c r="{c}{r}"><v>8.25</v></c>',
    '<c r="{c}{r}" s="3" t="n"><v>-4.1E-05</v></c>',
    '<c r="{c}{r}" t="s"><v>12</v></c>',
]
OTHERS = [
    '<c r="{c}{r}" s="3"/>',
    '<c r="{c}{r}" s="2" />',
    '<c r="{c}{r}" s="7"><v>40</v></c>',
    '<c r="{c}{r}" t="e"><v>#N/A</v></c>',
    '<c r="{c}{r}" t="b"><v>1</v></c>',
    '<c r="{c}{r}"><f>A1*2</f></c>',
    '<c r="{c}{r}"><f>A1*2</f><v>4</v></c>',
    '<c r="{c}{r}" t="s"><v>1.5</v></c>',
    '<c r="{c}{r}" t="s"><v></v></c>',
    '<c r="{c}{r}"><v>8&#53;</v></c>',
    '<c r="{c}{r}"><v>8<x/>5</v></c>',
    '<c r="{c}{r}" t="str"><v>&#233;</v></c>',
    '<c r="{c}{below}"><v>5</v></c>',
    '<c r="AB{r}"><v>5</v></c>',
    '<c r="XFD{r}"><v>5</v></c>',
    "<c><v>5</v></c>",
    '<x:c r="{c}{r}"><x:v>5</x:v></x:c>',
]
ROWS = ["", "", ' ht="15"', ' ht="15"', ' hidden="1"', ' ht="15" ht="15"']
SPOILED = ["<!-- -->", "<", ">", '"', "<c>", "</c>", "<v>", "<![CDATA[", "\0", "é", " "]


@st.composite
def sheets(draw):
    """Return the XML of a worksheet that may hold anything odd, or be broken."""
    rows = []
    for number in range(1, draw(st.integers(1, 6)) + 1):
        kinds = draw(st.lists(st.sampled_from(PLAIN * 6 + OTHERS), max_size=8))
        cells = "".join(
            kind.format(c=chr(65 + place), r=number, below=number + 900)
            for place, kind in enumerate(kinds)
        )
        rows.append(f'<row r="{number}"{draw(st.sampled_from(ROWS))}>{cells}</row>')
    xml = f"<worksheet><sheetData>{''.join(rows)}</sheetData></worksheet>"
    if draw(st.integers(0, 3)) == 0:
        at = draw(st.integers(0, len(xml)))
        end = draw(st.integers(at, min(at + 5, len(xml))))
        xml = xml[:at] + draw(st.sampled_from(["", *SPOILED])) + xml[end:]
    return xml.encode()


def check_thinned(xml, room):
    thin = thinned(xml)
    assert outline(thin) == outline(xml)
    if not outline(xml).plain:
        return
    assert has_plain_cells(thin) == has_plain_cells(xml)
    with patch("fleet.read.sheet_xml.thinned", bytes):
        whole = examine(xml, xml, room, FORMATS)
    assert examine(xml, thin, room, FORMATS) == whole


@settings(max_examples=400)
@given(xml=sheets(), room=st.sampled_from([1, 30, 5_000_000]))
def test_thinned_sheet_says_all_that_the_whole_one_does(xml, room):
    check_thinned(xml, room)


def sheet_of(*rows):
    """Return a worksheet of rows, each a list of kinds of cells."""
    written = []
    for number, kinds in enumerate(rows, start=1):
        places = enumerate(kinds)
        row = {"r": number, "below": number + 900}
        cells = "".join(kind.format(c=chr(65 + place), **row) for place, kind in places)
        written.append(f'<row r="{number}" ht="15">{cells}</row>')
    return f"<worksheet><sheetData>{''.join(written)}</sheetData></worksheet>".encode()


@pytest.mark.parametrize("room", [1, 5_000_000])
@pytest.mark.parametrize("odd", OTHERS)
def test_one_odd_cell_among_plain_ones_is_seen(odd, room):
    check_thinned(sheet_of(PLAIN, PLAIN, [*PLAIN, odd, *PLAIN], PLAIN), room)


@pytest.mark.parametrize("row", ROWS)
def test_rows_that_say_something_of_themselves(row):
    plain = sheet_of(PLAIN, PLAIN, PLAIN, PLAIN)
    middle = b'<row r="3" ht="15">'
    check_thinned(plain.replace(middle, f'<row r="3"{row}>'.encode()), 5_000_000)
    check_thinned(plain.replace(b' ht="15"', row.encode()), 5_000_000)


SHORTENS = pytest.mark.skipif(
    sys.version_info < (3, 11, 5), reason="regular expressions of this Python err"
)


@SHORTENS
def test_of_plain_rows_and_cells_the_first_stay():
    assert thinned(sheet_of(PLAIN, PLAIN, PLAIN)) == sheet_of(PLAIN[:1])


@SHORTENS
def test_cell_of_another_row_is_kept_where_it_stands():
    cells = b'<c r="A5"><v>1</v></c><c r="B6"><v>2</v></c><c r="C6"><v>3</v></c>'
    assert thinned(cells) == cells[: cells.index(b'<c r="C6')]
