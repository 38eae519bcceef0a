"""Read, audit, annotate and write one workbook, in a worker process or in this one."""

import hashlib
import logging
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from pathlib import Path, PurePath
from typing import TYPE_CHECKING

from auditor.batch.ground import Ground, Wanted, ground_of
from auditor.batch.names import COPY
from auditor.batch.output import write_whole
from auditor.batch.snapshot import read_snapshot
from auditor.errors import AuditorError, LayoutError, OutputError, ProfileError, UnusableFileError
from auditor.gc_pause import paused
from auditor.job.answers import TypedAnswer
from auditor.job.model import Job
from auditor.job.remarks import REMARKS_HEADING
from auditor.profile.choice import choose_profile
from auditor.results.accepted import (
    NO_ACCEPTANCES,
    Acceptances,
    with_findings,
    with_left_acceptances,
)
from auditor.results.answered import with_answers
from auditor.results.audit_result import Audit
from auditor.results.findings import Finding, Level, Verdict

if TYPE_CHECKING:
    from auditor.annotate.annotated import Audited
    from auditor.intake import Layout, OwnHeadings

log = logging.getLogger(__name__)

LAYOUT = ".layout.json"
HEADINGS = "headings.json"
_MOVED = (
    f"What was typed over added cells stands beside them now, in a table in the column «{REMARKS_HEADING}»"
)
_NO_PLACE = "What was typed in the copy before and speaks of what is not there any more is not in this one"


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """What to do with one workbook; plain enough to be handed to another process."""

    path: str
    name: str  # below the dropped folder
    output: str  # path of the annotated copy; empty: none is written
    profile: str | None  # name or file from the command line
    overrides: Mapping[str, object] = field(default_factory=dict)
    cables: Mapping[str, str] = field(default_factory=dict)  # cable type -> what is tried in its place
    layouts: tuple[str, ...] = ()  # paths of layout files, the nearest first
    headings: tuple[str, ...] = ()  # paths of files of headings, the nearest first
    beside: tuple[str, ...] = ()  # paths of annotated copies that lie beside the original
    folder_answers: tuple[TypedAnswer, ...] = ()  # of other workbooks, for all of the folder

    @property
    def file_name(self) -> str:
        return PurePath(self.name).name


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What came of one workbook."""

    audits: tuple[Audit, ...]  # one a job of the workbook
    written: str = ""  # path of the annotated copy
    not_written: bool = False  # an annotated copy was wanted and there is none
    said: tuple[str, ...] = ()  # sentences for the console: not written, signature gone, …


def do(task: Task) -> Outcome:
    """Audit one workbook and write its annotated copy. Never raises on account of the file."""
    sha256 = ""
    try:
        content = read_snapshot(Path(task.path), task.file_name)
        sha256 = hashlib.sha256(content).hexdigest()
        with paused():
            return _audit_and_annotate(task, content, sha256)
    except (UnusableFileError, ProfileError, LayoutError) as problem:
        return unreadable(task, str(problem), sha256)


def unreadable(task: Task, problem: str, sha256: str = "") -> Outcome:
    """The outcome of a file that could not be audited."""
    audit = Audit(
        job=PurePath(task.name).stem,
        file=task.name,
        sha256=sha256,
        profile=None,
        verdict=Verdict.UNREADABLE,
        problem=problem,
    )
    older = f"{Path(task.output).name} is of an earlier run, when the workbook could be read"
    return Outcome(audits=(audit,), said=(older,) if task.output and Path(task.output).exists() else ())


def layout_files(folder: Path) -> list[Path]:
    """`*.layout.json` files in a folder and in the folders above it, the nearest first."""
    here = folder.resolve()
    return [path for each in (here, *here.parents) for path in sorted(each.glob(f"*{LAYOUT}"))]


def headings_files(folder: Path) -> tuple[str, ...]:
    """`headings.json` of a folder and of the folders above it, the nearest first."""
    here = folder.resolve()
    return tuple(str(each / HEADINGS) for each in (here, *here.parents) if (each / HEADINGS).is_file())


def own_headings(paths: tuple[str, ...]) -> "OwnHeadings":
    """What files of headings say, the nearest first.

    Raises
    ------
    LayoutError : names the file, the field and what would be right
    """
    headings, problems = _usable_headings(paths)
    if problems:
        raise LayoutError(problems[0])
    return headings


@lru_cache(maxsize=64)
def _usable_headings(paths: tuple[str, ...]) -> "tuple[OwnHeadings, tuple[str, ...]]":
    """What those files of headings say that are right, and a sentence on each of the others."""
    from auditor.intake import merged

    found, problems = [], []
    for path in map(Path, paths):
        try:
            found.append(_read_headings(path))
        except LayoutError as problem:
            problems.append(str(problem))
    return merged(found), tuple(problems)


def _read_headings(path: Path) -> "OwnHeadings":
    from auditor.intake import read_headings

    name = f"{path.parent.name}/{path.name}"
    return read_headings(_text_of(path, name, "headings"), name)


def _audit_and_annotate(task: Task, content: bytes, sha256: str) -> Outcome:
    ground = ground_of(
        content,
        sha256,
        Wanted(
            name=task.file_name, output=task.output, beside=task.beside, folder_answers=task.folder_answers
        ),
    )
    audited, left_out = _audited(task, ground, sha256)
    if not task.output:
        return Outcome(audits=tuple(job.audit for job in audited), said=left_out)
    outcome = _with_copy(task, ground, audited)
    return replace(outcome, said=(*left_out, *outcome.said))


def _audited(task: Task, ground: Ground, sha256: str) -> "tuple[list[Audited], tuple[str, ...]]":
    """The audits with the profiles that judged, and what is to be said; of a job nothing is held any longer
    than that: a large one takes more room than all that is made of it."""
    from auditor.intake import read_jobs

    layout, left_out = _fitting_layout(task, ground.content)
    headings, problems = _usable_headings(task.headings)
    answers = ground.obeyed
    try:
        jobs = read_jobs(ground.content, ground.name, layout, headings, answers)
    except UnusableFileError as problem:
        raise UnusableFileError("; ".join((str(problem), *_answered_so(answers), *problems))) from None
    unused = [f"{problem}. The workbook was read without this file of headings" for problem in problems]
    audited = []
    while jobs:
        audited.append(_judged(task, jobs.pop(0), sha256, unused, ground.acceptances))
    audits = with_answers([each.audit for each in audited], ground.answers)
    if ground.typed:
        audits = [_with_note(audit, ground.typed) for audit in audits]
    audits = with_left_acceptances(audits, ground.acceptances)
    return [replace(each, audit=audit) for each, audit in zip(audited, audits, strict=True)], left_out


def _answered_so(answers: Mapping[str, str]) -> Iterator[str]:
    """With which answers a workbook could not be read."""
    if answers:
        yield f"read with the answers {', '.join(f'«{each}»' for each in answers.values())}"


def _judged(task: Task, job: Job, sha256: str, said: list[str], acceptances: Acceptances) -> "Audited":
    """The audit of one job, with sentences that it is to say."""
    from auditor.annotate.annotated import Audited
    from auditor.audit import audit
    from auditor.whatif import changed

    choice = choose_profile(
        Path(task.path), asked=task.profile, stated=job.profile_name, overrides=task.overrides
    )
    job = changed(_renamed(job, task), choice.profile, task.cables)
    result = audit(job, choice.profile, acceptances).stamped(
        file=task.name, sha256=sha256, profile_chosen=choice.why
    )
    for sentence in filter(None, (choice.said, *said)):
        result = _with_finding(result, "unreadable-value", sentence, acceptances)
    return Audited(result, choice.profile)


def _renamed(job: Job, task: Task) -> Job:
    """An annotated copy that is audited again is still the same job."""
    stem = PurePath(task.name).stem
    copy = COPY.fullmatch(stem)
    return replace(job, name=copy[1]) if copy and job.name == stem else job


def _fitting_layout(task: Task, content: bytes) -> "tuple[Layout | None, tuple[str, ...]]":
    """The corrected layout that fits this workbook, from its folder or the nearest one above it; and
    sentences on those in its own folder that are not right and not named after it."""
    if not task.layouts:
        return None, ()
    from auditor.intake import choose_layout

    layouts, left_out = [], []
    for path in task.layouts:
        try:
            layouts.append(_read_layout(path))
        except LayoutError as problem:
            if PurePath(path).name.removesuffix(LAYOUT) == PurePath(task.file_name).stem:
                raise  # this workbook's own; another one's does not concern it
            if PurePath(path).parent == PurePath(task.path).parent:
                left_out.append(f"a layout is left out: {problem}")
    return choose_layout(layouts, content, task.file_name), tuple(left_out)


@lru_cache(maxsize=256)
def _read_layout(path: str) -> "Layout":
    from auditor.intake import read_layout

    name = PurePath(path).name
    return read_layout(_text_of(Path(path), name, "layout"), name)


def _text_of(path: Path, name: str, what: str) -> str:
    try:
        return path.read_text("utf-8-sig")
    except UnicodeDecodeError:
        raise LayoutError(f"{name}: this is no JSON text; wanted UTF-8") from None
    except OSError as fault:
        raise LayoutError(f"{name}: the {what} cannot be read: {fault.strerror}") from None


def _with_finding(result: Audit, rule: str, message: str, acceptances: Acceptances = NO_ACCEPTANCES) -> Audit:
    finding = Finding(rule=rule, level=Level.REVIEW, subject=result.job, message=message)
    return with_findings(result, [finding], acceptances)


def _with_note(result: Audit, message: str) -> Audit:
    note = Finding(rule="reading", level=Level.NOTE, subject=result.job, message=message)
    return with_findings(result, [note])


def _with_copy(task: Task, ground: Ground, audited: "Sequence[Audited]") -> Outcome:
    target, audits = ground.target, tuple(job.audit for job in audited)
    try:
        copy, said, lost = _annotated(task, ground, audited)
        path = write_whole(target, copy)
    except OutputError as problem:
        return Outcome(audits=audits, not_written=True, said=(f"{problem}; its audit stands all the same",))
    except AuditorError as problem:
        return Outcome(audits=audits, not_written=True, said=(f"no annotated copy: {problem}",))
    except Exception:  # a bug of ours: the audit stands, the job is not a pass
        log.exception("no annotated copy of %s", task.name)
        return Outcome(audits=tuple(map(_without_copy, audits)), not_written=True)
    if path != target:
        said = (*said, f"{target.name} is open in another program; this copy is named {path.name}")
    if lost:
        audits, said = tuple(_with_note(audit, lost) for audit in audits), (*said, lost)
    return Outcome(audits=audits, written=str(path), said=(*said, *ground.said))


def _without_copy(result: Audit) -> Audit:
    sentence = "No annotated copy could be written, a fault of the auditor; please report it"
    return _with_finding(replace(result, crashed=(*result.crashed, "annotated copy")), "file", sentence)


def _annotated(
    task: Task, ground: Ground, audited: "Sequence[Audited]"
) -> tuple[bytes, tuple[str, ...], str]:
    """The annotated copy, what is to be said about it, and what was typed in an earlier one and has no place
    in it, a sentence."""
    from auditor.annotate import typed_text
    from auditor.annotate.annotated import annotated_copy, workbook_rebuilt

    workbook, said = ground.workbook, tuple[str, ...]()
    if workbook is None:
        workbook, new = workbook_rebuilt(ground.content, task.file_name)
        said = (new,)
    copy, more = annotated_copy(workbook, audited, ground.made_from, ground.remarks)
    said = (*said, *more)
    if moved := [each for each in ground.remarks if each.is_moved and each not in workbook.lost]:
        said = (*said, f"{_MOVED}: {typed_text(moved)}")
    ending = ground.target.suffix
    if ground.workbook and not ground.made_from.work and ending.lower() != PurePath(task.name).suffix.lower():
        said = (*said, f"the file is a {ending} workbook inside, and its copy is named so")
    lost = f"{_NO_PLACE}: {typed_text(workbook.lost)}" if workbook.lost else ""
    return copy, said, lost
