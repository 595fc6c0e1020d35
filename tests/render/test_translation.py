"""A user's own sentences, or a whole language, need a folder and no code."""

import html
import json
import re
import tomllib
from pathlib import Path

import openpyxl
import pytest
from click.testing import CliRunner
from every_word import NONSENSE, change_every_word, write_nonsense
from icalendar import Calendar
from pypdf import PdfReader

from fleet.cli import main
from fleet.records import Settings, say
from fleet.reference import load_reference
from fleet.render.wording import Wording, shipped_templates

ROOT = Path(__file__).resolve().parents[2]
SHOP = ROOT / "example_workbooks" / "shop.xlsx"
CLUB = ROOT / "example_workbooks" / "club.xlsx"
BACKWARDS = ROOT / "tests" / "data" / "invented-language"
REFERENCE = load_reference()


def run(*words):
    return CliRunner().invoke(main, [str(word) for word in words])


def report(folder, templates, *more, book=SHOP):
    return run("report", book, "--as-of", "2026-03-30", "--out", folder,
               "--templates", templates, *more)  # fmt: skip


def progress(folder, templates, *more, book=CLUB):
    return run("progress", book, "--as-of", "2026-03-29", "--out", folder,
               "--templates", templates, *more)  # fmt: skip


def pdf(path):
    pages = " ".join(page.extract_text() for page in PdfReader(path).pages)
    return " ".join(pages.replace("\u00a0", " ").split())


def page(path):
    text = path.read_text("utf-8")
    text = re.sub(r"<(style|script)[^>]*>.*?</\1>", " ", text, flags=re.DOTALL)
    shown = re.findall(r'(?:aria-label|title|alt|data-label)="([^"]*)"', text)
    return html.unescape(" ".join([re.sub(r"<[^>]+>", " ", text), *shown]))


def cells(path):
    book = openpyxl.load_workbook(path)
    for sheet in book:
        yield sheet.title
        for row in sheet.iter_rows(values_only=True):
            yield from (value for value in row if isinstance(value, str))


def entries(path):
    for event in Calendar.from_ical(path.read_bytes()).walk("VEVENT"):
        yield f"{event['summary']} {event['description']}"


# ---------------------------------------------------------- one invented language


@pytest.fixture(scope="module")
def backwards(tmp_path_factory):
    folder = tmp_path_factory.mktemp("backwards") / "out"
    done = report(folder, BACKWARDS)
    assert done.exit_code == 0, done.output
    return folder, done.stdout


def test_the_sheets_speak_it(backwards):
    said = pdf(backwards[0] / "action-sheets.pdf")
    for words in (
        "YADOT", "KEEW SIHT", "Redro siht ni, od ot tahw", "Enola evael", "Yb enod",
        "Orez talf rof etartin dna etahpsohp elihw smlif worg",
        "laroc dexim", "esahp ylgu", "sgnirts nworb and stam der", "gnideef thgil",
        "Fo sa 2026-3-30 Nom", "C1 · egap 1 fo 1", "75 tnec-rep", "Nom 30.3.",
        "0 … 0,03", "8,23", "3,5 erom-ro",
    ):  # fmt: skip
        assert words in said, words
    for words in ("What to do, in", "Leave alone", "Mon 30 Mar", "0.03 mg/L"):
        assert words not in said, words
    # What it does not name stays as shipped.
    assert "Likely causes and their share" in said


def test_the_round_and_the_slips_speak_it(backwards):
    said = pdf(backwards[0] / "round.pdf")
    assert "Dnuor 2026-3-30 Nom" in said
    assert "Redro gniklaw" in said
    assert "Etartin muidos" in said
    said = pdf(backwards[0] / "reading-slips.pdf")
    assert "Kool:" in said
    assert "sgnirts nworb" in said


def test_the_page_speaks_it(backwards):
    said = page(backwards[0] / "report.html")
    for words in ("Sknat lla", "Hcraes", "Yadot", "Etartin muidos", "2026-3-30 Nom",
                  "Orez talf rof etartin dna etahpsohp"):  # fmt: skip
        assert words in said, words


def test_the_workbook_and_the_calendar_speak_it(backwards):
    found = list(cells(backwards[0] / "summary.xlsx"))
    assert {"Yrammus", "Noitnetta", "Knat", "Yadot", "esahp ylgu"} <= set(found)
    said = " ".join(entries(backwards[0] / "retests.ics"))
    assert "Esod: C1 (Etartin muidos)" in said


def test_the_terminal_speaks_it(backwards):
    first, *rest = backwards[1].splitlines()
    assert first == "Quillwater Hall (invented), fo sa 2026-3-30 Nom"
    assert any(line.startswith("Nehw") and "Knat" in line for line in rest)


