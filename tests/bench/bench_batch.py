"""Many small workbooks: two workers against one, what handing out costs, memory over 10,000 jobs.

Seconds are this machine's; ratios are of one run. The parent's 10,000 jobs are worked on by a function that
gives a stored outcome, so that only what the parent itself does is measured; 10,000 more are real ones.
"""

import json
import resource
import shutil
import subprocess
import sys
import tempfile
import time
from collections import defaultdict
from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import partial
from pathlib import Path

from auditor import batch
from auditor.batch.lines import WorkbookDone, do_workbook
from auditor.batch.pool import Pool
from auditor.batch.work import Task
from auditor.batch.worker import Bounds
from auditor.results.job_summary import JobSummary
from tests.intake.workbooks import job_workbook

JOBS = 1000
ROUND = 250  # jobs of one timing; rounds with one and with two workers alternate
MANY = 10_000


def jobs(folder: Path, count: int) -> Path:
    """Small workbooks, no two alike."""
    for number in range(count):
        pulls = [
            ["Pull", "From", "To", "Length (ft)", "Cable type"],
            *(
                [f"P{row}", "C1.1" if row == 1 else f"K{row - 1}", f"K{row}", 10 + number / 100, "16/2"]
                for row in range(1, 13)
            ),
        ]
        devices = [["Tag", "Power (W)"], *([f"K{row}", 0.5] for row in range(1, 13))]
        (folder / f"{number:05}.xlsx").write_bytes(job_workbook(devices, pulls))
    return folder


def silent(done: int, total: int, job: JobSummary | None) -> None:
    pass


def same(task: Task) -> Task:
    return task


def stored(done: WorkbookDone, task: Task) -> WorkbookDone:
    (job,) = done.jobs
    line = job.line.replace(job.summary.sha256, task.name)
    summary = replace(job.summary, file=task.name, sha256=task.name)
    return replace(done, jobs=(replace(job, summary=summary, line=line),))


def spin(task: object) -> None:
    """Work of about a workbook's length that shares nothing with anybody."""
    for _ in range(400_000):
        pass


def _seconds(work: Callable[[Task], object], workers: int, tasks: Sequence[Task]) -> float:
    """Wall time, processes started and warm."""
    running = Pool(work, workers, Bounds()).results([*tasks[:workers], *tasks])
    for _ in range(workers):
        next(running)
    start = time.perf_counter()
    assert sum(1 for _ in running) == len(tasks)
    return time.perf_counter() - start


def _two_against_one(folder: Path) -> None:
    tasks = [
        Task(
            path=str(path),
            name=path.name,
            output=str(folder / "out" / f"{path.stem}.audited.xlsx"),
            profile=None,
        )
        for path in sorted(folder.glob("*.xlsx"))
    ]
    seconds: dict[tuple[object, int], float] = defaultdict(float)
    for number in range(0, JOBS, ROUND):
        for workers in (1, 2):
            for work in (do_workbook, spin):
                seconds[work, workers] += _seconds(work, workers, tasks[number : number + ROUND])
    one, two = seconds[do_workbook, 1], seconds[do_workbook, 2]
    print(
        f"{JOBS} workbooks: {JOBS / one:.1f} a second with one worker, {JOBS / two:.1f} with two: {one / two:.2f} x; "
        f"empty loops on this machine meanwhile: {seconds[spin, 1] / seconds[spin, 2]:.2f} x"
    )


def _processor_time(folder: Path) -> None:
    """What the pool adds: CPU of a workbook alone in this process, and over two workers and their parent."""

    def cpu_s() -> float:
        both = [resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)]
        return sum(each.ru_utime + each.ru_stime for each in both)

    tasks = [
        Task(path=str(path), name=path.name, output=str(folder / "one.audited.xlsx"), profile=None)
        for path in sorted(folder.glob("0*.xlsx"))[: 3 * ROUND]
    ]
    do_workbook(tasks[0])
    start = cpu_s()
    for task in tasks:
        do_workbook(task)
    alone = cpu_s() - start
    marks = []
    for count in (2, len(tasks)):  # the difference leaves out what starting takes
        start = cpu_s()
        for _ in Pool(do_workbook, 2, Bounds()).results(tasks[:count]):
            pass
        marks.append(cpu_s() - start)
    pooled = (marks[1] - marks[0]) * len(tasks) / (len(tasks) - 2)
    print(
        f"CPU of a workbook: {alone / len(tasks) * 1000:.1f} ms in one process, {pooled / len(tasks) * 1000:.1f} ms "
        f"over two workers and their parent: on two free cores {2 * alone / pooled:.2f} x at most"
    )


