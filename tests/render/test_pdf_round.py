import re

import pytest
from pypdf import PdfReader

from fleet.records import ShoppingLine
from fleet.render.pdf_page import BOTTOM, WIDTH
from fleet.render.pdf_round import write
from fleet.render.round_needs import walking_order
from tests.render import builders as b
from tests.render import placed


def made(tmp_path, report, name="round.pdf", **settings):
    path = tmp_path / name
    write(report, b.wording(**settings), b.REFERENCE, path)
    return path


def text_of(path):
    words = " ".join(page.extract_text() for page in PdfReader(path).pages)
    return " ".join(words.replace("\u00a0", " ").split())


def many(number):
    tanks = []
    for count in range(number):
        of = b.ORDINARY[count % len(b.ORDINARY)]()
        tank = b.replace(of.tank, id=f"{of.tank.id}/{count}", key=str(count))
        tanks.append(b.replace(of, tank=tank))
    return b.report_of(*tanks)


def test_tanks_stand_worst_first_with_their_message(tmp_path):
    report = b.ordinary()
    said = text_of(made(tmp_path, report))
    table = said[: said.index("Walking order")]
    starts = [table.index(entry.tank.id) for entry in report.tanks]
    assert starts == sorted(starts)
    for entry in report.tanks:
        message = b.wording().plain(entry.plan.headline)
        assert message in table


def test_how_many_tanks_want_what_is_counted_at_the_top(tmp_path):
    said = text_of(made(tmp_path, b.ordinary()))
    assert "2 Today 2 This week 2 Watch 1 Steady" in said


def test_walking_order_is_round_order_then_place_then_tank(tmp_path):
    later = b.replace(b.steady().tank, id="Z", key="z", round_order=None, place="a")
    other = b.replace(b.steady().tank, id="Y", key="y", round_order=None, place="B")
    tanks = tuple(b.replace(b.steady(), tank=tank) for tank in (other, later))
    ordered = walking_order((*tanks, *b.ordinary().tanks))
    assert [entry.tank.id for entry in ordered] == [
        "Q-1", "A-07", "B-03", "D-12", "F-02", "S-01", "N-5", "Z", "Y",
    ]  # fmt: skip


def test_numbers_are_walked_as_people_count_and_no_place_comes_last():
    def at(tank, place):
        named = b.replace(
            b.steady().tank, id=tank, key=tank.casefold(), round_order=None, place=place
        )
        return b.replace(b.steady(), tank=named)

    met = [at("T10", "Hall"), at("T1", ""), at("T4", "Hall"), at("X", "Bay 10"),
           at("Y", "Bay 9")]  # fmt: skip
    ids = [entry.tank.id for entry in walking_order(tuple(met))]
    assert ids == ["Y", "X", "T4", "T10", "T1"]


def test_all_that_is_due_this_round_is_in_the_walk_and_no_more(tmp_path):
    of = b.ugly()
    far = b.action("9", "check", "Look in three weeks.", "x", 21)
    tank = b.replace(of, plan=b.replace(of.plan, actions=(*of.plan.actions, far)))
    said = text_of(made(tmp_path, b.report_of(tank)))
    walk = said[said.index("Walking order") :]
    for action in of.plan.actions:
        assert b.wording().plain(action.what) in walk
    assert "Wed 4 Mar: Test nitrate again" in walk
    assert "three weeks" not in walk


def test_what_to_weigh_is_summed_and_what_to_buy_is_the_rest(tmp_path):
    said = text_of(made(tmp_path, b.ordinary()))
    # Worked by hand: 5 g for the bottle, 0.5 g there.
    recipe = "To make the solution: dissolve 5 g and fill up to 250 mL."
    assert f"Sodium nitrate 5 g 0.5 g 4.5 g {recipe} B-03 17.3 mL a day, 3 days" in said
    shelf = "From the bottle on the shelf: 1 g/L."
    assert f"100 g enough {shelf} B-03 6.5 mL a day, 4 days" in said


