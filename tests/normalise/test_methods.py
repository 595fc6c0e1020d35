"""Which method a reading rests on: the workbook's own, and never a sharper one."""

import pytest
from made_results import REFERENCE, lookup

from fleet.normalise.methods import MethodLookup
from fleet.read.books import read_books
from fleet.records import Method, Settings

SHARP = Method("Sharp", "phosphate", "meter", 0.01, 0.01, 0.01, None, 2.0)
TUBE = Method("Old tube", "phosphate", "card", 0.1, 0.1, None, None, 2.0)


def default(name, parameter="phosphate"):
    return Settings(default_methods=((parameter, name),))


# ------------------------------------------------ named on the Methods sheet


def test_a_name_of_the_methods_sheet_is_taken_as_it_stands():
    found = lookup(SHARP, TUBE).of("phosphate", "  sHARP ")
    assert (found.name, found.lowest, found.assumed) == ("Sharp", 0.01, False)


@pytest.mark.parametrize("written", ["old-tube", "Old  Tube", "OLDTUBE", "old_tube."])
def test_a_name_is_known_without_its_dashes_and_spaces(written):
    assert lookup(TUBE).of("phosphate", written).name == "Old tube"


def test_a_name_as_it_stands_goes_before_one_that_is_nearly_it():
    dashed = Method("Old-tube", "phosphate", "card", 0.2, 0.2, None, None, None)
    assert lookup(TUBE, dashed).of("phosphate", "old-tube").lowest == 0.2


def test_a_name_counts_for_what_it_measures_only():
    found = lookup(SHARP).of("nitrate", "Sharp")
    assert (found.class_key, found.assumed) == ("nitrate-card", True)


def test_the_first_of_two_rows_of_one_name_counts():
    twice = Method("Sharp", "phosphate", "meter", 0.5, 0.5, 0.5, None, None)
    assert lookup(SHARP, twice).of("phosphate", "Sharp").lowest == 0.01


def test_numbers_in_another_unit_are_converted_once():
    # 5 ug/L P is 0.01533 mg/L PO4, 100 ug/L P 0.3066 (x 3.06619 / 1000).
    leaflet = Method(
        "Fine", "phosphate", "meter", 5, 1, 5, 0.05, 200, unit="ug/L PO4-P"
    )
    found = lookup(leaflet).of("phosphate", "Fine")
    assert found.lowest == pytest.approx(0.01533, abs=0.00001)
    assert found.step == pytest.approx(0.003066, abs=0.000001)
    assert found.accuracy == pytest.approx(0.01533, abs=0.00001)
    assert found.accuracy_share == 0.05
    assert found.highest == pytest.approx(0.6132, abs=0.0001)
    assert found.unit == ""


def test_a_hydrometers_step_is_converted_as_a_difference():
    leaflet = Method(
        "Float", "salinity", "meter", 1.0, 0.001, 0.001, None, 1.035, unit="SG"
    )
    found = lookup(leaflet).of("salinity", "Float")
    assert found.step == pytest.approx(1.32, abs=0.02)  # EOS-80 at 25/25 degC
    assert found.lowest == pytest.approx(0, abs=0.01)


def test_what_a_row_leaves_blank_comes_from_its_class():
    bare = Method("Pocket photometer", "phosphate", "", None, None, None, None, None)
    found = lookup(bare).of("phosphate", "Pocket photometer")
    like = REFERENCE.methods["phosphate-photometer"]
    assert (found.lowest, found.accuracy) == (like.lowest, like.accuracy)
    assert (found.kind, found.class_key) == ("meter", "phosphate-photometer")
    assert found.highest is None  # a top is the leaflet's to say
    assert not found.assumed


@pytest.mark.parametrize(
    ("name", "kind"), [("Blue card", "card"), ("Number 7", "meter")]
)
def test_an_accuracy_makes_no_instrument_of_a_card(name, kind):
    row = Method(name, "phosphate", "", 0.08, 0.08, None, 0.3, None)
    assert lookup(row).of("phosphate", name).kind == kind


def test_a_stated_accuracy_is_not_mixed_with_the_classs_share():
    stated = Method("Photometer", "phosphate", "", 0.02, None, 0.01, None, None)
    found = lookup(stated).of("phosphate", "Photometer")
    assert (found.accuracy, found.accuracy_share) == (0.01, None)


def test_a_name_that_tells_nothing_is_of_the_class_with_the_nearest_lowest():
    fine = Method("Number 7", "phosphate", "", 0.016, None, None, None, None)
    found = lookup(fine).of("phosphate", "Number 7")
    assert found.class_key == "phosphate-photometer-fine"
    assert found.lowest == 0.016


