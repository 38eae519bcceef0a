"""A spreadsheet's bytes to its job.

cells -> blocks -> statements -> roles -> rows -> names -> records -> job -> fit
"""

import re
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import cache, partial
from itertools import islice, takewhile
from pathlib import PurePath

from auditor.gc_pause import paused
from auditor.intake.added import refuse_added
from auditor.intake.asking.answered import given_of, lists_in, notes_of
from auditor.intake.asking.bare import bare_table, with_table
from auditor.intake.asking.ports import with_ports_asked
from auditor.intake.asking.questions import further, with_powers_asked
from auditor.intake.blocks.abreast import apart
from auditor.intake.blocks.drawn import drawn_blocks_of
from auditor.intake.blocks.grid import filled_cells
from auditor.intake.blocks.tables import Line, SheetBlocks, TableBlock
from auditor.intake.document import Document
from auditor.intake.fit.gate import gated
from auditor.intake.fit.unread import unread
from auditor.intake.formats.cells import Book
from auditor.intake.formats.read import read_book
from auditor.intake.grammar.values import words
from auditor.intake.layout import Layout
from auditor.intake.layout_apply import stated_tables
from auditor.intake.names.ends import is_controller, is_head_end
from auditor.intake.names.ports import port_alone
from auditor.intake.names.ranges import tags_in
from auditor.intake.names.spelling import spelling
from auditor.intake.next_readings import with_next
from auditor.intake.no_schedule import job_that_asks
from auditor.intake.readings import with_questions
from auditor.intake.records import remarks
from auditor.intake.records.assemble import assemble
from auditor.intake.records.length_unit import in_unit, settle_units
from auditor.intake.roles.beside import list_apart
from auditor.intake.roles.found import FoundTable, found_table
from auditor.intake.roles.given import Given
from auditor.intake.roles.tables.assign import understand_tables
from auditor.intake.roles.tables.form import Form
from auditor.intake.rows.asked_columns import as_answered
from auditor.intake.rows.asked_units import answered_units, ask_for_units
from auditor.intake.rows.blanks import fill_blank_ends, fill_ports_down
from auditor.intake.rows.codes import explain_codes
from auditor.intake.rows.coloured import leave_out_coloured
from auditor.intake.rows.copies import settle_copies
from auditor.intake.rows.cores import join_cores
from auditor.intake.rows.ditto import fill_dittos
from auditor.intake.rows.expand import expand_tags
from auditor.intake.rows.joined import join_lengths
from auditor.intake.rows.kinds_out import kinds_of_other_systems
from auditor.intake.rows.lengths import derive_lengths
from auditor.intake.rows.numbered import number_ends
from auditor.intake.rows.objects import name_objects
from auditor.intake.rows.order import by_order
from auditor.intake.rows.part import Part
from auditor.intake.rows.register import leave_out_head_ends
from auditor.intake.rows.running import ask_of_distances
from auditor.intake.rows.scopes import split_scopes
from auditor.intake.rows.settled import say_settled
from auditor.intake.rows.shapes import shaped_part
from auditor.intake.rows.sort import sort_rows, spread_merges
from auditor.intake.rows.trades import leave_out_trades
from auditor.intake.rows.void import leave_out_void, section_facts
from auditor.intake.said import NO_ANSWERS, Answers, asked, choices, reading, to_decide, untried
from auditor.intake.statements.cards import cable_cards
from auditor.intake.statements.facts import PANEL, VOID
from auditor.intake.statements.labels import read_labels
from auditor.intake.statements.sentences import facts_in, facts_of
from auditor.intake.statements.sheets import void_sheets
from auditor.intake.statements.title_block import title_block
from auditor.intake.understood import with_statements
from auditor.intake.unfold.cards import cards_apart
from auditor.intake.unfold.connectors import connectors_apart
from auditor.intake.unread_tables import notes_of_unread
from auditor.intake.words import SHIPPED, OwnHeadings, is_known, known_headings
from auditor.job.model import Job, TableKind

MOST_OF_A_TITLE = 12  # rows of a block that is no table in which labels are looked for
_SCHEDULES = (TableKind.PULLS, TableKind.COMBINED)