def test_what_is_too_little_to_weigh_is_told_in_millilitres_only(tmp_path):
    # 0.016 g for one tank: no scale of a shop shows it, a syringe does.
    thin = b.Portion("C5", 8.0, 2, 1.0)
    bottle = b.Bottle(10.0, 2.5, b.text("Dissolve 2.5 g, fill up to 250 mL."), (thin,))
    line = ShoppingLine("sodium-nitrate", 0.016, None, (("C5", 0.016),), (bottle,))
    said = text_of(made(tmp_path, b.replace(b.ordinary(), shopping=(line,))))
    weighed = said[said.index("To weigh") : said.index("New water")]
    assert "C5 8 mL thinned to 1 g/L a day, 2 days" in weighed
    assert "0.016 g" not in weighed
    assert "mg" not in weighed


def test_the_walk_names_a_test_that_is_due_after_the_round(tmp_path):
    of = b.ugly()
    late = b.action("9", "retest", "Test it in two weeks.", "x", 14)
    tank = b.replace(of, plan=b.replace(of.plan, actions=(*of.plan.actions, late)))
    said = text_of(made(tmp_path, b.report_of(tank)))
    assert "Test it in two weeks." in said[said.index("Walking order") :]


def test_what_is_on_hand_but_not_noted_is_said_so(tmp_path):
    line = ShoppingLine("sodium-nitrate", 2.0, None, (("B-03", 2.0),), (b.ON_SHELF,))
    report = b.replace(b.ordinary(), shopping=(line,))
    assert "Sodium nitrate 2 g not noted From the" in text_of(made(tmp_path, report))


def test_new_water_is_summed_with_about_how_much_salt_mix(tmp_path):
    said = text_of(made(tmp_path, b.ordinary()))
    # Worked by hand: 45 L at 33, 6 days of 32 L at 29 and 240 L at 35 PSU; 36 to
    # 38 g/L at 35 PSU: 45 x 33/35 x 0.036 = 1.53 kg, and so on; 15.9 to 16.8 in all.
    assert "Q-1 · saltwater like the tank's, 33 PSU 45 L 1.53 to 1.61 kg" in said
    stronger = "F-02 · stronger saltwater, 29 PSU: 32 L a day for 6 days 192 L 5.73 to"
    assert stronger in said
    assert "S-01 · saltwater like the tank's, 35 PSU 240 L 8.64 to 9.12 kg" in said
    assert "Saltwater together 477 L" in said
    mix = "About 15.9 to 16.8 kg of dry salt mix for 477 L, each at its own salinity."
    assert mix in said
    assert "check with a salinity meter" in said
    assert "urified" not in said[said.index("New water") :]


def swapping(way, salinity):
    """Return the steady tank (200 L) swapping water as the plan asks for."""
    litres, days = {"purified": (5.0, 5), "stronger": (200 / 12, 7)}[way]
    swap = b.action(
        "1", "welfare", "Swap water.", "x", water_change_l=litres, days=days,
        water_change_share=litres / 200, new_water=way, new_water_salinity=salinity,
    )  # fmt: skip
    of = b.steady()
    return b.replace(of, plan=b.replace(of.plan, actions=(swap,)))


def test_water_against_high_salinity_is_purified_and_has_no_salt_in_it(tmp_path):
    # 200 L at 40 PSU: 5 days of 5 L (tests/plan/test_situations_water.py), 25 L.
    said = text_of(made(tmp_path, b.report_of(swapping("purified", None))))
    listed = said[said.index("New water") :]
    assert "D-12 · purified (RO/DI) water: 5 L a day for 5 days 25 L" in listed
    assert "Purified water together, no salt in it 25 L" in listed
    assert "salt mix" not in listed
    assert "altwater" not in listed


def test_water_against_low_salinity_is_mixed_as_strong_as_its_sheet_says(tmp_path):
    # 200 L at 28 PSU: 7 days of 16.67 L at 40 PSU, 116.7 L; times 40/35 of 36 to
    # 38 g/L: 4.80 to 5.07 kg.
    said = text_of(made(tmp_path, b.report_of(swapping("stronger", 40.0))))
    listed = said[said.index("New water") :]
    assert "D-12 · stronger saltwater, 40 PSU: 17 L a day for 7 days 117 L" in listed
    assert "About 4.8 to 5.07 kg of dry salt mix for 117 L at 40 PSU." in listed
    assert "urified" not in listed


