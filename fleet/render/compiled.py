"""Templates once compiled, kept where Python keeps its own modules once compiled.

Compiling the sentences takes longer than reading a hundred tanks. As with modules,
what is kept is in ``__pycache__`` beside the text (or under ``PYTHONPYCACHEPREFIX``),
is used only while all that decides it is the same, is not kept at all where Python was
told to write none (``PYTHONDONTWRITEBYTECODE``) or where the folder may not be written
to; then all works as well, a fifth of a second later.
"""

from __future__ import annotations

import hashlib
import sys
from collections.abc import Mapping
from contextlib import suppress
from importlib.util import cache_from_source
from pathlib import Path
from typing import Any

from jinja2 import (
    Environment,
    FileSystemBytecodeCache,
    FileSystemLoader,
    compiler,
    nodes,
)
from jinja2.bccache import Bucket
from jinja2.compiler import CodeGenerator, Frame

from fleet import __version__


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
    """Where the shipped templates of a folder run, compiled once for all runs."""

    code_generator_class = Unfolded

    def __init__(self, folder: Path, **forms: Any) -> None:
        super().__init__(
            loader=FileSystemLoader(folder),
            bytecode_cache=_Kept(folder, forms),
            optimized=False,  # for the same reason
            **forms,
        )


class _Kept(FileSystemBytecodeCache):
    """The library's cache, but a full disk or a damaged file is no matter."""

    def __init__(self, folder: Path, forms: Mapping[str, Any]) -> None:
        beside = Path(cache_from_source(str(folder / "template.py"))).parent
        decides = hashlib.sha256(repr((__version__, sorted(forms.items()))).encode())
        for compiles in (compiler.__file__, __file__):
            decides.update(Path(compiles).read_bytes())
        made_by = f"{sys.implementation.cache_tag}-{decides.hexdigest()[:12]}"
        super().__init__(str(beside), f"%s.{made_by}.code")

    def get_bucket(
        self,
        environment: Environment,
        name: str,
        filename: str | None,
        source: str,
    ) -> Bucket:
        # What an environment does to all it prints is part of the compiled code.
        printed = getattr(environment.finalize, "__module__", "as-it-is")
        return super().get_bucket(environment, f"{name}.{printed}", filename, source)

    def get_cache_key(self, name: str, filename: str | None = None) -> str:
        return name

    def load_bytecode(self, bucket: Bucket) -> None:
        try:
            super().load_bytecode(bucket)
        except Exception:  # whatever a damaged file makes of the unpacking
            bucket.reset()

    def dump_bytecode(self, bucket: Bucket) -> None:
        if sys.dont_write_bytecode:
            return
        with suppress(OSError):
            Path(self.directory).mkdir(parents=True, exist_ok=True)
            super().dump_bytecode(bucket)
            # The library writes it for one user alone; an installation is for all.
            Path(self._get_cache_filename(bucket)).chmod(0o644)