def read_jobs(
    data: bytes,
    name: str,
    layout: Layout | None = None,
    headings: OwnHeadings = SHIPPED,
    answers: Answers = NO_ANSWERS,
) -> list[Job]:
    """The jobs that a workbook states: one, or several that use the same tags again; each with its questions.

    Parameters
    ----------
    data : the file's bytes; its kind is recognised from them
    name : the file's name, for messages and for the job's name
    layout : how a person says that the sheets are to be understood; None: as found
    headings : those that an office adds to the shipped ones
    answers : to questions that an earlier reading asked

    Raises
    ------
    UnusableFileError : the file cannot be read, holds no table that may be a pull schedule, or sheets that an audit added; one sentence says why
    LayoutError : the layout does not fit the file
    """

    def read(answers: Answers) -> list[Job]:
        return _jobs(data, name, layout, answers)

    with paused(), known_headings(headings):
        return with_next(with_questions(read(answers), read, answers), read, answers)


def _jobs(data: bytes, name: str, layout: Layout | None, answers: Answers) -> list[Job]:
    """The jobs as one set of answers has them read."""
    file = PurePath(name).name
    book = read_book(data, file)
    refuse_added(book, file)
    document = taken_apart(book, file, layout, answers)
    if (asking := job_that_asks(document, name)) is not None:
        return [asking]
    sort_records(document)
    jobs = []
    for own in jobs_in(document):
        complete_records(own)
        job = with_statements(with_powers_asked(assemble(own, name), own), own)
        job = gated(job, unread(own, job), answers, cache(partial(further, own)), own.told)
        jobs.append(with_ports_asked(job, answers))
    return jobs


def read_job(data: bytes, name: str, layout: Layout | None = None, headings: OwnHeadings = SHIPPED) -> Job:
    """The one job of a workbook, as `read_jobs`."""
    jobs = read_jobs(data, name, layout, headings)
    return jobs[0]


def taken_apart(
    book: Book, file: str, layout: Layout | None = None, answers: Answers = NO_ANSWERS
) -> Document:
    """Blocks, statements and roles: each table with its kind and its columns' roles."""
    document = Document(book=book, file=file, answers=answers)
    of_sheet: dict[str, SheetBlocks] = {
        sheet.name: list_apart(apart(drawn_blocks_of(sheet))) for sheet in book.sheets
    }
    for name, tables in _without_connectors(document, of_sheet).items():
        of_sheet[name] = replace(of_sheet[name], tables=tables)
    given = _stated_by_answers(document, of_sheet)
    for blocks in of_sheet.values():
        document.lines += blocks.lines
        document.facts.add(facts_of(blocks.lines, [table.last_row for table in blocks.tables]))
    document.facts.add(void_sheets(book.sheets))
    for sheet in book.sheets:
        document.facts.add(cable_cards(sheet))
    stated = {} if layout is None else stated_tables(layout, book, file)
    document.blocks = [
        table for name, blocks in of_sheet.items() if name not in stated for table in blocks.tables
    ]
    usable = _without_void(document, document.blocks)
    forms = understand_tables(usable, given)
    if len(usable) < len(document.blocks) and not _has_schedule(forms, document.tables):
        usable = document.blocks
        forms = understand_tables(usable, given)
        _hold_after_all(document, forms)
    document.forms, document.told = forms, lists_in(given)
    document.remarks += notes_of(given, usable)
    read = {id(table): form for form in forms for table in form.tables}
    for sheet in book.sheets:
        if sheet.name in stated:
            document.tables += stated[sheet.name]
        for block in of_sheet[sheet.name].tables:
            form = read.get(id(block))
            if form is not None and form.understood is not None:
                document.tables.append(found_table(block, form.understood))
    answered = [as_answered(table, answers) for table in document.tables]
    document.tables = [table for table, _ in answered]
    document.remarks += [remark for _, said in answered for remark in said]
    unread = [block for block in usable if not _is_read(read, block)]
    document.remarks += notes_of_unread(unread, document.tables)
    titles = list(_lines_of(unread))
    document.labels, said = read_labels(document.lines, titles)
    document.title_block = title_block(document.labels.titles, unread)
    document.facts.add(document.labels.length_units)
    document.remarks += said
    document.ends = _ends_of(forms)
    return document


def _stated_by_answers(document: Document, of_sheet: dict[str, SheetBlocks]) -> dict[int, Given]:
    """What answers say of tables; a sheet without a table is one of its own, where an answer speaks of it."""
    bare = [
        table
        for sheet in document.book.sheets
        if not of_sheet[sheet.name].tables and (table := bare_table(sheet))
    ]
    tables = [table for blocks in of_sheet.values() for table in blocks.tables]
    given = given_of(document.answers, [*tables, *bare])
    for table in bare:
        if id(table) in given:
            of_sheet[table.sheet.name] = with_table(of_sheet[table.sheet.name], table)
        else:
            document.bare.append(table)
    return given


