"""Tables that are not read and stand beside a list that is: behind a blank column they may hold its powers."""

from collections.abc import Iterator

from auditor.intake.blocks.tables import TableBlock
from auditor.intake.document import Document
from auditor.intake.grammar.values import is_blank
from auditor.intake.roles.found import FoundTable
from auditor.intake.rows.part import Part
from auditor.intake.said import asked, choices, untried
from auditor.intake.statements.facts import VOID
from auditor.intake.words import says
from auditor.job.model import CellRef, Job, Question, TableKind

_COUNTED = {  # kind of list -> what an audit counts in it
    TableKind.DEVICES: ("quantity", "power_w", "total_power_w"),
    TableKind.COMBINED: ("quantity", "power_w", "total_power_w", "length_m"),
    TableKind.PULLS: ("length_m",),
}


def unread_beside(document: Document, _: Job) -> Iterator[Question]:
    """A question where such a table has its headings in the row of the list's, cells in each of its rows, and a heading
    of what the list is counted by and does not have."""
    void = list(document.facts.of(VOID))
    read = {_place(table) for table in document.tables}
    for block in document.blocks:
        if _place(block) in read or any(fact.holds(block.sheet.name, block.first_row) for fact in void):
            continue
        part = next((part for part in document.parts if _says_more(block, part)), None)
        if part is None:
            continue
        where = CellRef(block.sheet.name, block.first_row, block.first_column)
        own = part.table.headers.get(part.table.first_column, "")
        sentence = (
            f"the table at {where.a1} of {block.sheet.name!r} stands beside {own!r} and is not read: does it say more of the same "
            "rows?"
        )
        no = choices(("no", "the table stays unread, the job is judged without it"))
        yes = untried("yes", "the blank columns between the two are to be taken out")
        yield asked("unread-beside", (block.sheet.name, *block.headers.values()), sentence, (*no, yes), where)


def _place(table: TableBlock | FoundTable) -> tuple[str, int, int]:
    return table.sheet.name, table.first_row, table.first_column


def _says_more(block: TableBlock, part: Part) -> bool:
    """Whether a table may hold more of the rows of a list."""
    table = part.table
    if block.sheet is not table.sheet or not block.header_rows or block.header_rows[-1] != table.heading_row:
        return False
    lacking = [name for name in _COUNTED.get(table.kind, ()) if not part.has(name)]
    counted = [c for c, header in block.headers.items() if lacking and says(header, *lacking)]
    return bool(part.rows) and any(
        all(not is_blank(table.sheet.value(row, column)) for row in part.rows) for column in counted
    )
