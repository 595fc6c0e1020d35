"""Workbooks whose XML is broken, incomplete, hostile or of another kind."""

from __future__ import annotations

from made_files import (
    PLAIN,
    XML,
    Case,
    Entry,
    Parts,
    Raw,
    Rows,
    added,
    changed,
    holds,
    parts_of,
    reading,
    spoilt,
    xlsx,
    zipped,
)

DAMAGED = "damaged"
ODD = "no spreadsheet program uses"
DTD = "XML definitions (a DTD)"
SHEET = "xl/worksheets/sheet2.xml"  # Readings
TEXTS = "xl/sharedStrings.xml"
WORKBOOK = "xl/workbook.xml"
TYPES = "[Content_Types].xml"
RELATIONS = "xl/_rels/workbook.xml.rels"


def without(part: str) -> bytes:
    """Return the workbook without one of its parts."""
    parts = parts_of()
    del parts[part]
    return zipped(parts)


def instead(part: str, data: bytes) -> bytes:
    """Return the workbook with other bytes for one part."""
    return zipped({**parts_of(), part: data})


def in_utf_16(part: str, definition: str = "") -> bytes:
    """Return the workbook with one part in UTF-16."""
    text = parts_of()[part].decode().replace(XML, definition)
    head = '<?xml version="1.0" encoding="UTF-16"?>'
    return instead(part, (head + text).encode("utf-16"))


def swapped(part: str, old: str, new: str) -> bytes:
    """Return the workbook with one text in a part put for another."""
    return zipped(spoilt(part, old, new))


def cell(xml: str, head: str = "nitrate (") -> bytes:
    """Return the workbook with one more reading of A2 that holds this cell."""
    row = reading()
    row[3 if head.startswith("nitrate") else 0] = Raw(xml)
    return xlsx(added("Readings", row))


def deep(levels: int) -> bytes:
    """Return the workbook with elements nested this deep in a sheet."""
    nested = "<a>" * levels + "</a>" * levels
    return swapped(SHEET, "<sheetData>", f"{nested}<sheetData>")


def sheet_kinds() -> Parts:
    """Return a workbook whose only sheet is a chart."""
    parts = parts_of({"Chart": ()})
    chart = '<chartsheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"/>'
    relations = parts[RELATIONS].decode()
    relations = relations.replace('/worksheet"', '/chartsheet"')
    relations = relations.replace("worksheets/", "chartsheets/")
    types = parts[TYPES].decode().replace("worksheets/", "chartsheets/")
    del parts["xl/worksheets/sheet1.xml"]
    parts["xl/chartsheets/sheet1.xml"] = chart.encode()
    return {**parts, RELATIONS: relations.encode(), TYPES: types.encode()}


def strict() -> bytes:
    """Return the workbook as Strict Open XML."""
    return zipped(
        {
            name: data.replace(
                b"http://schemas.openxmlformats.org/spreadsheetml/2006/main",
                b"http://purl.oclc.org/ooxml/spreadsheetml/main",
            ).replace(
                b"http://schemas.openxmlformats.org/officeDocument/2006",
                b"http://purl.oclc.org/ooxml/officeDocument",
            )
            for name, data in parts_of().items()
        }
    )


def prefixed() -> bytes:
    """Return the workbook with a prefix on every element, as some writers do."""
    parts = parts_of()
    text = parts[SHEET].decode()
    for tag in ("worksheet", "sheetData", "row", "c", "v"):
        text = text.replace(f"<{tag} ", f"<x:{tag} ").replace(f"<{tag}>", f"<x:{tag}>")
        text = text.replace(f"</{tag}>", f"</x:{tag}>")
    text = text.replace("<x:worksheet xmlns=", "<x:worksheet xmlns:x=")
    return zipped({**parts, SHEET: text.encode()})


def no_references() -> bytes:
    """Return the workbook with no row or cell saying where it stands."""
    import re

    parts = parts_of()
    # Without references a blank cell must be there as such: texts hold the place.
    rows: Rows = [[c if c not in (None, "") else "-" for c in row]
                  for row in PLAIN["Readings"]]  # fmt: skip
    text = parts_of(changed("Readings", rows))[SHEET]
    strings = parts_of(changed("Readings", rows))[TEXTS]
    for other, number in (("sheet1", 0), ("sheet3", 0), ("sheet4", 0)):
        assert number == 0
        path = f"xl/worksheets/{other}.xml"
        parts[path] = parts_of(changed("Readings", rows))[path]
    bare = re.sub(rb' r="[A-Z]*\d+"', b"", text)
    return zipped({**parts, SHEET: bare, TEXTS: strings})


def moved(part: str, to: str) -> bytes:
    """Return the workbook with a part under another name, as its relations say."""
    parts = parts_of()
    parts[to] = parts.pop(part)
    for about in (RELATIONS, TYPES):
        for old, new in ((part, to), (part[3:], to[3:])):
            parts[about] = parts[about].replace(old.encode(), new.encode())
    return zipped(parts)


