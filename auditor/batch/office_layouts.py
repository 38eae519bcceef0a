"""The answers that people chose in annotated copies, as layouts that later workbooks of the office are read by."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path, PurePath

from auditor.batch.find import looks_like_a_job
from auditor.batch.ground import Wanted, ground_of
from auditor.batch.names import originals
from auditor.batch.snapshot import read_snapshot
from auditor.errors import UnusableFileError
from auditor.intake import Layout, OwnHeadings, explain, read_jobs
from auditor.intake.layout import LayoutTable

ENDING = ".layout.json"


@dataclass(frozen=True, slots=True, kw_only=True)
class OfficeLayout:
    """How a workbook is read with the answers in its copy."""

    file: str  # of the layout
    layout: Layout
    answers: tuple[str, ...]  # that were obeyed
    asked_again: tuple[
        str, ...
    ]  # what a workbook that is read by the layout is still asked, of what was answered


def office_layout(path: Path, headings: OwnHeadings) -> OfficeLayout:
    """The layout of a workbook with the answers that stand in it.

    Raises
    ------
    AuditorError : the file is not there
    UnusableFileError : it cannot be read, with its answers or at all
    """
    ground = ground_of(read_snapshot(path, listed=False), "", Wanted(name=_original(path.name), output=""))
    answers = ground.obeyed
    layout = explain(ground.content, ground.name, headings=headings, answers=answers)
    return OfficeLayout(
        file=f"{PurePath(ground.name).stem}{ENDING}",
        layout=layout,
        answers=tuple(answers.values()),
        asked_again=_asked_again(ground.content, ground.name, layout, headings, frozenset(answers)),
    )


def _original(name: str) -> str:
    """The name of the workbook that a copy was made from: `job.audited.xlsx` of `job.xlsx`."""
    return next(filter(looks_like_a_job, reversed(originals(name))), name)


def _asked_again(
    content: bytes, name: str, layout: Layout, headings: OwnHeadings, answered: frozenset[str]
) -> tuple[str, ...]:
    try:
        jobs = read_jobs(content, name, layout, headings)
    except UnusableFileError as problem:
        return (str(problem),)
    return tuple(dict.fromkeys(one.sentence for job in jobs for one in job.questions if one.id in answered))


def contradiction(layouts: Sequence[OfficeLayout]) -> str:
    """A sentence on two layouts that read the same headings in two ways; empty: there are none."""
    known: dict[tuple[str, ...], tuple[OfficeLayout, LayoutTable]] = {}
    for one in layouts:
        for table in one.layout.tables:
            headings = tuple(column.heading for column in table.columns)
            first, other = known.setdefault(headings, (one, table))
            if _roles(other) != _roles(table):
                return (
                    f"{first.file} and {one.file} read the headings {', '.join(map(repr, headings[:4]))} in two ways: "
                    "answer both copies alike, or give one of them a folder of its own"
                )
    return ""


def _roles(table: LayoutTable) -> tuple[object, ...]:
    return table.kind, *((column.field, column.unit) for column in table.columns)


def told(one: OfficeLayout) -> str:
    """What the layout holds of the answers, behind its name; nothing where none was given."""
    if not one.answers:
        return ""
    held = max(0, len(one.answers) - len(one.asked_again))
    again = "".join(f"; not held, a later workbook asks it again: {sentence}" for sentence in one.asked_again)
    return f": {held} of {len(one.answers)} answer{'s' * (len(one.answers) != 1)} held{again}"
