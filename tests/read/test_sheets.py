"""The sheets other than Readings."""

import datetime as dt

import pytest

from .builders import TANKS, kinds, lines, read_sheets, values

DAY = dt.date(2026, 3, 4)


def tank_of(folder, **cells):
    sheet = [["Tank", *cells], ["T1", *cells.values()]]
    book = read_sheets(folder, Tanks=sheet)
    return book.tanks[0], book


class TestTanks:
    def test_every_column(self, tmp_path):
        (tank,) = read_sheets(
            tmp_path,
            Tanks=[
                ["Tank", "Name", "Place", "Keeper", "Group", "Notes", "Round order",
                 "Volume (L)", "Livestock", "Rock", "Rock (kg)", "Filled on",
                 "Cycled on", "Equipment", "Fish", "Feed (g/day)", "Protein (%)",
                 "Displays", "In use"],
                ["Bay-1", "Long bay", "Front", "Ida", "Spring intake", "new\nlamp", 3,
                 540, "mixed reef", "dry rock", 40, dt.date(2026, 1, 10), "2026-02-14",
                 "skimmer, GFO, bubble wand", 12, 8, 45, "left; middle; right", "yes"],
            ],
        ).tanks  # fmt: skip
        assert (tank.id, tank.key, tank.source.cell) == ("Bay-1", "bay-1", "A2")
        assert (tank.name, tank.place, tank.keeper) == ("Long bay", "Front", "Ida")
        assert (tank.group, tank.notes) == ("Spring intake", "new\nlamp")
        assert (tank.round_order, tank.volume_l) == (3, 540)
        assert (tank.livestock, tank.rock, tank.rock_kg) == ("mixed coral", "dry", 40)
        assert (tank.filled_on, tank.cycled_on) == (
            dt.date(2026, 1, 10), dt.date(2026, 2, 14),
        )  # fmt: skip
        assert tank.equipment == ("skimmer", "phosphate media", "bubble wand")
        assert (tank.fish, tank.feed_g_day, tank.protein) == (12, 8, 0.45)
        assert tank.displays == ("left", "middle", "right")
        assert tank.in_use

    @pytest.mark.parametrize(
        ("header", "cell", "litres"),
        [
            # 1 US gal = 3.785411784 L, 1 imp gal = 4.54609 L: exact, NIST SP 811 B.8.
            ("Volume (L)", 200, 200),
            ("Volume (L)", "200 L", 200),
            ("Volume (L)", "75 gal", 283.9058838),
            ("Volume (L)", "75 US gal", 283.9058838),
            ("Volume (L)", "50 imp gal", 227.3045),
            ("Vol gal", 75, 283.9058838),
            ("Volume (imp gal)", 50, 227.3045),
            ("Gallons", "200 litres", 200),
            ("Volume", "1,200 L", 1200),
            ("Volume", "1.2 m3", 1200),
            ("Volume", "1 200", 1200),
            ("Volume", "~200", 200),
            ("Size (litres)", "200", 200),
        ],
    )
    def test_volume(self, tmp_path, header, cell, litres):
        tank, _ = tank_of(tmp_path, **{header: cell})
        assert tank.volume_l == pytest.approx(litres)

    @pytest.mark.parametrize("cell", ["big", "200 buckets", -5, 0, "0 L", "200 x 60"])
    def test_volume_that_cannot_be_read_is_named_and_the_tank_kept(
        self, tmp_path, cell
    ):
        tank, book = tank_of(tmp_path, Volume=cell)
        assert tank.volume_l is None
        assert kinds(book)[0] in ("number-unreadable", "number-impossible")
        assert kinds(book)[-1] == "volume-missing"

    def test_tank_without_a_volume_is_kept_and_said(self, tmp_path):
        tank, book = tank_of(tmp_path, Volume="", Name="Cube")
        assert tank.volume_l is None
        assert lines(book) == [
            "Tanks!A2: Tank 'T1' has no volume, so no amount can be worked out for it. "
            "Write the volume of its water."
        ]

    def test_bare_gallons_are_us_and_said(self, tmp_path):
        _, book = tank_of(tmp_path, **{"Volume (L)": "75 gal"})
        assert lines(book) == [
            "Tanks!B2: '75 gal': gallons were read as US gallons. Write 'imp gal' if "
            "they are imperial ones."
        ]

    @pytest.mark.parametrize(
        ("cell", "word"),
        [
            ("Stony coral", "stony coral"),
            ("SPS", "stony coral"),
            ("mixed reef", "mixed coral"),
            ("QT", "quarantine"),
            ("Sea-horse", "seahorse"),
            ("none yet", "none yet"),
            ("", ""),
            ("-", ""),
        ],
    )
    def test_livestock(self, tmp_path, cell, word):
        tank, _ = tank_of(tmp_path, Volume=200, Livestock=cell)
        assert tank.livestock == word

    def test_livestock_not_known_is_said(self, tmp_path):
        tank, book = tank_of(tmp_path, Volume=200, Livestock="jellyfish")
        assert tank.livestock == ""
        assert lines(book) == [
            "Tanks!C2: 'jellyfish' is not a word known for livestock. Write one of: "
            "fish only, soft coral, mixed coral, stony coral, seahorse, quarantine, "
            "none yet."
        ]

    @pytest.mark.parametrize(
        ("header", "cell", "kilograms"),
        [
            ("Rock (kg)", 20, 20),
            ("Rock (kg)", "44 lb", 19.958),
            ("Rock lb", 44, 19.958),
        ],
    )
    def test_rock_mass(self, tmp_path, header, cell, kilograms):
        # 1 lb = 0.45359237 kg, exact: 44 lb are 19.958 kg.
        tank, _ = tank_of(tmp_path, Volume=200, **{header: cell})
        assert tank.rock_kg == pytest.approx(kilograms, abs=0.0005)

    @pytest.mark.parametrize(
        ("cell", "share"), [(45, 0.45), ("45 %", 0.45), ("45%", 0.45), (0.45, 0.45)]
    )
    def test_protein(self, tmp_path, cell, share):
        tank, _ = tank_of(tmp_path, Volume=200, **{"Protein (%)": cell})
        assert tank.protein == pytest.approx(share)

    @pytest.mark.parametrize(
        ("cell", "in_use"),
        [("yes", True), ("no", False), ("", True), (1, True), (0, False),
         (True, True), (False, False), ("retired", False)],
    )  # fmt: skip
    def test_in_use(self, tmp_path, cell, in_use):
        tank, _ = tank_of(tmp_path, Volume=200, **{"In use": cell})
        assert tank.in_use is in_use

    def test_same_tank_by_case_spaces_and_unicode_form_is_joined(self, tmp_path):
        book = read_sheets(
            tmp_path,
            Tanks=[
                ["Tank", "Volume (L)", "Place"],
                ["Caf\u00e9 1", 200, ""],
                [" CAFE\u0301  1 ", "", "Front"],
            ],
        )
        (tank,) = book.tanks
        assert (tank.id, tank.volume_l, tank.place) == ("Caf\u00e9 1", 200, "Front")
        assert kinds(book) == ["tank-twice"]
        assert book.problems[0].where.cell == "A3"

    def test_same_tank_with_another_volume_keeps_the_first_and_says_so(self, tmp_path):
        book = read_sheets(
            tmp_path, Tanks=[["Tank", "Volume (L)"], ["T1", 200], ["t1", 300]]
        )
        (tank,) = book.tanks
        assert tank.volume_l == 200
        assert lines(book) == [
            "Tanks!A3: 't1' is the same tank as 'T1' in A2, but the volume differs; "
            "the first was kept. Give each tank one row, or its own id."
        ]

    def test_ids_keep_their_own_characters(self, tmp_path):
        book = read_sheets(
            tmp_path,
            Tanks=[["Tank", "Volume (L)"], ["007", 1], [7, 1], ["NA", 1], ["None", 1]],
        )
        assert [tank.id for tank in book.tanks] == ["007", "7", "NA", "None"]

    def test_row_without_an_id_is_left_out(self, tmp_path):
        book = read_sheets(
            tmp_path, Tanks=[["Tank", "Volume (L)"], ["", 200], ["T1", 200]]
        )
        assert lines(book) == ["Tanks!A2: This row names no tank. Write the tank's id."]
        assert [(c.rows, c.read, c.left_out) for c in book.counts] == [(2, 1, 1)]

    def test_dates_that_cannot_be(self, tmp_path):
        book = read_sheets(
            tmp_path,
            Tanks=[
                ["Tank", "Volume (L)", "Filled on", "Cycled on"],
                ["T1", 200, "2026-03-01", "2026-02-01"],
                ["T2", 200, "some day", ""],
            ],
            Readings=[["Date", "Tank", "Nitrate"], ["2026-02-20", "T1", 5]],
        )
        assert lines(book) == [
            "Tanks!C3: 'some day' is not a date that can be read. Write it as "
            "2026-11-21.",
            "Tanks!A2: Tank 'T1' is said to be cycled on 2026-02-01, before it was "
            "filled. Correct whichever date is wrong.",
            "Tanks!A2: Tank 'T1' is said to be filled on 2026-03-01, but was tested on "
            "2026-02-20. Correct whichever date is wrong.",
        ]
        assert book.problems[0].effect == "value left out"


