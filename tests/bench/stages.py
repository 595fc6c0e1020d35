"""Where the processor time of one report goes, in one process.

    python -m tests.bench.stages WORKBOOK [--as-of DATE]

Each stage is timed from inside; the lines of ``judge`` are what its parts took.
"""

from __future__ import annotations

import gc
import json
import tempfile
import time
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import click


class Clock:
    """Seconds spent in each named part."""

    def __init__(self) -> None:
        self.spent: dict[str, float] = {}

    def timed(self, name: str, call: Callable[..., Any]) -> Callable[..., Any]:
        """Return ``call``, which then counts its time."""

        def counting(*args: Any, **kwargs: Any) -> Any:
            started = time.process_time()
            try:
                return call(*args, **kwargs)
            finally:
                spent = time.process_time() - started
                self.spent[name] = self.spent.get(name, 0.0) + spent

        return counting


def stages(book: Path, as_of: date) -> dict[str, float]:
    """Return the seconds of each stage of one report, and of each output."""
    clock = Clock()
    clock.timed("import", _imports)()
    from fleet import pipeline
    from fleet.reference import load_reference
    from fleet.render import FORMATS, renderer
    from fleet.render.needed import needed
    from fleet.render.wording import Wording

    gc.disable()  # as a run does
    reference = clock.timed("tables", load_reference)()
    read = clock.timed("read", pipeline.read)([book], reference)
    for name in ("measure_tank", "find", "plan_tank"):
        part = clock.timed(f"judge: {name}", getattr(pipeline, name))
        setattr(pipeline, name, part)
    made = clock.timed("judge", pipeline.report)(read, reference, as_of, keep=needed)
    wording = Wording(reference, read.settings)
    with tempfile.TemporaryDirectory() as folder:
        for name in FORMATS:
            write = clock.timed("import", renderer)(name)
            path = Path(folder) / name
            clock.timed(name, write)(made, wording, reference, path)
    return clock.spent


def _imports() -> None:
    import fleet.runs  # noqa: F401


@click.command()
@click.argument("book", type=click.Path(exists=True, path_type=Path))
@click.option("--as-of", default="2025-09-29", show_default=True)
@click.option("--json", "as_json", is_flag=True)
def main(book: Path, as_of: str, as_json: bool) -> None:
    """Print the seconds of each stage."""
    spent = stages(book, date.fromisoformat(as_of))
    if as_json:
        click.echo(json.dumps(spent))
        return
    for name, seconds in spent.items():
        click.echo(f"{seconds:8.2f} s  {name}")


if __name__ == "__main__":
    main()
