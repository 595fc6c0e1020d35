"""Many workbooks on an existing engine: here, on local processes, or on a cluster.

One workbook is one task. joblib runs the tasks in this process or on processes of
this machine (loky), Dask on a cluster, with the same results. What fails is tried
once more; what a lost worker had in hand is done again.

joblib has a Dask backend too. It waits for ever for a task whose workers all died
(joblib 1.6: ``DaskDistributedBackend._collect`` tells nobody of an error), so the
cluster's own futures are used.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any, Generic, TypeVar

from fleet.errors import FleetError, UsageError

Item = TypeVar("Item")
Result = TypeVar("Result")
Told = Callable[[int, int], None]  # done, in all
Numbered = tuple[int, "Outcome[Any]"]

LOST = "its process ended again and again in the middle of it, as when memory runs out."
_MOST_LOST = 2  # workers, before each task gets a worker of its own


@dataclass(frozen=True, slots=True)
class Outcome(Generic[Result]):
    """What came of one task: a result, or the one line that says why there is none."""

    result: Result | None = None
    failed: str = ""
    exit_code: int = FleetError.exit_code  # of a run that had failed alone like this


@dataclass(frozen=True, slots=True)
class _Work:
    """What is to be done to what, and by whom."""

    task: Callable[[Any], Any]
    items: Sequence[Any]
    jobs: int
    client: Any  # of a cluster; None: this machine

    def done(self, numbers: Sequence[int]) -> Iterator[Numbered]:
        """Yield outcomes as they come; some are missing if a worker was lost."""
        if self.client is not None:
            return self._on_cluster(numbers)
        return self._on_this_machine(numbers)

    def _on_this_machine(self, numbers: Sequence[int]) -> Iterator[Numbered]:
        from concurrent.futures.process import BrokenProcessPool

        from joblib import Parallel, delayed

        one = delayed(_tried)
        with_workers = Parallel(
            self.jobs,
            backend="loky",
            batch_size=1,
            pre_dispatch="all",
            return_as="generator_unordered",
        )
        try:
            yield from with_workers(one(self.task, n, self.items[n]) for n in numbers)
        except BrokenProcessPool:
            return

    def _on_cluster(self, numbers: Sequence[int]) -> Iterator[Numbered]:
        from distributed import as_completed

        futures = {
            self.client.submit(_tried, self.task, n, self.items[n], pure=False): n
            for n in numbers
        }
        each = as_completed(futures, with_results=True, raise_errors=False)
        for future, result in each:
            number = futures.pop(future)
            if future.status == "finished":
                yield result
            elif future.status == "error":
                kind, error, _ = result
                if kind.__name__ == "KilledWorker":
                    # Dask gave it to several workers, and all of them died; perhaps
                    # of another task that they held too. So it has no outcome yet.
                    continue
                line = f"the cluster could not do it ({kind.__name__}: {error})."
                yield number, Outcome(failed=" ".join(line.split()))


def gather(
    task: Callable[[Item], Result],
    items: Sequence[Item],
    *,
    jobs: int = 1,
    cluster: str = "",
    told: Told | None = None,
) -> list[Outcome[Result]]:
    """Return what ``task`` makes of each item, in the items' order.

    Parameters
    ----------
    task
        A function that a worker can import; it returns something picklable.
    jobs
        Processes of this machine; 1 does all in this one.
    cluster
        Address of a Dask scheduler, used instead. Its workers must hold the same
        version of this program and see the same files.
    told
        Called here after each task, with how many are done.

    Raises
    ------
    UsageError
        The cluster cannot be reached, or its engine is not installed.
    """
    outcomes: dict[int, Outcome[Result]] = {}

    def run(numbers: Sequence[int]) -> None:
        for number, outcome in work.done(numbers):
            outcomes[number] = outcome
            if told:
                told(len(outcomes), len(items))

    with _connected(cluster) as client:
        work = _Work(task, items, jobs, client)
        _all_of(range(len(items)), run, outcomes)
        failed = [n for n in range(len(items)) if outcomes[n].failed]
        again = [n for n in failed if outcomes[n].failed != LOST]
        for number in again:
            del outcomes[number]
        _all_of(again, run, outcomes)
    return [outcomes[number] for number in range(len(items))]


def _all_of(
    numbers: Sequence[int],
    run: Callable[[Sequence[int]], None],
    outcomes: dict[int, Outcome[Any]],
) -> None:
    """Run until each of ``numbers`` has an outcome, whatever becomes of workers."""
    left = list(numbers)
    for _ in range(_MOST_LOST):
        if left:
            run(left)
        left = [number for number in left if number not in outcomes]
    # One of these ends whoever does it; alone, it takes no other with it.
    for number in left:
        run([number])
        outcomes.setdefault(number, Outcome(failed=LOST))


def _tried(task: Callable[[Any], Any], number: int, item: Any) -> Numbered:
    """Do one task where the worker is; a failure comes back as one line."""
    try:
        return number, Outcome(task(item))
    except FleetError as err:
        line = " ".join(str(err).split())
        return number, Outcome(failed=line, exit_code=err.exit_code)
    except Exception as err:
        # A bug must not take a thousand other shops with it, nor be lost among them.
        what = " ".join(f"{type(err).__name__}: {err}".split())
        return number, Outcome(failed=f"the program failed on it ({what}).")


@contextmanager
def _connected(address: str) -> Iterator[Any]:
    """Give the client of a Dask scheduler; None where no address is given."""
    if not address:
        yield None
        return
    try:
        from distributed import Client
    except ImportError as err:
        raise UsageError(
            "--cluster needs the cluster engine: pip install 'fleet-tanks[cluster]'."
        ) from err
    try:
        client = Client(address, timeout=10)
    except (OSError, ValueError, TypeError) as err:
        raise UsageError(
            f"--cluster: no Dask scheduler answers at '{address}'. Its address looks "
            "like tcp://10.0.0.5:8786."
        ) from err
    with client:
        yield client
