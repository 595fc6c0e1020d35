"""A group in numbers: no dose is lost on the way into them."""

import re
from pathlib import Path

from fleet.assess.progress_intake import OUTCOMES

EFFECTS = Path(__file__).resolve().parents[2] / "templates" / "effects.xml.j2"


def test_whatever_can_be_said_of_a_dose_is_counted():
    said = re.findall(r"{% macro dose_(\w+)\(", EFFECTS.read_text("utf-8"))
    assert len(said) >= 4
    assert {f"effects.dose-{word}" for word in said} <= set(OUTCOMES)
    assert set(OUTCOMES.values()) == {"shown", "part", "nothing", "unclear"}
