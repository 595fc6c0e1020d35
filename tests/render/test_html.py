"""report.html, read by a parser; test_html_browser.py opens it in a browser."""

import base64
import hashlib
import re
import shutil
from dataclasses import replace
from html.parser import HTMLParser

import pytest
from hostile import HOSTILE, STEERING
from markupsafe import Markup, escape
from small_reports import REFERENCE, WORDS, days, report, text, wording

from fleet.errors import DataTableError
from fleet.records import Problem, Settings, TankChange, say
from fleet.render import renderer
from fleet.render.html import MOST_PROBLEMS, Kept
from fleet.render.safe import clean
from fleet.render.wording import Wording

VOID = {"meta", "input", "br", "img", "link", "hr"}
SVG = {"svg", "path", "circle", "rect", "polygon", "polyline", "text", "title"}


class Page(HTMLParser):
    """The page as a list of elements with their attributes and texts."""

    def __init__(self, source):
        super().__init__(convert_charrefs=True)
        self.elements, self.open = [], []
        self.feed(source)
        self.close()
        assert self.open == [], f"never closed: {self.open}"

    def handle_starttag(self, tag, attrs):
        element = {"tag": tag, "text": "", **dict(attrs)}
        self.elements.append(element)
        if tag not in VOID:
            self.open.append(element)

    def handle_startendtag(self, tag, attrs):
        self.elements.append({"tag": tag, "text": "", **dict(attrs)})

    def handle_endtag(self, tag):
        assert self.open.pop()["tag"] == tag

    def handle_data(self, data):
        for element in self.open:
            element["text"] += data

    def all(self, tag, **wanted):
        return [
            element
            for element in self.elements
            if element["tag"] == tag
            and all(element.get(name) == value for name, value in wanted.items())
        ]

    def one(self, tag, **wanted):
        (element,) = self.all(tag, **wanted)
        return element

    def article(self, tank):
        link = next(a for a in self.all("a") if a["text"] == tank)
        return self.one("article", id=link["href"].removeprefix("#"))


@pytest.fixture
def path(tmp_path):
    return tmp_path / "report.html"


def source(made, path, words=None):
    renderer("report.html")(made, words or wording(), REFERENCE, path)
    return path.read_text("utf-8")


def page(made, path):
    return Page(source(made, path))


def test_summary_lists_each_tank_worst_first_with_a_link_to_its_section(path):
    seen = page(report(), path)
    rows = [e for e in seen.all("tr", role="row") if "data-rank" in e]
    assert [row["data-attention"] for row in rows] == [
        "today", "this week", "watch", "steady",
    ]  # fmt: skip
    links = [a for a in seen.all("a") if a["href"].startswith("#tank-")]
    assert [link["text"] for link in links] == ["B 2", "A-1", "D-4", "C-3"]
    ids = {element["id"] for element in seen.elements if "id" in element}
    assert all(a["href"][1:] in ids for a in seen.all("a"))


def test_section_of_a_tank_says_what_to_do_why_and_when_to_stop(path):
    said = page(report(), path).article("A-1")["text"]
    for words in (
        "The headline of a this week tank.",
        "Add 1.32 g to A-1, dissolved first.",
        "Something must register.",
        "Stop when it registers.",
        "Keep dry.",
        "Expect: Nitrate +4 mg/L",
        "Leave the rest alone.",
        "What it means.",
        "70 % new rock takes it up: Dry rock.",
        "Test again",
        "ugly phase (80 % sure)",
    ):
        assert words in " ".join(said.split())


def test_a_caution_comes_once_and_the_last_work_is_told_apart(path):
    made = report()
    entry = made.tanks[1]
    dose = entry.plan.actions[1]
    plan = replace(entry.plan, actions=(dose, replace(dose, id="again")))
    old, new = (
        replace(e, verdict=text(words), work=replace(e.work, on=days(day)))
        for e, words, day in zip(
            entry.findings.effects * 2, ("It did not.", "It did."), (-20, -5),
            strict=True,
        )
    )  # fmt: skip
    found = replace(entry.findings, effects=(old, new))
    seen = page(replace(made, tanks=(replace(entry, plan=plan, findings=found),)), path)
    said = " ".join(seen.article("A-1")["text"].split())
    assert said.count("Keep dry.") == 1
    assert "show? Dose, Wed 25 Mar, nitrate: It did." in said
    assert (
        "Dose, Tue 10 Mar, nitrate: It did not." in seen.one("details", id=None)["text"]
    )


