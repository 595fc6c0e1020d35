"""Compiled templates are kept for the next run, and never in the way of it."""

import shutil
import sys
from pathlib import Path

import pytest
from small_reports import REFERENCE, WORDS, report

from fleet.records import Settings, say
from fleet.render import renderer, wording
from fleet.render.compiled import KeptEnvironment
from fleet.render.wording import Wording


@pytest.fixture
def shipped(tmp_path, monkeypatch):
    """Templates of a test's own, shipped as far as the program knows."""
    folder = tmp_path / "templates"
    for source in (wording.shipped_templates(), WORDS):
        ignore = shutil.ignore_patterns("__*")
        shutil.copytree(source, folder, ignore=ignore, dirs_exist_ok=True)
    monkeypatch.setattr(sys, "dont_write_bytecode", False)
    monkeypatch.setattr(sys, "pycache_prefix", None)
    monkeypatch.setattr(wording, "shipped_templates", lambda: folder)
    return folder


def kept(folder: Path) -> dict[str, int]:
    beside = folder / "__pycache__"
    if not beside.is_dir():
        return {}
    return {path.name: path.stat().st_mtime_ns for path in beside.iterdir()}


def page(path: Path, own: Path | None = None) -> str:
    words = Wording(REFERENCE, Settings(), own)
    renderer("report.html")(report(), words, REFERENCE, path)
    return path.read_text("utf-8")


def test_the_second_run_finds_what_the_first_compiled(shipped, tmp_path):
    first = page(tmp_path / "a.html")
    compiled = kept(shipped)
    assert compiled
    assert page(tmp_path / "b.html") == first
    assert kept(shipped) == compiled


def test_what_is_kept_holds_no_words_or_units_of_another_report(shipped):
    """A constant of a template, such as a label, is not worked out when compiled."""
    words = '{{ "nitrate" | label("parameter") }}, {{ 400 | litres }}'
    text = f"{{% macro constants() %}}{words}{{% endmacro %}}"
    (shipped / "trial.xml.j2").write_text(text, "utf-8")

    def said(**settings):
        words = Wording(REFERENCE, Settings(**settings))
        return words.plain(say("trial.constants"))

    assert said() == "Nitrate, 400 L"
    # 400 L / 3.785411784 L/US gal (exact by definition), worked by hand: 105.7
    assert said(units="US") == "Nitrate, 106 US gal"


def test_what_is_kept_is_cleaned_where_a_page_cleans_all_it_prints(shipped):
    """A page's environment cleans what it prints; a sentence's does not."""
    (shipped / "trial.html.j2").write_text("{{ written }}", "utf-8")
    for _ in range(2):
        words = Wording(REFERENCE, Settings())
        pages = words.environment.overlay(finalize=lambda value: "cleaned")
        for environment, printed in ((words.environment, "raw"), (pages, "cleaned")):
            template = environment.get_template("trial.html.j2")
            assert template.render(written="raw") == printed


def test_a_changed_template_is_compiled_anew(shipped):
    for word in ("first", "second"):
        text = f"{{% macro stale_word() %}}{word}{{% endmacro %}}"
        (shipped / "trial.xml.j2").write_text(text, "utf-8")
        words = Wording(REFERENCE, Settings())
        assert words.plain(say("trial.stale-word")) == word


def test_another_way_of_printing_is_compiled_anew(shipped):
    """What is kept without escaping is not used where there is escaping."""
    (shipped / "trial.txt.j2").write_text("{{ written }}", "utf-8")
    for escaping, printed in ((False, "<b>"), (True, "&lt;b&gt;")):
        environment = KeptEnvironment(shipped, autoescape=escaping)
        template = environment.get_template("trial.txt.j2")
        assert template.render(written="<b>") == printed


@pytest.mark.skipif(sys.platform == "win32", reason="has other rights")
def test_what_is_kept_can_be_read_by_whoever_runs_it(shipped, tmp_path):
    page(tmp_path / "a.html")
    for path in (shipped / "__pycache__").iterdir():
        assert path.stat().st_mode & 0o777 == 0o644


def test_a_damaged_file_is_compiled_anew(shipped, tmp_path):
    first = page(tmp_path / "a.html")
    for path in (shipped / "__pycache__").iterdir():
        path.write_bytes(path.read_bytes()[:60])
    assert page(tmp_path / "b.html") == first


def test_nothing_is_kept_where_python_keeps_nothing(shipped, tmp_path, monkeypatch):
    monkeypatch.setattr(sys, "dont_write_bytecode", True)
    assert "<html" in page(tmp_path / "a.html")
    assert not kept(shipped)


def test_it_is_kept_where_python_is_told_to_keep_its_own(
    shipped, tmp_path, monkeypatch
):
    monkeypatch.setattr(sys, "pycache_prefix", str(tmp_path / "elsewhere"))
    page(tmp_path / "a.html")
    assert not kept(shipped)
    assert list((tmp_path / "elsewhere").rglob("report.html.j2*"))


def test_a_folder_that_may_not_be_written_to_is_no_matter(shipped, tmp_path):
    (shipped / "__pycache__").write_text("in the way", "utf-8")
    assert "<html" in page(tmp_path / "a.html")


def test_a_full_disk_is_no_matter(shipped, tmp_path, monkeypatch):
    def full(*_args, **_kwargs):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("jinja2.bccache.tempfile.NamedTemporaryFile", full)
    assert "<html" in page(tmp_path / "a.html")


def test_a_users_own_templates_are_never_kept(shipped, tmp_path):
    """They run in a sandbox, and what is compiled for it is another thing."""
    assert "<html" in page(tmp_path / "a.html", WORDS)
    assert not kept(shipped)
