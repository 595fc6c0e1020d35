import itertools
import re
from datetime import timedelta

import pytest
from pypdf import PdfReader

from fleet.records import TankChange
from fleet.render.fonts import FALLBACK
from fleet.render.pdf_page import BOTTOM, WIDTH, Document
from fleet.render.pdf_sheets import DENSE, Press, write
from fleet.render.sheet_reasons import flow
from tests.render import builders as b
from tests.render import placed

PAPERS = ("A4", "Letter")


def made(tmp_path, report, name="sheets.pdf", **settings):
    path = tmp_path / name
    write(report, b.wording(**settings), b.REFERENCE, path)
    return path


@pytest.fixture(scope="module")
def sheets(tmp_path_factory):
    """Return the path of the ordinary and the hard sheets, on both papers."""
    folder = tmp_path_factory.mktemp("sheets")
    return {
        (kind, paper): made(
            folder, getattr(b, kind)(paper=paper), f"{kind}-{paper}.pdf", paper=paper
        )
        for kind in ("ordinary", "hard")
        for paper in PAPERS
    }


def flat(page):
    return " ".join(page.extract_text().replace("\u00a0", " ").split())


def text_of(path):
    return " ".join(flat(page) for page in PdfReader(path).pages)


def squares(path):
    """Return the sides of all square boxes that are drawn."""
    operators = "".join(map(placed.content, PdfReader(path).pages))
    found = re.findall(r" (\d+\.\d) (\d+\.\d) re S", operators)
    return [float(wide) for wide, high in found if wide == high]


def one(tmp_path, tank, **settings):
    return text_of(made(tmp_path, b.report_of(tank, **settings), **settings))


# ------------------------------------------------------------------ what is said


def test_every_amount_of_every_action_stands_on_its_sheet(tmp_path):
    display = b.wording().display
    for make in (*b.ORDINARY, *b.HARD):
        tank = make()
        said = one(tmp_path, tank)
        for action in tank.plan.actions:
            days = action.days or 1
            several = days > 1
            for value, shown in (
                (action.per_day_g, lambda day, n=days: display.grams_of(day, n)),
                (action.per_day_ml, lambda day, n=days: display.millilitres_of(day, n)),
                (action.per_day_g if several else None, display.grams),
                (action.per_day_ml if several else None, display.millilitres),
                (action.water_change_l, display.litres),
                (action.water_change_share, display.share),
            ):
                assert value is None or shown(value) in said, (action.id, value)
            for parameter, rise in action.expected:
                assert display.change(rise, parameter) in said


def test_every_sentence_of_the_plan_stands_on_its_sheet(tmp_path):
    wording = b.wording()
    for make in b.ORDINARY:
        tank = make()
        said = one(tmp_path, tank)
        plan = tank.plan
        sentences = [plan.headline, *plan.meaning, *plan.leave_alone]
        for action in plan.actions:
            sentences += [action.what, action.why, *action.cautions]
            sentences += [s for s in (action.stop_if, action.stock) if s]
        sentences += tank.findings.last_work
        for sentence in sentences:
            assert " ".join(wording.plain(sentence).split()) in said
        for listed in tank.findings.cause_lists:
            for cause in listed.causes[:3]:
                assert wording.display.share(cause.share) in said


def test_readings_stand_as_written_and_as_what_they_can_mean(tmp_path):
    tank = b.cannot_tell()
    said = one(tmp_path, tank)
    for finding in tank.findings.findings:
        shown = b.wording().display.can_mean(finding.latest)
        unit = b.wording().display.unit(finding.parameter)
        assert shown.removesuffix(unit).strip() in said
    assert "Phosphate mg/L 0 0 to 0.08 0.03 to 0.1 cannot tell" in said
    # The doubted value is shown and named as such, and never given a verdict.
    assert "Phosphate mg/L 30 not believed: test again" in said


@pytest.mark.parametrize(
    ("now", "before", "shown"),
    [(50, 10, "up 40"), (10, 50, "down 40"), (10, 11, "no clear change")],
)
def test_a_change_is_named_only_where_the_tests_can_tell(tmp_path, now, before, shown):
    history = (
        b.read("nitrate", "nitrate-card", before, -8),
        b.read("nitrate", "nitrate-card", now, -1),
    )
    of = b.steady()
    tank = b.replace(
        of,
        findings=b.replace(
            of.findings, findings=(b.found("within", *history, low=2, high=60),)
        ),
    )
    assert f"within {shown}" in one(tmp_path, tank)


