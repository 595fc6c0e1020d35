"""What a command says beside its output: how far it is, and how it ended."""

from __future__ import annotations

import io
import os
import sys
import time
from collections.abc import Callable
from contextlib import suppress
from functools import wraps
from typing import ParamSpec

import click

from fleet import stops
from fleet.errors import FleetError

P = ParamSpec("P")

_WHOLE = "nothing half-written was left."


def printable(line: str) -> str:
    """Return a line for the terminal: long enough for a path, and obeyed by none."""
    from fleet.render.safe import for_terminal

    return for_terminal(line, 4000)


def tell(*lines: str) -> None:
    """Write lines to standard error; what they quote cannot steer the terminal."""
    with suppress(BrokenPipeError):
        for line in lines:
            click.echo(printable(line), err=True)


def progress_line(what: str = "judging tanks") -> Callable[[int, int], None] | None:
    """Return a progress line on standard error, only where someone watches."""
    if not sys.stderr.isatty():
        return None
    started = time.monotonic()

    def show(done: int, of: int) -> None:
        # Under two seconds nobody needs to be told.
        if time.monotonic() - started > 2:
            end = "\r" + " " * 40 + "\r" if done == of else ""
            text = f"\r{what}: {done} of {of}"
            click.echo(end or text, err=True, nl=False)

    return show


def one_line_errors(command: Callable[P, int]) -> Callable[P, None]:
    """Run a command; every error a user can cause is one line and a status."""

    @wraps(command)
    def run(*args: P.args, **kwargs: P.kwargs) -> None:
        for stream in (sys.stdout, sys.stderr):
            if isinstance(stream, io.TextIOWrapper):
                # A terminal without our letters is no reason to lose the run.
                stream.reconfigure(errors="backslashreplace")
        try:
            with stops.obeyed():
                status = command(*args, **kwargs)
                sys.stdout.flush()
        except (Exception, KeyboardInterrupt, stops.Terminated) as err:
            status = _status_of(stops.cause_of(err))
        sys.exit(status)

    return run


def _status_of(error: BaseException) -> int:
    """Say in one line how a command ended, and return its exit status."""
    try:
        raise error
    except FleetError as err:
        tell(*(f"fleet: {line}" for line in str(err).splitlines()))
        return err.exit_code
    except KeyboardInterrupt:
        tell(f"fleet: stopped; {_WHOLE}")
        return 130
    except stops.Terminated:
        tell(f"fleet: ended from outside; {_WHOLE}")
        return 143
    except BrokenPipeError:
        # The reader of our output went away (as in `| head`): no fault of ours,
        # but say so by the status. Python must not flush the dead pipe again.
        sys.stdout = None
        return 1
    except MemoryError:
        tell(f"fleet: there is not enough memory for this; {_WHOLE}")
        return 3
    except OSError as err:
        sys.stdout = None  # it may be what failed, as on a full disk
        where = f"{os.fsdecode(err.filename)}: " if err.filename else ""
        tell(f"fleet: {where}{err.strerror or err}; {_WHOLE}")
        return 3