# ------------------------------------------------ as a workbook gives them


def from_workbook(folder, measures, name, kind="", **numbers):
    """The method of a row of a Methods sheet, through reader and look-up."""
    head = ["Method", "Measures", "Kind", *numbers]
    row = [name, measures, kind, *map(str, numbers.values())]
    lines = [",".join(head), ",".join(row)]
    (folder / "Methods.csv").write_text("\n".join(lines), "utf-8")
    (folder / "Tanks.csv").write_text("Tank,Volume (L)\nT1,200\n", "utf-8")
    book = read_books([folder], REFERENCE)
    assert book.problems == ()
    return MethodLookup(book.methods, book.settings, REFERENCE).of(measures, name)


@pytest.mark.parametrize(
    ("measures", "name", "kind", "numbers", "expected"),
    [
        # A leaflet's lowest amount of 0.003 mg/L is no +/- 0.04 instrument's.
        ("phosphate", "Photometer", "", {"Lowest": 0.003}, "phosphate-photometer-fine"),
        ("phosphate", "Number 7", "meter", {"Lowest": 0.003},
         "phosphate-photometer-fine"),
        # Numbers alone make no laboratory of it, though 0.002 is nearer.
        ("phosphate", "Number 7", "", {"Lowest": 0.003}, "phosphate-photometer-fine"),
        ("phosphate", "Port lab", "", {"Lowest": 0.03}, "phosphate-laboratory"),
        ("phosphate", "Low range photometer", "", {"Lowest": 0.02},
         "phosphate-photometer"),
        ("phosphate", "Number 7", "", {"Lowest": 0.1}, "phosphate-card"),
        ("phosphate", "Number 7", "", {"Lowest": 0.01, "Step": 0.01},
         "phosphate-photometer-fine"),
        ("phosphate", "Number 7", "", {}, "phosphate-card"),
        ("phosphate", "Number 7", "", {"Accuracy (±)": 0.05}, "phosphate-photometer"),
        ("phosphate", "Number 7", "total", {}, "phosphorus-total"),
        ("phosphate", "ICP", "", {"Lowest": 0.01}, "phosphorus-total"),
        ("nitrate", "Colour card", "", {"Lowest": 2, "Step": 5}, "nitrate-card"),
        ("nitrate", "Number 7", "", {"Lowest": 2, "Step": 5}, "nitrate-card"),
        ("nitrate", "Number 7", "", {"Lowest": 2, "Accuracy (±)": 1},
         "nitrate-photometer"),
        ("nitrate", "Number 7", "", {"Lowest": 2, "Accuracy (%)": 8},
         "nitrate-photometer"),
        ("temperature", "Thermometer", "", {"Step": 0.1}, "thermometer"),
    ],
)  # fmt: skip
def test_the_class_of_a_row_is_told_by_its_words_then_its_numbers(
    tmp_path, measures, name, kind, numbers, expected
):
    found = from_workbook(tmp_path, measures, name, kind, **numbers)
    assert found.class_key == expected
    assert found.kind == REFERENCE.methods[expected].kind
    assert not found.assumed


def test_a_fine_photometers_row_takes_its_own_classs_accuracy(tmp_path):
    # +/- 5 ug/L P is 0.015 mg/L PO4 (common practice, no source).
    found = from_workbook(tmp_path, "phosphate", "Photometer", Lowest=0.003)
    assert (found.lowest, found.accuracy) == (0.003, 0.015)


@pytest.mark.parametrize(
    ("written", "kind"), [("photometer", "meter"), ("strip", "card"), ("ICP", "total")]
)
def test_a_written_kind_goes_before_the_name(tmp_path, written, kind):
    found = from_workbook(tmp_path, "phosphate", "Blue card", written)
    assert found.kind == kind
    assert REFERENCE.methods[found.class_key].kind == kind


def test_a_kind_without_a_class_is_kept(tmp_path):
    found = from_workbook(tmp_path, "calcium", "Colour card", Lowest=15, Step=20)
    assert (found.kind, found.class_key) == ("card", "calcium-drops")
    assert (found.lowest, found.step) == (15, 20)


# ------------------------------------------------ told by its words