def test_stage_sureness_place_and_urgency_stand_at_the_top(tmp_path):
    path = made(tmp_path, b.report_of(b.ugly()))
    first = placed.pages(path)[0]
    said = [text.text for text in sorted(first, key=lambda text: -text.y)[:9]]
    assert {"THIS WEEK", "B-03", "Back wall, lower shelf"} < set(said[:5])
    assert "Stage: ugly phase · 85 % sure · 63 days since filled" in " ".join(said)


def test_a_caution_stands_before_the_step_it_concerns_and_once(tmp_path):
    said = one(tmp_path, b.ugly())
    caution, step = said.index("Nitrate salts feed a fire"), said.index("Add 17.3 mL")
    assert caution < step
    assert said.count("Nitrate salts feed a fire") == 1


def test_a_caution_without_words_takes_no_other_with_it(tmp_path):
    of = b.ugly()
    first = b.replace(of.plan.actions[0], cautions=(b.text(""), b.text("Mind this.")))
    blank = b.replace(of.plan.actions[1], cautions=(b.text(" "),))
    plan = b.replace(of.plan, actions=(first, blank))
    said = one(tmp_path, b.replace(of, plan=plan))
    assert said.count("Mind this.") == 1


@pytest.mark.parametrize(
    ("days", "first_days"), [(15, 15), (16, 2), (70, 5), (366, 27)]
)
@pytest.mark.parametrize("paper", PAPERS)
def test_each_day_of_a_long_course_has_its_box(tmp_path, days, first_days, paper):
    of = b.steady()
    swap = b.action(
        "1", "welfare", "Swap water.", "x", days=days, until=b.day(days - 1)
    )
    tank = b.replace(of, plan=b.replace(of.plan, actions=(swap,)))
    path = made(tmp_path, b.report_of(tank, paper=paper), paper=paper)
    usual = made(tmp_path, b.report_of(of, paper=paper), "none.pdf", paper=paper)
    assert len(squares(path)) - len(squares(usual)) == days + 1
    shown = b.wording().display.short_day
    said = text_of(path)
    # Each day is named up to fifteen, then the first of each two weeks.
    step = 1 if days <= 15 else 14
    for number in range(0, days, step):
        assert shown(b.day(number)) in said
    assert len(range(0, days, step)) == first_days
    for texts in placed.pages(path):
        assert placed.overlaps(texts) == []
        assert all(text.y >= BOTTOM for text in texts)


def test_each_caution_begins_a_line_however_small_the_letters(tmp_path):
    # So much to do that the sheet is set in its smallest letters.
    of = too_much()
    first, *others = of.plan.actions
    words = [f"WARNING: {word} can hurt." for word in ("salt", "dust", "gas", "glass")]
    warned = b.replace(first, cautions=tuple(b.text(said) for said in words))
    plan = b.replace(of.plan, actions=(warned, *others))
    path = made(tmp_path, b.report_of(b.replace(of, plan=plan)))
    signals = [t for t in placed.pages(path)[0] if t.text.startswith("WARNING:")]
    assert signals[0].size < 9
    assert len({text.y for text in signals}) == len(signals) >= 4
    assert len({text.x for text in signals}) == 1


def test_no_gap_cuts_a_sentence_that_flows_round_the_charts(tmp_path):
    # However far down the charts reach, the lines keep their distance.
    report = b.report_of(b.ugly())
    path = tmp_path / "flow.pdf"
    document = Document(path, "A4", "flow", b.AS_OF, "made by", "en")
    desk = Press(document, report, b.wording(), b.REFERENCE).desks[DENSE]
    words = desk.raw("What it means to a keeper of tanks. " * 30)
    for tenths in range(0, 500, 7):
        drawing = document.drawing()
        flow(desk, drawing, [words], 0.0, -tenths / 10)
        found = re.findall(r"BT \S+ (\S+) Td", drawing.operators())
        rows = sorted({float(y) for y in found}, reverse=True)
        gaps = [high - low for high, low in itertools.pairwise(rows)]
        assert len(gaps) > 4
        assert max(gaps) < 1.12 * desk.sizes.body_lead