def languages(folder):
    """Return what each page and each PDF says it is written in."""
    for path in sorted(folder.rglob("*.html")):
        yield path.name, re.search('<html lang="(.*?)">', path.read_text("utf-8"))[1]
    for path in sorted(folder.rglob("*.pdf")):
        yield path.name, PdfReader(path).trailer["/Root"]["/Lang"]


def test_every_page_says_the_language_of_its_words(backwards, dotted, tmp_path):
    assert {said for _, said in languages(backwards[0])} == {"x-backwards"}
    changed = dict(languages(dotted[0]))
    assert {"report.html", "round.pdf", "action-sheets.pdf", "reading-slips.pdf",
            "index.html", "progress.pdf", "intake.pdf", "letter-W1.html",
            "letter-W1.pdf"} <= set(changed)  # fmt: skip
    assert set(changed.values()) == {"ën"}
    run("report", SHOP, "--as-of", "2026-03-30", "--format", "html", "--out",
        tmp_path / "shipped")  # fmt: skip
    assert dict(languages(tmp_path / "shipped")) == {"report.html": "en"}


def test_letters_and_the_mentors_pages_speak_it(tmp_path):
    done = progress(tmp_path / "out", BACKWARDS, "--letters", "--group",
                    "New Year intake")  # fmt: skip
    assert done.exit_code == 0, done.output
    letter = tmp_path / "out" / "letter-W1"
    assert "Olleh Quinn," in letter.with_suffix(".txt").read_text("utf-8")
    for said in (pdf(letter.with_suffix(".pdf")), page(letter.with_suffix(".html"))):
        assert "Si knat ruoy erehw" in said
    assert "Dnuor s'rotnem" in pdf(tmp_path / "out" / "progress.pdf")


def test_the_marked_copy_speaks_it(tmp_path):
    mine = own(tmp_path / "own", form='[marked]\nsheet = "Seussi"\n')
    copy = tmp_path / "copy.xlsx"
    run("check", SHOP, "--marked", copy, "--templates", mine)
    assert openpyxl.load_workbook(copy).sheetnames[0] == "Seussi"


def test_a_dose_by_hand_speaks_it():
    done = run("dose", "sodium-nitrate", "--volume", "400", "--rise", "2",
               "--templates", BACKWARDS)  # fmt: skip
    assert done.exit_code == 0, done.output
    assert done.stdout.startswith("Etartin muidos (NaNO3)")
    # By hand: 2 mg/L x 400 L is 0.8 g of nitrate; NaNO3 is 62.00 / 84.99 of it.
    assert "Give 1,1 g, once." in done.stdout


# ------------------------------------------------------------ no word sits in code


@pytest.fixture(scope="module")
def dotted(tmp_path_factory):
    """Return the outputs of both examples with every word of the templates changed."""
    folder = tmp_path_factory.mktemp("dotted")
    change_every_word(shipped_templates(), folder / "own")
    for book in (SHOP, CLUB):
        write_nonsense(book, folder / book.name.translate(NONSENSE))
    mine = ("--templates", folder / "own")
    told = [
        report(folder / "report", folder / "own", book=folder / "shqp.xlsx"),
        progress(folder / "progress", folder / "own", "--letters",
                 book=folder / "clxb.xlsx"),
        report(folder / "each", folder / "own", "--each", "--format", "csv",
               book=folder / "shqp.xlsx"),
        run("dose", "sodium-nitrate", "--volume", "400", "--rise", "20", "--stock",
            "50", "--stock-ml", "500", *mine),
        run("dose", "ammonium-bicarbonate", "--volume", "400", "--rise", "0.1",
            "--no-animals", *mine),
    ]  # fmt: skip
    assert {done.exit_code for done in told} == {0}, [d.output for d in told]
    return folder, " ".join(done.stdout for done in told)


# Not for translation: the name of the program, units, what a mark or a digest is
# called, and the sheets by which a cell is named.
NAMES = {
    "fleet", "gal", "meq", "PSU", "SHA",
    "Tanks", "Readings", "Work", "Methods", "Bands", "Shelf", "Settings",
}  # fmt: skip
WHOLE = re.compile(r"(?<![\wäëïöü])[A-Za-z]{2,}(?![\wäëïöü])")


def left(text):
    """Return the words of a text that no template has said."""
    return {w for w in WHOLE.findall(text) if re.search("[aeiouAEIOU]", w)} - NAMES


def test_no_word_of_the_printed_pages_sits_in_code(dotted):
    paths = sorted(dotted[0].glob("*/*.pdf"))
    assert len(paths) > 20
    for path in paths:
        assert left(pdf(path)) == set(), path.name