class TestReadings:
    HEAD = ("Date", "Tank", "Nitrate (mg/L)", "Look", "Taken by", "Notes")

    def read(self, folder, *rows):
        return read_sheets(folder, Tanks=TANKS, Readings=[list(self.HEAD), *rows])

    def test_every_text_column(self, tmp_path):
        book = self.read(tmp_path, [DAY, "t1", 5, "brown film, hair algae", "Jo", "ok"])
        (reading,) = book.readings
        assert reading.looks == ("brown film", "hair algae")
        assert reading.look_written == "brown film, hair algae"
        assert (reading.taken_by, reading.notes) == ("Jo", "ok")

    @pytest.mark.parametrize(
        ("look", "words"),
        [
            ("Diatoms", ("brown film",)),
            ("some brown dust on the sand", ("brown film",)),
            ("no hair algae, red slime on the rock", ("red mats",)),
            ("dinos and cyano", ("brown strings", "red mats")),
            ("not growing", ("slow growth",)),
            ("fish at the surface, breathing fast", ("fish gasping",)),
            ("good", ("good colour",)),
            ("a good bit of hair algae", ("hair algae",)),
            ("lovely", ()),
        ],
    )
    def test_look_words(self, tmp_path, look, words):
        (reading,) = self.read(tmp_path, [DAY, "T1", 5, look, "", ""]).readings
        assert reading.looks == words
        assert reading.look_written == look

    def test_unknown_tank_is_left_out_with_a_suggestion(self, tmp_path):
        book = self.read(tmp_path, [DAY, "T11", 5, "", "", ""])
        assert book.readings == ()
        assert lines(book) == [
            "Readings!B2: No tank 'T11' is in the sheet of tanks. Did you mean 'T1'?"
        ]

    def test_row_without_tank_and_date_names_both(self, tmp_path):
        book = self.read(tmp_path, ["", "", 5, "", "", ""], [DAY, "T1", 6, "", "", ""])
        assert len(book.readings) == 1
        assert kinds(book) == ["date-missing", "tank-missing"]
        assert [(c.rows, c.read, c.left_out) for c in book.counts][1] == (2, 1, 1)

    def test_bad_cell_leaves_the_rest_of_its_row(self, tmp_path):
        book = read_sheets(
            tmp_path,
            Tanks=TANKS,
            Readings=[["Date", "Tank", "Nitrate", "pH"], [DAY, "T1", "five", 8.1]],
        )
        assert values(book) == [("t1", "2026-03-04", "ph", "value", 8.1)]
        assert lines(book) == [
            "Readings!C2: 'five' is not a value that can be read for nitrate. Write a "
            "number, a range such as 5-10, '<' or '>' and a number, or ND."
        ]
        assert book.problems[0].effect == "value left out"

    def test_two_readings_a_day_are_kept_in_order_of_time(self, tmp_path):
        book = read_sheets(
            tmp_path,
            Tanks=TANKS,
            Readings=[
                ["Date", "Time", "Tank", "Nitrate"],
                [DAY, "6:30 PM", "T1", 7],
                [DAY, "8:00", "T1", 5],
            ],
        )
        assert [v[-1] for v in values(book)] == [5, 7]
        assert kinds(book) == []

    def test_the_same_row_twice_is_noted_and_kept(self, tmp_path):
        row = [DAY, "T1", 5, "", "Jo", ""]
        book = self.read(tmp_path, row, row)
        assert len(book.readings) == 2
        assert lines(book) == [
            "Readings!A3: This row is the same as row 2; both are kept. Delete one if "
            "it was entered twice."
        ]

    def test_rows_made_ready_but_not_filled_in_are_one_note(self, tmp_path):
        book = self.read(
            tmp_path,
            [DAY, "T1", 5, "", "", ""],
            [DAY, "T2", "", "", "", ""],
            ["", "T1", "", "", "", ""],
            [],
        )
        assert len(book.readings) == 1
        assert lines(book) == [
            "Readings!A3: No value yet in 2 rows of this sheet (from row 3 to row 4). "
            "Nothing to do."
        ]
        assert [(c.rows, c.read, c.left_out) for c in book.counts][1] == (3, 1, 2)

    def test_visit_without_a_test_is_a_visit_if_somebody_looked(self, tmp_path):
        book = self.read(tmp_path, [DAY, "T1", "n/a", "clear", "", ""])
        (reading,) = book.readings
        assert (reading.results, reading.looks) == ((), ("clear",))

    def test_headers_repeated_on_every_page_are_passed_over(self, tmp_path):
        book = self.read(
            tmp_path,
            [DAY, "T1", 5, "", "", ""],
            list(self.HEAD),
            [DAY, "T2", 6, "", "", ""],
        )
        assert len(book.readings) == 2
        assert kinds(book) == ["header-again"]

    def test_tank_written_by_its_name_or_with_the_word_tank(self, tmp_path):
        book = read_sheets(
            tmp_path,
            Tanks=[["Tank", "Name", "Volume (L)"], [1, "Coral bay", 200], [2, "", 300]],
            Readings=[
                ["Date", "Tank", "Nitrate"],
                [DAY, "coral  BAY", 5],
                [DAY, "Tank 2", 6],
                [DAY, 1, 7],
            ],
        )
        assert [(v[0], v[-1]) for v in values(book)] == [("1", 5), ("1", 7), ("2", 6)]
        assert lines(book) == [
            "Readings!B2: 'coral BAY' is no tank id; it was read as tank 1. Nothing "
            "to do if that is right."
        ]

    def test_long_and_dirty_text_is_cut_then_cleaned(self, tmp_path):
        book = self.read(
            tmp_path,
            [DAY, "T1", 5, "", "", "a\u200bb" + "x" * 9000],
        )
        note = book.readings[0].notes
        assert note.startswith("abx")
        assert note.endswith("x [...]")
        assert len(note) < 4100

    def test_value_that_became_a_date_is_said(self, tmp_path):
        book = self.read(tmp_path, [DAY, "T1", dt.date(2026, 10, 5), "", "", "x"])
        assert lines(book) == [
            "Readings!C2: This cell of nitrate holds the date 2026-10-05: a range such "
            "as 5-10 turns into a date when it is typed. Format the cell as text, then "
            "write the value again."
        ]

    def test_column_that_can_only_be_fahrenheit(self, tmp_path):
        book = read_sheets(
            tmp_path,
            Tanks=TANKS,
            Readings=[["Date", "Tank", "Temp"], [DAY, "T1", 78], [DAY, "T2", 77.5]],
        )
        assert [r.unit for x in book.readings for r in x.results] == ["°F", "°F"]
        assert lines(book) == [
            "Readings!C1: This column names no unit; its numbers can only be °F, and "
            "were read so. Put the unit into the header, as in 'Temp (°F)'."
        ]

    def test_a_thousand_faults_of_one_kind_are_summed_up(self, tmp_path):
        rows = [[DAY, "T1", "five", "", "", ""] for _ in range(1200)]
        book = self.read(tmp_path, *rows)
        found = [p for p in book.problems if p.kind == "value-unreadable"]
        assert len(found) == 1001
        assert found[-1].message == (
            "200 more cells of this column, down to row 1201, have the same fault as "
            "the ones named before them. Correct them alike."
        )
        assert found[-1].effect == "value left out"


