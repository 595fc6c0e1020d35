"""Leaving out plain cells hides nothing that is looked for in a worksheet."""

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
SPOILED = ["<!-- -->", "<", ">", '"', "<c>", "</c>", "<v>", "<![CDATA[", "\0", "é", " "]


@st.composite
def sheets(draw):
    """Return the XML of a worksheet that may hold anything odd, or be broken."""
    rows = []
    for number in range(1, draw(st.integers(1, 4)) + 1):
        kinds = draw(st.lists(st.sampled_from(PLAIN * 6 + OTHERS), max_size=8))
        cells = "".join(
            kind.format(c=chr(65 + place), r=number, below=number + 900)
            for place, kind in enumerate(kinds)
        )
        hidden = draw(st.sampled_from(["", ' hidden="1"']))
        rows.append(f'<row r="{number}"{hidden}>{cells}</row>')
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
    assert examine(xml, thin, room, FORMATS) == examine(xml, xml, room, FORMATS)


@settings(max_examples=400)
@given(xml=sheets(), room=st.sampled_from([1, 30, 5_000_000]))
def test_thinned_sheet_says_all_that_the_whole_one_does(xml, room):
    check_thinned(xml, room)


@pytest.mark.parametrize("room", [1, 5_000_000])
@pytest.mark.parametrize("odd", OTHERS)
def test_one_odd_cell_among_plain_ones_is_seen(odd, room):
    kinds = [*PLAIN, odd, *PLAIN]
    cells = "".join(
        kind.format(c=chr(65 + place), r=1, below=901)
        for place, kind in enumerate(kinds)
    )
    xml = f'<worksheet><sheetData><row r="1">{cells}</row></sheetData></worksheet>'
    check_thinned(xml.encode(), room)


def test_plain_cells_are_most_of_a_sheet():
    cells = "".join(f'<c r="{c}5" s="2"><v>4.5</v></c>' for c in "ABCDEFGHIJKL")
    assert thinned(cells.encode()) == b'<c r="A5" s="2"><v>4.5</v></c>'


def test_cell_of_another_row_is_kept_where_it_stands():
    cells = b'<c r="A5"><v>1</v></c><c r="B6"><v>2</v></c><c r="C6"><v>3</v></c>'
    assert thinned(cells) == cells[: cells.index(b'<c r="C6')]
