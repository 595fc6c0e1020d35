"""Templates once compiled, kept for the next run in the user's own cache folder.

Compiling the sentences takes longer than reading a hundred tanks. What is kept is
found again only while the template's text, this Python and jinja are the same; where
nothing can be kept, nothing is, and all works as well.
"""

from __future__ import annotations

import os
from contextlib import suppress
from pathlib import Path

from jinja2 import BytecodeCache, Environment, FileSystemBytecodeCache, nodes
from jinja2.bccache import Bucket
from jinja2.compiler import CodeGenerator, Frame


class Unfolded(CodeGenerator):
    """Compiles without working anything out.

    ``{{ "nitrate" | label("parameter") }}`` never changes in one run, so jinja puts the
    word itself into the compiled template; kept, it would be said in the next run,
    in another language or unit.
    """

    def _output_child_to_const(
        self, node: nodes.Expr, frame: Frame, finalize: CodeGenerator._FinalizeInfo
    ) -> str:
        if not isinstance(node, nodes.TemplateData):
            raise nodes.Impossible
        return super()._output_child_to_const(node, frame, finalize)


class KeptEnvironment(Environment):
    """An environment whose compiled templates serve any run."""

    code_generator_class = Unfolded


class _Kept(FileSystemBytecodeCache):
    """The library's cache, but a full disk or a damaged file is no matter."""

    def load_bytecode(self, bucket: Bucket) -> None:
        try:
            super().load_bytecode(bucket)
        except Exception:  # whatever a damaged file makes of the unpacking
            bucket.reset()

    def dump_bytecode(self, bucket: Bucket) -> None:
        with suppress(OSError):
            super().dump_bytecode(bucket)


def kept(pattern: str = "%s.jinja") -> BytecodeCache | None:
    """Return where compiled templates are kept; None where they cannot be.

    Environments that compile differently need file names of different patterns.
    """
    try:
        folder = _cache_folder() / "fleet-tanks"
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        theirs = hasattr(os, "getuid") and folder.stat().st_uid != os.getuid()
    except (OSError, RuntimeError):  # no home, or one that may not be written to
        return None
    # Compiled code is run, so what someone else could have put there is not looked at.
    return None if theirs or folder.is_symlink() else _Kept(str(folder), pattern)


def _cache_folder() -> Path:
    """Return the user's folder for what can be made again."""
    if os.name == "nt":
        local = os.environ.get("LOCALAPPDATA")
        return Path(local) if local else Path.home() / "AppData" / "Local"
    given = os.environ.get("XDG_CACHE_HOME", "")
    # The standard says to take no notice of a relative one (XDG base directories).
    return Path(given) if Path(given).is_absolute() else Path.home() / ".cache"
