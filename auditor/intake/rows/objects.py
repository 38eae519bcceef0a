"""Exports of a database: objects with a number, a name, and the number of the object that feeds each."""

from collections.abc import Sequence

from auditor.intake.formats.cells import Value
from auditor.intake.grammar.values import is_blank, words
from auditor.intake.names.spelling import spelling
from auditor.intake.rows.given import Given
from auditor.intake.rows.part import Part
from auditor.intake.words import says
from auditor.job.model import TableKind

MOST = 0.8  # share of the parents that are numbers of the table's own objects; project convention


def name_objects(part: Part) -> None:
    """Write each object's name in place of its number, and the name of its parent in place of the parent's."""
    if part.table.kind is not TableKind.COMBINED or not part.has("near") or not part.has("tag"):
        return
    numbers = [words(value) for value in part.values("tag")]
    parents = [words(value) for value in part.values("near")]
    fed = [parent for parent in parents if parent]
    known = sum(parent in set(numbers) for parent in fed)
    if not all(map(str.isdigit, numbers)) or len(set(numbers)) < len(numbers) or known < MOST * len(fed):
        return
    column = _column_of_names(part)
    if column is None:
        return
    names = [words(part.table.sheet.value(row, column)) for row in part.rows]
    of = dict(zip(numbers, names, strict=True))
    tags: list[Value] = list(names)
    near: list[Value] = [of.get(parent, parent) for parent in parents]
    part.given["tag"] = Given(tags, [column] * len(names))
    part.give("near", near)


def _column_of_names(part: Part) -> int | None:
    """The one column that is not read, whose heading says a name, with another text in each row."""
    table = part.table
    used = set(table.columns.values())
    found = [
        column
        for column, header in table.headers.items()
        if column not in used
        and says(header, "tag", "name")
        and _are_names([table.sheet.value(row, column) for row in part.rows])
    ]
    return found[0] if len(found) == 1 else None


def _are_names(values: Sequence[Value]) -> bool:
    texts = [words(value) for value in values if isinstance(value, str) and not is_blank(value)]
    return len({*map(spelling, texts)}) == len(values) and all(any(map(str.isalpha, text)) for text in texts)
