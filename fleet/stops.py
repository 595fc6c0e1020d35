"""Orders to stop (Ctrl-C, SIGTERM), obeyed by unwinding, wherever they come."""

from __future__ import annotations

import signal
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType
from typing import Any

_MOMENT = 0.02  # seconds


class Terminated(BaseException):
    """SIGTERM came: unwind, so that nothing half-written is left."""


@contextmanager
def obeyed() -> Iterator[None]:
    """Turn SIGTERM into `Terminated`, and let no order to stop be lost.

    Python raises it wherever it is just then; inside a callback of its own (when an
    object dies, when a module has been loaded) it can only report and forget it.
    """
    handler = signal.signal(signal.SIGTERM, _terminate)
    hook, sys.unraisablehook = sys.unraisablehook, _lost
    try:
        yield
    finally:
        if hasattr(signal, "setitimer"):
            signal.setitimer(signal.ITIMER_REAL, 0)
        sys.unraisablehook = hook
        signal.signal(signal.SIGTERM, handler)


def _terminate(_signal: int, _frame: FrameType | None) -> None:
    raise Terminated


def _interrupt(_signal: int, _frame: FrameType | None) -> None:
    raise KeyboardInterrupt


def _lost(unraisable: Any) -> None:
    """Raise an order that was lost once more, in a moment; report what else was."""
    order = unraisable.exc_type
    if order not in (Terminated, KeyboardInterrupt) or not hasattr(signal, "setitimer"):
        sys.__unraisablehook__(unraisable)
        return
    again = _terminate if order is Terminated else _interrupt
    signal.signal(signal.SIGALRM, again)
    signal.setitimer(signal.ITIMER_REAL, _MOMENT)