def links_out() -> bytes:
    """Return the workbook with relations to places outside."""
    office = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
    link = (
        f'{XML}<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/'
        f'relationships"><Relationship Id="rId1" Type="{office}/externalLinkPath" '
        'Target="http://127.0.0.1:9/book.xlsx" TargetMode="External"/></Relationships>'
    ).encode()
    own = [Entry(name, data) for name, data in parts_of().items()]
    return zipped([
        *own,
        Entry("xl/externalLinks/_rels/externalLink1.xml.rels", link),
        Entry("xl/worksheets/_rels/sheet2.xml.rels", link),
    ])  # fmt: skip


MISSING = (
    Case("no-workbook-part.xlsx", holds(without(WORKBOOK)), "refused"),
    Case("no-sheet-part.xlsx", holds(without(SHEET)), "refused", DAMAGED),
    Case("no-texts-part.xlsx", holds(without(TEXTS)), "refused", DAMAGED),
    Case("no-styles-part.xlsx", holds(without("xl/styles.xml")), "refused", DAMAGED),
    Case("no-relations.xlsx", holds(without(RELATIONS)), "refused", DAMAGED),
    Case("no-types.xlsx", holds(without(TYPES)), "either"),
    Case("no-root-relations.xlsx", holds(without("_rels/.rels")), "either"),
    Case("relation-to-nowhere.xlsx",
         holds(swapped(RELATIONS, "worksheets/sheet2.xml", "worksheets/sheet9.xml")),
         "refused", DAMAGED),
    Case("relation-out-of-the-zip.xlsx",
         holds(swapped(RELATIONS, "worksheets/sheet2.xml", "../../../etc/passwd")),
         "refused", DAMAGED),
    Case("relation-to-the-web.xlsx",
         holds(swapped(RELATIONS, "worksheets/sheet2.xml", "http://127.0.0.1:9/s.xml")),
         "refused", DAMAGED),
    Case("links-out.xlsx", holds(links_out())),
    Case("sheet-id-unknown.xlsx", holds(swapped(WORKBOOK, 'r:id="rId2"', 'r:id="x"')),
         "refused", DAMAGED),
    Case("no-sheets.xlsx", holds(zipped(parts_of({}))), "refused", "no sheet"),
    Case("only-a-chart.xlsx", holds(zipped(sheet_kinds())), "refused", "only charts"),
    Case("strict.xlsx", holds(strict()), "refused", "Strict Open XML"),
    Case("no-rows.xlsx", holds(xlsx({n: () for n in PLAIN})), "nothing", keeps=False),
    Case("only-headers.xlsx", holds(xlsx({n: r[:1] for n, r in PLAIN.items()})),
         "nothing", keeps=False),
)  # fmt: skip

