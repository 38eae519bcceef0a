"""Which files are jobs, and where each one's annotated copy goes."""

import os
import stat
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path, PurePath

from auditor.batch.names import Names, originals
from auditor.batch.output import LOCK, RESULTS, SUMMARY
from auditor.endings import IN_FOLDERS
from auditor.errors import AuditorError

_LINK = "a link to another place; links are not followed"


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """One input: a job, or something that is passed over with a reason."""

    path: Path
    name: str  # below the dropped folder, "/" between; bytes that are no text are written as \\xff
    output: str = ""  # path of the annotated copy below the out folder; empty: no job
    skipped: str = ""  # why it is no job, a phrase
    seems_open: bool = False  # another program keeps its lock file beside it


def find_jobs(paths: Sequence[Path], out: Path | None) -> list[Found]:
    """Every job below the given paths, in the order of their names, and what was passed over.

    Parameters
    ----------
    paths : workbooks, or folders that are searched to the bottom; links are not followed unless given
    out : the out folder, whose content is never an input; None: nothing is written

    Returns
    -------
    each file once, named from the one folder that was given, or from the folder that holds all that
    was given; no two outputs have one name, even where case is ignored

    Raises
    ------
    AuditorError : a path that is not there
    """
    root = _common_root(paths)
    found: dict[str, Found] = {}
    for given in paths:
        if not os.path.lexists(given):
            raise AuditorError(f"{given}: no such file or folder; give a workbook or a folder of workbooks")
        entries = _entries_below(given, out) if given.is_dir() else [(given, "")]
        for path, reason in entries:
            absolute = os.path.abspath(path)
            if absolute not in found:
                found[absolute] = _found_at(path, _name_below(absolute, root), reason, asked=path == given)
    return _with_outputs(sorted(found.values(), key=lambda item: (item.name.casefold(), item.name)))


def _common_root(paths: Sequence[Path]) -> str:
    absolute = [os.path.abspath(path) for path in paths]
    if len(absolute) == 1 and os.path.isdir(absolute[0]):
        return absolute[0]
    try:
        return os.path.commonpath([os.path.dirname(path) for path in absolute])
    except ValueError:  # on several drives
        return ""


def _name_below(absolute: str, root: str) -> str:
    """The path below the root as text that can be written anywhere."""
    below = os.path.relpath(absolute, root) if root else absolute.replace(":", "")
    return os.fsencode(PurePath(below).as_posix()).decode("utf-8", "backslashreplace").lstrip("/")


def _entries_below(top: Path, out: Path | None) -> Iterator[tuple[Path, str]]:
    """(path, why it is passed over, or nothing) of what is or looks like a job."""
    real_out = os.path.realpath(out) if out else None
    waiting = [(top, False)]
    while waiting:
        folder, in_outputs = waiting.pop()
        try:
            with os.scandir(folder) as listing:
                entries = sorted(listing, key=lambda entry: entry.name)
        except OSError as fault:
            yield folder, f"cannot be looked into: {fault.strerror}"
            continue
        names = {entry.name for entry in entries}
        in_outputs = in_outputs or (folder != top and _is_out_folder(names))
        for entry in entries:
            path = folder / entry.name
            if entry.name.startswith((".", "~$")):
                continue
            if _is_link(entry):
                if _leads_to_folder(entry) or looks_like_a_job(entry.name):
                    yield path, _LINK
            elif entry.is_dir(follow_symlinks=False):
                if os.path.realpath(path) != real_out:
                    waiting.append((path, in_outputs))
            elif looks_like_a_job(entry.name) and not _is_output(path, names, in_outputs):
                yield path, _copy_of(path, names)


def _is_out_folder(names: set[str]) -> bool:
    """Whether a run wrote into the folder with these files, or was stopped while it did."""
    return LOCK in names or {RESULTS, SUMMARY} <= names


def _is_output(path: Path, names: set[str], in_outputs: bool) -> bool:
    """Whether a run wrote this file. Copies are jobs again when their folder itself is given."""
    if path.name == SUMMARY:
        return in_outputs or _is_out_folder(names)
    return in_outputs and bool(originals(path.name))


def _is_link(entry: os.DirEntry[str]) -> bool:
    if entry.is_symlink():
        return True
    if os.name != "nt":
        return False
    tag = getattr(entry.stat(follow_symlinks=False), "st_reparse_tag", 0)
    return bool(tag == getattr(stat, "IO_REPARSE_TAG_MOUNT_POINT", -1))


def _leads_to_folder(entry: os.DirEntry[str]) -> bool:
    """Whether a link leads to a folder, or round in a circle so that nobody can tell."""
    try:
        return entry.is_dir()
    except OSError:
        return True


def looks_like_a_job(name: str) -> bool:
    """Whether a name has an ending of the files that a folder is searched for."""
    return os.path.splitext(name)[1].lower() in IN_FOLDERS


def _copy_of(path: Path, names: set[str]) -> str:
    """An annotated copy beside its own original is not audited a second time."""
    original = original_of(path, names)
    return f"the annotated copy of {original}, which is audited itself" if original else ""


def original_of(path: Path, names: Collection[str]) -> str:
    """The name of the file beside it of which a file is the annotated copy; empty: of none."""
    return next((each for each in originals(path.name) if each in names and looks_like_a_job(each)), "")


def _found_at(path: Path, name: str, reason: str, *, asked: bool) -> Found:
    if not reason:
        try:
            mode = os.stat(path, follow_symlinks=asked).st_mode
        except OSError as fault:
            reason = "a link to nothing" if os.path.islink(path) else f"cannot be looked at: {fault.strerror}"
        else:
            reason = "" if stat.S_ISREG(mode) else "not a regular file"
    locks = (path.with_name(f"~${path.name}"), path.with_name(f".~lock.{path.name}#"))
    return Found(
        path=path, name=name, skipped=reason, seems_open=not reason and any(map(os.path.lexists, locks))
    )


def _with_outputs(found: Sequence[Found]) -> list[Found]:
    names = Names()
    return [
        Found(
            path=item.path,
            name=item.name,
            output="" if item.skipped else names.output(item.name),
            skipped=item.skipped,
            seems_open=item.seems_open,
        )
        for item in found
    ]
