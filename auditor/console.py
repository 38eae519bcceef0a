"""What a run says on the terminal: a progress bar there, plain lines when piped."""

import sys
import unicodedata
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from auditor.findings import Audit, Verdict

if TYPE_CHECKING:
    from auditor.batch import Batch, Progress
    from auditor.batch.work import Outcome

WIDEST = 300  # characters of one line's sentence
_CONTROL = ("Cc", "Cf", "Cs", "Co", "Zl", "Zp")


def printable(text: str) -> str:
    """Text from outside with control, escape and direction characters made visible."""
    return "".join(
        char if unicodedata.category(char) not in _CONTROL else f"\\u{ord(char):04x}" for char in text
    )


def job_line(audit: Audit) -> str:
    """One job's line: verdict, file, the worst finding."""
    worst = audit.worst()
    if audit.problem:
        sentence = audit.problem
    elif worst is None:
        sentence = f"{sum(device.quantity for device in audit.devices)} devices on {len(audit.runs)} runs"
    else:
        more = sum(finding.level == worst.level for finding in audit.findings) - 1
        sentence = f"{worst.rule}: {worst.message}" + (f" (and {more} more)" if more else "")
    sentence = printable(sentence)
    if len(sentence) > WIDEST:
        sentence = sentence[: WIDEST - 1] + "…"
    return f"{audit.verdict.value:<10}  {printable(audit.file)}  {sentence}"


class Console:
    """Writes to stdout: lines of jobs and of the closing, and on a terminal a bar below them."""

    def __init__(self) -> None:
        self._bar = sys.stdout.isatty()

    @contextmanager
    def progress(self) -> Iterator["Progress"]:
        """A function that a batch calls for each job that is done."""
        if not self._bar:
            yield lambda done, total, outcome: print(job_line(outcome.audit), flush=True)
            return
        from rich.console import Console as RichConsole
        from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

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

            def show(done: int, total: int, outcome: "Outcome") -> None:
                bar.update(task, completed=done, total=total)
                console.print(job_line(outcome.audit), soft_wrap=True)

            yield show

    def closing(self, batch: "Batch", out: Path) -> None:
        """Totals, what was passed over, and where everything is."""
        for found in batch.skipped:
            print(f"skipped     {printable(found.name)}  {printable(found.skipped)}")
        for sentence in batch.said:
            print(f"note        {printable(sentence)}")
        counts = [f"{batch.count(verdict)} {verdict.value}" for verdict in Verdict if batch.count(verdict)]
        jobs = len(batch.audits)
        print(
            f"{jobs} job{'s' * (jobs != 1)}: {', '.join(counts)}. Annotated copies, summary.xlsx and "
            f"results.jsonl are in {printable(str(out))}"
        )