def test_what_says_nothing_is_left_out(tmp_path):
    of = b.ugly()
    told = of.findings.last_work[0]
    change, dose = (
        b.say("effects.nothing-to-tell", work=work, on=b.day(-9))
        for work in ("water change", "dose")
    )
    stage = b.replace(of.findings.stage, sure=0.9)
    found = b.replace(of.findings, last_work=(told, change, dose), stage=stage)
    said = one(tmp_path, b.replace(of, findings=found))
    assert b.wording().plain(told) in said
    assert "What the dose of Thu 19 Feb did cannot be told" in said
    assert "What the water change of" not in said
    assert "Stage: ugly phase · 63 days since filled" in said  # all signs agree


@pytest.mark.parametrize(
    ("parameter", "class_key", "value", "told"),
    [
        ("salinity", "refractometer", 35.3, False),  # its row says all of it
        ("nitrite", "nitrite-card", 0.3, True),
        ("nitrate", "nitrate-card", 15.0, True),
    ],
)
def test_a_value_near_an_edge_is_explained_where_it_matters(
    tmp_path, parameter, class_key, value, told
):
    of = b.steady()
    near = b.read(parameter, class_key, value, 0)
    why = b.text("That is too wide to say on which side it lies.")
    finding = b.found("cannot tell", near, low=0.0, high=value, why=why)
    others = (f for f in of.findings.findings if f.parameter != parameter)
    found = b.replace(of.findings, findings=(finding, *others))
    said = one(tmp_path, b.replace(of, findings=found))
    assert "cannot tell" in said
    assert ("That is too wide to say" in said) is told


def test_a_dose_over_days_has_a_box_for_each_day(tmp_path):
    said = one(tmp_path, b.ugly())
    assert "Sat 28 Feb Sun 1 Mar Mon 2 Mar" in said
    path = made(tmp_path, b.report_of(b.ugly()))
    small = [side for side in squares(path) if side <= 12]  # those of steps: 15.6
    assert len(small) == 3 + 2


def test_a_box_to_tick_for_each_thing_to_do_and_none_for_holding_off(tmp_path):
    tank = b.ammonia()
    path = made(tmp_path, b.report_of(tank))
    # From 4.5 mm, which is 12.8 pt.
    ticked = [a for a in tank.plan.actions if a.kind not in ("hold off", "wait")]
    assert len([side for side in squares(path) if side > 12.7]) == len(ticked) == 3


def test_each_retest_has_a_box_to_write_in(tmp_path):
    tank = b.untested()
    path = made(tmp_path, b.report_of(tank))
    operators = "".join(map(placed.content, PdfReader(path).pages))
    # 25 mm by 9 mm are 70.9 by 25.5 pt.
    assert operators.count(" 70.9 25.5 re S") == len(tank.plan.retests) == 3


def test_what_was_asked_last_time_and_not_done_is_named(tmp_path):
    report = b.replace(
        b.report_of(b.ugly()),
        since=b.day(-7),
        changes=(TankChange("B-03", "worse", "watch", (), ("2",)),),
    )
    said = text_of(made(tmp_path, report))
    assert "Since Sat 21 Feb: worse" in said
    assert said.count("Asked last time and not noted as done.") == 1


def test_an_assumed_method_is_named(tmp_path):
    of = b.steady()
    found = of.findings.of("nitrate")
    method = b.replace(found.latest.method, assumed=True)
    latest = b.replace_measured(found.latest, method=method)
    tank = b.replace(
        of,
        findings=b.replace(of.findings, findings=(b.replace(found, latest=latest),)),
    )
    said = one(tmp_path, tank)
    assert "Test not named, so taken as: nitrate, a colour card or tube test." in said


def test_stage_is_reasoned_only_where_it_is_not_sure(tmp_path):
    assert "Why this stage:" in one(tmp_path, b.ugly())
    assert "Why this stage:" not in one(tmp_path, b.steady())


def test_what_is_missing_is_asked_for(tmp_path):
    of = b.steady()
    tank = b.replace(
        of, findings=b.replace(of.findings, missing=(b.text("the kind of rock."),))
    )
    assert "Not known, and would help: the kind of rock." in one(tmp_path, tank)


