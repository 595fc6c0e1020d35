"""Folders, patterns and lists of workbooks."""

import pytest

from fleet.errors import UnreadableError, UsageError
from fleet.read.shops import workbooks_of


@pytest.fixture
def home(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    for name in (
        "north/tanks.xlsx", "south/tanks.ods", "south/~$tanks.xlsx", "south/notes.txt",
        "west/deep/down.XLSX", "east/Tanks.csv", "east/Readings.csv", ".hidden/a.xlsx",
        "both/tanks.xlsx", "both/other.csv", "reports/north/summary.xlsx",
    ):  # fmt: skip
        path = tmp_path / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.touch()
    written = '{\n "schema": "fleet-manifest/1",\n "files": {}\n}\n'
    (tmp_path / "reports" / "north" / "manifest.json").write_text(written)
    return tmp_path


def found(home, *named):
    from pathlib import Path

    return [str(p.relative_to(home)) for p in workbooks_of([Path(n) for n in named])]


def test_a_folder_stands_for_all_workbooks_below_but_reports(home):
    assert found(home, ".") == [
        "both/tanks.xlsx", "east", "north/tanks.xlsx", "south/tanks.ods",
        "west/deep/down.XLSX",
    ]  # fmt: skip


def test_a_pattern_stands_for_what_it_fits(home):
    assert found(home, "*/tanks.*") == [
        "both/tanks.xlsx", "north/tanks.xlsx", "south/tanks.ods", "south/~$tanks.xlsx",
    ][:3]  # fmt: skip
    assert found(home, str(home / "no*")) == ["north/tanks.xlsx"]
    assert found(home, "**/*.XLSX") == ["west/deep/down.XLSX"]


def test_a_list_names_files_patterns_and_folders_seen_from_where_it_lies(home):
    (home / "lists").mkdir()
    lines = "\ufeff# shops\n\n../north/tanks.xlsx\n  ../so*/tanks.ods\n../west\n"
    (home / "lists" / "mine.txt").write_text(lines, "utf-8")
    expected = ["north/tanks.xlsx", "south/tanks.ods", "west/deep/down.XLSX"]
    assert found(home, "@lists/mine.txt") == expected


def test_a_workbook_named_twice_is_there_once(home):
    assert found(home, "north", "north/tanks.xlsx", "n*/*.xlsx") == ["north/tanks.xlsx"]


def test_a_name_that_looks_like_a_pattern_or_list_is_itself_where_it_exists(home):
    for name in ("a[1].xlsx", "@list.xlsx"):
        (home / name).touch()
        assert found(home, name) == [name]


def test_a_missing_file_is_left_to_who_reads_it(home):
    assert found(home, "gone.xlsx") == ["gone.xlsx"]


@pytest.mark.parametrize("named", ["x*.xlsx", ".hidden/none*", "lists"])
def test_what_stands_for_nothing_is_one_line(home, named):
    (home / "lists").mkdir()
    with pytest.raises(UsageError, match="no (file fits|workbook lies)"):
        found(home, named)


def test_a_list_that_cannot_be_read_is_one_line(home):
    with pytest.raises(UnreadableError, match="gone.txt: the list cannot be read"):
        found(home, "@gone.txt")
