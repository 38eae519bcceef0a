"""Earlier annotated copies: what was answered and typed in them, and which of them the next one replaces."""

import glob
import logging
import re
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import chain, count
from pathlib import Path, PurePath
from typing import TYPE_CHECKING

from auditor.batch.find import Found, original_of
from auditor.batch.names import COPY
from auditor.batch.typed_cells import differing_cells, differing_text
from auditor.errors import AuditorError
from auditor.job.acceptances import Acceptance
from auditor.job.answers import TypedAnswer
from auditor.job.model import natural_key

if TYPE_CHECKING:
    from auditor.annotate import Remark, Workbook

BESIDE = " beside its original"
log = logging.getLogger(__name__)

THE_INPUT = "the workbook that was checked"  # where an answer stands that a dropped copy holds


@dataclass(frozen=True, slots=True, kw_only=True)
class Copy:
    """A file that stands where an annotated copy is to go, or beside the original."""

    path: Path
    workbook: "Workbook | None"  # stripped; None: it is no workbook that we could have annotated
    place: str = ""  # what its name is followed by in sentences

    @property
    def answers(self) -> list[TypedAnswer]:
        return answers_in(self.workbook, f"{self.path.name}{self.place}")

    @property
    def remarks(self) -> "tuple[Remark, ...]":
        return self.workbook.remarks if self.workbook else ()

    @property
    def acceptances(self) -> list[Acceptance]:
        return acceptances_in(self.workbook, f"{self.path.name}{self.place}")

    def is_of(self, digest: str) -> bool:
        """Whether it was made from the workbook with this fingerprint."""
        source = self.workbook.made_from if self.workbook else None
        return source is not None and source.is_one(digest)

    def is_built_on(self, digest: str) -> bool:
        """Whether the next copy is made from it, since somebody worked in it or in the one before."""
        book = self.workbook
        worked_in = book is not None and (not book.untouched or (book.made_from and book.made_from.work))
        return bool(worked_in) and self.is_of(digest)

    def gives_way(self, digest: str) -> bool:
        """Whether the next copy replaces it: nothing that somebody typed in the tables is lost then, and remarks
        are given back."""
        from auditor.annotate import Work

        book = self.workbook
        if book is None or not book.annotated:
            return False
        typed = book.made_from is not None and book.made_from.work is Work.TYPED
        return (book.untouched and not typed) or self.is_of(digest)


def read_copy(path: Path, place: str = "") -> Copy:
    """A file of that name, stripped where it is an annotated workbook."""
    from auditor.annotate import Workbook

    try:
        return Copy(path=path, workbook=Workbook(path.read_bytes()), place=place)
    except (AuditorError, OSError):
        return Copy(path=path, workbook=None)
    except Exception:  # a bug of ours: it is no copy that could be replaced, and the audit goes on
        log.exception("the copy %s cannot be taken apart", path.name)
        return Copy(path=path, workbook=None)


def answers_in(workbook: "Workbook | None", file: str) -> list[TypedAnswer]:
    return [replace(each, file=file) for each in workbook.typed.answers] if workbook else []


def acceptances_in(workbook: "Workbook | None", file: str) -> list[Acceptance]:
    return [replace(each, file=file) for each in workbook.typed.acceptances] if workbook else []


def copies_at(target: Path) -> list[Path]:
    """The files that stand where a copy goes, and under the names that it has taken beside it."""
    beside = re.compile(re.escape(target.stem) + r"-(?:new(?:-\d+)?|\d+)")
    found = [
        path for path in target.parent.glob(f"{glob.escape(target.stem)}-*") if path.suffix == target.suffix
    ]
    named = sorted(
        (path for path in found if beside.fullmatch(path.stem)), key=lambda path: natural_key(path.stem)
    )
    return [path for path in (target, *named) if path.is_file()]


def free_name(target: Path) -> Path:
    """The first of the target's names that no file has."""
    numbered = (target.with_name(f"{target.stem}-{number}{target.suffix}") for number in count(2))
    return next(path for path in chain((target,), numbered) if not path.exists())


def typed_in(before: bytes, after: bytes, name: str, copy: Path) -> str:
    """A sentence on the cells in which a copy that was worked in differs from its source; empty: in none.

    Parameters
    ----------
    before, after : the source and the copy, both without our sheets and columns
    name : of the source
    """
    from auditor.intake.formats.read import read_book

    places = differing_cells(read_book(before, name), read_book(after, PurePath(copy).name))
    return differing_text(places, copy.name) if places else ""


class KnownCopies:
    """Which annotated copies of the jobs of a run there are, and what they answer for all of their folder."""

    def __init__(self, out: Path | None, jobs: Sequence[Found], skipped: Sequence[Found]) -> None:
        self._out = out
        self._jobs: dict[Path, list[Found]] = defaultdict(list)
        self._beside: dict[Path, list[Path]] = defaultdict(list)
        self._answers: dict[Path, list[tuple[Path, TypedAnswer]]] = {}
        for job in jobs:
            self._jobs[job.path.parent].append(job)
        for each in skipped:
            folder = each.path.parent
            original = original_of(each.path, [job.path.name for job in self._jobs.get(folder, ())])
            if original:
                self._beside[folder / original].append(each.path)

    def beside(self, job: Found) -> Sequence[Path]:
        """The annotated copies that lie beside a job's workbook."""
        return self._beside.get(job.path, ())

    def folder_answers(self, job: Found) -> tuple[TypedAnswer, ...]:
        """What copies of the other workbooks of a job's folder answer for all of them."""
        folder = job.path.parent
        if folder not in self._answers:
            self._answers[folder] = [
                (each.path, answer)
                for each in self._jobs.get(folder, ())
                for path in self._copies(each)
                for answer in _quick_answers(path)
                if answer.everywhere and answer.text
            ]
        return tuple(answer for path, answer in self._answers[folder] if path != job.path)

    def _copies(self, job: Found) -> list[Path]:
        own = [job.path] if COPY.fullmatch(job.path.stem) else []
        return [*own, *self.beside(job), *(copies_at(self._out / job.output) if self._out else ())]


def _quick_answers(path: Path) -> list[TypedAnswer]:
    """The answers of a copy, which is not taken apart."""
    from auditor.annotate import answers_of

    try:
        return [replace(each, file=path.name) for each in answers_of(path.read_bytes())]
    except (AuditorError, OSError):
        return []
    except Exception:  # a bug of ours: the batch goes on without these answers
        log.exception("the answers of the copy %s cannot be read", path.name)
        return []