BROKEN = (
    Case("xml-cut.xlsx", holds(instead(SHEET, parts_of()[SHEET][:-60])), "refused",
         DAMAGED),
    Case("xml-cut-in-texts.xlsx", holds(instead(TEXTS, parts_of()[TEXTS][:-30])),
         "refused", DAMAGED),
    Case("xml-cut-in-styles.xlsx",
         holds(instead("xl/styles.xml", parts_of()["xl/styles.xml"][:-30])), "refused",
         DAMAGED),
    Case("xml-cut-in-workbook.xlsx",
         holds(instead(WORKBOOK, parts_of()[WORKBOOK][:-30])), "refused", DAMAGED),
    Case("xml-empty-sheet.xlsx", holds(instead(SHEET, b"")), "refused", DAMAGED),
    Case("xml-empty-texts.xlsx", holds(instead(TEXTS, b"")), "refused", DAMAGED),
    Case("xml-unclosed-row.xlsx", holds(swapped(SHEET, "</row>", "")), "refused",
         DAMAGED),
    Case("xml-unclosed-cell.xlsx", holds(swapped(SHEET, "</c>", "")), "refused",
         DAMAGED),
    Case("xml-controls.xlsx", holds(swapped(TEXTS, "by the door", "by\x01the\x1bdoor")),
         "either"),
    Case("xml-bad-utf-8.xlsx",
         holds(instead(TEXTS, parts_of()[TEXTS].replace(b"door", b"d\xff\xfer"))),
         "refused", DAMAGED),
    Case("xml-surrogate.xlsx", holds(swapped(TEXTS, "by the door", "by \ud83d door")),
         "refused", DAMAGED),
    Case("xml-entity-unknown.xlsx", holds(swapped(TEXTS, "by the door", "&nbsp;")),
         "either"),
    Case("xml-character-0.xlsx", holds(swapped(TEXTS, "by the door", "a&#0;&#x1b;b")),
         "either"),
    Case("xml-comment.xlsx", holds(swapped(SHEET, "<sheetData>",
         "<!-- <row r='999999'><c r='A1' t='e'/></row> --><sheetData>")),
         "refused", ODD),
    Case("xml-cdata.xlsx", holds(swapped(SHEET, "<v>8</v>", "<v><![CDATA[8]]></v>")),
         "refused", ODD),
    *(
        Case(f"value-in-pieces-{number}.xlsx", holds(swapped(SHEET, "<v>8</v>", xml)),
             "refused", ODD)
        for number, xml in enumerate((
            "<v>8<!-- x -->5</v>", "<v><!-- x -->8</v>", "<v>8<?a b?>5</v>",
            "<v>&#56;</v>", "<v>8&#48;</v>", "<v>&#x38;</v>", "<v>8<x/>5</v>",
            "<v><x>8</x></v>", "<v xml:space='preserve'>8<x/></v>"))
    ),
    *(
        Case(f"text-number-odd-{number}.xlsx", holds(cell(f'<c r="{{r}}" {xml}</c>')),
             "refused", ODD)
        for number, xml in enumerate((
            't="s"><v>-1</v>', 't="s"><v>x</v>', 't="s"><v> 1 </v>', 't="s"><v>1.0</v>',
            't="s"><v>18446744073709551617</v>', "t='s'><v>+1</v>", 't = "s"><v>x</v>',
            's="0" t="s"><f>A1</f><v>x</v>'))
    ),
    Case("text-with-references.xlsx", holds(cell(
        '<c r="{r}" t="str"><f>A1</f><v>&lt;5&#32;</v></c>'))),
    Case("xml-deep.xlsx", holds(lambda: deep(100_000)), "either"),
    Case("xml-junk-style.xlsx", holds(swapped(SHEET, 's="1"', 's="4000000000"')),
         "either", keeps=False),
    Case("xml-style-no-number.xlsx", holds(swapped(SHEET, 's="1"', 's="x"')),
         "either", keeps=False),
    Case("text-number-too-high.xlsx",
         holds(cell('<c r="{r}" t="s"><v>99999</v></c>')), "refused", DAMAGED),
    Case("prefixed.xlsx", holds(prefixed())),
    Case("no-references.xlsx", holds(no_references())),
    Case("reference-wild.xlsx", holds(cell('<c r="ZZZZZZ999999999999"><v>4</v></c>')),
         "either"),
    Case("reference-no-row.xlsx", holds(cell('<c r="D"><v>4</v></c>')), "either"),
    Case("reference-row-0.xlsx", holds(cell('<c r="D0"><v>4</v></c>')), "either"),
    Case("reference-words.xlsx", holds(cell('<c r="hello"><v>4</v></c>')), "either"),
    Case("reference-twice.xlsx",
         holds(cell('<c r="{r}"><v>4</v></c><c r="{r}"><v>9</v></c>')), "either"),
    Case("row-negative.xlsx", holds(swapped(SHEET, '<row r="6"', '<row r="-6"')),
         "either", keeps=False),
    Case("row-huge.xlsx", holds(swapped(SHEET, '<row r="6"', '<row r="99999999999"')),
         "either", keeps=False),
    Case("row-backwards.xlsx", holds(swapped(SHEET, '<row r="6"', '<row r="2"')),
         "either", keeps=False),
    Case("sheets-same-name.xlsx", holds(swapped(WORKBOOK, 'name="Work"',
                                                'name="readings"')), "refused",
         "two sheets of the same name"),
    Case("sheet-name-odd.xlsx", holds(swapped(WORKBOOK, 'name="Work"',
         'name="&lt;script&gt;=1+1&#x9b;31m../../x"'))),
    Case("1904-in-a-comment.xlsx", holds(swapped(WORKBOOK, "<workbookPr/>",
         "<!-- <workbookPr date1904='1'/> --><workbookPr/>")), "refused", ODD),
    Case("1904-in-a-name.xlsx", holds(swapped(WORKBOOK, "</sheets>", "</sheets>"
         "<definedNames><definedName name='x'>date1904=\"1\"</definedName>"
         "</definedNames>"))),
    Case("styles-elsewhere.xlsx", holds(moved("xl/styles.xml", "xl/looks.xml")),
         "refused", ODD),
    Case("texts-elsewhere.xlsx", holds(moved(TEXTS, "xl/words.xml")), "refused", ODD),
    Case("sheet-elsewhere.xlsx", holds(moved(SHEET, "xl/pages/two.xml")), "refused",
         ODD),
    Case("sheets-501.xlsx", holds(lambda: xlsx({**PLAIN, **{f"S{n}": (("a",),)
                                  for n in range(500)}})), "refused", "500 sheets"),
    Case("sheets-300.xlsx", holds(lambda: xlsx({**PLAIN, **{f"S{n}": (("a",),)
                                  for n in range(300)}}))),
    Case("hidden-sheet.xlsx", holds(swapped(WORKBOOK, 'name="Readings"',
         'state="veryHidden" name="Readings"')), says="hidden"),
    Case("hidden-rows.xlsx", holds(swapped(SHEET, '<row r="4"',
         '<row hidden="1" r="4"')), says="hidden"),
    Case("dates-since-1904.xlsx", holds(swapped(WORKBOOK, "<workbookPr/>",
         '<workbookPr date1904="1"/>')), "either", keeps=False),
)  # fmt: skip

CASES = (*MISSING, *BROKEN)
