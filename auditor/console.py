"""What a run says on the terminal: a progress bar there, plain lines when piped."""

import os
import shutil
import sys
import textwrap
import unicodedata
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path, PurePath
from typing import TYPE_CHECKING

from auditor.results.added_sheets import QUESTIONS
from auditor.results.findings import Verdict
from auditor.results.job_summary import JobSummary

if TYPE_CHECKING:
    from auditor.batch import Batch, Progress

INDENT = " " * 12
WIDEST = 300  # characters of one line's sentence
_HIDDEN = ("Cc", "Cf", "Cs", "Co", "Zl", "Zp")
_COLOURS = {"pass": "green", "review": "yellow", "fail": "bold red", "unreadable": "bold magenta"}


def printable(text: str) -> str:
    """Text from outside with control, escape and direction characters made visible."""
    return "".join(
        char if unicodedata.category(char) not in _HIDDEN else f"\\u{ord(char):04x}" for char in text
    )


def job_line(job: JobSummary) -> str:
    """One job's line: verdict, file, the worst finding."""
    return _line_text(job.verdict.value, job.file, _worst_text(job))


def question_line(job: JobSummary) -> str:
    """What a job asks and where it is answered, in one line; empty: it asks nothing."""
    if not job.questions:
        return ""
    first, more = job.questions[0], len(job.questions) - 1
    worst = None if job.problem else job.worst()
    known = worst is not None and worst.question == first.id
    what = "asks this" if known else f"asks: {_cut(first.sentence)}"
    others = f" (and {_count_text(more, 'more question')})" if more else ""
    return f"{INDENT}{what}{others}: answer on the sheet «{QUESTIONS.name}» of its copy"


def _line_text(first: str, name: str, sentence: str) -> str:
    return f"{first:<10}  {printable(name)}  {_cut(sentence)}"


def _cut(sentence: str) -> str:
    sentence = printable(sentence)
    return sentence if len(sentence) <= WIDEST else sentence[: WIDEST - 1] + "…"


def _worst_text(job: JobSummary) -> str:
    """Why the job is unreadable, or its worst finding, or what it holds where nothing was found."""
    worst = job.worst()
    if job.problem:
        return job.problem.removeprefix(f"{PurePath(job.file).name}: ")
    if worst is None:
        return f"{_count_text(job.device_count, 'device')} on {_count_text(len(job.runs), 'run')}"
    more = (
        sum(each.level.severity >= worst.level.severity and each.accepted is None for each in job.findings)
        - 1
    )
    return f"{worst.rule}: {worst.message}" + (f" (and {more} more)" if more else "")


def _count_text(number: int, noun: str) -> str:
    return f"{number:,} {noun}{'s' * (number != 1)}"


class Console:
    """Writes to stdout: lines of jobs and of the closing, and on a terminal a bar below them."""

    def __init__(self) -> None:
        self._bar = sys.stdout.isatty()
        self._width = shutil.get_terminal_size().columns if self._bar else 0  # 0: lines are not broken

    @contextmanager
    def progress(self) -> Iterator["Progress"]:
        """A function that a batch calls for each job that is done."""
        if not self._bar:
            yield lambda done, total, job: self._tell(job) if job else None
            return
        from rich.console import Console as RichConsole
        from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn
        from rich.text import Text

        console = RichConsole(markup=False, highlight=False, emoji=False)
        with Progress(
            TextColumn("auditing", markup=False),
            BarColumn(),
            MofNCompleteColumn(),
            TimeRemainingColumn(),
            console=console,
            transient=True,
        ) as bar:
            task = bar.add_task("", total=None)

            def show(done: int, total: int, job: JobSummary | None) -> None:
                bar.update(task, completed=done, total=total)
                if job is not None:
                    line = Text(self._broken(job_line(job)))
                    verdict = job.verdict.value
                    line.stylize(_COLOURS[verdict], 0, len(verdict))
                    console.print(line, soft_wrap=True)
                    if asked := question_line(job):
                        console.print(Text(self._broken(asked)), soft_wrap=True)

            yield show

    def _tell(self, job: JobSummary) -> None:
        for line in filter(None, (job_line(job), question_line(job))):
            self._say(line)

    def passed_over(self, skipped: Iterable[tuple[str, str]]) -> None:
        """What is no job, and why, a line each."""
        for name, reason in skipped:
            self._say(_line_text("skipped", name, reason))

    def closing(self, batch: "Batch", out: Path) -> None:
        """Totals, what was passed over, which profiles judged, and where everything is."""
        self.passed_over((found.name, found.skipped) for found in batch.skipped)
        for sentence in batch.said:
            self._say(f"{'note':<10}  {printable(sentence)}")
        for (profile, why), count in sorted(batch.profiles.items()):
            self._say(
                f"{'profile':<10}  {printable(f'{profile} ({why})')} judged {_count_text(count, 'job')}"
            )
        counts = [f"{batch.verdicts[each]} {each.value}" for each in Verdict if batch.verdicts[each]]
        end = f"Annotated copies, summary.xlsx and results.jsonl are in {out}"
        if batch.unfinished:
            left = batch.total - batch.jobs
            end = f"Not finished{f', {left} more to do' if left else ''}: {batch.unfinished}"
        self._say(printable(f"{_count_text(batch.jobs, 'job')}: {', '.join(counts)}. {end}"))

    def _broken(self, line: str) -> str:
        """The line broken between words where the terminal is too narrow, below its sentence."""
        if len(line) <= self._width or not self._width:
            return line
        return textwrap.fill(line, self._width, subsequent_indent=INDENT, break_on_hyphens=False)

    def _say(self, line: str) -> None:
        try:
            print(self._broken(line), flush=True)
        except BrokenPipeError:  # nobody reads any more; the outputs are written all the same
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
