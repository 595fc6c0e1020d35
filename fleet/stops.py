"""Orders to stop (Ctrl-C, SIGTERM), obeyed by unwinding, wherever they come."""

from __future__ import annotations

import signal
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType
from typing import Any

_MOMENT = 0.02  # seconds
_came: list[BaseException] = []  # the order of this run, once there is one


class Terminated(BaseException):
    """SIGTERM came: unwind, so that nothing half-written is left."""


class Interrupted(KeyboardInterrupt):
    """Ctrl-C came: unwind likewise.

    Not the built-in class itself: where that one passes through ``exec``, Python ends
    itself by the signal at last, whatever status was chosen.
    """


@contextmanager
def obeyed() -> Iterator[None]:
    """Turn orders to stop into exceptions, and let none be lost.

    Python raises one wherever it is just then. Inside a callback of its own (when an
    object dies, when a module has been loaded) it can only report and forget it; and
    a library may take it for a fault of its own and raise something else.
    """
    _came.clear()
    handlers = {signal.SIGTERM: signal.signal(signal.SIGTERM, _terminate)}
    if signal.getsignal(signal.SIGINT) is signal.default_int_handler:
        handlers[signal.SIGINT] = signal.signal(signal.SIGINT, _interrupt)
    hook, sys.unraisablehook = sys.unraisablehook, _lost
    try:
        yield
        check()
    finally:
        if hasattr(signal, "setitimer"):
            signal.setitimer(signal.ITIMER_REAL, 0)
        sys.unraisablehook = hook
        for order, handler in handlers.items():
            signal.signal(order, handler)


def check() -> None:
    """Raise the order that came and was swallowed on its way here, if one did."""
    if _came:
        raise _came[0]


def cause_of(error: BaseException) -> BaseException:
    """Return the order that came, whatever it was made into; else ``error``."""
    return _came[0] if _came else error


def _terminate(_signal: int, _frame: FrameType | None) -> None:
    _came.append(Terminated())
    raise _came[0]


def _interrupt(_signal: int, _frame: FrameType | None) -> None:
    _came.append(Interrupted())
    raise _came[0]


def _lost(unraisable: Any) -> None:
    """Raise an order that was lost once more, in a moment; report what else was."""
    order = unraisable.exc_type
    if order not in (Terminated, Interrupted) or not hasattr(signal, "setitimer"):
        sys.__unraisablehook__(unraisable)
        return
    again = _terminate if order is Terminated else _interrupt
    signal.signal(signal.SIGALRM, again)
    signal.setitimer(signal.ITIMER_REAL, _MOMENT)
