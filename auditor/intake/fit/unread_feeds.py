"""Columns of a schedule that are not read and may say what feeds each row, or which device it feeds."""

from collections.abc import Iterator, Sequence

from auditor.intake.document import Document
from auditor.intake.grammar.values import is_blank, words
from auditor.intake.names.spelling import spelling
from auditor.intake.rows.part import Part
from auditor.intake.said import asked, choices, untried
from auditor.intake.words import candidates, fold, matcher, said, says
from auditor.job.model import CellRef, Job, Question, TableKind

HEADED = 0.9  # how strongly a heading must say what a column is; project convention
LEAST_ROWS = 3
_OF_PLACES = ("room", "near_place", "far_place")  # what a heading over counted numbers does not mean
_SCHEDULES = (TableKind.COMBINED, TableKind.PULLS)


def unread_heading(document: Document, _: Job) -> Iterator[Question]:
    """A question where a column that is headed as the fed end is not read, and another one is taken for it whose heading
    does not say so, or is the same again: `ft | to | ft | to`."""
    for part in document.parts:
        table = part.table
        use = table.understood.columns.get("far") or table.understood.columns.get("tag")
        if table.kind not in _SCHEDULES or table.understood.shape != "rows" or use is None:
            continue
        used = {one.column for one in table.understood.columns.values()}
        taken = says(use.header, "far", "tag")
        for column, header in table.headers.items():
            filled = sum(not is_blank(table.sheet.value(row, column)) for row in part.rows)
            again = header == use.header and part.table.kind is TableKind.PULLS
            tagged = not (taken and not says(use.header, "description")) and _tags_each(part, column, header)
            headed = said(header).get("far", 0.0) >= HEADED and (not taken or again)
            if column in used or not (headed or tagged) or filled * 2 < len(part.rows):
                continue
            where = CellRef(table.sheet.name, table.heading_row, column)
            sentence = (
                f"the column {header!r} of {table.sheet.name!r} is headed as the fed end and is not read, {use.header!r} is taken "
                "for it: which of them names the devices?"
            )
            own = choices((use.header, "the schedule is judged as it is read"))
            other = untried(header, "a layout says that this column holds the fed end")
            yield asked("unread-heading", (table.sheet.name, header), sentence, (*own, other), where)


def _tags_each(part: Part, column: int, header: str) -> bool:
    """Whether a column is headed as a device's tag and has another name in each row, no number, where what is read as
    the devices feeds nothing."""
    if not any(name == "tag" for name, _ in candidates(TableKind.DEVICES, header)):
        return False
    names = [spelling(words(part.table.sheet.value(row, column))) for row in part.rows]
    fed = part.values("far" if part.has("far") else "tag")
    nears = {spelling(words(near)) for near in part.values("near")} - {""}
    lettered = all(any(map(str.isalpha, name)) for name in names)
    return (
        lettered and len(set(names)) == len(names) and nears.isdisjoint(spelling(words(end)) for end in fed)
    )


def unread_order(document: Document, job: Job) -> Iterator[Question]:
    """A question where all pulls of a list start at ports and an unread column under an unknown heading counts them on
    each: it may say in which order they hang on one another."""
    for part in document.parts:
        table = part.table
        nears = _ports_of_all(part, job)
        if nears is None:
            continue
        used = {use.column for use in table.understood.columns.values()}
        for column in range(table.first_column, table.last_column + 1):
            header = table.headers.get(column, "")
            known = said(header) and not says(header, *_OF_PLACES)
            if column in used or known or not _counts_on_each(part, column, nears):
                continue
            where = CellRef(table.sheet.name, table.heading_row, column)
            sentence = (
                f"the column {header!r} of {table.sheet.name!r} counts the pulls of each port and is not read: is it the order "
                "in which each device is fed from the one before?"
            )
            no = choices(("no", "each pull starts at its port"))
            yes = untried("yes", "what feeds each row is to be written in full, or «order» as the heading")
            yield asked("unread-order", (table.sheet.name, header), sentence, (*no, yes), where)


def hops_from_ports(document: Document, job: Job) -> Iterator[Question]:
    """A question where all pulls of a list start at ports and its lengths are headed as those from device to device."""
    for part in document.parts:
        use = part.table.understood.columns.get("length_m")
        if use is None or not matcher("hop").search(fold(use.header)) or _ports_of_all(part, job) is None:
            continue
        sheet = part.table.sheet.name
        where = CellRef(sheet, part.table.heading_row, use.column)
        sentence = (
            f"the lengths below {use.header!r} of {sheet!r} count from the previous device, and each pull is read as one from "
            "its port: is each device fed from the one before?"
        )
        no = choices(("no", "each pull starts at its port"))
        yes = untried(
            "yes", "what feeds each row is to be written in full, or «order» above the places on the port"
        )
        yield asked("hops-from-ports", (sheet, use.header), sentence, (*no, yes), where)


def _ports_of_all(part: Part, job: Job) -> list[str] | None:
    """Where each pull of a list starts, if all start at ports, at some of them several; else None."""
    nears = [words(value) for value in part.values("near")] if part.has("near") else []
    ports = {spelling(port.written or port.name) for port in job.ports.values()} | set(job.ports)
    few = len(nears) >= LEAST_ROWS and len(set(nears)) * 2 <= len(nears)
    at_ports = few and all(near in ports or spelling(near) in ports for near in nears)
    return nears if at_ports and part.table.kind in _SCHEDULES else None


def _counts_on_each(part: Part, column: int, nears: Sequence[str]) -> bool:
    """Whether the numbers of a column run 1, 2, 3 on each port."""
    seen: dict[str, int] = {}
    for row, near in zip(part.rows, nears, strict=True):
        seen[near] = seen.get(near, 0) + 1
        if part.table.sheet.value(row, column) != float(seen[near]):
            return False
    return True
