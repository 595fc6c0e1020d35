"""What every page of ours is made with: cleaning, its own style, and its policy.

A page holds all it shows, and its policy (CSP) forbids it to ask for more.
"""

from __future__ import annotations

import base64
import hashlib
from typing import Any

from jinja2 import Environment, TemplateNotFound
from markupsafe import Markup

from fleet.errors import DataTableError
from fleet.records import Attention
from fleet.render.safe import clean


def finalize(value: Any) -> Any:
    """Clean what a template prints, on its way out, before it is escaped."""
    if type(value) is str and not value.isprintable():
        return clean(value, len(value))
    return value


def css_of(attention: Attention) -> str:
    """Return the class of an attention word."""
    return attention.replace(" ", "-")


def source(environment: Environment, name: str) -> Markup:
    """Return the text of a style or script, to stand inside the page.

    Raises
    ------
    DataTableError
        It is missing, or would end the element that it stands in.
    """
    assert environment.loader is not None
    try:
        text, _, _ = environment.loader.get_source(environment, name)
    except TemplateNotFound as err:
        raise DataTableError(f"templates: {name} is missing") from err
    if "</" in text:
        raise DataTableError(f"templates: {name} must not hold '</'")
    return Markup(text)


def policy(style: str, script: str = "", *, pictures: bool = False) -> str:
    """Return a page's policy: its own style, script and logo, and nothing else."""
    scripts = f"script-src '{_hash(script)}'; " if script else ""
    images = "img-src data:; " if pictures else ""
    return (
        f"default-src 'none'; style-src '{_hash(style)}'; {scripts}{images}"
        "base-uri 'none'; form-action 'none'"
    )


def _hash(text: str) -> str:
    digest = hashlib.sha256(text.encode()).digest()
    return f"sha256-{base64.b64encode(digest).decode()}"