class TestMethods:
    def read(self, folder, *rows, head=None):
        head = head or ["Method", "Measures", "Unit", "Lowest", "Step", "Accuracy (±)",
                        "Accuracy (%)", "Highest"]  # fmt: skip
        return read_sheets(folder, Tanks=TANKS, Methods=[head, *rows])

    def test_every_column(self, tmp_path):
        book = self.read(tmp_path, ["Blue photometer", "NO3", "ppm", 1, 0.1, 2, 8, 75])
        (method,) = book.methods
        assert (method.name, method.measures) == ("Blue photometer", "nitrate")
        assert (method.lowest, method.step, method.accuracy) == (1, 0.1, 2)
        assert (method.accuracy_share, method.highest) == (0.08, 75)
        assert (method.kind, method.class_key) == ("", "")  # told when it is used
        assert method.unit == "mg/L NO3"
        assert method.source.cell == "A2"

    @pytest.mark.parametrize(
        ("name", "measures", "unit", "key"),
        [
            ("Card A", "PO4-P", "ppb", "ug/L PO4-P"),
            ("Card A", "Phosphate", "ppb P", "ug/L PO4-P"),
            ("Card A", "Phosphate", "", "mg/L PO4"),
            ("Card A", "Phosphate (mg/L P)", "", "mg/L PO4-P"),
            ("Drops", "KH", "", "dKH"),
            ("Drops", "alkalinity", "meq/L", "meq/L"),
        ],
    )
    def test_unit_is_kept_as_written(self, tmp_path, name, measures, unit, key):
        (method,) = self.read(tmp_path, [name, measures, unit, 0.1]).methods
        assert method.unit == key

    def test_kind_may_be_written(self, tmp_path):
        head = ["Method", "Measures", "Lowest", "Step", "Kind"]
        book = self.read(tmp_path, ["Red", "nitrate", 2, 5, "photometer"], head=head)
        assert book.methods[0].kind == "meter"

    def test_total_phosphorus_is_its_own_kind(self, tmp_path):
        (method,) = self.read(tmp_path, ["ICP", "phosphate", "mg/L P", 0.01]).methods
        assert method.kind == ""
        (other,) = self.read(tmp_path, ["Red", "Total phosphorus", "mg/L P"]).methods
        assert (other.measures, other.kind) == ("phosphate", "total")

    def test_share_in_the_accuracy_column(self, tmp_path):
        (method,) = self.read(tmp_path, ["Red", "nitrate", "", 1, "", "8 %"]).methods
        assert (method.accuracy, method.accuracy_share) == (None, 0.08)

    def test_what_cannot_be_used_is_said(self, tmp_path):
        book = self.read(
            tmp_path,
            ["Red", "oxygen", "", 1],
            ["", "nitrate", "", 1],
            ["Red", "nitrate", "ppx", 1],
            ["Red", "nitrate", "", "few"],
            ["RED", "nitrate", "", 2],
        )
        assert kinds(book) == [
            "measures-unknown", "method-unnamed", "row-unit-unknown",
            "number-unreadable", "method-twice",
        ]  # fmt: skip
        assert [method.lowest for method in book.methods] == [None]
        assert [(c.rows, c.read) for c in book.counts if c.sheet == "Methods"] == [
            (5, 1)
        ]


