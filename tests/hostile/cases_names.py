"""Names, notes and file names that try to be more than text."""

from __future__ import annotations

import unicodedata
from datetime import date

from made_files import (
    READINGS,
    Case,
    Cell,
    added,
    holds,
    reading,
    tank,
    xlsx,
)

NAMES = {
    "path-up": "../../../tmp/evil",
    "path-root": "/etc/passwd",
    "path-drive": "C:\\Windows\\evil",
    "path-share": "\\\\server\\share",
    "device": "CON",
    "device-file": "nul.txt",
    "option": "--out=/tmp/evil",
    "hidden": ".hidden",
    "dot": ".",
    "dots": "..",
    "trailing": "tank. ",
    "colon": "a:b|c?d*e",
    "long": "x" * 300,
    "formula": '=HYPERLINK("http://127.0.0.1:9","ok")',
    "formula-plus": "+1+1",
    "formula-minus": "-1+1",
    "formula-at": "@SUM(A1)",
    "formula-tab": "\t=1+1",
    "formula-wide": "＝1+1",
    "formula-dde": "=cmd|' /C calc'!A0",
    "formula-error": "#N/A",
    "script": "<script>alert(1)</script>",
    "attribute": '" onmouseover="alert(1)',
    "quote": "' onfocus='alert(1)' autofocus x='",
    "close-json": "</script><script>alert(1)//",
    "comment": "--><!-- ]]>",
    "template": "{{ 7*7 }}{% for x in y %}${7*7}<%= 7*7 %>",
    "template-reach": "{{ ''.__class__.__mro__ }}",
    "format": "{0.__class__} %s %n {value!r}",
    "picture": '<img src="/etc/passwd"/>',
    "picture-web": '<img src="http://127.0.0.1:9/x.png"/>',
    "markup-open": "<b>Tank",
    "markup-wrong": "a<b>c</i>d",
    "markup-para": '<para backColor="red">x</para>',
    "markup-link": '<a href="javascript:alert(1)">x</a>',
    "entity": "&lt;b&gt; &amp;amp; &#x1b; &nbsp;",
    "escape-xlsx": "a_x001B_[31mb",
    "c1": "a\x9b31mb\x85c",
    "delete": "a\x7f\x7fb",
    "right-to-left": "\u202egnp.exe\u2066x",
    "zero-width": "Z\u200b\u200d\ufeffW",
    "tags": "a\U000e0041\U000e0042b",
    "new-line": "one\ntwo\r\nBEGIN:VEVENT",
    "calendar": "a;b,c\\nEND:VCALENDAR",
    "scripts": "Ñandú 水槽 نافورة 👩\u200d🔬 ﷽",
    "marks": "Z" + "\u0301" * 500,
    "half-pair": "a_xD83D_b",
    "spaces": "\u00a0\u2003x\u3000",
    "html-text": "a < b & c > d \" '",
    "shell": "$(touch /tmp/evil); `id` | x & y",
    "csv-split": 'a;=1+1,"b"\t=2',
    "toml": 'a"]\n[x]\ny="',
}


def tanks_called(*names: str) -> bytes:
    """Return the workbook with a tank for each name, read twice and worked on."""
    rows: list[list[Cell]] = []
    tanks: list[list[Cell]] = []
    work: list[list[Cell]] = []
    for name in names:
        tanks.append(tank(tank=name, name=name, place=name, keeper=name,
                          equipment=name, notes=name))  # fmt: skip
        for day in (22, 29):
            row = reading(taken_by=name, nitrate=0, nitrate_method=name, phosphate=0,
                          look=name, notes=name)  # fmt: skip
            row[0], row[1] = date(2026, 3, day), name
            rows.append(row)
        work.append([date(2026, 3, 23), name, "dose", name, 1, "g", name])
    return xlsx(
        {
            **added("Tanks", *tanks),
            "Readings": (*READINGS, *rows),
            "Work": added("Work", *work)["Work"],
            "Settings": (("Setting", "Value"), ("Organisation", names[0]),
                         ("Contact", names[0])),
        }
    )  # fmt: skip


ALIKE = ("Köln", unicodedata.normalize("NFD", "Köln"), "KÖLN", " Köln ", "Ko\u0308ln",
         "K\u200böln", "Ｋöln")  # fmt: skip

CASES = (
    *(
        Case(f"name-{key}.xlsx", holds(tanks_called(name)))
        for key, name in NAMES.items()
    ),
    Case("names-all.xlsx", holds(tanks_called(*NAMES.values()))),
    # Two characters that XML does not allow, so no program writes them.
    Case("name-noncharacter.xlsx", holds(tanks_called("a\ufffeb\uffffc")), "refused",
         "damaged"),
    Case("names-alike.xlsx", holds(tanks_called(*ALIKE)), says="same tank"),
    Case("name-is-A1.xlsx", holds(tanks_called("a１")), "either", keeps=False),
    Case("name-a-number.xlsx", holds(xlsx({
        **added("Tanks", tank(tank=7), tank(tank=7.0), tank(tank="007"),
                tank(tank=1e300), tank(tank=True)),
        "Readings": (*READINGS, [date(2026, 3, 29), 7, "", 0])}))),
    Case("notes-32767.xlsx", holds(xlsx(added("Readings", reading(
        nitrate=4, notes="n" * 32_767))))),
    Case("notes-5000-lines.xlsx", holds(xlsx(added("Readings", reading(
        nitrate=4, notes="line\n" * 5000))))),
    Case("notes-one-word.xlsx", holds(xlsx(added("Tanks", tank(
        tank="B1", notes="W" * 20_000, name="W" * 20_000, place="W" * 5000))))),
    Case("-rf.xlsx", holds(tanks_called("plain"))),
    Case("=1+1.xlsx", holds(tanks_called("plain"))),
    Case("<script>alert(1)<b>.xlsx", holds(tanks_called("plain"))),
    Case("\x1b[2Jclear\x9b.xlsx", holds(tanks_called("plain"))),
    Case("two\nlines\r.xlsx", holds(tanks_called("plain"))),
    Case("{{7*7}}%s{0}.xlsx", holds(tanks_called("plain"))),
    Case("\u202exslx.xlsx", holds(tanks_called("plain"))),
    Case("Ñ 水槽 👩.xlsx", holds(tanks_called("plain"))),
    Case("no-ending", holds(tanks_called("plain"))),
    Case("x" * 240 + ".xlsx", holds(tanks_called("plain"))),
    Case("bad-\x1b[31mfile\n.xlsx", holds(b"no workbook"), "refused"),
    Case("half-\udcff\udc80.xlsx", holds(tanks_called("plain"))),
    Case("half-bad-\udcff.xlsx", holds(b"no workbook"), "refused"),
)  # fmt: skip
