"""Where the diagnoses of a study are worked out: processes here, or a Dask cluster."""

from __future__ import annotations

import logging
import multiprocessing
import os
import signal
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import (
    FIRST_COMPLETED,
    CancelledError,
    Executor,
    Future,
    ProcessPoolExecutor,
    wait,
)
from concurrent.futures.process import BrokenProcessPool
from contextlib import AbstractContextManager, contextmanager
from dataclasses import dataclass
from itertools import islice
from typing import TYPE_CHECKING

import click

from lightoff.engine.reasoning.study.outcome import Outcome, Stamp
from lightoff.engine.reasoning.study.tasks import Task
from lightoff.engine.reasoning.study.work import stamp_now, work

if TYPE_CHECKING:
    from distributed import Client

ONE_THREAD = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS")
"""What keeps the linear algebra of a worker to its own core."""
PIECE_FOR_CLUSTER = 8
"""Tasks sent over the network at once; here they go one by one."""
ANSWERS_WITHIN = 10
"""Seconds for the scheduler of a cluster to answer."""
SAME_STATE = "install the same state of lightoff there as here"

Pending = Future[list[Outcome]]


@dataclass(frozen=True, slots=True)
class Opened:
    """An executor at work, with how many pieces of how many tasks are sent ahead."""

    executor: Executor
    ahead: int
    piece: int


@dataclass(frozen=True, slots=True)
class Place:
    """Where to work; nothing is started before `open`."""

    open: Callable[[], AbstractContextManager[Opened]]


def place_for(cluster: str | None, workers: int | None) -> Place:
    """A cluster if its address is given, else this machine."""
    return on_cluster(cluster) if cluster else on_this_machine(workers)


def as_they_finish(
    opened: Opened, tasks: Sequence[Task], stop: object = False
) -> Iterator[Outcome]:
    """Outcomes in the order in which they come; once `stop` is true nothing more is begun."""
    pieces = _pieces(tasks, opened.piece)
    waiting: set[Pending] = set()
    while True:
        free = 0 if stop else opened.ahead - len(waiting)
        waiting.update(opened.executor.submit(work, piece) for piece in islice(pieces, free))
        if stop:
            waiting = {future for future in waiting if not future.cancel()}
        if not waiting:
            return
        finished, waiting = wait(waiting, return_when=FIRST_COMPLETED)
        for future in finished:
            yield from future.result()


def _pieces(tasks: Sequence[Task], size: int) -> Iterator[tuple[Task, ...]]:
    return (tuple(tasks[start : start + size]) for start in range(0, len(tasks), size))


# --- here -------------------------------------------------------------------------


def on_this_machine(workers: int | None = None) -> Place:
    """Processes of this machine, as many as it lends us cores if not told."""
    return Place(lambda: _processes(workers or _cores()))


def _cores() -> int:
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


@contextmanager
def _processes(workers: int) -> Iterator[Opened]:
    # Started afresh rather than forked: a fork would copy locks that threads hold.
    context = multiprocessing.get_context("spawn")
    with _one_thread_each(), ProcessPoolExecutor(workers, context, _deaf_to_ctrl_c) as executor:
        try:
            yield Opened(executor, ahead=2 * workers, piece=1)
        except BrokenProcessPool:
            raise click.ClickException(
                "a worker process died, perhaps for want of memory; what was done before is "
                "kept with --out: run it again with fewer --workers"
            ) from None


def _deaf_to_ctrl_c() -> None:
    """Leave Ctrl-C to the process that gave the work."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)


@contextmanager
def _one_thread_each() -> Iterator[None]:
    """Workers that are started meanwhile compute on one core each."""
    before = {name: os.environ.get(name) for name in ONE_THREAD}
    os.environ.update({name: value or "1" for name, value in before.items()})
    try:
        yield
    finally:
        for name, value in before.items():
            if value is None:
                del os.environ[name]


# --- on a cluster -----------------------------------------------------------------


def on_cluster(address: str) -> Place:
    """The workers of a Dask cluster, which must have the same state of lightoff installed."""
    try:
        import distributed  # noqa: F401
    except ImportError:
        raise click.ClickException(
            "--cluster needs the package distributed; install it with: pip install "
            "'lightoff[cluster]'"
        ) from None
    return Place(lambda: _cluster(address))


@contextmanager
def _cluster(address: str) -> Iterator[Opened]:
    from distributed import KilledWorker
    from distributed.comm.core import CommClosedError

    _quiet()
    with _client(address) as client:
        threads = sum(client.nthreads().values())
        if not threads:
            raise click.ClickException(f"the cluster at {address} has no workers")
        _check_workers(client)
        try:
            yield Opened(client.get_executor(), ahead=2 * threads, piece=PIECE_FOR_CLUSTER)
        except (KilledWorker, CommClosedError, CancelledError):
            raise click.ClickException(
                f"the cluster at {address} went away; what was done before is kept with --out: "
                "run it again once the cluster is back"
            ) from None


def _quiet() -> None:
    """Leave what goes wrong with the cluster to one line of our own."""
    for name in ("distributed", "distributed.client", "tornado.application", "asyncio"):
        logging.getLogger(name).setLevel(logging.CRITICAL)


def _client(address: str) -> Client:
    from distributed import Client

    try:
        return Client(address, timeout=ANSWERS_WITHIN, set_as_default=False)  # type: ignore[no-untyped-call]
    except (OSError, ValueError, TypeError) as error:
        reason = str(error).splitlines()[0] if str(error) else type(error).__name__
        raise click.UsageError(f"no Dask scheduler answers at {address} ({reason})") from None


def _check_workers(client: Client) -> None:
    """Refuse workers without lightoff, or with other files of it than those here."""
    try:
        stamps = set(client.run(stamp_now).values())
    except ImportError:
        raise click.ClickException(
            f"a worker of the cluster lacks lightoff; {SAME_STATE}"
        ) from None
    for stamp in stamps:
        check_stamp(stamp)


def check_stamp(made_with: Stamp) -> None:
    """Refuse what was made elsewhere with other files than those here."""
    if made_with != stamp_now():
        raise click.ClickException(
            f"a worker has other files ({_in_words(made_with)}) than this process "
            f"({_in_words(stamp_now())}); {SAME_STATE}, and run it again if files were changed"
        )


def _in_words(stamp: Stamp) -> str:
    return f"version {stamp.version}, program {stamp.program}, knowledge {stamp.knowledge}"