def _without_connectors(
    document: Document, of_sheet: Mapping[str, SheetBlocks]
) -> dict[str, list[TableBlock]]:
    """The tables of each sheet: each end without the connector of its device, cards with what feeds a device."""
    tables, said = connectors_apart([table for blocks in of_sheet.values() for table in blocks.tables])
    tables, of_cards = cards_apart(tables)
    document.remarks += said + of_cards
    return {name: [table for table in tables if table.sheet.name == name] for name in of_sheet}


def _has_schedule(forms: Iterable[Form], stated: Iterable[FoundTable]) -> bool:
    kinds = [form.understood.kind for form in forms if form.understood is not None]
    return any(kind in _SCHEDULES for kind in (*kinds, *(table.kind for table in stated)))


def _hold_after_all(document: Document, forms: Sequence[Form]) -> None:
    """Read what a name or a line voids where nothing else holds the pulls: `Old Mill` is a place."""
    names = {table.sheet.name for form in forms if form.understood is not None for table in form.tables}
    void = [fact for fact in document.facts.of(VOID) if fact.where.sheet in names]
    document.facts.found = [fact for fact in document.facts.found if fact not in void]
    document.remarks = [remark for remark in document.remarks if remark.subject not in names]
    for sheet in dict.fromkeys(fact.where.sheet for fact in void):
        own = next(fact for fact in void if fact.where.sheet == sheet)
        sentence = f"{own.value!r} may say that the table on {sheet!r} does not hold"
        then = "it is read, as no other holds the pulls"
        if own.value == sheet:
            document.remarks.append(reading(sheet, f"{sentence}; {then}", own.where))
            continue
        holds = choices(("yes", f"{sheet!r} is read"))
        no = untried("no", "no schedule is left that could be judged: take the sheet out of the workbook")
        one = asked(
            "void-sheet", (sheet, str(own.value)), f"{sentence}: does it hold?", (*holds, no), own.where
        )
        document.remarks.append(to_decide(one, sheet, document.answers, then.capitalize()))


def _is_read(read: Mapping[int, Form], block: TableBlock) -> bool:
    form = read.get(id(block))
    return form is not None and form.understood is not None


def _lines_of(blocks: Iterable[TableBlock]) -> Iterator[Line]:
    """The rows of what looked like a table and is none: a title block with labels. Of a long one only what
    stands above its first blank row: below a title block there may be instructions."""
    for block in blocks:
        first = (block.header_rows or (block.first_row,))[0]
        rows: Iterator[Line] = (_line(block, row) for row in range(first, block.last_row + 1))
        if block.last_row - first >= MOST_OF_A_TITLE:
            rows = islice(takewhile(lambda line: line.cells, rows), MOST_OF_A_TITLE + 1)
        lines = list(rows)
        if len(lines) <= MOST_OF_A_TITLE:
            yield from (line for line in lines if line.cells)


def _line(block: TableBlock, row: int) -> Line:
    cells = block.sheet.rows[row - 1] if row <= len(block.sheet.rows) else []
    return Line(block.sheet, row, filled_cells(cells, block.first_column, block.last_column))


def _without_void(document: Document, blocks: Sequence[TableBlock]) -> list[TableBlock]:
    """The tables that hold; what a line or a sheet's name voids is named, unless nothing would be left."""
    void = [
        block
        for block in blocks
        if any(fact.holds(block.sheet.name, block.first_row) for fact in document.facts.of(VOID))
    ]
    left = [block for block in blocks if block not in void]
    if not left:
        document.facts.found = [fact for fact in document.facts.found if fact.kind != VOID]
        return list(blocks)
    for block in void:
        fact = document.facts.at(VOID, block.sheet.name, block.first_row)
        assert fact is not None
        message = f"the table on {block.sheet.name!r} is left out: {fact.value!r} says that it does not hold"
        document.remarks.append(reading(block.sheet.name, message, fact.where))
    return left


def _ends_of(forms: Sequence[Form]) -> frozenset[str]:
    found: set[str] = set()
    for form in forms:
        if form.understood is not None and form.understood.kind in _SCHEDULES:
            for name in ("near", "far", "tag"):
                use = form.understood.columns.get(name)
                if use is not None:
                    found |= form.columns[use.column].keys
    return frozenset(found)


