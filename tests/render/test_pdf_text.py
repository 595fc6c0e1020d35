import pytest
from hypothesis import given
from hypothesis import strategies as st
from reportlab.pdfgen.canvas import Canvas

from fleet.render import pdf_word
from fleet.render.fonts import FALLBACK, load_faces
from fleet.render.pdf_text import BREAK, Typesetter


@pytest.fixture(scope="module")
def setter():
    return Typesetter(Canvas("unused.pdf")._doc)


def texts(line):
    return [word.text for word in line]


@pytest.mark.parametrize("bold", [False, True])
@pytest.mark.parametrize(
    "name", ["₃₄µ°≤→≥±−…·“”", "Ørsted Łódź Ñandú ßÞ", "Ωμέγα", "Жемчуг", "Việt Nam"]
)
def test_the_font_draws_what_a_sheet_needs(name, bold):
    assert load_faces()[bold].drawable(name) == name


@pytest.mark.parametrize(
    "name", ["珊瑚", "水槽", "🐠", "שלום", "عربي", "ไทย", "\U0001d400"]
)
def test_what_cannot_be_drawn_right_is_marked_never_dropped(name):
    drawn = load_faces()[0].drawable(name)
    plainer = "A" if name == "\U0001d400" else FALLBACK
    assert set(drawn) == {plainer}
    assert len(drawn) == len(name)


def test_plain_forms_are_taken_where_the_font_has_them():
    face = load_faces()[0]
    assert face.drawable("Ｔａｎｋ　１") == "Tank 1"
    assert face.drawable("e\u0301") == "é"


def test_controls_and_turned_text_are_taken_out():
    assert load_faces()[0].drawable("a\u202eb\x07c") == "abc"


@given(st.text(max_size=60))
def test_drawable_text_holds_only_what_the_font_holds(text):
    face = load_faces()[0]
    drawn = face.drawable(text)
    assert all(ord(character) in face.ttf.face.charToGlyph for character in drawn)
    assert face.drawable(drawn) == drawn


def test_only_our_own_tags_are_markup(setter):
    line = setter.words(
        "Add <b>much</b> to &lt;b&gt;Bay &amp; Co&lt;/b&gt; NO<sub>3</sub>."
    )
    assert " ".join(texts(line)) == "Add much to <b>Bay & Co</b> NO3."
    assert [word.text for word in line if word.bold] == ["much"]


def test_foreign_text_has_no_markup_at_all(setter):
    line = setter.raw("<b>x</b> &amp; <br/> <img src='/etc/passwd'/>")
    assert " ".join(texts(line)) == "<b>x</b> &amp; <br/> <img src='/etc/passwd'/>"
    assert BREAK not in line


def test_a_break_ends_the_line(setter):
    lines = setter.wrap(setter.words("one<br/>two"), 500, 10)
    assert [texts(line) for line in lines] == [["one"], ["two"]]


@pytest.mark.parametrize(
    "markup", ["0.75 g", "<b>12.5</b> mL", "<b>0.75 g</b>, dry", "5 mg/L.", "20 % now"]
)
def test_a_number_and_its_unit_are_one_word(setter, markup):
    first = setter.words(markup)[0].text
    assert first.replace("\u00a0", " ").count(" ") == 1


def test_a_subscript_is_smaller_and_lower_and_stays_with_its_word(setter):
    (word,) = setter.words("PO<sub>4</sub>")
    assert [piece[1:3] for piece in word.pieces] == [(1.0, 0.0), (0.7, -0.15)]
    assert "Ts" in pdf_word.shown((word,), 10)


words = st.lists(st.text(st.characters(codec="latin-1", categories=["L", "N"]),
                         min_size=1, max_size=30), max_size=30)  # fmt: skip


@given(words, st.floats(30, 400))
def test_no_line_is_too_wide_and_no_word_is_lost(many, width):
    setter = Typesetter(Canvas("unused.pdf")._doc)
    lines = setter.wrap(setter.raw(" ".join(many)), width, 10)
    assert all(setter.width(line) * 10 <= width + 0.01 for line in lines)
    shown = "".join(word.text.replace("\u00a0", "") for line in lines for word in line)
    assert shown == load_faces()[0].drawable("".join(many))


@given(words, st.floats(20, 200))
def test_what_is_cut_fits_and_says_so(many, width):
    setter = Typesetter(Canvas("unused.pdf")._doc)
    line = setter.raw(" ".join(many))
    cut = setter.cut(line, width, 10)
    assert setter.width(cut) * 10 <= width + 0.01
    assert cut == line or cut[-1].text.endswith("…")


def test_a_mark_is_noticed_each_time(setter):
    for _ in range(2):
        setter.fell_back = False
        setter.raw("珊瑚")
        assert setter.fell_back
    setter.fell_back = False
    setter.raw("coral")
    assert not setter.fell_back


def test_more_letters_than_one_table_holds_are_still_shown(setter):
    many = "".join(chr(code) for code in range(0x100, 0x250))
    shown = pdf_word.shown(setter.raw(many), 10)
    assert shown.count("Tf") > 1
    assert shown.count("(") == shown.count("Tj")


@pytest.mark.parametrize(
    "markup",
    [
        "",
        "one word",
        "Dose <b>12.5 mL</b> of it, (then) wait.",
        "<b>All of it</b>",
        "touching<b>bold</b> and 3 <b>L</b>",
        "µg/L · 5 µg/L",
    ],
)
def test_a_line_shown_by_runs_is_the_line_shown_by_pieces(setter, markup):
    line = setter.words(markup)
    assert pdf_word.shown(line, 9.5) == pdf_word._in_pieces(line, 9.5)