def test_a_day_stands_beside_a_step_only_where_it_is_not_today(tmp_path):
    first = placed.pages(made(tmp_path, b.report_of(b.ugly())))[0]
    start = next(t.y for t in first if t.text.startswith("Take the filter"))
    end = next(t.y for t in first if t.text == "Leave alone")
    at_right = [
        t.text for t in first if t.end > 540 and t.x > 460 and start >= t.y > end
    ]
    assert at_right == ["until Sat 21 Mar", "Wed 4 Mar"]
    assert any("Today, unless a day stands at the right." in t.text for t in first)


def test_what_waits_for_the_next_round_is_left_to_the_slip(tmp_path):
    of = b.ugly()
    asked = (("nitrate", b.day(4)), ("ph", b.day(7)), ("salinity", b.day(7)))
    tank = b.replace(of, plan=b.replace(of.plan, retests=asked))
    path = made(tmp_path, b.report_of(tank))
    said = text_of(path)
    assert (
        "With the next round, Sat 7 Mar, on its reading slip: pH and salinity." in said
    )
    operators = "".join(map(placed.content, PdfReader(path).pages))
    assert operators.count(" 70.9 25.5 re S") == 1


def test_an_old_reading_says_of_when_it_is(tmp_path):
    of = b.steady()
    old = b.replace(of.findings.of("ph"), stale=True, verdict="not judged")
    others = [f for f in of.findings.findings if f.parameter != "ph"]
    tank = b.replace(of, findings=b.replace(of.findings, findings=(*others, old)))
    assert "not judged old: Fri 27 Feb" in one(tmp_path, tank)


def test_cycle_tests_that_were_none_long_ago_take_one_line(tmp_path):
    of = b.steady()
    old = [
        b.found("not judged", b.nothing(name, f"{name}-card", -60), stale=True)
        for name in ("ammonia", "nitrite")
    ]
    tank = b.replace(
        of,
        findings=b.replace(of.findings, findings=(*of.findings.findings, *old)),
    )
    said = one(tmp_path, tank)
    none = "None when last tested, and not judged now: ammonia (Tue 30 Dec), nitrite"
    assert none in said
    assert "old: Tue 30 Dec" not in said


def test_why_a_value_is_not_believed_is_told_once(tmp_path):
    of = b.cannot_tell()
    (doubted,) = of.findings.of("phosphate").doubted
    why = b.wording().plain(doubted.doubt.why)
    said = one(tmp_path, of)
    assert said.count(why) == 1
    plan = b.replace(of.plan, meaning=(doubted.doubt.why,))
    assert one(tmp_path, b.replace(of, plan=plan)).count(why) == 1


def test_of_the_last_work_is_said_what_was_chosen_and_once(tmp_path):
    of = b.ugly()
    (new,) = of.findings.effects
    long_ago = b.replace(new, verdict=b.text("Long ago."))
    found = b.replace(of.findings, effects=(long_ago, new, new))
    said = one(tmp_path, b.replace(of, findings=found))
    assert "Long ago." not in said
    assert said.count("was worked out to raise nitrate") == 1


# -------------------------------------------------------------------- the paper


def test_one_page_a_tank(sheets):
    for paper in PAPERS:
        pages = PdfReader(sheets["ordinary", paper]).pages
        assert len(pages) == len(b.ORDINARY)
        for page, make in zip(pages, b.ORDINARY, strict=True):
            said = flat(page)
            assert f"{make().tank.id} · page 1 of 1" in said
            assert "Done by" in said


@pytest.mark.parametrize(
    ("make", "begins", "least", "most"),
    [
        (b.untested, "Test nitrate, phosphate", 13.5, 13.5),
        (b.over, "Change 240 L", 11, 13.5),
        (b.ugly, "Add 17.3 mL", 10.5, 12),  # two doses, each with its recipe
    ],
)
def test_letters_are_as_large_as_the_page_allows(tmp_path, make, begins, least, most):
    (texts,) = placed.pages(made(tmp_path, b.report_of(make())))
    (step,) = [text for text in texts if text.text.startswith(begins)]
    assert least <= step.size <= most


def too_much(of=b.ugly):
    """Return a tank with more to do than a page holds together with its reasons."""
    tank = of()
    more = [b.action(f"c{number}", "check", f"Check number {number}. " + "Look. " * 20,
                     "So that it is known.") for number in range(1, 9)]  # fmt: skip
    plan = b.replace(tank.plan, actions=(*more, *tank.plan.actions))
    return b.replace(tank, plan=plan)