@pytest.mark.parametrize(
    ("parameter", "written", "expected"),
    [
        ("phosphate", "Low-range photometer", "phosphate-photometer"),
        ("phosphate", "LR colorimeter", "phosphate-photometer"),
        ("phosphate", "ultra-low range photometer", "phosphate-photometer-fine"),
        ("phosphate", "ULR phosphorus", "phosphate-photometer-fine"),
        ("phosphate", "colour card", "phosphate-card"),
        ("phosphate", "Colour photometer", "phosphate-card"),  # equals: tells less
        ("phosphate", "ICP-OES", "phosphorus-total"),
        ("phosphate", "reference laboratory", "phosphate-laboratory"),
        ("phosphate", "somebody's kit", "phosphate-card"),
        ("nitrate", "strips", "nitrate-card"),
        ("nitrate", "handheld colorimeter", "nitrate-photometer"),
        ("salinity", "hydrometer", "hydrometer"),
        ("salinity", "swing arm", "hydrometer"),
        ("salinity", "probe", "conductivity-meter"),
        ("ph", "colour kit", "ph-colour"),
        ("ph", "pen", "ph-electrode"),
        ("calcium", "ICP", "calcium-laboratory"),
        ("alkalinity", "drop test", "alkalinity-drops"),
        ("phosphate", "", "phosphate-card"),
    ],
)
def test_a_name_tells_its_class(parameter, written, expected):
    found = lookup().of(parameter, written)
    assert found.class_key == expected
    assert found.assumed


def test_a_class_keeps_the_writers_name_where_the_name_told_it():
    assert lookup().of("phosphate", "Colour card").name == "Colour card"
    assert lookup().of("phosphate", "mystery").name == "phosphate-card"


def test_a_unit_tells_the_class_where_nothing_else_does():
    found = lookup().of("salinity", "", "mS/cm")
    assert (found.class_key, found.assumed) == ("conductivity-meter", True)
    fine = lookup().of("phosphate", "", "ug/L PO4-P")
    assert fine.class_key == "phosphate-photometer-fine"


# ------------------------------------------------ the Settings' default


def test_a_blank_or_unknown_method_takes_the_default_and_says_so():
    known = lookup(SHARP, TUBE, house=default("Sharp"))
    for written in ("", "mystery", "somebody's kit"):
        found = known.of("phosphate", written)
        assert (found.name, found.lowest, found.assumed) == ("Sharp", 0.01, True)


def test_a_default_that_no_row_explains_is_told_by_its_words():
    found = lookup(house=default("low range photometer")).of("phosphate", "")
    assert (found.class_key, found.assumed) == ("phosphate-photometer", True)


def test_a_colour_card_does_not_borrow_a_sharper_defaults_eyes():
    found = lookup(SHARP, house=default("Sharp")).of("phosphate", "colour card")
    assert (found.class_key, found.lowest) == ("phosphate-card", 0.08)


def test_a_sharper_name_that_is_not_listed_takes_the_coarser_default():
    # The workbook says: unknown methods are read as the default.
    found = lookup(TUBE, house=default("Old tube")).of("phosphate", "new photometer")
    assert (found.name, found.lowest) == ("Old tube", 0.1)


def test_total_phosphorus_never_passes_for_the_default():
    found = lookup(TUBE, house=default("Old tube")).of("phosphate", "ICP")
    assert found.kind == "total"


def test_a_default_that_means_nothing_is_passed_over():
    found = lookup(house=default("gone")).of("phosphate", "")
    assert found.class_key == "phosphate-card"


# ---------------------------------------------------------------------- standing checks


@pytest.mark.parametrize("parameter", REFERENCE.parameters)
def test_every_parameter_has_one_usual_class(parameter):
    usual = [m for m in REFERENCE.methods.values() if m.measures == parameter]
    assert sum(m.default for m in usual) == 1


@pytest.mark.parametrize("known", REFERENCE.methods.values(), ids=lambda m: m.key)
def test_every_class_is_found_by_each_of_its_words_or_tells_more(known):
    units = {u.key for u in REFERENCE.parameters[known.measures].units}
    assert set(known.units) <= units
    assert known.kind in ("card", "drops", "meter", "laboratory", "total")
    assert known.accuracy or known.accuracy_share
    for word in known.words:
        found = lookup().of(known.measures, word)
        coarser = (found.lowest or 0) >= (known.lowest or 0)
        assert found.class_key == known.key or coarser, word


def test_a_lookup_answers_the_same_twice():
    known = lookup(SHARP)
    assert known.of("phosphate", "Sharp") is known.of("phosphate", "Sharp")
    assert known.scale("phosphate", "Sharp", "") is known.scale(
        "phosphate", "Sharp", ""
    )
    assert known.scale("strontium", "Sharp", "") is None