class TestWork:
    HEAD = ("Date", "Tank", "Work", "Substance", "Amount", "Unit", "Done by", "Notes")

    def read(self, folder, *rows):
        return read_sheets(folder, Tanks=TANKS, Work=[list(self.HEAD), *rows])

    def test_every_column(self, tmp_path):
        book = self.read(
            tmp_path, [DAY, "T1", "Dosed", "sodium nitrate", 2.5, "g", "Jo", "slowly"]
        )
        (work,) = book.work
        assert (work.on, work.tank, work.work) == (DAY, "t1", "dose")
        assert (work.substance, work.amount, work.unit) == ("sodium nitrate", 2.5, "g")
        assert (work.done_by, work.notes, work.source.cell) == ("Jo", "slowly", "C2")

    @pytest.mark.parametrize(
        ("substance", "salt", "equipment"),
        [
            ("NaNO3 40 g/L", "sodium-nitrate", ""),
            ("sodium nitrate stock", "sodium-nitrate", ""),
            ("2 tsp vinegar", "", "organic carbon dosing"),
            ("GFO, 200 g", "", "phosphate media"),
            ("new fleece roller", "", "filter roller"),
            ("carbon, none left", "", "carbon"),
            ("bottled bacteria 1 tsp", "", ""),
            ("", "", ""),
        ],
    )
    def test_what_a_substance_means(self, tmp_path, substance, salt, equipment):
        (work,) = self.read(tmp_path, [DAY, "T1", "dose", substance, 2, "g"]).work
        assert (work.substance, work.salt) == (substance, salt)
        assert work.equipment == equipment

    @pytest.mark.parametrize(
        ("amount", "unit", "kept", "kept_unit"),
        [
            (10, "%", 10, "%"),
            ("10%", "", 10, "%"),
            ("10 %", "", 10, "%"),
            (2.5, "grams", 2.5, "g"),
            (0.5, "kg", 500, "g"),
            ("500 mg", "", 0.5, "g"),
            (20, "ml", 20, "mL"),
            (1.5, "litres", 1.5, "L"),
            ("20 gal", "", 75.70823568, "L"),
            (5, "g per day", 5, "g/day"),
            (2, "scoops", 2, "scoops"),
            ("", "", None, ""),
            ("1,5", "g", 1.5, "g"),
        ],
    )
    def test_amount_in_g_ml_l_or_per_cent(
        self, tmp_path, amount, unit, kept, kept_unit
    ):
        (work,) = self.read(tmp_path, [DAY, "T1", "dose", "x", amount, unit]).work
        assert work.amount == pytest.approx(kept)
        assert work.unit == kept_unit

    def test_a_percentage_typed_into_a_cell_is_no_fraction_of_a_litre(self, tmp_path):
        import xlsxwriter

        path = tmp_path / "book.xlsx"
        made = xlsxwriter.Workbook(str(path))
        tanks, sheet = made.add_worksheet("Tanks"), made.add_worksheet("Work")
        for row, cells in enumerate(TANKS):
            tanks.write_row(row, 0, cells)
        sheet.write_row(0, 0, ["Date", "Tank", "Work", "Amount"])
        sheet.write_row(1, 0, ["2026-03-04", "T1", "water change"])
        sheet.write_number(1, 3, 0.1, made.add_format({"num_format": "0%"}))
        sheet.write_row(2, 0, ["2026-03-04", "T2", "water change"])
        sheet.write_number(2, 3, 0.125, made.add_format({"num_format": "0.0 %"}))
        made.close()
        from .builders import read

        assert [(w.amount, w.unit) for w in read(path).work] == [(10, "%"), (12.5, "%")]

    @pytest.mark.parametrize(
        ("written", "word"),
        [
            ("water change", "water change"),
            ("WC", "water change"),
            ("10 % water change done", "water change"),
            ("media removed", "media out"),
            ("fish added", "livestock in"),
            ("Seeded", "seeding"),
        ],
    )
    def test_words_for_work(self, tmp_path, written, word):
        (work,) = self.read(tmp_path, [DAY, "T1", written]).work
        assert work.work == word

    def test_work_on_several_tanks(self, tmp_path):
        book = self.read(tmp_path, [DAY, "all", "clean"], [DAY, "T1, T2", "dose"])
        assert [(w.tank, w.work) for w in book.work] == [
            ("t1", "clean"), ("t1", "dose"), ("t2", "clean"), ("t2", "dose"),
        ]  # fmt: skip
        assert kinds(book) == ["work-for-several"] * 2

    def test_what_cannot_be_used_is_said(self, tmp_path):
        book = self.read(
            tmp_path,
            ["", "T1", "dose"],
            [DAY, "T9", "dose"],
            [DAY, "T1", "sang to it"],
            [DAY, "T1", ""],
            [DAY, "T1", "dose", "x", "a bit", "g"],
        )
        assert kinds(book) == [
            "date-missing", "tank-unknown", "work-unknown", "work-missing",
            "number-unreadable",
        ]  # fmt: skip
        assert [w.amount for w in book.work] == [None]
        assert [(c.rows, c.read) for c in book.counts if c.sheet == "Work"] == [(5, 1)]


