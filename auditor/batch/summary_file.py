"""The summary written over the one before, with what people typed in that one."""

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from auditor.batch.copies import free_name
from auditor.batch.output import write_whole
from auditor.errors import AuditorError

if TYPE_CHECKING:
    from auditor.annotate import Remark
    from auditor.annotate.own_workbook import Earlier


def write_summary_file(path: Path, content: bytes) -> tuple[Path, list[str]]:
    """Write the summary; gives where it was written, and sentences on what was typed in the one before.

    Raises
    ------
    OutputError : it could not be written
    """
    from auditor.annotate.own_workbook import finished

    try:
        before = path.read_bytes() if path.is_file() else b""
    except OSError:  # another program holds it
        return write_whole(free_name(path), finished(content, ())[0]), []
    found = _earlier(before)
    new, lost = finished(content, found.remarks)
    said = []
    if lost or found.theirs or not found.known:
        kept = write_whole(free_name(path), before)
        said = [f"{path.name} as it was is kept as {kept.name}: {why}" for why in _reasons(found, lost)]
    return write_whole(path, new), said


def _earlier(before: bytes) -> "Earlier":
    from auditor.annotate.own_workbook import Earlier, earlier

    try:
        return earlier(before) if before else Earlier()
    except AuditorError:
        return Earlier(known=False)


def _reasons(found: "Earlier", lost: "list[Remark]") -> Iterator[str]:
    from auditor.annotate import typed_text

    if not found.known:
        yield "it is not known what was typed in it"
    if found.theirs:
        yield f"it holds sheets that were added to it, {', '.join(map(repr, found.theirs))}"
    if lost:
        yield f"what this text speaks of is not there any more, {typed_text(lost)}"
