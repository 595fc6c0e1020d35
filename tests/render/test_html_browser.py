"""report.html in a browser: looks, keys, choices, policy and accessibility.

Needs Chromium (apt install chromium; FLEET_CHROMIUM names another) and axe-core
(npm install axe-core; FLEET_AXE names its axe.min.js). CI provides both.
"""

import os
import shutil
from dataclasses import replace
from pathlib import Path

import pytest
from hostile import HOSTILE
from small_reports import REFERENCE, days, report, wording

from fleet.records import TankChange
from fleet.render import renderer

pytestmark = pytest.mark.slow

CHROMIUM = os.environ.get("FLEET_CHROMIUM") or shutil.which("chromium")
AXE = os.environ.get("FLEET_AXE")
FLAGS = [
    "--no-sandbox", "--disable-gpu", "--disable-background-networking",
    "--disable-component-update", "--disable-dev-shm-usage", "--disable-sync",
    "--no-first-run",
]  # fmt: skip
SIZES = [(width, scheme) for width in (390, 1280) for scheme in ("light", "dark")]


@pytest.fixture(scope="module")
def browser():
    if not CHROMIUM:
        pytest.skip("no browser: apt install chromium, or set FLEET_CHROMIUM")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        opened = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        yield opened
        opened.close()


@pytest.fixture
def show(browser, tmp_path):
    """Return what opens a report; the page keeps its messages and requests."""
    contexts = []

    def opened(made=None, width=1280, fragment="", **options):
        path = tmp_path / "report.html"
        renderer("report.html")(made or full(), wording(), REFERENCE, path)
        options.setdefault("color_scheme", "light")
        context = browser.new_context(
            viewport={"width": width, "height": 900}, **options
        )
        contexts.append(context)
        page = context.new_page()
        page.said, page.asked = [], []
        page.on("console", lambda message: page.said.append(message.text))
        page.on("pageerror", lambda error: page.said.append(str(error)))
        page.on("dialog", lambda dialog: (page.said.append("dialog"), dialog.dismiss()))
        page.on("request", lambda request: page.asked.append(request.url))
        page.goto(path.as_uri() + fragment)
        return page

    yield opened
    for context in contexts:
        context.close()


def full(foreign=""):
    """A report with everything on it: several places, and a change since."""
    made = report(foreign)
    back = replace(made.tanks[0], tank=replace(made.tanks[0].tank, place="Back room"))
    changes = (TankChange("A-1", "worse", "watch", (), ("dose-nitrate",)),)
    return replace(made, tanks=(back, *made.tanks[1:]), since=days(-7), changes=changes)


def tanks(page):
    """Return the ids of the tanks that can be seen, in their order."""
    return page.locator("#all tbody tr:visible th.tank a").all_inner_texts()


@pytest.mark.parametrize(("width", "scheme"), SIZES)
@pytest.mark.parametrize("script", [True, False], ids=["script", "no script"])
def test_page_fits_asks_for_nothing_and_says_nothing(show, width, scheme, script):
    page = show(width=width, color_scheme=scheme, java_script_enabled=script)
    assert page.said == []
    assert len(page.asked) == 1
    picture = page.screenshot(full_page=True)
    # The width of a PNG stands in its bytes 16 to 20 (ISO/IEC 15948, 11.2.2).
    assert int.from_bytes(picture[16:20]) == width
    assert tanks(page) == ["B 2", "A-1", "D-4", "C-3"]
    assert page.locator("#chooser").is_visible() is script
    assert page.locator("#tank-2").is_visible()


def test_narrowest_phone_needs_no_sideways_scroll(show):
    page = show(full(HOSTILE), width=320)
    assert page.evaluate("document.documentElement.scrollWidth") == 320


@pytest.mark.parametrize(("width", "scheme"), SIZES)
def test_axe_finds_nothing(show, width, scheme):
    if not AXE:
        pytest.skip("no axe-core: npm install axe-core, set FLEET_AXE to axe.min.js")
    page = show(width=width, color_scheme=scheme)
    page.evaluate(
        "for (const part of document.querySelectorAll('details')) part.open = true"
    )
    # Our own policy keeps a script tag out; evaluating goes past it.
    page.evaluate(Path(AXE).read_text("utf-8"))
    found = page.evaluate("axe.run()")
    assert [f"{v['id']}: {v['nodes'][0]['html']}" for v in found["violations"]] == []
    assert len(found["passes"]) > 20


