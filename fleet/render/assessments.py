"""The assessments of many reports as one table: a row a tank and parameter.

The rows come from each ``report.json``, so that the table says what the reports say,
whether they were made now or stand since an earlier run. Parquet holds texts as they
are, for any dataframe program; CSV escapes them as ``summary.csv`` does.
"""

from __future__ import annotations

import pickle
import zlib
from collections.abc import Iterable, Iterator
from datetime import date
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING, Any

from fleet.render.safe import for_csv

if TYPE_CHECKING:
    from pandas import DataFrame

_AT_A_TIME = 50_000  # rows of one piece

# Name -> pandas type; days are dates. Units are the kept ones, see ``unit``.
COLUMNS = {
    "book": "string",
    "report": "string",  # folder, seen from that of all reports
    "as_of": "date",
    "tank": "string",
    "name": "string",
    "place": "string",
    "keeper": "string",
    "group": "string",
    "livestock": "string",
    "volume_l": "Float64",
    "attention": "string",
    "score": "Int64",
    "stage": "string",
    "stage_sure": "Float64",
    "days_since_filled": "Int64",
    "situation": "string",
    "parameter": "string",
    "unit": "string",
    "written": "string",
    "value": "Float64",
    "low": "Float64",
    "high": "Float64",
    "method": "string",
    "method_assumed": "boolean",
    "taken_on": "date",
    "age_days": "Int64",
    "verdict": "string",
    "chance_under": "Float64",
    "chance_within": "Float64",
    "chance_over": "Float64",
    "band_low": "Float64",
    "band_high": "Float64",
    "per_week": "Float64",
    "per_week_low": "Float64",
    "per_week_high": "Float64",
    "doubted": "Int64",
}
Packed = bytes


def has_parquet() -> bool:
    """Say whether Parquet can be written here."""
    return find_spec("pyarrow") is not None


def packed(report: dict[str, Any], book: str, folder: str) -> Packed:
    """Return the rows of one ``report.json``, small enough to keep thousands of."""
    rows = list(_rows(report, book, folder))
    return zlib.compress(pickle.dumps(rows, protocol=5), 1)


def write_csv(parts: Iterable[Packed], path: Path) -> None:
    """Write the table as CSV, piece by piece, in the order of ``parts``."""
    with path.open("w", encoding="utf-8-sig", newline="") as file:
        for number, frame in enumerate(_frames(parts)):
            text = frame.select_dtypes("string").columns
            frame[text] = frame[text].map(for_csv, na_action="ignore")
            frame.to_csv(file, index=False, header=not number, lineterminator="\r\n")


def write_parquet(parts: Iterable[Packed], path: Path) -> None:
    """Write the table as Parquet, piece by piece, in the order of ``parts``."""
    import pyarrow as pa
    from pyarrow.parquet import ParquetWriter

    kinds = {
        "string": pa.string(), "Float64": pa.float64(), "Int64": pa.int64(),
        "boolean": pa.bool_(), "date": pa.date32(),
    }  # fmt: skip
    schema = pa.schema([(name, kinds[kind]) for name, kind in COLUMNS.items()])
    with ParquetWriter(path, schema, compression="zstd") as file:
        for frame in _frames(parts):
            table = pa.Table.from_pandas(frame, schema, preserve_index=False)
            file.write_table(table.replace_schema_metadata(None))


def _rows(report: dict[str, Any], book: str, folder: str) -> Iterator[tuple[Any, ...]]:
    as_of = date.fromisoformat(report["as_of"])
    for tank in report["tanks"]:
        stage = tank["stage"]
        of_tank = (
            book,
            folder,
            as_of,
            *(tank[k] for k in ("tank", "name", "place", "keeper", "group")),
            *(tank[k] for k in ("livestock", "volume_l", "attention", "score")),
            *(stage[k] for k in ("name", "sure", "days_since_filled")),
            next(iter(tank["situations"]), None),
        )
        for parameter, found in tank["parameters"].items():
            chance = found["chance"] or {}
            taken = found["taken_on"]
            yield (
                *of_tank,
                parameter,
                *(found[k] for k in ("unit", "written", "value", "low", "high")),
                *(found[k] for k in ("method", "method_assumed")),
                date.fromisoformat(taken) if taken else None,
                *(found[k] for k in ("age_days", "verdict")),
                *(chance.get(k) for k in ("under", "within", "over")),
                *(found["band"] or (None, None)),
                *(found[k] for k in ("per_week", "per_week_low", "per_week_high")),
                len(found["doubted"]),
            )


def _frames(parts: Iterable[Packed]) -> Iterator[DataFrame]:
    """Yield the rows of ``parts`` as frames of the same columns and types."""
    rows: list[tuple[Any, ...]] = []
    for part in parts:
        rows += pickle.loads(zlib.decompress(part))
        if len(rows) >= _AT_A_TIME:
            yield _frame(rows)
            rows = []
    yield _frame(rows)


def _frame(rows: list[tuple[Any, ...]]) -> DataFrame:
    from pandas import DataFrame

    types = {name: kind for name, kind in COLUMNS.items() if kind != "date"}
    return DataFrame.from_records(rows, columns=list(COLUMNS)).astype(types)
