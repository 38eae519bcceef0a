"""Columns that no heading names and that are not read, though their values look as if they counted."""

import itertools
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import replace

from auditor.intake.grammar.values import is_blank
from auditor.intake.records.unread_columns import counted_in
from auditor.intake.roles.kinds import BY_ANSWER, by_layout
from auditor.intake.rows.asked_columns import column_question, letters_of, one_length_question
from auditor.intake.rows.part import Part
from auditor.intake.said import chosen, to_decide
from auditor.intake.words import said
from auditor.job.model import Question, Remark, TableKind

_JUDGED: Mapping[TableKind, tuple[str, ...]] = {  # kind -> what it may be
    TableKind.DEVICES: ("quantity", "power_w"),
    TableKind.COMBINED: ("quantity", "power_w", "length_m"),
    TableKind.PULLS: ("length_m", "quantity"),
}
_IN_WORDS = {"quantity": "a quantity", "power_w": "a power", "length_m": "a length"}
LEAST = 3
MOST_COUNTED = 100  # devices of one kind in a row; project convention
FEW = 8  # rows in which counts need not come again; project convention
MOST_PIECES = 20  # of one row; project convention
_LENGTHS = frozenset({"length_m", "distance_m", "start_mark_m"})
_OF_NUMBERS = frozenset({"id", "tag", "name", "level", "drum"})


def numbers_not_read(part: Part) -> list[Remark]:
    """A question for each column of numbers that nothing names: it may be what an audit counts."""
    table = part.table
    if table.kind not in _JUDGED or table.understood.shape != "rows" or by_layout(table.understood):
        return []
    taken = {use.column for use in table.understood.columns.values()} | {
        one.column for one in table.understood.settled
    }
    found: dict[int, tuple[str, list[str]]] = {}
    for column in range(table.first_column, table.last_column + 1):
        header = table.headers.get(column, "")
        numbered = _may_number(part, header)
        says = bool(header) and bool(said(header) or counted_in(header, table.kind))
        if column in taken or (says and not numbered):
            continue
        cells = (table.sheet.rows[row - 1] for row in dict.fromkeys(part.rows))
        values = [v for own in cells if not is_blank(v := own[column - 1] if len(own) >= column else "")]
        if not (_are_pieces(values) if numbered else _counts(values)) or _counts_tags(part, column):
            continue
        fields = [name for name in _JUDGED[table.kind] if _may_be(name, part, values)]
        if not fields:
            continue
        found[column] = header or table.sheet.name, fields
    lengths = [column for column, (_, fields) in found.items() if "length_m" in fields]
    lengths.sort(key=lambda column: -len({table.sheet.value(row, column) for row in part.rows}))
    if len(lengths) > 1 and _LENGTHS.isdisjoint(table.columns):
        one = one_length_question(table, lengths)
        if chosen(one, part.answers) is None:
            return [_to_decide(one, table.sheet.name, part)]
        found = {
            c: (name, [each for each in fields if each != "length_m"]) for c, (name, fields) in found.items()
        }
    return [_asked(part, column, name, fields) for column, (name, fields) in found.items() if fields]


def _asked(part: Part, column: int, subject: str, fields: Sequence[str]) -> Remark:
    """What a column is that may be one of these fields."""
    table = part.table
    *first, last = (_IN_WORDS[name] for name in fields)
    may_be = f"{', '.join(first)} or {last}" if first else last
    header = table.headers.get(column, "")
    named = f"the column {header!r}" if header else f"column {letters_of(column)}"
    sentence = f"{named} of {table.sheet.name!r} holds numbers and is not read: is it {may_be}?"
    counts = table.kind is TableKind.PULLS and "quantity" in fields
    read_as = [name for name in fields if not (counts and name == "quantity")]
    return _to_decide(column_question(table, column, sentence, read_as, counts=counts), subject, part)


def _to_decide(one: Question, subject: str, part: Part) -> Remark:
    remark = to_decide(one, subject, part.answers, "Give it a heading that says so")
    return replace(remark, closes=_rests_on_it(part) and chosen(one, part.answers) is None)


def _may_be(field: str, part: Part, values: Sequence[object]) -> bool:
    """Whether numbers may be what an audit counts: no second power, and no quantity that is large or never comes again."""
    use = part.table.understood.columns.get(field)
    if use is not None and use.reason == BY_ANSWER:
        return False
    if field == "length_m":
        return True
    if use is not None and use.reason.startswith("heading"):
        return False
    if field == "power_w":
        return not part.has("total_power_w")
    numbers = [value for value in values if isinstance(value, float)]
    whole = all(value.is_integer() and 0 < value <= MOST_COUNTED for value in numbers)
    return whole and (len(set(numbers)) * 2 <= len(numbers) or len(numbers) < FEW)


def _may_number(part: Part, header: str) -> bool:
    """Whether a heading such as `Nº` in a device list without a quantity may number the rows or count pieces."""
    listed = part.table.kind is TableKind.DEVICES and not part.has("quantity")
    return listed and bool(header) and bool(said(header)) and said(header).keys() <= _OF_NUMBERS


def _counts_tags(part: Part, column: int) -> bool:
    """Whether each number is how many tags its row names, as ranges do: nothing else is counted."""
    named = Counter(part.rows)
    numbers = {row: part.table.sheet.value(row, column) for row in named}
    return max(named.values(), default=0) > 1 and all(numbers[row] == count for row, count in named.items())


def _are_pieces(values: list[object]) -> bool:
    """Small whole numbers that come again and do not count the rows."""
    numbers = [value for value in values if isinstance(value, float)]
    small = all(value.is_integer() and 0 < value <= MOST_PIECES for value in numbers)
    again = 1 < len(set(numbers)) < len(numbers)
    counted = (
        numbers[:1] == [1.0]
        and all(b == a + 1 or b == 1 for a, b in itertools.pairwise(numbers))
        and numbers.count(1.0) < len(numbers) / 2
    )
    return len(numbers) == len(values) >= LEAST and small and again and not counted


def _rests_on_it(part: Part) -> bool:
    """Whether figures would be made up without an answer: counts of devices, or lengths that only values gave."""
    if part.table.kind is not TableKind.PULLS:
        return True
    use = part.table.understood.columns.get("length_m")
    return use is None or not (use.reason.startswith("heading") or use.reason == BY_ANSWER)


def _counts(values: list[object]) -> bool:
    """Plain numbers of which not all are one, and which do not just count the rows."""
    numbers = [value for value in values if isinstance(value, float)]
    if len(numbers) < LEAST or len(numbers) * 5 < 4 * len(values) or len(set(numbers)) < 2:
        return False
    steps = {b - a for a, b in itertools.pairwise(numbers)}
    return steps != {1.0}
