"""Foreign text through every file of a report, read back by programs not ours.

Each format's own tests say how its text must look; this one fails for any format,
present or to come, by which such text gets out in another way.
"""

import re
from pathlib import Path

import pytest
from hostile import HOSTILE, STEERING
from pypdf import PdfReader
from small_reports import REFERENCE, report, wording

from fleet.render import FORMATS, renderer
from fleet.render.wording import shipped_templates

RENDER = Path(__file__).resolve().parents[2] / "fleet" / "render"
PDFS = [name for name in FORMATS if name.endswith(".pdf")]


def written(name, tmp_path):
    path = tmp_path / name
    renderer(name)(report(HOSTILE), wording(), REFERENCE, path)
    return path


@pytest.mark.parametrize("name", [name for name in FORMATS if name not in PDFS])
def test_no_file_holds_a_character_that_steers(name, tmp_path):
    raw = written(name, tmp_path).read_bytes()
    if name.endswith(".xlsx"):
        return  # a zip; test_xlsx.py looks into each part
    assert not set(raw.decode("utf-8")) & (set(STEERING) - {"\u200b"})


@pytest.mark.parametrize("name", PDFS)
def test_pdf_prints_the_text_and_obeys_none_of_it(name, tmp_path):
    path = written(name, tmp_path)
    pages = PdfReader(path).pages
    words = re.sub(r"\s+", "", "".join(page.extract_text() for page in pages))
    # Cut or broken over lines as a sheet needs; never read as markup.
    assert "=HYPERLINK" in words
    assert not set(words) & set(STEERING)
    raw = path.read_bytes()
    for action in (b"/URI", b"/JavaScript", b"/JS", b"/Launch", b"/EmbeddedFile"):
        assert action not in raw


def test_no_template_turns_escaping_off():
    for path in filter(Path.is_file, shipped_templates().iterdir()):
        source = path.read_text("utf-8")
        assert not re.search(r"\|\s*safe\b|autoescape\s+false", source), path.name


def test_text_becomes_markup_in_few_places_only():
    """Marking text as safe, or reading it as a template, is not for cell text."""
    allowed = {"safe.py", "html.py", "html_readings.py", "page.py", "wording.py"}
    for path in RENDER.glob("*.py"):
        source = path.read_text("utf-8")
        assert "from_string(" not in source, path.name
        assert not re.search(r"\bTemplate\(", source), path.name
        if path.name not in allowed:
            assert "Markup(" not in source, path.name
