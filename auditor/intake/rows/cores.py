"""Lists of cores: two rows for each cable, told by its number, by + and - behind it, or by a blank."""

import re
from collections.abc import Iterator

from auditor.intake.grammar.values import is_blank, words
from auditor.intake.rows.part import Part
from auditor.intake.said import reading
from auditor.job.model import CellRef, TableKind

LEAST = 0.8  # share of the rows that must stand in pairs; project convention
_POLE = re.compile(r"(?P<id>.+?)\s*[/.\-]?\s*(?:[+\-−]|\b(?:pos|neg|[ab]|rd|bk|red|black)\b)", re.IGNORECASE)


def join_cores(part: Part) -> None:
    """One record for each cable of a list of cores."""
    if part.table.kind is not TableKind.PULLS or len(part.rows) < 4 or not part.has("near"):
        return
    groups = list(_groups(part))
    paired = sum(len(group) for group in groups if len(group) > 1)
    if paired < LEAST * len(part.rows):
        return
    lengths = part.values("length_m")
    first = [next((i for i in group if not is_blank(lengths[i])), group[0]) for group in groups]
    ids = [_bare_id(words(part.values("id")[group[0]])) for group in groups]
    where = CellRef(part.table.sheet.name, part.table.heading_row, part.table.first_column)
    message = f"the {len(part.rows)} rows are the cores of {len(groups)} cables, each cable is counted once"
    part.remarks.append(reading("list of cores", message, where))
    part.joined += sorted(set(part.rows) - {part.rows[i] for i in first})
    part.take(first)
    if part.has("id"):
        part.give("id", list(ids))


def _groups(part: Part) -> Iterator[list[int]]:
    """The rows of each cable, one after the other: the same ends, and the same number or none."""
    ids = [words(value) for value in part.values("id")]
    ends = list(zip(map(words, part.values("near")), map(words, part.values("far")), strict=True))
    has_core = part.has("core")
    group: list[int] = []
    for index, own in enumerate(ids):
        if group:
            first = group[0]
            same_ends = ends[index] == ends[first] or ends[index] == ("", "")
            poles = _bare_id(own) == _bare_id(ids[first]) and own != ids[first]
            same_id = (own == ids[first] and (has_core or not own)) or not own
            if same_ends and (poles or same_id):
                group.append(index)
                continue
            yield group
        group = [index]
    if group:
        yield group


def _bare_id(text: str) -> str:
    match = _POLE.fullmatch(text)
    return match["id"] if match else text
