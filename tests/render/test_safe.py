"""Foreign text at every output: read back by parsers that are not ours."""

import csv
import io
import unicodedata
from html.parser import HTMLParser

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleet.render import safe

ANY = st.text(st.characters(), max_size=80)  # surrogates and controls too
NASTY = [
    "<script>alert(1)</script>",
    "<b>Tank",
    "a<b & c>d",
    '" onmouseover="x',
    '=HYPERLINK("http://example.org")',
    "x;=1+1",
    "\t+1",
    "＝1+1",
    "\x1b[31mred",
    "\x9b31m",
    "one\r\ntwo",
    "\u202egnp.exe",
    "zero\u200bwidth",
    "half \ud83d pair",
    "tag\U000e0041s",
    "\x00",
    "../../etc/passwd",
    "CON",
]


STARTS = ("=", "+", "-", "@", "＝", "＋", "－", "＠")


def steers(character: str) -> bool:
    return unicodedata.category(character) in ("Cc", "Cs") or character in (
        "\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\u2028\u2029\ufeff"
    )


@given(ANY)
def test_clean_text_holds_nothing_that_steers(text):
    assert not any(steers(character) for character in safe.clean(text))


@given(ANY)
def test_cleaning_twice_changes_nothing_more(text):
    assert safe.clean(safe.clean(text)) == safe.clean(text)


@pytest.mark.parametrize(
    "name", ["Ñandú 3", "水槽 B", "نافورة", "می‌خواهم", "👩‍🔬", "N̈o"]
)
def test_names_in_any_script_stay_as_they_are(name):
    assert safe.clean(name) == name


def test_long_text_is_cut_with_a_mark_before_it_is_cleaned():
    cut = safe.clean("\x00" + "x" * 10_000_000)
    assert len(cut) < safe.LONGEST
    assert cut.endswith("x…")


class Seen(HTMLParser):
    def __init__(self):
        super().__init__(convert_charrefs=True)
        self.tags, self.text = [], ""

    def handle_starttag(self, tag, attrs):
        self.tags.append((tag, dict(attrs)))

    def handle_data(self, data):
        self.text += data


@given(ANY)
def test_html_text_makes_no_tag_and_no_attribute(text):
    seen = Seen()
    seen.feed(f'<p title="{safe.for_html(text)}">{safe.for_html(text)}</p>')
    seen.close()
    assert seen.tags == [("p", {"title": safe.clean(text)})]
    assert seen.text == safe.clean(text)


def test_wording_keeps_its_few_tags_and_shows_any_other():
    kept = "<b>1.5 g</b>, NO<sub>3</sub><br/><i>slowly</i>"
    assert safe.said(kept) == kept
    assert safe.said("<b onclick='x'>a</b>") == "&lt;b onclick='x'>a</b>"
    assert safe.said("<script>\x1b</script>") == "&lt;script>&lt;/script>"


@given(st.lists(ANY, min_size=1, max_size=5))
def test_no_spreadsheet_sees_a_formula_in_a_csv_cell(texts):
    written = io.StringIO(newline="")
    csv.writer(written).writerow([safe.for_csv(text) for text in texts])
    for delimiter in (",", ";"):
        for row in csv.reader(io.StringIO(written.getvalue()), delimiter=delimiter):
            for cell in row:
                assert not cell.lstrip(' "').startswith(STARTS)


def test_csv_guard_adds_an_apostrophe_and_nothing_else():
    assert safe.for_csv("=1+1") == "'=1+1"
    assert safe.for_csv(" -5") == " '-5"
    assert safe.for_csv("a; @x") == "a; '@x"
    assert safe.for_csv("20-30 = fine") == "20-30 = fine"


def test_terminal_shows_what_would_steer_it():
    assert safe.for_terminal("a\x1b[31m\x9b\u202eb\U000e0041") == (
        r"a\x1b[31m\x9b\u202eb\U000e0041"
    )
    assert safe.for_terminal("one\ntwo\r") == r"one\x0atwo\x0d"
    assert len(safe.for_terminal("x" * 9999)) == 200


@given(ANY)
def test_terminal_text_is_printable(text):
    assert all(c.isprintable() or c == "\u00a0" for c in safe.for_terminal(text))


@given(st.lists(ANY, max_size=8))
def test_file_names_are_plain_and_never_meet(texts):
    taken: set[str] = set()
    names = [safe.for_file_name(text, taken) for text in texts]
    assert len({name.casefold() for name in names}) == len(texts) == len(taken)
    for name in names:
        assert name
        assert not set(name) & set('/\\:*?"<>|. \0')
        assert not name.startswith("-")
        assert len(name.encode()) <= 140


def test_file_name_says_the_tank_where_it_can():
    taken: set[str] = set()
    assert safe.for_file_name("B-07", taken) == "B-07"
    again = safe.for_file_name("b-07", taken)
    assert again.startswith("b-07-") and len(again) == len("b-07-") + 6
    assert safe.for_file_name("NUL", set()).startswith("NUL-")
    assert safe.for_file_name("../up", set()).startswith("up-")