def test_purified_water_stands_apart_from_what_is_mixed(tmp_path):
    both = b.report_of(b.over(), swapping("purified", None))
    said = text_of(made(tmp_path, both))
    listed = said[said.index("New water") :]
    assert "Saltwater together 240 L" in listed
    assert "for 240 L at 35 PSU" in listed
    assert listed.index("Purified water together") > listed.index("salt mix")


def test_water_for_a_tank_of_unknown_salinity_is_as_its_sheet_says(tmp_path):
    of = b.over()
    first = b.replace(of.plan.actions[0], new_water_salinity=None)
    plan = b.replace(of.plan, actions=(first, *of.plan.actions[1:]))
    said = text_of(made(tmp_path, b.report_of(b.replace(of, plan=plan))))
    assert "S-01 · saltwater like the tank's 240 L 8.64 to 9.12 kg" in said
    assert "for 240 L, each at its own salinity" in said


def test_tanks_not_tested_for_longer_than_a_round_are_listed(tmp_path):
    of = b.steady()
    old = b.replace(of, findings=b.replace(of.findings, last_tested=b.day(-30)))
    report = b.report_of(old, b.untested(), b.ugly())
    said = text_of(made(tmp_path, report))
    listed = said[said.index("Not tested for longer") :]
    assert "D-12 (last test Thu 29 Jan 2026), N-5 (never tested)" in listed
    assert "B-03" not in listed


def test_left_out_cells_are_counted(tmp_path):
    said = text_of(made(tmp_path, b.ordinary()))
    assert "1 row or value left out, 1 read as something else" in said
    clean = b.replace(b.ordinary(), problems=())
    assert "left out" not in text_of(made(tmp_path, clean)).lower()


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_nothing_runs_into_another_or_off_the_page(tmp_path, paper):
    width = {"A4": 595.28, "Letter": 612.0}[paper]
    left = (width - WIDTH) / 2
    for report in (many(60), b.hard()):
        report = b.replace(report, settings=b.replace(report.settings, paper=paper))
        pages = placed.pages(made(tmp_path, report, paper=paper))
        assert len(pages) > 1
        for texts in pages:
            assert placed.overlaps(texts) == []
            for text in texts:
                assert left - 1 <= text.x
                assert text.end <= left + WIDTH + 1
                assert text.y >= BOTTOM


def test_a_substance_for_many_tanks_goes_on_over_pages(tmp_path):
    per_tank = tuple((f"Tank {number}", 1.5) for number in range(800))
    portions = tuple(b.Portion(tank, 15.0, 1, 100.0) for tank, _ in per_tank)
    bottle = b.Bottle(100.0, 1200.0, b.text("Fill up to 12 L."), portions)
    line = ShoppingLine("sodium-nitrate", 1200.0, 500.0, per_tank, (bottle,))
    path = made(tmp_path, b.replace(b.ordinary(), shopping=(line,)))
    said = text_of(path)
    assert all(re.search(rf"\bTank {number} 15 mL", said) for number in range(800))
    assert "1,200 g 500 g 700 g" in said
    for texts in placed.pages(path):
        assert placed.overlaps(texts) == []
        assert all(text.y >= BOTTOM for text in texts)


def test_the_outline_leads_to_each_part(tmp_path):
    reader = PdfReader(made(tmp_path, b.ordinary()))
    titles = [item.title for item in reader.outline]
    assert titles[0] == "All tanks, worst first"
    assert titles[2:4] == ["To weigh", "New water to have ready"]


def test_equal_reports_give_equal_bytes(tmp_path):
    first = made(tmp_path, b.ordinary(), "one.pdf").read_bytes()
    assert made(tmp_path, b.ordinary(), "two.pdf").read_bytes() == first


def test_no_tanks_is_still_a_page(tmp_path):
    assert len(PdfReader(made(tmp_path, b.report_of())).pages) == 1