class TestBands:
    HEAD = ("Livestock or Tank", "Parameter", "Stage", "Low", "High", "Note")

    def read(self, folder, *rows):
        return read_sheets(folder, Tanks=TANKS, Bands=[list(self.HEAD), *rows])

    def test_rows(self, tmp_path):
        book = self.read(
            tmp_path,
            ["soft coral", "Nitrate", "", 2, 20, "ours"],
            ["T2", "Phosphate (ppb P)", "ugly", 10, 30, ""],
            ["", "KH", "mature", "", 9, ""],
        )
        first, second, third = book.bands
        assert (first.livestock, first.tank, first.stage) == ("soft coral", "", "")
        assert (first.parameter, first.low, first.high) == ("nitrate", 2, 20)
        assert (first.unit, first.basis) == ("mg/L NO3", "workbook")
        assert (second.livestock, second.tank, second.stage) == ("", "t2", "ugly phase")
        assert (second.unit, second.low, second.high) == ("ug/L PO4-P", 10, 30)
        assert (third.unit, third.low, third.high, third.stage) == (
            "dKH", None, 9, "mature",
        )  # fmt: skip

    def test_what_cannot_be_used_is_said(self, tmp_path):
        book = self.read(
            tmp_path,
            ["dragons", "nitrate", "", 2, 20],
            ["T1", "oxygen", "", 2, 20],
            ["T1", "nitrate", "old age", 2, 20],
            ["T1", "nitrate", "", "", ""],
            ["T1", "nitrate", "", 20, 2],
        )
        assert book.bands == ()
        assert kinds(book) == [
            "band-subject-unknown", "measures-unknown", "stage-unknown", "band-empty",
            "band-upside-down",
        ]  # fmt: skip