def test_where_two_pages_must_be_the_work_is_whole_on_the_first(tmp_path):
    for paper in PAPERS:
        report = b.report_of(too_much(), paper=paper)
        first, second = PdfReader(made(tmp_path, report, paper=paper)).pages
        assert "What was read" not in flat(first)
        assert "Done by" in flat(first)
        assert "(continued)" in flat(second)
        assert "What was read" in flat(second)
        assert "Likely causes" in flat(second)


def test_no_page_has_a_dose_without_its_cautions(tmp_path):
    of = b.many_actions()
    _, *others = b.many_actions().plan.actions
    wordy = [b.replace(a, what=b.text("Check. " + "Look well at it. " * 30))
             if a.kind == "check" else a for a in others]  # fmt: skip
    mixed = [a for pair in zip(wordy[:3], wordy[3:6], strict=True) for a in pair]
    plan = b.replace(of.plan, actions=(*mixed, *wordy[6:], *wordy[:1]))
    path = made(tmp_path, b.report_of(b.replace(of, plan=plan)))
    pages = [flat(page) for page in PdfReader(path).pages]
    with_dose = [said for said in pages if "sodium nitrate stock" in said]
    assert len(with_dose) > 1
    for said in with_dose:
        assert said.count("Nitrate salts feed a fire") == 1
        caution = said.index("Nitrate salts feed a fire")
        assert caution < said.index("sodium nitrate stock")


def test_what_is_only_noted_down_stands_with_the_signature(tmp_path):
    of = b.over()
    log = b.action("9", "log", "Write down what was done.", "So that it can be seen.")
    tank = b.replace(of, plan=b.replace(of.plan, actions=(*of.plan.actions, log)))
    said = one(tmp_path, tank)
    assert said.index("Test again and") < said.index("Write down what was done. So")
    assert said.index("Write down what was done.") < said.index("Done by")


def test_every_page_carries_its_tank_and_its_number(sheets):
    for paper in PAPERS:
        for page in PdfReader(sheets["hard", paper]).pages:
            assert re.search(r"(M-12|Tank-with|-9).* · page \d of \d", flat(page))


def test_twelve_things_to_do_are_all_there(sheets):
    for paper in PAPERS:
        said = text_of(sheets["hard", paper])
        for number in range(1, 9):
            assert f"Check number {number}:" in said


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("kind", ["ordinary", "hard"])
def test_no_text_runs_into_another_or_off_the_page(sheets, kind, paper):
    width = {"A4": 595.28, "Letter": 612.0}[paper]
    left = (width - WIDTH) / 2
    for texts in placed.pages(sheets[kind, paper]):
        assert len(texts) > 10
        assert placed.overlaps(texts) == []
        for text in texts:
            assert left - 1 <= text.x
            assert text.end <= left + WIDTH + 1, text.text
            assert text.y >= BOTTOM, text.text


def test_what_is_to_be_done_is_large_enough_to_read_at_arms_length(sheets):
    """Hold the least sizes.

    Clear print asks for 12 pt of a common sans serif and 14 pt better (UKAAF G003);
    a condensed face with tall letters at 10.5 pt is as tall as Helvetica at 11.
    """
    for key, path in sheets.items():
        for texts in placed.pages(path):
            for text in texts:
                if re.match(r"Add \d|Change \d|Check (the|num)|Look at", text.text):
                    assert text.size >= 10.5, (key, text)
                if len(text.text) > 40:  # whole sentences, not numbers of a table
                    assert text.size >= 8, (key, text)
                assert text.size >= 6.5


def test_a_tank_is_named_in_large_letters_on_each_page(sheets):
    for texts in placed.pages(sheets["ordinary", "A4"]):
        assert max(text.size for text in texts) >= 28


def test_nothing_is_told_by_colour(sheets):
    for path in sheets.values():
        for page in PdfReader(path).pages:
            assert not re.search(r"\b(rg|RG|k|K|scn|SCN)\b", re.sub(
                r"\((?:[^()\\]|\\.)*\)", "", placed.content(page)))  # fmt: skip


def test_only_the_bundled_fonts_are_used_and_embedded(sheets):
    fonts = PdfReader(sheets["ordinary", "A4"]).pages[0]["/Resources"]["/Font"]
    for reference in fonts.values():
        font = reference.get_object()
        assert "DejaVuSansCondensed" in font["/BaseFont"]
        assert "/FontFile2" in font["/FontDescriptor"]


