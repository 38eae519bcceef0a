"""What the reader says of its own work: rows left out, hidden parts, guesses it did not make."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cache

from auditor.field_words import word_of
from auditor.intake.cells import Book
from auditor.intake.columns import MOST_ASKED, Columns
from auditor.intake.ends import lookalikes
from auditor.intake.fields import OF_THE_OFFICE, is_chain
from auditor.intake.headings import OWN_LANGUAGES, candidates, fold, heading, is_known, suggestion, vocabulary
from auditor.intake.labels import Labelled, cell_text
from auditor.intake.rows import LeftOut
from auditor.intake.tables import SAMPLE_ROWS, FoundTable
from auditor.intake.values import is_blank, shown
from auditor.model import CellRef, Device, Remark, TableKind

COUNTED: Mapping[str, frozenset[str]] = {  # what an audit adds up -> words that name it in any longer heading
    "quantity": frozenset({"qty", "quantity", "count"}),
    "power_w": frozenset({"watts", "watt", "wattage"}),
    "length_m": frozenset({"length", "footage"}),
}
_PRICES = frozenset(
    {"price", "prices", "cost", "costs", "preis", "kosten", "prix", "cout", "precio", "coste", "costo"}
)
_OTHER_MATTERS = (
    _PRICES
    | frozenset(  # one of them in a heading: it is none of the fields that an audit counts
        [
            "colour",
            "color",
            "farbe",
            "couleur",
            "supplier",
            "vendor",
            "maker",
            "manufacturer",
            "brand",
            "lieferant",
            "hersteller",
            "fournisseur",
            "fabricant",
            "proveedor",
            "fabricante",
            "weight",
            "gewicht",
            "poids",
            "peso",
            "sku",
            "url",
            "link",
            "date",
            "datum",
            "fecha",
            "datasheet",
            "datenblatt",
            "discount",
            "currency",
            "vat",
            "warranty",
        ]
    )
)
_INCHES = frozenset({"in", "inch", "inches"})


def of_book(book: Book, tables: Sequence[FoundTable]) -> list[Remark]:
    """What holds for whole sheets."""
    said = [Remark(rule="reading", level="note", subject="file", message=note) for note in book.notes]
    for sheet in book.sheets:
        corner = CellRef(sheet.name, 1, 1)
        used = any(table.sheet is sheet for table in tables)
        messages = list(sheet.notes)
        if sheet.hidden and used:
            messages.append("the sheet is hidden; it is audited all the same")
        said += [_reading(sheet.name, message, corner) for message in messages]
    idle = [sheet.name for sheet in book.sheets if not any(table.sheet is sheet for table in tables)]
    if idle:
        listed = ", ".join(map(repr, idle[:12])) + (f" and {len(idle) - 12} more" if len(idle) > 12 else "")
        said.append(
            Remark(rule="reading", level="note", subject="file", message=f"no table is read on {listed}")
        )
    return said


def of_table(table: FoundTable, records: Sequence[int], other: LeftOut) -> list[Remark]:
    """Rows left out, hidden rows and columns that are read, and headings that are nearly known."""
    said = []
    for rows, what in (
        (other.struck, "struck through, so taken as deleted"),
        (other.totals, "totals"),
        (other.headings, "headings of sections or pages"),
        (other.notes, "notes"),
    ):
        if rows:
            said.append(_of_row(table, rows[0], f"{rows_text(rows)} left out: {what}"))
    hidden = [row for row in records if row in table.sheet.hidden_rows] if table.sheet.hidden_rows else []
    if hidden:
        said.append(
            _of_row(table, hidden[0], f"{rows_text(hidden)} hidden in the workbook; audited all the same")
        )
    for use in table.understood.columns.values():
        if use.column in table.sheet.hidden_columns:
            place = CellRef(table.sheet.name, table.header_rows[-1], use.column)
            said.append(
                _reading(use.header, f"the column {use.header!r} is hidden; it is read all the same", place)
            )
    own = {
        use.header: word_of(use.field)
        for use in table.understood.columns.values()
        if use.reason.endswith(OF_THE_OFFICE)
    }
    if own:
        listed = ", ".join(f"{header!r} as the {word}" for header, word in own.items())
        said.append(_of_row(table, table.header_rows[-1], f"read as headings.json says: {listed}"))
    if not records:
        where = CellRef(table.sheet.name, table.header_rows[-1], table.first_column)
        message = "the table has a heading and no rows; fill it in or delete it"
        said.append(
            Remark(rule="missing-value", level="review", subject=_title(table), message=message, where=where)
        )
    return said + _near_misses(table, records) + list(_other_headings(table, records))


def of_length_unit(tables: Sequence[FoundTable], labels: Labelled) -> list[Remark]:
    """A unit that a cell states for all lengths: what it sets, or that all headings contradict it."""
    stated, at = labels.length_unit, labels.length_unit_at
    if stated is None or at is None:
        return []
    fields = ("length_m", "mains_parallel_m")
    uses = [use for table in tables for name in fields if (use := table.understood.columns.get(name))]
    said = []
    if left_open := dict.fromkeys(repr(use.header) for use in uses if use.unit is None):
        message = f"lengths without a unit under {' and '.join(left_open)} are read in {stated}: {cell_text(at)} says so"
        said.append(_reading("length unit", message, at))
    pairs = [(table, use) for table in tables if (use := table.understood.columns.get("length_m"))]
    if pairs and not any(use.unit in (None, stated) for _, use in pairs):
        table, use = pairs[0]
        where = CellRef(table.sheet.name, table.header_rows[-1], use.column)
        message = (
            f"{cell_text(at)} says that lengths are in {stated}, the heading {use.header!r} says {use.unit}, which "
            "is read; correct one of them"
        )
        said.append(
            Remark(rule="unreadable-value", level="review", subject=use.header, message=message, where=where)
        )
    return said


def of_long_rows(table: FoundTable, records: Sequence[int], tables: Sequence[FoundTable]) -> list[Remark]:
    """Rows of a text file with more cells than headings: `1,250` without quotation marks is two cells."""
    end = max(table.headers)
    beside = min((other.first_column - 1 for other in tables if other.first_column > end), default=None)
    rest = slice(end, beside)
    long = [row for row in records if any(not is_blank(value) for value in table.sheet.rows[row - 1][rest])]
    if len(long) * 2 > len(records):  # a column without a heading
        return []
    return [
        Remark(
            rule="unreadable-value",
            level="review",
            subject=_title(table),
            message=f"row {row} has more cells than there are headings; a number or text with the separator in it must "
            "stand in quotation marks, look at the whole row",
            where=CellRef(table.sheet.name, row, end + 1),
        )
        for row in long[:MOST_ASKED]
    ]


def of_merges(table: FoundTable, spread: Sequence[tuple[int, int, int]]) -> list[Remark]:
    """Merged cells that were read in each of their rows."""
    return [
        _reading(
            table.headers.get(column, ""),
            f"the cell merged over rows {first} to {last} under {table.headers.get(column, '')!r} is read in each of them",
            CellRef(table.sheet.name, first, column),
        )
        for first, last, column in spread
    ]


def _other_headings(table: FoundTable, records: Sequence[int]) -> Iterator[Remark]:
    """Rows read as records though all that stands in them are headings: of a table that was not recognised."""
    if table.kind in (TableKind.PULLS, TableKind.COMBINED):
        return
    for row in records:
        cells = table.sheet.rows[row - 1][table.first_column - 1 : table.last_column]
        if float in map(type, cells):
            continue
        cells = [cell for cell in cells if cell != ""]
        texts = [cell for cell in cells if type(cell) is str and not any(map(str.isdigit, cell))]
        if len(texts) == len(cells) > 1 and all(map(is_known, texts)):
            where = CellRef(table.sheet.name, row, table.first_column)
            listed = ", ".join(map(repr, texts[:6]))
            message = (
                f"row {row} looks like the headings of another table ({listed}); it and the rows below are read as {table.kind}: "
                "give that table its headings, or say in a layout what it is"
            )
            yield Remark(
                rule="unreadable-value", level="review", subject=_title(table), message=message, where=where
            )


def _near_misses(table: FoundTable, records: Sequence[int]) -> list[Remark]:
    """Headed columns that are not read: for review where the audit would count wrong without them."""
    taken = set(table.columns.values())
    said = []
    for column, text in table.headers.items():
        if column in taken:
            continue
        if table.kind in (TableKind.PULLS, TableKind.COMBINED):
            question = _counts_otherwise(table, records, column, text)
            if question:
                where = CellRef(table.sheet.name, table.header_rows[-1], column)
                said.append(
                    Remark(
                        rule="unreadable-value", level="review", subject=text, message=question, where=where
                    )
                )
                continue
        where = CellRef(table.sheet.name, table.header_rows[-1], column)
        named = [name for name, _ in candidates(table.kind, text)]
        if table.understood.languages and (claimed := _claimed_twice(table, text)):
            said.append(
                Remark(rule="unreadable-value", level="review", subject=text, message=claimed, where=where)
            )
            continue
        field = suggestion(text, table.kind) or _named_in(text, table.kind)
        if _is_of_no_matter(table, column, text, field):
            continue
        if field is None and "chain" in named and "chain" in table.columns:
            field = "chain"
        if field is not None and field not in table.columns:
            word = word_of(field)
            message = f"the column {text!r} is not read; if it is the {word}, write {word!r} in its heading or in a layout"
            counts = field in COUNTED
            said.append(
                Remark(
                    rule="unreadable-value" if counts else "reading",
                    level="review" if counts else "note",
                    subject=text,
                    message=message,
                    where=where,
                )
            )
        elif field in named and (field in COUNTED or field == "chain"):
            read, word = table.understood.columns[field].header, word_of(field)
            said.append(
                _reading(text, f"the column {text!r} is not read; {read!r} is read as the {word}", where)
            )
        elif table.kind is TableKind.CABLES and not _is_note(text) and (missing := _missing_words(table)):
            message = f"the column {text!r} is not read; if it is one of {missing}, write that in its heading or in a layout"
            said.append(_reading(text, message, where))
    return said


def _is_of_no_matter(table: FoundTable, column: int, text: str, field: str | None) -> bool:
    """Whether a heading plainly stands for something else: a price, a colour, a route that names no ends."""
    if field == "chain" and "chain" not in table.columns:
        rows = range(table.first_row, min(table.last_row, table.first_row + SAMPLE_ROWS) + 1)
        return not is_chain([table.sheet.value(row, column) for row in rows])
    return field not in COUNTED and field != "price" and not _OTHER_MATTERS.isdisjoint(fold(text).split())


def _claimed_twice(table: FoundTable, text: str) -> str:
    """What is to be asked where headings.json gives a field to one column and another one has it too; else nothing."""
    for field, language in candidates(table.kind, text):
        use = table.understood.columns.get(field)
        if use is not None and (language in OWN_LANGUAGES or use.reason.endswith(OF_THE_OFFICE)):
            own = text if language in OWN_LANGUAGES else use.header
            return (
                f"{use.header!r} and {text!r} both stand for the {word_of(field)}, {own!r} by headings.json: {use.header!r} "
                f"is read, {text!r} is not; correct headings.json or say in a layout which column it is"
            )
    return ""


def _counts_otherwise(table: FoundTable, records: Sequence[int], column: int, text: str) -> str:
    """What is to be asked of a column that says how much cable there is and is not read; else nothing."""
    length = table.understood.columns.get("length_m")
    is_length = length is not None and (
        heading(text).unit in ("ft", "m", "yd")
        or fold(text) in _INCHES
        or _named_in(text, table.kind) == "length_m"
    )
    is_count = table.kind is TableKind.PULLS and any(
        name == "quantity" for name, _ in candidates("devices", text)
    )
    if (not is_length and not is_count) or not _PRICES.isdisjoint(fold(text).split()):
        return ""
    values = [(table.sheet.value(row, column), row) for row in records]
    numbers = [(value, row) for value, row in values if any(map(str.isdigit, shown(value)))]
    if is_count and any(shown(value).strip() != "1" for value, _ in numbers):
        return f"the column {text!r} is not read: each row is one pull; give each cable a row of its own"
    if is_length and length and any(value != table.sheet.value(row, length.column) for value, row in numbers):
        return (
            f"the column {text!r} is not read: {length.header!r} is taken as the length of a pull; if it is not the "
            "whole length, write that there, or say in a layout which column holds it"
        )
    return ""


def _named_in(text: str, kind: TableKind) -> str | None:
    """The counted field that one word of a longer heading names."""
    words_in = set(fold(text).split())
    fields = _fields_of(kind)
    return next((field for field, own in COUNTED.items() if field in fields and own & words_in), None)


@cache
def _fields_of(kind: TableKind) -> tuple[str, ...]:
    return tuple(dict.fromkeys(field for fields in vocabulary()[kind].values() for field, _ in fields))


def _is_note(text: str) -> bool:
    """Whether a heading stands for remarks, which no table of cable types needs."""
    return any(name == "note" for name, _ in candidates("pulls", text))


def _missing_words(table: FoundTable) -> str:
    missing = (field for field in _fields_of(table.kind) if field not in table.columns)
    return ", ".join(word_of(field) for field in missing)


def of_columns(columns: Iterable[Columns]) -> list[Remark]:
    """How whole columns and single cells were read, where that is not plain."""
    columns = list(columns)
    said = [
        _reading(
            use.header, message.format(use.header), CellRef(one.sheet, one.table.header_rows[-1], use.column)
        )
        for one in columns
        for use, message in one.said
    ]
    return list(dict.fromkeys([*said, *(remark for one in columns for remark in one.remarks)]))


def of_tags(devices: Sequence[Device]) -> list[Remark]:
    """Tags that differ only by case, blanks, dashes, leading zeros or characters that look alike."""
    pairs = lookalikes(dict.fromkeys(device.tag for device in devices if device.tag))
    rows: dict[str, CellRef] = {}
    for device in devices if pairs else ():
        rows.setdefault(device.tag, device.where)
    return [
        Remark(
            rule="double-entry",
            level="review",
            subject=second,
            message=f"{second} is probably the same as {first} in row {rows[first].row} on {rows[first].sheet!r}; "
            "write both the same way or give them tags that differ clearly",
            where=rows[second],
        )
        for first, second in pairs
    ]


def rows_text(rows: Sequence[int]) -> str:
    """`row 7`, `rows 7, 9 and 12 more`."""
    listed = ", ".join(map(str, rows[:12])) + (f" and {len(rows) - 12} more" if len(rows) > 12 else "")
    return f"row {listed}" if len(rows) == 1 else f"rows {listed}"


def _title(table: FoundTable) -> str:
    return f"{table.kind} table on {table.sheet.name!r}"


def _of_row(table: FoundTable, row: int, message: str) -> Remark:
    return _reading(_title(table), message, CellRef(table.sheet.name, row, table.first_column))


def _reading(subject: str, message: str, where: CellRef) -> Remark:
    return Remark(rule="reading", level="note", subject=subject, message=message, where=where)
