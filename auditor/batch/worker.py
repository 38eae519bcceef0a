"""The process that workbooks are read in: bounded in memory, silent, and ended with its parent."""

import gc
import logging
import multiprocessing
import os
import signal
import sys
import threading
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from itertools import count
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any

COLLECT_EVERY = 50  # tasks, after which the collector of cycles runs
LOG = "AUDITOR_LOG"  # environment variable: what is logged, for developers


@dataclass(frozen=True, slots=True, kw_only=True)
class Bounds:
    """What one workbook may take."""

    seconds: float = 60.0
    bytes: int = 2 * 1024**3

    @property
    def memory_text(self) -> str:
        return f"{self.bytes / 1024**3:g} GB"


@dataclass(frozen=True, slots=True)
class Lost:
    """A task that has no result, and why, as a phrase."""

    reason: str


@dataclass(frozen=True, slots=True)
class Last:
    """A result, and the process that it comes from wants to be replaced: it has grown large."""

    result: Any


class Started:
    """What a process says once, before its first result."""


def serve(pipe: Connection, work: Callable[[Any], Any], bounds: Bounds) -> None:
    """Take tasks from the pipe and send their results, until the pipe is closed."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    _be_quiet()
    _limit_memory(bounds.bytes)
    _end_with_parent()
    with suppress(EOFError, OSError):
        pipe.send(Started())
        for number in count(1):
            result = _result(work, pipe.recv(), bounds)
            last = _is_swollen(bounds)
            pipe.send(Last(result) if last else result)
            if last:
                return
            if number % COLLECT_EVERY == 0:
                gc.collect()  # what libraries leave in cycles; Python alone may wait for ever


def _result(work: Callable[[Any], Any], task: Any, bounds: Bounds) -> Any:
    try:
        return work(task)
    except MemoryError:
        return Lost(
            f"needs more than the {bounds.memory_text} of memory that one workbook may take; allow "
            "more with --memory"
        )
    except Exception:  # a bug of ours must not end the batch
        logging.getLogger(__name__).exception("the work on %r raised", task)
        return Lost("met a fault of the auditor itself, and was not audited; please report it")


def _be_quiet() -> None:
    """Libraries print on their way down; only a developer who asked for the log sees that."""
    wanted = os.environ.get(LOG)
    if wanted:
        logging.basicConfig(level=logging.getLevelNamesMapping().get(wanted.upper(), logging.DEBUG))
    logging.raiseExceptions = False
    nowhere = os.open(os.devnull, os.O_WRONLY)
    for stream in (1,) if wanted else (1, 2):
        os.dup2(nowhere, stream)
    os.close(nowhere)


def _limit_memory(limit_bytes: int) -> None:
    """Where the system has such a limit: not on Windows."""
    if sys.platform != "win32":
        import resource

        with suppress(ValueError, OSError):  # a lower limit is in force
            resource.setrlimit(resource.RLIMIT_AS, (limit_bytes, limit_bytes))


def _is_swollen(bounds: Bounds) -> bool:
    """Whether large workbooks have left so little room that the next one might be refused for it.

    Known on Linux only, the one system that keeps the limit strictly.
    """
    try:
        pages = int(Path("/proc/self/statm").read_text("ascii").split()[0])
    except (OSError, ValueError):
        return False
    return pages * os.sysconf("SC_PAGE_SIZE") > bounds.bytes / 2


def _end_with_parent() -> None:
    parent = multiprocessing.parent_process()
    if parent is None:
        return

    def wait() -> None:
        parent.join()
        os._exit(1)

    threading.Thread(target=wait, daemon=True).start()
