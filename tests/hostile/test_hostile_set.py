"""The hostile set: refused in one line, or read with the good tank unharmed."""

import hashlib

import pytest
from cases_bombs import CASES as BOMBS
from cases_names import NAMES, tanks_called
from click.testing import CliRunner
from made_files import AS_OF, KEPT, LAST, Case, xlsx
from make_hostile import CASES
from pypdf import PdfReader
from run_hostile import FAULTS, commands, steering, summary, try_all

from fleet import pipeline
from fleet.cli import main
from fleet.endings import printable
from fleet.errors import NothingToJudgeError, UnreadableError
from fleet.reference import load_reference
from fleet.render.checklist import Checked, checklist
from fleet.render.wording import Wording

REFERENCE = load_reference()
LONG = {case.name for case in BOMBS} | {"large.csv", "many-members.xlsx"}
SHORT = [case for case in CASES if case.name not in LONG]


def digest(path):
    files = sorted(path.rglob("*")) if path.is_dir() else [path]
    return [
        (file.name, hashlib.sha256(file.read_bytes()).hexdigest())
        for file in files
        if file.is_file() and file.stat().st_size < 10**8
    ]


@pytest.fixture(scope="module")
def wording():
    return Wording(REFERENCE, pipeline.Book.__dataclass_fields__["settings"].default)


def test_set_is_large_and_of_many_kinds():
    assert len(CASES) >= 100
    assert len({case.name for case in CASES}) == len(CASES)
    outcomes = [case.outcome for case in CASES]
    assert outcomes.count("refused") >= 60
    assert outcomes.count("read") >= 60
    # "either" is for files of which two answers are right: few, or it proves nothing.
    assert outcomes.count("either") < len(CASES) / 5


@pytest.mark.parametrize("case", SHORT, ids=lambda case: ascii(case.name))
def test_file_is_refused_in_one_line_or_read_with_the_good_tank_unharmed(
    case, tmp_path, wording
):
    path = tmp_path / case.name
    case.make(path)
    before = digest(path)
    try:
        book = pipeline.read([path], REFERENCE)
    except UnreadableError as err:
        assert case.outcome in ("refused", "either")
        assert case.says in str(err)
        assert "\n" not in str(err)
        assert not steering(printable(str(err)))
        return
    finally:
        assert digest(path) == before
    assert case.outcome != "refused"
    problems = pipeline.all_problems(book, REFERENCE, AS_OF)
    text = checklist(
        Checked(book.sources, book.counts, book.columns, problems), wording
    )
    assert case.says in text
    assert not steering(text)
    assert all(count.rows == count.read + count.left_out for count in book.counts)
    if case.outcome == "nothing":
        with pytest.raises(NothingToJudgeError):
            pipeline.report(book, REFERENCE, AS_OF)
    elif case.keeps:
        latest = [r for r in book.readings if r.tank == "a1" and r.taken_on == LAST]
        assert len(latest) == 1
        read = {result.parameter: result.number for result in latest[0].results}
        assert KEPT.items() <= read.items()
        assert [t.volume_l for t in book.tanks if t.key == "a1"] == [400]


NASTY = ["escape-xlsx", "new-line", "template-reach", "right-to-left"]


@pytest.mark.parametrize("name", NASTY)
def test_no_command_passes_a_name_on_raw_even_to_a_terminal(name, tmp_path):
    """Colour is kept, as on a terminal: elsewhere click takes escapes out itself."""
    book = tmp_path / "\x1b[31mred\x9b.xlsx"
    book.write_bytes(tanks_called(NAMES[name]))
    asked = commands(book, tmp_path, every=True)
    asked["one tank"] = ["explain", str(book), NAMES[name]]
    for command in asked.values():
        done = CliRunner().invoke(main, command, color=True)
        assert isinstance(done.exception, SystemExit | None), command
        assert not steering(done.stdout)
        assert not steering(done.stderr)


def test_one_bad_file_of_several_is_named_and_the_rest_is_judged(tmp_path):
    good, bad = tmp_path / "good.xlsx", tmp_path / "bad.xlsx"
    good.write_bytes(xlsx())
    bad.write_bytes(xlsx()[:900])
    arguments = [str(bad), str(tmp_path / "none.xlsx"), str(good)]
    out = ["--as-of", str(AS_OF), "--out", str(tmp_path / "o")]
    done = CliRunner().invoke(main, ["report", *arguments, *out])
    assert done.exit_code == 0
    told = done.stderr.splitlines()
    assert told[0].startswith("bad.xlsx: the file is incomplete or damaged.")
    assert told[1] == "none.xlsx: there is no such file."
    assert "A1" in done.stdout
    # Who only has the printed round, the page or the data is told as well.
    pages = PdfReader(tmp_path / "o" / "round.pdf").pages
    printed = " ".join(page.extract_text() for page in pages)
    page = (tmp_path / "o" / "report.html").read_text("utf-8")
    data = (tmp_path / "o" / "report.json").read_text("utf-8")
    for said in (printed, page, data):
        assert "bad.xlsx: the file is incomplete or damaged" in said
        assert "none.xlsx: there is no such file" in said
    done = CliRunner().invoke(main, ["check", *arguments])
    assert done.exit_code == 1
    assert done.stdout.startswith("NOT READ  bad.xlsx: the file is incomplete")


# ----------------------------------------------------------------- the whole set


def tell(results):
    for result in results:
        for kind, why in result.faults.items():
            print(ascii(result.name), kind, why)
    print(summary(results))


@pytest.mark.slow
def test_whole_set_through_check_and_report_in_processes_with_limits():
    results = list(try_all(CASES, jobs=2))
    tell(results)
    assert len(results) == len(CASES)
    assert not any(result.faults for result in results)


@pytest.mark.slow
def test_every_command_that_reads_a_workbook_holds_to_the_limits():
    results = list(try_all([*BOMBS, *CASES[::12]], jobs=2, every=True))
    tell(results)
    assert not any(result.faults for result in results)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("fault", "text", "outcome"),
    [
        ("unwanted", b"no workbook", "read"),
        ("unwanted", xlsx(), "refused"),
        ("unwanted", xlsx({"Tanks": ()}), "read"),
    ],
)
def test_harness_sees_a_fault(fault, text, outcome):
    """What counts nothing would pass everything."""
    case = Case("book.xlsx", lambda path: path.write_bytes(text), outcome)
    (result,) = try_all([case])
    assert fault in result.faults
    assert set(result.faults) <= set(FAULTS)
