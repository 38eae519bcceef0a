"""What was not read and may be what is missing: cells that name an end in doubt, rows that count and have no name."""

import re
from collections.abc import Iterable, Iterator, Sequence
from functools import partial

from auditor.intake.blocks.grid import filled_cells
from auditor.intake.blocks.tables import TableBlock
from auditor.intake.document import Document
from auditor.intake.fit.breaks import Breaks, breaks_of
from auditor.intake.fit.unread_beside import unread_beside
from auditor.intake.fit.unread_feeds import hops_from_ports, unread_heading, unread_order
from auditor.intake.fit.unread_sheets import unread_sheets
from auditor.intake.grammar.values import words
from auditor.intake.names.chains import CHAIN_MARK, names_in_chain
from auditor.intake.names.ends import LOCAL
from auditor.intake.names.ranges import tags_in
from auditor.intake.names.spelling import spelling
from auditor.intake.records.remarks import rows_text
from auditor.intake.roles.evidence import by_words, share
from auditor.intake.roles.first_look import may_be_record
from auditor.intake.roles.found import FoundTable
from auditor.intake.roles.kinds import GRID
from auditor.intake.roles.profiles import profiles_of
from auditor.intake.rows.part import Part
from auditor.intake.said import asked, choices, chosen, to_decide, untried
from auditor.intake.statements.facts import VOID
from auditor.intake.words import fold, is_known, matcher, says
from auditor.job.model import CellRef, Job, Question, Remark, TableKind
from auditor.units import LENGTH_M

_LISTED = re.compile(r"\s*[,;\n]\s*|\s+/\s+")
_NUMBERED_TAG = re.compile(r"[-=+]?[A-Z]{1,8}[-_ ]?\d{1,3}")  # `NODE-11`, no `Sheet1`
_NUMBERED_NAME = re.compile(r"[-=+]?[^\W\d]{1,12}[-_. ]?\d{1,3}[a-z]?", re.IGNORECASE)
_NUMBER_OR_LETTER = re.compile(r"\d|(?<![^\W_])[A-Z]$")
LEAST_ON_ONE = 3  # pulls on one controller, on average
LONGEST_NAME = 60  # characters of a cell that may be a name
LEAST_ENDS, MOST_OF_ENDS = 3, 0.5  # names of the job, and their share, that make a column one of ends
FEW = 0.1  # share of a table's records; so many rows without a name may be sums or notes; project convention
LEAST_HEADINGS = (
    4  # in common with a table that is read, that make a table one of its kind; project convention
)
SAME_HEADINGS = 0.7  # share of all headings that they are at least
SIZES = "mm"  # the unit of widths and heights, not of pulls; common practice, no published source
_COUNTED = ("power_w", "total_power_w", "length_m")
_OF_A_FEED = ("near", "far", "port", "controller", "chain", "near_terminal", "level")
_OF_KINDS = ("type", "description", "symbol")  # columns in which the name of an end is out of place
_WITH_PORTS = (TableKind.COMBINED, TableKind.PULLS)
_OF_ENDS = (TableKind.DEVICES, TableKind.COMBINED, TableKind.PULLS, TableKind.SPLICES)
_SCHEDULED = (TableKind.DEVICES, TableKind.COMBINED, TableKind.PULLS)


def unread(document: Document, job: Job) -> list[Remark]:
    """The first question of what was not read and may be what is missing, behind a note of each that is answered."""
    said: dict[str, Remark] = {}
    found = breaks_of(job) if job.pulls else None
    for find in (
        unread_rows,
        unread_table,
        unread_tags,
        partial(ends_left_out, found=found),
        partial(unread_ends, found=found),
        unread_heading,
        unread_order,
        hops_from_ports,
        unread_sheets,
        unread_beside,
        controller_of_ports,
    ):
        for one in find(document, job):
            subject = one.where.sheet if one.where else document.file
            said.setdefault(one.id, to_decide(one, subject, document.answers))
            if chosen(one, document.answers) is None:
                return list(said.values())
    return list(said.values())