def sort_records(document: Document) -> None:
    """Each table's rows as records, those that do not hold left out."""
    for table in document.tables:
        merged = spread_merges(table)
        part = shaped_part(table, document.ends) or Part(table, *sort_rows(table))
        part.answers = document.answers
        part.remarks += remarks.of_merges(table, merged)
        document.parts.append(part)
        document.facts.add(section_facts(part))
        for line in _lines_in(part):
            for column, value in line.cells.items():
                if isinstance(value, str):
                    document.facts.add(facts_in(value, line, column))
    leave_out_coloured(document.parts, document.book)
    for part in document.parts:
        say_settled(part)
        fill_dittos(part)
        name_objects(part)
        leave_out_head_ends(part)
    number_ends(document.parts)
    explain_codes(document.parts, document.book)
    _settle_units(document)
    document.open_ends |= leave_out_void(document.parts, document.facts)


def _settle_units(document: Document) -> None:
    units, said = settle_units(document.tables, document.facts, document.answers)
    document.remarks += said
    for index, unit in units.items():
        part = document.parts[index]
        document.tables[index] = in_unit(document.tables[index], unit)
        part.table = in_unit(part.table, unit)


def jobs_in(document: Document) -> list[Document]:
    """The document of each job: one, or several that use the same tags again."""
    scopes = split_scopes(document.parts, document.lines)
    if not scopes:
        return [document]
    names = ", ".join(name for name, _ in scopes)
    message = (
        f"the workbook holds {len(scopes)} jobs that use the same tags: {names}; each is audited by itself"
    )
    said = [*document.remarks, reading(document.file, message, None)]
    return [
        replace(document, part=name, parts=parts, remarks=said, open_ends=set(document.open_ends))
        for name, parts in scopes
    ]


def complete_records(document: Document) -> None:
    """One job's records with what their context says of them."""
    document.remarks = [*document.remarks, *settle_copies(document.parts, document.answers)]
    join_lengths(document.parts)
    leave_out_trades(document.parts, kinds_of_other_systems(document.parts))
    listed = _alone(document.parts, (TableKind.DEVICES,), "tag")
    ends = _alone(document.parts, (TableKind.PULLS, TableKind.COMBINED), "near", "far")
    for part in document.parts:
        join_cores(part)
        fill_ports_down(part)
        fill_blank_ends(part)
        expand_tags(part, listed, ends)
        document.open_ends |= by_order(part)
        ask_of_distances(part)
        homes = document.facts.over(PANEL, part.table.sheet.name, part.rows)
        part.homes = homes if any(homes) else _home_by_sheet(part)
    document.facts.add(answered_units(document.parts, document.answers))
    derive_lengths(document.parts, document.facts)
    ask_for_units(document.parts, document.facts)


_NUMBERED = re.compile(r"\d|[\s\-_][A-Za-z]$")
_LIKE_A_PANEL = re.compile(r"[-=+]?[^\W\d_]{1,8}[\s\-_.]?(?:\d{1,3}[A-Za-z]?|[A-Z])")


def _home_by_sheet(part: Part) -> list[str | None] | None:
    """The sheet's name as the controller of ports that are named alone, where it looks like one."""
    ends = [words(value) for name in ("near", "far", "port") if part.has(name) for value in part.values(name)]
    local = any((found := port_alone(end)) is not None and found.worded for end in ends)
    name = part.table.sheet.name
    # `Runs 1` is a list of them; two letters are no word
    word = name.strip("0123456789 -_.=+")
    other = len(word) > 2 and is_known(word) and not (is_controller(name) or is_head_end(name))
    named = _LIKE_A_PANEL.fullmatch(name) or (is_head_end(name) and _NUMBERED.search(name))
    return [name] * len(part.rows) if local and named and not other else None


def _lines_in(part: Part) -> list[Line]:
    """The rows of a table that are notes or sections, as lines."""
    sheet, table = part.table.sheet, part.table
    found = []
    for row in sorted({*part.other.notes, *part.other.headings}):
        cells = sheet.rows[row - 1][table.first_column - 1 : table.last_column]
        found.append(Line(sheet, row, {c: v for c, v in enumerate(cells, table.first_column) if v != ""}))
    return found


def _alone(parts: Sequence[Part], kinds: Collection[TableKind], *names: str) -> frozenset[str]:
    """The names that stand alone in these columns of these kinds of table, without their spelling."""
    return frozenset(
        spelling(value)
        for part in parts
        if part.table.kind in kinds
        for name in names
        for value in part.values(name)
        if isinstance(value, str) and tags_in(value) is None
    )
