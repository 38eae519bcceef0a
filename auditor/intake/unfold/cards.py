"""Cards: devices in the order of the cable, below a line that names the port or the device where it starts."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from auditor.intake.blocks.grid import texts_of
from auditor.intake.blocks.tables import TableBlock
from auditor.intake.formats.cells import Value
from auditor.intake.grammar.values import is_blank, words
from auditor.intake.names.ports import port_alone, ports_in, spelled
from auditor.intake.names.spelling import spelling
from auditor.intake.said import reading
from auditor.intake.words import fold, is_known, says, word_list
from auditor.job.model import CellRef, Remark

LEAST_ROWS = 3
MOST_FILLED = (
    0.5  # share of the cells under a feed that name it where the others are blank; project convention
)
MOST_ABOVE = 4  # rows above a card's first device in which its start is looked for
LONGEST_LINE = 100  # characters of a line that heads a card; a sentence is longer
HEADING = "From"  # of the column that holds what feeds each device, where only its place says it


@dataclass(frozen=True, slots=True)
class _Card:
    """Devices in the order of the cable: the row of each, and the texts that head them."""

    rows: tuple[int, ...]
    above: tuple[dict[int, str], ...]  # of each line: column -> text


@dataclass(frozen=True, slots=True)
class _Cards:
    """The cards of a table, and the column that says what feeds a device, or that only numbers it."""

    table: TableBlock
    tag: int
    feed: int
    numbered: bool
    cards: tuple[_Card, ...]


def cards_apart(tables: Sequence[TableBlock]) -> tuple[list[TableBlock], list[Remark]]:
    """The tables; in those that are cards each device has what feeds it, the one above or the card's start."""
    found = {id(table): own for table in tables if (own := _cards_of(table)) is not None}
    tags = frozenset(spelling(tag) for own in found.values() for tag in _tags(own))
    starts_of = {key: starts for key, own in found.items() if (starts := _starts(own, tags))}
    if not any(spelling(start) not in tags for starts in starts_of.values() for start in starts):
        return list(tables), []
    result: list[TableBlock] = []
    remarks: list[Remark] = []
    for table in tables:
        own, table_starts = found.get(id(table)), starts_of.get(id(table))
        if own is None or table_starts is None:
            result.append(table)
            continue
        result.append(_fed(own, table_starts, tags))
        remarks.append(_said(own, table_starts))
    return result, remarks


def _tags(own: _Cards) -> list[str]:
    return [words(own.table.sheet.value(row, own.tag)) for card in own.cards for row in card.rows]


def _cards_of(table: TableBlock) -> _Cards | None:
    """A table as cards; None: it is none."""
    if table.drawing is not None or not table.header_rows:
        return None
    headers = texts_of(table.sheet, table.header_rows[-1], table.first_column, table.last_column)
    tag = next((column for column, text in headers.items() if says(text, "tag")), None)
    length = next((column for column, text in headers.items() if says(text, "length_m")), None)
    if tag is None or length is None:
        return None
    rows = [
        row
        for row in range(table.first_row, table.last_row + 1)
        if _names_device(table.sheet.value(row, tag)) and isinstance(table.sheet.value(row, length), float)
    ]
    names = [spelling(words(table.sheet.value(row, tag))) for row in rows]
    if len(rows) < LEAST_ROWS or len(set(names)) < len(names):
        return None
    cards = _parted(table, rows)
    feed = next((c for c, text in headers.items() if c != tag and _is_feed(table, c, text, rows)), None)
    if feed is not None:
        return _Cards(table, tag, feed, False, cards)
    order = next(
        (c for c, text in headers.items() if says(text, "sequence") and _counts(table, c, cards)), None
    )
    return None if order is None or _feeds(headers) else _Cards(table, tag, order, True, cards)


def _names_device(value: Value) -> bool:
    return isinstance(value, str) and any(map(str.isdigit, value)) and len(value.split()) <= 2


def _feeds(headers: Mapping[int, str]) -> bool:
    """Whether a heading says what feeds a row: then its place does not."""
    return any(says(text, "near") or says(text, "far") for text in headers.values())


def _is_feed(table: TableBlock, column: int, text: str, rows: Sequence[int]) -> bool:
    """Whether a column says of a few devices what feeds them and is blank beside the others."""
    if not says(text, "near"):
        return False
    filled = [value for row in rows if not is_blank(value := table.sheet.value(row, column))]
    return 0 < len(filled) <= MOST_FILLED * len(rows) and all(isinstance(value, str) for value in filled)


def _counts(table: TableBlock, column: int, cards: Sequence[_Card]) -> bool:
    """Whether a column counts the devices of each card from 1."""
    return all(
        [table.sheet.value(row, column) for row in card.rows] == list(range(1, len(card.rows) + 1))
        for card in cards
    )


