"""One workbook, whole: read, audit, annotate, write. Runs in a worker process or in this one."""

import hashlib
import os
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING

from auditor.batch.output import write_whole
from auditor.errors import AuditorError, LayoutError, OutputError, ProfileError, UnusableFileError
from auditor.findings import Audit, Finding, Level, Verdict
from auditor.limits import Profile
from auditor.model import Job
from auditor.profile import DEFAULT, load_profile, shipped_names, side_profile

if TYPE_CHECKING:
    from auditor.intake import Layout

GREATEST_FILE = 256 * 1024 * 1024  # bytes


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """What to do with one workbook; plain enough to be handed to another process."""

    path: str
    name: str  # below the dropped folder
    output: str  # path of the annotated copy; empty: none is written
    profile: str | None  # name or file from the command line
    overrides: Mapping[str, object] = field(default_factory=dict)
    cables: Mapping[str, str] = field(default_factory=dict)  # cable type -> what is tried in its place


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What came of one workbook."""

    audit: Audit
    written: str = ""  # path of the annotated copy
    said: tuple[str, ...] = ()  # sentences for the console: not written, signature gone, …


def do(task: Task) -> Outcome:
    """Audit one workbook and write its annotated copy. Never raises on account of the file."""
    try:
        content = read_snapshot(Path(task.path))
    except UnusableFileError as problem:
        return unreadable(task.name, str(problem))
    sha256 = hashlib.sha256(content).hexdigest()
    try:
        return _do(task, content, sha256)
    except (UnusableFileError, ProfileError, LayoutError) as problem:
        return unreadable(task.name, str(problem), sha256)


def unreadable(name: str, problem: str, sha256: str = "") -> Outcome:
    """The outcome of a file that could not be audited."""
    job = Path(name).stem
    audit = Audit(
        job=job, file=name, sha256=sha256, profile=None, verdict=Verdict.UNREADABLE, problem=problem
    )
    return Outcome(audit=audit)


def read_snapshot(path: Path) -> bytes:
    """A file's bytes as they were at one moment.

    Raises
    ------
    UnusableFileError : gone, no permission, too large, or changing while it was read
    """
    try:
        for _ in range(2):
            before = os.stat(path)
            if before.st_size > GREATEST_FILE:
                raise UnusableFileError(
                    f"{path.name} has {before.st_size // 1_000_000} MB; the limit is {GREATEST_FILE // 1_000_000} MB"
                )
            content = path.read_bytes()
            after = os.stat(path)
            if (before.st_size, before.st_mtime_ns) == (len(content), after.st_mtime_ns):
                return content
    except FileNotFoundError:
        raise UnusableFileError(
            f"{path.name} is gone; it was moved or deleted while the folder was read"
        ) from None
    except PermissionError:
        raise UnusableFileError(f"{path.name} cannot be opened: no permission to read it") from None
    except OSError as fault:
        raise UnusableFileError(f"{path.name} cannot be read: {fault.strerror}") from None
    raise UnusableFileError(
        f"{path.name} is being written by another program; audit it again when that is done"
    )


def chosen_profile(task: Task, job: Job) -> tuple[Profile, str, str]:
    """The profile that judges a job: (profile, why it was chosen, what else is to be said).

    Raises
    ------
    ProfileError : the profile of the command line or of the folder is not right
    """
    said = ""
    if task.profile is not None:
        return load_profile(task.profile, task.overrides), "named on the command line", said
    if job.profile_name:
        if job.profile_name in shipped_names():
            return load_profile(job.profile_name, task.overrides), "named in the workbook", said
        said = (
            f"The workbook names the bus profile '{job.profile_name}', which is not one of "
            f"{', '.join(shipped_names())}; correct the cell or choose one with --profile"
        )
    beside = side_profile(Path(task.path))
    if beside is not None:
        return load_profile(str(beside), task.overrides), f"{beside.name} in {beside.parent.name}", said
    return load_profile(DEFAULT, task.overrides), "the default; nothing names another", said


def _do(task: Task, content: bytes, sha256: str) -> Outcome:
    from auditor.audit import audit
    from auditor.intake import read_job
    from auditor.intake.guard import Format, recognise
    from auditor.trying import changed
    from auditor.writeback import strip

    name = Path(task.name).name
    patched = recognise(content, name)[0] is Format.XLSX
    job = read_job(strip(content) if patched else content, name, _layout(task, content))
    profile, chosen, said = chosen_profile(task, job)
    job = changed(job, profile, task.cables)
    result = audit(job, profile).stamped(file=task.name, sha256=sha256, profile_chosen=chosen)
    if said:
        result = _with_finding(result, said)
    if not task.output:
        return Outcome(audit=result)
    return _written(task, content, result, profile, patched)


def _layout(task: Task, content: bytes) -> "Layout | None":
    """The corrected layout that fits this workbook, from its folder or the nearest one above it."""
    from auditor.intake import choose_layout, read_layout

    layouts = [read_layout(path.read_text("utf-8-sig"), path.name) for path in layout_files(Path(task.path))]
    return choose_layout(layouts, content, Path(task.name).name) if layouts else None


def layout_files(workbook: Path) -> list[Path]:
    """`*.layout.json` files beside a workbook and in the folders above it, the nearest first."""
    return [path for folder in workbook.resolve().parents for path in sorted(folder.glob("*.layout.json"))]


def _with_finding(result: Audit, message: str) -> Audit:
    finding = Finding(rule="unreadable-value", level=Level.REVIEW, subject=result.job, message=message)
    verdict = max(result.verdict, Verdict.REVIEW, key=lambda verdict: verdict.severity)
    return replace(result, findings=(*result.findings, finding), verdict=verdict)


def _written(task: Task, content: bytes, result: Audit, profile: Profile, patched: bool) -> Outcome:
    from auditor.annotate import annotated_copy, annotated_rebuilt

    target = Path(task.output)
    try:
        if patched:
            copy, said = annotated_copy(content, result, profile)
        else:
            target = target.with_suffix(".xlsx")
            copy, said = annotated_rebuilt(content, Path(task.name).name, result, profile)
        path = write_whole(target, copy)
    except OutputError as problem:
        return Outcome(audit=result, said=(f"{problem}; the audit itself is in the summary",))
    except AuditorError as problem:
        return Outcome(audit=result, said=(f"no annotated copy: {problem}",))
    if path != target:
        said = (*said, f"{target.name} is open in another program; this copy is named {path.name}")
    return Outcome(audit=result, written=str(path), said=said)