class TestShelf:
    def read(self, folder, *rows):
        head = ["Substance", "Purity (%)", "On hand (g)", "Stock strength (g/L)"]
        return read_sheets(folder, Tanks=TANKS, Shelf=[head, *rows])

    @pytest.mark.parametrize(
        ("row", "found"),
        [
            (["sodium nitrate", 98, 500, ""], ("sodium-nitrate", 0.98, 500, None)),
            (["NaNO3 ", "", "2 kg", 50], ("sodium-nitrate", 1, 2000, 50)),
            (["Sodium nitrate (food grade)", "99 %", "", ""],
             ("sodium-nitrate", 0.99, None, None)),
            (["MKP", "", "", ""], ("monopotassium-phosphate", 1, None, None)),
            (["potassium nitrate", 0.98, "1 lb", "5 %"],
             ("potassium-nitrate", 0.98, 453.59237, 50)),
        ],
    )  # fmt: skip
    def test_rows(self, tmp_path, row, found):
        (item,) = self.read(tmp_path, row).shelf
        assert (item.substance, item.purity) == (found[0], pytest.approx(found[1]))
        assert (item.on_hand_g, item.stock_g_per_l) == (
            pytest.approx(found[2]), pytest.approx(found[3]),
        )  # fmt: skip
        assert item.written == row[0].strip()

    def test_what_cannot_be_used_is_said(self, tmp_path):
        book = self.read(
            tmp_path, ["tsp of dust", 98], ["sodium nitrate", 150], ["NaNO3", 0]
        )
        assert book.shelf == ()
        assert kinds(book) == [
            "substance-unknown", "number-impossible", "number-impossible",
        ]  # fmt: skip


