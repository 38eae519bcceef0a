"""On what an audit stands: the workbook, and what earlier annotated copies of it hold."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path, PurePath
from typing import TYPE_CHECKING

from auditor.batch.copies import (
    BESIDE,
    THE_INPUT,
    Copy,
    acceptances_in,
    answers_in,
    copies_at,
    free_name,
    read_copy,
    typed_in,
)
from auditor.errors import naming
from auditor.job.acceptances import Acceptance, together
from auditor.job.answers import Answer, TypedAnswer, settled

if TYPE_CHECKING:
    from auditor.annotate import MadeFrom, Remark, Workbook

_ENDING_OF = (  # part of the content type of a workbook's main part -> the ending that programs expect
    (b"sheet.macroEnabled.main", ".xlsm"),
    (b"template.macroEnabled.main", ".xltm"),
    (b"spreadsheetml.template.main", ".xltx"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """What is wanted of a workbook, and where else it was answered."""

    name: str  # of its file
    output: str  # path of the annotated copy; empty: none is written
    beside: Sequence[str] = ()  # paths of annotated copies that lie beside it
    folder_answers: Sequence[TypedAnswer] = ()  # of other workbooks, for all of the folder


@dataclass(slots=True, kw_only=True)
class Ground:
    """On what the audit and the annotated copy stand."""

    content: bytes  # what is read: the workbook, or its copy with what somebody typed there
    name: str  # of what is read
    workbook: "Workbook | None"  # to be patched in place; None: a new one is made of its cells
    made_from: "MadeFrom"
    target: Path  # where the copy goes
    answers: Mapping[str, Answer]  # question -> what all copies answer
    acceptances: Mapping[str, Acceptance]  # finding -> what is typed beside it
    remarks: "Sequence[Remark]" = ()  # what was typed on the added sheets and beside the tables
    typed: str = ""  # a sentence on what was typed in the copy
    said: tuple[str, ...] = ()

    @property
    def obeyed(self) -> dict[str, str]:
        """Question -> the answer that the workbook is to be read with."""
        return {one: each.obeyed for one, each in self.answers.items() if each.obeyed}


def ground_of(content: bytes, sha256: str, wanted: Wanted) -> Ground:
    """The workbook with what earlier copies of it hold.

    Raises
    ------
    UnusableFileError : the workbook cannot be opened
    """
    from auditor.annotate import MadeFrom, Workbook
    from auditor.intake.formats.cells import Format
    from auditor.intake.formats.guard import opened

    with naming(wanted.name):
        file = opened(content)
        workbook = Workbook(file.package) if file.package and file.format is Format.XLSX else None
        stripped = workbook.strip() if workbook else content
    digest = workbook.fingerprint() if workbook else sha256
    target = _target(wanted, workbook)
    copies = [read_copy(path) for path in copies_at(target)] if wanted.output else []
    own = next((copy for copy in copies if copy.gives_way(digest)), None)
    others = [copy for copy in copies if copy is not own]
    others += [read_copy(Path(path), BESIDE) for path in wanted.beside]
    ground = Ground(
        content=stripped,
        name=wanted.name,
        workbook=workbook,
        made_from=MadeFrom(digest),
        target=own.path if own else free_name(target) if wanted.output else target,
        answers=_answers(workbook, own, others, wanted.folder_answers),
        acceptances=_acceptances(workbook, own, others),
        remarks=_remarks(workbook, own, copies, digest),
    )
    if own is not None and own.is_built_on(digest):
        _build_on(ground, own)
    if ground.target != target:
        ground.said = (
            f"{target.name} was changed since it was written and is kept; this copy is named {ground.target.name}",
        )
    return ground


def _answers(
    workbook: "Workbook | None", own: Copy | None, others: Sequence[Copy], folder: Sequence[TypedAnswer]
) -> dict[str, Answer]:
    elsewhere = [*answers_in(workbook, THE_INPUT), *(each for copy in others for each in copy.answers)]
    return settled(own.answers if own else [], elsewhere, folder)


def _acceptances(
    workbook: "Workbook | None", own: Copy | None, others: Sequence[Copy]
) -> dict[str, Acceptance]:
    elsewhere = [
        *acceptances_in(workbook, THE_INPUT),
        *(each for copy in others for each in copy.acceptances),
    ]
    return together(own.acceptances if own else [], elsewhere)


def _remarks(
    workbook: "Workbook | None", own: Copy | None, copies: Sequence[Copy], digest: str
) -> "tuple[Remark, ...]":
    """Those of the workbook itself and of the copy that the next one replaces, else of the last copy that is
    kept; what stands in cells of the workbook that is annotated needs nobody to give it back."""
    from auditor.annotate.typed import together

    first = [each for each in (workbook.remarks if workbook else ()) if not each.stays]
    before = own or next((copy for copy in reversed(copies) if copy.remarks), None)
    if before is None or (first and before.workbook and before.workbook.untouched):
        return tuple(first)
    built_on = before is own and own.is_built_on(digest)
    return together(first, (each for each in before.remarks if not (each.stays and built_on)))


def _build_on(ground: Ground, copy: Copy) -> None:
    """Make the next copy from one that somebody worked in; it is read where it holds other values."""
    from auditor.annotate import MadeFrom, Work

    assert copy.workbook is not None, "it was stripped"
    plain = copy.workbook.strip()
    noted = copy.workbook.notes() != (ground.workbook.notes() if ground.workbook else [])
    ground.typed = typed_in(ground.content, plain, ground.name, copy.path)
    if ground.typed:
        ground.content = plain
        ground.name = PurePath(ground.name).with_suffix(copy.path.suffix).name
    ground.workbook = copy.workbook
    work = Work.TYPED if ground.typed or noted else Work.SAVED
    ground.made_from = MadeFrom(ground.made_from.digest, work)


def _target(wanted: Wanted, workbook: "Workbook | None") -> Path:
    """Where the annotated copy goes, with the ending of what it is inside."""
    target = Path(wanted.output or wanted.name)
    if workbook is None:
        return target.with_suffix(".xlsx")
    ending = _true_ending(workbook)
    return target if target.suffix.lower() == ending else target.with_suffix(ending)


def _true_ending(workbook: "Workbook") -> str:
    """The ending that goes with what a workbook is inside; a program refuses to open it under another."""
    types = workbook.book.types.data
    return next((ending for mark, ending in _ENDING_OF if mark in types), ".xlsx")
