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
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any, TypeVar

if TYPE_CHECKING:
    from multiprocessing.connection import Connection

T = TypeVar("T")

_STOPS = {signal.SIGINT, signal.SIGTERM}
_LEAST = 25  # tanks a process must have to do; fewer are done before it has started


def sensible(tanks: int, asked: int | None = None) -> int:
    """Return how many processes to use: as asked for, else what pays."""
    if not _forks():
        return 1
    if asked is not None:
        return max(1, asked)
    return max(1, min(processors(), tanks // _LEAST))


def processors() -> int:
    """Return how many processors this process may use."""
    if hasattr(os, "sched_getaffinity"):  # a container may be allowed a few only
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def _forks() -> bool:
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
        Called in this process, after each of its own tasks, with how many are taken.
    """
    jobs = min(jobs, len(tasks))
    if jobs <= 1 or not _forks():
        return list(_alone(tasks, told))
    from multiprocessing import get_context

    fork = get_context("fork")
    try:
        taken = fork.Value("i", 0)
    except OSError:  # no place for what processes share, as in some containers
        return list(_alone(tasks, told))

    def rest() -> Iterator[int]:
        while True:
            with taken.get_lock():
                number = taken.value
                taken.value += 1
            if number >= len(tasks):
                return
            yield number

    helpers = []
    results: dict[int, T] = {}
    try:
        for _ in range(jobs - 1):
            ours, theirs = fork.Pipe(duplex=False)
            helper = fork.Process(target=_help, args=(tasks, rest, theirs), daemon=True)
            with _not_stopped():
                helper.start()
                helpers.append((helper, ours))
            theirs.close()
        for number in rest():
            results[number] = tasks[number]()
            if told:
                told(min(taken.value, len(tasks)))
        for _, ours in helpers:
            results.update(_received(ours))
    finally:
        for helper, ours in helpers:
            ours.close()
            helper.kill()
            helper.join()
    for number, task in enumerate(tasks):
        if number not in results:
            results[number] = task()
    return [results[number] for number in range(len(tasks))]


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


def _help(
    tasks: Sequence[Callable[[], Any]],
    rest: Callable[[], Iterator[int]],
    out: Connection,
) -> None:
    """Do tasks in a helper process, and send what they return when none is left."""
    signal.signal(signal.SIGTERM, signal.SIG_DFL)
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the first process ends us
    signal.pthread_sigmask(signal.SIG_UNBLOCK, _STOPS)
    done: list[bytes] = []
    for number in rest():
        try:
            # At once, so that the time counts as ours before the next one is taken.
            done.append(pickle.dumps((number, tasks[number]()), 5))
        except Exception:
            # Done again in the first process, which can say what is the matter.
            continue
    try:
        for result in done:
            out.send_bytes(result)
        out.close()
    except OSError:
        pass  # the first process is gone


def _received(ours: Connection) -> Iterator[tuple[int, Any]]:
    """Yield what a helper sends, until it closes or dies."""
    while True:
        try:
            sent = ours.recv_bytes()
        except (EOFError, OSError):
            return
        yield pickle.loads(sent)