# ----------------------------------------------------------------- foreign text


def test_what_the_font_lacks_is_marked_and_the_mark_explained(tmp_path):
    said = one(tmp_path, b.foreign_script())
    assert f"{FALLBACK}{FALLBACK}-9" in said
    assert f"{FALLBACK} = a letter this font lacks" in said
    assert "Ørsted Łódź Ñandú Ωμέγα Жемчуг" in said
    assert "NO₃ PO₄ ½" in said
    assert "■" not in said


def test_a_sheet_without_such_letters_explains_no_mark(tmp_path):
    report = b.report_of(b.foreign_script(), b.steady())
    pages = PdfReader(made(tmp_path, report)).pages
    assert FALLBACK in flat(pages[0])
    assert FALLBACK not in flat(pages[1])


def test_markup_in_a_name_is_printed_not_obeyed(sheets):
    assert "<b>nicht fett</b>" in text_of(sheets["hard", "A4"])


def test_a_sentence_of_inhuman_length_is_cut_with_a_mark(tmp_path):
    of = b.ugly()
    more = {"stop_if": b.text("y" * 9000), "stock": b.text("z " * 9000)}
    monster = b.action("1", "check", "word " * 8000, "x" * 30_000, **more)
    plan = b.replace(of.plan, actions=(monster,), headline=b.text("w" * 9000))
    tank = b.replace(of, plan=plan)
    path = made(tmp_path, b.report_of(tank))
    pages = placed.pages(path)
    assert len(pages) <= 3
    assert [placed.overlaps(texts) for texts in pages] == [[]] * len(pages)
    assert all(text.y >= BOTTOM for texts in pages for text in texts)
    assert "…" in text_of(path)


def test_letters_beyond_one_font_table_are_read_back(tmp_path):
    of = b.steady()
    many = "".join(chr(code) for code in range(0x100, 0x240))
    tank = b.replace(of, tank=b.replace(of.tank, notes=many))
    said = one(tmp_path, tank).replace(" ", "")
    assert many[:60] in said


# ------------------------------------------------------------------ the document


def test_the_outline_leads_to_each_tank(sheets):
    reader = PdfReader(sheets["ordinary", "A4"])
    titles = [item.title for item in reader.outline]
    assert len(titles) == len(b.ORDINARY)
    assert titles[2] == "B-03 · THIS WEEK · Back wall, lower shelf"
    for item, make in zip(reader.outline, b.ORDINARY, strict=True):
        page = reader.get_destination_page_number(item)
        assert make().tank.id in flat(reader.pages[page])


def test_the_document_says_what_it_is(sheets):
    reader = PdfReader(sheets["ordinary", "A4"])
    assert reader.metadata.title == "Action sheets Sat 28 Feb 2026"
    assert reader.metadata.creation_date.date() == b.AS_OF
    assert reader.metadata.creator == "fleet 0.1.0"
    assert reader.trailer["/Root"]["/Lang"] == "en"


def test_equal_reports_give_equal_bytes(tmp_path):
    first = made(tmp_path, b.ordinary(), "one.pdf").read_bytes()
    made(tmp_path, b.hard(), "between.pdf")
    assert made(tmp_path, b.ordinary(), "two.pdf").read_bytes() == first


def test_another_day_gives_another_file(tmp_path):
    later = b.replace(b.ordinary(), as_of=b.AS_OF + timedelta(days=1))
    one_day = made(tmp_path, b.ordinary(), "one.pdf").read_bytes()
    assert made(tmp_path, later, "two.pdf").read_bytes() != one_day


def test_no_tanks_is_still_a_page(tmp_path):
    path = made(tmp_path, b.report_of())
    assert len(PdfReader(path).pages) == 1


def test_foreign_files_and_makers_stay_inside_the_foot(tmp_path):
    report = b.report_of(b.steady())
    source = b.replace(report.sources[0], name="long name " * 40 + ".xlsx")
    path = made(tmp_path, b.replace(report, sources=(source,) * 5))
    for texts in placed.pages(path):
        assert placed.overlaps(texts) == []


def test_both_units_and_languages_of_number_are_followed(tmp_path):
    said = one(tmp_path, b.over(), units="US")
    assert "63.4 US gal" in said  # 240 L