def controller_of_ports(document: Document, job: Job) -> Iterator[Question]:
    """A question where ports are named alone and a row between the pulls, a line above them or the sheet's name, which
    is not understood, may say whose they are."""
    alone = [port for port in job.ports.values() if port.controller == LOCAL]
    if not alone:
        return
    between = [
        (part, rows[0])
        for part in document.parts
        if part.table.kind in _WITH_PORTS
        and (
            rows := [
                *part.other.notes,
                *_name_controllers(part),
                *_lines_above(document, part),
                *_beside_ports(part),
            ]
        )
    ]
    others = [port for port in job.ports.values() if port.controller != LOCAL]
    at = [pull.where for pull in job.pulls if alone[0].name in (pull.near, pull.far)]
    by_sheet = bool(at) and _NUMBERED_TAG.fullmatch(at[0].sheet) is not None
    if not between and not ((others or by_sheet) and at):
        return
    name = alone[0].written or alone[0].name
    sentence = f"{name} is named without its controller"
    if between:
        part, row = between[0]
        sheet = part.table.sheet.name
        where = CellRef(sheet, row, part.table.first_column)
        sentence += f": does {rows_text([row])} of {sheet!r} say on which controller these ports are?"
    else:
        where, sheet = at[0], at[0].sheet
        for other in others[:1]:
            sentence += f", and {other.name} with it: is it on a controller of its own?"
        if not others:
            sentence += f": is {sheet!r}, the sheet's name, the controller?"
    alike, apart = ("yes", "no") if others and not between else ("no", "yes")
    answers = choices((alike, "all ports that are named so are on one controller"))
    written = untried(apart, "the controller is to be written before each port, or into a column of its own")
    yield asked("controller-of-ports", (sheet,), sentence, (*answers, written), where)


