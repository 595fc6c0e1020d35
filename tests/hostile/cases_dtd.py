"""Workbooks that define entities or use odd encodings, and OpenDocument ones."""

from __future__ import annotations

from cases_xml import DAMAGED, RELATIONS, SHEET, TEXTS, TYPES, in_utf_16, instead
from made_files import PLAIN, XML, Case, Raw, holds, parts_of, zipped
from made_others import ODS_FOOT, ODS_HEAD, ods, ods_table

DTD = "XML definitions (a DTD)"

LAUGHS = "<!DOCTYPE l [<!ENTITY a 'ha'>" + "".join(
    f"<!ENTITY {chr(98 + n)} '{f'&{chr(97 + n)};' * 10}'>" for n in range(9)
) + "]>"  # fmt: skip
QUADRATIC = f"<!DOCTYPE q [<!ENTITY a '{'x' * 50_000}'>]>"


def doctype(definition: str, use: str = "", part: str = TEXTS) -> bytes:
    """Return the workbook with a DTD in one part, its entity used in a text."""
    parts = parts_of()
    text = parts[part].decode().replace(XML, XML + definition)
    if use:
        text = text.replace('<t xml:space="preserve">Ana</t>', f"<t>{use}</t>")
    return zipped({**parts, part: text.encode()})


def ods_more(cell_xml: str) -> bytes:
    """Return an .ods workbook with one more sheet, of one cell."""
    sheets = {**PLAIN, "X": [[Raw(cell_xml)]]}
    return ods("".join(ods_table(name, rows) for name, rows in sheets.items()))


DEFINED = (
    Case("dtd-harmless.xlsx", holds(doctype("<!DOCTYPE x>")), "refused", DTD),
    Case("dtd-laughs.xlsx", holds(doctype(LAUGHS, "&j;")), "refused", DTD),
    Case("dtd-quadratic.xlsx", holds(doctype(QUADRATIC, "&a;" * 50_000)), "refused",
         DTD),
    Case("dtd-file.xlsx",
         holds(doctype("<!DOCTYPE x [<!ENTITY f SYSTEM 'file:///etc/passwd'>]>",
                       "&f;")), "refused", DTD),
    Case("dtd-web.xlsx",
         holds(doctype("<!DOCTYPE x SYSTEM 'http://127.0.0.1:9/x.dtd'>")), "refused",
         DTD),
    Case("dtd-parameter.xlsx",
         holds(doctype("<!DOCTYPE x [<!ENTITY % p SYSTEM 'http://127.0.0.1:9/'>%p;]>")),
         "refused", DTD),
    Case("dtd-in-sheet.xlsx", holds(doctype(LAUGHS, part=SHEET)), "refused", DTD),
    Case("dtd-in-types.xlsx", holds(doctype(LAUGHS, part=TYPES)), "refused", DTD),
    Case("dtd-in-styles.xlsx", holds(doctype(LAUGHS, part="xl/styles.xml")),
         "refused", DTD),
    Case("dtd-in-relations.xlsx", holds(doctype(LAUGHS, part=RELATIONS)), "refused",
         DTD),
    Case("dtd-utf-16.xlsx", holds(in_utf_16(TEXTS, LAUGHS)), "refused", "encoding"),
    Case("utf-16.xlsx", holds(in_utf_16(SHEET)), "refused", "encoding"),
    Case("utf-7.xlsx", holds(instead(TEXTS, b'<?xml version="1.0" encoding="UTF-7"?>'
         b"+ADwAIQ-DOCTYPE x+AD4-<sst/>")), "refused", "encoding"),
    Case("ebcdic.xlsx", holds(instead(TEXTS,
         '<?xml version="1.0" encoding="cp037"?><sst/>'.encode("cp037"))), "refused"),
    Case("dtd-ods.ods", holds(zipped({
        "mimetype": b"application/vnd.oasis.opendocument.spreadsheet",
        "content.xml": (ODS_HEAD.replace(XML, XML + LAUGHS)
                        + "&j;" + ODS_FOOT).encode()})), "refused", DTD),
    Case("ods-locked.ods", holds(ods(**{"META-INF/manifest.xml":
         b"<manifest:encryption-data/>"})), "refused", "password"),
    Case("ods-not-whole.ods", holds(ods("<table:table>")), "refused", DAMAGED),
    Case("ods-no-sheet.ods", holds(ods("")), "refused", "no sheet"),
    Case("ods-no-content.ods", holds(zipped({"mimetype": b"x", "content.xml": b""})),
         "refused", DAMAGED),
    Case("ods-odd-numbers.ods",
         holds(ods_more('<table:table-cell table:number-columns-repeated="x"/>')),
         "either"),
    Case("ods-nested.ods", holds(ods_more(
         f'<table:table-cell>{ods_table("Y", [["a"]])}</table:table-cell>'))),
    Case("good.ods", holds(ods())),
)  # fmt: skip

CASES = DEFINED