class TestSettings:
    def read(self, folder, *rows, head=(("Setting", "Value"),)):
        rows = [*map(list, head), *rows]
        return read_sheets(folder, Tanks=TANKS, Settings=rows)

    ROWS = (
        ["Organisation", "Reef club"],
        ["Contact", "Jo, 555"],
        ["Paper", "letter"],
        ["Units", "us"],
        ["Round every (days)", 14],
        ["Change water nitrate (mg/L)", 0.5],
        ["Change water phosphate (mg/L)", 0],
        ["Default nitrate method", "card"],
        ["Default phosphate method", "photometer"],
        ["Largest nitrate rise a day (mg/L)", 1],
        ["Largest phosphate rise a day (ppb)", 20],
        ["Largest water change (%)", 25],
        ["Chance needed (%)", 95],
        ["pH scale", "total scale"],
        ["SG reference", "60/60 °F"],
        ["Alkalinity unit", "meq/l"],
        ["Logo", "logo.png"],
    )

    def test_every_setting(self, tmp_path):
        book = self.read(tmp_path, *self.ROWS)
        found = book.settings
        assert (found.organisation, found.contact) == ("Reef club", "Jo, 555")
        assert (found.paper, found.units, found.round_days) == ("Letter", "US", 14)
        assert found.change_water == (("nitrate", 0.5), ("phosphate", 0.0))
        assert found.default_methods == (
            ("nitrate", "card"), ("phosphate", "photometer"),
        )  # fmt: skip
        assert found.largest_rise_day == (("nitrate", 1), ("phosphate", 0.02))
        assert (found.largest_water_change, found.chance_needed) == (0.25, 0.95)
        assert (found.ph_scale, found.sg_reference) == ("total", "60/60F")
        assert (found.alkalinity_unit, found.logo) == ("meq/L", "logo.png")
        assert kinds(book) == []

    def test_sheet_without_headers(self, tmp_path):
        book = self.read(tmp_path, *self.ROWS[:3], head=())
        assert (book.settings.organisation, book.settings.paper) == (
            "Reef club", "Letter",
        )  # fmt: skip

    def test_what_cannot_be_used_is_said_and_the_default_stands(self, tmp_path):
        book = self.read(
            tmp_path,
            ["Paper", "A3"],
            ["Round every (days)", "often"],
            ["Largest water change (%)", 400],
            ["Change water nitrate (mg/L)", "lots"],
            ["Favourite fish", "goby"],
        )
        assert kinds(book) == ["setting-unreadable"] * 4 + ["setting-unknown"]
        assert book.settings.paper == "A4"
        assert lines(book)[0] == (
            "Settings!B2: 'A3' cannot be read for the setting 'Paper'. Write one of: "
            "A4, Letter."
        )

    @pytest.mark.parametrize(
        ("name", "written", "field", "value"),
        [
            ("Round every (days)", "14 days", "round_days", 14),
            ("Round every days", 14, "round_days", 14),
            ("Round every", "2 weeks", "round_days", 14),
            ("Largest water change %", 25, "largest_water_change", 0.25),
            ("Change water nitrate mg/L", 2, "change_water", (("nitrate", 2),)),
            ("Change water phosphate ppb", 20, "change_water", (("phosphate", 0.02),)),
            ("Change water nitrate mg/L NO3", 2, "change_water", (("nitrate", 2),)),
            ("Change water NO3-N (mg/L)", 2, "change_water", ()),
        ],
    )
    def test_units_and_names_as_people_write_them(
        self, tmp_path, name, written, field, value
    ):
        book = self.read(tmp_path, [name, written])
        assert getattr(book.settings, field) == value
        assert kinds(book) == ([] if value else ["setting-unreadable"])

    def test_less_than_in_change_water_is_taken_at_its_most(self, tmp_path):
        book = self.read(
            tmp_path,
            ["Change water nitrate (mg/L)", "<1"],
            ["Largest nitrate rise a day (mg/L)", "<1"],
        )
        assert book.settings.change_water == (("nitrate", 1.0),)
        assert book.settings.largest_rise_day == ()
        assert kinds(book) == ["number-read", "setting-unreadable"]

    @pytest.mark.parametrize(
        ("written", "share"),
        [(0.25, 0.25), (1, 0.01), (25, 0.25), ("25 %", 0.25), ("0.5 %", 0.005),
         (1.5, 0.015), (100, 1.0), ("1", 0.01), (101, None), (0, None)],
    )  # fmt: skip
    def test_a_share_below_one_is_a_fraction_the_rest_per_cent(
        self, tmp_path, written, share
    ):
        book = self.read(tmp_path, ["Largest water change (%)", written])
        assert book.settings.largest_water_change == share
        assert kinds(book) == ([] if share else ["setting-unreadable"])

    @pytest.mark.parametrize(("written", "share"), [(0.9, 0.9), (90, 0.9), (1, None)])
    def test_a_chance_that_is_no_ground_for_a_verdict_is_said(
        self, tmp_path, written, share
    ):
        book = self.read(tmp_path, ["Chance needed (%)", written])
        assert book.settings.chance_needed == share
        assert kinds(book) == ([] if share else ["setting-unreadable"])

    def test_a_cell_that_shows_per_cent_is_read_as_it_shows(self, tmp_path):
        import xlsxwriter

        from .builders import read

        made = xlsxwriter.Workbook(str(tmp_path / "book.xlsx"))
        sheet = made.add_worksheet("Settings")
        sheet.write_row(0, 0, ["Setting", "Value"])
        sheet.write_string(1, 0, "Largest water change (%)")
        sheet.write_number(1, 1, 0.01, made.add_format({"num_format": "0%"}))
        made.close()
        settings = read(tmp_path / "book.xlsx").settings
        assert settings.largest_water_change == 0.01

    @pytest.mark.parametrize(
        ("header", "field", "value"),
        [
            ("Alkalinity (meq/L)", "alkalinity_unit", "meq/L"),
            ("Alk (ppm CaCO3)", "alkalinity_unit", "mg/L CaCO3"),
            ("Alkalinity", "alkalinity_unit", "dKH"),
            ("pH (total)", "ph_scale", "total"),
            ("pH", "ph_scale", "NBS"),
            ("SG (20/20)", "sg_reference", "20/20"),
        ],
    )
    def test_headers_of_readings_tell_settings(self, tmp_path, header, field, value):
        book = read_sheets(
            tmp_path, Tanks=TANKS, Readings=[["Date", "Tank", header], [DAY, "T1", 3]]
        )
        assert getattr(book.settings, field) == value

    def test_the_settings_sheet_beats_the_headers(self, tmp_path):
        book = read_sheets(
            tmp_path,
            Tanks=TANKS,
            Readings=[["Date", "Tank", "Alk (meq/L)"], [DAY, "T1", 3]],
            Settings=[["Setting", "Value"], ["Alkalinity unit", "dKH"]],
        )
        assert book.settings.alkalinity_unit == "dKH"


