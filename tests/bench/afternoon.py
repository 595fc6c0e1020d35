"""What a competent person with pandas and platypus would write in an afternoon.

    python -m tests.bench.afternoon WORKBOOK OUT

A loop over groups, a robust slope by scipy with half the limit for '<' results, fixed
bands, a page a tank with two charts, and the summary in the usual formats.
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

import pandas as pd
from reportlab.graphics.charts.lineplots import LinePlot
from reportlab.graphics.shapes import Drawing, String
from reportlab.lib import colors
from reportlab.lib.pagesizes import A4, landscape
from reportlab.lib.styles import getSampleStyleSheet
from reportlab.platypus import (
    PageBreak,
    Paragraph,
    SimpleDocTemplate,
    Spacer,
    Table,
    TableStyle,
)
from scipy.stats import theilslopes

BANDS = {
    "Nitrate (": (1, 20),
    "Phosphate (": (0.02, 0.12),
    "Ammonia (": (0, 0.05),
    "Nitrite (": (0, 0.05),
    "Salinity (": (33, 36),
    "Temperature (": (24, 26.5),
    "pH": (7.8, 8.5),
    "Alkalinity (": (7, 10),
}
STYLES = getSampleStyleSheet()
GRID = TableStyle(
    [
        ("GRID", (0, 0), (-1, -1), 0.5, colors.grey),
        ("BACKGROUND", (0, 0), (-1, 0), colors.lightgrey),
        ("FONTSIZE", (0, 0), (-1, -1), 9),
    ]
)


def number(value: Any) -> float:
    """Return a number; half the limit for '<limit'."""
    if isinstance(value, str) and value.strip().startswith("<"):
        return float(value.strip()[1:]) / 2
    return pd.to_numeric(value, errors="coerce")


def evaluate(group: pd.DataFrame, columns: dict[str, tuple[float, float]]) -> list:
    """Return name, newest value, verdict, slope a week and its limits."""
    group = group.sort_values("Date")
    days = (group["Date"] - group["Date"].iloc[0]).dt.days
    found = []
    for name, (low, high) in columns.items():
        values = group[name].map(number)
        there = values.notna()
        if there.sum() == 0:
            found.append((name, None, "no reading", None, None, None))
            continue
        slope = least = most = None
        if there.sum() >= 5:
            fitted = theilslopes(values[there], days[there])
            slope, _, least, most = (7 * part for part in fitted)
        now = values[there].iloc[-1]
        verdict = "low" if now < low else "high" if now > high else "ok"
        found.append((name, now, verdict, slope, least, most))
    return found


def actions(found: list) -> list[str]:
    """Return what to do."""
    todo = []
    for name, now, verdict, slope, least, _ in found:
        if verdict == "high":
            todo.append(f"{name} is {now:g}: change 10 % of the water, test in 2 days")
        elif verdict == "low":
            todo.append(f"{name} is {now:g}: test again before you dose")
        elif verdict == "no reading":
            todo.append(f"{name}: no reading; test it this week")
        elif slope and least and least > 0:
            todo.append(f"{name} rises by {slope:.2g} a week: feed less")
    todo += ["Clean the filter", "Look over every animal", "Next reading in 7 days"]
    return todo[:8]


def chart(group: pd.DataFrame, name: str) -> Drawing:
    """Return one chart."""
    drawing, plot = Drawing(250, 140), LinePlot()
    values = group[name].map(number)
    points = [(n, value) for n, value in enumerate(values) if value == value]
    plot.x, plot.y, plot.width, plot.height = 30, 20, 200, 100
    plot.data = [points or [(0, 0)]]
    drawing.add(plot)
    drawing.add(String(30, 128, name, fontSize=9))
    return drawing


def main() -> None:
    """Read, judge, print."""
    out = Path(sys.argv[2])
    out.mkdir(parents=True, exist_ok=True)
    sheets = pd.read_excel(sys.argv[1], sheet_name=None, engine="openpyxl")
    tanks, readings = sheets["Tanks"].set_index("Tank"), sheets["Readings"]
    columns = {
        next(c for c in readings.columns if c.startswith(start)): band
        for start, band in BANDS.items()
    }
    charted = list(columns)[:2]
    story: list[Any] = []
    rows = []
    for tank, group in readings.groupby("Tank"):
        info = tanks.loc[tank]
        found = evaluate(group, columns)
        todo = actions(found)
        story.append(Paragraph(str(info["Name"]), STYLES["Heading1"]))
        about = f"{tank} - {info['Place']} - {info['Keeper']} - {info['Volume (L)']} L"
        story.append(Paragraph(about, STYLES["Normal"]))
        data = [["Parameter", "Last", "Band", "Trend a week", "from", "to"]]
        for name, now, verdict, *trend in found:
            shown = ["" if part is None else f"{part:.3g}" for part in trend]
            data.append([name, "" if now is None else f"{now:g}", verdict, *shown])
        table = Table(data)
        table.setStyle(GRID)
        charts = Table([[chart(group, name) for name in charted]])
        story += [Spacer(1, 8), table, Spacer(1, 8), charts, Spacer(1, 8)]
        story += [Paragraph("[ &nbsp; ] " + line, STYLES["Normal"]) for line in todo]
        story.append(PageBreak())
        rows.append(
            {
                "Tank": tank,
                "Name": info["Name"],
                "Place": info["Place"],
                "Keeper": info["Keeper"],
                "Last": group["Date"].max(),
                **{name: now for name, now, *_ in found},
                "Flags": sum(verdict in ("low", "high") for _, _, verdict, *_ in found),
                "First action": todo[0],
            }
        )
    page = SimpleDocTemplate(str(out / "sheets.pdf"), pagesize=A4, topMargin=30)
    page.build(story)
    summary = pd.DataFrame(rows)
    summary.to_excel(out / "summary.xlsx", index=False)
    summary.to_csv(out / "summary.csv", index=False)
    summary.to_json(out / "summary.json", orient="records", date_format="iso")
    (out / "summary.html").write_text(summary.to_html(index=False), encoding="utf-8")
    short = summary.drop(columns=["First action"]).astype(str)
    heads = [name.split(" (")[0] for name in short.columns]
    table = Table([heads, *short.values.tolist()], repeatRows=1)
    table.setStyle(
        TableStyle(
            [
                ("GRID", (0, 0), (-1, -1), 0.25, colors.grey),
                ("FONTSIZE", (0, 0), (-1, -1), 6),
            ]
        )
    )
    wide = SimpleDocTemplate(str(out / "summary.pdf"), pagesize=landscape(A4))
    wide.build([table])
    print(f"afternoon: {len(rows)} tanks")


if __name__ == "__main__":
    main()
