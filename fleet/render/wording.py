"""Turn a Sentence into words: macros in ``templates/``, and labels beside them.

A folder given by the user is laid over them, sentence by sentence and label by
label, so that a club's own words or a whole translation need no code.
"""

from __future__ import annotations

import tomllib
from functools import lru_cache
from html import unescape
from importlib.resources import files
from pathlib import Path
from typing import Any

from jinja2 import Environment, StrictUndefined, TemplateError

from fleet.errors import DataTableError, FleetError
from fleet.records import Sentence, Settings
from fleet.reference import Reference
from fleet.render.compiled import KeptEnvironment
from fleet.render.display import FORMS, Display
from fleet.render.own_words import Overlaid, OwnEnvironment, check, line_of


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
        shipped = shipped_templates()
        self._labels = _labels(shipped, own)
        self.display = Display(reference, settings, self._labels)
        self.environment = _environment(shipped, own)
        self.environment.filters.update(self.display.filters())
        self.environment.globals["language"] = self.language
        self.environment.filters["label"] = self.label
        self.environment.filters["said"] = self._said
        if own is not None and isinstance(self.environment, OwnEnvironment):
            check(own, shipped, self.environment)
        self._modules: dict[str, Any] = {}
        # One sentence is printed in four formats; saying it once is enough.
        self.markup = lru_cache(maxsize=65536)(self._markup)
        self.plain = lru_cache(maxsize=65536)(self._plain)

    @property
    def language(self) -> str:
        """The language of the words, as a page or a PDF says it (BCP 47)."""
        return self.label("language", "form")

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
        except FleetError:
            raise
        except Exception as err:  # a template may do whatever a template can
            where = f"templates: {file}.xml.j2, {macro}"
            if isinstance(self.environment, OwnEnvironment):
                raise self.environment.told(err, where) from err
            if isinstance(err, (TemplateError, AttributeError, TypeError)):
                raise DataTableError(f"{where}: {err}") from err
            raise

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


def _environment(shipped: Path, own: Path | None) -> Environment:
    """Return where templates run: in a sandbox if any of them is a user's own."""
    forms: dict[str, Any] = {
        "autoescape": True,
        "undefined": StrictUndefined,
        "trim_blocks": True,
        "lstrip_blocks": True,
        "auto_reload": False,
    }
    if own is None:
        return KeptEnvironment(shipped, **forms)
    return OwnEnvironment(loader=Overlaid(own, shipped), **forms)


def _labels(shipped: Path, own: Path | None) -> dict[str, str]:
    """Return labels flattened to ``kind.word``; a user's own win."""
    merged: dict[str, str] = {}
    kinds: set[str] = set()
    for folder in (shipped, own):
        path = folder / "labels.toml" if folder else None
        if path is None or not path.is_file():
            continue
        try:
            text = path.read_text("utf-8")
            table = tomllib.loads(text)
        except (tomllib.TOMLDecodeError, UnicodeDecodeError) as err:
            raise DataTableError(f"{path}: {err}") from err
        for kind, words in table.items():
            line = line_of(text, f"[{kind}]") if folder == own else 0
            if line and (kind not in kinds or not isinstance(words, dict)):
                known = ", ".join(sorted(kinds))
                raise DataTableError(
                    f"{path}, line {line}: labels have no part '{kind}'. Parts are: "
                    f"{known}."
                )
            merged.update({f"{kind}.{word}": str(w) for word, w in words.items()})
        kinds |= set(table)
        _check_forms(path, text, table.get("form", {}))
    return merged


def _check_forms(path: Path, text: str, forms: dict[str, Any]) -> None:
    """Let a form of numbers and dates name only what it is given."""
    for name, form in forms.items():
        if name not in FORMS:
            continue
        try:
            str(form).format(**dict.fromkeys(FORMS[name], 1))
        except (KeyError, IndexError, ValueError, AttributeError) as err:
            may = ", ".join(f"{{{part}}}" for part in FORMS[name]) or "no {}"
            raise DataTableError(
                f"{path}, line {line_of(text, name)}: the form '{name}' may hold {may}."
            ) from err