def test_sorts_and_chooses_from_the_keyboard_alone(show):
    page = show()
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.className") == "skip"
    for _ in range(60):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.textContent") == "Nitrate":
            break
    page.keyboard.press("Enter")
    assert tanks(page) == ["A-1", "C-3", "B 2", "D-4"]  # 0, 8, over 75, untested
    head = page.locator("th[data-by=nitrate]")
    assert head.get_attribute("aria-sort") == "ascending"
    page.keyboard.press("Space")
    assert head.get_attribute("aria-sort") == "descending"
    assert tanks(page) == ["B 2", "C-3", "A-1", "D-4"]  # untested stays last


def test_sorts_numbers_as_numbers_and_stages_by_age(show):
    page = show()
    page.locator("th[data-by=phosphate] button").click()
    assert tanks(page)[:2] == ["B 2", "C-3"]  # 0 before 0.06
    page.locator("th[data-by=stage] button").click()
    assert tanks(page) == ["D-4", "A-1", "B 2", "C-3"]


def test_chooses_by_word_attention_and_place_and_says_how_many(show):
    from playwright.sync_api import expect

    page = show()
    shown = page.locator("#shown")
    assert shown.inner_text() == "4 of 4 tanks shown"
    page.locator("#search").fill("UGLY front")
    assert tanks(page) == ["A-1"]
    assert shown.inner_text() == "1 of 4 tanks shown"
    assert not page.locator("#tank-1").is_visible()
    assert page.locator("#tank-2").is_visible()
    page.locator("button[type=reset]").click()
    expect(shown).to_have_text("4 of 4 tanks shown")
    page.locator("input[value=today]").check()
    page.locator("input[value=steady]").check()
    assert tanks(page) == ["B 2", "C-3"]
    page.locator("#by-place").select_option("Back room")
    assert tanks(page) == ["B 2"]


def test_what_is_chosen_stands_in_the_address_and_comes_back(show):
    page = show()
    page.locator("input[value=today]").check()
    page.locator("input[value=steady]").check()
    page.locator("th[data-by=nitrate] button").click()
    fragment = page.evaluate("location.hash")
    assert fragment == "#a=today&a=steady&sort=nitrate"
    again = show(fragment=fragment)
    assert tanks(again) == ["C-3", "B 2"]
    assert again.locator("input[value=steady]").is_checked()
    # A link to a tank leaves what is chosen; going back restores it.
    again.locator("#all tbody a:visible").first.click()
    assert tanks(again) == ["C-3", "B 2"]
    again.go_back()
    assert tanks(again) == ["C-3", "B 2"]


def test_an_address_that_makes_no_sense_shows_all(show):
    page = show(fragment="#sort=-nonsense&place=<b>&a=red&q=")
    assert page.said == []
    assert tanks(page) == ["B 2", "A-1", "D-4", "C-3"]


@pytest.mark.parametrize("script", [True, False], ids=["script", "no script"])
def test_foreign_text_runs_nothing(show, script):
    page = show(full(HOSTILE), java_script_enabled=script)
    assert page.said == []
    assert len(page.asked) == 1
    assert len(tanks(page)) == 4
    assert "<script>alert('fleet')</script>" in page.locator("h1").inner_text()


def test_policy_stops_a_script_that_got_in(show):
    page = show()
    page.evaluate(
        "const s = document.createElement('script'); s.textContent = 'window.bad = 1';"
        "document.body.append(s);"
        "const i = document.createElement('img'); i.src = 'http://127.0.0.1:9/x';"
        "document.body.append(i)"
    )
    page.wait_for_timeout(100)
    assert page.evaluate("window.bad") is None
    # A request may be named as asked for, but never leaves the browser.
    assert any("Content Security Policy" in line for line in page.said)


def test_print_opens_the_details_and_drops_the_controls(show, tmp_path):
    from pypdf import PdfReader

    page = show()
    path = tmp_path / "page.pdf"
    page.pdf(path=path, format="A4")
    words = " ".join(
        " ".join(sheet.extract_text().split()) for sheet in PdfReader(path).pages
    )
    assert "Dry rock." in words  # stands in the details
    assert "Choose tanks" not in words
    assert "Back to all tanks" not in words
