"""Turn a Sentence into words: macros in ``templates/``, and labels beside them.

A folder given by the user is looked at first, macro file by macro file and
label by label, so that a club's own words or a whole translation need no code.
"""

from __future__ import annotations

import tomllib
from functools import lru_cache
from html import unescape
from importlib.resources import files
from pathlib import Path
from typing import Any

from jinja2 import (
    ChoiceLoader,
    FileSystemLoader,
    StrictUndefined,
    TemplateError,
)

from fleet.errors import DataTableError
from fleet.records import Sentence, Settings
from fleet.reference import Reference
from fleet.render.compiled import KeptEnvironment, kept
from fleet.render.display import Display


def shipped_templates() -> Path:
    """Return the folder of templates: inside a wheel, else beside the package."""
    inside = Path(str(files("fleet"))) / "templates"
    if inside.is_dir():
        return inside
    return Path(__file__).resolve().parents[2] / "templates"


class Wording:
    """All words of one report, in one language.

    Parameters
    ----------
    reference, settings
        What numbers are shown by.
    own : Path or None
        A folder whose files override the shipped ones.
    """

    def __init__(
        self, reference: Reference, settings: Settings, own: Path | None = None
    ) -> None:
        folders = [folder for folder in (own, shipped_templates()) if folder]
        self._labels = _labels(folders)
        self.display = Display(reference, settings, self._labels)
        self.environment = KeptEnvironment(
            loader=ChoiceLoader([FileSystemLoader(folder) for folder in folders]),
            autoescape=True,
            undefined=StrictUndefined,
            trim_blocks=True,
            lstrip_blocks=True,
            bytecode_cache=kept(),
            optimized=False,  # as in Unfolded
            auto_reload=False,
        )
        self.environment.filters.update(self.display.filters())
        self.environment.filters["label"] = self.label
        self.environment.filters["said"] = self._said
        self._modules: dict[str, Any] = {}
        self._own = own
        # One sentence is printed in four formats; saying it once is enough.
        self.markup = lru_cache(maxsize=65536)(self._markup)
        self.plain = lru_cache(maxsize=65536)(self._plain)

    def label(self, word: str, kind: str = "") -> str:
        """Return how ``word`` (a public word or a parameter key) is shown."""
        return self._labels.get(f"{kind}.{word}" if kind else word, word)

    def _said(self, sentence: Sentence) -> Any:
        from markupsafe import Markup

        return Markup(self.markup(sentence))

    def _module(self, name: str) -> Any:
        if name not in self._modules:
            template = self.environment.get_template(f"{name}.xml.j2")
            self._modules[name] = template.make_module()
        return self._modules[name]

    def _markup(self, sentence: Sentence) -> str:
        """Return the sentence with only ``<b> <i> <br/> <sub>`` as markup."""
        file, _, macro = sentence.key.partition(".")
        try:
            call = getattr(self._module(file), macro.replace("-", "_"))
            return " ".join(str(call(**dict(sentence.facts))).split())
        except (TemplateError, AttributeError, TypeError) as err:
            where = self._own or "templates"
            raise DataTableError(f"{where}: {file}.xml.j2, {macro}: {err}") from err

    def _plain(self, sentence: Sentence) -> str:
        """Return the sentence as plain text."""
        return plain(self.markup(sentence))


def plain(markup: str) -> str:
    """Return wording markup as plain text."""
    if "<" in markup:
        markup = markup.replace("<br/>", "\n")
        for tag in ("b", "i", "sub"):
            markup = markup.replace(f"<{tag}>", "").replace(f"</{tag}>", "")
    return unescape(markup) if "&" in markup else markup


def _labels(folders: list[Path]) -> dict[str, str]:
    """Return labels flattened to ``kind.word``; the first folder wins."""
    merged: dict[str, str] = {}
    for folder in reversed(folders):
        path = folder / "labels.toml"
        if not path.is_file():
            continue
        try:
            table = tomllib.loads(path.read_text("utf-8"))
        except (tomllib.TOMLDecodeError, UnicodeDecodeError) as err:
            raise DataTableError(f"{path}: {err}") from err
        for kind, words in table.items():
            merged.update({f"{kind}.{word}": str(w) for word, w in words.items()})
    return merged