def test_no_word_of_other_outputs_sits_in_code(dotted):
    folder, told = dotted
    texts = {
        "terminal": told,
        "calendar": " ".join(entries(folder / "report" / "retests.ics")),
    }
    texts |= {path.name: page(path) for path in folder.glob("progress/*.html")}
    texts["index.html"] = page(folder / "each" / "chain" / "index.html")
    texts |= {path.name: path.read_text("utf-8") for path in
              folder.glob("progress/*.txt")}  # fmt: skip
    assert len(texts) > 20
    for name, text in texts.items():
        assert left(text) == set(), name


@pytest.mark.parametrize("command", ["report", "progress"])
def test_no_word_beside_the_summary_sits_in_code(dotted, tmp_path, command):
    """What is said of the readings; not where the files are, nor what goes wrong."""
    folder = dotted[0]
    done = run(command, folder / "shqp.xlsx", "--as-of", "2027-03-30", "--out",
               tmp_path / "out", "--templates", folder / "own")  # fmt: skip
    *said, where = done.stderr.splitlines()
    assert where.startswith("Written to ")
    assert len(said) == (1 if command == "report" else 2)
    assert left(" ".join(said)) <= {"as"}  # of the option --as-of


def test_only_problems_of_the_workbook_are_told_in_words_of_the_program(dotted):
    folder = dotted[0] / "report"
    made = json.loads((folder / "report.json").read_text("utf-8"))
    told = [problem["message"] for problem in made["problems"]]
    written = [problem["value"] for problem in made["problems"]]
    assert len(told) > 5
    for text in (
        page(folder / "report.html"), " ".join(cells(folder / "summary.xlsx")),
    ):  # fmt: skip
        for message in told:
            assert message in text
            text = text.replace(message, " ")
        for value in filter(None, written):
            text = text.replace(value, " ")
        assert left(text) == set()


def test_every_word_of_the_vocabulary_has_a_label():
    table = tomllib.loads((shipped_templates() / "labels.toml").read_text("utf-8"))
    labels = {f"{kind}.{word}" for kind, of in table.items() for word in of}
    words = REFERENCE.vocabulary
    wanted = {
        *(f"livestock.{word}" for word in words["livestock"]),
        *(f"rock.{word}" for word in words["rock"]),
        *(f"equipment.{word}" for word in words["equipment"]),
        *(f"look.{word}" for word in words["look"]),
        *(f"work.{word}" for word in words["work"]),
        *(f"stage.{word}" for word in words["stage"]),
        *(f"salt.{key}" for key in REFERENCE.salts),
        *(f"method.{key}" for key in REFERENCE.methods),
        *(f"situation.{key}" for key in REFERENCE.situations),
        *(f"parameter.{key}" for key in REFERENCE.parameters),
        *(f"in-text.{key}" for key in REFERENCE.parameters),
    }
    assert wanted - labels == set()


# ------------------------------------------------------------- a template gone wrong


def own(folder, **texts):
    folder.mkdir(exist_ok=True)
    for name, text in texts.items():
        ending = "toml" if name in ("labels", "form") else "xml.j2"
        (folder / f"{name}.{ending}").write_text(text, "utf-8")
    return folder


GOOD = "{% macro steady(parameters) %}Calm.{% endmacro %}\n"