def test_section_shows_what_a_reading_can_mean(path):
    said = " ".join(page(report(), path).article("B 2")["text"].split())
    assert "75 or more" in said
    assert "0 to 0.08" in said
    assert "cannot tell" in said
    assert "Phosphate: The test cannot tell." in said


def test_a_value_that_is_not_believed_is_shown_and_named(path):
    said = " ".join(page(report(), path).article("A-1")["text"].split())
    assert "not believed: test again" in said
    assert "Phosphate, 30.0: ppb?" in said


def test_untested_tank_has_its_section(path):
    said = " ".join(page(report(), path).article("D-4")["text"].split())
    assert "not tested" in said
    assert "Nothing to do." in said


def test_pictures_say_in_words_what_they_show(path):
    pictures = [e for e in page(report(), path).all("svg") if e.get("role") == "img"]
    assert pictures
    for picture in pictures:
        assert picture["text"].startswith(("Nitrate", "Phosphate"))


def test_change_since_the_last_report_and_what_was_not_done(path):
    changes = (TankChange("A-1", "worse", "watch", (), ("dose-nitrate",)),)
    made = replace(report(), since=days(-7), changes=changes)
    seen = page(made, path)
    said = " ".join(seen.article("A-1")["text"].split())
    assert "Since Mon 23 Mar 2026: worse (was: Watch)" in said
    assert "Asked last time and not noted as done." in said
    assert seen.article("C-3")["text"].count("Since Mon") == 0


def test_problems_are_listed_by_cell_and_a_cut_is_said(path):
    seen = source(report(), path)
    assert "shop.xlsx, Readings!C22" in seen
    problem = report().problems[0]
    many = replace(report(), problems=(problem,) * (MOST_PROBLEMS + 7))
    assert "7 and more" in source(many, path)
    none = replace(report(), problems=())
    assert "Nothing was left out." in source(none, path)
    assert isinstance(problem, Problem)


def test_report_without_tanks_is_a_page(path):
    seen = page(replace(report(), tanks=(), shopping=()), path)
    assert "No tanks." in seen.one("main")["text"]


def test_page_asks_for_nothing_from_outside(path):
    text_of_page = source(report(), path)
    seen = Page(text_of_page)
    for element in seen.elements:
        assert element["tag"] not in (
            "link",
            "img",
            "iframe",
            "object",
            "embed",
            "base",
        )
        for name in ("src", "action", "style", "srcset", "background", "data"):
            assert name not in element
        assert not [name for name in element if name.startswith("on")]
        assert element.get("href", "#").startswith("#")
    assert not re.search(r"url\(|@import|https?:(?!//)|//\w+\.", text_of_page)


def test_policy_allows_only_the_style_and_script_of_the_page(path):
    seen = page(report(), path)
    policy = seen.one("meta", **{"http-equiv": "Content-Security-Policy"})["content"]
    rules = dict(rule.strip().split(" ", 1) for rule in policy.split(";"))
    assert rules["default-src"] == rules["base-uri"] == rules["form-action"] == "'none'"
    for tag in ("style", "script"):
        digest = hashlib.sha256(seen.one(tag)["text"].encode()).digest()
        assert rules[f"{tag}-src"] == f"'sha256-{base64.b64encode(digest).decode()}'"
    # It must come before anything it is to govern.
    assert [e["tag"] for e in seen.elements[:4]] == ["html", "head", "meta", "meta"]


