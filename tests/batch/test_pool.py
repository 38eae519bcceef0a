"""A worker that crashes, hangs or swells takes no other task with it."""

import gc
import os
import signal
import sys
import time
from pathlib import Path

import pytest

from auditor.batch import pool as pool_module
from auditor.batch import worker
from auditor.batch.pool import Pool
from auditor.batch.worker import Bounds, Lost

posix = pytest.mark.skipif(os.name == "nt", reason="signals and limits of memory that Windows does not have")

KEPT: list[bytes] = []


def act(task: str) -> str:
    """What a workbook may do to the process that reads it."""
    if task == "abort":
        os.abort()
    if task == "exit":
        os._exit(0)
    if task == "killed":
        os.kill(os.getpid(), signal.SIGKILL)
    if task == "hang":
        time.sleep(100)
    if task == "swell":
        return "x" * 10**10
    if task == "large":
        KEPT.append(bytes(int(0.35 * 1024**3)))
        return str(os.getpid())
    if task == "cycle":
        return str(_cycles())
    if task == "raise":
        raise KeyError("of a bug")
    if task == "stack":
        return act(task)
    if task == "print":
        print("on stdout")
        print("on stderr", file=sys.stderr)
        os.write(1, b"below python")
    return task.upper()


class Knot:
    """Refers to itself: only the collector finds it."""

    alive = 0

    def __init__(self) -> None:
        self.self = self
        Knot.alive += 1

    def __del__(self) -> None:
        Knot.alive -= 1


def _cycles() -> int:
    """Makes one more cycle where the collector never looks; how many there are."""
    gc.freeze()
    gc.unfreeze()
    Knot()
    return Knot.alive


def process_id(task: int) -> int:
    return os.getpid()


def results(tasks: list[str], workers: int, **bounds: float) -> dict[int, str]:
    given = Bounds(seconds=bounds.get("seconds", 60), bytes=int(0.6 * 1024**3))
    return {
        place: result.reason if isinstance(result, Lost) else result
        for place, result in Pool(act, workers, given).results(tasks)
    }


@posix
def test_each_loss_stays_alone_and_says_why(
    monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    tasks = ["a", "abort", "b", "exit", "c", "killed", "swell", "raise", "stack", "hang", "print", "d"]
    found = results(tasks, 2, seconds=3)
    stopped = "stopped the program that read it, as damaged files do"
    fault = "met a fault of the auditor itself, and was not audited; please report it"
    assert sorted(found) == list(range(len(tasks)))
    for place, task in enumerate(tasks):
        if task in ("abort", "exit", "killed"):
            assert found[place].startswith(stopped)
        elif task == "hang":
            assert (
                found[place]
                == "took longer than the 3 s that one workbook may take; allow more with --seconds"
            )
        elif task == "swell":
            assert found[place].startswith("needs more than the 0.6 GB of memory that one workbook may take")
        elif task in ("raise", "stack"):
            assert found[place] == fault
        else:
            assert found[place] == task.upper()
    assert capfd.readouterr() == ("", "")


def test_one_process_works_on_many_tasks() -> None:
    found = dict(Pool(process_id, 2, Bounds()).results(range(300)))
    assert sorted(found) == list(range(300))
    assert 1 <= len(set(found.values())) <= 2
    assert os.getpid() not in found.values()


def test_few_tasks_are_begun_before_the_oldest_is_done(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(pool_module, "AHEAD", 3)
    order = [place for place, _ in Pool(act, 2, Bounds(seconds=1)).results(["hang", *"abcdefgh"])]
    assert sorted(order) == list(range(9))
    assert order.index(0) <= 3


@pytest.mark.skipif(not Path("/proc/self/statm").exists(), reason="sizes of processes are read in /proc")
def test_a_process_that_has_grown_large_is_replaced() -> None:
    first, *others = results(["large", "large", "a", "b"], 1).values()
    assert others == [others[0], "A", "B"]
    assert int(others[0]) != int(first)


def test_what_libraries_leave_in_cycles_does_not_pile_up() -> None:
    alive = results(["cycle"] * 170, 1).values()
    assert max(map(int, alive)) <= worker.COLLECT_EVERY


@posix
def test_workers_end_when_the_results_are_no_longer_wanted() -> None:
    running = Pool(process_id, 2, Bounds()).results(range(50))
    _, process = next(running)
    running.close()
    assert isinstance(process, int)
    with pytest.raises(ProcessLookupError):
        os.kill(process, 0)


@pytest.mark.skipif(not Path("/proc").is_dir(), reason="open files are counted in /proc")
def test_no_file_handle_is_left_open() -> None:
    def count() -> int:
        return len(os.listdir("/proc/self/fd"))

    results(["a"], 1)
    before = count()
    results(["a", "abort", "exit", "b"], 2)
    assert count() == before
