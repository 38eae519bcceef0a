"""Rows that stand for several devices or pulls: `KP-01 thru KP-04`, `KP-1/2/3`."""

import re
from collections.abc import Collection

from auditor.intake.formats.cells import Value
from auditor.intake.grammar.numbers import UnreadableError
from auditor.intake.grammar.values import count, is_blank, words
from auditor.intake.names.ports import spelled
from auditor.intake.names.ranges import TagList, slashed, tags_in
from auditor.intake.names.spelling import spelling
from auditor.intake.rows.part import Part
from auditor.intake.said import question, reading
from auditor.job.model import CellRef, TableKind

_BETWEEN_NAMES = re.compile(
    r"\s[-–]\s|\.\.|[,;&+]|\s[^\W\d]{1,7}(?:/[^\W\d])?\s"
)  # `L/1/06 to L/1/07`, not `C 1 / 1`
LONGEST_PORT = 2  # characters


def expand_tags(part: Part, listed: Collection[str], ends: Collection[str]) -> None:
    """A record for each tag of a cell.

    Parameters
    ----------
    listed : tags that stand alone in a list, without their spelling: such a text is one name
    ends : names that stand alone at an end of a pull, without their spelling
    """
    if part.table.kind is TableKind.PULLS:
        _expand(part, "far", listed, each_id=True)
        _expand(part, "near", listed, each_id=True)
    elif part.table.kind is TableKind.COMBINED:
        _expand(part, "tag", listed, each_id=True)
    elif part.table.kind is TableKind.DEVICES:
        _expand(part, "tag", listed, ends, each_id=False)


def _expand(
    part: Part, name: str, listed: Collection[str], ends: Collection[str] = (), *, each_id: bool
) -> None:
    if not part.has(name):
        return
    texts = [_text(value, ends) for value in part.values(name)]
    typed_ids, typed_quantities = part.values("id"), part.values("quantity")
    counts = {text: _count(quantity) for text, quantity in zip(texts, typed_quantities, strict=True)}
    lists = {
        text: found
        for text, number in counts.items()
        if text and (found := _several(text, listed, ends, number)) is not None
    }
    if not lists:
        return
    indices, tags, ids, quantities = [], [], [], []
    for index, text in enumerate(texts):
        found = lists.get(text)
        own = found.tags if found else (text,)
        if found:
            _ask_of_count(part, index, name, text, found, typed_quantities[index])
        for number, tag in enumerate(own, 1):
            indices.append(index)
            tags.append(tag)
            typed = typed_ids[index]
            ids.append(f"{words(typed)}/{number}" if found and each_id and not is_blank(typed) else typed)
            quantities.append(1.0 if found else typed_quantities[index])
    columns = [part.column_of(name)] * len(indices)
    expanded = [texts[index] for index in indices]
    part.take(indices)
    part.give(name, list(tags))
    part.given[name].columns = columns
    if part.has("id"):
        part.give("id", ids)
    if part.has("quantity"):
        part.give("quantity", quantities)
    if part.has("total_power_w"):
        totals = part.values("total_power_w")
        part.give(
            "total_power_w",
            ["" if text in lists else value for text, value in zip(expanded, totals, strict=True)],
        )


def _text(value: Value, ends: Collection[str]) -> str:
    """A cell's words; names on lines of their own, each an end of a pull, as a list."""
    lines = [words(line) for line in value.splitlines()] if isinstance(value, str) else []
    return (
        ", ".join(lines) if len(lines) > 1 and all(spelling(line) in ends for line in lines) else words(value)
    )


def _count(quantity: Value) -> int | None:
    try:
        return None if is_blank(quantity) else count(quantity)
    except UnreadableError:
        return None


def _several(text: str, listed: Collection[str], ends: Collection[str], number: int | None) -> TagList | None:
    if number is not None and number > 1 and (found := slashed(text, number)) is not None:
        return found
    if spelling(text) in listed:
        return None
    found = tags_in(text)
    last = text.rpartition("/")[2].strip()
    last_tag = "" if found is None else spelling(found.tags[-1])
    new = found is not None and last_tag not in listed and last_tag not in ends
    one_name = not _BETWEEN_NAMES.search(text)
    if new and one_name and spelled(text) and 0 < len(last) <= LONGEST_PORT:
        return None  # `C1 / 1`: a port and its controller
    return found


def _ask_of_count(part: Part, index: int, name: str, text: str, found: TagList, quantity: Value) -> None:
    where = CellRef(part.table.sheet.name, part.rows[index], part.column_of(name))
    if found.backwards:
        part.remarks.append(
            reading(
                text, f"{text!r} runs backwards; it is read as {found.tags[0]} to {found.tags[-1]}", where
            )
        )
    number = _count(quantity)
    if number is not None and number not in (1, len(found.tags)):
        message = (
            f"{text!r} names {len(found.tags)} tags and its quantity is {number}; {len(found.tags)} are counted, one for "
            "each tag: correct one of the two"
        )
        part.remarks.append(question(text, message, where))
