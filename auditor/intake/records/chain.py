"""Several pulls in one cell: `C1.1 > K1 (120 ft) > K2 (80 ft)`, or with the lengths in a parallel list."""

import re
from collections.abc import Sequence
from dataclasses import replace
from functools import partial

from auditor.intake.formats.cells import Value
from auditor.intake.grammar.lengths import length_m
from auditor.intake.grammar.numbers import UnreadableError
from auditor.intake.grammar.values import Context, is_blank, shown
from auditor.intake.names.chains import split_chain, split_lengths
from auditor.intake.names.ends import Ends
from auditor.intake.names.ports import spelled
from auditor.intake.records.columns import Columns
from auditor.intake.records.pulls import homes_of, port_ends
from auditor.job.model import CellRef, Pull, Unread


def pulls(columns: Columns, ends: Ends, length_unit: str | None) -> list[Pull]:
    """The pulls of a table in which each row is a chain; they share the chain's cell.

    A length in brackets after an end is that of the pull which leads to it. Where the lengths stand
    in a list of their own there must be as many as pulls: else none is read.
    """
    ids, cable, note = columns.texts("id"), columns.texts("cable"), columns.texts("note")
    lengths = columns.raw("length_m")
    cells = columns.cells(("id", "chain", "length_m", "cable", "note"))
    before = columns.unread_rows()
    starts = _starts(columns, ends)
    all_steps = [_steps(columns, ends, i, start) for i, start in enumerate(starts)]
    all_stated = [_stated(steps, value) for steps, value in zip(all_steps, lengths, strict=True)]
    context = _context(columns, all_stated, length_unit)
    given = columns.given.get("length_m")
    units = given.units if given and given.units else [None] * len(starts)
    asked = frozenset(name for name, each in columns.given.items() if each.asked)
    single = all(len(steps) <= 2 for steps in all_steps)
    result: list[Pull] = []
    for i, steps in enumerate(all_steps):
        place = columns.where(i, "chain")
        at = columns.where(i, "length_m") if "length_m" in columns else place
        names = [name for name, _ in steps]
        own_id = ids[i]
        for number in range(1, len(steps)):
            stated = all_stated[i][number - 1]
            length, unread = _length(
                stated, replace(context, unit=units[i] or context.unit), place if steps[number][1] else at
            )
            if stated is None and not is_blank(lengths[i]):
                count = len(steps) - 1
                reason = f"{count} pulls in the chain need {count} lengths"
                reason = reason if count > 1 else "1 pull in the chain needs 1 length"
                unread = (Unread(field="length_m", text=shown(lengths[i]), reason=reason, where=at),)
            result.append(
                Pull(
                    id=own_id if own_id and single else f"{own_id or f'chain {i + 1}'}/{number}",
                    near=names[number - 1],
                    far=names[number],
                    length_m=length,
                    cable=cable[i],
                    asked=asked,
                    note=note[i],
                    where=place,
                    cells={**cells[i], "near": place, "far": place},
                    unread=unread + before[i],
                )
            )
    return result


def _starts(columns: Columns, ends: Ends) -> list[str]:
    """The port in a column of its own at which each chain begins, whatever its controller is called."""
    if "port" not in columns:
        return [""] * len(columns.rows)
    return [
        start or _spelled_port(text, ends)
        for start, text in zip(port_ends(columns, ends), columns.texts("port"), strict=True)
    ]


def _spelled_port(text: str | None, ends: Ends) -> str:
    if not text or text in ends.tags:
        return ""
    option = next(iter(spelled(text)), None)
    return ends.port(option.controller, option.port, text) if option else ""


def _steps(columns: Columns, ends: Ends, index: int, start: str) -> list[tuple[str, str | None]]:
    """The named ends of a chain with the lengths in their brackets, from the port that stands in a
    column of its own; a length before the first pull is that of a pull from nowhere, to be asked about."""
    text = columns.texts("chain")[index]
    steps = [(_name(columns, ends, end, index), length) for end, length in split_chain(text or "")]
    if not steps or steps[0][0] in ends.ports:
        return steps
    if steps[0][0] in ends.head_ends.values():
        return [(start or steps[0][0], None), *steps[1:]]
    return [(start, None), *steps] if start or is_length(steps[0][1]) else steps


def is_length(text: str | None) -> bool:
    """Whether what stands in brackets after an end is the length of a pull that leads to it."""
    try:
        return text is not None and length_m(text, Context()) > 0
    except UnreadableError:
        return False


def _name(columns: Columns, ends: Ends, text: str, index: int) -> str:
    home = homes_of(columns, ends)[index]
    found = ends.known(home).get(text)
    return found if found is not None else ends.name(text, partial(columns.where, index, "chain"), home)


def _stated(steps: Sequence[tuple[str, str | None]], value: Value) -> list[Value | None]:
    """The length of each pull of a chain as it is typed: in brackets, else in the parallel list."""
    count = len(steps) - 1
    listed: Sequence[Value | None] = _listed(value, count) or [None] * count
    return [in_brackets or other for (_, in_brackets), other in zip(steps[1:], listed, strict=True)]


def _context(columns: Columns, stated: Sequence[Sequence[Value | None]], unit: str | None) -> Context:
    """What all lengths of the column show of their separators, those in brackets included."""
    name = "length_m" if "length_m" in columns else "chain"
    typed = [
        (row, value)
        for row, values in zip(columns.rows, stated, strict=True)
        for value in values
        if value is not None
    ]
    return columns.context(name, [value for _, value in typed], unit, [row for row, _ in typed])


def _listed(value: Value, count: int) -> Sequence[Value] | None:
    """The lengths of a parallel list, where there are as many as pulls."""
    if is_blank(value):
        return None
    parts: list[Value] = [value] if not isinstance(value, str) else [*split_lengths(value, count)]
    unit = re.search(r"[a-z'\"]+$", str(parts[-1]).strip(), re.IGNORECASE) if isinstance(value, str) else None
    if unit:  # `120, 80, 60 ft`: the last one's unit is that of all
        parts = [p if re.search(r"[a-z'\"]", str(p), re.IGNORECASE) else f"{p} {unit[0]}" for p in parts]
    return parts if len(parts) == count else None


def _length(value: Value | None, context: Context, where: CellRef) -> tuple[float | None, tuple[Unread, ...]]:
    if value is None:
        return None, ()
    try:
        return length_m(value, context), ()
    except UnreadableError as reason:
        return None, (Unread(field="length_m", text=shown(value), reason=str(reason), where=where),)
