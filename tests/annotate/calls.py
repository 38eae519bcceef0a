"""Annotation of workbooks as bytes, one call a workbook."""

from collections.abc import MutableMapping, Sequence

from auditor.annotate import AddedColumns, NotPlaced, Workbook


def annotate(
    source: bytes, added: Sequence[AddedColumns], sheets: bytes | MutableMapping[str, bytes] | None
) -> bytes:
    """The workbook with columns beside its tables and sheets at its end; an annotated one is stripped first."""
    return Workbook(source).annotate(added, sheets)


def unplaced(source: bytes, added: Sequence[AddedColumns]) -> list[NotPlaced]:
    """The tables beside which `annotate` writes nothing."""
    return Workbook(source).placed(added)[1]


def free_sheet_names(source: bytes, wanted: Sequence[str]) -> dict[str, str]:
    """Wanted sheet name -> name that is free in the workbook without its annotation."""
    return Workbook(source).free_sheet_names(wanted)


def cautions(source: bytes) -> list[str]:
    """What the user must be told before."""
    return Workbook(source).cautions()


def strip(source: bytes) -> bytes:
    """The workbook without its annotation; the same bytes when there is none."""
    return Workbook(source).strip()


def is_annotated(source: bytes) -> bool:
    """Whether the workbook carries an annotation."""
    return Workbook(source).annotated
