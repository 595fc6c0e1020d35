"""What the sheets of the example shop print is what its report.json says."""

import json
import math
import re
from datetime import date, timedelta
from pathlib import Path

import pytest
from click.testing import CliRunner
from pypdf import PdfReader

from fleet.cli import main
from fleet.records import Settings
from fleet.reference import load_reference
from fleet.render.wording import Wording

ROOT = Path(__file__).resolve().parents[2]
SHOP = ROOT / "example_workbooks" / "shop.xlsx"
AS_OF = date(2026, 3, 30)
SHOW = Wording(load_reference(), Settings()).display


@pytest.fixture(scope="module", params=["A4", "Letter"])
def shop(request, tmp_path_factory):
    """Return the tanks of report.json, and the text of each tank's pages."""
    folder = tmp_path_factory.mktemp("numbers") / "out"
    asked = [
        "report", SHOP, "--as-of", AS_OF, "--out", folder, "--paper", request.param,
        "--format", "action-sheets.pdf", "--format", "json",
    ]  # fmt: skip
    done = CliRunner().invoke(main, [str(word) for word in asked])
    assert done.exit_code == 0, done.output
    made = json.loads((folder / "report.json").read_text("utf-8"))
    texts = {}
    for page in PdfReader(folder / "action-sheets.pdf").pages:
        said = " ".join(page.extract_text().replace("\u00a0", " ").split())
        tank = re.search(r"(\S+) · page \d of \d", said)[1]
        texts[tank] = texts.get(tank, "") + " " + said
    return made["tanks"], texts


def test_a_tank_has_one_page_unless_two_doses_need_more(shop):
    tanks, texts = shop
    two = [tank["tank"] for tank in tanks if "page 1 of 2" in texts[tank["tank"]]]
    doses = {
        tank["tank"]: [action["kind"] for action in tank["actions"]].count("dose")
        for tank in tanks
    }
    assert all(doses[tank] > 1 for tank in two)
    assert len(two) < sum(number > 1 for number in doses.values())
    assert not any("page 1 of 3" in said for said in texts.values())


def days_of(action):
    """Return the days that must be named: all but today."""
    first = date.fromisoformat(action["when"])
    days = {first + timedelta(days=n) for n in range(action["days"] or 1)}
    return days if len(days) > 1 else days - {AS_OF}


def test_every_amount_and_day_of_every_action_is_printed(shop):
    tanks, texts = shop
    counted = 0
    for tank in tanks:
        said = texts[tank["tank"]]
        for action in tank["actions"]:
            days = action["days"] or 1
            wanted = [
                shown(action[name])
                for name, shown in (
                    ("per_day_g", lambda day, n=days: SHOW.grams_of(day, n)),
                    ("per_day_ml", lambda day, n=days: SHOW.millilitres_of(day, n)),
                    ("per_day_g", SHOW.grams),
                    ("per_day_ml", SHOW.millilitres),
                    ("water_change_l", SHOW.litres),
                    ("water_change_share", SHOW.share),
                )
                if action[name] is not None
            ]
            if action["stock_g_per_l"] is not None:
                wanted.append(f"{SHOW.number(action['stock_g_per_l'])} g/L")
            wanted += [SHOW.short_day(day) for day in days_of(action)]
            for shown in wanted:
                assert re.search(rf"(?<![\d.,]){re.escape(shown)}(?!\w)", said), (
                    tank["tank"], action["id"], shown,
                )  # fmt: skip
                counted += 1
    assert counted > 60


def test_every_sentence_of_every_action_is_printed(shop):
    tanks, texts = shop
    for tank in tanks:
        said = texts[tank["tank"]]
        for action in tank["actions"]:
            sentences = [action["what"], action["stop_if"], *action["cautions"]]
            if action["kind"] != "log":
                sentences.append(action["why"])
            for sentence in filter(None, sentences):
                assert " ".join(sentence.split()) in said, (tank["tank"], sentence)


def test_every_retest_is_printed_with_its_day(shop):
    tanks, texts = shop
    for tank in tanks:
        for parameter, day in tank["retest"].items():
            shown = SHOW.short_day(date.fromisoformat(day))
            said = texts[tank["tank"]]
            assert shown in said, (tank["tank"], parameter)


def test_every_reading_is_printed_as_what_it_can_mean(shop):
    tanks, texts = shop
    counted = 0
    for tank in tanks:
        for name, of in tank["parameters"].items():
            if of["verdict"] in ("not judged", None) or of["low"] is None:
                continue
            high = math.inf if of["high"] is None else of["high"]
            shown = SHOW.bare_span((of["low"], high), name)
            assert shown in texts[tank["tank"]], (tank["tank"], name, shown)
            assert of["verdict"] in texts[tank["tank"]]
            counted += 1
    assert counted > 100


def test_every_likely_cause_is_printed_with_its_share(shop):
    tanks, texts = shop
    for tank in tanks:
        for side in ("low", "high"):
            listed = [c for c in tank["causes"] if c["side"] == side]
            listed.sort(key=lambda c: -c["share_of_side"])
            for cause in listed[:3]:
                assert SHOW.share(cause["share_of_side"]) in texts[tank["tank"]]