def _dispatch(done: WorkbookDone) -> None:
    tasks = [
        Task(path=f"folder/{n:05}.xlsx", name=f"{n:05}.xlsx", output=f"out/{n:05}.audited.xlsx", profile=None)
        for n in range(5000)
    ]
    for what, work in (
        ("task handed out and back", same),
        ("result with its line", partial(stored, done)),
    ):
        for _ in Pool(work, 1, Bounds()).results(tasks[:50]):
            pass
        start = time.process_time()
        for _ in Pool(work, 1, Bounds()).results(tasks):
            pass
        print(
            f"{what}: {(time.process_time() - start) / len(tasks) * 1000:.3f} ms CPU of the parent a workbook"
        )


def _peak_kib() -> int:
    """Greatest memory of this process; what getrusage says starts with that of the process before it."""
    status = Path("/proc/self/status").read_text("ascii")
    return int(status.split("VmHWM:")[1].split()[0])


def _parent(count: int, folder: str) -> None:
    """In a process of its own: this many jobs through the parent, at most 64 open files."""
    resource.setrlimit(resource.RLIMIT_NOFILE, (64, 64))
    path = Path(folder, "in", "00000.xlsx")
    job = do_workbook(Task(path=str(path), name=path.name, output="", profile=None))
    many = Path(folder, str(count))
    many.mkdir()
    for number in range(count):
        (many / f"{number:05}.xlsx").touch()
    batch.do_workbook = partial(stored, job)  # type: ignore[attr-defined]
    before = _peak_kib()
    start = time.process_time()
    done = batch.check([many], Path(folder, f"out {count}"), batch.Options(workers=2), silent)
    cpu_ms = (time.process_time() - start) / count * 1000
    peak = _peak_kib()
    assert done.jobs == count
    print(
        f"{count:,} jobs: the parent grows by {(peak - before) / 1024:.0f} MiB ({(peak - before) / count:.1f} KiB a "
        f"job, the summary's rows with them), {cpu_ms:.2f} ms CPU a job, the summary included"
    )


def _whole(count: int, folder: str) -> None:
    """In a process of its own: this many real jobs from end to end, at most 64 open files in it and its workers."""
    resource.setrlimit(resource.RLIMIT_NOFILE, (64, 64))
    originals = sorted(Path(folder, "in").glob("*.xlsx"))
    source, out = Path(folder, f"whole {count}"), Path(folder, f"whole out {count}")
    source.mkdir()
    for number in range(count):
        shutil.copyfile(originals[number % len(originals)], source / f"{number:05}.xlsx")
    told: list[str] = []
    marks: list[int] = []

    def progress(done: int, total: int, job: JobSummary | None) -> None:
        if job is not None:
            told.append(job.file)
            if len(told) in (count // 10, count):
                marks.append(_peak_kib())

    start = time.perf_counter()
    batch.check([source], out, batch.Options(workers=2), progress)
    seconds = time.perf_counter() - start
    wanted = [f"{number:05}.xlsx" for number in range(count)]
    lines = (out / "results.jsonl").read_text("utf-8").splitlines()
    assert told == wanted == [json.loads(line)["file"] for line in lines]
    assert sorted(path.name for path in out.iterdir()) == sorted(
        [f"{number:05}.audited.xlsx" for number in range(count)] + ["results.jsonl", "summary.xlsx"]
    )
    print(
        f"{count:,} real jobs from end to end, 64 open files: all audited, told in the order of their names, "
        f"{count / seconds:.0f} a second; the parent's peak grows by {(marks[1] - marks[0]) / 1024:.0f} MiB from the "
        f"{count // 10:,}th to the last"
    )


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        source = Path(folder, "in")
        source.mkdir()
        jobs(source, JOBS)
        _two_against_one(source)
        _processor_time(source)
        first = source / "00000.xlsx"
        _dispatch(do_workbook(Task(path=str(first), name=first.name, output="", profile=None)))
        for count in (MANY // 10, MANY):
            code = f"from tests.bench.bench_batch import _parent; _parent({count}, {folder!r})"
            subprocess.run([sys.executable, "-c", code], check=True)
        code = f"from tests.bench.bench_batch import _whole; _whole({MANY}, {folder!r})"
        subprocess.run([sys.executable, "-c", code], check=True)
