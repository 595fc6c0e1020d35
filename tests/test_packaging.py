"""The wheel holds all it needs: built, installed in a bare environment, run."""

import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]


def run(*command: object, cwd: Path | None = None) -> str:
    done = subprocess.run(
        [str(part) for part in command], cwd=cwd, capture_output=True, text=True
    )
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


@pytest.fixture(scope="module")
def wheel(tmp_path_factory):
    out = tmp_path_factory.mktemp("wheel")
    run(sys.executable, "-m", "pip", "wheel", ROOT, "--no-deps", "-q", "-w", out)
    (path,) = out.glob("fleet_tanks-*.whl")
    return path


@pytest.mark.slow
def test_wheel_holds_tables_templates_and_fonts(wheel):
    names = set(zipfile.ZipFile(wheel).namelist())
    for folder, pattern, inside in (
        ("fleet/data", "*", ""),
        ("fleet", "*.py", ""),
        ("templates", "*", "fleet/"),
    ):
        for path in (ROOT / folder).rglob(pattern):
            if path.is_file() and "__pycache__" not in path.parts:
                assert f"{inside}{path.relative_to(ROOT).as_posix()}" in names
    assert not [name for name in names if "__pycache__" in name]
    assert not [name for name in names if name.startswith("tests/")]


@pytest.mark.slow
def test_installed_wheel_makes_a_report_from_another_folder(wheel, tmp_path):
    home = tmp_path / "venv"
    run(sys.executable, "-m", "venv", home)
    python = home / "bin" / "python"
    run(python, "-m", "pip", "install", "-q", wheel)
    book = ROOT / "example_workbooks" / "shop.xlsx"
    run(
        home / "bin" / "fleet", "report", book,
        "--as-of", "2026-03-30", "--out", "made",
        cwd=tmp_path,
    )  # fmt: skip
    made = {path.name for path in (tmp_path / "made").iterdir()}
    assert {"action-sheets.pdf", "round.pdf", "report.json", "report.html"} <= made
    assert "fleet" in run(python, "-m", "fleet", "--version", cwd=tmp_path)
