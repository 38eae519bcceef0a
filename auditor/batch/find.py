"""Which files are jobs, and where each one's annotated copy goes."""

import os
import stat
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from auditor.errors import AuditorError

ENDINGS = (".xlsx", ".xlsm", ".xltx", ".xls", ".xlsb", ".ods", ".csv", ".tsv")
PATCHED = (".xlsx", ".xlsm", ".xltx")  # annotated in place; the copy of any other is a new .xlsx
MARK = ".audited"  # stands before the ending of our own outputs
LONGEST_NAME = 255  # bytes; what common file systems hold


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """One input: a job, or something that is passed over with a reason."""

    path: Path
    name: str  # below the dropped folder, "/" between
    output: str = ""  # name of the annotated copy below the out folder; empty: no job
    skipped: str = ""  # why it is no job, a sentence


def find_jobs(paths: Sequence[Path], out: Path | None) -> list[Found]:
    """Every job below the given paths, in the order of their names, and what was passed over.

    Parameters
    ----------
    paths : workbooks, or folders that are searched to the bottom; links are not followed
    out : the out folder, whose content is never an input; None: there is none

    Raises
    ------
    AuditorError : a path that is not there
    """
    found: list[Found] = []
    seen: set[Path] = set()
    for given in paths:
        if not os.path.lexists(given):
            raise AuditorError(f"{given}: no such file or folder; give a workbook or a folder of workbooks")
        entries = _below(given, out) if given.is_dir() else [(given, given.name)]
        for path, name in entries:
            resolved = Path(os.path.abspath(path))
            if resolved not in seen:
                seen.add(resolved)
                found.append(_classified(path, name, asked=path == given))
    return _named(sorted(found, key=lambda item: (item.name.casefold(), item.name)))


def _below(folder: Path, out: Path | None) -> Iterator[tuple[Path, str]]:
    out = out.resolve() if out else None
    for parent, folders, names in os.walk(folder):
        here = Path(parent)
        folders[:] = sorted(
            name for name in folders if not name.startswith(".") and (here / name).resolve() != out
        )
        for name in sorted(names):
            path = here / name
            if _looks_like_a_job(name):
                yield path, path.relative_to(folder).as_posix()
        for name in list(folders):
            if (here / name).is_symlink() and _looks_like_a_job(name):
                yield here / name, (here / name).relative_to(folder).as_posix()


def _looks_like_a_job(name: str) -> bool:
    stem, ending = os.path.splitext(name)
    return ending.lower() in ENDINGS and not name.startswith(("~$", ".")) and not stem.endswith(MARK)


def _classified(path: Path, name: str, *, asked: bool) -> Found:
    try:
        mode = os.lstat(path).st_mode
    except OSError as fault:
        return Found(path=path, name=name, skipped=f"cannot be looked at: {fault.strerror}")
    if stat.S_ISLNK(mode) and not asked:
        return Found(path=path, name=name, skipped="a link to another place; links are not followed")
    if not stat.S_ISREG(os.stat(path).st_mode if asked else mode):
        return Found(path=path, name=name, skipped="not a regular file")
    return Found(path=path, name=name, output=_output_name(name))


def _output_name(name: str) -> str:
    stem, ending = os.path.splitext(name)
    if ending.lower() in PATCHED:
        return f"{stem}{MARK}{ending}"
    return f"{name}{MARK}.xlsx"


def _named(found: Sequence[Found]) -> list[Found]:
    """The same with output names that differ even where a file system ignores case, and that fit."""
    taken: set[str] = set()
    named = []
    for item in found:
        output = _fitting(item.output)
        number = 1
        while output and output.casefold() in taken:
            number += 1
            output = _fitting(item.output, f"-{number}")
        taken.add(output.casefold())
        named.append(Found(path=item.path, name=item.name, output=output, skipped=item.skipped))
    return named


def _fitting(output: str, suffix: str = "") -> str:
    folder, _, name = output.rpartition("/")
    stem, ending = os.path.splitext(name)
    stem = stem.removesuffix(MARK)
    room = LONGEST_NAME - len(os.fsencode(f"{MARK}{suffix}{ending}")) - 16  # 16: a temporary name's own part
    encoded = os.fsencode(stem)
    if len(encoded) > room:
        stem = encoded[:room].decode("utf-8", "ignore")
    return f"{folder}/" * bool(folder) + (f"{stem}{MARK}{suffix}{ending}" if name else "")