class TestWordsThatNobodyKnows:
    def test_misspelt_equipment_is_named_by_cell_with_what_was_meant(self, tmp_path):
        tank, book = tank_of(tmp_path, Volume=200, Equipment="skimmer, filter roler")
        (problem,) = [p for p in book.problems if p.kind == "equipment-misspelt"]
        assert problem.where.cell == "C2"
        assert problem.effect == "value left out"
        assert "'filter roller'" in problem.message
        assert tank.equipment == ("skimmer", "filter roler")

    def test_other_equipment_is_listed_once_as_a_remark(self, tmp_path):
        sheet = [
            ["Tank", "Volume", "Equipment"],
            ["T1", 200, "chiller, none, no skimmer"],
            ["T2", 200, "chiller, media reactor"],
        ]
        book = read_sheets(tmp_path, Tanks=sheet)
        (problem,) = book.problems
        assert (problem.kind, problem.effect) == ("equipment-unknown", "note")
        assert "'chiller' (C2), 'media reactor' (C3)" in problem.message

    @pytest.mark.parametrize(
        ("name", "listed"),
        [("nonsense", True), ("drop kit", False), ("colour card", False)],
    )
    def test_default_method_that_names_no_test_is_listed(self, tmp_path, name, listed):
        book = read_sheets(
            tmp_path,
            Tanks=TANKS,
            Methods=[["Method", "Measures", "Lowest"], ["Drop kit", "nitrate", 1]],
            Settings=[["Setting", "Value"], ["Default nitrate method", name]],
        )
        found = [p for p in book.problems if p.kind == "default-method-unknown"]
        assert [p.where.cell for p in found] == (["B2"] if listed else [])
        assert all("'Drop kit'" in p.message for p in found)

    # Sodium nitrate dissolves to 46.7 % by mass at 20 degC (CRC Handbook, aqueous
    # solubility of inorganic compounds; from memory): 900 g in a litre cannot be.
    @pytest.mark.parametrize(("strength", "listed"), [(900, True), (50, False)])
    def test_bottle_stronger_than_the_salt_dissolves(self, tmp_path, strength, listed):
        shelf = [
            ["Substance", "Stock strength (g/L)"],
            ["sodium nitrate", strength],
        ]
        book = read_sheets(tmp_path, Tanks=TANKS, Shelf=shelf)
        found = [p for p in book.problems if p.kind == "bottle-impossible"]
        assert [(p.where.cell, p.value) for p in found] == (
            [("B2", "900")] if listed else []
        )
        assert book.shelf[0].stock_g_per_l == strength
