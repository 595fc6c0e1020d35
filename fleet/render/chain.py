"""What is written beside the reports of many workbooks: who needs someone, where.

``index.html`` leads to each report, ``books.csv`` is the same as a table, and the
assessments hold all that was judged, for questions of one's own.
"""

from __future__ import annotations

import csv
from collections.abc import Callable, Mapping, Sequence
from datetime import date
from functools import partial
from pathlib import Path
from typing import NamedTuple

from fleet.records import ATTENTION_ORDER, say
from fleet.records.shops import Shop
from fleet.render import assessments
from fleet.render.page import css_of, finalize, policy, source
from fleet.render.safe import for_csv, for_terminal
from fleet.render.wording import Wording

_MOST_ON_TERMINAL = 20


class Chain(NamedTuple):
    """All workbooks of one run, in the order they were named."""

    as_of: date
    made_by: str
    shops: tuple[Shop, ...]


def writers(chain: Chain, wording: Wording) -> Mapping[str, Callable[[Path], None]]:
    """Return, for each file name, what writes it to a path."""
    parts = [shop.rows for shop in chain.shops if not shop.failed]
    files: dict[str, Callable[[Path], None]] = {
        "index.html": partial(_write_page, chain, wording),
        "books.csv": partial(_write_table, chain),
        "assessments.csv": partial(assessments.write_csv, parts),
    }
    if assessments.has_parquet():
        files["assessments.parquet"] = partial(assessments.write_parquet, parts)
    return files


def worst_first(shops: Sequence[Shop]) -> list[Shop]:
    """Return the shops whose tanks need someone soonest before the others."""
    return sorted(
        shops,
        key=lambda shop: (
            not shop.failed,
            *(-number for number in shop.attention[:3]),
            shop.name.casefold(),
        ),
    )


def summary(chain: Chain, wording: Wording) -> str:
    """Return what the terminal shows: counts, and the workbooks to look at first."""
    read = [shop for shop in worst_first(chain.shops) if not shop.failed]
    count = [sum(shop.attention[n] for shop in read) for n in range(4)]
    of = tuple((w, n) for w, n in zip(ATTENTION_ORDER, count, strict=True) if n)
    tanks = sum(shop.tanks for shop in read)
    said = [
        say("chain.counts", as_of=chain.as_of, workbooks=len(read), tanks=tanks, of=of)
    ]
    for shop in read[:_MOST_ON_TERMINAL]:
        numbers = zip(ATTENTION_ORDER, shop.attention, strict=True)
        kinds = tuple((word, number) for word, number in numbers if number)
        said.append(say("chain.shop", name=shop.name, of=kinds))
    if len(read) > _MOST_ON_TERMINAL:
        said.append(say("chain.more", number=len(read) - _MOST_ON_TERMINAL))
    return "\n".join(for_terminal(wording.plain(line), 1000) for line in said)


_HEAD = (
    "book", "report", "tanks", *ATTENTION_ORDER, "left_out", "newest_test_on", "failed",
)  # fmt: skip


def _write_table(chain: Chain, path: Path) -> None:
    """Write a row a workbook, in the order they were named."""
    with path.open("w", encoding="utf-8-sig", newline="") as file:
        rows = csv.writer(file, lineterminator="\r\n")
        rows.writerow(_HEAD)
        for shop in chain.shops:
            newest = shop.newest.isoformat() if shop.newest else ""
            counts = (shop.tanks, *(shop.attention or [0] * 4), shop.left_out, newest)
            rows.writerow(
                [
                    for_csv(shop.name),
                    for_csv(shop.folder) if not shop.failed else "",
                    *(counts if not shop.failed else [""] * len(counts)),
                    for_csv(shop.failed),
                ]
            )


def _write_page(chain: Chain, wording: Wording, path: Path) -> None:
    environment = wording.environment.overlay(finalize=finalize)
    style = source(environment, "report.css")
    template = environment.get_template("chain.html.j2")
    page = template.render(
        chain=chain,
        shops=[(shop, _link(shop)) for shop in worst_first(chain.shops)],
        attention=[
            (word, css_of(word), wording.label(word, "attention"))
            for word in ATTENTION_ORDER
        ],
        style=style,
        policy=policy(style),
        word=lambda word: wording.label(word, "chain"),
    )
    path.write_text(page, "utf-8", newline="\n")


def _link(shop: Shop) -> str:
    """Return the address of a report's page, seen from beside the reports."""
    from urllib.parse import quote

    return f"../{quote(shop.folder)}/report.html" if shop.has_page else ""
