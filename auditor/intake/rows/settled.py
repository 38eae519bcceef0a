"""What was decided of columns beside the ones that are read: said, asked, or read instead."""

from auditor.intake.grammar.values import is_blank
from auditor.intake.roles.kinds import Settled
from auditor.intake.rows.asked_columns import length_question
from auditor.intake.rows.part import Part
from auditor.intake.said import chosen, question, reading, to_decide
from auditor.job.model import CellRef


def say_settled(part: Part) -> None:
    """Say it with the cell; where the chosen column is blank the other one's value counts."""
    table = part.table
    for one in table.understood.settled:
        header = table.headers.get(one.column, "")
        row = table.heading_row if one.row is None else _row(part, one.row)
        where = CellRef(table.sheet.name, row, one.column)
        if one.row is not None:
            part.remarks.append(question(_name(part, row), f"{_name(part, row)}: {one.text}", where))
        elif one.ask:
            _ask(part, one)
        elif one.text:
            part.remarks.append(reading(header, one.text, where))
        if one.instead:
            _instead(part, one.column)


def _ask(part: Part, one: Settled) -> None:
    """Ask which of two columns is the length; where they differ, no length is read until it is answered."""
    asked = length_question(part.table, one)
    part.remarks.append(to_decide(asked, part.table.headers.get(one.column, ""), part.answers, one.text))
    if chosen(asked, part.answers) is None:
        _leave_open(part, one.column)


def _row(part: Part, index: int) -> int:
    """The sheet's row of a record of the table's form; the first row where the form spans several tables."""
    return part.rows[index] if index < len(part.rows) else part.table.heading_row


def _name(part: Part, row: int) -> str:
    index = part.rows.index(row) if row in part.rows else -1
    for name in ("id", "tag", "far"):
        if index >= 0 and part.has(name) and not is_blank(part.values(name)[index]):
            return str(part.values(name)[index])
    return f"row {row}"


def _leave_open(part: Part, column: int) -> None:
    """Lengths in which two columns differ are not read until it is known which holds."""
    cells = (part.table.sheet.rows[row - 1] for row in part.rows)
    other = [own[column - 1] if len(own) >= column else "" for own in cells]
    own = part.values("length_m")
    part.give("length_m", [a if a == b or is_blank(b) else "" for a, b in zip(own, other, strict=True)])
    part.given["length_m"].asked = True


def _instead(part: Part, column: int) -> None:
    cells = (part.table.sheet.rows[row - 1] for row in part.rows)
    other = [own[column - 1] if len(own) >= column else "" for own in cells]
    own = part.values("length_m")
    if any(is_blank(value) for value in own):
        part.give("length_m", [b if is_blank(a) else a for a, b in zip(own, other, strict=True)])