def _beside_ports(part: Part) -> Iterator[int]:
    """The first row of a list with numbered names in a column that is not read, right before the near ends."""
    column = part.table.columns.get("near", 1) - 1
    if not part.rows or column < 1 or column in part.table.columns.values():
        return
    texts = {words(part.table.sheet.value(row, column)) for row in part.rows}
    few = len(texts) <= max(1, len(part.rows) // LEAST_ON_ONE)
    if few and all(_NUMBERED_NAME.fullmatch(text) for text in texts):
        yield part.rows[0]


def _lines_above(document: Document, part: Part) -> Iterator[int]:
    """The lines above a table in which a word for a controller and a number stand, or a letter: `Panel B`."""
    for line in document.lines:
        above = line.sheet is part.table.sheet and line.row < part.table.first_row
        named = len(line.text) <= LONGEST_NAME and _NUMBER_OR_LETTER.search(line.text)
        if above and named and _says_controller(line.text):
            yield line.row


def _name_controllers(part: Part) -> Iterator[int]:
    """The section rows in which a word for a controller stands."""
    table = part.table
    for row in part.other.headings:
        cells = filled_cells(table.sheet.rows[row - 1], table.first_column, table.last_column)
        if len(cells) == 1 and _says_controller(words(next(iter(cells.values())))):
            yield row


def _says_controller(text: str) -> bool:
    """Whether a word for a controller or a head end stands in a text."""
    folded = fold(text)
    return any(matcher(name).search(folded) for name in ("controller", "head_end"))


def unread_table(document: Document, job: Job) -> Iterator[Question]:
    """A question where a table that is not read names the job's ends and has lengths or a second column of ends,
    or where it is headed as one that is read."""
    known = _names_of(job)
    tags = frozenset(spelling(device.tag) for device in job.devices)
    ports = frozenset(map(spelling, (*job.ports, *job.head_ends)))
    read = {(t.sheet.name, t.first_row, t.first_column) for t in document.tables if _is_of_ends(t)}
    void = list(document.facts.of(VOID))
    for block in document.blocks:
        name, row = block.sheet.name, block.first_row
        if (name, row, block.first_column) in read or any(fact.holds(name, row) for fact in void):
            continue
        alike = _headed_as(block, document.tables)
        if alike or _lists_pulls(block, known, tags, ports):
            where = CellRef(name, row, block.first_column)
            because = f"is headed as the one on {alike!r}" if alike else "names ends of this job"
            sentence = f"the table at {where.a1} of {name!r} {because} and is not read: does it list pulls or devices?"
            no = choices(("no", "the table stays unread, the job is judged without it"))
            yes = untried("yes", "a layout says which of its columns hold the ends and the length")
            yield asked("unread-table", (name, *block.headers.values()), sentence, (*no, yes), where)


def _headed_as(block: TableBlock, tables: Sequence[FoundTable]) -> str | None:
    """The sheet of a list that is read and has nearly all headings of a table that is not."""
    own = set(block.headers.values())
    for table in tables:
        other = set(table.headers.values())
        needed = max(LEAST_HEADINGS, SAME_HEADINGS * max(len(own), len(other)))
        if table.kind in _OF_ENDS and len(own & other) >= needed:
            return table.sheet.name
    return None


def unread_tags(document: Document, job: Job) -> Iterator[Question]:
    """A question where a list of devices has a second column of tags that is not read; beside the feeds of the devices
    only where it is not the first one again."""
    known = _names_of(job)
    for part in document.parts:
        table = part.table
        if table.kind not in (TableKind.DEVICES, TableKind.COMBINED) or table.understood.shape != "rows":
            continue
        own = [spelling(words(value)) for value in part.values("tag")]
        used = {use.column for use in table.understood.columns.values()}
        for column in range(table.first_column, table.last_column + 1):
            header = table.headers.get(column, "")
            if column in used or says(header, *_OF_A_FEED):
                continue
            texts = {
                words(v) for row in part.rows if isinstance(v := table.sheet.value(row, column), str) and v
            }
            keys = frozenset(key for text in texts for key in _keys(text))
            if len(keys & known) < 2 or share(keys, known) <= MOST_OF_ENDS:
                continue
            beside = [spelling(words(table.sheet.value(row, column))) for row in part.rows]
            if table.kind is TableKind.COMBINED and beside == own:
                continue
            where = CellRef(table.sheet.name, table.heading_row, column)
            sentence = f"the column {header!r} of {table.sheet.name!r} holds tags and is not read: are they devices too?"
            no = choices(("no", "the column stays unread, the job is judged without it"))
            yes = untried("yes", "each device is to be given a row of its own")
            yield asked("unread-tags", (table.sheet.name, header), sentence, (*no, yes), where)


def _is_of_ends(table: FoundTable) -> bool:
    """Whether the ends that a table names are read: a list of controllers with their ports names the first ones."""
    grid = table.kind is TableKind.LENGTHS and table.understood.shape == GRID
    return (
        table.kind in _OF_ENDS or grid or (table.kind is TableKind.CONTROLLERS and "ports" in table.columns)
    )


def _names_of(job: Job) -> frozenset[str]:
    """The ends of the pulls and the tags, without their spelling."""
    ends = {spelling(name) for pull in job.pulls for name in (pull.near, pull.far) if name}
    return frozenset(ends | {spelling(device.tag) for device in job.devices})


def _lists_pulls(
    block: TableBlock, known: frozenset[str], tags: frozenset[str], ports: frozenset[str]
) -> bool:
    """Whether a table names ends beside lengths or other ends, or ends of which no list of devices has most. One
    that names ports alone, each in one row, sums up what hangs on them."""
    rows = [row for row in range(block.first_row, block.last_row + 1) if may_be_record(block, row)]
    columns = profiles_of([block], [rows]).values()
    ends = [c for c in columns if len(c.keys & known) >= LEAST_ENDS and share(c.keys, known) > MOST_OF_ENDS]
    if len(ends) == 1 and ends[0].keys & known <= ports and ends[0].distinct == 1.0:
        return False
    lengths = any(
        c.quantities > MOST_OF_ENDS
        and ((c.unit in LENGTH_M and c.unit != SIZES) or "length_m" in by_words("pulls", c))
        for c in columns
    )
    unlisted = any(len((c.keys & known) - tags) * 2 > len(c.keys & known) for c in ends)
    return bool(ends) and (lengths or len(ends) > 1 or unlisted)


def unread_rows(document: Document, _: Job) -> Iterator[Question]:
    """A question where many rows of a table hold watts or lengths and nothing that a record is known by."""
    for part in document.parts:
        rows = _rows_that_count(part) if part.table.kind in _SCHEDULED else []
        if len(rows) > max(1, FEW * len(part.rows)):
            table = part.table
            where = CellRef(table.sheet.name, rows[0], table.first_column)
            sentence = (
                f"{rows_text(rows)} of {table.sheet.name!r} hold watts or lengths and name no end: do they belong to the row "
                "above, or does another column name them?"
            )
            out = choices(("neither", "the rows are sums or remarks and stay unread"))
            above = untried("to the row above", "their watts or lengths are to be written into the row above")
            named = untried("another column names them", "a layout says which column holds their names")
            yield asked(
                "unread-rows", (table.sheet.name, table.kind.value), sentence, (*out, above, named), where
            )


def _rows_that_count(part: Part) -> list[int]:
    columns = part.table.columns
    counted = [columns[name] for name in _COUNTED if name in columns]
    return [
        row
        for row in part.other.notes
        if any(isinstance(part.table.sheet.value(row, c), float) for c in counted)
    ]


def ends_left_out(document: Document, _: Job, found: Breaks | None) -> Iterator[Question]:
    """A question where an end that nothing knows is a device whose row is struck through or void.

    Parameters
    ----------
    found : the breaks of the job; None: it has no pulls
    """
    unknown = {spelling(name): name for name in found.unknown} if found else {}
    for part in document.parts if unknown else ():
        column = part.table.columns.get("tag")
        for row in (*part.other.struck, *part.other.void) if column is not None else ():
            name = unknown.get(spelling(words(part.table.sheet.value(row, column or 1))))
            if name is None:
                continue
            where = CellRef(part.table.sheet.name, row, column or 1)
            sentence = f"{name} is taken as deleted in row {row} of {where.sheet!r}, and pulls lead to it: does it count?"
            no = choices(("no", f"{name} does not count, its pulls lead nowhere"))
            yes = untried("yes", "its row is to be written as one that counts")
            yield asked("end-left-out", (where.sheet, name), sentence, (*no, yes), where)


def unread_ends(document: Document, _: Job, found: Breaks | None) -> Iterator[Question]:
    """A question where a device without a feed, or an end that nothing knows, stands in a cell that is not read.

    Parameters
    ----------
    found : the breaks of the job; None: it has no pulls
    """
    broken = {spelling(name): name for name in (*found.dark_devices, *found.unknown)} if found else {}
    if not broken:
        return
    for where, text in _cells_not_read(document):
        name = next((broken[key] for key in _keys(text) if key in broken), None)
        if name is not None:
            sentence = (
                f"{name} stands in cell {where.a1} on {where.sheet!r}, which is not read, and what is read of it does not "
                "hang together: what do these cells list?"
            )
            none = choices(("nothing of this job", "these cells stay unread, the job is judged without them"))
            more = untried("ends of pulls", "a layout says which columns hold the ends of each pull")
            devices = untried("devices", "a layout says that their table is a device list")
            names = (where.sheet, where.a1.rstrip("0123456789"))
            yield asked("unread-cells", names, sentence, (*none, more, devices), where)


def _keys(text: str) -> Iterator[str]:
    yield spelling(text)
    several = tags_in(text)
    if several is not None:
        yield from map(spelling, several.tags)
    elif CHAIN_MARK.search(text):
        yield from map(spelling, names_in_chain(text))
    else:
        yield from map(spelling, _LISTED.split(text))


def _cells_not_read(document: Document) -> Iterator[tuple[CellRef, str]]:
    for sheet in document.book.sheets:
        parts = [part for part in document.parts if part.table.sheet is sheet]
        read = _cells_read(parts)
        out = {row for part in parts for row in (*_rows_left_out(part), *part.joined)}
        void = [fact for fact in document.facts.of(VOID) if fact.where.sheet == sheet.name]
        for row, cells in enumerate(sheet.rows, 1):
            if row in out or any(fact.holds(sheet.name, row) for fact in void):
                continue
            struck = sheet.struck.get(row, ())
            for column, value in filled_cells(cells).items():
                named = isinstance(value, str) and len(value) <= LONGEST_NAME
                if named and column not in struck and column not in read.get(row, ()):
                    yield CellRef(sheet.name, row, column), words(str(value).replace("\n", ", "))


def _cells_read(parts: Iterable[Part]) -> dict[int, set[int]]:
    """row -> the columns in which a record of the row is read."""
    read: dict[int, set[int]] = {}
    for part in parts:
        uses = part.table.understood.columns.values()
        own = {use.column for use in uses if use.field not in _OF_KINDS}
        given = [each.columns for each in part.given.values() if each.columns]
        for index, row in enumerate(part.rows):
            read.setdefault(row, set()).update(own, (columns[index] for columns in given))
        for row in part.table.header_rows:
            read.setdefault(row, set()).update(range(part.table.first_column, part.table.last_column + 1))
    return read


def _rows_left_out(part: Part) -> Iterator[int]:
    other, table = part.other, part.table
    for rows in (other.struck, other.totals, other.void, other.trades, other.ports):
        yield from rows
    for row in other.headings:
        filled = filled_cells(table.sheet.rows[row - 1], table.first_column, table.last_column)
        texts = [words(value) for value in filled.values()]
        if len(texts) < 2 or sum(map(is_known, texts)) * 2 >= len(texts):
            yield row  # the title of a section, or the headings again
