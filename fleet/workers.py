"""The work of one report shared by several processes of this machine.

They are forked: each sees all that was read so far without a copy being sent, and
only results come back. Where there is no safe fork all is done in this process, to
the same result.
"""

from __future__ import annotations

import gc
import os
import pickle
import signal
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from typing import TYPE_CHECKING, Any, TypeVar

if TYPE_CHECKING:
    from multiprocessing.connection import Connection
    from multiprocessing.context import ForkContext

T = TypeVar("T")

_STOPS = {signal.SIGINT, signal.SIGTERM}
_LEAST = 25  # tanks a process must have to do; fewer are done before it has started
_WIDE = 4  # bytes of a number in the pipe
_ROOM = 1 << 20  # bytes: the most that Linux gives to anyone
_MOST_TURNS = 1000  # of those; every pipe holds 4096 bytes and most hold more


def sensible(tanks: int, asked: int | None = None) -> int:
    """Return how many processes to use: as asked for, else what pays."""
    if not can_fork():
        return 1
    if asked is not None:
        return max(1, asked)
    return max(1, min(processors(), tanks // _LEAST))


def processors() -> int:
    """Return how many processors this process may use."""
    if hasattr(os, "sched_getaffinity"):  # a container may be allowed a few only
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def can_fork() -> bool:
    """Say whether a process can be forked here, and lives on."""
    # macOS has fork, but its own libraries do not all survive one.
    return hasattr(os, "fork") and sys.platform != "darwin"


@contextmanager
def uncollected() -> Iterator[None]:
    """Hold the collector of cycles back while a report is made.

    Records refer to nothing that refers back, so it would find next to nothing, and
    walk all that was read again and again: a third of the time of a large report.
    """
    collecting = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if collecting:
            gc.enable()


@contextmanager
def without(library: str) -> Iterator[None]:
    """Let a library that is not loaded yet not be found by those that only may use it.

    openpyxl loads numpy to know its kinds of number, and no table of ours holds one:
    that alone would take longer than to write the workbook of a few tanks. It then
    does not know them until the process ends, so this is for a process that makes one
    report, and has no other threads.
    """
    hidden = sys.modules.setdefault(library, None) is None  # type: ignore[arg-type]
    try:
        yield
    finally:
        if hidden and sys.modules.get(library) is None:
            sys.modules.pop(library, None)


def shared(
    tasks: Sequence[Callable[[], T]],
    jobs: int,
    told: Callable[[int], None] | None = None,
) -> list[T]:
    """Return what the tasks return, in their order, done by ``jobs`` processes.

    Each process takes the next task when it is done with one, so put long ones
    first. What a task returns must be picklable. A task that fails in another
    process, or whose process dies, is done again here: so a failure is raised here,
    as if there were one process.

    Parameters
    ----------
    told
        Called in this process, after each of its own tasks, with how many are taken
        at least; and once all are done.
    """
    jobs = min(jobs, len(tasks))
    if jobs <= 1 or not can_fork():
        return list(_alone(tasks, told))
    from multiprocessing import get_context

    fork = get_context("fork")
    helpers = []
    results: dict[int, T] = {}
    turns = _turns(len(tasks))
    try:
        for _ in range(jobs - 1):
            ours, theirs = _pipe(fork)
            helper = fork.Process(
                target=_help, args=(tasks, turns, theirs), daemon=True
            )
            with _not_stopped():
                helper.start()
                helpers.append((helper, ours))
            theirs.close()
        for number in _taken(turns, len(tasks)):
            results[number] = tasks[number]()
            if told:
                told(number + 1)
            for _, ours in helpers:
                results.update(_received(ours, wait=False))
        for _, ours in helpers:
            results.update(_received(ours, wait=True))
    finally:
        os.close(turns)
        for helper, ours in helpers:
            ours.close()
            helper.kill()
            helper.join()
    for number, task in enumerate(tasks):
        if number not in results:
            results[number] = task()
    if told:
        told(len(tasks))
    return [results[number] for number in range(len(tasks))]


def _pipe(context: ForkContext) -> tuple[Connection, Connection]:
    """Return the ends of a pipe that holds, where it can, several tasks' results."""
    ours, theirs = context.Pipe(duplex=False)
    with suppress(ImportError, AttributeError, OSError):  # Linux has this
        import fcntl

        fcntl.fcntl(theirs.fileno(), fcntl.F_SETPIPE_SZ, _ROOM)
    return ours, theirs


def _turns(tasks: int) -> int:
    """Return the end of a pipe that holds a number for each task, to be read in turn.

    No lock is held by whoever takes one, so none stays locked when a process is
    killed; and all numbers are in it before anyone reads, so nobody ever waits.
    """
    out, into = os.pipe()
    turns = range(0, tasks, _at_once(tasks))
    os.write(into, b"".join(first.to_bytes(_WIDE, "big") for first in turns))
    os.close(into)
    return out


def _taken(turns: int, tasks: int) -> Iterator[int]:
    """Yield the tasks that this process takes, until none is left."""
    while turn := os.read(turns, _WIDE):
        first = int.from_bytes(turn, "big")
        yield from range(first, min(first + _at_once(tasks), tasks))


def _at_once(tasks: int) -> int:
    """Return how many tasks one turn is for: one, unless a pipe could not hold them."""
    return -(-tasks // _MOST_TURNS)


@contextmanager
def _not_stopped() -> Iterator[None]:
    """Hold back orders to stop: half-way through a fork nobody could obey them.

    A helper begins with them held back, and lets them through once it is set up.
    """
    before = signal.pthread_sigmask(signal.SIG_BLOCK, _STOPS)
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def _alone(
    tasks: Sequence[Callable[[], T]], told: Callable[[int], None] | None
) -> Iterator[T]:
    for number, task in enumerate(tasks, start=1):
        yield task()
        if told:
            told(number)


def _help(tasks: Sequence[Callable[[], Any]], turns: int, out: Connection) -> None:
    """Do tasks in a helper process, and send what each returns."""
    signal.signal(signal.SIGTERM, signal.SIG_DFL)
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the first process ends us
    signal.pthread_sigmask(signal.SIG_UNBLOCK, _STOPS)
    for number in _taken(turns, len(tasks)):
        try:
            result = pickle.dumps((number, tasks[number]()), 5)
        except Exception:
            # Done again in the first process, which can say what is the matter.
            continue
        try:
            out.send_bytes(result)
        except OSError:
            return  # the first process is gone


def _received(ours: Connection, wait: bool) -> Iterator[tuple[int, Any]]:
    """Yield what a helper has sent; ``wait``: until it closes or dies."""
    with suppress(EOFError, OSError):
        while wait or ours.poll():
            yield pickle.loads(ours.recv_bytes())
