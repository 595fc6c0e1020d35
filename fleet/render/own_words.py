"""A user's own templates: laid over the shipped ones, checked, and never trusted.

A folder of them may come from another club. So its templates run in a sandbox, and
whatever is wrong with one is told in one line that names the file and the line.
"""

from __future__ import annotations

import re
import sys
from collections.abc import Iterator
from difflib import get_close_matches
from html import unescape
from pathlib import Path
from typing import Any, NoReturn

from jinja2 import (
    BaseLoader,
    Environment,
    FileSystemLoader,
    TemplateNotFound,
    TemplateSyntaxError,
    meta,
    nodes,
)
from jinja2.sandbox import SandboxedEnvironment

from fleet.errors import DataTableError

SENTENCES = ".xml.j2"  # files of macros, overridden macro by macro
CAUTIONS = f"cautions{SENTENCES}"


class Overlaid(BaseLoader):
    """The shipped templates with a user's own laid over them.

    A file of macros is the shipped one with the own macros after it, which is how
    jinja lets the later one win; any other file is taken whole.
    """

    def __init__(self, own: Path, shipped: Path) -> None:
        self._own, self._shipped = FileSystemLoader(own), FileSystemLoader(shipped)
        self.before: dict[str, int] = {}  # own file -> lines that precede it

    def get_source(self, environment: Environment, name: str) -> tuple[str, str, Any]:
        """Return a template's text, the file it is of, and that it stays so."""
        try:
            text, file, _ = self._own.get_source(environment, name)
        except TemplateNotFound:
            text, file, _ = self._shipped.get_source(environment, name)
            return text, file or name, None
        except UnicodeDecodeError as err:
            raise DataTableError(f"{name}: not saved as UTF-8 text.") from err
        file = file or name
        self.before[file] = 0
        if name.endswith(SENTENCES):
            try:
                shipped, _, _ = self._shipped.get_source(environment, name)
            except TemplateNotFound:
                return text, file, None
            self.before[file] = shipped.count("\n") + 1
            text = f"{shipped}\n{text}"
        return text, file, None


class OwnEnvironment(SandboxedEnvironment):
    """Where templates of a user's own run: what goes wrong there is one line."""

    loader: Overlaid

    def handle_exception(self, source: str | None = None) -> NoReturn:
        """Turn what a template raised into the line to show."""
        err = sys.exc_info()[1]
        assert err is not None
        if isinstance(err, DataTableError):
            raise err
        raise self.told(err) from err

    def told(self, err: BaseException, where: str = "") -> DataTableError:
        """Return the line that says what is wrong with a template, and where."""
        if isinstance(err, TemplateSyntaxError):
            place = self._place(err.filename or err.name or "", err.lineno)
            return DataTableError(f"{place}: {_one_line(err.message or '')}")
        message = _one_line(str(err) or type(err).__name__)
        found = list(_frames(err))
        place = self._place(*found[-1]) if found else where
        return DataTableError(f"{place}: {message}")

    def _place(self, file: str, line: int) -> str:
        return f"{file}, line {max(line - self.loader.before.get(file, 0), 1)}"


def _one_line(message: str) -> str:
    """Return a message without line ends, and without lines of the laid-over text."""
    return " ".join(re.sub(r" \(imported on line \d+ in [^)]*\)", "", message).split())


def _frames(err: BaseException) -> Iterator[tuple[str, int]]:
    """Yield the file and line of each template that an error came through."""
    trace = err.__traceback__
    while trace is not None:
        template = trace.tb_frame.f_globals.get("__jinja_template__")
        if template is not None:
            line = template.get_corresponding_lineno(trace.tb_lineno)
            yield template.filename or template.name, line
        trace = trace.tb_next


# -------------------------------------------------------------------- checks


def check(own: Path, shipped: Path, environment: OwnEnvironment) -> None:
    """Look through a user's own templates before anything is made with them.

    Raises
    ------
    DataTableError
        With the first thing that is wrong, by file and line.
    """
    for path in sorted(own.glob("*.j2")):
        try:
            text = path.read_text("utf-8")
        except UnicodeDecodeError as err:
            raise DataTableError(f"{path}: not saved as UTF-8 text.") from err
        tree = environment.parse(text, filename=str(path))
        try:
            environment.compile(tree, filename=str(path), raw=True)
        except TemplateSyntaxError as err:
            err.filename = str(path)
            raise environment.told(err) from err
        if path.name.endswith(SENTENCES):
            _check_names(path, tree, environment)
            if (shipped / path.name).is_file():
                known = environment.parse((shipped / path.name).read_text("utf-8"))
                _check_macros(path, _macros(tree), _macros(known))
            if path.name == CAUTIONS:
                _check_cautions(path, _macros(tree), environment)


def _macros(tree: nodes.Template) -> dict[str, nodes.Macro]:
    return {macro.name: macro for macro in tree.find_all(nodes.Macro)}


def _check_names(path: Path, tree: nodes.Template, environment: Environment) -> None:
    """Let no sentence use a name that nothing gives it."""
    unknown = meta.find_undeclared_variables(tree) - set(environment.globals)
    for name in tree.find_all(nodes.Name):
        if name.name in unknown:
            raise DataTableError(
                f"{path}, line {name.lineno}: nothing is called '{name.name}' here; a "
                "sentence knows only what its macro is given in brackets."
            )


def _check_macros(
    path: Path, own: dict[str, nodes.Macro], known: dict[str, nodes.Macro]
) -> None:
    """Let each macro be one that is used, with what it is given."""
    for name, macro in own.items():
        place = f"{path}, line {macro.lineno}"
        if name not in known:
            if name.startswith("_"):
                continue
            near = get_close_matches(name, known, n=1)
            meant = f" Was '{near[0]}' meant?" if near else ""
            raise DataTableError(
                f"{place}: no sentence is called '{name}'.{meant} A macro of your own "
                "needs a name that begins with '_'."
            )
        given = [argument.name for argument in known[name].args]
        taken = [argument.name for argument in macro.args]
        needed = taken[: len(taken) - len(macro.defaults)]
        if set(given) - set(taken) or set(needed) - set(given):
            listed = ", ".join(given)
            raise DataTableError(
                f"{place}: '{name}' is given ({listed}), so write it with these."
            )


def _check_cautions(
    path: Path, own: dict[str, nodes.Macro], environment: OwnEnvironment
) -> None:
    """Let no caution be blank: what it warns of is no matter of wording."""
    module = environment.get_template(path.name).make_module()
    for name, macro in own.items():
        if name.startswith("_"):
            continue
        place = f"{path}, line {macro.lineno}"
        try:
            said = _written(macro) if macro.args else str(getattr(module, name)())
        except Exception as err:  # a template may do whatever a template can
            raise environment.told(err, place) from err
        if not any(map(str.isalnum, unescape(re.sub("<[^>]*>", "", said)))):
            raise DataTableError(
                f"{place}: '{name}' says nothing; a caution may be said in other "
                "words, but not left out."
            )


def _written(macro: nodes.Macro) -> str:
    """Return the words of a macro that says nothing before it is given something."""
    return " ".join(part.data for part in macro.find_all(nodes.TemplateData))


def line_of(text: str, key: str) -> int:
    """Return the line of a key, or of a ``[part]``, in TOML text; 1 if not found."""
    begins = re.escape(key) if key.startswith("[") else rf'"?{re.escape(key)}"?\s*='
    found = re.search(rf"^\s*{begins}", text, re.MULTILINE)
    return text.count("\n", 0, found.start()) + 1 if found else 1
