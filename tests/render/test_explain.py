"""What explain says of three example tanks, recomputed by hand."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path

import pytest

from fleet import workings

SHOP = Path(__file__).resolve().parents[2] / "example_workbooks" / "shop.xlsx"


def explained(tank: str) -> str:
    return workings.explain([SHOP], tank, date(2026, 3, 30))


def numbers(line: str) -> list[float]:
    return [float(n) for n in re.findall(r"\d+(?:\.\d+)?", line.replace(",", ""))]


def test_each_line_of_a_dose_is_a_sum_that_comes_out():
    lines = [line for line in explained("C1").splitlines() if " ÷ 1000 = " in line]
    assert len(lines) == 2
    for line in lines:
        rise, volume, thousand, grams = numbers(line)
        assert volume == 400
        assert rise * volume / thousand == pytest.approx(grams, rel=0.001)


def test_share_of_the_ion_is_that_of_the_atomic_weights():
    # IUPAC abridged weights: NO3/NaNO3 = 62.004/84.994, PO4/K2HPO4 = 94.970/174.174.
    shares = []
    for line in explained("C1").splitlines():
        if line.count("÷") == 2 and line.strip().endswith("g"):
            ion, share, purity, salt = numbers(line)
            assert ion / share / purity == pytest.approx(salt, rel=0.001)
            shares.append(share)
    assert shares == pytest.approx([62.004 / 84.994, 94.970 / 174.174], abs=0.0001)


def test_score_parts_sum_to_the_score():
    text = explained("A5")
    score = int(re.search(r"THE SCORE: (\d+) of 100", text)[1])
    block = text.split("THE SCORE")[1].split("\n\n")[0].splitlines()[1:]
    assert sum(numbers(line.split(":")[0])[0] for line in block) == pytest.approx(
        score, abs=0.5
    )


def test_colour_zero_says_what_it_can_mean():
    text = explained("B6")
    assert "written 0 in Readings!F326, Phosphate colour card: 0 to 0.08 mg/L" in text
    # Even over 0 to 0.08 against a low edge of 0.03: 0.03 / 0.08 = 37.5 %.
    assert "under 38 %, within 62 %, over 0 %" in text


def test_doubted_value_is_shown_as_written_with_its_cell():
    text = explained("D3")
    assert text.count("DOUBTED") >= 2
    assert "written 50" in text
    assert "25.6" in text


def test_share_of_each_cause_sums_to_one():
    block = explained("C1").split("LIKELY CAUSES")[1].split("\n\n")[0]
    shares = [int(s) for s in re.findall(r"^  (\d+) %", block, re.MULTILINE)]
    assert sum(shares) == pytest.approx(100, abs=2)


def test_foreign_text_cannot_steer_the_terminal():
    assert "\x1b" not in explained("A1")