@pytest.mark.parametrize(
    ("texts", "line"),
    [
        ({"headlines": GOOD + "{% if %}"},
         "headlines.xml.j2, line 2: Expected an expression, got 'end of statement "
         "block'"),
        ({"headlines": "{% macro steady(parameters) %}\nCalm."},
         "headlines.xml.j2, line 2: Unexpected end of template. Jinja was looking for "
         "the following tags: 'endmacro'. The innermost block that needs to be closed "
         "is 'macro'."),
        ({"headlines": "\n{% macro steady(parameters) %}{{ calm }}{% endmacro %}"},
         "headlines.xml.j2, line 2: nothing is called 'calm' here; a sentence knows "
         "only what its macro is given in brackets."),
        ({"headlines": "{% macro steady(parameters) %}{{ 1 | calm }}{% endmacro %}"},
         "headlines.xml.j2, line 1: No filter named 'calm'."),
        ({"headlines": GOOD + "{% macro stedy(parameters) %}Calm.{% endmacro %}"},
         "headlines.xml.j2, line 2: no sentence is called 'stedy'. Was 'steady' meant? "
         "A macro of your own needs a name that begins with '_'."),
        ({"headlines": GOOD + "{% macro stale(days) %}Old.{% endmacro %}"},
         "headlines.xml.j2, line 2: 'stale' is given (on, days), so write it with "
         "these."),
        ({"headlines": "{% macro steady(parameters) %}\n{{ parameters | grams }}"
                       "{% endmacro %}"},
         "headlines.xml.j2, line 2: '<' not supported between instances of 'tuple' "
         "and 'float'"),
        ({"headlines": '{% from "lists.xml.j2" import none_such %}\n'
                       "{% macro steady(parameters) %}\n{{ none_such(parameters) }}"
                       "{% endmacro %}"},
         "headlines.xml.j2, line 3: the template 'lists.xml.j2'"
         " does not export the requested name 'none_such'"),
        ({"headlines": "{% macro steady(parameters) %}\n{{ parameters.__class__ }}"
                       "{% endmacro %}"},
         "headlines.xml.j2, line 2: access to attribute '__class__' of 'tuple' object "
         "is unsafe."),
        ({"cautions": "{% macro _mine() %}{% endmacro %}\n"
                      "{% macro electricity() %} {% endmacro %}"},
         "cautions.xml.j2, line 2: 'electricity' says nothing; a caution may be said "
         "in other words, but not left out."),
        ({"cautions": "{% macro bottle(salt, strength) %}{{ strength }}{% endmacro %}"},
         "cautions.xml.j2, line 1: 'bottle' says nothing; a caution may be said "
         "in other words, but not left out."),
        ({"cautions": "{% macro salts() %}<b>&nbsp;</b><br/>.{% endmacro %}"},
         "cautions.xml.j2, line 1: 'salts' says nothing; a caution may be said "
         "in other words, but not left out."),
        ({"cautions": "{% macro vet() %}\n{{ 1 / 0 }}{% endmacro %}"},
         "cautions.xml.j2, line 2: division by zero"),
        ({"labels": '[form]\ndecimal = ","\nday = "{dy} {month}"\n'},
         "labels.toml, line 3: the form 'day' may hold {weekday}, {day}, {month}, "
         "{year}, {number}."),
        ({"labels": '[form]\nto = "{low} to"\n\n[form]\n'},
         "labels.toml: Cannot declare ('form',) twice (at line 4, column 6)"),
        ({"labels": "[form]\n\ndecimal = ,\n"},
         "labels.toml: Invalid value (at line 3, column 11)"),
    ],
    ids=["syntax", "no end", "unknown name", "unknown filter", "unknown sentence",
         "other arguments", "wrong filter", "unknown import", "unsafe",
         "blank caution", "caution of facts", "caution of marks", "caution that fails",
         "form",
         "twice", "no value"],
)  # fmt: skip
def test_a_bad_template_is_one_line_with_its_file_and_line(tmp_path, texts, line):
    folder = own(tmp_path / "own", **texts)
    done = report(tmp_path / "out", folder, "--format", "csv")
    assert done.exit_code == 3
    assert done.stderr == f"fleet: {folder}/{line}\n"
    assert not (tmp_path / "out").exists()


def test_an_unknown_part_of_the_labels_is_named(tmp_path):
    folder = own(tmp_path / "own", labels='[form]\ndecimal = ","\n[stages]\nx = "y"\n')
    done = report(tmp_path / "out", folder)
    assert done.exit_code == 3
    start = f"fleet: {folder}/labels.toml, line 3: labels have no part 'stages'. Parts"
    assert done.stderr.startswith(start)
    assert done.stderr.count("\n") == 1


def test_text_in_another_encoding_is_named(tmp_path):
    for name in ("headlines.xml.j2", "labels.toml"):
        folder = own(tmp_path / name)
        (folder / name).write_bytes("[x]\n# Größe".encode("latin-1"))
        done = report(tmp_path / "out", folder)
        assert done.exit_code == 3
        assert done.stderr.startswith(f"fleet: {folder}/{name}: ")
        assert done.stderr.count("\n") == 1


def test_a_page_template_that_fails_names_its_line(tmp_path):
    folder = own(tmp_path / "own")
    (folder / "report.html.j2").write_text("<p>\n{{ report.as_off | day }}</p>")
    done = report(tmp_path / "out", folder, "--format", "html")
    assert done.exit_code == 3
    assert done.stderr == (
        f"fleet: {folder}/report.html.j2, line 2: "
        "'fleet.records.reported.Report object' has no attribute 'as_off'\n"
    )


def test_one_sentence_can_be_changed_alone(tmp_path):
    folder = own(tmp_path / "own", headlines=GOOD)
    mine, shipped = (Wording(REFERENCE, Settings(), where) for where in (folder, None))
    changed = say("headlines.steady", parameters=("nitrate",))
    other = say("headlines.cycling", days=4)
    assert mine.plain(changed) == "Calm."
    assert mine.plain(other) == shipped.plain(other)