def _parted(table: TableBlock, rows: Sequence[int]) -> tuple[_Card, ...]:
    """The rows of devices, parted where other rows with text stand between them."""
    parts: list[list[int]] = [[rows[0]]]
    for before, row in pairwise(rows):
        if any(_texts(table, between) for between in range(before + 1, row)):
            parts.append([])
        parts[-1].append(row)
    return tuple(_Card(tuple(own), tuple(_above(table, own[0], rows))) for own in parts)


def _above(table: TableBlock, first: int, rows: Sequence[int]) -> list[dict[int, str]]:
    """The lines above a card's first device, the nearest first, up to the devices above them."""
    found = []
    for row in range(first - 1, max(0, first - 1 - MOST_ABOVE), -1):
        if row in rows:
            break
        found.append(_texts(table, row))
    return found


def _texts(table: TableBlock, row: int) -> dict[int, str]:
    return texts_of(table.sheet, row, table.first_column, table.last_column)


def _starts(own: _Cards, tags: frozenset[str]) -> list[str]:
    """Where each card starts, as it is written; empty: of one it cannot be told."""
    starts = [_start(card, own, tags) for card in own.cards]
    return starts if all(starts) else []


def _start(card: _Card, own: _Cards, tags: frozenset[str]) -> str:
    """The one port that the lines above a card name, else the one device of another card."""
    heads = [texts for texts in card.above if not _is_heading(texts)]
    ports = {_key(port): port for texts in heads for port in _ports(texts)}
    if len(ports) == 1:
        return next(iter(ports.values()))
    mine = {spelling(words(own.table.sheet.value(row, own.tag))) for row in card.rows}
    named = {
        key: token
        for texts in heads
        for text in texts.values()
        for token in text.replace(",", " ").split()
        if (key := spelling(token.strip(".:;()"))) in tags - mine
    }
    return next(iter(named.values())).strip(".:;()") if not ports and len(named) == 1 else ""


def _is_heading(texts: Mapping[int, str]) -> bool:
    return sum(map(is_known, texts.values())) * 2 > len(texts) and len(texts) > 2 and not _ports(texts)


def _key(port: str) -> tuple[str, str]:
    option = spelled(port)[0]
    return spelling(option.controller), option.port


def _ports(texts: Mapping[int, str]) -> list[str]:
    """The ports that a line names: with a word for a port, or behind a cell that says what feeds."""
    found = [port for text in texts.values() if len(text) <= LONGEST_LINE for port in ports_in(text)]
    for (_, label), (_, text) in pairwise(sorted(texts.items())):
        if says(label.strip(" :"), "near") and spelled(text):
            found.append(text)
    return found


def _fed(own: _Cards, starts: Sequence[str], tags: frozenset[str]) -> TableBlock:
    """The table with what feeds each device in its column."""
    table = own.table
    rows: list[list[Value]] = [list(cells) for cells in table.sheet.rows]
    if own.numbered:
        for cells in rows[table.first_row - 1 : table.last_row]:
            cells[own.feed - 1 : own.feed] = [""]  # the numbers, and what stands below them
    for card, start in zip(own.cards, starts, strict=True):
        before = start
        for row in card.rows:
            cells = rows[row - 1]
            cells.extend([""] * (own.feed - len(cells)))
            stated = "" if own.numbered else words(cells[own.feed - 1])
            cells[own.feed - 1] = start if _is_the_port(stated, tags) else stated or before
            before = words(cells[own.tag - 1])
    headers, header_rows = dict(table.headers), table.header_rows
    if len(header_rows) > 1 and _names_start(_texts(table, header_rows[0]), starts[0]):
        header_rows = header_rows[-1:]
        headers = _texts(table, header_rows[0])
    if own.numbered:
        headers[own.feed] = HEADING
    return replace(table, sheet=replace(table.sheet, rows=rows), headers=headers, header_rows=header_rows)


def _names_start(texts: Mapping[int, str], start: str) -> bool:
    """Whether what looks like the upper row of two headings is the line that names a card's start."""
    return bool(_ports(texts)) or spelling(start) in map(spelling, texts.values())


def _is_the_port(text: str, tags: frozenset[str]) -> bool:
    """`panel`, `port`, `1`: the start that the card's heading names."""
    if not text or spelling(text) in tags:
        return False
    heads = {*word_list("head_end"), *word_list("controller"), *word_list("port")}
    return fold(text) in heads or port_alone(text) is not None


def _said(own: _Cards, starts: Sequence[str]) -> Remark:
    table, first = own.table, own.cards[0].rows[0]
    tags = [words(table.sheet.value(row, own.tag)) for row in own.cards[0].rows[:2]]
    message = (
        f"the devices of {table.sheet.name!r} stand in the order of the cable: {tags[0]} is fed from {starts[0]}, "
        f"{tags[-1]} and each further one from the one above, but where another is named"
    )
    return reading(
        table.headers.get(own.tag, table.sheet.name), message, CellRef(table.sheet.name, first, own.tag)
    )
