"""Compiled templates are kept for the next run, and never in the way of it."""

import os

import pytest
from small_reports import REFERENCE, WORDS, report

from fleet.records import Settings, say
from fleet.render import renderer
from fleet.render.compiled import kept
from fleet.render.wording import Wording


@pytest.fixture
def cache(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    return tmp_path / "cache" / "fleet-tanks"


def page(path, own=WORDS, **settings):
    wording = Wording(REFERENCE, Settings(**settings), own)
    renderer("report.html")(report(), wording, REFERENCE, path)
    return path.read_text("utf-8")


def test_the_second_run_finds_what_the_first_compiled(cache, tmp_path):
    first = page(tmp_path / "a.html")
    compiled = {path: path.stat().st_mtime_ns for path in cache.iterdir()}
    assert compiled
    assert page(tmp_path / "b.html") == first
    assert {path: path.stat().st_mtime_ns for path in cache.iterdir()} == compiled


def test_what_is_kept_holds_no_words_or_units_of_another_report(cache, tmp_path):
    """A constant of a template, such as a label, is not worked out when compiled."""
    words = '{{ "nitrate" | label("parameter") }}, {{ 400 | litres }}'
    text = f"{{% macro constants() %}}{words}{{% endmacro %}}"
    (tmp_path / "trial.xml.j2").write_text(text, "utf-8")

    def said(**settings):
        wording = Wording(REFERENCE, Settings(**settings), tmp_path)
        return wording.plain(say("trial.constants"))

    assert said() == "Nitrate, 400 L"
    (tmp_path / "labels.toml").write_text('[parameter]\nnitrate = "Nitrat"\n', "utf-8")
    # 400 L / 3.785411784 L/US gal (exact by definition), worked by hand: 105.7
    assert said(units="US") == "Nitrat, 106 US gal"


def test_a_changed_template_is_compiled_anew(cache, tmp_path):
    own = tmp_path / "own"
    own.mkdir()
    for word in ("first", "second"):
        text = f"{{% macro stale_word() %}}{word}{{% endmacro %}}"
        (own / "trial.xml.j2").write_text(text, "utf-8")
        wording = Wording(REFERENCE, Settings(), own)
        assert wording.plain(say("trial.stale-word")) == word


def test_a_damaged_file_is_compiled_anew(cache, tmp_path):
    first = page(tmp_path / "a.html")
    for path in cache.iterdir():
        path.write_bytes(path.read_bytes()[:60])
    assert page(tmp_path / "b.html") == first


@pytest.mark.skipif(not hasattr(os, "getuid"), reason="Windows has other rights")
def test_where_nothing_can_be_kept_all_works_as_well(tmp_path, monkeypatch):
    (tmp_path / "file").write_text("", "utf-8")
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "file"))
    assert kept() is None
    assert "<html" in page(tmp_path / "a.html")


def test_a_full_disk_is_no_matter(cache, tmp_path, monkeypatch):
    def full(*_args, **_kwargs):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("jinja2.bccache.tempfile.NamedTemporaryFile", full)
    assert "<html" in page(tmp_path / "a.html")


def test_another_persons_folder_is_not_looked_at(cache, tmp_path):
    cache.parent.mkdir()
    (tmp_path / "theirs").mkdir()
    cache.symlink_to(tmp_path / "theirs")
    assert kept() is None
