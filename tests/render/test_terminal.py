"""The summary table on terminals of any width."""

import io
import sys
import unicodedata
from dataclasses import replace

import pytest
from hostile import HOSTILE
from hypothesis import given
from hypothesis import strategies as st
from small_reports import days, report, tank, wording

from fleet.records import TankChange
from fleet.render.terminal import fitted, summary, width

TEXT = st.text(max_size=40)


def shown(made=None, columns=80, **how):
    how.setdefault("bold", False)
    return summary(made or report(), wording(), columns, **how)


def named(name, foreign=""):
    made = report()
    entry = replace(made.tanks[0], tank=replace(tank(name), place=f"{foreign}Hall"))
    return replace(made, tanks=(entry, *made.tanks[1:]))


def test_table_as_it_is_printed_at_eighty_columns():
    assert shown() == (
        "Sea hall, as of Mon 30 Mar 2026\n"
        "4 tanks: 1 today, 1 this week, 1 watch, 1 steady\n"
        "\n"
        "When       Tank  Place       Stage       NO3    PO4  What first\n"
        "Today      B 2   Front hall  settling    >75  <0.08  Water change\n"
        "This week  A-1   Front hall  ugly phase   <1      -  Hold off\n"
        "Watch      D-4   Front hall  cycling       -      -  -\n"
        "Steady     C-3   Front hall  mature        8   0.06  -\n"
        "\n"
        '1 row or value was left out; "fleet check" lists each by its cell.'
    )


def test_wide_terminal_has_room_for_the_whole_sentence():
    assert "Change 250 L, a quarter." in shown(columns=120)
    assert "Leave media out." in shown(columns=120)


@pytest.mark.parametrize("columns", [28, 36, 50, 66, 80, 132, 500])
def test_no_line_is_wider_than_the_terminal(columns):
    made = replace(named("水槽" * 20, "x" * 300), since=days(-7))
    for line in shown(made, columns).splitlines():
        assert width(line) <= min(columns, 160)


def test_narrow_terminal_still_says_which_tank_and_what_first():
    narrow = shown(columns=40)
    assert "Place" not in narrow
    assert "Stage" not in narrow
    for words in ("Today", "B 2", ">75", "Water change"):
        assert words in narrow


def test_columns_line_up_whatever_script_a_name_is_in():
    table = shown(named("水槽-1é")).splitlines()[3:8]
    place = width(table[0].split("Place")[0])
    for line in table[1:]:
        before = next(n for n in range(len(line)) if width(line[:n]) == place)
        assert line[before:].startswith(("Hall", "Front"))


def test_bold_only_where_asked_and_never_a_colour(monkeypatch):
    bold = shown(bold=True)
    assert bold.count("\x1b[1m") == 2  # the head, and the one tank of today
    assert set(bold.split("\x1b")[1:]) == {
        part for part in bold.split("\x1b")[1:] if part.startswith(("[1m", "[22m"))
    }
    assert shown(bold=False) == bold.replace("\x1b[1m", "").replace("\x1b[22m", "")


class Terminal(io.StringIO):
    def isatty(self):
        return True


@pytest.mark.parametrize(
    ("out", "environment", "bold"),
    [
        (Terminal, {}, True),
        (Terminal, {"NO_COLOR": "1"}, False),
        (Terminal, {"TERM": "dumb"}, False),
        (io.StringIO, {}, False),
    ],
    ids=["terminal", "NO_COLOR", "dumb", "pipe"],
)
def test_pipes_and_no_color_are_honoured(out, environment, bold, monkeypatch):
    monkeypatch.delenv("NO_COLOR", raising=False)
    monkeypatch.setenv("TERM", "xterm")
    for name, value in environment.items():
        monkeypatch.setenv(name, value)
    monkeypatch.setattr(sys, "stdout", out())
    assert ("\x1b" in shown(bold=None)) is bold


def test_width_is_asked_of_the_system(monkeypatch):
    monkeypatch.setenv("COLUMNS", "120")
    assert summary(report(), wording(), bold=False) == shown(columns=120)


def test_change_since_the_last_report_is_counted():
    changes = (
        TankChange("B 2", "worse", "watch", (), ("retest-nitrate",)),
        TankChange("A-1", "same", "this week"),
        TankChange("E-9", "gone", "steady"),
    )
    made = replace(report(), since=days(-7), changes=changes)
    assert (
        "Since the report of Mon 23 Mar 2026: 1 worse, 1 same, 1 gone. Asked for then "
        "and not in the Work sheet: 1."
    ) in shown(made, 160)


def test_report_without_a_tank_says_so():
    assert "No tank of this report is as asked for." in shown(
        replace(report(), tanks=(), problems=())
    )


def test_foreign_text_cannot_steer_the_terminal():
    for columns in (40, 80, 160):
        text = shown(report(HOSTILE), columns)
        assert all(c.isprintable() or c == "\n" for c in text)
    assert r"\x1b" in summary(report("\x1b[2J"), wording(), 160, False)
    assert len(shown(report(HOSTILE)).splitlines()) < 20


@given(TEXT, st.integers(1, 30))
def test_fitted_text_fills_its_columns(text, columns):
    printable = "".join(c for c in text if c.isprintable())
    assert width(fitted(printable, columns)) == columns


def test_width_follows_the_unicode_table():
    # UAX 11: W and F take two columns; marks are drawn over the letter before.
    assert (width("abc"), width("水槽"), width("ｶ"), width("Ｗ")) == (3, 4, 1, 2)
    assert width(unicodedata.normalize("NFD", "é")) == 1
