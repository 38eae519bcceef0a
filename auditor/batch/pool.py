"""A small pool in which a worker dies alone: a workbook that crashes, hangs or swells takes no other
workbook with it. (The standard pools lose the tasks of the neighbours.)
"""

import multiprocessing
import multiprocessing.connection
import sys
import time
from collections import deque
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from multiprocessing.connection import Connection
from typing import Any, Generic, TypeVar

T = TypeVar("T")
R = TypeVar("R")


@dataclass(frozen=True, slots=True, kw_only=True)
class Bounds:
    """What one task may take."""

    seconds: float = 60.0
    bytes: int = 2 * 1024**3


@dataclass(frozen=True, slots=True)
class Lost:
    """A task whose worker did not come back, and why, as a phrase."""

    reason: str


class Pool(Generic[T, R]):
    """Workers that take one task after the other.

    Parameters
    ----------
    work : a module's function; task and result must be picklable
    workers : how many at once
    """

    def __init__(self, work: Callable[[T], R], workers: int, bounds: Bounds) -> None:
        self._work = work
        self._bounds = bounds
        self._context = multiprocessing.get_context("spawn")
        self._count = workers

    def results(self, tasks: Sequence[T]) -> Iterator[tuple[int, R | Lost]]:
        """(place of the task, its result or how it was lost), as they come."""
        waiting = deque(enumerate(tasks))
        workers = [_Worker(self) for _ in range(min(self._count, len(tasks)))]
        try:
            for worker in workers:
                worker.take(waiting)
            while any(worker.busy for worker in workers):
                yield from self._round(workers, waiting)
        finally:
            for worker in workers:
                worker.stop()

    def _round(
        self, workers: Sequence["_Worker[T, R]"], waiting: deque[tuple[int, T]]
    ) -> Iterator[tuple[int, R | Lost]]:
        busy = [worker for worker in workers if worker.busy]
        timeout = max(0.0, min(worker.deadline for worker in busy) - time.monotonic())
        ready = multiprocessing.connection.wait([worker.pipe for worker in busy], timeout)
        for worker in busy:
            if worker.pipe in ready or time.monotonic() >= worker.deadline:
                yield worker.outcome(worker.pipe in ready)
                worker.take(waiting)


class _Worker(Generic[T, R]):
    def __init__(self, pool: Pool[T, R]) -> None:
        self._pool = pool
        self._place: int | None = None
        self.deadline = 0.0
        self._start()

    def _start(self) -> None:
        self.pipe, theirs = self._pool._context.Pipe()
        self._process = self._pool._context.Process(
            target=_serve, args=(theirs, self._pool._work, self._pool._bounds.bytes), daemon=True
        )
        self._process.start()
        theirs.close()
        self._fresh = True

    @property
    def busy(self) -> bool:
        return self._place is not None

    def take(self, waiting: deque[tuple[int, T]]) -> None:
        if not waiting:
            return
        if not self._process.is_alive():
            self._start()
        self._place, task = waiting.popleft()
        start_s = 30.0 if self._fresh else 0.0  # a new process imports first
        self.deadline = time.monotonic() + self._pool._bounds.seconds + start_s
        self._fresh = False
        self.pipe.send(task)

    def outcome(self, ready: bool) -> tuple[int, R | Lost]:
        place, self._place = self._place, None
        assert place is not None
        if not ready:
            self.stop()
            return place, Lost(f"took longer than {self._pool._bounds.seconds:g} s")
        try:
            return place, self.pipe.recv()
        except (EOFError, OSError):
            self._process.join(5)
            return place, Lost(f"ended the program that read it (exit {self._process.exitcode})")

    def stop(self) -> None:
        if self._process.is_alive():
            self._process.kill()
        self._process.join(5)
        self.pipe.close()


def _serve(pipe: Connection, work: Callable[[Any], Any], limit_bytes: int) -> None:
    _limit_memory(limit_bytes)
    _ignore_interrupt()
    while True:
        try:
            task = pipe.recv()
        except EOFError:
            return
        try:
            result = work(task)
        except MemoryError:
            result = Lost(f"needs more memory than the limit of {limit_bytes // 1024**2} MB")
        except Exception as fault:  # a bug of ours must not end the batch
            import logging

            logging.getLogger(__name__).exception("work raised")
            result = Lost(f"met a fault of the auditor itself ({type(fault).__name__})")
        pipe.send(result)


def _limit_memory(limit_bytes: int) -> None:
    if sys.platform != "win32":
        import resource

        resource.setrlimit(resource.RLIMIT_AS, (limit_bytes, limit_bytes))


def _ignore_interrupt() -> None:
    import signal

    signal.signal(signal.SIGINT, signal.SIG_IGN)
