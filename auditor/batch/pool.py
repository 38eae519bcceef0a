"""A pool of workers in which a workbook that crashes, hangs or takes too much memory ends one worker only.

The standard pools lose the tasks of the other workers with it.
"""

import multiprocessing
import multiprocessing.connection
import signal
import time
from collections.abc import Callable, Generator, Iterable, Iterator, Sequence
from contextlib import contextmanager, suppress
from typing import Any, Generic, TypeVar

from auditor.batch.worker import Bounds, Last, Lost, Started, serve
from auditor.errors import AuditorError

T = TypeVar("T")
R = TypeVar("R")

AHEAD = 512  # tasks that are begun while the oldest one is not done: what is done early waits in memory
MOST_WORKERS = 60  # no more can be waited for at once on Windows
START_S = 60.0  # what a new process may take until it is ready


class Pool(Generic[T, R]):
    """Workers that take one task after the other.

    Parameters
    ----------
    work : a module's function; task and result must be picklable
    workers : how many at once; fewer where the system gives no more
    """

    def __init__(self, work: Callable[[T], R], workers: int, bounds: Bounds) -> None:
        self._work = work
        self._bounds = bounds
        self._count = max(1, min(workers, MOST_WORKERS))

    def results(self, tasks: Iterable[T]) -> Generator[tuple[int, R | Lost]]:
        """(place of the task, its result or how it was lost), as they come.

        Raises
        ------
        AuditorError : the system starts no process
        """
        workers: list[_Worker[T, R]] = []
        try:
            self._start(workers)
            yield from self._results(workers, enumerate(tasks))
        finally:
            for worker in workers:
                worker.stop()

    def _start(self, workers: list["_Worker[T, R]"]) -> None:
        for _ in range(self._count):
            try:
                workers.append(_Worker(self._work, self._bounds))
            except AuditorError:
                if not workers:
                    raise
                return

    def _results(
        self, workers: Sequence["_Worker[T, R]"], waiting: Iterator[tuple[int, T]]
    ) -> Iterator[tuple[int, R | Lost]]:
        finished: list[tuple[int, R | Lost]] = []
        while True:
            _hand_out(workers, waiting)  # before the results are looked at: nobody waits for the reader
            yield from finished
            busy = [worker for worker in workers if worker.busy]
            if not busy:
                return
            finished = _finished(busy)


def _hand_out(workers: Sequence["_Worker[T, R]"], waiting: Iterator[tuple[int, T]]) -> None:
    for worker in workers:
        if worker.busy:
            continue
        oldest = min((other.place for other in workers if other.busy), default=None)
        newest = max(other.place for other in workers)
        if oldest is not None and newest - oldest >= AHEAD:
            return
        task = next(waiting, None)
        if task is None:
            return
        worker.take(*task)


def _finished(busy: Sequence["_Worker[T, R]"]) -> list[tuple[int, R | Lost]]:
    """What is done, or out of time, at the next event."""
    timeout = max(0.0, min(worker.deadline for worker in busy) - time.monotonic())
    ready = multiprocessing.connection.wait([worker.pipe for worker in busy], timeout)
    outcomes = [worker.outcome() for worker in busy if worker.pipe in ready or worker.is_late()]
    return [outcome for outcome in outcomes if outcome is not None]


class _Worker(Generic[T, R]):
    """One process and the task that it works on."""

    def __init__(self, work: Callable[[T], R], bounds: Bounds) -> None:
        self._work = work
        self._bounds = bounds
        self.busy = False
        self.place = 0
        self.deadline = 0.0
        self._start()

    def _start(self) -> None:
        context = multiprocessing.get_context("spawn")
        try:
            self.pipe, theirs = context.Pipe()
            self._process = context.Process(
                target=serve, args=(theirs, self._work, self._bounds), daemon=True
            )
            with _no_interrupt():
                self._process.start()
        except OSError as fault:
            raise AuditorError(
                f"no process could be started to read workbooks in ({fault.strerror}); close other programs"
            ) from None
        theirs.close()
        self._started = False

    def take(self, place: int, task: T) -> None:
        if not self._process.is_alive():
            self.stop()
            self._start()
        self.place, self.busy = place, True
        self.deadline = time.monotonic() + (self._bounds.seconds if self._started else START_S)
        with suppress(OSError):  # it died just now: its pipe says so when it is read
            self.pipe.send(task)

    def is_late(self) -> bool:
        return time.monotonic() >= self.deadline

    def outcome(self) -> tuple[int, R | Lost] | None:
        """The result of the task, or how it was lost; None: the process has only just started.

        After a loss, and when it has grown large, the next task gets a new process.
        """
        result = self._received()
        if isinstance(result, Started):
            self._started = True
            self.deadline = time.monotonic() + self._bounds.seconds
            return None
        self.busy = False
        if isinstance(result, Lost | Last):
            self.stop()
        return self.place, result.result if isinstance(result, Last) else result

    def _received(self) -> Any:
        if not self.pipe.poll():
            limit = f"{self._bounds.seconds:g} s"
            return Lost(f"took longer than the {limit} that one workbook may take; allow more with --seconds")
        try:
            return self.pipe.recv()
        except (EOFError, OSError):
            return Lost(
                "stopped the program that read it, as damaged files do, and files that need more than the "
                f"{self._bounds.memory_text} of memory that one workbook may take; save it anew as .xlsx, or "
                "allow more with --memory"
            )

    def stop(self) -> None:
        self._process.kill()
        self._process.join(5)
        self.pipe.close()


@contextmanager
def _no_interrupt() -> Iterator[None]:
    """A process that starts meanwhile never sees a Ctrl-C: this one stops it."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, [signal.SIGINT])
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)