def test_page_is_built_for_everyone(path):
    seen = page(report(), path)
    assert seen.one("html")["lang"] == "en"
    levels = [int(e["tag"][1]) for e in seen.elements if re.fullmatch(r"h\d", e["tag"])]
    assert levels[0] == 1
    assert all(
        after <= before + 1 for before, after in zip(levels, levels[1:], strict=False)
    )
    labels = {label.get("for") for label in seen.all("label")}
    for field in (*seen.all("select"), *seen.all("input", type="search")):
        assert field["id"] in labels
    for table in seen.all("table"):
        assert table["aria-labelledby"]
    for head in seen.all("th"):
        assert head["scope"] in ("col", "row")
    assert len(seen.all("main")) == 1


def test_ids_are_unique_and_name_nobody(path):
    seen = page(report("Ana"), path)
    ids = [element["id"] for element in seen.elements if "id" in element]
    assert len(set(ids)) == len(ids)
    assert not [name for name in ids if "ana" in name.lower() or "noor" in name.lower()]


def test_lists_to_choose_by_hold_each_value_once(path):
    made = report()
    moved = replace(made.tanks[0], tank=replace(made.tanks[0].tank, place="Back room"))
    seen = page(replace(made, tanks=(moved, *made.tanks[1:])), path)
    assert [e["text"] for e in seen.all("option")] == ["all", "Back room", "Front hall"]


def test_foreign_text_is_text_and_nothing_else(path):
    plain, seen = page(report("Ana"), path), page(report(HOSTILE), path)
    assert {e["tag"] for e in seen.elements} == {e["tag"] for e in plain.elements}
    for tag in ("script", "style", "meta", "form"):
        assert len(seen.all(tag)) == len(plain.all(tag))
    exact = clean(HOSTILE)
    assert f"A-1{exact}" in [a["text"] for a in seen.all("a")]
    row = next(e for e in seen.elements if e.get("data-place", "").startswith(exact))
    assert row["data-place"] == f"{exact}Front hall"
    names = {name for element in seen.elements for name in element}
    assert names == {name for element in plain.elements for name in element}
    raw = path.read_text("utf-8")
    assert not set(raw) & set(STEERING)
    # A template that read the text would have worked out the sum.
    assert raw.count("{{ 7*7 }}") == raw.count("&amp;amp;{{ 7*7 }}") > 40


def test_sentences_keep_their_few_tags_and_no_other(path):
    made = report()
    entry = made.tanks[3]
    spoken = replace(entry.plan, headline=say("sample.nitrate", value=8.0))
    raw = source(replace(made, tanks=(replace(entry, plan=spoken),)), path)
    assert "NO<sub>3</sub> is 8 mg/L." in raw
    spoken = replace(entry.plan, headline=text("<b onclick=x>a</b>"))
    raw = source(replace(made, tanks=(replace(entry, plan=spoken),)), path)
    assert "&lt;b onclick=x&gt;a&lt;/b&gt;" in raw


def test_own_script_may_not_end_the_script(path, tmp_path):
    own = shutil.copytree(WORDS, tmp_path / "own")
    (own / "report.js").write_text("x = '</script><script>alert(1)</script>'")
    words = Wording(REFERENCE, Settings(), own)
    with pytest.raises(DataTableError, match=r"report\.js must not hold"):
        source(report(), path, words)


def test_equal_reports_make_equal_bytes(path):
    assert source(report(), path) == source(report(), path)


def test_what_to_weigh_is_a_solution_and_millilitres_for_each_tank(path):
    seen = page(report(), path)
    rows = [row["text"] for row in seen.all("tr")]
    (row,) = [row for row in rows if row.startswith("Sodium nitrate")]
    # 32.9 mL x 4 of 40 g/L; the bottle of 250 mL takes 10 g.
    assert row == "Sodium nitrate10 g250 gFill up to 250 mL.A-1 32.9 mL a day, 4 days"


def test_what_is_kept_is_written_once_and_never_markup():
    written = []

    def macro(word):
        written.append(word)
        return escape(word)

    kept = Kept(macro)
    assert kept[("<b>1</b>",)] == kept[("<b>1</b>",)] == "&lt;b&gt;1&lt;/b&gt;"
    assert len(written) == 1
    # Foreign text of the same characters would come out as markup.
    with pytest.raises(TypeError, match="plain words"):
        Kept(macro)[(Markup("<b>1</b>"),)]
